"""A written order is placed: what is booked of it, what its supplier gets, and what is odd about it. Pure."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from reconcile.plan.flows.reach import lead_time_of
from reconcile.plan.orders.supplier_orders import buyer_faults, order_faults
from reconcile.values.days import NoWorkingDay
from reconcile.values.ledger.orders import PLACED, WRITTEN, OrderEvent
from reconcile.values.measure import quantity_text
from reconcile.values.orders.written import WANTED, WrittenLine, WrittenOrder
from reconcile.values.problem import Problem, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Part, Stock, Supplier
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import PartResult
from reconcile.values.words import fold

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Placing:
    """One order as it is placed."""

    written: WrittenOrder
    events: tuple[OrderEvent, ...]
    sent: SupplierOrder
    """What its supplier gets; its faults say why it cannot go out as a file."""
    new_parts: tuple[Part, ...]
    """Parts that stock does not list yet."""
    problems: tuple[Problem, ...]
    """Any error among them forbids it."""


def place(order: WrittenOrder, stock: Stock, settings: Settings, today: date, who: str) -> Placing:
    """Problems: order-empty, order-date-past; notices: order-not-whole-packs."""
    changed = {change.part for change in order.changes if change.what == WANTED}
    parts = {line.part: _part(line, order, stock) for line in order.lines}
    dues = {line.part: _due(line, parts[line.part], settings, today, changed) for line in order.lines}
    events = [
        event
        for line in order.lines
        for event in _events(line, order, parts[line.part], dues[line.part], today, who)
    ]
    sent = _sent(order, parts, stock)
    faults = (*buyer_faults(sent, settings.workshop), *order_faults(sent))
    return Placing(
        order, tuple(events), replace(sent, faults=faults),
        tuple(part for number, part in parts.items() if number not in stock.parts),
        tuple(_problems(order, parts, changed, today)),
    )  # fmt: skip


def _part(line: WrittenLine, order: WrittenOrder, stock: Stock) -> Part:
    known = stock.parts.get(line.part)
    if known is not None:
        return known
    return Part(
        line.part, line.unit, description=line.designation or line.part, supplier=order.supplier,
        supplier_part=line.supplier_part, new=True,
    )  # fmt: skip


def _due(line: WrittenLine, part: Part, settings: Settings, today: date, changed: set[str]) -> date:
    """When it is to be there: as the buyer changed it; else when it is wanted, or when it can be if later.

    Without a lead time it is taken to come when it is wanted.
    """
    if line.wanted is not None and line.part in changed:
        return line.wanted
    lead_time = lead_time_of(part, settings.lead_time_days)
    try:
        soonest = settings.days.after(today, 1 if lead_time is None else lead_time)
    except NoWorkingDay:
        soonest = today
    if line.wanted is None:
        return soonest
    return max(line.wanted, today if lead_time is None else soonest)


def _events(  # noqa: PLR0913, PLR0917  (one line, and who places it when)
    line: WrittenLine, order: WrittenOrder, part: Part, due: date, today: date, who: str
) -> Iterator[OrderEvent]:
    written = OrderEvent(
        order.reference, line.line, WRITTEN, order.written, who, line.part, part.unit, line.quantity,
        line.wanted, line.price, order.currency if line.price is not None else "", order.supplier,
        source=str(line.place.cell("quantity")),
    )  # fmt: skip
    yield written
    yield replace(written, event=PLACED, day=today, due=due)


def _sent(order: WrittenOrder, parts: dict[str, Part], stock: Stock) -> SupplierOrder:
    known = {fold(supplier.code): supplier for supplier in stock.suppliers.values()}
    lines = tuple(_line(line, parts[line.part], order) for line in order.lines)
    supplier = known.get(fold(order.supplier)) or Supplier(order.supplier)
    return SupplierOrder(supplier, lines, order.reference, order.currency)


def _line(line: WrittenLine, part: Part, order: WrittenOrder) -> PartResult:
    """The line as the order of a part; only what an order says of it counts."""
    priced = replace(part, currency=order.currency, price=line.price)
    return PartResult(
        part=priced, on_order=ZERO, needed=ZERO, recovered=ZERO, shortfall=ZERO, first_short=None, end=ZERO,
        position=ZERO, reach=order.written, needed_later=ZERO, beyond=ZERO, want=line.quantity,
        order=line.quantity, packs=math.ceil(line.quantity / part.pack), required_by=line.wanted,
        order_by=None, late=False, jobs=(), unit_price=line.price,
    )  # fmt: skip


def _problems(
    order: WrittenOrder, parts: dict[str, Part], changed: set[str], today: date
) -> Iterator[Problem]:
    if not order.lines:
        yield problem("order-empty", order.place, f"No line of {order.reference} is left.")
    for line in order.lines:
        part = parts[line.part]
        if line.wanted is not None and line.part in changed and line.wanted < today:
            says = f"{line.part} is wanted by {line.wanted}; today is {today}."
            yield problem("order-date-past", line.place.cell("wanted by"), says, found=str(line.wanted))
        if line.quantity % part.pack or line.quantity < part.minimum_order:
            least = f", at least {quantity_text(part.minimum_order)}" if part.minimum_order else ""
            says = (
                f"{quantity_text(line.quantity)} {part.unit} of {line.part} are ordered; it comes in packs of"
                f" {quantity_text(part.pack)}{least}."
            )
            yield problem("order-not-whole-packs", line.place.cell("quantity"), says)
