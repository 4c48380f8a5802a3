"""The orders of a week sized as the settings ask: the cheapest over a horizon, and supplier by supplier.

Without these settings an order is as large as the reorder rule says, and only the next price break is told.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from reconcile.plan.levels.usage import weekly_usage
from reconcile.plan.orders.lot_sizes import choose_lot, next_break, offer_of, required_by_week
from reconcile.plan.orders.orders import order_day, unit_price
from reconcile.plan.orders.rounds import choose_rounds, last_round, terms_of
from reconcile.values.rules import ALL_UNITS
from reconcile.values.stock.parts import Part, PriceBreak, Stock
from reconcile.values.week.buying import ZERO, LotChoice, Offer, OrderLine, SupplierRounds, weekly_holding
from reconcile.values.week.results import Inputs, PartResult
from reconcile.values.words import fold

WEEK = timedelta(weeks=1)
PRICE_PLACES = 6
"""Decimals of an average price that has no exact ones; the line's total is worked out from the goods."""


@dataclass(frozen=True)
class Buyer:
    """Sizes orders by the settings, the price breaks and the use of parts."""

    inputs: Inputs

    @cached_property
    def breaks(self) -> dict[str, list[PriceBreak]]:
        found: dict[str, list[PriceBreak]] = defaultdict(list)
        for price_break in self.inputs.stock.breaks:
            found[price_break.part].append(price_break)
        return found

    @cached_property
    def weekly_use(self) -> dict[str, Fraction]:
        return weekly_use(self.inputs.stock, self.inputs.today)

    def sized(self, result: PartResult) -> PartResult:
        """The part with its order priced and, where that is asked for, sized; ``result`` orders something."""
        part, buying = result.part, self.inputs.settings.buying
        breaks = self.breaks.get(part.number, [])
        offer = offer_of(part, breaks, buying)
        if offer is None or part.price is None or not buying.seeks_cheapest:
            return priced(result, offer, breaks)
        lot = self.lot(result, offer)
        sized = replace(result, order=lot.taken.quantity, packs=lot.taken.packs, lot=lot)
        return priced(sized, offer, breaks)

    def lot(self, result: PartResult, offer: Offer) -> LotChoice:
        buying = self.inputs.settings.buying
        use, later = self.weekly_use.get(result.part.number, ZERO), (buying.horizon_weeks or 1) - 1
        position = result.position
        required = required_by_week(result.want, position, result.part.safety_stock, [use] * later)
        return replace(choose_lot(required, offer, weekly_holding(buying)), weekly_use=use)


def weekly_use(stock: Stock, today: date) -> dict[str, Fraction]:
    """By part: the mean use of a week, over the weeks that the usage sheet covers.

    Nothing is foretold for a part that has not been used for so long that its use may have ended.
    """
    return {
        week.part: week.total / len(week.weeks)
        for week in weekly_usage(stock.usage, today)
        if week.weeks and not week.idle_end
    }


def priced(result: PartResult, offer: Offer | None, breaks: Iterable[PriceBreak]) -> PartResult:
    """The order with its price, and with what the next price break would bring."""
    if offer is None or result.order < offer.steps[0].from_quantity:
        return replace(result, unit_price=unit_price(result.part, result.order, breaks))
    told = replace(result, next_break=next_break(offer, result.order))
    if offer.kind == ALL_UNITS:
        return replace(told, unit_price=unit_price(result.part, result.order, breaks))
    average = offer.unit_price(result.order)
    numerator = round(average * 10**PRICE_PLACES)
    price = Decimal(numerator).scaleb(-PRICE_PLACES).normalize()
    return replace(told, unit_price=Decimal(f"{price:f}"), goods=offer.goods(result.order))


# --- supplier by supplier ---------------------------------------------------------------------------------


def supplier_rounds(parts: Iterable[PartResult], inputs: Inputs) -> Iterator[SupplierRounds]:
    """For each supplier, which line to order in which weekly round; nothing where it is not asked for.

    Lines are what is to be ordered, and what the plans of the horizon order later. A supplier with prices in
    two currencies is left out, for its terms are in one of them and nobody says in which.
    """
    if not inputs.settings.buying.seeks_cheapest:
        return
    known = {fold(supplier.code): supplier for supplier in inputs.stock.suppliers.values()}
    groups: dict[str, list[PartResult]] = defaultdict(list)
    for part in parts:
        if part.order and part.part.supplier:
            groups[fold(part.part.supplier)].append(part)
    days = round_days(inputs)
    for name in sorted(groups.keys() & known.keys()):
        priced_parts = [group for group in groups[name] if group.unit_price is not None]
        currencies = {priced_part.part.currency for priced_part in priced_parts}
        if len(currencies) == 1:
            unpriced = tuple(group.part.number for group in groups[name] if group.unit_price is None)
            lines = [line for priced_part in priced_parts for line in order_lines(priced_part, days, inputs)]
            buying, patience = inputs.settings.buying, inputs.settings.patience
            choice = choose_rounds(
                lines, terms_of(known[name]), weekly_holding(buying), buying.order_cost, patience
            )
            yield SupplierRounds(known[name].code, currencies.pop(), days, choice, unpriced)


def round_days(inputs: Inputs) -> tuple[date, ...]:
    """Today, and the same day of each further week of the horizon."""
    return tuple(inputs.today + number * WEEK for number in range(inputs.settings.buying.horizon_weeks or 1))


def order_lines(result: PartResult, days: tuple[date, ...], inputs: Inputs) -> Iterator[OrderLine]:
    """The order of a part, and the later ones of its plan, each with the last round that is in time.

    What a later week uses is required on the first day of it.
    """
    if result.line_total is None:
        return
    yield OrderLine(result.part.number, Fraction(result.line_total), last_round(result.order_by, days))
    for order in result.lot.taken.plan.orders[1:] if result.lot else ():
        by = later_order_day(result.part, order.period, inputs)
        yield OrderLine(result.part.number, order.goods, last_round(by, days))


def later_order_day(part: Part, period: int, inputs: Inputs) -> date | None:
    settings = inputs.settings
    return order_day(part, inputs.period.first + period * WEEK, settings.days, settings.lead_time_days)
