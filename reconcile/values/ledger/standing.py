"""How jobs and weeks stand in the book: done, half done, closed, held."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from reconcile.values.days import ONE_DAY, Period, WorkDays, monday_of
from reconcile.values.ledger.holds import HeldRow
from reconcile.values.ledger.jobs import JobBooked
from reconcile.values.problem import Problem
from reconcile.values.stock.movements import Balances, Closing
from reconcile.values.words import fold


@dataclass(frozen=True, slots=True)
class JobStanding:
    """What the closings that stand say of a job. ``done``: one of them marked it so; else it is part done."""

    done: bool
    closing: str
    """The closing that marked it as done, or the last that booked something of it."""
    last_day: date
    """Of the period of that closing."""
    booked: tuple[JobBooked, ...] = ()
    """All that was booked of it, in the order of posting."""


@dataclass(frozen=True, slots=True)
class BookShelf:
    """What the book says lies there: opening and movements of each part and bin."""

    balances: Balances
    units: Mapping[str, str]
    last: Closing | None
    """The closing that was posted last, of whatever kind."""


@dataclass(frozen=True, slots=True)
class BookSays:
    """What a run that plans needs to know of the book. Nothing in it where there is none."""

    jobs: Mapping[str, JobStanding] = field(default_factory=dict)
    """By folded number; a job that is not here is open."""
    closed: tuple[Period, ...] = ()
    """The periods of the closings of weeks that stand."""
    held: tuple[HeldRow, ...] = ()
    """Jobs that are held, in the order of holding."""
    file: str = field(default="", compare=False)
    """The ledger's name."""
    closings: int = 0
    """How many there are of whatever kind, those that were written back among them."""
    shelf: BookShelf | None = field(default=None, compare=False)
    remarks: tuple[Problem, ...] = field(default=(), compare=False)
    """On a closing that was stopped and that this run finished."""

    def of(self, number: str) -> JobStanding | None:
        return self.jobs.get(fold(number))

    def closed_weeks(self, days: WorkDays) -> frozenset[date]:
        """The Mondays of the weeks whose working days the closings cover together."""
        mondays = {monday_of(day) for period in self.closed for day in each_day(period)}
        return frozenset(monday for monday in mondays if self._covers(monday, days))

    def _covers(self, monday: date, days: WorkDays) -> bool:
        week = [monday + number * ONE_DAY for number in range(7)]
        worked = [day for day in week if days.worked(day)] or [day for day in week if day.weekday() < 5]
        return all(any(day in period for period in self.closed) for day in worked)


def each_day(period: Period) -> list[date]:
    return [period.first + number * ONE_DAY for number in range((period.last - period.first).days + 1)]
