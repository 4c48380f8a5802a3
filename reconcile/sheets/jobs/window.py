"""Which rows of the jobs sheet count: the period as a window on one plan over all known jobs."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from reconcile.values.days import ONE_DAY, Period
from reconcile.values.ledger.standing import BookSays, monday_of
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import AFTER, BEFORE, LEFT_OVER, NOT_CLOSED

IN_PERIOD = ""
TAKEN_AS_DONE, LATER, HISTORY, DONE_ELSEWHERE = "taken as done", "later", "history", "done"
"""Why a row does not count: its day has passed, lies beyond the look-ahead, another row of its number counts;
or the book says that it is done."""
DONE_HERE = "done in the period"

ChoosePeriod = Callable[[list[date]], Period]


@dataclass(frozen=True, slots=True)
class PlanWindow:
    """The period, and the days around it whose jobs count."""

    period: Period
    today: date
    """Of a period that is looked back at, its first day."""
    end: date
    """The last day whose jobs count."""
    closed: frozenset[date]
    """Mondays of the closed weeks."""
    closing: bool
    """This workshop closes its weeks."""
    looked_back: bool = False

    def why(self, day: date) -> str:
        """IN_PERIOD, why a job of that day counts beside the period, or why it does not."""
        if day in self.period:
            return IN_PERIOD
        if day > self.period.last:
            return AFTER if day <= self.end else LATER
        return BEFORE if day >= self.today else self._of_the_past(day)

    def _of_the_past(self, day: date) -> str:
        monday = monday_of(day)
        if not self.closed:
            return NOT_CLOSED if self.closing and monday == monday_of(self.today) else TAKEN_AS_DONE
        if monday < min(self.closed):
            return TAKEN_AS_DONE
        return LEFT_OVER if monday in self.closed else NOT_CLOSED


def window_of(period: Period, today: date, settings: Settings, book: BookSays) -> PlanWindow:
    """The window of a period. One that ends before today is looked back at: nothing after it counts."""
    closed = book.closed_weeks(settings.days)
    if period.last < today:
        return PlanWindow(period, period.first, period.last, closed, settings.closing, looked_back=True)
    end = max(later(today, settings.look_ahead_weeks), period.last)
    return PlanWindow(period, today, end, closed, settings.closing)


def later(today: date, weeks: int) -> date:
    """So many weeks of seven days after today; the last day of the calendar where it ends before."""
    try:
        return today + 7 * weeks * ONE_DAY
    except OverflowError:
        return date.max


@dataclass(frozen=True, slots=True)
class SeenRow:
    """What decides whether a row counts: its folded number ("" where it cannot be read) and its day."""

    number: str
    day: date | None
    """None where it cannot be read: then the row is faulty, and is judged as one of the period."""


@dataclass(frozen=True, slots=True)
class RowStandings:
    """Why each row counts or does not, by its place, and the places of rows whose number is doubled."""

    why: tuple[str, ...]
    doubled: frozenset[int] = field(default_factory=frozenset)

    def many(self, reason: str) -> int:
        return self.why.count(reason)


def count_rows(rows: Sequence[SeenRow], window: PlanWindow, book: BookSays) -> RowStandings:
    """Which rows count. Several rows of one number that is not done are one job, or a doubled one.

    Those before today are history if one that counts lies on today or later; of several before today alone
    the latest counts. Two or more that count on today or later are doubled.
    """
    why = [_why(row, window, book) for row in rows]
    doubled: set[int] = set()
    for places in _alike(rows, why):
        now = [place for place in places if (rows[place].day or window.today) >= window.today]
        past = [place for place in places if place not in now]
        latest = [] if now else [max(past, key=lambda place: (rows[place].day or date.min, place))]
        for place in past:
            if place not in latest:
                why[place] = HISTORY
        if len(now) > 1:
            doubled.update(now)
    return RowStandings(tuple(why), frozenset(doubled))


def _why(row: SeenRow, window: PlanWindow, book: BookSays) -> str:
    if row.day is None:
        return IN_PERIOD
    standing = book.of(row.number)
    if standing is not None and standing.done:
        return DONE_HERE if row.day in window.period else DONE_ELSEWHERE
    return window.why(row.day)


def counts(reason: str) -> bool:
    return reason in (IN_PERIOD, BEFORE, AFTER, LEFT_OVER, NOT_CLOSED)


def _alike(rows: Sequence[SeenRow], why: Sequence[str]) -> Iterable[list[int]]:
    """The places of rows that count and share a number with another."""
    found: dict[str, list[int]] = defaultdict(list)
    for place, row in enumerate(rows):
        if row.number and counts(why[place]):
            found[row.number].append(place)
    return (places for places in found.values() if len(places) > 1)
