"""What stands in the book, to be undone or released: shown with what it would do before it is done."""

from dataclasses import dataclass

from reconcile.ledger.book import ledger_path, open_ledger
from reconcile.sheets.finding import located, stock_path
from reconcile.sheets.request import Request
from reconcile.values.ledger.holds import Hold
from reconcile.values.stock.movements import SHEET, UNDO, Closing
from reconcile.work.booking import Posting, open_desk
from reconcile.work.entries.releasing import release
from reconcile.work.entries.undoing import Undone, undo, undoing
from reconcile.work.marks import is_foreign


@dataclass(frozen=True, slots=True)
class BookStanding:
    """What a ledger has that somebody may take back."""

    closings: tuple[Closing, ...] = ()
    """Those that can be written back, the last first."""
    holds: tuple[Hold, ...] = ()
    weeks: tuple[str, ...] = ()
    """The names of all closings that stand."""


def book_standing(request: Request) -> BookStanding:
    """Nothing where there is no ledger, or another workbook's. Raises Unusable as ``open_ledger`` does."""
    workbook = stock_path(located(request))
    ledger = open_ledger(ledger_path(workbook), create=False)
    if ledger is None:
        return BookStanding()
    with ledger:
        if is_foreign(workbook, ledger):
            return BookStanding()
        standing = list(ledger.standing_closings())
        back = tuple(closing for closing in reversed(standing) if closing.kind not in (SHEET, UNDO))
        holds = tuple(hold for hold in ledger.holds() if hold.stands)
        return BookStanding(back, holds, tuple(closing.name for closing in standing))


def undo_shown(name: str, request: Request) -> Posting:
    """What writing a closing back would book. Nothing is. Raises Unusable as ``undoing`` does."""
    return undoing(name, open_desk(located(request), finishes=False))


def undo_named(name: str, request: Request, who: str, *, take_differences: bool) -> Undone:
    """Writes a closing back, the new workbook in the old one's place. Raises Unusable as ``undo`` does."""
    return undo(name, located(request), who, in_place=True, take_differences=take_differences)


def release_named(number: str, request: Request, who: str) -> Hold:
    """Gives a held job up. Raises Unusable as ``release`` does."""
    return release(number, located(request), who)
