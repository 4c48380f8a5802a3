"""A part whose levels are to be worked out: its record, its law, and the ways it may be ordered."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from reconcile.plan.levels.pools import Member, priors
from reconcile.plan.levels.record import (
    NOTHING_KNOWN,
    Prior,
    Record,
    chance_of,
    record_of,
    sizes_of,
)
from reconcile.plan.levels.search import Task, fitted
from reconcile.plan.levels.service import Ordering
from reconcile.plan.levels.usage import common_step, in_lots, pattern_of
from reconcile.plan.levels.weekly_laws import Law, record_law
from reconcile.values.days import WorkDays
from reconcile.values.rules import LevelRules
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.week.levels import INTERMITTENT, DemandPattern, WeeklyUsage

LEAST_WEEKS = 13
"""With fewer weeks in all a part has too little history, whatever its kind shows: common practice, no source.
It takes a quarter to see a use come back."""

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Study:
    """A part whose levels can be worked out, with what is known so far."""

    part: Part
    usage: WeeklyUsage
    pattern: DemandPattern
    lead_weeks: int
    lot: Fraction
    """Every week's use is a whole number of these."""
    lots: tuple[int, ...]
    """The same, week by week."""
    record: Record
    prior: Prior
    law: Law
    """Of a week's use, in lots."""

    @property
    def chance(self) -> float:
        """Of a week with use."""
        first, second = chance_of(self.record, self.prior)
        return first / (first + second)

    @property
    def greatest_need(self) -> Fraction:
        """The most that any lead time and week of the record used, in the part's unit."""
        span = self.lead_weeks + 1
        sums = [sum(self.lots[max(end - span, 0) : end]) for end in range(1, len(self.lots) + 1)]
        return max(sums) * self.lot

    @property
    def step(self) -> Fraction:
        """What lies on the shelf is a whole number of these, as all that comes and goes is."""
        return common_step((self.lot, self.part.pack))


def studies_of(
    known: Sequence[tuple[Part, WeeklyUsage]], unused: Iterable[Part], days: WorkDays, rules: LevelRules
) -> list[Study | str]:
    """For each part with use its study, or what it would take. ``unused`` parts tell of their kind too."""
    counted = [(part, usage, *in_lots(usage.weeks)) for part, usage in known]
    records = [record_of(lots) for _, _, _, lots in counted]
    length = max((len(usage.weeks) + usage.left_out for _, usage in known), default=0)
    idle = record_of((0,) * length)
    members = [Member(part, record) for (part, _, _, _), record in zip(counted, records, strict=True)]
    found = priors([*members, *(Member(part, idle) for part in unused)]) if rules.pooling else {}
    return [
        _study(part, usage, lot, lots, record, found.get(part.number, NOTHING_KNOWN), days)
        for (part, usage, lot, lots), record in zip(counted, records, strict=True)
    ]


def _study(  # noqa: PLR0913, PLR0917  (a part, its weeks in lots, and what is known of them)
    part: Part,
    usage: WeeklyUsage,
    lot: Fraction,
    lots: tuple[int, ...],
    record: Record,
    prior: Prior,
    days: WorkDays,
) -> Study | str:
    if not record.uses:
        return "No use of it counts yet: one week with use would be enough to go by."
    if len(lots) < LEAST_WEEKS:
        weeks = f"{record.uses} of {len(lots)} weeks"
        return f"Too little history: used in {weeks}; it takes {LEAST_WEEKS} weeks since its first use."
    if record.uses < 2 and not prior.kin:
        weeks = f"1 of {len(lots)} weeks"
        return (
            f"Too little history: used in {weeks}, with too few parts to compare it with. "
            "A second week with use would be enough, or eight parts of its kind with their use."
        )
    if part.lead_time is None:
        return "No lead time is known, so the use until an order arrives cannot be told."
    pattern = pattern_of(lots) or DemandPattern(INTERMITTENT, Fraction(len(lots)), ZERO)
    law = record_law(chance_of(record, prior), sizes_of(record, prior))
    return Study(part, usage, pattern, lead_weeks(part.lead_time, days), lot, lots, record, prior, law)


def with_lead_times(stock: Stock, otherwise: int | None) -> Stock:
    """The stock with the workshop's lead time, in working days, for parts that name none."""
    if otherwise is None:
        return stock
    parts = {
        number: part if part.lead_time is not None else replace(part, lead_time=otherwise)
        for number, part in stock.parts.items()
    }
    return replace(stock, parts=parts)


def lead_weeks(lead_time: int, days: WorkDays) -> int:
    """Working days to whole weeks, rounded up: what comes within a week is there at the next look."""
    return -(-lead_time // max(len(days.weekdays), 1))


def sought(study: Study, rules: LevelRules) -> Task:
    """The levels to be found: those lie as far apart as the given ones, or hold a batch in whole packs."""
    part, step = study.part, study.step
    pack = in_steps(part.pack, step)
    if part.reorder_point is not None and part.order_up_to is not None and part.order_up_to > 0:
        spread = max(in_steps(part.order_up_to - part.reorder_point, step), 1)
    else:
        cover = Fraction(math.ceil(rules.cover_weeks * study.law.mean)) * study.lot
        batch = max(rules.batches.get(part.number, cover), part.minimum_order, part.pack)
        packs = math.ceil(batch / part.pack)
        # At the reorder point itself so many packs are just enough, and as many serve until the next pack.
        spread = (packs - 1) * pack + 1
    return fitted(Task(study.law, int(study.lot / step), ordering_of(study, spread, step), step))


def given_task(study: Study) -> Task | None:
    """The given levels as a question; None where stock does not give both, or keeps none by them.

    Nothing is ordered while the position is at order up to, whatever the reorder point: one that is no lower
    works as the next step below.
    """
    part, step = study.part, study.step
    if part.reorder_point is None or part.order_up_to is None or part.order_up_to <= 0:
        return None
    up_to = in_steps(part.order_up_to, step)
    point = max(min(math.floor(part.reorder_point / step), up_to - 1), 0)
    ordering = ordering_of(study, up_to - point, step)
    return fitted(Task(study.law, int(study.lot / step), ordering, step, point))


def in_steps(quantity: Fraction, step: Fraction) -> int:
    return math.ceil(quantity / step)


def ordering_of(study: Study, spread: int, step: Fraction) -> Ordering:
    part = study.part
    return Ordering(spread, in_steps(part.pack, step), in_steps(part.minimum_order, step), study.lead_weeks)
