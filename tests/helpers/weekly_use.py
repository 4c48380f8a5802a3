"""Use of parts written as one quantity a week, for the tests of shelf levels."""

from datetime import date, timedelta
from fractions import Fraction

from workshop import FRIDAY_BEFORE, part

from reconcile.plan.levels.usage import monday
from reconcile.values.days import WorkDays
from reconcile.values.problem import RowPlace
from reconcile.values.stock.parts import Stock, Usage

TODAY = FRIDAY_BEFORE
FIVE_DAYS = WorkDays()
PLACE = RowPlace("stock.xlsx", "Usage", 2)


def use(number: str, day: date, quantity: object = 1, job: str = "") -> Usage:
    return Usage(day, number, Fraction(str(quantity)), job, PLACE)


def weekly(number: str, *quantities: object) -> list[Usage]:
    """One use on the Tuesday of each of the last full weeks before today; a nought gives no row."""
    first = monday(TODAY) - timedelta(weeks=len(quantities))
    return [
        use(number, first + timedelta(weeks=week, days=1), quantity)
        for week, quantity in enumerate(quantities)
        if quantity
    ]


def shop(*parts_with_use, anchor: int = 0) -> Stock:
    """Stock of (part, weekly quantities); ``anchor`` weeks ago something else was used, to open the sheet."""
    usage = weekly("ANCHOR", 1, *[0] * (anchor - 1)) if anchor else []
    for each, quantities in parts_with_use:
        usage += weekly(each.number, *quantities)
    return Stock({each.number: each for each, _ in parts_with_use}, usage=tuple(usage))


def levelled(number: str = "SP-050", **given):
    """A part with all that levels need: a lead time of a week, a price."""
    plain = {"lead_time": 5, "price": 2, "currency": "EUR"}
    return part(number, **{**plain, **given})
