"""What to order of a part, by when it is required and by when to order it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.plan.flows.reach import lead_time_of
from reconcile.plan.flows.timeline import Netted
from reconcile.values.days import NoWorkingDay, Period, WorkDays
from reconcile.values.stock.parts import Part, PriceBreak

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Order:
    """Quantities in the part's unit; dates are None where nothing is ordered or nothing is known."""

    want: Fraction = ZERO
    quantity: Fraction = ZERO
    packs: int = 0
    required_by: date | None = None
    order_by: date | None = None
    late: bool = False


def order_for(  # noqa: PLR0913, PLR0917  (one part, and the calendar)
    part: Part, netted: Netted, period: Period, today: date, days: WorkDays, otherwise: int | None = None
) -> Order:
    """The order that covers shortfall, safety stock and levels, in whole packs.

    want = max(shortfall, safety stock − position, 0); at or below the reorder point also up to the
    order-up-to level. Shortfall and position are those up to the part's reach. ``otherwise``: the workshop's
    lead time in working days, for parts that name none. Of a part whose rows were all set aside none is
    ordered, whatever is wanted: nobody knows what lies there.
    """
    want = wanted(part, netted)
    if want == 0 or part.to_mend:
        return Order(want)
    packs = math.ceil(max(want, part.minimum_order) / part.pack)
    required_by = netted.first_short or max(period.last, today)
    order_by = order_day(part, required_by, days, otherwise)
    late = order_by is not None and order_by < today
    return Order(want, packs * part.pack, packs, required_by, order_by, late)


def wanted(part: Part, netted: Netted) -> Fraction:
    position = netted.position
    want = max(netted.shortfall, part.safety_stock - position, ZERO)
    if part.reorder_point is not None and part.order_up_to is not None and position <= part.reorder_point:
        want = max(want, part.order_up_to - position)
    return want


def order_day(part: Part, required_by: date, days: WorkDays, otherwise: int | None = None) -> date | None:
    """Lead time working days before the part is required; None where no lead time is known."""
    lead_time = lead_time_of(part, otherwise)
    if lead_time is None:
        return None
    try:
        return days.before(required_by, lead_time)
    except NoWorkingDay:
        return None


def unit_price(part: Part, quantity: Fraction, breaks: Iterable[PriceBreak]) -> Decimal | None:
    """What one unit costs when ``quantity`` is ordered: the highest break reached, else the part's price."""
    reached = [price_break for price_break in breaks if price_break.from_quantity <= quantity]
    if not reached or not part.currency:
        return part.price
    return max(reached, key=lambda each: each.from_quantity).price
