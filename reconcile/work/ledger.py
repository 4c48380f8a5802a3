"""Look into the ledger: a part's card, the closings, what uses more than planned, and a check of it all."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import settle
from reconcile.ledger.files import digest
from reconcile.ledger.trust import compared
from reconcile.plan.closing.overuse import used_more
from reconcile.sheets.finding import Located, call_fault, stock_path
from reconcile.values.ledger.mark import APART
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import Closing, Entry
from reconcile.values.stock.overuse import UsedMore
from reconcile.values.words import called
from reconcile.work.booking import difference_problems, open_desk, refuse_old
from reconcile.work.marks import mark_on, noticed, refuse_apart


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
    workbook = stock_path(places)
    path = ledger_path(workbook)
    borne = mark_on(workbook)
    book = open_ledger(path, create=False)
    standing = compared(borne, digest(workbook), book)
    if book is None:
        refuse_apart(workbook, standing, borne)
        raise Unusable(no_ledger(path))
    if standing in APART:  # it is shown as it is, and nothing of it is finished here
        return LedgerThere(book, (noticed(workbook, standing, borne),))
    return LedgerThere(book, tuple(settle(book, path.parent)))


def card_of(part: str, book: Ledger) -> list[Entry]:
    """A part's movements, oldest first. Raises Unusable (call-unusable) for a part without any."""
    entries = book.card(called(part, book.parts()) or part)
    if not entries:
        like = book.like(part)
        says = f"The ledger has no part {part!r}." + (f" Nearest: {', '.join(like)}." if like else "")
        raise Unusable(call_fault("the part's number", says))
    return list(entries)


def closings_of(book: Ledger) -> list[Closing]:
    """Every closing in the order of posting."""
    return list(book.closings())


def used_more_of(book: Ledger) -> list[UsedMore]:
    """The frame keys that use more than planned week after week."""
    return list(used_more(book.uses()))


def check_ledger(places: Located) -> LedgerChecked:
    """Adds everything up anew, reads every row, and compares it with the stock sheet.

    A ledger without a closing is not yet begun, which is told and is no agreement. Raises Unusable:
    file-missing where there is no ledger; stock-before-closing, and as ``open_desk`` does.
    """
    workbook = stock_path(places)
    with open_anyhow(workbook) as ledger:
        broken = ledger.audit() if ledger else []
    if broken:
        return LedgerChecked(workbook, tuple(broken), ())
    desk = open_desk(places)
    if desk.ledger is None or desk.ledger.last() is None:
        return LedgerChecked(workbook, (not_begun(workbook),), desk.remarks)
    refuse_old(desk)
    return LedgerChecked(workbook, tuple(difference_problems(desk, noticed=True)), desk.remarks)


@contextmanager
def open_anyhow(workbook: Path) -> Iterator[Ledger | None]:
    """The ledger, or None for a blank one, for as long as it is looked at.

    Raises Unusable: file-missing where there is none and the workbook bears no mark of one.
    """
    path = ledger_path(workbook)
    ledger = open_ledger(path, create=False)
    if ledger is None and not path.exists() and mark_on(workbook) is None:
        raise Unusable(no_ledger(path))
    try:
        yield ledger
    finally:
        if ledger is not None:
            ledger.close()


def no_ledger(path: Path) -> Problem:
    do = "Close a week or book a count; that opens it."
    return problem("file-missing", Place(path.name), f"There is no ledger yet ({path.name}).", do=do)


def not_begun(workbook: Path) -> Problem:
    name = ledger_path(workbook).name
    return problem("ledger-not-begun", Place(name), f"{name} has no closing: it is not yet begun.")
