"""What a supplier answers to an order, line by line, before it is held against what was placed."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.values.orders.lines import OrderLine
from reconcile.values.problem import Place

ACCEPTED, CHANGED, REFUSED = "accepted", "changed", "refused"


NOWHERE = Place("")


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """One line as the supplier sends it. None where it says nothing of it."""

    order: str
    line: str = ""
    part: str = ""
    """By our number."""
    supplier_part: str = ""
    quantity: Fraction | None = None
    unit: str = ""
    """As our unit; "" where nothing is said or the part's own is meant."""
    due: date | None = None
    price: Decimal | None = None
    currency: str = ""
    refused: bool = False
    note: str = ""
    place: Place = field(default=NOWHERE)


@dataclass(frozen=True, slots=True)
class AnswerRead:
    """A file that a supplier sent back."""

    file: str
    lines: tuple[AnswerLine, ...]
    whole: tuple[tuple[str, Place], ...] = ()
    """Orders accepted as they are, without a word on their lines."""
    refused: tuple[tuple[str, Place], ...] = ()
    """Orders refused as a whole."""
    buyer: str = ""
    """To whom it is addressed; "" where it does not say."""
    day: date | None = None
    """When it was written."""


@dataclass(frozen=True, slots=True)
class AnsweredLine:
    """An answer to a line that is open, and what it makes of it."""

    before: OrderLine
    after: OrderLine
    how: str
    """ACCEPTED, CHANGED or REFUSED."""
    place: Place
    note: str = ""


@dataclass(frozen=True, slots=True)
class KitChange:
    """What becomes of a job's kit: its state and the day it can be done, before and after."""

    job: str
    day: date
    before: str
    after: str
    ready: date | None = None
    """The day on which its kit is complete: the last that it waits for, or the earliest it can be done."""
