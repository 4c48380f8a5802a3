"""Order workbooks found, read, and kept from being written over while somebody's changes stand in them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from reconcile.sheets.orders.written import read_order_book
from reconcile.values.days import period_named
from reconcile.values.orders.written import OrderBook, WrittenOrder
from reconcile.values.problem import COMMAND_LINE, Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Stock
from reconcile.values.words import fold

PREFIX = "order-"
LOOKED_BACK = timedelta(weeks=8)
"""How long a weekly run names an order that was written and not placed; ``orders`` lists older ones too."""


@dataclass(frozen=True, slots=True)
class BookPath:
    """An order workbook, and the period that its name says."""

    path: Path
    first: date
    last: date
    period: str


def order_books(folder: Path) -> list[BookPath]:
    """The order workbooks of a folder, the earliest period first; suppliers' own are none of them."""
    found = []
    for path in folder.glob(f"{PREFIX}*.xlsx"):
        name = path.stem.removeprefix(PREFIX)
        period = period_named(name)
        if period is not None and period.name == name.partition(" ")[0]:
            found.append(BookPath(path, period.first, period.last, name))
    return sorted(found, key=lambda each: (each.first, each.last))


def unplaced_of(
    books: Iterable[BookPath], known: frozenset[str], settings: Settings, stock: Stock
) -> tuple[list[WrittenOrder], list[Problem]]:
    """Orders of these workbooks that nobody placed or gave up, and what is wrong with those not readable.

    ``known``: folded references of orders placed or given up.
    """
    orders: list[WrittenOrder] = []
    faults: list[Problem] = []
    for each in books:
        try:
            book = read_order_book(each.path, settings, stock)
        except Unusable as unusable:
            faults += unusable.problems
            continue
        orders += [order for order in book.orders if order.lines and fold(order.reference) not in known]
    return orders, faults


def earlier_unplaced(
    folder: Path, period: str, today: date, known: frozenset[str], settings: Settings, stock: Stock
) -> list[WrittenOrder]:
    """Orders of earlier weeks, for a weekly run: those of a few weeks back, whatever can be read of them."""
    books = [
        each for each in order_books(folder) if each.period != period and today - each.last <= LOOKED_BACK
    ]
    return unplaced_of(books, known, settings, stock)[0]


def not_placed(orders: Iterable[WrittenOrder]) -> Iterator[Problem]:
    """A notice for each order that was written in an earlier week and not placed."""
    for order in orders:
        lines = "1 line" if len(order.lines) == 1 else f"{len(order.lines)} lines"
        says = f"{order.reference}, {lines}: written on {order.written}, not placed."
        yield problem("order-not-placed", order.place, says, found=order.reference)


def kept_back(path: Path, known: frozenset[str], settings: Settings, stock: Stock) -> bool:
    """Whether an order workbook must not be written over: it was changed, and what was changed is not placed.

    One that cannot be read as it was written counts as changed; what is no workbook at all does not.
    """
    if not path.is_file():
        return False
    try:
        book = read_order_book(path, settings, stock)
    except Unusable as unusable:
        return any(fault.code != "file-kind" for fault in unusable.problems)
    return any(order.edited and fold(order.reference) not in known for order in book.orders)


def find_order(
    reference: str, books: Iterable[BookPath], settings: Settings, stock: Stock
) -> WrittenOrder | None:
    """The order of that reference, in the latest workbook that has it. Raises as reading one does."""
    for each in reversed(list(books)):
        found = in_book(reference, read_order_book(each.path, settings, stock))
        if found is not None:
            return found
    return None


def in_book(reference: str, book: OrderBook) -> WrittenOrder | None:
    return next((order for order in book.orders if fold(order.reference) == fold(reference)), None)


def no_such_order(reference: str, books: Iterable[BookPath]) -> Unusable:
    there = ", ".join(each.path.name for each in books) or "none"
    says = f"No order workbook has an order {reference!r}; looked at: {there}."
    return Unusable(problem("order-unknown", Place(COMMAND_LINE, "", "--placed"), says, found=reference))
