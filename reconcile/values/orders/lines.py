"""A line of an order as it stands, and the law that holds for it.

    ordered − cancelled − received + sent back for replacement = still to come

``ordered`` is what was placed, or what the supplier's last answer or the sheet made of it. ``cancelled``
holds what nobody waits for any more: taken back by us, or short-closed.
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.values.stock.parts import Due
from reconcile.values.words import fold

ZERO = Fraction(0)
UNPLACED, PLACED, ANSWERED, PART_RECEIVED, OVERDUE, ENDED = (
    "not placed", "placed", "answered", "partly received", "overdue", "ended",
)  # fmt: skip
"""How a line stands; ENDED: nothing of it is to come."""


@dataclass(frozen=True, slots=True)
class OrderKey:
    """By what a line is known: folded order number and line number, and the part."""

    order: str
    line: str
    part: str


def key_of(order: str, line: str, part: str) -> OrderKey:
    return OrderKey(fold(order), fold(line), part)


@dataclass(frozen=True, slots=True)
class Arrived:
    """What came of a line on a day."""

    day: date
    quantity: Fraction


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of an order by all that was booked of it. Quantities in the part's unit, price for one."""

    order: str
    line: str
    """Its number on the order; "" where it has none."""
    part: str
    unit: str
    supplier: str = ""
    ordered: Fraction = ZERO
    cancelled: Fraction = ZERO
    received: Fraction = ZERO
    replaced: Fraction = ZERO
    """Sent back, for which a replacement is to come."""
    credit: Fraction = ZERO
    """Sent back, for which a credit is still expected."""
    returned: Fraction = ZERO
    """All that was sent back."""
    unasked: Fraction = ZERO
    """What came on it beyond what was to come, or instead of it."""
    placed: date | None = None
    """None for a line that was first met in the sheet."""
    answered: date | None = None
    wanted: date | None = None
    """When we asked for it."""
    due: date | None = None
    """When it is to be there, by the last that was said."""
    price: Decimal | None = None
    currency: str = ""
    note: str = ""
    """Why something was cancelled or sent back, in the last words said."""
    arrived: tuple[Arrived, ...] = field(default=(), compare=False)

    @property
    def key(self) -> OrderKey:
        return key_of(self.order, self.line, self.part)

    @property
    def to_come(self) -> Fraction:
        return self.ordered - self.cancelled - self.received + self.replaced

    @property
    def kept(self) -> Fraction:
        """What of it came and was not sent back."""
        return self.received + self.unasked - self.returned

    def standing(self, today: date) -> str:
        if not self.to_come:
            return ENDED
        if self.due is not None and self.due < today:
            return OVERDUE
        if self.received:
            return PART_RECEIVED
        return ANSWERED if self.answered else PLACED


@dataclass(frozen=True, slots=True)
class OnOrder:
    """How the rows of a line in the sheet of what is on order are to be."""

    line: OrderLine
    """Nothing to come: they are emptied."""
    rows: tuple[Due, ...]
    """Those that are there."""
    redated: bool = False
    """Its day was said anew, for all of them."""
