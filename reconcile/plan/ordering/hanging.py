"""Which jobs take from which line, and the list of all that is open. Pure.

The walk of the chosen jobs (``plan/kits/turns.py``) has said already, once for all, which delivery each of
them relies on, and what each job lacks. One pass over that, in the order of work, gives every unit of a line
to a job that it is in time for. What is left of a line, and what jobs take from it that could still be
ordered for, is then given to jobs that it comes too late for. Nothing is solved again: the work grows with
the lines and with what jobs take from them.
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from reconcile.plan.flows.reach import open_from
from reconcile.plan.ordering.standing import Lines, Matcher
from reconcile.values.orders.lines import (
    ANSWERED,
    OVERDUE,
    PART_RECEIVED,
    PLACED,
    UNPLACED,
    ZERO,
    OrderKey,
    OrderLine,
)
from reconcile.values.orders.listed import CreditLine, Hanging, OpenLine, OrderList
from reconcile.values.orders.written import WrittenLine, WrittenOrder
from reconcile.values.stock.parts import Due
from reconcile.values.week.results import ORDER, Inputs, JobResult, Week
from reconcile.values.words import fold


@dataclass(slots=True)
class _Delivery:
    """One row of what is on order while jobs take from it."""

    due: Due
    left: Fraction
    hanging: list[Hanging] = field(default_factory=list)


def order_list(week: Week, lines: Lines, unplaced: Iterable[WrittenOrder] = ()) -> OrderList:
    """All that is open, what is at stake first, and credits that are expected.

    ``lines``: what the ledger has; ``unplaced``: written orders that were not placed.
    """
    matcher = Matcher(lines)
    found = [_open_line(each, lines.get(matcher.of(each.due)), week) for each in deliveries(week)]
    found += [_unplaced_line(order, line, week) for order in unplaced for line in order.lines]
    expected = tuple(CreditLine(line, _since(line)) for line in lines.values() if line.credit)
    return OrderList(tuple(sorted(found, key=lambda each: each.stake)), expected, week.today)


def open_orders(week: Week, inputs: Inputs) -> OrderList:
    """The same for a week that was planned, by its own inputs."""
    return order_list(week, {line.key: line for line in inputs.order_lines}, inputs.unplaced)


def deliveries(week: Week) -> list[_Delivery]:
    """Every row of what is on order with the jobs that take from it, in the order of the sheet."""
    rows = [_Delivery(due, due.quantity) for due in week.stock.due]
    jobs = sorted((each for each in (*week.jobs, *week.others) if each.awaited or each.missing), key=_turn_of)
    _give_in_time(rows, jobs, week)
    _give_late(rows, jobs, week)
    for row in rows:
        row.hanging.sort(key=lambda each: (each.day, each.priority, each.job))
    return rows


def _turn_of(result: JobResult) -> tuple[date, int, date, int]:
    job = result.job
    return (result.planned_for or job.day, job.priority, job.day, job.place.row)


def _give_in_time(rows: list[_Delivery], jobs: list[JobResult], week: Week) -> None:
    """What the walk found that chosen jobs rely on; equal deliveries of one day in the sheet's order."""
    there: dict[tuple[str, date, str], deque[_Delivery]] = defaultdict(deque)
    for row in rows:
        there[row.due.part, row.due.day, row.due.order].append(row)
    orderable = Orderable(week)
    for result in jobs:
        for awaited in result.awaited:
            if awaited.source.kind == ORDER:
                queue = there[awaited.part, awaited.day, awaited.source.number]
                _take(queue, awaited.quantity, result, orderable, late=False)


def _give_late(rows: list[_Delivery], jobs: list[JobResult], week: Week) -> None:
    """What jobs lack, from deliveries that come after their day, the earliest first.

    Jobs that rely on one and could still be ordered for would make way if it came earlier.
    """
    for row in rows:
        row.left += sum((each.quantity for each in row.hanging if each.orderable), ZERO)
    wanted = {missing.part for result in jobs for missing in result.missing}
    there: dict[str, list[_Delivery]] = defaultdict(list)
    for row in rows:
        if row.left and row.due.part in wanted:
            there[row.due.part].append(row)
    queues = {
        part: deque(sorted(own, key=lambda row: (row.due.day, row.due.place.row)))
        for part, own in there.items()
    }
    orderable = Orderable(week)
    for result in jobs:
        for missing in result.missing:
            if queue := queues.get(missing.part):
                # Jobs come in order of day: what was in time for an earlier one is so for all that follow.
                while queue and queue[0].due.day <= (result.planned_for or result.job.day):
                    queue.popleft()
                _take(queue, missing.quantity, result, orderable, late=True)


def _take(
    queue: "deque[_Delivery]", wanted: Fraction, result: JobResult, orderable: "Orderable", *, late: bool
) -> None:
    while queue and wanted > 0:
        row = queue[0]
        taken = min(row.left, wanted)
        if taken:
            row.left, wanted = row.left - taken, wanted - taken
            day = result.planned_for or result.job.day
            row.hanging.append(Hanging(
                result.job.number, day, result.job.priority, taken, result.job.chairs, late,
                orderable.by(row.due.part, day),
            ))  # fmt: skip
        if not row.left:
            queue.popleft()


class Orderable:
    """Whether an order placed today would be there by a day; worked out once for a part."""

    def __init__(self, week: Week) -> None:
        self._week = week
        self._from: dict[str, date | None] = {}

    def by(self, number: str, day: date) -> bool:
        if number not in self._from:
            settings, part = self._week.settings, self._week.stock.parts.get(number)
            today, days = self._week.today, settings.days
            self._from[number] = open_from(part, settings.lead_time_days, today, days) if part else None
        first = self._from[number]
        return first is not None and day >= first


# --- a line as it is listed -----------------------------------------------------------------------


def _open_line(delivery: _Delivery, booked: OrderLine | None, week: Week) -> OpenLine:
    due, part = delivery.due, week.stock.parts[delivery.due.part]
    return OpenLine(
        _standing(due, booked), due.order, due.line or (booked.line if booked else ""), due.part,
        part.designation, due.supplier or (booked.supplier if booked else "") or part.supplier,
        due.quantity, part.unit, due.day, tuple(delivery.hanging), due.said, booked=booked,
        price=due.price if due.price is not None else booked.price if booked else None,
    )  # fmt: skip


def _standing(due: Due, booked: OrderLine | None) -> str:
    if due.said is not None:
        return OVERDUE
    if booked is not None and booked.received:
        return PART_RECEIVED
    return ANSWERED if due.answered or (booked is not None and booked.answered) else PLACED


def _unplaced_line(order: WrittenOrder, line: WrittenLine, week: Week) -> OpenLine:
    """What hangs on it are the jobs that its part's order is for in the plan of today."""
    result = next((each for each in week.parts if each.part.number == line.part), None)
    jobs = {each.job.number: each for each in (*week.jobs, *week.others)}
    orderable = Orderable(week)
    at_risk = _together((risk.job, risk.day, risk.quantity) for risk in (result.at_risk if result else ()))
    hanging = tuple(
        Hanging(
            job, day, jobs[job].job.priority, quantity, jobs[job].job.chairs,
            orderable=orderable.by(line.part, jobs[job].planned_for or day),
        )
        for (job, day), quantity in at_risk.items()
        if job in jobs
    )  # fmt: skip
    return OpenLine(
        UNPLACED, order.reference, line.line, line.part, line.designation, order.supplier, line.quantity,
        line.unit, None, hanging, written=order.written, price=line.price,
    )  # fmt: skip


def _together(
    risks: Iterable[tuple[str, date, Fraction]],
) -> Mapping[tuple[str, date], Fraction]:
    found: dict[tuple[str, date], Fraction] = defaultdict(Fraction)
    for job, day, quantity in risks:
        found[job, day] += quantity
    return found


def _since(line: OrderLine) -> date:
    """When goods of it last came, which is no later than when they were sent back."""
    return max((each.day for each in line.arrived), default=line.placed or date.min)


def placed_references(keys: Iterable[OrderKey], due: Iterable[Due]) -> frozenset[str]:
    """Folded numbers of all orders that were ever placed, or stand in the sheet."""
    return frozenset((*(key.order for key in keys), *(fold(row.order) for row in due)))


def unplaced(orders: Iterable[WrittenOrder], known: frozenset[str]) -> Iterator[WrittenOrder]:
    """Written orders whose reference nobody has placed or given up."""
    return (order for order in orders if fold(order.reference) not in known)
