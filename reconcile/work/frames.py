"""The frames of a workshop: listed, shown with their tables, checked, and asked for."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from reconcile.plan.joints.bolt_tables import step_cuts, tables_of
from reconcile.reports.frames.screen import checked_screen, fitted, frame_screen, frames_list
from reconcile.reports.writing.files import write_whole
from reconcile.sheets.finding import call_fault, frames_folder
from reconcile.sheets.frames.checked import check_files
from reconcile.sheets.frames.files import FramesRead, read_frame_text, read_frames
from reconcile.sheets.frames.questions import Ask, Asking, Taken, Tell, ask_frame, yes_or_no
from reconcile.sheets.frames.text import frame_text
from reconcile.sheets.request import Request
from reconcile.values.frames.frame import Frame
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.words import fold, nearest

REMARK = "Asked for at the terminal. Compare every figure with the build sheet before it is used."


# --- list and show --------------------------------------------------------------------------------------


def list_text(folder: Path) -> str:
    """Every frame of the folder, and every file that cannot be used with the number of its faults."""
    read = read_frames(folder)
    return frames_list(read.frames.values(), fault_counts(read))


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
    raise Unusable(call_fault("CODE", f"There is no frame {code!r} in {folder}. Nearest: {like}."))


def options_of(words: str, frame: Frame) -> frozenset[str] | None:
    """The options named, folded; None for none. Raises ``Unusable`` for one that the frame does not know."""
    options = frozenset(fold(each) for each in re.split("[,;]", words) if each.strip())
    unknown = sorted(options - frame.options)
    if unknown:
        like = ", ".join(nearest(unknown[0], frame.options) or sorted(frame.options)) or "none"
        says = f"The frame {frame.code} knows no option {unknown[0]!r}. Nearest: {like}."
        raise Unusable(call_fault("--options", says))
    return options or None


def show_text(frame: Frame, notices: tuple[Problem, ...], options: frozenset[str] | None) -> str:
    return frame_screen(frame, tables_of(frame, options), notices)


def write_drawings(frame: Frame, options: frozenset[str] | None, path: Path, force: bool) -> None:
    """One page with every table, and drawings of each joint by step. Raises as ``write_whole`` does."""
    from reconcile.reports.frames.page import write_frame_page

    if path.suffix.lower() not in (".html", ".htm"):
        raise Unusable(call_fault("--out", f"{path} is no name for a page; write one that ends in .html."))
    shown = [
        (each, [step_cuts(own.joint, each.adjustment, frozenset(own.options)) for own in each.tables])
        for each in tables_of(frame, options)
    ]
    write_whole(path, partial(write_frame_page, frame, shown), force)


# --- check ----------------------------------------------------------------------------------------------


def check_text(paths: list[Path]) -> tuple[str, bool]:
    """Every fault explained, and whether there is none."""
    checked = check_files(paths)
    return checked_screen(checked), not any(each.faults for each in checked)


# --- new ------------------------------------------------------------------------------------------------


def new_frame(ask: Ask, tell: Tell, folder: Path, path: Path | None, force: bool) -> Path | None:
    """Asks for a frame, shows its tables, and writes its file if that is agreed to; None where it is not.

    ``path`` is the file; with None it is named after the code, in the folder. Raises ``Unusable``:
    call-unusable where the answers end too soon, output-exists, output-locked.
    """
    if path is not None and path.exists() and not force:
        raise Unusable(problem("output-exists", Place(path.name), f"{path.name} is already there."))
    tell(OPENING)
    try:
        raw = ask_frame(ask, tell, taken_in(folder, named=path is not None))
        path = path or named_after(raw["code"], folder)
        content = frame_text(raw, (REMARK,))
        frame, problems = read_frame_text(content.encode(), path.name)
        if frame is None:
            raise Unusable(*problems)
        tell(f"\n{show_text(frame, problems, None)}\n")
        if not yes_or_no(Asking(ask, tell), f"Write {path}", default=None):
            return None
    except EOFError:
        says = "The answers ended before the frame was whole."
        raise Unusable(call_fault("--new", says)) from None
    try:
        write_whole(path, partial(write_text, content), force)
    except Unusable:
        tell(f"\nThe file could not be written. It was to hold:\n\n{content}")
        raise
    return path


def write_text(content: str, path: Path) -> None:
    path.write_bytes(content.encode())


OPENING = """\
Answer from the frame maker's build sheet. Nothing is made up: what is left blank
is left out. Answer < to go back a question. Ctrl-C stops, and writes nothing."""


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


def asker(read_line: Callable[[], str], tell: Tell) -> Ask:
    """Asks by printing the question and reading a line. Raises EOFError at the end of the input."""

    def ask(question: str) -> str:
        tell(question)
        line = read_line()
        if not line:
            raise EOFError
        return line.rstrip("\r\n")

    return ask


# --- the command ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Words:
    """What was typed after ``reconcile frames``."""

    names: tuple[str, ...] = ()
    check: bool = False
    new: bool = False
    options: str = ""
    out: Path | None = None
    force: bool = False


def frames_command(words: Words, request: Request, tell: Tell, read_line: Callable[[], str]) -> bool:
    """Does what the words ask for; whether all frame files looked at can be used."""
    refuse_mixture(words)
    if words.check:
        paths = [Path(name) for name in words.names] or [frames_folder(request)]
        text, fine = check_text(paths)
        tell(text)
        return fine
    folder = frames_folder(request)
    if words.new:
        path = Path(words.names[0]) if words.names else None

        def note(text: str) -> None:
            tell(fitted(text))

        written = new_frame(asker(read_line, note), note, folder, path, words.force)
        tell(f"Written: {written}" if written else "Nothing was written.")
    elif words.names:
        show(words, folder, tell)
    else:
        tell(list_text(folder))
    return True


def show(words: Words, folder: Path, tell: Tell) -> None:
    """Each frame named, and the page of its drawings where that is asked for."""
    for number, code in enumerate(words.names):
        frame, notices = frame_named(code, folder)
        options = options_of(words.options, frame)
        if words.out is not None:  # first, so that nothing is shown where the page cannot be written
            write_drawings(frame, options, words.out, words.force)
        tell(("\n" if number else "") + show_text(frame, notices, options))
        if words.out is not None:
            tell(f"\nWritten: {words.out}")


def refuse_mixture(words: Words) -> None:
    """Raises ``Unusable`` for words that do not go together."""
    if words.check and words.new:
        raise Unusable(call_fault("--check", "Give either --check or --new, not both."))
    if (words.options or words.out) and (words.check or words.new or not words.names):
        raise Unusable(call_fault("--options" if words.options else "--out", "It goes with a frame code."))
    if len(words.names) > 1 and (words.new or words.out):
        raise Unusable(call_fault("--new" if words.new else "--out", "Name one frame at a time."))
