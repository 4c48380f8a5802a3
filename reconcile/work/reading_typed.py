"""Read what somebody typed beside an order or a count: a quantity, a day."""

from datetime import date
from fractions import Fraction

from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.finding import call_fault
from reconcile.sheets.jobs.question import read_day
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings


def quantity_typed(text: str, option: str, settings: Settings) -> Fraction | None:
    """A quantity above zero in the part's unit; None where nothing is typed. Raises Unusable."""
    if not text.strip():
        return None
    try:
        count = read_number(text.strip(), settings.decimal)
    except Unreadable as why:
        raise Unusable(call_fault(option, why.says)) from why
    if count <= 0:
        raise Unusable(call_fault(option, f"{text} is not above zero."))
    return count


def day_typed(text: str, option: str) -> date | None:
    """A day; None where nothing is typed. Raises Unusable."""
    return read_day(text, option) if text.strip() else None
