"""Lots for a demand that goes on evenly for ever: the classical formulas, exactly.

The square root in them is not taken. A lot is told by its square, which is a fraction where costs and demand
are; lots in whole packs are compared by their cost, which is one too. "Year" stands for any span of time that
demand and holding cost share.

Sources: F. W. Harris, "How Many Parts to Make at Once", Factory, The Magazine of Management 10(2), 1913 (the
lot); R. Wildeman, J. Frenk, R. Dekker, "An efficient optimal solution method for the joint replenishment
problem", European Journal of Operational Research 99(2), 1997, from memory (its bounds on the cycle).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor, isqrt

from reconcile.values.week.buying import ZERO, Holding, Offer


def lot_squared(order_cost: Fraction, demand: Fraction, holding: Fraction) -> Fraction:
    """The square of the lot that costs least: 2 K D / h, with h the cost of keeping a unit for a year."""
    return 2 * order_cost * demand / holding


def yearly_cost(quantity: Fraction, offer: Offer, demand: Fraction, holding: Holding) -> Fraction:
    """Goods, orders and keeping half a lot, by the year, where every order is for ``quantity``."""
    price = offer.unit_price(quantity)
    return price * demand + offer.order_cost * demand / quantity + holding.of(price) * quantity / 2


def steady_lot(offer: Offer, demand: Fraction, holding: Holding) -> tuple[Fraction, Fraction]:
    """The lot in whole packs that costs least by the year, and that cost; of equals the smaller.

    Exact: between two price steps the cost falls and then rises, so the packs on either side of the lowest
    point decide, or the end of the step. ``demand`` and the cost of keeping are more than nothing.
    """
    lots = {size * offer.pack for size in candidate_sizes(offer, demand, holding)}
    cost, lot = min((yearly_cost(lot, offer, demand, holding), lot) for lot in lots)
    return lot, cost


def candidate_sizes(offer: Offer, demand: Fraction, holding: Holding) -> Iterator[int]:
    """In packs: the lowest point of each price step, kept within it."""
    starts = offer.thresholds
    for start, end in zip(starts, (*starts[1:], None), strict=True):
        price = offer.step(start * offer.pack).price
        extra = offer.goods(start * offer.pack) - price * start * offer.pack
        held = holding.of(price)
        if held:
            # What earlier units of an incremental offer cost more is paid by the order, like its own cost.
            root = floor_root(lot_squared(offer.order_cost + extra, demand, held) / offer.pack**2)
            last = root + 1 if end is None else end - 1
            yield from {min(max(size, start), max(last, start)) for size in (root, root + 1)}
        else:
            yield start if end is None else max(end - 1, start)


def floor_root(value: Fraction) -> int:
    """The whole number below the square root.

    >>> floor_root(Fraction(99, 10))
    3
    """
    return isqrt(floor(value))


# --- several parts from one supplier -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SteadyPart:
    """A part that is used evenly: what a line for it adds to an order, and what keeping it costs."""

    line_cost: Fraction
    demand: Fraction
    """Units a year."""
    holding: Fraction
    """Of a unit for a year."""

    @property
    def kept(self) -> Fraction:
        """What keeping costs a year for each year that an order lasts."""
        return self.holding * self.demand / 2


@dataclass(frozen=True, slots=True)
class JointCycle:
    """An order every so often, and each part on every so manieth of them.

    The cycle is the square root of ``cycle_squared`` (years squared), the cost a year that of
    ``cost_squared``.
    """

    multiples: tuple[int, ...]
    cycle_squared: Fraction
    cost_squared: Fraction


def joint_cycle(order_cost: Fraction, parts: Sequence[SteadyPart]) -> JointCycle:
    """The cheapest cycle at which some part is on every order. All that is used costs something to keep.

    Raises ValueError where ``order_cost`` is nothing: then no cycle binds the parts together.

    Exact. For a cycle T a part's best multiple is the least k with k (k + 1) T² >= line cost / kept, so as T
    shrinks the multiples change at known values of T². All of those down to a T whose orders alone cost
    more than the best found are looked at, with each part in turn as the one that is on every order.
    """
    if order_cost <= 0:
        raise ValueError("an order costs nothing: then each part is best ordered by itself")
    start = cycle_of(order_cost, parts, (1,) * len(parts))
    least = order_cost**2 / start.cost_squared
    best = start
    for always in range(len(parts)):
        for multiples in changing_multiples(parts, always, least):
            found = cycle_of(order_cost, parts, multiples)
            best = min(best, found, key=lambda each: each.cost_squared)
    return best


def cycle_of(order_cost: Fraction, parts: Sequence[SteadyPart], multiples: Sequence[int]) -> JointCycle:
    """The best cycle for given multiples. A year costs a/T + b T, which is least at T² = a/b: 2 √(a b)."""
    pairs = list(zip(parts, multiples, strict=True))
    ordering = order_cost + sum((part.line_cost / multiple for part, multiple in pairs), ZERO)
    keeping = sum((part.kept * multiple for part, multiple in pairs), ZERO)
    return JointCycle(tuple(multiples), ordering / keeping, 4 * ordering * keeping)


def changing_multiples(
    parts: Sequence[SteadyPart], always: int, least: Fraction
) -> Iterator[tuple[int, ...]]:
    """Every set of best multiples as the cycle's square shrinks to ``least``, part ``always`` kept at 1."""
    changes = sorted(
        (
            (square, place)
            for place, part in enumerate(parts)
            if place != always
            for square in changes_of(part, least)
        ),
        reverse=True,
    )
    multiples = [1] * len(parts)
    yield tuple(multiples)
    for _, place in changes:
        multiples[place] += 1
        yield tuple(multiples)


def changes_of(part: SteadyPart, least: Fraction) -> Iterable[Fraction]:
    """The squares of the cycles, not below ``least``, at which the best multiple goes from k to k + 1."""
    ratio = part.line_cost / part.kept
    k = 1
    while (square := ratio / (k * (k + 1))) >= least:
        yield square
        k += 1
