"""What is to be booked of orders beside answers: arrivals, and goods and lines given up or sent back."""

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from reconcile.values.problem import COMMAND_LINE, Place

TYPED = Place(COMMAND_LINE)


@dataclass(frozen=True, slots=True)
class Target:
    """What a person means: an order, one of its lines, or nothing that was ordered."""

    order: str
    line: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True)
class ArrivedLine:
    """What came in. ``quantity`` in the part's unit; None: all that is still to come."""

    target: Target
    day: date
    quantity: Fraction | None = None
    came: str = ""
    """The part that came, where it is another one than was ordered, or nothing was."""
    bin: str = ""
    finished: bool = False
    """Nothing more will come of the line."""
    reason: str = ""
    supplier: str = ""
    place: Place = field(default=TYPED)
