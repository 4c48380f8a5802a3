"""Lots as an outsider would cost them: pack by pack, the oldest used first. Shares no code with the project.

A case is plain numbers: ``required`` (bought by the end of each period), and for each period an offer:
``steps`` of (from quantity, price), ``kind``, ``minimum``, ``order_cost``; then ``pack``, and what keeping a
unit costs a period: ``per_unit`` and ``share`` of the average price paid.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import ceil, inf

from hypothesis import strategies as st

from reconcile.values.rules import ALL_UNITS, INCREMENTAL
from reconcile.values.week.buying import Holding, Offer, PriceStep


@dataclass(frozen=True)
class Case:
    required: tuple
    steps: tuple
    kind: str
    minimum: Fraction
    order_costs: tuple
    pack: Fraction
    per_unit: Fraction
    share: Fraction

    @property
    def offers(self):
        steps = tuple(PriceStep(*step) for step in self.steps)
        return [Offer(steps, self.kind, self.pack, self.minimum, cost) for cost in self.order_costs]

    @property
    def holding(self):
        return Holding(self.per_unit, self.share)

    @property
    def most(self):
        """Packs that are surely enough to look at."""
        return ceil((self.required[-1] + max(self.minimum, self.steps[-1][0])) / self.pack) + 1


def goods(case, quantity):
    """One unit of the finest kind after the other would do it too; this is the same, step by step."""
    if case.kind == ALL_UNITS:
        return quantity * [price for start, price in case.steps if start <= quantity][-1]
    ends = [*(start for start, _ in case.steps[1:]), inf]
    return sum(
        (min(end, quantity) - start) * price
        for (start, price), end in zip(case.steps, ends, strict=True)
        if start < quantity
    )


def cost_of(case, sizes):
    """The cost of orders of so many packs, period by period; None where they do not do."""
    total, bought = Fraction(0), Fraction(0)
    for period, size in enumerate(sizes):
        quantity = size * case.pack
        if size:
            if quantity < case.minimum:
                return None
            paid = goods(case, quantity)
            kept = sum(max(bought + quantity - max(each, bought), 0) for each in case.required[period:])
            total += case.order_costs[period] + paid
            total += (case.per_unit + case.share * paid / quantity) * kept
        bought += quantity
        if bought < case.required[period]:
            return None
    return total


def by_brute_force(case, first=None):
    """The least cost over every plan there is; with ``first``, of those that order so many packs at once."""
    firsts = range(case.most + 1) if first is None else [first]
    plans = product(firsts, *[range(case.most + 1)] * (len(case.required) - 1))
    return min(
        cost
        for cost in (cost_of(case, sizes) for sizes in plans if sum(sizes) <= case.most)
        if cost is not None
    )


def cents(low, high):
    return st.integers(low, high).map(lambda each: Fraction(each, 100))


@st.composite
def cases(draw, periods=3, demand=4, falling=True, kinds=(ALL_UNITS, INCREMENTAL)):
    """Small ones: few periods and packs; prices that fall with quantity unless told otherwise."""
    count = draw(st.integers(1, periods))
    required, total = [], Fraction(0)
    for _ in range(count):
        total += Fraction(draw(st.integers(0, demand * 2)), 2)
        required.append(total)
    starts = sorted(draw(st.sets(st.integers(1, 6), max_size=2)))
    prices = draw(st.lists(cents(0, 900), min_size=len(starts) + 1, max_size=len(starts) + 1))
    steps = zip([0, *starts], sorted(prices, reverse=True) if falling else prices, strict=True)
    order_costs = draw(
        st.one_of(
            cents(0, 800).map(lambda each: [each] * count),
            st.lists(cents(0, 800), min_size=count, max_size=count),
        )
    )
    return Case(
        tuple(required),
        tuple((Fraction(start), price) for start, price in steps),
        draw(st.sampled_from(kinds)),
        Fraction(draw(st.integers(0, 4))),
        tuple(order_costs),
        Fraction(draw(st.sampled_from(["1", "3/2", "2"]))),
        draw(st.one_of(st.just(Fraction(0)), cents(0, 300))),
        draw(st.sampled_from([Fraction(0), Fraction(1, 260), Fraction(1, 10), Fraction(1, 2)])),
    )
