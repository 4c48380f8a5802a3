"""Blank workbooks, a settings file and an example frame in a folder."""

import os
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from reconcile.reports.writing.blank_books import write_blank_book
from reconcile.reports.writing.files import Writer, write_all
from reconcile.reports.writing.wording import count_text
from reconcile.sheets.blanks import frame as blank_frame
from reconcile.sheets.blanks.settings import settings_text
from reconcile.sheets.blanks.sheets import jobs_sheets, stock_sheets
from reconcile.sheets.finding import SETTINGS_NAME
from reconcile.sheets.frames.files import read_frame_text, read_frames
from reconcile.values.frames.frame import Frame
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.work.frames import fault_counts, write_text

FRAMES = "frames"


def write_blank(folder: Path, frames: Path | None, today: date, force: bool) -> tuple[list[Path], list[str]]:
    """Writes everything or nothing; says which files, and what is to be said of faulty frame files.

    Drop-downs are filled from ``frames``, else from the folder's own frame files; where it has none, an
    example frame is written too. Raises ``Unusable``: output-exists without ``force``, output-locked, and
    as ``read_frames`` does; call-unusable where no frame file can be used.
    """
    own = folder / FRAMES
    source = frames if frames is not None else own if any(own.glob("*.toml")) else None
    usable, remarks = frames_for(source)
    outputs: list[tuple[Path, Writer]] = [
        (folder / "jobs.xlsx", partial(write_blank_book, jobs_sheets(usable, today), "Jobs")),
        (folder / "stock.xlsx", partial(write_blank_book, stock_sheets(usable, today), "Stock")),
        (folder / SETTINGS_NAME, partial(write_text, settings_text(path_from(folder, frames)))),
    ]
    if source is None:
        outputs.append((own / blank_frame.NAME, partial(write_text, blank_frame.TEXT)))
    try:
        write_all(outputs, force)
    except Unusable as unusable:
        raise Unusable(*map(advised, unusable.problems)) from unusable
    return [path for path, _ in outputs], remarks


def advised(found: Problem) -> Problem:
    """The problem of a file that is there already, with what helps here."""
    if found.code != "output-exists":
        return found
    return replace(found, do="Name a new folder, or give --force to replace it.")


def frames_for(source: Path | None) -> tuple[list[Frame], list[str]]:
    """The frames that drop-downs offer, and a remark on each file that cannot be used."""
    if source is None:
        frame, _ = read_frame_text(blank_frame.TEXT.encode(), blank_frame.NAME)
        return [frame] if frame else [], []
    read = read_frames(source)
    if not read.frames:
        says = f"No frame file in {source} can be used: {', '.join(map(' and '.join, read.faulty.values()))}."
        do = f"Mend them: reconcile frames --check {source}."
        place = Place("command line", "", "--frames")
        raise Unusable(*read.problems, problem("call-unusable", place, says, do=do))
    return list(read.frames.values()), [
        f"{file}: {count_text(count, 'fault')}; its frame is not offered. See reconcile frames --check."
        for file, count in fault_counts(read).items()
    ]


def path_from(folder: Path, frames: Path | None) -> str:
    """The frames folder as the settings name it, seen from their own folder; "" for the usual place."""
    if frames is None or frames.resolve() == (folder / FRAMES).resolve():
        return ""
    try:
        return Path(os.path.relpath(frames.resolve(), folder.resolve())).as_posix()
    except ValueError:  # on another drive
        return frames.resolve().as_posix()
