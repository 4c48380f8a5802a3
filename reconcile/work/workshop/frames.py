"""Frames: listed, shown with their tables, checked, and a new one put into a file."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from reconcile.plan.joints.bolt_tables import step_cuts, tables_of
from reconcile.reports.writing.files import write_text, write_whole
from reconcile.sheets.finding import call_fault
from reconcile.sheets.frames.checked import check_files
from reconcile.sheets.frames.files import FramesRead, read_frame_text, read_frames
from reconcile.sheets.frames.questions import Ask, Taken, Tell, ask_frame
from reconcile.sheets.frames.text import frame_text
from reconcile.values.frames.bolt_tables import AdjustmentTables
from reconcile.values.frames.checked import CheckedFile
from reconcile.values.frames.frame import Frame
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.words import fold, nearest

REMARK = "Asked for at the terminal. Compare every figure with the build sheet before it is used."


# --- list and show --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FramesThere:
    """Every frame of a folder, and every file that cannot be used with the number of its faults."""

    frames: tuple[Frame, ...]
    faulty: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class FrameShown:
    """A frame with its tables, for the options named, and the notices on its file."""

    frame: Frame
    tables: tuple[AdjustmentTables, ...]
    notices: tuple[Problem, ...]


def list_frames(folder: Path) -> FramesThere:
    """What the folder holds. Raises ``Unusable`` as ``read_frames`` does."""
    read = read_frames(folder)
    return FramesThere(tuple(read.frames.values()), fault_counts(read))


def show_frame(code: str, options: str, folder: Path) -> FrameShown:
    """A frame of the folder with its tables. ``options``: those fitted, separated by commas; "" for none.

    Raises ``Unusable`` as ``frame_named`` and ``options_of`` do.
    """
    frame, notices = frame_named(code, folder)
    return with_tables(frame, notices, options_of(options, frame))


def with_tables(
    frame: Frame, notices: tuple[Problem, ...] = (), options: frozenset[str] | None = None
) -> FrameShown:
    """A frame that was read, with its tables."""
    return FrameShown(frame, tuple(tables_of(frame, options)), notices)


def fault_counts(read: FramesRead) -> dict[str, int]:
    """Each file that is not used, with the number of its faults."""
    counts: dict[str, int] = {}
    for fault in read.problems:
        if fault.severity == "error":
            counts[fault.place.file] = counts.get(fault.place.file, 0) + 1
    return counts


def frame_named(code: str, folder: Path) -> tuple[Frame, tuple[Problem, ...]]:
    """The frame of a code and the notices on its file.

    Raises ``Unusable``: with the faults of its file where that cannot be used, or call-unusable with the
    nearest codes.
    """
    read = read_frames(folder)
    if (frame := read.frames.get(fold(code))) is not None:
        return frame, tuple(fault for fault in read.problems if fault.place.file == frame.file)
    if (names := read.faulty.get(fold(code))) is not None:
        raise Unusable(*(fault for fault in read.problems if fault.place.file in names))
    codes = [frame.code for frame in read.frames.values()]
    like = ", ".join(nearest(code, codes)) or ", ".join(codes) or "none"
    raise Unusable(
        call_fault("the frame's code", f"There is no frame {code!r} in {folder}. Nearest: {like}.")
    )


def options_of(words: str, frame: Frame) -> frozenset[str] | None:
    """The options named, folded; None for none. Raises ``Unusable`` for one that the frame does not know."""
    options = frozenset(fold(text) for text in re.split("[,;]", words) if text.strip())
    unknown = sorted(options - frame.options)
    if unknown:
        like = ", ".join(nearest(unknown[0], frame.options) or sorted(frame.options)) or "none"
        says = f"The frame {frame.code} knows no option {unknown[0]!r}. Nearest: {like}."
        raise Unusable(call_fault("--options", says))
    return options or None


def write_drawings(found: FrameShown, path: Path, force: bool) -> None:
    """One page with every table, and drawings of each joint by step. Raises as ``write_whole`` does."""
    from reconcile.reports.frames.page import write_frame_page

    if path.suffix.lower() not in (".html", ".htm"):
        raise Unusable(call_fault("--out", f"{path} is no name for a page; write one that ends in .html."))
    drawn = [
        (table, [step_cuts(own.joint, table.adjustment, frozenset(own.options)) for own in table.tables])
        for table in found.tables
    ]
    write_whole(path, partial(write_frame_page, found.frame, drawn), force)


# --- check ----------------------------------------------------------------------------------------------


def check_frames(paths: list[Path]) -> list[CheckedFile]:
    """Every file with its faults, those of folders one by one. Raises as ``check_files`` does."""
    return check_files(paths)


# --- new ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NewFrame:
    """A frame as it was answered; nothing is written yet."""

    path: Path
    content: str
    """Of the file, as TOML."""
    shown: FrameShown


def refuse_there(path: Path | None, force: bool) -> None:
    """Raises ``Unusable`` (output-exists) for a file that is there already, before anything is asked."""
    if path is not None and path.exists() and not force:
        raise Unusable(problem("output-exists", Place(path.name), f"{path.name} is already there."))


def answered_frame(ask: Ask, tell: Tell, folder: Path, path: Path | None) -> NewFrame:
    """Asks for a frame. ``path`` is the file; with None it is named after the code, in the folder.

    Raises EOFError as ``ask`` does, and ``Unusable`` where the answers do not read back as a frame.
    """
    raw = ask_frame(ask, tell, taken_in(folder, named=path is not None))
    path = path or named_after(raw["code"], folder)
    content = frame_text(raw, (REMARK,))
    frame, problems = read_frame_text(content.encode(), path.name)
    if frame is None:
        raise Unusable(*problems)
    return NewFrame(path, content, with_tables(frame, tuple(problems)))


def write_new_frame(new: NewFrame, force: bool) -> None:
    """Writes the file. Raises ``Unusable``: output-exists, output-locked."""
    write_whole(new.path, partial(write_text, new.content), force)


def taken_in(folder: Path, *, named: bool) -> Taken:
    """Tells which file has a code already; also where the file to be named after it is another frame's."""
    try:
        read = read_frames(folder)
        files = {
            **{code: frame.file for code, frame in read.frames.items()},
            **{code: " and ".join(names) for code, names in read.faulty.items()},
        }
    except Unusable:  # no folder yet, or nothing in it
        files = {}

    def taken(code: str) -> str:
        path = named_after(code, folder)
        return files.get(fold(code), path.name if path.exists() and not named else "")

    return taken


def named_after(code: str, folder: Path) -> Path:
    """The file of a code; letters that a file system may refuse become a dash in its name."""
    stem = re.sub(r"[^\w.-]+", "-", code).strip(".-") or "frame"
    return folder / f"{stem}.toml"
