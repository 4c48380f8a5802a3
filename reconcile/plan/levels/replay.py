"""A year of weeks replayed: what levels give, against other levels, with the same draws for all.

A week's needs are met from what lies there at its start, its jobs in the order of their days: a job has its
whole kit if all that it and the earlier ones take of its parts lies there.

Each replayed week is one of the past weeks, drawn by chance and taken whole, so that parts that are used
together stay together. Weeks are independent of each other. The rest is as in
``reconcile.plan.levels.service``: a look at the start of the week, orders in whole packs that arrive after
whole weeks, use that is owed until served. All is counted in whole steps of each part; only the
results are floats.

Standard errors are over the draws. They say nothing of how the coming year will differ from the past one.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction
from math import ceil, floor, sqrt
from typing import TYPE_CHECKING, TypeAlias

from reconcile.plan.levels.money.plain import plain_point
from reconcile.plan.levels.proposals import USUAL_RULES, levels_for, propose
from reconcile.plan.levels.usage import common_step, monday, weekly_usage
from reconcile.values.days import WorkDays
from reconcile.values.rules import FILL, KITS, LevelRules
from reconcile.values.stock.parts import Part, Stock, Usage
from reconcile.values.week.levels import (
    GIVEN,
    PLAIN,
    PROPOSED,
    Gain,
    PartLevels,
    Replayed,
    ReplayResult,
    Spread,
    WeeklyUsage,
)
from reconcile.values.words import fold

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"
Levels = Mapping[str, tuple[Fraction, Fraction]]
"""By part: reorder point and order up to."""

CURVE = tuple(
    Fraction(each, 1000) for each in (100, 200, 350, 500, 600, 700, 800, 850, 900, 950, 980, 990, 995, 999)
)
"""Services at which the proposal is replayed too, to set it against others at equal value or equal fill."""

WARM_UP = 26
"""Weeks before those that count: every shelf starts full."""


@dataclass(frozen=True, slots=True)
class Scene:
    """Parts that every policy has levels for, and the weeks to draw from (weeks, parts), in steps."""

    parts: tuple[Part, ...]
    steps: tuple[Fraction, ...]
    leads: tuple[int, ...]
    weeks: Array
    jobs: "tuple[WeekJobs, ...]" = ()
    """For each week that is drawn from; () where no use names a job."""


@dataclass(frozen=True, slots=True)
class WeekJobs:
    """The jobs of a week: of each part that one takes, the column, and what it and earlier ones take."""

    starts: tuple[int, ...]
    """Where the lines of each job begin."""
    parts: tuple[int, ...]
    taken: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """A figure for each seed."""

    fill: Array
    value: Array
    orders: Array
    kits: "Array | None" = None


@dataclass(frozen=True, slots=True)
class Plan:
    """How long is replayed, and with which seeds."""

    seeds: Sequence[int] = field(default_factory=lambda: tuple(range(40)))
    weeks: int = 52
    held_back: int = 0
    """So many of the last weeks are unknown to the proposal, and only these are drawn from; 0: it knows the
    weeks that are drawn, and is flattered by that."""


USUAL_PLAN = Plan()


def replay(
    stock: Stock, today: date, days: WorkDays, rules: LevelRules = USUAL_RULES, plan: Plan = USUAL_PLAN
) -> ReplayResult:
    """The proposal against the given levels and a plain rule, over all seeds, on the parts that all have.

    Where no part has given levels, against the plain rule alone. The proposal keeps the order sizes of the
    given levels. A policy that orders less at a time has a lower shelf and more orders, whatever its reorder
    points; so for the gain against each policy the proposal is given that policy's own order sizes, and the
    orders are as many. A curve is that of one wanted service for all parts, or of all parts together, as the
    rules have it. Raises ``ValueError`` where no part has proposed levels.
    """
    known_to = monday(today) - timedelta(weeks=plan.held_back)
    past = replace(stock, usage=tuple(use for use in stock.usage if use.day < known_to))
    found = [levels for levels in propose(past, known_to, days, rules) if levels.proposed is not None]
    shared = [levels for levels in found if levels.current is not None] or found
    if not shared:
        raise ValueError("No part has proposed levels.")
    usage = {week.part: week for week in weekly_usage(stock.usage, today)}
    scene = scene_of(shared, [usage[levels.part.number] for levels in shared], plan, stock.usage, today)
    given = {GIVEN: given_levels(shared)} if shared[0].current is not None else {}
    rivals = {**given, PLAIN: plain_levels(shared, rules)}
    results = {name: outcome(scene, levels, plan) for name, levels in rivals.items()}
    curves = {
        name: _curve(scene, _stock_with(past, shared, levels), (known_to, days, rules), plan)
        for name, levels in rivals.items()
    }
    proposed = outcome(scene, proposed_levels(shared), plan)
    measure = KITS if rules.aim == KITS and scene.jobs else FILL
    return ReplayResult(
        weeks=plan.weeks,
        seeds=tuple(plan.seeds),
        parts=tuple(levels.part.number for levels in shared),
        left_out=len(usage) - len(shared),
        drawn_from=_drawn_from(plan),
        policies=(_replayed(PROPOSED, proposed), *(_replayed(name, one) for name, one in results.items())),
        curve=tuple(
            _replayed(f"{PROPOSED}, {float(service):.1%}", one)
            for service, one in zip(CURVE, curves[PLAIN], strict=True)
        ),
        gains=tuple(gain(name, results[name], curves[name], measure) for name in rivals),
        currency=shared[0].part.currency,
    )


def _curve(scene: Scene, stock: Stock, asked: tuple[date, WorkDays, LevelRules], plan: Plan) -> list[Outcome]:
    """The proposal at every service, with the order sizes that the levels of ``stock`` have.

    Levels set part by part are those of the table; set together, each service is worked out by itself.
    """
    today, days, rules = asked
    if not rules.together:
        alike = propose(stock, today, days, replace(rules, table=CURVE))
        return [outcome(scene, tabled_levels(alike, service), plan) for service in CURVE]
    found = levels_for(stock, today, days, rules, CURVE)
    return [outcome(scene, found[service], plan) for service in CURVE]


def _stock_with(stock: Stock, shared: Iterable[PartLevels], levels: Levels) -> Stock:
    """The shared parts alone, with these levels for the given ones."""
    parts = {}
    for each in shared:
        low, high = levels[each.part.number]
        parts[each.part.number] = replace(each.part, reorder_point=low, order_up_to=high)
    return replace(stock, parts=parts)


def _drawn_from(plan: Plan) -> str:
    if plan.held_back:
        return f"the last {plan.held_back} weeks, which the proposal did not know"
    return "all weeks of the usage sheet, which the proposal knew"


def given_levels(shared: Iterable[PartLevels]) -> dict[str, tuple[Fraction, Fraction]]:
    return {
        each.part.number: (each.current.reorder_point, each.current.order_up_to)
        for each in shared
        if each.current is not None
    }


def proposed_levels(shared: Iterable[PartLevels]) -> dict[str, tuple[Fraction, Fraction]]:
    return {
        levels.part.number: (levels.proposed.reorder_point, levels.proposed.order_up_to)
        for levels in shared
        if levels.proposed is not None
    }


def tabled_levels(shared: Iterable[PartLevels], service: Fraction) -> dict[str, tuple[Fraction, Fraction]]:
    """Those of one service, for each part by itself."""
    return {
        levels.part.number: next(
            (row.reorder_point, row.order_up_to) for row in levels.table if row.wanted == service
        )
        for levels in shared
    }


def plain_levels(shared: Iterable[PartLevels], rules: LevelRules) -> dict[str, tuple[Fraction, Fraction]]:
    """Mean and deviation alone (``money/plain.py``), in whole units, and ``cover_weeks`` of mean use more."""
    levels = {}
    for one in shared:
        assert one.lead_weeks is not None
        weeks = one.usage.weeks
        step = common_step((*weeks, one.part.pack))
        point = plain_point(weeks, one.lead_weeks + 1, rules.service, step) * step
        cover = ceil(rules.cover_weeks * sum(weeks) / len(weeks) / step) * step
        levels[one.part.number] = (point, point + max(cover, step))
    return levels


def scene_of(
    shared: Sequence[PartLevels],
    usage: Sequence[WeeklyUsage],
    plan: Plan,
    rows: Sequence[Usage] = (),
    today: date = date.max,
) -> Scene:
    """Every part's weeks from the sheet's first on, in its own steps; the last ones alone if held back."""
    import numpy as np

    steps, columns = [], []
    for levels, weeks in zip(shared, usage, strict=True):
        step = common_step((*weeks.weeks, levels.part.pack, levels.part.minimum_order))
        own = [0] * weeks.left_out + [int(week / step) for week in weeks.weeks]
        steps.append(step)
        columns.append(own[-plan.held_back :] if plan.held_back else own)
    leads = tuple(levels.lead_weeks or 0 for levels in shared)
    length = len(columns[0]) if columns else 0
    jobs = _jobs(shared, steps, rows, (monday(today), length)) if rows else ()
    return Scene(tuple(levels.part for levels in shared), tuple(steps), leads, np.asarray(columns).T, jobs)


def _jobs(
    shared: Sequence[PartLevels], steps: Sequence[Fraction], rows: Sequence[Usage], span: tuple[date, int]
) -> tuple[WeekJobs, ...]:
    """The jobs of each week, in the order of their first use; quantities are rounded up to steps."""
    end, length = span
    columns = {levels.part.number: column for column, levels in enumerate(shared)}
    weeks: list[dict[str, dict[int, Fraction]]] = [{} for _ in range(length)]
    for use in sorted(rows, key=lambda row: row.day):
        week = length - 1 - (end - timedelta(days=1) - use.day).days // 7
        if use.job and use.part in columns and 0 <= week < length:
            own = weeks[week].setdefault(fold(use.job), {})
            own[columns[use.part]] = own.get(columns[use.part], Fraction(0)) + use.quantity
    return tuple(_week_jobs(week, steps) for week in weeks) if any(weeks) else ()


def _week_jobs(jobs: Mapping[str, Mapping[int, Fraction]], steps: Sequence[Fraction]) -> WeekJobs:
    starts: list[int] = []
    parts: list[int] = []
    taken: list[int] = []
    sums: dict[int, int] = {}
    for job in jobs.values():
        starts.append(len(parts))
        for column, quantity in job.items():
            sums[column] = sums.get(column, 0) + ceil(quantity / steps[column])
            parts.append(column)
            taken.append(sums[column])
    return WeekJobs(tuple(starts), tuple(parts), tuple(taken))


def outcome(scene: Scene, levels: Levels, plan: Plan) -> Outcome:
    """One policy through the replayed weeks, all seeds and parts side by side."""
    import numpy as np

    places = _places(scene, plan)
    shelf = _Shelf(scene, levels, len(plan.seeds))
    met, asked = np.zeros(len(plan.seeds)), np.zeros(len(plan.seeds))
    whole, jobs = np.zeros(len(plan.seeds)), np.zeros(len(plan.seeds))
    lying, orders = np.zeros((len(plan.seeds), len(scene.parts))), np.zeros(len(plan.seeds))
    for week in range(WARM_UP + plan.weeks):
        used = scene.weeks[places[:, week]]
        placed, there, left = shelf.pass_week(used)
        if week < WARM_UP:
            continue
        orders += placed.sum(axis=1)
        needed = used > 0
        met += np.where(needed, np.minimum(there, used) / np.maximum(used, 1), 0).sum(axis=1)
        asked += needed.sum(axis=1)
        lying += (there + left) / 2
        if scene.jobs:
            done, of = _kits(scene, places[:, week], there)
            whole, jobs = whole + done, jobs + of
    kits = whole / np.maximum(jobs, 1) if scene.jobs else None
    return Outcome(met / np.maximum(asked, 1), lying / plan.weeks @ _worth(scene), orders, kits)


def _kits(scene: Scene, weeks: Array, there: Array) -> tuple[Array, Array]:
    """For each seed how many jobs of its week have a whole kit, and how many jobs there are."""
    import numpy as np

    whole, jobs = np.zeros(len(weeks)), np.zeros(len(weeks))
    for week in np.unique(weeks):
        own = scene.jobs[int(week)]
        if not own.starts:
            continue
        seeds = np.flatnonzero(weeks == week)
        served = there[seeds][:, list(own.parts)] >= np.asarray(own.taken)
        whole[seeds] = np.logical_and.reduceat(served, own.starts, axis=1).sum(axis=1)
        jobs[seeds] = len(own.starts)
    return whole, jobs


def _places(scene: Scene, plan: Plan) -> Array:
    """For each seed and week the week drawn, by its place: the same for every policy."""
    import numpy as np

    pool = len(scene.weeks)
    return np.stack(
        [np.random.default_rng(seed).integers(pool, size=WARM_UP + plan.weeks) for seed in plan.seeds]
    )


def _worth(scene: Scene) -> Array:
    """What a step of each part costs; one unit of each counts 1 where no part has a price."""
    import numpy as np

    priced = any(part.price is not None for part in scene.parts)
    prices = [Fraction(part.price or 0) if priced else Fraction(1) for part in scene.parts]
    return np.asarray([float(price * step) for price, step in zip(prices, scene.steps, strict=True)])


class _Shelf:
    """What lies there less what is owed, and what is to come, (seeds, parts), in whole steps."""

    def __init__(self, scene: Scene, levels: Levels, seeds: int) -> None:
        import numpy as np

        self._np = np
        both = list(zip(scene.parts, scene.steps, strict=True))
        self._point = np.asarray([floor(levels[part.number][0] / step) for part, step in both])
        self._up_to = np.asarray([ceil(levels[part.number][1] / step) for part, step in both])
        self._pack = np.asarray([ceil(part.pack / step) for part, step in both])
        self._minimum = np.asarray([ceil(part.minimum_order / step) for part, step in both])
        self._lead, self._week = np.asarray(scene.leads), 0
        self._net = np.tile(self._up_to, (seeds, 1))
        self._coming = np.zeros((max(scene.leads) + 1, seeds, len(both)), int)

    def pass_week(self, used: Array) -> tuple[Array, Array, Array]:
        """Orders placed (0 or 1), what lay there for the week's use, and what is left at its end."""
        np = self._np
        position = self._net + self._coming.sum(axis=0)
        due = (position <= self._point) & (position < self._up_to)
        asked = np.maximum(self._up_to - position, self._minimum)
        ordered = np.where(due, -(-asked // self._pack) * self._pack, 0)
        slots, columns = len(self._coming), np.arange(len(self._lead))
        self._coming[(self._week + self._lead) % slots, :, columns] += ordered.T
        self._net = self._net + self._coming[self._week % slots]
        self._coming[self._week % slots] = 0
        there = np.maximum(self._net, 0)
        self._net = self._net - used
        self._week += 1
        return due, there, np.maximum(self._net, 0)


def _replayed(policy: str, outcome: Outcome) -> Replayed:
    kits = None if outcome.kits is None else spread(outcome.kits)
    return Replayed(policy, spread(outcome.fill), spread(outcome.value), spread(outcome.orders), kits)


def spread(figures: Array) -> Spread:
    """Mean and standard error of the mean; that of a single figure is not known, and given as infinite."""
    own = sorted(float(figure) for figure in figures)
    mean, count = sum(own) / len(own), len(own)
    middle = own[int(0.025 * count)], own[count - 1 - int(0.025 * count)]
    if count < 2:
        return Spread(mean, float("inf"), float("-inf"), float("inf"))
    return Spread(mean, sqrt(sum((one - mean) ** 2 for one in own) / (count - 1) / count), *middle)


def gain(against: str, other: Outcome, curve: Sequence[Outcome], measure: str = FILL) -> Gain:
    """What the proposal gains at the other's shelf value, and saves at the other's fill rate, seed by seed.

    Between two replayed services the curve is taken to be straight; beyond its ends, its end stands.
    """
    import numpy as np

    better, cheaper, beyond = [], [], 0
    served = [_served(one, measure) for one in curve]
    for seed, (value, fill) in enumerate(zip(other.value, _served(other, measure), strict=True)):
        values = np.maximum.accumulate([one.value[seed] for one in curve])
        fills = np.maximum.accumulate([one[seed] for one in served])
        better.append(np.interp(value, values, fills) - fill)
        cheaper.append(value - np.interp(fill, fills, values))
        beyond += not (values[0] <= value <= values[-1] and fills[0] <= fill <= fills[-1])
    return Gain(against, measure, spread(np.asarray(better)), spread(np.asarray(cheaper)), beyond)


def _served(outcome: Outcome, measure: str) -> Array:
    return outcome.kits if measure == KITS and outcome.kits is not None else outcome.fill
