"""A supplier's record: what was promised against what came, and lead times as they turned out."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class LineRecord:
    """One line of which something came, or of which nothing more will."""

    supplier: str
    order: str
    line: str
    part: str
    unit: str
    ordered: Fraction
    received: Fraction
    promised: date | None
    came: date | None
    """When the last of it came."""
    parts: int
    """In how many parts it came."""
    days_late: int | None
    """Above 0: late; None where no day was promised or nothing came."""
    short: bool
    """Less came than was ordered, and no more will."""
    lead_time: int | None
    """Working days from placing to the day on which the last of it came."""


@dataclass(frozen=True, slots=True)
class SupplierRecord:
    """All lines of a supplier. Lead times in working days."""

    supplier: str
    lines: tuple[LineRecord, ...]
    late: int
    short: int
    in_parts: int
    median: Fraction | None
    """Of the lead times; None where none is known."""
    ninety: int | None
    """So many working days were enough for nine in ten."""


@dataclass(frozen=True, slots=True)
class Optimism:
    """A part whose lead time on the sheet is shorter than most of what came in a year."""

    part: str
    sheet: int
    lines: int
    longer: int
    median: Fraction
    ninety: int
