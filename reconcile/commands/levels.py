"""``reconcile levels``: shelf levels proposed from recorded use, and stock that is dead or dear."""

from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands import running
from reconcile.commands.completion import offering, part_numbers
from reconcile.commands.options import AsJson, Debug, Folder, Quiet, SettingsFile, StockFile, Today
from reconcile.commands.progress import stages
from reconcile.commands.running import Status, say
from reconcile.work.planning import WRITING, request_of


def levels(
    folder: Folder = Path(),
    part: Annotated[
        str,
        typer.Option(
            "--part",
            help="One part, with all that its levels rest on.",
            autocompletion=offering(part_numbers),
        ),
    ] = "",
    out: Annotated[Path | None, typer.Option("--out", help="A workbook to write it all to.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a workbook that is there already.")] = False,
    today: Today = "",
    stock: StockFile = None,
    settings: SettingsFile = None,
    json: AsJson = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Propose reorder points and order-up-to levels from recorded use, and show what lies there unused.

    \b
    For example:
      reconcile levels workshop
      reconcile levels workshop --part B14-250
      reconcile levels workshop --out levels.xlsx
    Nothing is applied; reconcile week --use-proposed-levels orders by them.
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.writing.text import written_lines
        from reconcile.work.levels import answer, surveyed, write_book

        request = request_of(folder, stock=stock, settings=settings, today=today)
        written: list[Path] = []
        with stages(quiet) as stage:
            found, page = surveyed(request, stage)
            told = answer(found, part, json)
            if out is not None:
                stage(WRITING)
                written = write_book(found, page, out, request, force)
        if json:
            say(told)
        else:
            running.sayer(quiet)("\n\n".join(filter(None, (told, written_lines(written)))))
        return Status.FINE

    running.guarded(run, debug, json)
