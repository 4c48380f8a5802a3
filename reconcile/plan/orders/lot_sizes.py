"""How much to order of a part, exactly: the cheapest orders that cover a known demand over some periods.

The demand is known, each order costs something to place, units that are kept cost something, and a supplier
sells in packs, from a minimum on, and cheaper from price breaks on. Without those last three, only orders
that find nothing left need be looked at: H. M. Wagner and T. M. Whitin, "Dynamic Version of the Economic Lot
Size Model", Management Science 5(1), 1958. With them that is no longer true (tests show it), so the search
goes over what has been bought so far, in whole packs.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from itertools import accumulate, pairwise
from math import ceil, lcm

from reconcile.plan.orders.lot_bounds import cell_bound
from reconcile.values.rules import ALL_UNITS, Buying
from reconcile.values.stock.parts import Part, PriceBreak
from reconcile.values.week.buying import (
    AT_BREAK,
    CHEAPEST,
    JUST_ENOUGH,
    ZERO,
    Alternative,
    BuyingPlan,
    Holding,
    LotChoice,
    NextBreak,
    Offer,
    PlannedOrder,
    PriceStep,
)

Money = int | Fraction

MOST_STEPS = 400_000
"""Pairs of states looked at before the search turns to fewer states: some tenths of a second."""
LONGEST_NUMBER = 4096
"""Bits of the common denominator up to which whole numbers are quicker than fractions."""


def offer_of(part: Part, breaks: Iterable[PriceBreak], buying: Buying) -> Offer | None:
    """What a part is offered at; None where it has no price at all. Without a price of its own it is offered
    from its first break on.

    As everywhere, breaks count only where the part's currency is known, and the highest one reached sets the
    price. Of two breaks from the same quantity the first counts.
    """
    steps: dict[Fraction, Decimal] = {}
    if part.currency:
        for price_break in breaks:
            steps.setdefault(price_break.from_quantity, price_break.price)
    if part.price is not None:
        steps.setdefault(ZERO, part.price)
    if not steps:
        return None
    return Offer(
        tuple(PriceStep(quantity, Fraction(price)) for quantity, price in sorted(steps.items())),
        buying.price_breaks,
        part.pack,
        part.minimum_order,
        buying.order_cost,
    )


def required_by_week(
    want: Fraction, position: Fraction, safety_stock: Fraction, later: Iterable[Fraction]
) -> tuple[Fraction, ...]:
    """What must have been bought by the end of each week: ``want`` now, then what later demand asks for.

    ``later`` is the demand of each week after the planned one. What is there or still to come (``position``)
    is used up first, down to the safety stock; so stock that the want leaves over is not bought again.
    """
    sums = accumulate(later, initial=ZERO)
    next(sums)
    return (want, *(max(want, safety_stock + demand - position) for demand in sums))


def next_break(offer: Offer, order: Fraction) -> NextBreak | None:
    """What the next price break above an order would bring; None where there is none that is cheaper."""
    for step in offer.steps:
        quantity = offer.packs(step.from_quantity) * offer.pack
        if step.from_quantity > order and quantity > order and step.price < offer.step(order).price:
            price = offer.unit_price(quantity) if offer.kind == ALL_UNITS else offer.step(quantity).price
            goods, there = offer.goods(order), offer.goods(quantity)
            return NextBreak(order, goods, quantity, price, there, offer.kind)
    return None


def choose_lot(required: Sequence[Fraction], offer: Offer, holding: Holding) -> LotChoice:
    """Today's order and why: never less than ``required[0]``, which is more than nothing.

    Looked at are just enough for today, each price break above it, and the cheapest of all. Of equals the
    smallest is taken. Cost: see ``cheapest_plan``.
    """
    sizes = offer.packs(required[0]), *(size for size in offer.thresholds if size > offer.packs(required[0]))
    search = Search(required, [offer] * len(required), holding, sizes)
    best = search.plan()
    assert best.now is not None  # required[0] is more than nothing
    plans = {best.now.packs: best} | {size: search.plan(size) for size in sizes if size != best.now.packs}
    reasons = {size: (JUST_ENOUGH if size == sizes[0] else AT_BREAK,) for size in sizes}
    reasons[best.now.packs] = (*reasons.get(best.now.packs, ()), CHEAPEST)
    alternatives = tuple(
        Alternative(reasons[size], size * offer.pack, size, offer.unit_price(size * offer.pack), plans[size])
        for size in sorted(plans)
    )
    taken = next(alternative for alternative in alternatives if alternative.packs == best.now.packs)
    return LotChoice(required[0], tuple(required), offer, alternatives, taken)


def cheapest_plan(
    required: Sequence[Fraction], offers: Sequence[Offer], holding: Holding, most_steps: int = MOST_STEPS
) -> BuyingPlan:
    """The cheapest orders such that ``required[t]`` has been bought by the end of each period t.

    ``required`` (in the part's unit) never falls; ``offers`` has one offer for each period, all with the same
    pack. An order costs its goods and its ``order_cost``; each unit costs ``holding`` at the end of every
    period, up to the last, at which it is there and not yet required, the oldest units being used first. A
    share of the price is that of the average price paid in the unit's own order, as in the textbooks on lots
    with discounts.

    Exact. For T periods and n states it takes T n²/2 steps. States are the packs bought so far, all of them
    where ``most_steps`` allows; else only those that the best plan can need, which are few and still exact
    for prices of all units that never rise with quantity; else some of these, and the plan tells its gap.
    """
    return Search(required, offers, holding, most_steps=most_steps).plan()


def wagner_whitin(
    demand: Sequence[Fraction],
    order_costs: Sequence[Fraction],
    prices: Sequence[Fraction],
    holding: Sequence[Fraction],
) -> tuple[Fraction, tuple[Fraction, ...]]:
    """The least cost, and how much to order in each period: no packs, no minimum, no breaks.

    Wagner and Whitin's recursion: whoever orders, orders for the demand of whole periods. ``holding[t]`` is
    what a unit bought in period t costs for each period that it is kept. Of equal plans the one whose last
    order is earliest.
    """
    best: list[tuple[Fraction, int]] = [(ZERO, 0)]
    for end in range(1, len(demand) + 1):
        options = []
        goods = kept = ZERO
        for start in reversed(range(end)):
            kept += goods
            goods += demand[start]
            order = order_costs[start] + prices[start] * goods + holding[start] * kept if goods else ZERO
            options.append((best[start][0] + order, start))
        best.append(min(options))
    orders = [ZERO] * len(demand)
    end = len(demand)
    while end:
        start = best[end][1]
        orders[start] = sum(demand[start:end], ZERO)
        end = start
    return best[-1][0], tuple(orders)


@dataclass(frozen=True)
class Search:
    """The cheapest way on from every state, a state being the packs bought before a period begins."""

    required: Sequence[Fraction]
    offers: Sequence[Offer]
    holding: Holding
    sizes: Sequence[int] = ()
    """Sizes of today's order, in packs, that are to be asked about."""
    most_steps: int = MOST_STEPS

    @cached_property
    def pack(self) -> Fraction:
        return self.offers[0].pack

    @cached_property
    def needed(self) -> list[int]:
        """Packs that must have been bought by the end of each period."""
        return [ceil(quantity / self.pack) for quantity in self.required]

    @cached_property
    def most(self) -> int:
        """No best plan buys more: a pack less in its last order, or no last order, would cost no more.

        An incremental order that is a pack smaller costs less even where it misses a break.
        """
        ends = (self.useful[offer][-1 if offer.kind == ALL_UNITS else 0] for offer in self.offers)
        return self.needed[-1] + max(ends)

    @cached_property
    def useful(self) -> dict[Offer, list[int]]:
        """The thresholds of each offer that some best plan can use.

        At any time one order could cover the whole horizon, if all of it were kept to the end. A threshold
        whose goods alone cost more than that is of no use.
        """
        found = {}
        for offer in self.offers:
            least = offer.thresholds[0]
            whole = max(self.needed[-1], least) * self.pack
            kept = self.holding.of(offer.unit_price(whole)) * whole * len(self.required)
            dearest = offer.goods(whole) + kept
            further = (size for size in offer.thresholds[1:] if offer.goods(size * self.pack) <= dearest)
            found[offer] = [least, *further]
        return found

    def plan(self, first: int | None = None) -> BuyingPlan:
        """The cheapest plan; with ``first``, the cheapest of those that order so many packs today."""
        state, orders = 0, []
        for period, ways in enumerate(self.ways):
            then = first if period == 0 and first is not None else ways[state][1]
            if then > state:
                orders.append(self.order(period, state, then))
            state = then
        plan = BuyingPlan(tuple(orders), state * self.pack - self.required[-1])
        return plan if self.exact else replace(plan, gap=plan.total - self.least)

    def order(self, period: int, before: int, after: int) -> PlannedOrder:
        offer, quantity = self.offers[period], (after - before) * self.pack
        kept = Fraction(self.kept(period, after) - self.kept(period, before), self.units)
        held = self.holding.of(offer.unit_price(quantity)) * kept
        return PlannedOrder(period, after - before, quantity, offer.goods(quantity), offer.order_cost, held)

    # Quantities in whole small units.

    @cached_property
    def units(self) -> int:
        """How many times smaller a unit must be for every quantity to be whole."""
        return lcm(self.pack.denominator, *(each.denominator for each in self.required))

    @cached_property
    def required_units(self) -> list[int]:
        return [int(each * self.units) for each in self.required]

    def kept(self, period: int, packs: int) -> int:
        """Small units times the periods they are kept, from ``period`` on, were ``packs`` bought in all."""
        bought = packs * int(self.pack * self.units)
        return sum(max(bought - required_unit, 0) for required_unit in self.required_units[period:])

    # Which states.

    @cached_property
    def all_states(self) -> bool:
        return len(self.required) * self.most**2 // 2 <= self.most_steps

    @cached_property
    def most_states(self) -> int:
        """As many as the steps allow."""
        return int((2 * self.most_steps / len(self.required)) ** 0.5)

    @cached_property
    def states(self) -> list[int]:
        if self.all_states:
            return sorted({*range(self.most + 1), *self.sizes})
        # From any state there is then a way on, however few the others.
        always = {0, *self.needed, *self.sizes, self.most}
        return sorted(always.union(self.turning_points[: self.most_states]))

    @cached_property
    def exact(self) -> bool:
        simple = all(offer.kind == ALL_UNITS and offer.falling for offer in self.offers)
        return self.all_states or (simple and len(self.turning_points) <= self.most_states)

    @cached_property
    def turning_points(self) -> list[int]:
        """What has been bought before a period in some best plan, with falling prices of all units.

        Of two orders in turn, packs may be moved from one to the other. Where the later one's units are no
        dearer, to move packs there never costs more; it goes on until the earlier order leaves less than a
        pack, or is at a threshold. Where they are dearer, the cost is concave in how many are moved: best is
        to move as many to the later order, or all to the earlier one, so that the later one is gone. So every
        state is a period's need, or reached from one by adding thresholds. (A threshold of one pack is none:
        an order of one pack that leaves a pack was not needed.) Ends when there are too many to look at.
        """
        sizes = sorted({size for own in self.useful.values() for size in own if size > 1})
        found = edge = dict.fromkeys([0, *self.needed, *self.sizes])
        while edge and len(found) <= self.most_states:
            further = dict.fromkeys(state + size for state in edge for size in sizes)
            edge = {state: None for state in further if state <= self.most and state not in found}
            found = found | edge
        return list(found)

    @cached_property
    def least(self) -> Fraction:
        """No plan costs less: by cells of states, or every unit at the lowest price, no packs, no minimum."""
        demand = [now - before for before, now in pairwise((ZERO, *self.required))]
        price = min(offer.lowest_price for offer in self.offers)
        kept = [self.holding.of(price)] * len(demand)
        costs = [offer.order_cost for offer in self.offers]
        plain = wagner_whitin(demand, costs, [price] * len(demand), kept)[0]
        return max(plain, cell_bound(self.required, self.offers, self.holding, self.most))

    # The search itself, backwards.

    @cached_property
    def ways(self) -> list[dict[int, tuple[Money, int]]]:
        """For each period and state the least cost from there on, and the state that the period ends in."""
        later: dict[int, Money] = dict.fromkeys(self.states, 0)
        found = []
        for period in reversed(range(len(self.required))):
            best = self.best_ways(period, later)
            later = {state: cost for state, (cost, _) in best.items()}
            found.append(best)
        return found[::-1]

    def best_ways(self, period: int, later: Mapping[int, Money]) -> dict[int, tuple[Money, int]]:
        offer, needed = self.offers[period], self.needed[period]
        costs, least = self.costs[offer], offer.thresholds[0]
        kept = {state: self.kept(period, state) for state in self.states}
        ends = [(end, later[end], kept[end]) for end in self.states if needed <= end <= self.most]
        before = self.needed[period - 1] if period else 0
        best: dict[int, tuple[Money, int]] = {}
        for state in self.states if period else [0]:
            if state < before:
                continue
            own = kept[state]
            options = [(later[state], state)] if state >= needed else []
            for end, onward, kept_then in ends:
                if end - state >= least:
                    goods, weight = costs[end - state]
                    options.append((onward + goods + weight * (kept_then - own), end))
            if options:
                best[state] = min(options)
        return best

    @cached_property
    def costs(self) -> dict[Offer, dict[int, tuple[Money, Money]]]:
        """By offer and size: what an order costs, and what each small unit of it that is kept costs a period.

        Money is in whole small units, which add up faster, where these are not absurdly small.
        """
        tables = {offer: self.exact_costs(offer) for offer in self.offers}
        scale = 1
        for table in tables.values():
            for goods, weight in table.values():
                scale = lcm(scale, goods.denominator, weight.denominator)
                if scale.bit_length() > LONGEST_NUMBER:
                    return {offer: dict(table) for offer, table in tables.items()}
        return {
            offer: {
                size: (int(goods * scale), int(weight * scale)) for size, (goods, weight) in table.items()
            }
            for offer, table in tables.items()
        }

    def exact_costs(self, offer: Offer) -> dict[int, tuple[Fraction, Fraction]]:
        costs = {}
        for size in self.all_sizes:
            if size >= offer.thresholds[0]:
                quantity = size * self.pack
                weight = self.holding.of(offer.unit_price(quantity)) / self.units
                costs[size] = (offer.order_cost + offer.goods(quantity), weight)
        return costs

    @cached_property
    def all_sizes(self) -> Iterable[int]:
        if self.all_states:
            return range(1, self.most + 1)
        states = [state for state in self.states if state <= self.most]
        return {end - state for end in states for state in states if end > state}
