"""What the technicians bring back from a week: jobs done, what became of each line, orders that came in."""

from datetime import date
from fractions import Fraction

from reconcile.values.ledger.jobs import CheckDone, JobRow, JointFound
from reconcile.values.problem import RowPlace
from reconcile.values.records import dataclass
from reconcile.values.stock.lines import LineKey


@dataclass(frozen=True, slots=True)
class JobReturn:
    """A job of the week, and whether it is done."""

    number: str
    week: str
    """The name of the period that the workbook was written for."""
    day: date
    """When it was done; where that is not filled in, the planned day."""
    frame: str
    done: bool
    who: str
    place: RowPlace
    part: bool = False
    """Somebody wrote that it is done in part."""


@dataclass(frozen=True, slots=True)
class LineReturn:
    """One part of one line of a job. Quantities in the part's unit; None where nothing is filled in."""

    job: str
    do: str
    """FIT or REMOVE (``lines``)."""
    name: str
    part: str
    planned: Fraction
    """0 for a row that was added by hand."""
    used: Fraction | None
    returned: Fraction | None
    scrapped: Fraction | None
    bin: str
    """Where it was taken from, or put; "" for the usual place."""
    reason: str
    key: str
    """The frame file's key that asks for it."""
    place: RowPlace
    what: str = ""
    """As in ``LineKey``; "" for a row that was added by hand and does not say."""
    side: str = ""
    unit: str = ""
    length: Fraction | None = None
    """Of a bolt (mm), where the workbook says it."""
    steps: int | None = None
    """Of a stack that comes off and that nobody knows: how many steps. Such a row names no part."""
    came_off: str = ""
    """What was written down of such a stack."""

    @property
    def line(self) -> LineKey:
        return LineKey(self.do, self.what, self.name, self.side)

    @property
    def filled(self) -> bool:
        return not (self.used is None and self.returned is None and self.scrapped is None)


@dataclass(frozen=True, slots=True)
class Delivery:
    """What came in of an order; ``received`` in the part's unit, None where nothing is filled in."""

    order: str
    part: str
    received: Fraction | None
    day: date
    """When it came; where that is not filled in, the day it was due."""
    bin: str
    place: RowPlace


@dataclass(frozen=True, slots=True)
class JointReturn:
    """What was taken to be at a joint of a job before the work."""

    job: str
    joint: JointFound


@dataclass(frozen=True, slots=True)
class CheckReturn:
    """A check of a job, as it was filled in."""

    job: str
    check: CheckDone
    place: RowPlace

    @property
    def filled(self) -> bool:
        done = self.check
        return done.passed is not None or bool(done.reading or done.second_person or done.tried)


@dataclass(frozen=True, slots=True)
class Returns:
    """A returns workbook as values."""

    jobs: tuple[JobReturn, ...]
    lines: tuple[LineReturn, ...]
    deliveries: tuple[Delivery, ...] = ()
    planned: tuple[JobRow, ...] = ()
    """What the rows of the jobs sheet said; nothing in a workbook from before they were written into it."""
    joints: tuple[JointReturn, ...] = ()
    checks: tuple[CheckReturn, ...] = ()

    @property
    def filled(self) -> bool:
        """Whether anybody has filled anything in."""
        return (
            any(job.done for job in self.jobs)
            or any(line.filled or line.came_off for line in self.lines)
            or any(delivery.received is not None for delivery in self.deliveries)
        )
