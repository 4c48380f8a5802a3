"""Lead times as days: from when a part can be had, and how far an order placed in this period must last."""

from datetime import date

from reconcile.values.days import ONE_DAY, NoWorkingDay, WorkDays
from reconcile.values.stock.parts import Part


def lead_time_of(part: Part, otherwise: int | None) -> int | None:
    """Working days from order to delivery: its own, else the workshop's; None for an unlisted part."""
    if part.new:
        return None
    return otherwise if part.lead_time is None else part.lead_time


def open_from(part: Part, otherwise: int | None, today: date, days: WorkDays) -> date | None:
    """The first day for which the part can be had in time; None where it never can.

    For day t that is so if the n-th working day before t is today or later: if n working days lie from today
    on before t.
    """
    lead_time = lead_time_of(part, otherwise)
    if lead_time is None:
        return None
    if lead_time == 0:
        return today
    try:
        return days.after(today - ONE_DAY, lead_time) + ONE_DAY
    except (NoWorkingDay, OverflowError):
        return None


def reach_of(part: Part, otherwise: int | None, last: date, end: date, days: WorkDays) -> date:
    """The day until which an order of this period must last: when one of the next period can be there.

    The n-th working day after the period's ``last`` day; with no lead time ``end``, that of the look-ahead.
    """
    lead_time = lead_time_of(part, otherwise)
    if lead_time is None:
        return max(end, last)
    try:
        return days.after(last, lead_time)
    except NoWorkingDay:
        return max(end, last)
