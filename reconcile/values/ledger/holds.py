"""A job that is held before it has a row in the jobs sheet: asked for once, then released or overtaken."""

from datetime import date, datetime
from fractions import Fraction

from reconcile.values.records import dataclass

RELEASED, OVERTAKEN = "released", "overtaken"
"""How a hold ends: given up by somebody, or the jobs sheet has a row of its own for the job."""
ENDINGS = (RELEASED, OVERTAKEN)


@dataclass(frozen=True, slots=True)
class HeldRow:
    """All columns of a row of the jobs sheet, by value. Sizes in mm; None where the row leaves it out."""

    job: str
    day: date
    frame: str
    size_to: Fraction
    size_from: Fraction | None = None
    unit: str = ""
    """In which the sizes were written: "in" or "mm"."""
    adjustment: str = ""
    options: tuple[str, ...] | None = None
    """None where the row leaves it to the chair's record; () where it says that there are none."""
    side: str = "both"
    left_now: int | None = None
    right_now: int | None = None
    spacers_now: str = ""
    chairs: int = 1
    priority: int = 3
    asset: str = ""
    technician: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class HoldEnd:
    """When and by whom a hold ended."""

    how: str
    """RELEASED or OVERTAKEN."""
    at: datetime
    who: str
    row: str = ""
    """The row that overtook it: ``jobs.xlsx!Jobs!A14``."""


@dataclass(frozen=True, slots=True)
class Hold:
    """A held job. ``number`` counts all holds in the order in which they were made."""

    number: int
    row: HeldRow
    at: datetime
    who: str
    end: HoldEnd | None = None

    @property
    def stands(self) -> bool:
        return self.end is None
