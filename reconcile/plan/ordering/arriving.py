"""What came in, is given up, sent back to the supplier or credited: to what is booked of it. Pure."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from reconcile.plan.flows.reach import lead_time_of
from reconcile.plan.ordering.standing import Lines, Matcher
from reconcile.values.days import WorkDays
from reconcile.values.ledger.orders import (
    CANCELLED,
    CLOSED_SHORT,
    RECEIVED,
    REPLACEMENT,
    SENT_BACK,
    UNASKED,
    OrderEvent,
)
from reconcile.values.measure import quantity_text
from reconcile.values.orders.arrivals import Arrival, Target
from reconcile.values.orders.lines import ZERO, OrderKey, OrderLine
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.parts import Part
from reconcile.values.words import fold, nearest


@dataclass(slots=True)
class Arriving:
    """Arrivals as they are booked one after another: what each leaves still to come."""

    lines: Lines
    who: str
    left: dict[OrderKey, Fraction] = field(default_factory=dict)
    events: list[OrderEvent] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def book(self, arrival: Arrival, part: Part) -> None:
        """``part``: the one that came. Adds the problem order-not-listed where a word is needed and lacks."""
        target = arrival.target
        key = Matcher(self.lines).key(target.order, target.line, target.part)
        line = self.lines.get(key) if part.number == target.part else None
        left = self._left(line)
        came = left if arrival.quantity is None else arrival.quantity
        counted = min(came, left)
        if counted and line is not None:
            self._add(line.order, line.line, RECEIVED, part, counted, arrival, line)
        if came > counted:
            if not arrival.reason:
                self.problems.append(_not_listed(arrival, part, came))
            order, number = (line.order, line.line) if line else (target.order, target.line)
            self._add(order, number, UNASKED, part, came - counted, arrival, line)
        rest = left - counted
        if arrival.finished and rest and line is not None:
            self._add(line.order, line.line, CLOSED_SHORT, part, rest, arrival, line)
            rest = ZERO
        if line is not None:
            self.left[key] = rest

    def _left(self, line: OrderLine | None) -> Fraction:
        return ZERO if line is None else self.left.get(line.key, line.to_come)

    def _add(  # noqa: PLR0913, PLR0917  (one event)
        self, order: str, number: str, what: str, part: Part, quantity: Fraction, arrival: Arrival,
        line: OrderLine | None,
    ) -> None:  # fmt: skip
        supplier = "" if line else arrival.supplier or part.supplier
        self.events.append(OrderEvent(
            order, number, what, arrival.day, self.who, part.number, part.unit, quantity,
            supplier=supplier, reason=arrival.reason, source=str(arrival.place),
        ))  # fmt: skip


def _not_listed(arrival: Arrival, part: Part, came: Fraction) -> Problem:
    order = arrival.target.order
    on = f" on {order}" if order else ""
    says = f"{quantity_text(came)} {part.unit} of {part.number} came in{on}; so much of it is not on order."
    return problem("order-not-listed", arrival.place, says, found=order)


# --- which lines are meant ------------------------------------------------------------------------


def picked(target: Target, lines: Lines, place: Place) -> list[OrderLine]:
    """The lines that a person means. Raises Unusable (order-unknown) where there is none."""
    order, number = fold(target.order), fold(target.line)
    found = [
        line
        for key, line in lines.items()
        if key.order == order and number in ("", key.line) and target.part in ("", line.part)
    ]
    if found:
        return found
    there = [line for key, line in lines.items() if key.order == order]
    if there:
        says = f"The order {target.order} has no line {target.line or target.part}."
        known = ", ".join(line.line or line.part for line in there)
        raise Unusable(
            problem("order-unknown", place, says, do=f"Its lines are: {known}.", found=target.order)
        )
    like = nearest(target.order, {line.order for line in lines.values()})
    hint = f" Nearest: {', '.join(like)}." if like else ""
    says = f"Neither the stock workbook nor the ledger has an order {target.order!r}.{hint}"
    raise Unusable(problem("order-unknown", place, says, found=target.order))


# --- given up, sent back, credited ----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Booker:
    """Who books it when, and from where it came."""

    day: date
    who: str
    place: Place

    def event(  # noqa: PLR0913, PLR0917  (one event)
        self, line: OrderLine, what: str, quantity: Fraction, reason: str, expected: str = "",
        due: date | None = None,
    ) -> OrderEvent:  # fmt: skip
        return OrderEvent(
            line.order, line.line, what, self.day, self.who, line.part, line.unit, quantity, due,
            reason=reason, expected=expected, source=str(self.place),
        )  # fmt: skip


def cancelled(
    lines: Iterable[OrderLine], quantity: Fraction | None, reason: str, booker: Booker
) -> Iterator[OrderEvent]:
    """Nobody waits any more for so much of each line; for none of it where no quantity is given."""
    for line in lines:
        off = line.to_come if quantity is None else quantity
        if off:
            yield booker.event(line, CANCELLED, off, reason)


def sent_back(  # noqa: PLR0913, PLR0917  (one line, and all that is said of it)
    line: OrderLine, quantity: Fraction, expected: str, reason: str, booker: Booker, due: date
) -> OrderEvent:
    """Goods of a line go back; ``due``: when a replacement is to be there. Raises Unusable."""
    if quantity > line.kept:
        says = (
            f"{quantity_text(quantity)} {line.unit} of {line.part} are to go back on {line.order};"
            f" {quantity_text(line.kept)} of it came and are still here."
        )
        raise Unusable(problem("sent-back-more", booker.place, says, found=quantity_text(quantity)))
    again = due if expected == REPLACEMENT else None
    return booker.event(line, SENT_BACK, quantity, reason, expected, again)


def credited(
    lines: Iterable[OrderLine], quantity: Fraction | None, how: str, reason: str, booker: Booker
) -> Iterator[OrderEvent]:
    """The credit for so much of each line came, or is written off; all of it where no quantity is given."""
    for line in lines:
        off = line.credit if quantity is None else quantity
        if off:
            yield booker.event(line, how, off, reason)


def replacement_day(part: Part, today: date, days: WorkDays, otherwise: int | None) -> date:
    """When a replacement can be there: its lead time from today, else the next working day."""
    return days.after(today, max(lead_time_of(part, otherwise) or 1, 1))
