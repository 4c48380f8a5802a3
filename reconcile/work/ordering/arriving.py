"""What came in midweek, what is cancelled, sent back to the supplier, credited: booked like a closing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from reconcile.ledger.book import Beside
from reconcile.plan.closing.movements import shelf_changes
from reconcile.plan.ordering.arriving import (
    Arriving,
    Booker,
    cancelled,
    credited,
    picked,
    replacement_day,
    sent_back,
)
from reconcile.plan.ordering.standing import Lines
from reconcile.sheets.finding import call_fault, located
from reconcile.sheets.orders.arrivals import read_arrivals
from reconcile.sheets.request import Request
from reconcile.values.ledger.orders import CANCELLED, WRITTEN, OrderEvent
from reconcile.values.orders.arrivals import ArrivedLine, Target
from reconcile.values.orders.lines import OrderLine
from reconcile.values.orders.written import WrittenOrder
from reconcile.values.problem import COMMAND_LINE, Place, Problem, Unusable, problem
from reconcile.values.stock.movements import ORDERS, RECEIVED, SENT_BACK, Closing, Movement, StockChange
from reconcile.values.stock.parts import Part
from reconcile.values.words import called, fold, nearest
from reconcile.work.booking import Posting, StockDesk, open_desk, refuse_old
from reconcile.work.ordering.beside import orders_there
from reconcile.work.ordering.books import find_order, order_books
from reconcile.work.ordering.placing import closing_name, known_references
from reconcile.work.planning import REPORTS

NOTHING_ORDERED = "-"
"""Typed in the place of an order's number, where goods came that nobody ordered."""


@dataclass(frozen=True, slots=True)
class OrdersToBook:
    """What is to be booked of orders. Nothing is yet."""

    desk: StockDesk
    posting: Posting
    remarks: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed beside an order's number."""

    quantity: Fraction | None = None
    came: str = ""
    bin: str = ""
    finished: bool = False
    reason: str = ""
    day: date | None = None


def prepare_received(
    request: Request, what: str, typed: Typed, who: str = "", *, files: bool = True
) -> OrdersToBook:
    """``what``: an order, ``ORDER/LINE``, ``-`` for goods that nobody ordered, or a workbook or csv.

    ``files``: False where it is never the name of a file, whatever an order is called.

    Raises Unusable: order-unknown, order-not-listed, movement-part-unknown, movement-bin-unknown; and as
    ``open_desk`` and ``read_arrivals`` do.
    """
    desk, lines = opened_desk(request, who)
    stock = desk.read.stock
    if files and Path(what).suffix.lower() in (".xlsx", ".xlsm", ".ods", ".csv"):
        arrivals = read_arrivals(Path(what), desk.settings, stock, desk.today)
    else:
        arrivals = typed_arrivals(what, typed, desk, lines)
    arriving = Arriving(lines, desk.who)
    movements: list[Movement] = []
    for arrival in arrivals:
        part = came_part(arrival, desk)
        before = len(arriving.events)
        arriving.book(arrival, part)
        movements += [
            receipt(event, arrival, part, desk.who) for event in arriving.events[before:] if moves(event)
        ]
    if arriving.problems:
        raise Unusable(*arriving.problems)
    return to_book(desk, "received", arriving.events, movements)


def prepare_cancelling(request: Request, what: str, typed: Typed, who: str = "") -> OrdersToBook:
    """A line or an order that nobody waits for any more; one that is written and not placed is given up."""
    desk, lines = opened_desk(request, who)
    written = written_only(what, desk, request.folder / REPORTS)
    if written is not None:
        return to_book(desk, "given up", list(given_up(written, typed.reason, desk)), [])
    meant = lines_meant(what, lines, "--cancel")
    events = list(cancelled(meant, typed.quantity, typed.reason, booker(desk, "--cancel")))
    return to_book(desk, "cancelled", events, [])


def prepare_sending_back(
    request: Request, what: str, typed: Typed, expected: str, who: str = ""
) -> OrdersToBook:
    """Goods of one line go back to the supplier, off the shelf; ``expected``: a replacement or a credit.

    Raises Unusable: sent-back-more; call-unusable without quantity or reason, or for several lines.
    """
    desk, lines = opened_desk(request, who)
    meant = lines_meant(what, lines, "--send-back")
    if len(meant) != 1:
        says = f"{what} has several lines; say which: {what}/{meant[0].line or meant[0].part}."
        raise Unusable(call_fault("--send-back", says))
    if typed.quantity is None or not typed.reason:
        raise Unusable(call_fault("--send-back", "Say how many, and why: --quantity and --reason."))
    line, part = meant[0], known_part(meant[0].part, desk, Place(COMMAND_LINE, "", "--send-back"))
    days, otherwise = desk.settings.days, desk.settings.lead_time_days
    due = replacement_day(part, desk.today, days, otherwise)
    event = sent_back(line, typed.quantity, expected, typed.reason, booker(desk, "--send-back"), due)
    place = Place(COMMAND_LINE, "", "--send-back")
    movement = Movement(
        part.number, bin_of(part, typed.bin, place), -typed.quantity, part.unit, SENT_BACK, desk.today,
        desk.who, line.order, None, typed.reason,
    )  # fmt: skip
    return to_book(desk, "sent back", [event], [movement])


def prepare_credit(request: Request, what: str, how: str, typed: Typed, who: str = "") -> OrdersToBook:
    """A credit that was expected came, or is written off."""
    desk, lines = opened_desk(request, who)
    meant = lines_meant(what, lines, "--credited")
    events = list(credited(meant, typed.quantity, how, typed.reason, booker(desk, "--credited")))
    return to_book(desk, how, events, [])


# --- what is meant --------------------------------------------------------------------------------


def opened_desk(request: Request, who: str) -> tuple[StockDesk, Lines]:
    """The stock workbook, and the lines of orders as they are once what the sheet says is booked."""
    desk = open_desk(located(request), who)
    refuse_old(desk)
    stock = desk.read.stock
    return desk, orders_there(desk.ledger, stock, desk.workbook.name).now(stock, desk.today, desk.who)


def lines_meant(what: str, lines: Lines, option: str) -> list[OrderLine]:
    """``PO-0884``, or ``PO-0884/2`` by a line's number or its part. Raises Unusable (order-unknown)."""
    place = Place(COMMAND_LINE, "", option)
    numbers = {key.order for key in lines}
    order, slash, line = what.rpartition("/")
    if fold(what) in numbers or not slash:
        return picked(Target(what), lines, place)
    found = picked(Target(order), lines, place)
    own = [each for each in found if fold(line) in (fold(each.line), fold(each.part))]
    return own or picked(Target(order, line), lines, place)


def typed_arrivals(what: str, typed: Typed, desk: StockDesk, lines: Lines) -> list[ArrivedLine]:
    day = typed.day or desk.today
    place = Place(COMMAND_LINE, "", "--received")
    if typed.came:
        typed = replace(typed, came=known_part(typed.came, desk, Place(COMMAND_LINE, "", "--came")).number)
    if what == NOTHING_ORDERED:
        if not typed.came or typed.quantity is None:
            says = "Say what came and how many: --came PART --quantity N."
            raise Unusable(call_fault("--received", says))
        return [arrival_of(Target("", "", typed.came), typed, day, place)]
    if typed.came and typed.quantity is None:
        raise Unusable(call_fault("--came", "Say how many came: --quantity N."))
    meant = lines_meant(what, lines, "--received")
    if len(meant) > 1 and (typed.quantity is not None or typed.came):
        says = f"{what} has several lines; say which: {what}/{meant[0].line or meant[0].part}."
        raise Unusable(call_fault("--received", says))
    return [
        arrival_of(Target(line.order, line.line, line.part), typed, day, place)
        for line in meant
        if line.to_come or typed.quantity is not None
    ]


def arrival_of(target: Target, typed: Typed, day: date, place: Place) -> ArrivedLine:
    return ArrivedLine(
        target, day, typed.quantity, typed.came if typed.came != target.part else "", typed.bin,
        typed.finished, typed.reason, place=place,
    )  # fmt: skip


def written_only(what: str, desk: StockDesk, folder: Path) -> WrittenOrder | None:
    """The order of that number where it is written and not placed."""
    if fold(what) in known_references(desk):
        return None
    return find_order(what, order_books(folder), desk.settings, desk.read.stock)


def given_up(order: WrittenOrder, reason: str, desk: StockDesk) -> Iterable[OrderEvent]:
    """So that its number is known, and it is not named any more."""
    for line in order.lines or order.at_first:
        written = OrderEvent(
            order.reference, line.line, WRITTEN, order.written, desk.who, line.part, line.unit, line.quantity,
            line.wanted, line.price, supplier=order.supplier, source=str(order.place),
        )  # fmt: skip
        yield written
        yield replace(
            written, event=CANCELLED, day=desk.today, quantity=Fraction(0), reason=reason or "never placed"
        )


# --- what is booked -------------------------------------------------------------------------------


def to_book(
    desk: StockDesk, what: str, events: Sequence[OrderEvent], movements: Sequence[Movement]
) -> OrdersToBook:
    """Raises Unusable (call-unusable) where there is nothing to book."""
    if not events:
        raise Unusable(call_fault("orders", "There is nothing to book: nothing of it is still to come."))
    named = list(dict.fromkeys(event.order or "no order" for event in events))
    closing = Closing(closing_name(what, named, desk), ORDERS, desk.today, desk.who)
    change = StockChange(shelf_changes(movements))
    posting = Posting(closing, tuple(movements), change, beside=Beside(orders=tuple(events)), marks=True)
    return OrdersToBook(desk, posting, desk.remarks)


def booker(desk: StockDesk, option: str) -> Booker:
    return Booker(desk.today, desk.who, Place(COMMAND_LINE, "", option))


def moves(event: OrderEvent) -> bool:
    """Whether goods come onto the shelf with it."""
    return event.event in ("received", "came unasked")


def receipt(event: OrderEvent, arrival: ArrivedLine, part: Part, who: str) -> Movement:
    return Movement(
        part.number, bin_of(part, arrival.bin, arrival.place), event.quantity or Fraction(0), part.unit,
        RECEIVED, arrival.day, who, event.order, arrival.place, arrival.reason,
    )  # fmt: skip


def came_part(arrival: ArrivedLine, desk: StockDesk) -> Part:
    return known_part(arrival.came or arrival.target.part, desk, arrival.place)


def known_part(number: str, desk: StockDesk, place: Place) -> Part:
    parts = desk.read.stock.parts
    found = called(number, parts)
    if found is None:
        like = nearest(number, parts)
        says = f"The stock sheet has no row for {number} that can be used."
        says += f" Nearest: {', '.join(like)}." if like else ""
        raise Unusable(problem("movement-part-unknown", place, says, found=number))
    return parts[found]


def bin_of(part: Part, name: str, place: Place) -> str:
    """The bin that was named, else the part's first."""
    names = [each.name for each in part.bins]
    found = called(name, names) if name else names[0]
    if found is None:
        says = f"The stock sheet has no bin {name} of {part.number}; there is {', '.join(names)}."
        raise Unusable(problem("movement-bin-unknown", place, says, found=name))
    return found
