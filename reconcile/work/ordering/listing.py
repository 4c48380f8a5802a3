"""All orders that are open, what hangs on each line, and how suppliers kept their word."""

from dataclasses import dataclass

from reconcile.ledger.book import ledger_path, open_ledger
from reconcile.plan.ordering.hanging import order_list
from reconcile.plan.ordering.records import optimistic, records
from reconcile.plan.ordering.standing import lines_of
from reconcile.sheets.finding import Located, located, stock_path
from reconcile.sheets.request import Request
from reconcile.values.orders.lines import OrderLine
from reconcile.values.orders.listed import OrderList
from reconcile.values.orders.records import SupplierRecord
from reconcile.values.problem import Problem
from reconcile.values.week.results import Week
from reconcile.work.marks import CODES, is_foreign, told_apart
from reconcile.work.ordering.books import order_books, unplaced_of
from reconcile.work.planning import REPORTS, plan
from reconcile.work.stages import Stage, unwatched


@dataclass(frozen=True, slots=True)
class OrdersListed:
    """The list, and what is to be said beside it."""

    orders: OrderList
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Recorded:
    """Every supplier's record, and lead times of the sheet that are too short."""

    suppliers: tuple[SupplierRecord, ...]
    problems: tuple[Problem, ...]


def list_orders(request: Request, stage: Stage = unwatched) -> OrdersListed:
    """Every line that is open: written and not placed, placed, answered, partly received, overdue.

    The period is that of a weekly run. Raises Unusable as ``plan`` does.
    """
    return listed_of(plan(request, stage), request)


def listed_of(week: Week, request: Request) -> OrdersListed:
    """The same of a week that is planned already."""
    lines = {line.key: line for line in week.order_lines}
    books = order_books(request.folder / REPORTS)
    written, faults = unplaced_of(books, week.placed_orders, week.settings, week.stock)
    told = [each for each in week.problems if each.code in SAID_WITH_ORDERS]
    return OrdersListed(order_list(week, lines, written), (*faults, *told))


SAID_WITH_ORDERS = (
    "order-differs-noticed", "lead-time-optimistic", "due-past", "stock-outdated", *CODES.values(),
)  # fmt: skip
"""Of all that a plan remarks, what is about orders."""


def booked_lines(places: Located) -> tuple[OrderLine, ...]:
    """The lines of all orders by the ledger; none where there is no ledger, or another workbook's."""
    workbook = stock_path(places)
    ledger = open_ledger(ledger_path(workbook), create=False)
    if ledger is None:
        return ()
    with ledger:
        if is_foreign(workbook, ledger):
            return ()
        return tuple(lines_of(ledger.order_entries()).values())


def suppliers_recorded(request: Request) -> Recorded:
    """How suppliers kept their word, by the ledger. Raises Unusable as reading stock and ledger does."""
    from reconcile.sheets.files.books import open_book
    from reconcile.sheets.stock.workbook import read_stock

    places = located(request)
    book = open_book(places.stock, places.settings.limits, places.settings.csv_form)
    stock = read_stock(book, places.settings, places.today).stock
    lines = booked_lines(places)
    found = optimistic(lines, stock, places.settings, places.today)
    return Recorded(tuple(records(lines, places.settings.days)), (*found, *told_apart(request)))
