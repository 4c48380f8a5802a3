"""``reconcile ledger``: a part's card, the list of closings, a check, and a closing written back."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands.entries.close import posted_text
from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    AsJson,
    Debug,
    InFolder,
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
    from reconcile.ledger.book import Ledger
    from reconcile.sheets.finding import Located


Undo = Annotated[
    str,
    typer.Option(
        "--undo",
        metavar="CLOSING",
        help="Write a closing back: a week, like 2026-W49, or a count's name.",
    ),
]
Release = Annotated[
    str, typer.Option("--release", metavar="JOB", help="Give up the hold of a job, like J-4200.")
]


def ledger(
    part: Annotated[
        str, typer.Argument(help="A part's number, for its card; none lists closings and holds.")
    ] = "",
    folder: InFolder = Path(),
    undo: Undo = "",
    release: Release = "",
    replace: Replace = False,
    take_differences: TakeDifferences = False,
    check: Annotated[
        bool, typer.Option("--check", help="Add everything up anew, and compare it with the stock sheet.")
    ] = False,
    used: Annotated[
        bool, typer.Option("--used", help="List the frame keys that use more than planned week after week.")
    ] = False,
    who: Who = "",
    today: Today = "",
    stock: StockFile = None,
    settings: SettingsFile = None,
    json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show a part's card, list closings and holds, check the ledger, write a closing back, or end a hold.

    \b
    For example:
      reconcile ledger B14-250 --in workshop
      reconcile ledger --in workshop --check
      reconcile ledger --in workshop --undo 2026-W49
      reconcile ledger --in workshop --release J-4200
    Exit status: 0 fine; 1 the check found a difference; 2 unusable.
    """  # noqa: D301

    def run() -> int:
        from reconcile.sheets.finding import located
        from reconcile.work.entries.undoing import undo as write_back
        from reconcile.work.ledger import open_there

        places = located(request_of(folder, stock=stock, settings=settings, today=today))
        if release:
            return say_released(release, places, who)
        if undo:
            undone = write_back(undo, places, who, in_place=replace, take_differences=take_differences)
            report(undone.remarks)
            say(posted_text(undone.posting, undone.posted))
            return Status.FINE
        if check:
            return say_checked(places)
        there = open_there(places)
        with there.book as book:
            report(there.remarks)
            say(used_text(book) if used else card_text(part, book, json) if part else closings_text(book))
        return Status.FINE

    terminal.guarded(run, debug, json)


def card_text(part: str, book: "Ledger", json: bool) -> str:
    """A part's card, as text or as an object."""
    from reconcile.reports.closing.ledger_screen import card_json, card_screen
    from reconcile.work.ledger import card_of

    entries = card_of(part, book)
    number = entries[0].movement.part
    return card_json(number, entries) if json else card_screen(number, entries)


def closings_text(book: "Ledger") -> str:
    """The list of closings, and that of holds."""
    from reconcile.reports.closing.ledger_screen import closings_screen
    from reconcile.reports.week.hold_screen import holds_screen
    from reconcile.work.ledger import closings_of

    return "\n\n".join(filter(None, (closings_screen(closings_of(book)), holds_screen(book.holds()))))


def say_released(number: str, places: "Located", who: str) -> Status:
    """Ends a hold, and says so."""
    from reconcile.reports.week.hold_screen import released_screen
    from reconcile.work.entries.releasing import release

    say(released_screen(release(number, places, who)))
    return Status.FINE


def used_text(book: "Ledger") -> str:
    """The frame keys that use more than planned week after week."""
    from reconcile.reports.closing.ledger_screen import used_screen
    from reconcile.work.ledger import used_more_of

    return used_screen(used_more_of(book)) or "No line used more than planned week after week."


def say_checked(places: "Located") -> Status:
    """Says what is wrong, part by part; the exit status."""
    from reconcile.reports.writing.text import problem_screen
    from reconcile.work.ledger import check_ledger

    checked = check_ledger(places)
    report(checked.remarks)
    if checked.found:
        say(problem_screen(checked.found))
        return Status.SHORT
    say(f"{checked.workbook.name} says what opening and movements come to, part by part.")
    return Status.FINE
