"""Levels for a wanted service, and the service of given levels: many parts at once, in steps."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, TypeAlias

from reconcile.plan.levels.service import ROUNDING, Curves, Ordering, curves, room
from reconcile.plan.levels.weekly_laws import Law, counted_law, reach, record_law, spans_of, weekly_chances
from reconcile.values.rules import CYCLE
from reconcile.values.week.levels import OWN_SIZES

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"

LONGEST = 8192
"""Most steps that are counted singly; above that they are counted in coarser ones."""

CHUNK = 1 << 19
"""Figures in one array."""

ALWAYS = 0.99995
"""A service from which on no further reorder point is looked at: above any that may be asked for."""


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
    if law.chance is not None:
        return record_law(law.chance, shares)
    chance = law.mean / sum(size * share for size, share in law.sizes)
    mean = chance * sum(size * share for size, share in shares.items())
    square = chance * sum(size**2 * share for size, share in shares.items())
    return Law(OWN_SIZES, mean, square - mean**2, tuple(sorted(shares.items())))


@dataclass(frozen=True, slots=True)
class Ladder:
    """What every reorder point 0, 1, 2, ... of a part gives, up to one that practically always serves.

    Arrays have a figure for each reorder point, in steps of the task.
    """

    cycle: "Array"
    fill: "Array"
    shelf: "Array"
    orders: float
    """A week."""
    ready: "Array"
    """At k + ``highest``: the chance that, when there is a use, so much lies there that a reorder point of k
    would still be above it. So ``q`` are there at reorder point s with the chance at s - q."""
    highest: int

    def least(self, measure: str, wanted: float) -> int:
        """The least reorder point with so much service; the last one where none has."""
        service = self.cycle if measure == CYCLE else self.fill
        reached = service >= wanted - ROUNDING
        return int(reached.argmax()) if reached.any() else len(service) - 1

    def point(self, reorder_point: int) -> "Point":
        """What a reorder point gives. Past the last one each step more is one more on the shelf."""
        place = min(reorder_point, len(self.fill) - 1)
        return Point(
            reorder_point,
            float(self.cycle[place]),
            float(self.fill[place]),
            float(self.shelf[place]) + reorder_point - place,
            self.orders,
        )

    def there(self, quantity: int) -> "Array":
        """By reorder point the chance that ``quantity`` lies there when a week with use begins."""
        import numpy as np

        places = np.arange(len(self.fill)) - quantity + self.highest
        known = self.ready[np.clip(places, 0, len(self.ready) - 1)]
        return np.where(places < 0, 0.0, known)

    def served(self, quantity: int, sizes: Mapping[int, float]) -> "Array":
        """By reorder point the chance that one who takes ``quantity`` in a week with use finds it.

        ``sizes`` are the chances of what such a week uses in all, in steps. It is taken ``quantity`` at
        a time, one taker after the other (the last one what is left), and a taker is any of them alike.
        """
        takers: dict[int, float] = {}
        for size, share in sizes.items():
            for before in range(0, max(size, 1), quantity):
                reached = max(min(before + quantity, size), quantity)
                takers[reached] = takers.get(reached, 0.0) + share
        total, found = sum(takers.values()), 0 * self.fill
        for reached, weight in takers.items():
            found += weight / total * self.there(reached)
        return found


def answers(tasks: Sequence[Task], wanted: Sequence[float], measure: str) -> list[list[Point]]:
    """For each task its least reorder point for each wanted service, then what its given one gives, if any.

    ``wanted`` lie between 0 and 1; ``measure`` is CYCLE or FILL. The tasks are fitted ones.
    """
    found = []
    for task, ladder in zip(tasks, ladders(tasks), strict=True):
        asked = [ladder.least(measure, each) for each in wanted]
        asked += [] if task.given is None else [task.given]
        found.append([ladder.point(point) for point in asked])
    return found


def ladders(tasks: Sequence[Task]) -> list[Ladder]:
    """The ladder of each task, worked out with others of its size. The tasks are fitted ones."""
    found: list[Ladder | None] = [None] * len(tasks)
    by_size: dict[int, list[int]] = {}
    for place, task in enumerate(tasks):
        by_size.setdefault(max(1 << (task.room - 1).bit_length(), 64), []).append(place)
    for size, places in by_size.items():
        many = max(CHUNK // size, 1)
        for chunk in (places[at : at + many] for at in range(0, len(places), many)):
            own = _ladders_of([tasks[place] for place in chunk], size)
            for place, ladder in zip(chunk, own, strict=True):
                found[place] = ladder
    return [ladder for ladder in found if ladder is not None]


def _ladders_of(tasks: Sequence[Task], size: int) -> list[Ladder]:
    import numpy as np

    known = known_curves(tasks, size)
    served = (known.cycle >= ALWAYS) & (known.fill >= ALWAYS)
    tops = np.where(served.any(axis=1), served.argmax(axis=1), size)
    rows = []
    for part, task in enumerate(tasks):
        highest = task.ordering.highest
        top = min(int(tops[part]), size - 1 - highest) + 1
        rows.append(
            Ladder(
                known.cycle[part, :top].copy(),
                known.fill[part, :top].copy(),
                known.shelf[part, :top].copy(),
                float(known.orders[part]),
                known.ready(part, top),
                highest,
            )
        )
    return rows


def known_curves(tasks: Sequence[Task], size: int) -> Curves:
    """The curves of tasks whose arrays are to be of this size."""
    laws = [task.law for task in tasks]
    weekly = weekly_chances(laws, [task.stride for task in tasks], size)
    spans = spans_of(laws, weekly, [task.ordering.lead_weeks for task in tasks])
    return curves(weekly, [task.ordering for task in tasks], spans)
