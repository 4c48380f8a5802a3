"""Write blanks: workbooks to fill in, a settings file and an example frame in a folder."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from pathlib import Path

from reconcile.reports.writing.blank_books import write_blank_book
from reconcile.reports.writing.files import Writer, write_all, write_text
from reconcile.sheets.blanks import frame as blank_frame
from reconcile.sheets.blanks.settings import settings_text
from reconcile.sheets.blanks.sheets import jobs_sheets, stock_sheets
from reconcile.sheets.finding import SETTINGS_NAME
from reconcile.sheets.frames.files import read_frame_text, read_frames
from reconcile.values.frames.frame import Frame
from reconcile.values.problem import COMMAND_LINE, Place, Problem, Unusable, problem
from reconcile.work.workshop.frames import fault_counts

FRAMES = "frames"


@dataclass(frozen=True, slots=True)
class OfferedFrames:
    """The frames that drop-downs offer."""

    frames: tuple[Frame, ...]
    faulty: Mapping[str, int] = field(default_factory=dict)
    """Each frame file that cannot be used, with the number of its faults."""


@dataclass(frozen=True, slots=True)
class BlanksWritten:
    """The files that were written, and the frame files whose frames are not offered, with their faults."""

    files: tuple[Path, ...]
    faulty: Mapping[str, int]


def write_blank(folder: Path, frames: Path | None, today: date, force: bool) -> BlanksWritten:
    """Writes everything or nothing.

    Drop-downs are filled from ``frames``, else from the folder's own frame files; where it has none, an
    example frame is written too. Raises ``Unusable``: output-exists without ``force``, output-locked, and
    as ``read_frames`` does; call-unusable where no frame file can be used.
    """
    own = folder / FRAMES
    source = frames if frames is not None else own if any(own.glob("*.toml")) else None
    offered = frames_for(source)
    outputs: list[tuple[Path, Writer]] = [
        (folder / "jobs.xlsx", partial(write_blank_book, jobs_sheets(list(offered.frames), today), "Jobs")),
        (
            folder / "stock.xlsx",
            partial(write_blank_book, stock_sheets(list(offered.frames), today), "Stock"),
        ),
        (folder / SETTINGS_NAME, partial(write_text, settings_text(path_from(folder, frames)))),
    ]
    if source is None:
        outputs.append((own / blank_frame.NAME, partial(write_text, blank_frame.TEXT)))
    try:
        write_all(outputs, force)
    except Unusable as unusable:
        raise Unusable(*map(advised, unusable.problems)) from unusable
    return BlanksWritten(tuple(path for path, _ in outputs), offered.faulty)


def advised(found: Problem) -> Problem:
    """The problem of a file that is there already, with what helps here."""
    if found.code != "output-exists":
        return found
    return replace(found, do="Name a new folder, or give --force to replace it.")


def frames_for(source: Path | None) -> OfferedFrames:
    """The frames of a folder; with None, the example. Raises Unusable where no file of it can be used."""
    if source is None:
        frame, _ = read_frame_text(blank_frame.TEXT.encode(), blank_frame.NAME)
        return OfferedFrames((frame,) if frame else ())
    read = read_frames(source)
    if not read.frames:
        says = f"No frame file in {source} can be used: {', '.join(map(' and '.join, read.faulty.values()))}."
        do = f"Mend them: reconcile frames --check {source}."
        place = Place(COMMAND_LINE, "", "--frames")
        raise Unusable(*read.problems, problem("call-unusable", place, says, do=do))
    return OfferedFrames(tuple(read.frames.values()), fault_counts(read))


def path_from(folder: Path, frames: Path | None) -> str:
    """The frames folder as the settings name it, seen from their own folder; "" for the usual place."""
    if frames is None or frames.resolve() == (folder / FRAMES).resolve():
        return ""
    try:
        return Path(os.path.relpath(frames.resolve(), folder.resolve())).as_posix()
    except ValueError:  # on another drive
        return frames.resolve().as_posix()
