"""A year of weeks replayed: what levels give, against other levels, with the same draws for all.

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

from reconcile.plan.levels.proposals import USUAL_RULES, propose
from reconcile.plan.levels.usage import common_step, monday, weekly_usage
from reconcile.values.days import WorkDays
from reconcile.values.rules import LevelRules
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.week.levels import Gain, PartLevels, Replayed, ReplayResult, Spread, WeeklyUsage

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"
Levels = Mapping[str, tuple[Fraction, Fraction]]
"""By part: reorder point and order up to."""

GIVEN, PROPOSED, PLAIN = "given", "proposed", "plain min-max"

CURVE = tuple(Fraction(each, 1000) for each in (500, 600, 700, 800, 850, 900, 950, 980, 990, 995, 999))
"""Services at which the proposal is replayed too, to set it against others at equal value or equal fill."""

WARM_UP = 26
"""Weeks before those that count: every shelf starts full."""

MINIMUM_COVER = 2
"""The plain rule's minimum: the mean use of lead time and a week twice, half of it for safety. The maximum is
``cover_weeks`` of use more. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Scene:
    """Parts that every policy has levels for, and the weeks to draw from (weeks, parts), in steps."""

    parts: tuple[Part, ...]
    steps: tuple[Fraction, ...]
    leads: tuple[int, ...]
    weeks: Array


@dataclass(frozen=True, slots=True)
class Outcome:
    """A figure for each seed."""

    fill: Array
    value: Array
    orders: Array


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

    The proposal keeps the order sizes of the given levels. A policy that orders less at a time has a lower
    shelf and more orders, whatever its reorder points; so for the gain against each policy the proposal is
    given that policy's own order sizes, and the orders are as many. A curve is that of one wanted service
    for all parts. Raises ``ValueError`` where no part has both given and proposed levels.
    """
    known_to = monday(today) - timedelta(weeks=plan.held_back)
    past = replace(stock, usage=tuple(use for use in stock.usage if use.day < known_to))
    asked = replace(rules, table=CURVE)
    usage = {week.part: week for week in weekly_usage(stock.usage, today)}
    shared = [
        each
        for each in propose(past, known_to, days, asked)
        if each.proposed is not None and each.current is not None
    ]
    if not shared:
        raise ValueError("No part has both given and proposed levels.")
    scene = scene_of(shared, [usage[each.part.number] for each in shared], plan)
    rivals = {GIVEN: given_levels(shared), PLAIN: plain_levels(shared, rules)}
    results = {name: outcome(scene, levels, plan) for name, levels in rivals.items()}
    curves = {}
    for name, levels in rivals.items():
        alike = propose(_stock_with(past, shared, levels), known_to, days, asked)
        curves[name] = [outcome(scene, proposed_levels(alike, service), plan) for service in CURVE]
    proposed = outcome(scene, proposed_levels(shared, rules.service), plan)
    return ReplayResult(
        weeks=plan.weeks,
        seeds=tuple(plan.seeds),
        parts=tuple(each.part.number for each in shared),
        left_out=len(usage) - len(shared),
        drawn_from=_drawn_from(plan),
        policies=(_replayed(PROPOSED, proposed), *(_replayed(name, each) for name, each in results.items())),
        curve=tuple(
            _replayed(f"{PROPOSED}, {float(service):.1%}", each)
            for service, each in zip(CURVE, curves[GIVEN], strict=True)
        ),
        gains=tuple(gain(name, results[name], curves[name]) for name in rivals),
    )


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


def proposed_levels(shared: Iterable[PartLevels], service: Fraction) -> dict[str, tuple[Fraction, Fraction]]:
    return {
        each.part.number: next(
            (row.reorder_point, row.order_up_to) for row in each.table if row.wanted == service
        )
        for each in shared
    }


def plain_levels(shared: Iterable[PartLevels], rules: LevelRules) -> dict[str, tuple[Fraction, Fraction]]:
    """Minimum and maximum from the mean use alone, rounded up to whole units."""
    levels = {}
    for each in shared:
        assert each.lead_weeks is not None
        mean = each.usage.total / len(each.usage.weeks)
        minimum = Fraction(ceil(MINIMUM_COVER * (each.lead_weeks + 1) * mean))
        levels[each.part.number] = (minimum, minimum + max(ceil(rules.cover_weeks * mean), 1))
    return levels


def scene_of(shared: Sequence[PartLevels], usage: Sequence[WeeklyUsage], plan: Plan) -> Scene:
    """Every part's weeks from the sheet's first on, in its own steps; the last ones alone if held back."""
    import numpy as np

    steps, columns = [], []
    for levels, weeks in zip(shared, usage, strict=True):
        step = common_step((*weeks.weeks, levels.part.pack, levels.part.minimum_order))
        own = [0] * weeks.left_out + [int(week / step) for week in weeks.weeks]
        steps.append(step)
        columns.append(own[-plan.held_back :] if plan.held_back else own)
    leads = tuple(levels.lead_weeks or 0 for levels in shared)
    return Scene(tuple(each.part for each in shared), tuple(steps), leads, np.asarray(columns).T)


def outcome(scene: Scene, levels: Levels, plan: Plan) -> Outcome:
    """One policy through the replayed weeks, all seeds and parts side by side."""
    import numpy as np

    drawn = _drawn(scene, plan)
    shelf = _Shelf(scene, levels, len(plan.seeds))
    met, asked = np.zeros(len(plan.seeds)), np.zeros(len(plan.seeds))
    lying, orders = np.zeros((len(plan.seeds), len(scene.parts))), np.zeros(len(plan.seeds))
    for week, used in enumerate(drawn):
        placed, there, left = shelf.pass_week(used)
        if week < WARM_UP:
            continue
        orders += placed.sum(axis=1)
        needed = used > 0
        met += np.where(needed, np.minimum(there, used) / np.maximum(used, 1), 0).sum(axis=1)
        asked += needed.sum(axis=1)
        lying += (there + left) / 2
    return Outcome(met / np.maximum(asked, 1), lying / plan.weeks @ _worth(scene), orders)


def _drawn(scene: Scene, plan: Plan) -> list[Array]:
    """For each week the use, (seeds, parts): the same for every policy."""
    import numpy as np

    pool = len(scene.weeks)
    places = np.stack(
        [np.random.default_rng(seed).integers(pool, size=WARM_UP + plan.weeks) for seed in plan.seeds]
    )
    return [scene.weeks[places[:, week]] for week in range(WARM_UP + plan.weeks)]


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
    return Replayed(policy, spread(outcome.fill), spread(outcome.value), spread(outcome.orders))


def spread(figures: Array) -> Spread:
    """Mean and standard error of the mean; that of a single figure is not known, and given as infinite."""
    own = [float(figure) for figure in figures]
    mean = sum(own) / len(own)
    if len(own) < 2:
        return Spread(mean, float("inf"))
    return Spread(mean, sqrt(sum((each - mean) ** 2 for each in own) / (len(own) - 1) / len(own)))


def gain(against: str, other: Outcome, curve: Sequence[Outcome]) -> Gain:
    """What the proposal gains at the other's shelf value, and saves at the other's fill rate, seed by seed.

    Between two replayed services the curve is taken to be straight; beyond its ends, its end stands.
    """
    import numpy as np

    better, cheaper, beyond = [], [], 0
    for seed, (value, fill) in enumerate(zip(other.value, other.fill, strict=True)):
        values = np.maximum.accumulate([each.value[seed] for each in curve])
        fills = np.maximum.accumulate([each.fill[seed] for each in curve])
        better.append(np.interp(value, values, fills) - fill)
        cheaper.append(value - np.interp(fill, fills, values))
        beyond += not (values[0] <= value <= values[-1] and fills[0] <= fill <= fills[-1])
    return Gain(against, spread(np.asarray(better)), spread(np.asarray(cheaper)), beyond)
