"""Working days and the period that is planned."""

from dataclasses import field
from datetime import date, timedelta

from reconcile.values.records import dataclass

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
ONE_DAY = timedelta(days=1)
LONGEST_SEARCH = 36_600
"""Days looked at for a working day before giving up: a hundred years of holidays is a mistake."""


class NoWorkingDay(ValueError):
    """No working day lies within reach: every one is a holiday."""


@dataclass(frozen=True, slots=True)
class WorkDays:
    """Which days are worked: weekdays (Monday is 0) less the holidays."""

    weekdays: frozenset[int] = frozenset(range(5))
    holidays: frozenset[date] = field(default_factory=frozenset)

    def worked(self, day: date) -> bool:
        return day.weekday() in self.weekdays and day not in self.holidays

    def after(self, day: date, count: int) -> date:
        """The ``count``-th working day strictly later than ``day``; the day itself for 0."""
        return self._walk(day, count, ONE_DAY)

    def before(self, day: date, count: int) -> date:
        """The ``count``-th working day strictly earlier than ``day``; the day itself for 0."""
        return self._walk(day, count, -ONE_DAY)

    def on_or_after(self, day: date) -> date:
        """The first working day that is not earlier than ``day``."""
        return day if self.worked(day) else self.after(day, 1)

    def _walk(self, day: date, count: int, step: timedelta) -> date:
        idle = 0
        try:
            while count > 0:
                day += step
                if self.worked(day):
                    count, idle = count - 1, 0
                elif (idle := idle + 1) > LONGEST_SEARCH:
                    raise NoWorkingDay(f"no working day within {LONGEST_SEARCH} days of {day}")
        except OverflowError as end_of_calendar:
            raise NoWorkingDay("no working day before the calendar ends") from end_of_calendar
        return day


@dataclass(frozen=True, slots=True)
class Period:
    """The days that are planned, first and last included."""

    first: date
    last: date

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last

    @property
    def name(self) -> str:
        """``2026-W49`` where it starts on a Monday and stays in that week, else its two dates."""
        if self.first.weekday() == 0 and self.last < self.first + 7 * ONE_DAY:
            return week_text(self.first)
        return f"{self.first.isoformat()}-to-{self.last.isoformat()}"


def period_named(name: str) -> Period | None:
    """The days of a period by its name (``Period.name``), all seven of a week; None for another text."""
    first, to, last = name.partition("-to-")
    try:
        if to:
            return Period(date.fromisoformat(first), date.fromisoformat(last))
        monday = date.fromisocalendar(int(name[:4]), int(name[6:]), 1) if name[4:6] == "-W" else None
    except ValueError:
        return None
    return None if monday is None else Period(monday, monday + 6 * ONE_DAY)


def week_text(day: date) -> str:
    """The ISO 8601 week of a day: ``2026-W49``."""
    year, week, _ = day.isocalendar()
    return f"{year}-W{week:02d}"


def week_of(monday: date, days: WorkDays, planned: list[date]) -> Period:
    """The period of an ISO week: its Monday to the last of its working weekdays, holidays or not.

    A job planned later in that week still belongs to it and moves the last day to its own.
    """
    sunday = monday + 6 * ONE_DAY
    last = monday + max(days.weekdays, default=4) * ONE_DAY
    return Period(monday, max([last, *(day for day in planned if monday <= day <= sunday)]))


def default_period(planned: list[date], today: date, days: WorkDays) -> Period:
    """The ISO week of the first planned day on or after today; with none, the week of today."""
    first = min((day for day in planned if day >= today), default=today)
    return week_of(first - first.weekday() * ONE_DAY, days, planned)
