"""The lots of one supplier sized together: what an order and its delivery cost is shared by its lines.

A lot sized alone carries the whole cost of an order, and so may hold too much or come too seldom; one that
rides along with others carries none. Which weeks have an order is searched for; given those weeks each part's
lots are exact by themselves (``lot_sizes.py``), for joint replenishment falls apart into its parts once the
shared cost is paid: the coordinated lot-size problem, S. S. Erenguc, *Management Science* 34 (1988), 253-263
(from memory). The search is none over all sets of weeks, so a bound is worked out beside it and told.

The bound deals the shared cost of each week out among the parts: whatever shares are dealt, no joint plan
costs less than all parts do that pay only their shares (Lagrange). Shares are moved towards those who order.
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import chain

from reconcile.plan.orders.lot_sizes import Search
from reconcile.plan.orders.rounds import Rounds, choose_rounds
from reconcile.values.week.buying import (
    ZERO,
    BuyingPlan,
    DeliveryTerms,
    Holding,
    LotLine,
    Offer,
    RoundChoice,
    RoundPlan,
)

MOST_STEPS = 60_000
"""Of each part's search: several hundred are made for one supplier."""

MOST_EVERY = 4
"""Weeks between the orders of the steady patterns that the search begins with."""

SHARINGS = 8
"""Times that the shares of the bound are moved."""

Weeks = frozenset[int]


@dataclass(frozen=True, slots=True)
class JointPart:
    """A part of the supplier: what must have been bought by the end of each period, at what it is offered."""

    number: str
    required: tuple[Fraction, ...]
    offer: Offer
    latest: tuple[int, ...]
    """By period the last weekly round in which what it asks for can be ordered."""


@dataclass(frozen=True, slots=True)
class JointChoice:
    """The plans of all parts and their rounds, what they cost together, and what no plans cost less than."""

    plans: tuple[BuyingPlan, ...]
    rounds: RoundChoice
    cost: Fraction
    """Goods, keeping, orders and delivery."""
    alone: Fraction
    """What lots that were each sized alone cost, their rounds chosen as well."""
    bound: Fraction

    @property
    def gap(self) -> Fraction:
        return max(self.cost - self.bound, ZERO)


@dataclass(frozen=True)
class Together:
    """One supplier's parts, to be sized together."""

    parts: tuple[JointPart, ...]
    terms: DeliveryTerms
    holding: Holding
    order_cost: Fraction
    patience: float

    def choice(self) -> JointChoice:
        """The cheaper of lots sized alone and lots sized together, after both had their rounds chosen.

        First what falls below the supplier's minimum, then cost, as in rounds.
        """
        deadline = time.monotonic() + self.patience / 2
        alone = self.plans(frozenset())
        before = self.settled(alone)
        best = alone
        for weeks in self.searched(alone, deadline):
            plans = self.plans(weeks)
            if self.worth(plans) < self.worth(best):
                best = plans
        after = before if best == alone else self.settled(best)
        rounds, plans = min((before, alone), (after, best), key=lambda pair: self.paid(*pair))
        cost = self.paid(rounds, plans)[1]
        return JointChoice(plans, rounds, cost, self.paid(before, alone)[1], min(self.bound, cost))

    # What a set of plans costs.

    @property
    def shared(self) -> Fraction:
        """What a week's order costs once, delivery counted unless it may be free."""
        return self.order_cost + (self.terms.charge if self.terms.free_from is None else ZERO)

    def plans(self, weeks: Weeks) -> tuple[BuyingPlan, ...]:
        """Each part's best plan where those weeks have an order anyway, and any other costs a whole one."""
        return tuple(self.plan(place, weeks) for place in range(len(self.parts)))

    def plan(self, place: int, weeks: Weeks) -> BuyingPlan:
        part = self.parts[place]
        ridden = tuple(part.latest[period] in weeks for period in range(len(part.required)))
        if (place, ridden) not in self._known:
            whole = self.order_cost + (self.terms.charge if weeks else ZERO)
            costs = [ZERO if rides else whole for rides in ridden]
            self._known[place, ridden] = self.priced(part, costs)
        return self._known[place, ridden]

    @cached_property
    def _known(self) -> dict[tuple[int, tuple[bool, ...]], BuyingPlan]:
        return {}

    def priced(self, part: JointPart, costs: Sequence[Fraction]) -> BuyingPlan:
        offers = [replace(part.offer, order_cost=cost) for cost in costs]
        return Search(part.required, offers, self.holding, most_steps=MOST_STEPS).plan()

    def lines(self, plans: Sequence[BuyingPlan]) -> tuple[LotLine, ...]:
        return tuple(
            LotLine(part.number, order.goods, part.latest[order.period])
            for part, plan in zip(self.parts, plans, strict=True)
            for order in plan.orders
        )

    def worth(self, plans: Sequence[BuyingPlan]) -> tuple[Fraction, Fraction]:
        """What plans miss of minimums and cost, each line ordered as late as it may be, or all at once."""
        dealt = Rounds(self.lines(plans), self.terms, self.holding, self.order_cost)
        late = dealt.plan([line.latest for line in dealt.lines])
        return min(self._paid(rounds, plans) for rounds in (late, dealt.plan([0] * len(dealt.lines))))

    def settled(self, plans: Sequence[BuyingPlan]) -> RoundChoice:
        return choose_rounds(self.lines(plans), self.terms, self.holding, self.order_cost, self.patience / 4)

    def paid(self, rounds: RoundChoice, plans: Sequence[BuyingPlan]) -> tuple[Fraction, Fraction]:
        return self._paid(rounds.taken, plans)

    def _paid(self, rounds: RoundPlan, plans: Sequence[BuyingPlan]) -> tuple[Fraction, Fraction]:
        own = sum((plan.goods + plan.holding for plan in plans), ZERO)
        return rounds.below_minimum, own + rounds.cost

    # Which weeks are looked at.

    def searched(self, alone: Sequence[BuyingPlan], deadline: float) -> Iterator[Weeks]:
        """Sets of weeks: steady ones, those of lots sized alone, then whatever a change of one betters."""
        last = max(chain.from_iterable(part.latest for part in self.parts), default=0)
        starts = [frozenset(range(0, last + 1, every)) for every in range(1, MOST_EVERY + 1)]
        starts += [frozenset({0}), frozenset(line.latest for line in self.lines(alone))]
        yield from (start for start in starts if time.monotonic() < deadline or start == starts[-1])
        weeks = min(starts, key=lambda start: self.worth(self.plans(start)))
        while time.monotonic() < deadline:
            near = [weeks ^ {week} for week in range(last + 1)]
            best = min(near, key=lambda own: self.worth(self.plans(own)))
            if self.worth(self.plans(best)) >= self.worth(self.plans(weeks)):
                return
            weeks = best
            yield weeks

    # What no plans cost less than.

    @cached_property
    def bound(self) -> Fraction:
        """The best of several sharings; an order's cost is shared, and delivery where it is never free.

        Of several periods whose last round is the same, the first alone pays, and a round before all of a
        part's own is paid by whichever period would be ordered in it: at the least that any of them asks.
        Holds where no bigger order has a dearer unit, for lots may be put together.
        """
        rounds = 1 + max(chain.from_iterable(part.latest for part in self.parts), default=0)
        shares = [[self.shared / len(self.parts)] * rounds for _ in self.parts]
        best = ZERO
        for turn in range(SHARINGS):
            plans = [
                self.priced(part, self._asked(part, own))
                for part, own in zip(self.parts, shares, strict=True)
            ]
            best = max(best, sum((plan.total - plan.gap for plan in plans), ZERO))
            for week in range(rounds):
                self._reshare(shares, plans, week, turn)
        return best

    @staticmethod
    def _asked(part: JointPart, own: Sequence[Fraction]) -> list[Fraction]:
        """What an order of each period pays at least, by the shares of the rounds."""
        free = [week for week in range(len(own)) if week not in part.latest]
        costs, seen = [], set[int]()
        for week in part.latest:
            earlier = [own[other] for other in free if other < week]
            costs.append(ZERO if week in seen else min([own[week], *earlier]))
            seen.add(week)
        return costs

    def _reshare(
        self, shares: list[list[Fraction]], plans: Sequence[BuyingPlan], week: int, turn: int
    ) -> None:
        """Half of what a week costs, and less from turn to turn, goes to those that order in it."""
        orders = [
            place
            for place, (part, plan) in enumerate(zip(self.parts, plans, strict=True))
            if any(part.latest[order.period] == week for order in plan.orders)
        ]
        if not orders or len(orders) == len(self.parts):
            return
        moved = Fraction(1, turn + 2)
        for place in range(len(self.parts)):
            own = self.shared / len(orders) if place in orders else ZERO
            shares[place][week] = (1 - moved) * shares[place][week] + moved * own
