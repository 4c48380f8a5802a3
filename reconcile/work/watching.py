"""Watch a workshop's files: what a plan was made from, as far as the disk tells it without reading them."""

import os
import stat
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from reconcile.sheets.finding import input_files, located
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.work.planning import REPORTS

FRAMES = "frames"
MOST_FILES = 5_000
"""Files looked at in one folder; what a workshop keeps is far below."""

Stamp = tuple[int, int, int]
"""When a file was last written (ns), its size, and which file of the disk it is."""


@dataclass(frozen=True, slots=True)
class FilesSeen:
    """The files of a workshop at one moment."""

    today: date
    stamps: Mapping[Path, Stamp] = field(default_factory=dict)

    def changed(self, later: "FilesSeen") -> tuple[str, ...]:
        """The names of files that are other ones later, are new, or are gone."""
        paths = {*self.stamps, *later.stamps}
        return tuple(sorted(path.name for path in paths if self.stamps.get(path) != later.stamps.get(path)))


def files_seen(request: Request) -> FilesSeen:
    """All that a plan may rest on: files of the folder, of its frames and orders, and what settings name."""
    today = request.today or date.today()
    paths = dict.fromkeys([*_of_folder(request), *_named(request)])
    return FilesSeen(today, {path: found for path in paths if (found := _stamp(path)) is not None})


def _of_folder(request: Request) -> Iterator[Path]:
    folder = request.folder
    for place in (folder, folder / FRAMES):
        yield from _files(place)
    yield from (path for path in _files(folder / REPORTS) if path.name.startswith("order-"))


def _named(request: Request) -> Iterable[Path]:
    """Files that lie elsewhere by the settings; none where these cannot be read."""
    try:
        return input_files(located(request))
    except (Unusable, OSError):
        return ()


def _files(folder: Path) -> Iterator[Path]:
    try:
        with os.scandir(folder) as entries:
            for number, entry in enumerate(entries):
                if number >= MOST_FILES:
                    return
                if not entry.name.startswith((".", "~$")) and entry.is_file():
                    yield Path(entry.path)
    except OSError:
        return


def _stamp(path: Path) -> Stamp | None:
    try:
        found = path.stat()
    except OSError:
        return None
    if not stat.S_ISREG(found.st_mode):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
