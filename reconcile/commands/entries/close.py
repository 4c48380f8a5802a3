"""``reconcile close``: what was really used in a week goes back into the stock workbook and the ledger."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    Debug,
    Folder,
    Replace,
    SettingsFile,
    StockFile,
    TakeDifferences,
    Today,
    Who,
    request_of,
)
from reconcile.commands.shell.terminal import Status, report, say

if TYPE_CHECKING:
    from reconcile.work.booking import Posted, Posting
    from reconcile.work.entries.closing import Closed


def close(
    folder: Folder = Path(),
    week: Annotated[
        str,
        typer.Option(
            "--week",
            metavar="WEEK",
            help="The week to close, like 2026-W49.",
        ),
    ] = "",
    returns: Annotated[
        Path | None,
        typer.Option(
            "--returns",
            metavar="FILE",
            help="The returns workbook; default: returns-WEEK.xlsx in FOLDER/reports.",
        ),
    ] = None,
    replace: Replace = False,
    take_differences: TakeDifferences = False,
    who: Who = "",
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what would be booked; write nothing.")
    ] = False,
    today: Today = "",
    stock: StockFile = None,
    settings: SettingsFile = None,
    debug: Debug = False,
) -> None:
    """Close a week: book what was used, returned and received, and write a new stock workbook.

    \b
    For example:
      reconcile close workshop --week 2026-W49
      reconcile close workshop --week 2026-W49 --replace
    Exit status: 0 closed; 2 nothing was booked.
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.closing.ledger_screen import to_book_screen
        from reconcile.work.entries.closing import book_closing, prepare_closing

        request = request_of(folder, stock=stock, settings=settings, today=today)
        prepared = prepare_closing(request, week, returns, who, dry_run=dry_run)
        report(prepared.remarks)
        if dry_run:
            say(to_book_screen(prepared.posting.closing, prepared.posting.movements))
            return Status.FINE
        closed = book_closing(prepared, in_place=replace, take_differences=take_differences)
        report(closed.posted.remarks)
        say(closed_text(closed))
        return Status.FINE

    terminal.guarded(run, debug, json=False)


def closed_text(closed: "Closed") -> str:
    """What was booked, and frame keys to look at."""
    from reconcile.reports.closing.ledger_screen import used_screen

    sections = (posted_text(closed.posting, closed.posted), used_screen(closed.used_more))
    return "\n\n".join(filter(None, sections))


def posted_text(posting: "Posting", posted: "Posted") -> str:
    """What was booked, and where the new workbook is, if there is one."""
    from reconcile.reports.closing.ledger_screen import posted_screen

    return posted_screen(
        posting.closing, posting.movements, posted.written, posted.kept, posted.taken,
        finished=posted.finished,
    )  # fmt: skip
