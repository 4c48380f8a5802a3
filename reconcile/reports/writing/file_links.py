"""Links from the report to the cells of the inputs, where a reader can follow them."""

import os
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from reconcile.values.problem import Place

SHEET_FILES = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
"""Files in which a link can lead to a cell."""

MOST_STEPS_UP = 1
"""A link leads at most to the folder above the report's, so that it holds when the two move together."""


@dataclass(frozen=True, slots=True)
class FileLink:
    """A relative address, percent-encoded (RFC 3986), and the place there."""

    target: str
    place: Place

    @property
    def location(self) -> str | None:
        """``'On order'!C14``, for a cell of a workbook."""
        if not (self.place.sheet and self.place.cell and self.target.lower().endswith(SHEET_FILES)):
            return None
        name = self.place.sheet.replace("'", "''")
        return f"'{name}'!{self.place.cell}"


def input_links(inputs: Sequence[Path], folder: Path) -> dict[str, str]:
    """Names of input files to their addresses seen from ``folder``.

    Left out: files of one name, since a place does not tell them apart; files that lie further away; and
    files on another drive.
    """
    several = Counter(path.name for path in inputs)
    found = {}
    for path in inputs:
        address = _address(path, folder)
        if several[path.name] == 1 and address:
            found[path.name] = address
    return found


def _address(path: Path, folder: Path) -> str:
    """The relative address of a file, "" where there is none that would hold."""
    try:
        relative = Path(os.path.relpath(path.resolve(), folder.resolve()))
    except (OSError, ValueError, RuntimeError):  # another drive; a link that leads to itself
        return ""
    if relative.parts.count("..") > MOST_STEPS_UP:
        return ""
    return quote(relative.as_posix().encode("utf-8", "surrogateescape"))
