"""All levels set together: for a share of need met, for whole kits, or for a sum; and the curve of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import ceil

from reconcile.plan.levels.money.kits import WholeKits
from reconcile.plan.levels.money.marginal import Options, for_gain, for_money, steps
from reconcile.plan.levels.search import Array, Ladder, Task
from reconcile.values.rules import FILL, KITS, LevelRules
from reconcile.values.stock.parts import Part, Usage
from reconcile.values.trade_codes import minor_places
from reconcile.values.week.levels import TradePoint
from reconcile.values.words import fold

NONE_KEPT = -1
"""In place of a reorder point: nothing lies there, and each need is bought for."""

YEAR = timedelta(days=365)
SHARES = (0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.93, 0.95, 0.97, 0.98, 0.99, 0.995)
"""Of the curve: need met, or whole kits."""

MOST_PLACES = 48
"""Reorder points of a part that are looked at for whole kits; of more, so many evenly apart."""


@dataclass(frozen=True)
class Stall:
    """A part with a price, to be set together with others. Its steps are those of its task."""

    part: Part
    task: Task
    ladder: Ladder
    chance: float
    """Of a week with use."""

    @cached_property
    def worth(self) -> float:
        """What a step costs."""
        assert self.part.price is not None
        return float(self.part.price) * float(self.task.step)

    @cached_property
    def may_be_bare(self) -> bool:
        """Whether nothing need lie there: what is bought for a need leaves nothing over."""
        ordering = self.task.ordering
        return ordering.pack == 1 and ordering.minimum <= 1

    @cached_property
    def points(self) -> list[int]:
        """The reorder points it may have, NONE_KEPT first where that may be."""
        return [*([NONE_KEPT] if self.may_be_bare else []), *range(len(self.ladder.fill))]

    @cached_property
    def values(self) -> list[float]:
        return [*([0.0] if self.may_be_bare else []), *(self.worth * self.ladder.shelf).tolist()]

    @cached_property
    def options(self) -> Options:
        gains = (self.chance * self.ladder.fill).tolist()
        return Options(self.values, [*([0.0] if self.may_be_bare else []), *gains])

    def served(self, quantity: Fraction) -> "Array":
        """By reorder point 0, 1, ... the chance that a job which takes so much finds it."""
        task = self.task
        sizes = {size * task.stride: share for size, share in task.law.sizes}
        return self.ladder.served(ceil(quantity / task.step), sizes)


def place_of(stall: Stall, point: int) -> int:
    """Where a reorder point stands among those of a part; the last one for one beyond."""
    return min(point + stall.may_be_bare, len(stall.ladder.fill) - 1 + stall.may_be_bare)


@dataclass(frozen=True)
class Aim:
    """What the stalls serve together."""

    stalls: Sequence[Stall]
    rules: LevelRules
    jobs: Sequence[Mapping[str, Fraction]] = ()
    """What each job of the last year took, by part."""

    @property
    def measure(self) -> str:
        return KITS if self.rules.aim == KITS and self.jobs else FILL

    def points(self) -> list[int]:
        """The reorder point of each stall, in its steps."""
        if self.rules.budget is None:
            return self.points_for(self.rules.service)
        budget = float(self.rules.budget)
        if self.measure == KITS:
            return self._of_grid(self._kits[0].for_money(budget).tolist())
        return self._of_stalls(for_money([stall.options for stall in self.stalls], budget))

    def points_for(self, service: Fraction) -> list[int]:
        """The same for a service, whatever the rules ask for."""
        if self.measure == KITS:
            kits, _ = self._kits
            return self._of_grid(kits.for_kits(float(service) * kits.jobs).tolist())
        needs = sum(stall.chance for stall in self.stalls)
        return self._of_stalls(for_gain([stall.options for stall in self.stalls], float(service) * needs))

    def _of_stalls(self, places: Sequence[int]) -> list[int]:
        return [stall.points[place] for stall, place in zip(self.stalls, places, strict=True)]

    def _of_grid(self, places: Sequence[int]) -> list[int]:
        return [row[place] for row, place in zip(self._kits[1], places, strict=True)]

    @cached_property
    def _kits(self) -> tuple[WholeKits, list[list[int]]]:
        return kits_of(self.stalls, self.jobs)

    def shares(self, points: Sequence[int], values: Sequence[float] | None = None) -> tuple[float, float]:
        """Mean shelf in money and the share that is met, of any reorder points."""
        own = values or [
            stall.values[place_of(stall, point)] for stall, point in zip(self.stalls, points, strict=True)
        ]
        if self.measure == FILL:
            needs = sum(stall.chance for stall in self.stalls)
            met = sum(
                stall.options.gains[place_of(stall, point)]
                for stall, point in zip(self.stalls, points, strict=True)
            )
            return sum(own), met / needs if needs else 1.0
        return sum(own), self._whole(points)

    def _whole(self, points: Sequence[int]) -> float:
        at = {stall.part.number: point for stall, point in zip(self.stalls, points, strict=True)}
        known = {stall.part.number: stall for stall in self.stalls}
        total, seen = 0.0, {}
        for job in self.jobs:
            chance = 1.0
            for part, quantity in job.items():
                stall, point = known[part], at[part]
                asked = (part, quantity)
                if asked not in seen:
                    there = stall.served(quantity)
                    seen[asked] = 0.0 if point == NONE_KEPT else float(there[min(point, len(there) - 1)])
                chance *= seen[asked]
            total += chance
        return total / len(self.jobs)

    def curve(self) -> list[tuple[float, float]]:
        """Money and share along the way from a bare shelf to one that always serves."""
        if self.measure == KITS:
            kits, _ = self._kits
            found = []
            for share in SHARES:
                places = kits.for_kits(share * kits.jobs)
                if kits.whole(places) >= share * kits.jobs - 1e-9:
                    found.append((kits.value(places), kits.whole(places) / kits.jobs))
            return found
        return self._need_curve()

    def _need_curve(self) -> list[tuple[float, float]]:
        needs = sum(stall.chance for stall in self.stalls) or 1.0
        found, wanted = [], list(SHARES)
        for step in steps([stall.options for stall in self.stalls]):
            if wanted and step.gain >= wanted[0] * needs:
                found.append((step.value, step.gain / needs))
                while wanted and step.gain >= wanted[0] * needs:
                    wanted.pop(0)
        return found


def kits_of(
    stalls: Sequence[Stall], jobs: Sequence[Mapping[str, Fraction]]
) -> tuple[WholeKits, list[list[int]]]:
    """The stalls and jobs as the numbers of a kit problem, and the reorder point of each place."""
    import numpy as np

    grid = [thinned(stall.points) for stall in stalls]
    most = max((len(row) for row in grid), default=1)
    values = np.zeros((len(stalls), most))
    for number, (stall, points) in enumerate(zip(stalls, grid, strict=True)):
        own = np.asarray(stall.values)[[place_of(stall, point) for point in points]]
        values[number] = np.concatenate([own, np.full(most - len(own), own[-1])])
    numbers = {stall.part.number: number for number, stall in enumerate(stalls)}
    asked = sorted({(numbers[part], quantity) for job in jobs for part, quantity in job.items()})
    rows = {pair: row for row, pair in enumerate(asked)}
    there = np.zeros((len(asked), most))
    for (number, quantity), row in rows.items():
        stall, points = stalls[number], grid[number]
        chances = stall.served(quantity)
        own = np.asarray([0.0 if point == NONE_KEPT else chances[point] for point in points])
        there[row] = np.concatenate([own, np.full(most - len(own), own[-1])])
    takes = [
        (job, numbers[part], rows[numbers[part], quantity])
        for job, taken in enumerate(jobs)
        for part, quantity in taken.items()
    ]
    return WholeKits(values, there, takes, len(jobs)), grid


def thinned(points: Sequence[int]) -> list[int]:
    """All of them, or so many as may be looked at, the first and the last among them."""
    if len(points) <= MOST_PLACES:
        return list(points)
    apart = (len(points) - 1) / (MOST_PLACES - 1)
    return [points[round(place * apart)] for place in range(MOST_PLACES)]


def jobs_of_year(usage: Sequence[Usage], today: date, parts: frozenset[str]) -> list[dict[str, Fraction]]:
    """What each job of the last year took of these parts. A use without a job is a job of its own.

    Nothing where no use of that year names a job.
    """
    jobs: dict[str, dict[str, Fraction]] = {}
    named = False
    for number, use in enumerate(usage):
        if not today - YEAR <= use.day < today or use.quantity <= 0:
            continue
        named = named or bool(use.job)
        if use.part in parts:
            own = jobs.setdefault(f"job {fold(use.job)}" if use.job else f"use {number}", {})
            own[use.part] = own.get(use.part, Fraction(0)) + use.quantity
    return list(jobs.values()) if named else []


def served(rules: LevelRules, usage: Sequence[Usage], today: date) -> LevelRules:
    """The rules as they can be served: where no use names a job, need met in place of whole kits."""
    if rules.aim != KITS or any(use.job and today - YEAR <= use.day < today for use in usage):
        return rules
    return replace(rules, measure=FILL)


def trade_point(name: str, value: float, share: float, currency: str) -> TradePoint:
    return TradePoint(name, Decimal(f"{max(value, 0.0):.{minor_places(currency)}f}"), min(share, 1.0))
