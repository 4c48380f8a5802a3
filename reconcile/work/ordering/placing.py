"""Place orders: as their workbook has them now, into the ledger and onto the sheet On order, in one step.

What suppliers get is written first, to match the workbook as it is: stopped after that, the next run does
the same again, and nothing is placed yet. Ledger and stock workbook follow as for a closing.
"""

import re
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.ledger.book import Beside, ledger_path
from reconcile.plan.ordering.hanging import placed_references
from reconcile.plan.orders.placing import Placing, place
from reconcile.sheets.finding import located
from reconcile.sheets.orders.written import read_order_book
from reconcile.sheets.request import Request
from reconcile.values.days import Period, period_named
from reconcile.values.orders.written import OrderBook, WrittenOrder
from reconcile.values.problem import COMMAND_LINE, Place, Problem, Unusable, problem
from reconcile.values.stock.movements import ORDERS, Closing, StockChange
from reconcile.values.week.page_foot import PageFoot
from reconcile.values.words import fold
from reconcile.work.booking import Posted, Posting, StockDesk, open_desk, post, refuse_old
from reconcile.work.ordering.beside import orders_there
from reconcile.work.ordering.books import find_order, no_such_order, order_books
from reconcile.work.planning import REPORTS

if TYPE_CHECKING:
    from reconcile.reports.writing.files import Writer

ALL = "all"
_UNSAFE = re.compile(r"[^\w .()-]")


@dataclass(frozen=True, slots=True)
class ToPlace:
    """What placing comes to. Nothing is written yet."""

    desk: StockDesk
    orders: tuple[Placing, ...]
    posting: Posting
    folder: Path
    """Where the order workbooks are, and where what is sent goes."""
    remarks: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class OrdersPlaced:
    """What was placed, the files to send, and what became of the stock workbook."""

    orders: tuple[Placing, ...]
    files: tuple[Path, ...]
    posted: Posted


def prepare_placing(request: Request, which: str, who: str = "", out: Path | None = None) -> ToPlace:
    """``which``: an order's number, ``all`` of the last order workbook, or the path of one.

    Raises Unusable, with every fault: order-placed-already, order-unknown, order-book-unreadable,
    order-line-doubled, order-empty, order-date-past; and as ``open_desk`` does.
    """
    places = located(request)
    desk = open_desk(places, who)
    refuse_old(desk)
    folder = out or request.folder / REPORTS
    found = chosen(which, folder, desk)
    if not found:
        says = f"There is nothing to place: {which} has no order."
        raise Unusable(problem("order-unknown", Place(COMMAND_LINE, "", "--placed"), says, found=which))
    refuse_placed(found, known_references(desk))
    stock, settings = desk.read.stock, places.settings
    placings = tuple(place(order, stock, settings, desk.today, desk.who) for order in found)
    problems = [fault for each in placings for fault in each.problems]
    if any(fault.severity == "error" for fault in problems):
        raise Unusable(*problems)
    problems += dict.fromkeys(fault for each in placings for fault in each.sent.faults)
    new = {part.number: part for each in placings for part in each.new_parts}
    name = closing_name("placed", [each.reference for each in found], desk)
    closing = Closing(name, ORDERS, desk.today, desk.who)
    events = tuple(event for each in placings for event in each.events)
    change = StockChange(new_parts=tuple(new.values()))
    posting = Posting(closing, (), change, beside=Beside(orders=events), marks=True)
    return ToPlace(desk, placings, posting, folder, (*desk.remarks, *problems))


def book_placing(prepared: ToPlace, *, in_place: bool, take_differences: bool = False) -> OrdersPlaced:
    """Writes what suppliers get, and books. Raises Unusable as ``write_all`` and ``post`` do."""
    from reconcile.reports.writing.files import write_all

    outputs = [output for each in prepared.orders for output in sent_files(each, prepared)]
    write_all(outputs, force=True)
    posted = post(prepared.desk, prepared.posting, in_place=in_place, take_differences=take_differences)
    return OrdersPlaced(prepared.orders, tuple(path for path, _ in outputs), posted)


def sent_files(placing: Placing, prepared: ToPlace) -> "list[tuple[Path, Writer]]":
    """The supplier's sheet as a workbook of its own, and the order file where it can go out as one."""
    from reconcile.reports.orders.book import write_sent_order
    from reconcile.reports.orders.xml import write_sent_xml
    from reconcile.reports.writing.csv_files import safe_file_name

    written, settings = placing.written, prepared.desk.settings
    stem = safe_file_name(f"order-{written.reference}")
    period = period_named(written.period) or Period(written.written, written.written)
    foot = PageFoot(period, datetime.now(), settings.country or "")
    day = prepared.desk.today
    files: list[tuple[Path, Writer]] = [
        (
            prepared.folder / f"{stem}.xlsx",
            partial(write_sent_order, placing.sent, settings.workshop, day, foot),
        )
    ]
    if not placing.sent.faults:
        xml = partial(write_sent_xml, placing.sent, settings.workshop, day)
        files.append((prepared.folder / f"{stem}.xml", xml))
    return files


def chosen(which: str, folder: Path, desk: StockDesk) -> list[WrittenOrder]:
    """The orders that are meant. Raises Unusable: order-unknown, and as reading an order workbook does."""
    settings, stock = desk.settings, desk.read.stock
    books = order_books(folder)
    if Path(which).suffix.lower() in (".xlsx", ".xlsm"):
        return still_open(read_order_book(Path(which), settings, stock), desk)
    if fold(which) == ALL:
        if not books:
            raise no_such_order(which, books)
        return still_open(read_order_book(books[-1].path, settings, stock), desk)
    if fold(which) in known_references(desk):
        raise placed_before(which, Place(ledger_path(desk.workbook).name))
    found = find_order(which, books, settings, stock)
    if found is None:
        raise no_such_order(which, books)
    return [found]


def still_open(book: OrderBook, desk: StockDesk) -> list[WrittenOrder]:
    """The orders of a workbook that are not placed yet; all of them where every one is, to be refused."""
    known = known_references(desk)
    return [order for order in book.orders if fold(order.reference) not in known] or list(book.orders)


def known_references(desk: StockDesk) -> frozenset[str]:
    """Folded numbers of orders placed or given up, or that stand in the sheet."""
    there = orders_there(desk.ledger, desk.read.stock, desk.workbook.name)
    return placed_references(there.lines, desk.read.stock.due)


def placed_before(reference: str, place: Place) -> Unusable:
    says = f"{reference} was placed before, or given up."
    return Unusable(problem("order-placed-already", place, says, found=reference))


def refuse_placed(orders: list[WrittenOrder], known: frozenset[str]) -> None:
    faults = [
        fault
        for order in orders
        if fold(order.reference) in known
        for fault in placed_before(order.reference, order.place).problems
    ]
    if faults:
        raise Unusable(*faults)


def closing_name(what: str, references: list[str], desk: StockDesk) -> str:
    """``placed 2026-W49-QUIL``; of several orders how many; with a number where that is taken."""
    first = references[0] if len(references) == 1 else f"{len(references)} orders {desk.today}"
    name = _UNSAFE.sub("_", f"{what} {first}")
    return desk.ledger.free_name(name) if desk.ledger else name
