"""A line of a frame that uses more than is planned, week after week."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class WeekUse:
    """One week of a line: quantities in the line's unit."""

    week: str
    planned: Fraction
    used: Fraction


@dataclass(frozen=True, slots=True)
class UsedMore:
    """A line of a frame that used more than planned in its last weeks."""

    frame: str
    key: str
    name: str
    unit: str
    weeks: tuple[WeekUse, ...]
    """Its last weeks in a row in which more was used than planned, the oldest first."""
    parts: tuple[str, ...]
    reasons: tuple[str, ...]

    @property
    def more(self) -> Fraction:
        return sum((week.used - week.planned for week in self.weeks), Fraction(0))
