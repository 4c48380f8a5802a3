"""What buying costs: a supplier's offer for a part, plans of orders, and what was looked at for each.

Money is a ``Fraction`` of the part's currency, quantities are in the part's unit. A period is a week; period
0 is the one that is planned. Everything here carries its working, so that a report only has to print it.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from fractions import Fraction
from math import ceil

from reconcile.values.records import dataclass
from reconcile.values.rules import ALL_UNITS, Buying

ZERO = Fraction(0)
WEEKS_A_YEAR = 52
"""Common practice, no source: a yearly cost is spread evenly over 52 weeks."""

JUST_ENOUGH, AT_BREAK, CHEAPEST = "just enough", "at a price break", "cheapest over the horizon"
"""Why an order was looked at."""

AS_LATE, ALL_NOW, BEST_ROUNDS = "each line as late as it may be", "every line now", "cheapest in total"
"""Why a division of a supplier's lines over orders was looked at."""


@dataclass(frozen=True, slots=True)
class Holding:
    """What keeping one unit from one period to the next costs: an amount, and a share of what was paid."""

    per_unit: Fraction = ZERO
    share: Fraction = ZERO

    def of(self, unit_price: Fraction) -> Fraction:
        return self.per_unit + self.share * unit_price


def weekly_holding(buying: Buying) -> Holding:
    """What keeping stock costs by the week, from what it costs a year."""
    return Holding(share=(buying.holding_cost or ZERO) / WEEKS_A_YEAR)


@dataclass(frozen=True, slots=True)
class PriceStep:
    """From this quantity on, one unit costs this."""

    from_quantity: Fraction
    price: Fraction


@dataclass(frozen=True, slots=True)
class Offer:
    """What a part is offered at. ``steps`` go up in quantity; nothing is offered below the first."""

    steps: tuple[PriceStep, ...]
    kind: str = ALL_UNITS
    pack: Fraction = Fraction(1)
    minimum: Fraction = ZERO
    order_cost: Fraction = ZERO
    """What placing one order costs, whatever its size."""

    def goods(self, quantity: Fraction) -> Fraction:
        """What the goods cost, without the cost of placing the order."""
        if self.kind == ALL_UNITS:
            return quantity * self.step(quantity).price
        ends = [*(step.from_quantity for step in self.steps[1:]), quantity]
        total, start = ZERO, ZERO
        for step, end in zip(self.steps, ends, strict=True):
            reached = min(end, quantity)
            total += max(reached - start, ZERO) * step.price
            start = max(start, reached)
        return total

    def unit_price(self, quantity: Fraction) -> Fraction:
        """What one unit costs on average in an order of ``quantity``, which is more than nothing."""
        return self.goods(quantity) / quantity

    def step(self, quantity: Fraction) -> PriceStep:
        """The highest step that ``quantity`` reaches."""
        reached = [step for step in self.steps if step.from_quantity <= quantity]
        if not reached:
            raise ValueError(f"nothing is offered below {self.steps[0].from_quantity}")
        return reached[-1]

    def packs(self, quantity: Fraction) -> int:
        """The fewest whole packs that give ``quantity`` and may be ordered."""
        return ceil(max(quantity, self.minimum, self.steps[0].from_quantity) / self.pack)

    @property
    def thresholds(self) -> tuple[int, ...]:
        """The sizes, in packs, at which something changes: the least order, and the first at each step."""
        least = max(self.packs(ZERO), 1)
        return tuple(sorted({least, *(max(self.packs(step.from_quantity), least) for step in self.steps)}))

    @property
    def falling(self) -> bool:
        """No bigger order has a dearer unit."""
        prices = [step.price for step in self.steps]
        return prices == sorted(prices, reverse=True)

    @property
    def lowest_price(self) -> Fraction:
        return min(step.price for step in self.steps)


@dataclass(frozen=True, slots=True)
class PlannedOrder:
    """An order of a plan, and what keeping its units costs until each is used, oldest first."""

    period: int
    packs: int
    quantity: Fraction
    goods: Fraction
    order_cost: Fraction
    holding: Fraction

    @property
    def total(self) -> Fraction:
        return self.goods + self.order_cost + self.holding


@dataclass(frozen=True, slots=True)
class BuyingPlan:
    """When to order how much over a horizon. What is left at its end is paid for, and counts for nothing."""

    orders: tuple[PlannedOrder, ...]
    left: Fraction = ZERO
    """Bought beyond what the horizon asks for."""
    gap: Fraction = ZERO
    """By how much the total may miss the least there is; 0: proven to be the least."""

    @property
    def proven(self) -> bool:
        return self.gap == 0

    @property
    def goods(self) -> Fraction:
        return sum((order.goods for order in self.orders), ZERO)

    @property
    def ordering(self) -> Fraction:
        return sum((order.order_cost for order in self.orders), ZERO)

    @property
    def holding(self) -> Fraction:
        return sum((order.holding for order in self.orders), ZERO)

    @property
    def total(self) -> Fraction:
        return self.goods + self.ordering + self.holding

    @property
    def now(self) -> PlannedOrder | None:
        """The order of the planned period, if there is one."""
        return self.orders[0] if self.orders and self.orders[0].period == 0 else None


@dataclass(frozen=True, slots=True)
class Alternative:
    """A size of today's order that was looked at, with the cheapest plan that begins with it."""

    why: tuple[str, ...]
    """JUST_ENOUGH, AT_BREAK, CHEAPEST: all that hold."""
    quantity: Fraction
    packs: int
    unit_price: Fraction
    plan: BuyingPlan

    @property
    def goods(self) -> Fraction:
        """What today's order costs."""
        return self.plan.orders[0].goods

    @property
    def total(self) -> Fraction:
        return self.plan.total


@dataclass(frozen=True, slots=True)
class LotChoice:
    """How much to order of a part: what was asked for, every size looked at by rising size, the one taken."""

    want: Fraction
    required: tuple[Fraction, ...]
    """What must have been bought by the end of each period of the horizon, from now on."""
    offer: Offer
    alternatives: tuple[Alternative, ...]
    taken: Alternative
    weekly_use: Fraction = ZERO
    """What each later week of the horizon is taken to use."""

    @property
    def just_enough(self) -> Alternative:
        return next(alternative for alternative in self.alternatives if JUST_ENOUGH in alternative.why)

    @property
    def saving(self) -> Fraction:
        """What the one taken saves over the horizon against ordering just enough now."""
        return self.just_enough.total - self.taken.total

    @property
    def bound(self) -> Fraction:
        """No plan costs less than this."""
        return self.taken.total - self.taken.plan.gap


@dataclass(frozen=True, slots=True)
class NextBreak:
    """What the next price break would bring, for an order that stops short of it."""

    order: Fraction
    goods: Fraction
    quantity: Fraction
    """The least order, in whole packs, that reaches the break."""
    unit_price: Fraction
    """Of all units, or of those from the break on."""
    goods_there: Fraction
    kind: str = ALL_UNITS

    @property
    def more(self) -> Fraction:
        return self.quantity - self.order

    @property
    def saves(self) -> Fraction:
        """What the bigger order costs less; negative where it costs more."""
        return self.goods - self.goods_there


# --- a supplier's order as a whole --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DeliveryTerms:
    """What a supplier asks for: a least value of an order, a delivery charge, and when that falls away."""

    minimum: Fraction = ZERO
    charge: Fraction = ZERO
    free_from: Fraction | None = None
    """Goods of this value are delivered free; None: never."""

    def charge_on(self, goods: Fraction) -> Fraction:
        free = self.free_from is not None and goods >= self.free_from
        return ZERO if free else self.charge


@dataclass(frozen=True, slots=True)
class OrderLine:
    """A line that is to be ordered in some weekly round, no later than ``latest`` (0: now)."""

    part: str
    value: Fraction
    """The goods, in the order's currency."""
    latest: int = 0


@dataclass(frozen=True, slots=True)
class Round:
    """The order of one week: its lines, by part, and what it costs beside the goods."""

    period: int
    lines: tuple[OrderLine, ...]
    charge: Fraction
    order_cost: Fraction
    holding: Fraction
    """What it costs to keep, from this round on, what could have been ordered later."""
    below_minimum: Fraction
    """What the goods miss of the supplier's minimum; such an order may be turned down."""

    @property
    def goods(self) -> Fraction:
        return sum((line.value for line in self.lines), ZERO)

    @property
    def early(self) -> tuple[OrderLine, ...]:
        """Lines that could still wait."""
        return tuple(line for line in self.lines if line.latest > self.period)


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """A supplier's lines divided over weekly rounds."""

    rounds: tuple[Round, ...]
    why: str
    gap: Fraction = ZERO
    """By how much the cost may miss the least there is; 0: proven to be the least, for the cheapest one."""

    @property
    def cost(self) -> Fraction:
        """Delivery, placing orders and keeping early lines; the goods cost the same in every plan."""
        return sum(
            (
                order_round.charge + order_round.order_cost + order_round.holding
                for order_round in self.rounds
            ),
            ZERO,
        )

    @property
    def below_minimum(self) -> Fraction:
        return sum((order_round.below_minimum for order_round in self.rounds), ZERO)

    def because(self, why: str, gap: Fraction = ZERO) -> "RoundPlan":
        return replace(self, why=why, gap=gap)


@dataclass(frozen=True, slots=True)
class RoundChoice:
    """How a supplier's lines were divided: what was looked at, and what was taken."""

    terms: DeliveryTerms
    alternatives: tuple[RoundPlan, ...]
    taken: RoundPlan

    @property
    def saving(self) -> Fraction:
        """What it saves against ordering each line as late as it may be; negative where a minimum costs."""
        return self.alternatives[0].cost - self.taken.cost

    @property
    def brought_forward(self) -> tuple[OrderLine, ...]:
        """Lines ordered now that could still wait."""
        return tuple(
            line for order_round in self.taken.rounds if order_round.period == 0 for line in order_round.early
        )


@dataclass(frozen=True, slots=True)
class SupplierRounds:
    """A supplier's lines over the weekly rounds to come."""

    supplier: str
    """As the parts name it."""
    currency: str
    days: tuple[date, ...]
    """The day of each round, the first being today's."""
    choice: RoundChoice
    unpriced: tuple[str, ...] = ()
    """Parts to be ordered that have no price, and so do not count here."""


def round_of(
    period: int,
    lines: Iterable[OrderLine],
    terms: DeliveryTerms,
    holding: Holding,
    order_cost: Fraction = ZERO,
) -> Round:
    """An order of these lines; ``holding`` counts for each week that a line is early."""
    own = tuple(lines)
    goods = sum((line.value for line in own), ZERO)
    early = sum((line.value * (line.latest - period) for line in own), ZERO)
    return Round(
        period,
        own,
        terms.charge_on(goods),
        order_cost,
        holding.share * early,
        max(terms.minimum - goods, ZERO),
    )
