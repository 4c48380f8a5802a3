"""Levels for a wanted service, and the service of given levels: many parts at once, in steps."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from reconcile.plan.levels.service import Ordering, curves, room
from reconcile.plan.levels.weekly_laws import Law, counted_law, reach, weekly_chances
from reconcile.values.week.levels import OWN_SIZES

LONGEST = 8192
"""Most steps that are counted singly; above that they are counted in coarser ones."""

CHUNK = 1 << 19
"""Figures in one array."""


@dataclass(frozen=True, slots=True)
class Task:
    """A part's law and its way of ordering; ``step`` is in the part's unit, all else in steps."""

    law: Law
    stride: int
    """Steps in a lot of the law."""
    ordering: Ordering
    step: Fraction
    given: int | None = None
    """A reorder point that is asked about too."""

    @property
    def room(self) -> int:
        """How long its arrays must be."""
        return room(reach(self.law, self.ordering.lead_weeks + 1) * self.stride + 1, self.ordering)


@dataclass(frozen=True, slots=True)
class Point:
    """What a reorder point gives, in steps."""

    reorder_point: int
    cycle: float
    fill: float
    shelf: float
    orders: float
    """A week."""


def fitted(task: Task) -> Task:
    """The task with steps so coarse that its arrays are not too long: quantities are rounded up to them."""
    coarse = 1
    while (fit := _coarser(task, coarse)).room > LONGEST:
        coarse = max(2 * coarse, 2)
    return fit


def _coarser(task: Task, coarse: int) -> Task:
    """Steps at least so many times as large. While a lot holds several steps, it is kept whole: only what is
    ordered is rounded. After that lots are put together, and sizes rounded up to them.
    """
    if coarse == 1:
        return task
    stride = max(task.stride // coarse, 1)
    lots = -(-coarse // task.stride)
    factor = Fraction(task.stride * lots, stride)
    ordering = task.ordering
    return replace(
        task,
        law=_coarser_law(task.law, lots),
        stride=stride,
        ordering=Ordering(
            ceil(ordering.spread / factor),
            ceil(ordering.pack / factor),
            ceil(ordering.minimum / factor),
            ordering.lead_weeks,
        ),
        step=task.step * factor,
        given=None if task.given is None else task.given // factor,
    )


def _coarser_law(law: Law, coarse: int) -> Law:
    if coarse == 1:
        return law
    if law.kind != OWN_SIZES:
        return counted_law(law.mean / coarse, law.variance / coarse**2)
    shares: dict[int, float] = {}
    for size, share in law.sizes:
        shares[ceil(size / coarse)] = shares.get(ceil(size / coarse), 0) + share
    chance = law.mean / sum(size * share for size, share in law.sizes)
    mean = chance * sum(size * share for size, share in shares.items())
    square = chance * sum(size**2 * share for size, share in shares.items())
    return Law(OWN_SIZES, mean, square - mean**2, tuple(sorted(shares.items())))


def answers(tasks: Sequence[Task], wanted: Sequence[float], measure: str) -> list[list[Point]]:
    """For each task its least reorder point for each wanted service, then what its given one gives, if any.

    ``wanted`` lie between 0 and 1; ``measure`` is CYCLE or FILL. The tasks are fitted ones.
    """
    found: list[list[Point]] = [[] for _ in tasks]
    by_size: dict[int, list[int]] = {}
    for place, task in enumerate(tasks):
        by_size.setdefault(max(1 << (task.room - 1).bit_length(), 64), []).append(place)
    for size, places in by_size.items():
        many = max(CHUNK // size, 1)
        for chunk in (places[at : at + many] for at in range(0, len(places), many)):
            own = _answers_of([tasks[place] for place in chunk], size, wanted, measure)
            for place, points in zip(chunk, own, strict=True):
                found[place] = points
    return found


def _answers_of(tasks: Sequence[Task], size: int, wanted: Sequence[float], measure: str) -> list[list[Point]]:
    weekly = weekly_chances([task.law for task in tasks], [task.stride for task in tasks], size)
    known = curves(weekly, [task.ordering for task in tasks])
    sought = known.least(measure, wanted)
    read = [
        known.at(part, sought[part] + ([] if task.given is None else [task.given]))
        for part, task in enumerate(tasks)
    ]
    return [[Point(*row) for row in rows] for rows in read]
