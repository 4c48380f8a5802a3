"""What to take from which bin for all jobs that have a kit: each part once, split by day and job."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from reconcile.values.stock.parts import Part
from reconcile.values.week.results import Awaited

ZERO = Fraction(0)
NO_BIN = ""
"""Where a part lies whose bin the stock sheet does not name."""

Bins = tuple[tuple[str, Fraction], ...]
"""Bins, and how much is taken from each."""


@dataclass(frozen=True, slots=True)
class JobPick:
    """What one job takes of a part from the shelf, and from which bins."""

    job: str
    day: date
    bins: Bins

    @property
    def quantity(self) -> Fraction:
        if len(self.bins) == 1:  # as nearly always, and it is asked for a hundred times
            return self.bins[0][1]
        return sum((quantity for _, quantity in self.bins), ZERO)


@dataclass(frozen=True, slots=True)
class DayPick:
    """What is taken of a part for one day, and what must then stay for the days after it."""

    day: date
    jobs: tuple[JobPick, ...]
    later: tuple[JobPick, ...]

    @property
    def quantity(self) -> Fraction:
        return sum((job.quantity for job in self.jobs), ZERO)


@dataclass(frozen=True, slots=True)
class PartPick:
    """All that the week takes of a part. Quantities in the part's unit."""

    part: Part
    days: tuple[DayPick, ...]
    awaited: tuple[tuple[str, Awaited], ...]
    """What is not there yet: the job that relies on it, and what it relies on."""

    @property
    def quantity(self) -> Fraction:
        return sum((day.quantity for day in self.days), ZERO)

    @property
    def bins(self) -> Bins:
        """How much comes from each bin, in the order of the stock sheet."""
        taken: dict[str, Fraction] = {}
        for name, quantity in (bin_ for day in self.days for job in day.jobs for bin_ in job.bins):
            taken[name] = taken.get(name, ZERO) + quantity
        return tuple(taken.items())

    @property
    def first_bin(self) -> str:
        return next((name for day in self.days for job in day.jobs for name, _ in job.bins), NO_BIN)
