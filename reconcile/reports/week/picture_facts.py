"""What the pictures show, in a workbook and on a page alike: figures, scales, titles that say the answer."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from itertools import chain, takewhile

from reconcile.reports.week.tables import runs_low
from reconcile.reports.writing.wording import amount_text, count_text, money_text
from reconcile.values.days import DAY_NAMES, ONE_DAY
from reconcile.values.trade_codes import minor_places, rounded
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import COMPLETE, SHORT, TO_ORDER, WAITS, PartResult, Week

KITS = (COMPLETE, WAITS, TO_ORDER, SHORT)
"""From the foot of a column to its top: what is short stands out at the end."""

MOST_DAYS_NAMED = 4
"""Days that a title names; of more it says how many."""

MOST_STEPS = 5
NICE = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Axis:
    """A scale in round steps from ``low`` to ``high``; zero is always on it."""

    low: Fraction
    high: Fraction
    step: Fraction

    @property
    def ticks(self) -> tuple[Fraction, ...]:
        count = int((self.high - self.low) / self.step)
        return tuple(self.low + number * self.step for number in range(count + 1))


@dataclass(frozen=True)
class JobsByDay:
    """How many jobs of each kind of kit are planned for each day."""

    days: tuple[date, ...]
    counts: tuple[tuple[int, ...], ...]
    """For each day, in the order of ``KITS``."""

    @property
    def axis(self) -> Axis:
        return axis_over([Fraction(sum(count)) for count in self.counts], whole=True)

    @property
    def title(self) -> str:
        """What the picture says, in words."""
        short, waiting = self._days_with(SHORT), self._days_with(WAITS)
        if not any(map(sum, self.counts)):
            return "No job is planned"
        if short:
            return f"Jobs are short {on_days(short, self.days)}"
        if hanging := self._days_with(TO_ORDER):
            return f"No job is short; parts must be ordered for jobs {on_days(hanging, self.days)}"
        if waiting:
            return f"No job is short; jobs wait for parts {on_days(waiting, self.days)}"
        return "Every kit is complete"

    def _days_with(self, kit: str) -> list[date]:
        place = KITS.index(kit)
        return [day for day, counts in zip(self.days, self.counts, strict=True) if counts[place]]


@dataclass(frozen=True)
class ShelfPicture:
    """What is left of a part at the end of each day, in its unit; below nothing it is short."""

    part: PartResult
    days: tuple[date, ...]
    left: tuple[Fraction, ...]

    @property
    def short(self) -> tuple[Fraction, ...]:
        """The same where it is below nothing, else nothing: the depth of the shortage band."""
        return tuple(min(rest, Fraction(0)) for rest in self.left)

    @property
    def axis(self) -> Axis:
        """With some room under the lowest point, which would else lie on the edge of the picture."""
        room = [depth * Fraction(21, 20) for depth in self.short]
        return axis_over([*self.left, *room], whole=all(rest.denominator == 1 for rest in self.left))

    @property
    def title(self) -> str:
        """What the picture says, in words."""
        part, worst = self.part.part, min(self.left, default=Fraction(0))
        if worst >= 0:
            day = day_label(self.days[self.left.index(worst)])
            return f"{part.number}: lowest on {day}, {amount_text(worst, part.unit)} left"
        short = [day for day, left in zip(self.days, self.left, strict=True) if left < 0]
        return f"{part.number}: short {on_days(short, self.days)}, at most {amount_text(-worst, part.unit)}"


@dataclass(frozen=True)
class OrderValues:
    """Orders of one currency, the dearest first: goods and delivery charge of each."""

    currency: str
    orders: tuple[SupplierOrder, ...]

    @cached_property
    def parts(self) -> tuple[tuple[Decimal, Decimal], ...]:
        """Goods and charge of each order."""
        return tuple((order.goods or Decimal(0), order.charge or Decimal(0)) for order in self.orders)

    @property
    def total(self) -> Decimal:
        return rounded(sum(map(Fraction, chain.from_iterable(self.parts)), Fraction(0)), self.currency)

    @property
    def axis(self) -> Axis:
        return axis_over([Fraction(sum(part)) for part in self.parts])

    @property
    def places(self) -> int:
        """Decimals of the currency."""
        return minor_places(self.currency)

    @property
    def title(self) -> str:
        """What the picture says, in words."""
        value = f"{money_text(self.total)} {self.currency}".strip()
        if len(self.orders) == 1:
            return f"To order: {value}, all from {self.orders[0].name}"
        return f"To order: {value}, the most from {self.orders[0].name}"

    @property
    def remark(self) -> str:
        """What the figures leave out; "" where they are whole."""
        missing = sum(order.unpriced for order in self.orders)
        return f"Without {count_text(missing, 'line')} that no price is known for." if missing else ""


def jobs_by_day(week: Week) -> JobsByDay:
    """The jobs of the period by day, days without one included where they are worked."""
    found = Counter((job.job.day, job.kit) for job in week.jobs)
    days = working_days(week, (day for day, _ in found))
    return JobsByDay(days, tuple(tuple(found[day, kit] for kit in KITS) for day in days))


def low_parts(week: Week) -> list[PartResult]:
    """The parts that run short or low: the first to run short first, then the emptiest."""
    return sorted(filter(runs_low, week.parts), key=_worst_first)


def shelf_pictures(week: Week, parts: Sequence[PartResult]) -> list[ShelfPicture]:
    """A picture of each part, all over the same days."""
    days = working_days(week, (day.day for part in parts for day in part.days))
    return [shelf_picture(part, days) for part in parts]


def shelf_picture(part: PartResult, days: tuple[date, ...]) -> ShelfPicture:
    levels = _levels(part)
    return ShelfPicture(part, days, tuple(_left_on(day, levels) for day in days))


def order_values(orders: Iterable[SupplierOrder]) -> list[OrderValues]:
    """The orders that have a value, by currency, the dearest first; equal ones as they come."""
    groups: dict[str, list[SupplierOrder]] = {}
    for order in orders:
        if order.total is not None:
            groups.setdefault(order.currency, []).append(order)
    return [
        OrderValues(currency, tuple(sorted(own, key=lambda valued: -(valued.total or 0))))
        for currency, own in sorted(groups.items())
    ]


def working_days(week: Week, others: Iterable[date]) -> tuple[date, ...]:
    """The working days of the period, and the ``others`` on which something happens."""
    length = (week.period.last - week.period.first).days + 1
    period = (week.period.first + count * ONE_DAY for count in range(length))
    return tuple(sorted({*filter(week.settings.days.worked, period), *others}))


def day_label(day: date) -> str:
    """``Thu 3``: short enough to stand under a column."""
    return f"{DAY_NAMES[day.weekday()]} {day.day}"


def on_days(some: Sequence[date], days: Sequence[date]) -> str:
    """``on Thu 3 and Fri 4``, ``from Thu 3 on``, ``on every day``, ``on 6 of 20 days``."""
    if len(some) == len(days):
        return "on every day" if len(days) > 1 else f"on {day_label(some[0])}"
    last = tuple(days)[-len(some) :]
    if len(some) > 2 and tuple(some) == last:
        return f"from {day_label(some[0])} on"
    if len(some) > MOST_DAYS_NAMED:
        return f"on {len(some)} of {len(days)} days"
    *first, end = map(day_label, some)
    return f"on {', '.join(first)} and {end}" if first else f"on {end}"


def axis_over(values: Sequence[Fraction], *, whole: bool = False) -> Axis:
    """The least scale in some five round steps (1, 2 or 5 times a power of ten) that holds all values."""
    low, high = min([*values, Fraction(0)]), max([*values, Fraction(0)])
    if low == high:
        return Axis(Fraction(0), Fraction(1), Fraction(1))
    step = _round_step((high - low) / MOST_STEPS)
    if whole:
        step = max(step, Fraction(1))
    return Axis(low // step * step, -(-high // step) * step, step)


def _round_step(least: Fraction) -> Fraction:
    """The least round number that is no smaller."""
    power = Fraction(1)
    while power > least:
        power /= 10
    while power * 10 <= least:
        power *= 10
    return next(nice * power for nice in (*NICE, 10) if nice * power >= least)


def _worst_first(part: PartResult) -> tuple[date, Fraction, str]:
    lowest = min((day.left for day in part.days), default=part.end)
    return (part.first_short or date.max, lowest, part.part.number)


def _levels(part: PartResult) -> list[tuple[date, Fraction]]:
    """What is left from each day on, beginning with what was there before the first."""
    if not part.days:
        return [(date.min, part.end)]
    first = part.days[0]
    before = first.left - first.received - first.recovered + first.taken
    return [(date.min, before), *((day.day, day.left) for day in part.days)]


def _left_on(day: date, levels: list[tuple[date, Fraction]]) -> Fraction:
    *_, (_, left) = takewhile(lambda level: level[0] <= day, levels)
    return left
