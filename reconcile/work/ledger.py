"""Look into the ledger: a part's card, the closings, what uses more than planned, and a check of it all."""

from dataclasses import dataclass
from pathlib import Path

from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import settle
from reconcile.plan.closing.overuse import overused
from reconcile.sheets.finding import Located, call_fault, stock_path
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import Closing, Entry
from reconcile.values.stock.overuse import Overuse
from reconcile.work.booking import difference_problems, ledger_of, open_desk, refuse_old


@dataclass(frozen=True, slots=True)
class LedgerThere:
    """A ledger that is open, and what was finished in it of an earlier run."""

    book: Ledger
    remarks: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class LedgerChecked:
    """What is wrong, part by part; nothing where sheet and ledger agree."""

    workbook: Path
    found: tuple[Problem, ...]
    remarks: tuple[Problem, ...]
    """What was finished of an earlier run."""


def open_there(places: Located) -> LedgerThere:
    """The ledger of the stock workbook. Raises Unusable (file-missing) where there is none."""
    path = ledger_path(stock_path(places))
    book = open_ledger(path, create=False)
    if book is None:
        says = f"There is no ledger yet ({path.name})."
        do = "Close a week or book a count; that opens it."
        raise Unusable(problem("file-missing", Place(path.name), says, do=do))
    return LedgerThere(book, tuple(settle(book, path.parent)))


def finish_earlier(places: Located) -> tuple[Problem, ...]:
    """Finishes an earlier run that was stopped, and says what of it. Raises as ``open_there`` does."""
    there = open_there(places)
    there.book.close()
    return there.remarks


def card_of(part: str, book: Ledger) -> list[Entry]:
    """A part's movements, oldest first. Raises Unusable (call-unusable) for a part without any."""
    entries = book.card(part)
    if not entries:
        like = book.like(part)
        says = f"The ledger has no part {part!r}." + (f" Nearest: {', '.join(like)}." if like else "")
        raise Unusable(call_fault("PART", says))
    return list(entries)


def closings_of(book: Ledger) -> list[Closing]:
    """Every closing in the order of posting."""
    return list(book.closings())


def overused_of(book: Ledger) -> list[Overuse]:
    """The frame keys that use more than planned week after week."""
    return list(overused(book.uses()))


def check_ledger(places: Located) -> LedgerChecked:
    """Adds everything up anew, and compares it with the stock sheet.

    Raises Unusable: stock-before-closing, and as ``open_desk`` does.
    """
    desk = open_desk(places)
    refuse_old(desk)
    found = (*ledger_of(desk).audit(), *difference_problems(desk, noticed=True))
    return LedgerChecked(desk.workbook, found, desk.remarks)
