"""Change an order that is written and not placed: in its workbook, as a buyer would there."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from reconcile.sheets.edits.typed import sheet_shown
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.finding import located, stock_path
from reconcile.sheets.orders.written import orders_in
from reconcile.sheets.request import Request
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.orders.written import WrittenOrder
from reconcile.values.settings import Settings
from reconcile.values.stock.filled import RowShown, RowTyped, SheetShown
from reconcile.values.stock.parts import Stock
from reconcile.work.filling import mark_of_rows, open_to_fill, refuse_changed, save_rows
from reconcile.work.ordering.books import BookPath, in_book, no_such_order, order_books
from reconcile.work.planning import REPORTS

CHANGEABLE = ("quantity", "unit price", "wanted by")
NOTHING = "0"
"""A quantity that strikes a line out."""


@dataclass(frozen=True, slots=True)
class OrderToChange:
    """A written order with the rows of its sheet, and their mark."""

    order: WrittenOrder
    path: Path
    sheet: SheetShown
    mark: str


def order_to_change(reference: str, request: Request) -> OrderToChange:
    """The order as its workbook has it now. Raises Unusable: order-unknown, and as reading one does."""
    return _found(reference, request)[0]


def change_order(reference: str, typed: Sequence[RowTyped], mark: str, request: Request) -> WrittenOrder:
    """Saves what was typed into the order's sheet, and gives the order as it then stands.

    A quantity of 0 strikes a line out. Raises Unusable, with nothing changed, as ``save_rows`` does, and
    with every fault of the sheet as it would then be.
    """
    found, data, settings, stock = _found(reference, request)
    refuse_changed(mark, _lines(found), found.sheet)
    after: list[WrittenOrder] = []

    def check(book: Book) -> None:
        order = in_book(reference, orders_in(book, settings, stock))
        after.extend([order] if order else [])

    save_rows(found.path, data, [found.sheet], typed, settings, check)
    return after[0] if after else found.order


def _found(reference: str, request: Request) -> tuple[OrderToChange, bytes, Settings, Stock]:
    places = located(request)
    settings = places.settings
    book = open_book(stock_path(places), settings.limits, settings.csv_form)
    stock = read_stock(book, settings, places.today).stock
    books = order_books(request.folder / REPORTS)
    for book_path in reversed(books):
        found = _in(book_path, reference, settings, stock)
        if found is not None:
            return (*found, settings, stock)
    raise no_such_order(reference, books)


def _in(
    each: BookPath, reference: str, settings: Settings, stock: Stock
) -> tuple[OrderToChange, bytes] | None:
    book, data = open_to_fill(each.path, settings)
    order = in_book(reference, orders_in(book, settings, stock))
    if order is None:
        return None
    sheet = sheet_shown(book, order.place.sheet, ("our part", "quantity"))
    found = OrderToChange(order, each.path, sheet, "")
    return OrderToChange(order, each.path, sheet, mark_of_rows(_lines(found))), data


def _lines(found: OrderToChange) -> list[RowShown]:
    numbers = {line.place.row for line in found.order.lines}
    return [row for row in found.sheet.rows if row.number in numbers]
