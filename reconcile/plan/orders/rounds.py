"""What to order of one supplier, round by round: a delivery charge saved against stock kept early.

Orders go out in weekly rounds. Each line has a last round; ordered earlier, it is kept longer. An order that
misses the supplier's minimum may be turned down, and one that misses the value for free delivery is charged.
"""

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import lcm

from reconcile.plan.solver.programme import INFINITE, Programme, ProgrammeOutcome, Reached, Stage, solve
from reconcile.values.stock.parts import Supplier
from reconcile.values.week.buying import (
    ALL_NOW,
    AS_LATE,
    BEST_ROUNDS,
    ZERO,
    DeliveryTerms,
    Holding,
    OrderLine,
    RoundChoice,
    RoundPlan,
    round_of,
)

PATIENCE = 10.0
"""Seconds for one supplier, unless told otherwise."""


def terms_of(supplier: Supplier) -> DeliveryTerms:
    """The supplier's terms; what is not given is not asked."""

    def known(amount: Decimal | None) -> Fraction:
        return ZERO if amount is None else Fraction(amount)

    free = supplier.free_delivery_from
    return DeliveryTerms(
        known(supplier.minimum_order_value),
        known(supplier.delivery_charge),
        None if free is None else Fraction(free),
    )


def last_round(order_by: date | None, rounds: Sequence[date]) -> int:
    """The last round, of their days from today on, that is not after ``order_by``; 0 where there is none."""
    if order_by is None:
        return 0
    return max((number for number, day in enumerate(rounds) if day <= order_by), default=0)


def choose_rounds(
    lines: Iterable[OrderLine],
    terms: DeliveryTerms,
    holding: Holding,
    order_cost: Fraction = ZERO,
    patience: float = PATIENCE,
) -> RoundChoice:
    """Which line to order in which round: as little below minimums as can be, then at the least cost.

    ``holding.share`` is the cost of keeping goods for a week, as a share of their value. Looked at are each
    line as late as it may be, every line now, and the cheapest. Of equals the one that orders less early.
    Exact; where ``patience`` (seconds) runs out the plan tells its gap.
    """
    dealt = Rounds(tuple(lines), terms, holding, order_cost)
    late = dealt.plan([line.latest for line in dealt.lines]).because(AS_LATE)
    now = dealt.plan([0] * len(dealt.lines)).because(ALL_NOW)
    best = dealt.cheapest(late, now, patience)
    return RoundChoice(terms, (late, now, best), best)


@dataclass(frozen=True)
class Rounds:
    """The lines of a supplier that are to be divided over rounds."""

    lines: tuple[OrderLine, ...]
    terms: DeliveryTerms
    holding: Holding
    order_cost: Fraction = ZERO

    def plan(self, numbers: Sequence[int]) -> RoundPlan:
        """The lines ordered in the rounds with these numbers, line by line."""
        rounds = []
        for number in sorted(set(numbers)):
            own = (line for line, each in zip(self.lines, numbers, strict=True) if each == number)
            rounds.append(round_of(number, own, self.terms, self.holding, self.order_cost))
        return RoundPlan(tuple(rounds), BEST_ROUNDS)

    @property
    def simple(self) -> bool:
        """Nothing is gained by ordering together, or nothing can wait."""
        terms = self.terms
        return not (terms.minimum or terms.charge or self.order_cost) or not any(
            line.latest for line in self.lines
        )

    def cheapest(self, late: RoundPlan, now: RoundPlan, patience: float) -> RoundPlan:
        """The least below minimums, then the least cost.

        Cost is n charges, m orders and the cost of keeping. For each n and m, cheapest first, the least value
        times weeks early is a programme in small whole numbers, so that the sum is exact whatever the
        shares are. Done when n and m alone cost as much as the best plan.
        """
        if self.simple:
            return late.because(BEST_ROUNDS)
        deadline = time.monotonic() + patience
        best = min((late, now), key=_worth)
        below, best = self.least_below(best, patience / 4)
        bounds = [] if below.proven else [ZERO]
        for base, charged, orders in self.counts:
            if base >= best.cost and best.below_minimum * self.scale <= below.value:
                break
            outcome = self.solved(below.value, charged, orders, deadline - time.monotonic())
            if outcome.values:
                best = min(best, self.plan(self.numbers(outcome)), key=_worth)
            if not outcome.proven and (outcome.values or time.monotonic() >= deadline):
                early = outcome.stages[0].bound if outcome.stages else 0
                bounds.append(base + self.holding.share * Fraction(max(early, 0)) / self.scale)
        gap = max((best.cost - bound for bound in bounds), default=ZERO)
        return best.because(BEST_ROUNDS, max(gap, ZERO))

    @cached_property
    def counts(self) -> list[tuple[Fraction, int, int]]:
        """What n charges and m orders cost, n and m: cheapest first."""
        rounds, terms = range(1, self.last + 2), self.terms
        if terms.charge and terms.free_from is not None:
            pairs = [(charged, orders) for orders in rounds for charged in range(orders + 1)]
        else:
            pairs = [(orders, orders) for orders in rounds]
        return sorted(
            (terms.charge * charged + self.order_cost * orders, charged, orders) for charged, orders in pairs
        )

    @cached_property
    def last(self) -> int:
        return max(line.latest for line in self.lines)

    @cached_property
    def scale(self) -> int:
        """How many times smaller an amount of money must be for every value to be whole."""
        amounts = (self.terms.minimum, self.terms.free_from or ZERO, *(line.value for line in self.lines))
        return lcm(*(amount.denominator for amount in amounts))

    def least_below(self, best: RoundPlan, patience: float) -> tuple[Reached, RoundPlan]:
        """The least that orders must miss of minimums, in small units, and the best plan known then."""
        if not best.below_minimum:
            return Reached(0, 0, proven=True), best
        layout = Layout.of(self)
        outcome = solve(layout.programme, [Stage(dict.fromkeys(layout.below, 1))], patience)
        if not outcome.values:
            return Reached(int(best.below_minimum * self.scale), 0, proven=False), best
        found = min(best, self.plan(self.numbers(outcome)), key=_worth)
        return outcome.stages[0], found

    def solved(self, below: int, charged: int, orders: int, patience: float) -> ProgrammeOutcome:
        """The least value times weeks early, with so many charges and orders at most."""
        layout = Layout.of(self)
        programme = layout.programme
        programme.row(-INFINITE, below, dict.fromkeys(layout.below, 1))
        programme.row(-INFINITE, charged, dict.fromkeys(layout.charged, 1))
        programme.row(-INFINITE, orders, dict.fromkeys(layout.used, 1))
        early = {
            column: int(line.value * self.scale) * (line.latest - number)
            for line, columns in zip(self.lines, layout.ordered, strict=True)
            for number, column in enumerate(columns)
        }
        return solve(programme, [Stage(early)], patience)

    def numbers(self, outcome: ProgrammeOutcome) -> list[int]:
        """The round of each line."""
        ordered = Layout.of(self).ordered
        return [max(range(len(own)), key=lambda number: outcome.values[own[number]]) for own in ordered]


@dataclass(frozen=True)
class Layout:
    """The lines and rounds as columns of a programme, in the small units of the rounds' values."""

    programme: Programme
    ordered: list[list[int]]
    """By line and round, as far as the line may wait: whether it is ordered then."""
    used: list[int]
    """By round: whether there is an order at all."""
    charged: list[int]
    """By round: whether delivery is charged."""
    below: list[int]
    """By round: what its order misses of the minimum."""

    @classmethod
    def of(cls, rounds: Rounds) -> "Layout":
        programme = Programme()
        weeks = range(rounds.last + 1)
        minimum = int(rounds.terms.minimum * rounds.scale)
        layout = cls(
            programme,
            [[programme.column(0, 1, whole=True) for _ in range(line.latest + 1)] for line in rounds.lines],
            [programme.column(0, 1, whole=True) for _ in weeks],
            [programme.column(0, 1, whole=True) for _ in weeks],
            [programme.column(0, minimum) for _ in weeks],
        )
        for columns in layout.ordered:
            programme.row(1, 1, dict.fromkeys(columns, 1))
        for week in weeks:
            layout.bind(rounds, week, minimum)
        return layout

    def bind(self, rounds: Rounds, week: int, minimum: int) -> None:
        """Only an order holds lines; it reaches the minimum or is below it, and is charged or free."""
        programme, terms, used, charged = self.programme, rounds.terms, self.used[week], self.charged[week]
        values: dict[int, int] = {}
        for line, columns in zip(rounds.lines, self.ordered, strict=True):
            if week < len(columns):
                programme.row(0, INFINITE, {used: 1, columns[week]: -1})
                values[columns[week]] = int(line.value * rounds.scale)
        if minimum:
            programme.row(0, INFINITE, {**values, used: -minimum, self.below[week]: 1})
        if terms.free_from is not None:
            free = int(terms.free_from * rounds.scale)
            programme.row(0, INFINITE, {**values, used: -free, charged: free})


def _worth(plan: RoundPlan) -> tuple[Fraction, Fraction]:
    return plan.below_minimum, plan.cost
