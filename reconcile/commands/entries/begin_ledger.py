"""``reconcile begin-ledger``: a ledger begun anew from what the sheet says, where the old one is gone."""

from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    Debug,
    InFolder,
    Replace,
    SettingsFile,
    StockFile,
    Today,
    Who,
    request_of,
)
from reconcile.commands.shell.terminal import Status, report, say


def begin_ledger(
    folder: InFolder = Path(),
    replace: Replace = False,
    who: Who = "",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Say what is lost; write nothing.")] = False,
    today: Today = "",
    stock: StockFile = None,
    settings: SettingsFile = None,
    debug: Debug = False,
) -> None:
    """Begin a new ledger from the stock sheet, where the old one is lost and cannot be put back.

    \b
    For example:
      reconcile begin-ledger --in workshop --dry-run
      reconcile begin-ledger --in workshop --replace
    Exit status: 0 begun; 2 nothing was written.
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.closing.ledger_screen import begun_screen
        from reconcile.sheets.finding import located
        from reconcile.work.entries.new_ledger import begin_ledger as begin

        places = located(request_of(folder, stock=stock, settings=settings, today=today))
        begun = begin(places, who, in_place=replace, dry_run=dry_run)
        report(begun.remarks)
        say(begun_screen(begun.lost, begun.workbook, begun.kept, begun.old))
        return Status.FINE

    terminal.guarded(run, debug, json=False)
