"""What the glance shows: verdict, five figures, the days, what to do today, order value by supplier."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reconcile.reports.glance.todo import DueTask, to_do
from reconcile.reports.writing.wording import (
    after_a_look,
    count_text,
    day_text,
    money_text,
    proposed_text,
    verdict,
)
from reconcile.values.week.jobs import LEFT_OVER, NOT_CLOSED
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import COMPLETE, DONE, SHORT, TO_ORDER, WAITS, JobResult, Week

MOST_SUPPLIERS = 8
"""Rows that the page holds; the other sheets have them all."""

LEFT = "left over"
KIT_TOLD = {
    COMPLETE: "from the shelf",
    WAITS: "for what is coming",
    TO_ORDER: "complete if ordered in time",
    SHORT: "without a kit on their day",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """A number of chairs, what state they are in, and what more is to be said."""

    chairs: int
    state: str
    says: str


@dataclass(frozen=True, slots=True)
class DayJob:
    """A job as a cell of its day."""

    number: str
    kit: str
    chairs: int

    @property
    def text(self) -> str:
        return f"{self.number} ({self.chairs})" if self.chairs > 1 else self.number


@dataclass(frozen=True, slots=True)
class SupplierValue:
    """What is ordered from a supplier in one currency, with and without delivery; None: not known."""

    name: str
    lines: int
    unpriced: int
    """Lines without a price, which are in no sum."""
    goods: Decimal | None
    delivery: str
    total: Decimal | None
    currency: str


@dataclass(frozen=True, slots=True)
class Glance:
    """The page, each thing in the order in which it is read."""

    verdict: str
    under: tuple[str, ...]
    """What the verdict leaves open."""
    figures: tuple[Figure, ...]
    days: tuple[tuple[date, tuple[DayJob, ...]], ...]
    to_do: tuple[DueTask, ...]
    """All of it, the most chairs first."""
    values: tuple[SupplierValue, ...]
    """The dearest first; orders without a price last."""
    totals: tuple[SupplierValue, ...]
    """One for each currency."""


def glance_of(week: Week) -> Glance:
    """What the page of a planned week shows."""
    values = sorted(map(supplier_value, week.orders), key=lambda each: (-(each.total or 0), each.name))
    return Glance(
        verdict(week), tuple(filter(None, _left_open(week))), tuple(figures(week)), tuple(days(week)),
        tuple(to_do(week)), tuple(values), tuple(totals(week.orders)),
    )  # fmt: skip


def _left_open(week: Week) -> Iterator[str]:
    if aside := sum(tally.set_aside for tally in week.rows.values()):
        yield f"Not in this answer: {count_text(aside, 'row')} set aside for faults."
    if looks := after_a_look(week):
        yield f"{looks}."
    if done := sum(result.kit == DONE for result in week.jobs):
        yield f"{count_text(done, 'job')} done already."
    yield proposed_text(week)


def figures(week: Week) -> Iterator[Figure]:
    """Chairs by their kit, and those left over from earlier weeks."""
    for kit, told in KIT_TOLD.items():
        jobs = [result for result in week.jobs if result.kit == kit]
        by = min((result.order_by for result in jobs if result.order_by), default=None)
        first = f", first by {day_text(by)}" if kit == TO_ORDER and by else ""
        yield Figure(_chairs(jobs), kit, f"{count_text(len(jobs), 'job')} {told}{first}")
    old = [result for result in week.others if result.job.beside in (LEFT_OVER, NOT_CLOSED)]
    yield Figure(_chairs(old), LEFT, f"{count_text(len(old), 'job')} of earlier weeks")


def _chairs(results: Iterable[JobResult]) -> int:
    return sum(result.job.chairs for result in results)


def days(week: Week) -> Iterator[tuple[date, tuple[DayJob, ...]]]:
    """Each day with its jobs, in the order of their work."""
    found: dict[date, list[DayJob]] = {}
    for result in sorted(week.jobs, key=lambda result: result.job.order):
        job = result.job
        found.setdefault(job.day, []).append(DayJob(job.number, result.kit, job.chairs))
    yield from ((day, tuple(jobs)) for day, jobs in sorted(found.items()))


def supplier_value(order: SupplierOrder) -> SupplierValue:
    value = (order.goods, delivery_text(order), order.total, order.currency)
    return SupplierValue(order.name, len(order.lines), order.unpriced, *value)


def delivery_text(order: SupplierOrder) -> str:
    """The charge, or why there is none."""
    if order.charge is not None:
        return money_text(order.charge)
    if order.terms.delivery_charge is None:
        return "none given"
    return "not known" if order.charged is None else "free"


def totals(orders: Iterable[SupplierOrder]) -> Iterator[SupplierValue]:
    """Of each currency: goods, delivery, and both together."""
    priced = [order for order in orders if order.goods is not None]
    for currency in dict.fromkeys(order.currency for order in priced):
        own = [order for order in priced if order.currency == currency]
        goods = sum((order.goods for order in own if order.goods is not None), Decimal(0))
        charge = sum((order.charge for order in own if order.charge is not None), Decimal(0))
        lines = sum(len(order.lines) for order in own)
        named, unpriced = count_text(len(own), "supplier"), sum(order.unpriced for order in own)
        yield SupplierValue(named, lines, unpriced, goods, money_text(charge), goods + charge, currency)
