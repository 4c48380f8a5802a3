"""``reconcile ledger``: a part's card, the list of closings, a check, and a closing written back."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands import running
from reconcile.commands.close import Replace, Take, Who, report
from reconcile.commands.options import AsJson, Debug, InFolder, SettingsFile, StockFile, Today
from reconcile.commands.running import Status, say
from reconcile.values.problem import Place, Unusable, problem
from reconcile.work.planning import request_of

if TYPE_CHECKING:
    from reconcile.ledger.book import Ledger
    from reconcile.sheets.request import Request
    from reconcile.values.stock.movements import Closing, Movement, StockChange
    from reconcile.work.booking import Desk, Posting


def ledger(
    part: Annotated[str, typer.Argument(help="A part's number, for its card; none lists the closings.")] = "",
    folder: InFolder = Path(),
    undo: Annotated[
        str, typer.Option("--undo", help="Write a closing back: a week, like 2026-W49, or a count's name.")
    ] = "",
    replace: Replace = False,
    take_differences: Take = False,
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
    """Show a part's card, list the closings, check the ledger, or write a closing back.

    \b
    For example:
      reconcile ledger B14-250 --in workshop
      reconcile ledger --in workshop --check
      reconcile ledger --in workshop --undo 2026-W49
    Exit status: 0 fine; 1 the check found a difference; 2 unusable.
    """  # noqa: D301

    def run() -> int:
        request = request_of(folder, stock=stock, settings=settings, today=today)
        if undo:
            return written_back(undo, request, who, in_place=replace, take=take_differences)
        if check:
            return checked(request)
        with open_there(request) as book:
            say(used_text(book) if used else card_text(part, book, json) if part else closings_text(book))
        return Status.FINE

    running.guarded(run, debug, json)


def open_there(request: "Request") -> "Ledger":
    """The ledger of the request's stock workbook. Raises Unusable (file-missing) where there is none."""
    from reconcile.ledger.book import ledger_path, open_ledger
    from reconcile.ledger.booking import settle
    from reconcile.sheets.finding import stock_path

    path = ledger_path(stock_path(request))
    book = open_ledger(path, create=False)
    if book is None:
        says = f"There is no ledger yet ({path.name})."
        do = "Close a week or book a count; that opens it."
        raise Unusable(problem("file-missing", Place(path.name), says, do=do))
    report(settle(book, path.parent))
    return book


def card_text(part: str, book: "Ledger", json: bool) -> str:
    from reconcile.reports.closing.ledger_screen import card_json, card_screen
    from reconcile.sheets.finding import call_fault

    entries = book.card(part)
    if not entries:
        like = book.like(part)
        says = f"The ledger has no part {part!r}." + (f" Nearest: {', '.join(like)}." if like else "")
        raise Unusable(call_fault("PART", says))
    return card_json(part, entries) if json else card_screen(part, entries)


def closings_text(book: "Ledger") -> str:
    from reconcile.reports.closing.ledger_screen import closings_screen

    return closings_screen(book.closings())


def used_text(book: "Ledger") -> str:
    from reconcile.plan.closing.used import used_more
    from reconcile.reports.closing.ledger_screen import used_screen

    return used_screen(used_more(book.uses())) or "No line used more than planned week after week."


def checked(request: "Request") -> int:
    """Says what is wrong, part by part; the exit status."""
    from reconcile.reports.writing.text import problem_screen
    from reconcile.work.booking import difference_problems, open_desk, refuse_old

    open_there(request).close()
    desk = open_desk(request)
    assert desk.ledger is not None
    refuse_old(desk)
    found = [*desk.ledger.audit(), *difference_problems(desk, noticed=True)]
    report(desk.remarks)
    if found:
        say(problem_screen(tuple(found)))
        return Status.SHORT
    say(f"{desk.workbook.name} says what opening and movements come to, part by part.")
    return Status.FINE


# --- writing back ---------------------------------------------------------------------------------


def written_back(name: str, request: "Request", who: str, *, in_place: bool, take: bool) -> int:
    from reconcile.reports.closing.ledger_screen import posted_screen
    from reconcile.work.booking import open_desk, post

    open_there(request).close()
    desk = open_desk(request, who)
    posting = undoing(name, desk)
    posted = post(desk, posting, in_place=in_place, take=take)
    report([*desk.remarks, *posted.remarks])
    say(
        posted_screen(
            posting.closing,
            posting.movements,
            posted.workbook if posted.changed else None,
            posted.kept,
            posted.taken,
        )
    )
    return Status.FINE


def undoing(name: str, desk: "Desk") -> "Posting":
    """The reverse of a closing, for ``post``. Raises Unusable: closing-unknown, stock-before-closing."""
    from reconcile.ledger.book import reversed_movements
    from reconcile.values.stock.movements import SHEET, UNDO, Closing, StockChange
    from reconcile.work.booking import Posting, refuse_old

    assert desk.ledger is not None
    closing = desk.ledger.standing(name)
    if closing is None:
        there = (
            ", ".join(standing_closing.name for standing_closing in desk.ledger.standing_closings()) or "none"
        )
        says = f"No closing {name!r} stands; there is: {there}."
        raise Unusable(problem("closing-unknown", Place(desk.ledger.path.name), says, found=name))
    if closing.kind == SHEET:
        says = f"{name} took over what the sheet said; there is no earlier figure to go back to."
        do = "Count the parts, or correct the sheet and take the difference over."
        raise Unusable(problem("closing-unknown", Place(desk.ledger.path.name), says, do=do, found=name))
    entries = desk.ledger.movements_of(name)
    movements = reversed_movements(entries, desk.today, desk.who)
    back = Closing(f"undo of {name}", UNDO, desk.today, desk.who, undoes=name)
    last = desk.ledger.last()
    is_old = last is not None and last.name == name and desk.sha256 == closing.old_workbook
    if not is_old:
        refuse_old(desk)
    change = StockChange() if is_old else change_back(closing, movements, desk.ledger.path)
    numbers = [entry.number for entry in entries]
    return Posting(back, movements, change, reverses=numbers, sheet_is_old=is_old)


def change_back(closing: "Closing", movements: "list[Movement]", path: Path) -> "StockChange":
    """What the sheet gets back: on hand, orders, and the rows of usage out again.

    Raises Unusable (ledger-broken) where the ledger at ``path`` cannot say.
    """
    from reconcile.ledger.details import dues, usages
    from reconcile.plan.closing.movements import moved
    from reconcile.values.stock.movements import StockChange

    return StockChange(moved(movements), unreceived=dues(path, closing), unused=usages(path, closing))
