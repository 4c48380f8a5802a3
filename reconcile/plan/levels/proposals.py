"""Shelf levels from use: for each part a forecast, the use of its lead time, and the levels that serve it.

Every level is a whole number of the part's smallest step, and so exact; what it rests on are estimates.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.plan.levels.forecasts import choose
from reconcile.plan.levels.reasons import reasons_for
from reconcile.plan.levels.search import Point, Task, answers, fitted
from reconcile.plan.levels.service import Ordering
from reconcile.plan.levels.usage import common_step, in_lots, pattern_of, weekly_usage
from reconcile.plan.levels.weekly_laws import Law, counted_law, own_sizes_law
from reconcile.values.days import WorkDays
from reconcile.values.rules import LevelRules
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.trade_codes import minor_places
from reconcile.values.week.levels import (
    ERRATIC,
    LUMPY,
    DemandPattern,
    Forecast,
    PartLevels,
    ServicePoint,
    WeekLaw,
    WeeklyUsage,
)

LEAST_USES, LEAST_WEEKS = 5, 13
"""With fewer weeks with use, or fewer weeks in all, a part has too little history: common practice, no
source. The variance of fewer than five quantities is anybody's guess, and it takes a quarter to test on."""

OWN_SIZES_FROM = 10
"""Weeks with use from which on a part's own quantities stand for themselves: common practice, no source."""

WEEKS_A_YEAR = 365.25 / 7
USUAL_RULES = LevelRules()


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


def propose(
    stock: Stock, today: date, days: WorkDays, rules: LevelRules = USUAL_RULES
) -> tuple[PartLevels, ...]:
    """A proposal, or the reason why there is none, for every part of the stock that the usage sheet names.

    In the order of the stock sheet. Nothing is applied: see ``with_levels``.
    """
    by_part = {week.part: week for week in weekly_usage(stock.usage, today)}
    known = [(part, by_part[number]) for number, part in stock.parts.items() if number in by_part]
    judged = {part.number: _study(part, usage, days) for part, usage in known}
    studies = [each for each in judged.values() if isinstance(each, Study)]
    proposed = {each.part.number: each for each in _worked_out(studies, rules)}
    return tuple(
        proposed.get(part.number) or PartLevels(part, usage, why_none=str(judged[part.number]))
        for part, usage in known
    )


def with_levels(stock: Stock, proposals: Iterable[PartLevels]) -> Stock:
    """The stock with the proposed levels in place of the given ones; parts without a proposal keep theirs."""
    parts = dict(stock.parts)
    for proposal in proposals:
        if proposal.proposed is not None and proposal.part.number in parts:
            parts[proposal.part.number] = replace(
                parts[proposal.part.number],
                reorder_point=proposal.proposed.reorder_point,
                order_up_to=proposal.proposed.order_up_to,
            )
    return replace(stock, parts=parts)


def _study(part: Part, usage: WeeklyUsage, days: WorkDays) -> Study | str:
    """The part with its pattern, or why no levels can be proposed."""
    lot, lots = in_lots(usage.weeks)
    pattern, uses = pattern_of(lots), sum(1 for each in lots if each)
    if uses < LEAST_USES or len(usage.weeks) < LEAST_WEEKS or pattern is None:
        weeks = f"{uses} of {len(usage.weeks)} weeks"
        return f"Too little history: used in {weeks}; {LEAST_USES} of {LEAST_WEEKS} are the least to go by."
    if part.lead_time is None:
        return "No lead time is known, so the use until an order arrives cannot be told."
    return Study(part, usage, pattern, lead_weeks(part.lead_time, days), lot, lots)


def lead_weeks(lead_time: int, days: WorkDays) -> int:
    """Working days to whole weeks, rounded up: what comes within a week is there at the next look."""
    return -(-lead_time // max(len(days.weekdays), 1))


def _worked_out(studies: Sequence[Study], rules: LevelRules) -> Iterator[PartLevels]:
    forecasts = _forecasts(studies)
    laws = [_law(study, forecast) for study, forecast in zip(studies, forecasts, strict=True)]
    tasks = [_sought(study, law, rules) for study, law in zip(studies, laws, strict=True)]
    given = [_given(study, law) for study, law in zip(studies, laws, strict=True)]
    tasks = [_both(task, own) for task, own in zip(tasks, given, strict=True)]
    apart = {
        place: own
        for place, (task, own) in enumerate(zip(tasks, given, strict=True))
        if own is not None and task.given is None
    }
    wanted = sorted({*rules.table, rules.service})
    rows = answers(tasks, [float(each) for each in wanted], rules.measure)
    now = dict(zip(apart, answers(list(apart.values()), (), rules.measure), strict=True))
    for place, (study, forecast) in enumerate(zip(studies, forecasts, strict=True)):
        points = dict(zip(wanted, rows[place], strict=False))
        table = _table(study.part, tasks[place], points)
        own = given[place]
        current = None if own is None else _current(study.part, own, now.get(place, rows[place])[-1])
        levels = PartLevels(
            study.part,
            study.usage,
            study.pattern,
            forecast,
            WeekLaw(laws[place].kind, study.lot, laws[place].mean, laws[place].variance),
            study.lead_weeks,
            next(row for row in table if row.wanted == rules.service),
            current,
            table,
        )
        yield replace(levels, reasons=reasons_for(levels, rules))


def _forecasts(studies: Sequence[Study]) -> list[Forecast]:
    """In the part's unit. All series are brought to one length: weeks before a part's start do not count."""
    length = max((len(each.usage.weeks) + each.usage.left_out for each in studies), default=0)
    starts = [length - len(each.usage.weeks) for each in studies]
    series = [(0,) * start + study.lots for start, study in zip(starts, studies, strict=True)]
    chosen = choose(
        series, starts, [each.pattern.kind for each in studies], [each.lead_weeks + 1 for each in studies]
    )
    return [
        replace(forecast, per_week=forecast.per_week * float(study.lot))
        for study, forecast in zip(studies, chosen, strict=True)
    ]


def _law(study: Study, forecast: Forecast) -> Law:
    """How a week's use is spread, in lots.

    The forecast may be wrong for all weeks of the lead time at once. Prak, Teunter and Syntetos (European J.
    Operational Research 256 (2017), 454-461, from memory) give the variance of h weeks with that as
    v (h + h^2 a / (2 - a)), a the smoothing constant; here it is spread evenly over the h weeks. It holds for
    exponential smoothing, and is taken for its kin.
    """
    lots = study.lots
    mean = forecast.per_week / float(study.lot)
    sizes = [lot for lot in lots if lot]
    if study.pattern.kind in (LUMPY, ERRATIC) and len(sizes) >= OWN_SIZES_FROM and mean > 0:
        return own_sizes_law(mean, sizes)
    average = sum(lots) / len(lots)
    variance = sum((lot - average) ** 2 for lot in lots) / (len(lots) - 1)
    constant = max(forecast.constant, forecast.chance_constant or 0)
    weeks = study.lead_weeks + 1
    return counted_law(mean, variance * (1 + weeks * constant / (2 - constant)))


def _sought(study: Study, law: Law, rules: LevelRules) -> Task:
    """The levels to be found: those lie as far apart as the given ones, or hold a batch in whole packs."""
    part, step = study.part, _step(study)
    pack = _steps(part.pack, step)
    if part.reorder_point is not None and part.order_up_to is not None:
        spread = max(_steps(part.order_up_to - part.reorder_point, step), 1)
    else:
        cover = Fraction(math.ceil(rules.cover_weeks * law.mean)) * study.lot
        batch = max(rules.batches.get(part.number, cover), part.minimum_order, part.pack)
        packs = math.ceil(batch / part.pack)
        # At the reorder point itself so many packs are just enough, and as many serve until the next pack.
        spread = (packs - 1) * pack + 1
    return fitted(Task(law, int(study.lot / step), _ordering(study, spread, step), step))


def _given(study: Study, law: Law) -> Task | None:
    """The given levels as a question; None where stock does not give both, or keeps none by them.

    Nothing is ordered while the position is at order up to, whatever the reorder point: one that is no lower
    works as the next step below.
    """
    part, step = study.part, _step(study)
    if part.reorder_point is None or part.order_up_to is None or part.order_up_to <= 0:
        return None
    up_to = _steps(part.order_up_to, step)
    point = max(min(math.floor(part.reorder_point / step), up_to - 1), 0)
    ordering = _ordering(study, up_to - point, step)
    return fitted(Task(law, int(study.lot / step), ordering, step, point))


def _both(task: Task, given: Task | None) -> Task:
    """One task for both questions, where the given levels are ordered alike."""
    if given is None or (given.ordering, given.step) != (task.ordering, task.step):
        return task
    return replace(task, given=given.given)


def _step(study: Study) -> Fraction:
    """What lies on the shelf is a whole number of these, as all that comes and goes is."""
    return common_step((study.lot, study.part.pack))


def _steps(quantity: Fraction, step: Fraction) -> int:
    return math.ceil(quantity / step)


def _ordering(study: Study, spread: int, step: Fraction) -> Ordering:
    part = study.part
    return Ordering(spread, _steps(part.pack, step), _steps(part.minimum_order, step), study.lead_weeks)


def _table(part: Part, task: Task, points: Mapping[Fraction, Point]) -> tuple[ServicePoint, ...]:
    """A row for each wanted service, from low to high, each with what it costs more than the row before."""
    rows: list[ServicePoint] = []
    for wanted, point in points.items():
        row = _service_point(part, task, point, wanted)
        if rows and row.value is not None and rows[-1].value is not None and rows[-1].wanted is not None:
            apart = 100 * float(wanted - rows[-1].wanted)
            row = replace(row, per_point=money(float(row.value - rows[-1].value) / apart, part.currency))
        rows.append(row)
    return tuple(rows)


def money(amount: float, currency: str) -> Decimal:
    """An estimated amount in whole smallest units of the currency."""
    return Decimal(f"{max(amount, 0.0):.{minor_places(currency)}f}")


def _current(part: Part, task: Task, point: Point) -> ServicePoint:
    row = _service_point(part, task, point, None)
    assert part.reorder_point is not None and part.order_up_to is not None
    return replace(row, reorder_point=part.reorder_point, order_up_to=part.order_up_to)


def _service_point(part: Part, task: Task, point: Point, wanted: Fraction | None) -> ServicePoint:
    shelf = point.shelf * float(task.step)
    reorder_point = point.reorder_point * task.step
    return ServicePoint(
        wanted=wanted,
        reorder_point=reorder_point,
        order_up_to=reorder_point + task.ordering.spread * task.step,
        cycle=point.cycle,
        fill=point.fill,
        shelf=shelf,
        orders_a_year=point.orders * WEEKS_A_YEAR,
        value=None if part.price is None else money(float(part.price) * shelf, part.currency),
    )
