"""``reconcile frames``: frames listed, shown, checked and made."""

from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands import running
from reconcile.commands.completion import frame_codes, offering
from reconcile.commands.options import Debug, FramesFolder, InFolder, SettingsFile
from reconcile.commands.running import Status, say
from reconcile.work.planning import request_of


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
    options: Annotated[str, typer.Option("--options", help="Fitted options, separated by commas.")] = "",
    out: Annotated[Path | None, typer.Option("--out", help="Write a page (html) with drawings.")] = None,
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
      reconcile frames NQ-T1 --in workshop       bolt lengths of each joint by step
      reconcile frames NQ-T1 --options "front rigging" --out NQ-T1.html
      reconcile frames --check frames/NQ-T1.toml explains every fault
      reconcile frames --new                     asks, and writes a file
    Exit status: 0 fine; 2 a frame file, or the command, cannot be used.
    """  # noqa: D301

    def run() -> int:
        from reconcile.work import frames as tasks

        words = tasks.Words(tuple(names or ()), check, new, options, out, force)
        request = request_of(folder, frames=frames_folder, settings=settings)
        fine = tasks.frames_command(words, request, say, running.read_line)
        return Status.FINE if fine else Status.UNUSABLE

    running.guarded(run, debug, json=False)
