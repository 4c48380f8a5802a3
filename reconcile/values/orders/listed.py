"""The list of open lines: each with what is to come, when, who needs it, and how it stands."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.values.orders.lines import UNPLACED, OrderLine


@dataclass(frozen=True, slots=True)
class Hanging:
    """A job that takes from a line when jobs take their parts in turn."""

    job: str
    day: date
    """The day that it is planned for."""
    priority: int
    quantity: Fraction
    chairs: int = 1
    late: bool = False
    """The line comes too late for it."""
    orderable: bool = False
    """An order placed today would still be there for it."""


@dataclass(frozen=True, slots=True)
class OpenLine:
    """A line that is open. Quantity in the part's unit."""

    standing: str
    order: str
    line: str
    part: str
    designation: str
    supplier: str
    to_come: Fraction
    unit: str
    due: date | None
    """None for a line that is written and not placed."""
    hanging: tuple[Hanging, ...] = ()
    """In order of day, priority and row."""
    said: date | None = None
    """The day that the sheet gives, where that has passed."""
    written: date | None = None
    """Of a line that is not placed: when it was written."""
    booked: OrderLine | None = None
    """What the ledger has of it."""
    price: Decimal | None = None

    @property
    def needed(self) -> date | None:
        """The first day on which a job takes from it."""
        return min((each.day for each in self.hanging), default=None)

    @property
    def days_between(self) -> int | None:
        """Days from being needed to being there: above 0 it comes too late. None where either is unknown."""
        due = self.said or self.due
        return None if due is None or self.needed is None else (due - self.needed).days

    @property
    def late(self) -> tuple[Hanging, ...]:
        return tuple(each for each in self.hanging if each.late)

    @property
    def stake(self) -> tuple[int, int, int, date, str, str]:
        """What is at stake, the most first: chairs that wait, all chairs, not placed or overdue, the day."""
        waiting = sum(each.chairs for each in self.late)
        chairs = sum(each.chairs for each in self.hanging)
        unsure = self.standing == UNPLACED or self.said is not None
        return (
            -waiting,
            -chairs,
            0 if unsure else 1,
            self.needed or self.due or date.max,
            self.order,
            self.line,
        )


@dataclass(frozen=True, slots=True)
class CreditLine:
    """Goods that were sent back and for which a credit is expected."""

    line: OrderLine
    since: date


@dataclass(frozen=True, slots=True)
class OrderList:
    """All that is open, what is at stake first; and credits that are expected."""

    lines: tuple[OpenLine, ...]
    credits: tuple[CreditLine, ...] = ()
    today: date = date.min


NOTHING_OPEN = OrderList(())
