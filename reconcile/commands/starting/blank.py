"""``reconcile blank``: workbooks to fill in."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import Debug, Today
from reconcile.commands.shell.terminal import Status, say


def blank(
    folder: Annotated[Path, typer.Argument(help="The folder for the blank workbooks; made if need be.")],
    frames: Annotated[
        Path | None,
        typer.Option(
            "--frames", metavar="FOLDER", help="A folder of frame files: their codes and options are offered."
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace files that are there already.")] = False,
    today: Today = "",
    debug: Debug = False,
) -> None:
    """Write blank workbooks for jobs and stock, with drop-downs and notes, and a settings file.

    \b
    For example:
      reconcile blank workshop
      reconcile blank workshop --frames build-sheets
    Exit status: 0 written; 2 a file is there already, or something cannot be
      used.
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.writing.text import written_lines
        from reconcile.reports.writing.wording import count_text
        from reconcile.sheets.jobs.question import read_day
        from reconcile.work.workshop.blanks import write_blank

        day = read_day(today, "--today") if today else date.today()
        written = write_blank(folder, frames, day, force)
        for file, count in written.faulty.items():
            faults = count_text(count, "fault")
            say(f"{file}: {faults}; its frame is not offered. See reconcile frames --check.", "stderr")
        say(written_lines(written.files))
        say(f"\nTry next:\n  reconcile week {folder}")
        return Status.FINE

    terminal.guarded(run, debug, json=False)
