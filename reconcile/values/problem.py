"""A problem with an input, as a value: its code, its place, what is wrong, what was done, what to do."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from reconcile.values.catalogue import CODES

COMMAND_LINE = "command line"
"""In the place of a file: the words of a command. A fault there is named by the option alone."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands: ``stock.xlsx!Stock!C14``, or a file and a key in it; an option, ``--from``."""

    file: str
    sheet: str = ""
    cell: str = ""

    def __str__(self) -> str:
        if self.file == COMMAND_LINE:
            return self.cell or "the command"
        return "!".join(part for part in (self.file, self.sheet, self.cell) if part)


@dataclass(frozen=True, slots=True)
class RowPlace:
    """Where a row of a table stands; ``columns`` maps our heading to the sheet's column letters.

    A row keeps its place so that a fault found late can still name its cell. The mapping is shared by
    all rows of a sheet.
    """

    file: str
    sheet: str
    row: int
    columns: Mapping[str, str] = field(default_factory=dict, compare=False, repr=False)

    def cell(self, heading: str = "") -> Place:
        """The cell under a heading; the row's first known column where the sheet has no such heading."""
        letters = self.columns.get(heading) or next(iter(self.columns.values()), "A")
        return Place(self.file, self.sheet, f"{letters}{self.row}")


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault or remark. ``severity`` is "error" (something was set aside) or "notice"."""

    code: str
    severity: str
    place: Place
    says: str
    did: str
    do: str
    found: str = ""
    """What the cell or key holds, as a person sees it; "" where no single value is at fault."""

    def __str__(self) -> str:
        return f"{self.severity} {self.code} at {self.place}: {self.says} {self.did} {self.do}"


def problem(  # noqa: PLR0913  (what a problem says, each by its name)
    code: str, place: Place, says: str, *, did: str = "", do: str = "", found: str = ""
) -> Problem:
    """A problem of a code that the catalogue knows; what was done and what to do default to its words."""
    entry = CODES[code]
    return Problem(code, entry.severity, place, says, did or entry.did, do or entry.do, found)


@dataclass(frozen=True, slots=True)
class Finding:
    """A problem without a place yet: whoever has the row names the cell under ``heading``."""

    code: str
    heading: str
    says: str


class Unusable(Exception):
    """The input or the call cannot be used at all; carries every problem found so far."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(map(str, problems)))
        self.problems = problems
