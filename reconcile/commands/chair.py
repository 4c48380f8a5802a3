"""``reconcile chair``: a chair as the closed weeks left it."""

from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands import terminal
from reconcile.commands.options import AsJson, Debug, InFolder, SettingsFile, StockFile, request_of
from reconcile.commands.terminal import Status, say


def chair(
    asset: Annotated[str, typer.Argument(help="The chair's own number, as the jobs sheet has it.")],
    folder: InFolder = Path(),
    stock: StockFile = None,
    settings: SettingsFile = None,
    json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show a chair as the closed weeks left it: sizes, joints, jobs, checks.

    \b
    For example:
      reconcile chair WC-0443 --in workshop
    Exit status: 0 shown; 2 the ledger has no such chair, or cannot be read.
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.closing.chair_screen import chair_json, chair_screen
        from reconcile.work.chair import chair_of

        records = chair_of(asset, request_of(folder, stock=stock, settings=settings))
        say(chair_json(records) if json else chair_screen(records))
        return Status.FINE

    terminal.guarded(run, debug, json)
