"""What there is of a part, what comes in, and what a job asks for and gives back."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Due
from reconcile.values.week.jobs import Job, Line
from reconcile.values.week.results import JOB, ORDER, Source

FROM_THE_START = 0
"""The period of what lies on the shelf: before the ordinal of any day."""


@dataclass(frozen=True, slots=True)
class Demand:
    """One job: its lines for one chair, what all its chairs give back, and from which day that is usable.

    Jobs of one kind share ``lines`` and, with as many chairs, ``gives``.
    """

    job: Job
    lines: tuple[Line, ...]
    gives: Mapping[str, Fraction]
    usable: date
    kind: int
    """The number of the job's kind: the same kind, the same lines."""
    when: date
    """The day it is planned for: its own; of one that has passed, the first working day from today on."""

    @property
    def order(self) -> tuple[date, int, date, int]:
        """Day, then priority, own date and row: the order in which kits are taken from the shelf."""
        return (self.when, self.job.priority, self.job.day, self.job.place.row)

    whole_job: bool = False
    """Its lines are those of all its chairs together: it is part done."""

    @property
    def chairs(self) -> int:
        """What its lines are to be multiplied by."""
        return 1 if self.whole_job else self.job.chairs

    @property
    def alike(self) -> tuple[int, int]:
        """The same for jobs of one kind with as many chairs."""
        return (self.kind, self.chairs)


@dataclass(frozen=True, slots=True)
class Arrival:
    """What comes in after the start: from an order, or from a job after inspection."""

    day: date
    quantity: Fraction
    source: Source


def delivered_on(due: Due) -> Source:
    return Source(ORDER, due.order)


def recovered_from(job: Job) -> Source:
    return Source(JOB, job.number)


@dataclass(frozen=True, slots=True)
class Supply:
    """What there is of a part: on the shelf for kits from the start, and what is due."""

    shelf: Fraction
    arrivals: tuple[Arrival, ...] = ()
    open_from: date | None = None
    """The first day for which the part can still be ordered in time; None: there is none."""
