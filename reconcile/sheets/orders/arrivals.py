"""A workbook or csv of what came in midweek: the sheet Deliveries of the returns workbook, by itself."""

from datetime import date
from pathlib import Path

from reconcile.sheets.files.books import open_book
from reconcile.sheets.returns.columns import Shelves
from reconcile.sheets.returns.rows import DELIVERIES, DeliveryColumns
from reconcile.sheets.tables.rows import Fault, open_table
from reconcile.values.catalogue import ERROR
from reconcile.values.orders.arrivals import Arrival, Target
from reconcile.values.problem import Problem, Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Stock
from reconcile.values.stock.returns import Delivery


def read_arrivals(path: Path, settings: Settings, stock: Stock, today: date) -> list[Arrival]:
    """Every row that is filled in; one without a day came today.

    Raises Unusable with every fault of every row, and as ``open_book`` does.
    """
    book = open_book(path, settings.limits, settings.csv_form)
    table, problems = open_table(book, DELIVERIES, settings, needed=True)
    if table is None:
        raise Unusable(*problems)
    columns, shelves = DeliveryColumns(settings), Shelves(stock, settings)
    arrivals: list[Arrival] = []
    faults: list[Problem] = []
    for row in table.rows(columns):
        found: list[Fault] = list(row.faults)
        if not found:
            delivery, found = columns.made(row, shelves, table.place(row.number))
            found = [fault for fault in found if fault.heading != "received on"]
            if delivery.received is not None or delivery.finished:
                arrivals.append(_arrival(delivery, columns.received_on.of(row) or today))
        faults += [table.problem(fault, row) for fault in found]
    faults += [each for each in book.problems if each.severity == ERROR]
    if faults:
        raise Unusable(*faults)
    return arrivals


def _arrival(delivery: Delivery, day: date) -> Arrival:
    return Arrival(
        Target(delivery.order, delivery.line, delivery.part), day, delivery.received, bin=delivery.bin,
        finished=delivery.finished, reason=delivery.note, place=delivery.place.cell("received"),
    )  # fmt: skip
