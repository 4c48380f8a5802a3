"""``reconcile frames``: frames listed, shown, checked and made."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.completion import frame_codes, offering
from reconcile.commands.shell.options import Debug, FramesFolder, InFolder, SettingsFile, request_of
from reconcile.commands.shell.terminal import Status, say
from reconcile.values.problem import Unusable

if TYPE_CHECKING:
    from reconcile.work.workshop.frames import FrameShown


OptionsShown = Annotated[
    str, typer.Option("--options", metavar="LIST", help="Fitted options, separated by commas.")
]
PageOut = Annotated[
    Path | None, typer.Option("--out", metavar="FILE", help="Write a page (html) with drawings.")
]


def frames(
    names: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[CODE | FILE...]",
            help="A frame code; with --check or --new, files.",
            autocompletion=offering(frame_codes),
        ),
    ] = None,
    check: Annotated[bool, typer.Option("--check", help="Check frame files; explain each fault.")] = False,
    new: Annotated[bool, typer.Option("--new", help="Ask for a frame, and write its file.")] = False,
    options: OptionsShown = "",
    out: PageOut = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there already.")] = False,
    folder: InFolder = Path(),
    frames_folder: FramesFolder = None,
    settings: SettingsFile = None,
    debug: Debug = False,
) -> None:
    """List the frames, show bolt lengths by step, check frame files, or make a new one.

    \b
    For example:
      reconcile frames --in workshop             lists them
      reconcile frames NQ-T1 --in workshop       bolt lengths of a joint by step
      reconcile frames NQ-T1 --options "front rigging" --out NQ-T1.html
      reconcile frames --check frames/NQ-T1.toml explains every fault
      reconcile frames --new                     asks, and writes a file
    Exit status: 0 fine; 2 a frame file, or the command, cannot be used.
    """  # noqa: D301

    def run() -> int:
        from reconcile.sheets.finding import frames_folder as folder_of

        words = tuple(names or ())
        refuse_mixture(words, check=check, new=new, options=options, out=out)
        request = request_of(folder, frames=frames_folder, settings=settings)
        if check:
            return say_checked([Path(word) for word in words] or [folder_of(request)])
        there = folder_of(request)
        if new:
            say_new(there, Path(words[0]) if words else None, force)
        elif words:
            say_frames(words, options, there, out, force)
        else:
            say_list(there)
        return Status.FINE

    terminal.guarded(run, debug, json=False)


def refuse_mixture(words: tuple[str, ...], *, check: bool, new: bool, options: str, out: Path | None) -> None:
    """Raises ``Unusable`` for words that do not go together."""
    from reconcile.sheets.finding import call_fault

    if check and new:
        raise Unusable(call_fault("--check", "Give either --check or --new, not both."))
    if (options or out) and (check or new or not words):
        raise Unusable(call_fault("--options" if options else "--out", "It goes with a frame code."))
    if len(words) > 1 and (new or out):
        raise Unusable(call_fault("--new" if new else "--out", "Name one frame at a time."))


def say_list(folder: Path) -> None:
    """Every frame of the folder, and every file that cannot be used."""
    from reconcile.reports.frames.screen import frames_list
    from reconcile.work.workshop.frames import list_frames

    there = list_frames(folder)
    say(frames_list(there.frames, there.faulty))


def say_frames(codes: Sequence[str], options: str, folder: Path, out: Path | None, force: bool) -> None:
    """Each frame named, and the page of its drawings where that is asked for."""
    from reconcile.work.workshop.frames import show_frame, write_drawings

    for number, code in enumerate(codes):
        found = show_frame(code, options, folder)
        if out is not None:  # first, so that nothing is shown where the page cannot be written
            write_drawings(found, out, force)
        say(("\n" if number else "") + frame_text(found))
        if out is not None:
            say(f"\nWritten: {out}")


def frame_text(found: "FrameShown") -> str:
    """A frame with its tables."""
    from reconcile.reports.frames.screen import frame_screen

    return frame_screen(found.frame, found.tables, found.notices)


def say_checked(paths: list[Path]) -> Status:
    """Every fault explained; the exit status."""
    from reconcile.reports.frames.screen import checked_screen
    from reconcile.work.workshop.frames import check_frames

    checked = check_frames(paths)
    say(checked_screen(checked))
    return Status.UNUSABLE if any(file.faults for file in checked) else Status.FINE


# --- a new frame ----------------------------------------------------------------------------------------


OPENING = """\
Answer from the frame maker's build sheet. Nothing is made up: what is left blank
is left out. Answer < to go back a question. Ctrl-C stops, and writes nothing."""


def say_new(folder: Path, path: Path | None, force: bool) -> None:
    """Asks for a frame, shows its tables, and writes its file if that is agreed to.

    Raises ``Unusable``: call-unusable where the answers end too soon, output-exists, output-locked.
    """
    from reconcile.sheets.finding import call_fault
    from reconcile.sheets.frames.questions import Asking, yes_or_no
    from reconcile.work.workshop.frames import answered_frame, refuse_there, write_new_frame

    refuse_there(path, force)
    note(OPENING)
    try:
        new = answered_frame(ask, note, folder, path)
        note(f"\n{frame_text(new.shown)}\n")
        if not yes_or_no(Asking(ask, note), f"Write {new.path}", default=None):
            say("Nothing was written.")
            return
    except EOFError:
        raise Unusable(call_fault("--new", "The answers ended before the frame was whole.")) from None
    try:
        write_new_frame(new, force)
    except Unusable:
        note(f"\nThe file could not be written. It was to hold:\n\n{new.content}")
        raise
    say(f"Written: {new.path}")


def note(text: str) -> None:
    """Says it within the width of a terminal."""
    from reconcile.reports.frames.screen import fitted

    say(fitted(text))


def ask(question: str) -> str:
    """Prints a question and reads the answer, a line. Raises EOFError at the end of the input."""
    note(question)
    line = terminal.read_line()
    if not line:
        raise EOFError
    return line.rstrip("\r\n")
