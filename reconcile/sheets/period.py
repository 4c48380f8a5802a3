"""The days that a run is about."""

import re
from collections.abc import Callable
from datetime import date

from reconcile.sheets.finding import FIRST_YEAR, LAST_YEAR, call_fault
from reconcile.sheets.request import Request
from reconcile.values.days import Period, WorkDays, default_period, week_of
from reconcile.values.problem import Unusable


def period_chooser(request: Request, today: date, days: WorkDays) -> Callable[[list[date]], Period]:
    """The period as a function of the planned days: a named week, two dates, or the next planned week."""
    if request.week is not None:
        if request.first or request.last:
            raise Unusable(call_fault("--week", "Give either --week or --from and --to, not both."))
        monday = monday_of(request.week)
        return lambda planned: week_of(monday, days, planned)
    if request.first is None and request.last is None:
        return lambda planned: default_period(planned, today, days)
    if request.first is None or request.last is None:
        raise Unusable(call_fault("--from", "--from and --to go together."))
    if request.first > request.last:
        raise Unusable(call_fault("--to", f"{request.last} lies before {request.first}."))
    for day, option in ((request.first, "--from"), (request.last, "--to")):
        if day not in (date.min, date.max):  # our own words for every day there is
            refuse_far(day, option)
    period = Period(request.first, request.last)
    return lambda _planned: period


def refuse_far(day: date, option: str) -> None:
    """Raises Unusable (call-unusable) for a day too near an end of the calendar to plan around."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        says = f"{day} lies outside the years {FIRST_YEAR} to {LAST_YEAR}."
        raise Unusable(call_fault(option, says))


def monday_of(week: str) -> date:
    found = re.fullmatch(r"(\d{4})-W(\d{2})", week.strip())
    try:
        if found:
            monday = date.fromisocalendar(int(found[1]), int(found[2]), 1)
            refuse_far(monday, "--week")
            return monday
    except ValueError:
        pass
    raise Unusable(call_fault("--week", f"{week!r} is no ISO week; write one like 2026-W49."))
