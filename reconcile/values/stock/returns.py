"""What the technicians bring back from a week: jobs done, what became of each line, orders that came in."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from reconcile.values.problem import RowPlace

FIT, REMOVE = "fit", "remove"
BOLT, SPACER = "bolt", "spacer"


@dataclass(frozen=True, slots=True)
class LineKey:
    """Which line of a job: what is done with what, where. Blank where a row does not say."""

    do: str = ""
    """FIT or REMOVE."""
    what: str = ""
    """"bolt", "spacer", "cover", "sized", "extra" or "disturbed"."""
    name: str = ""
    side: str = ""
    """"left", "right", or "" for a single stack or the whole chair."""

    @property
    def fits(self) -> bool:
        return self.do == FIT


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


@dataclass(frozen=True, slots=True)
class LineReturn:
    """One part of one line of a job. Quantities in the part's unit; None where nothing is filled in."""

    job: str
    do: str
    """FIT or REMOVE."""
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
class Returns:
    """A returns workbook as values."""

    jobs: tuple[JobReturn, ...]
    lines: tuple[LineReturn, ...]
    deliveries: tuple[Delivery, ...] = ()

    @property
    def filled(self) -> bool:
        """Whether anybody has filled anything in."""
        return (
            any(job.done for job in self.jobs)
            or any(line.filled for line in self.lines)
            or any(delivery.received is not None for delivery in self.deliveries)
        )
