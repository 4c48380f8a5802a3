"""What happened to a line of an order, one thing after another; nothing of it is ever changed."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.values.records import dataclass

WRITTEN, PLACED, OPENED, ANSWERED, CANCELLED = "written", "placed", "opened", "answered", "cancelled"
RECEIVED, CLOSED_SHORT, SENT_BACK = "received", "closed short", "sent back"
CREDITED, WRITTEN_OFF = "credited", "written off"
"""WRITTEN stands in an order workbook; OPENED was first met in the sheet of what is on order; CLOSED_SHORT:
nothing more will come; CREDITED and WRITTEN_OFF end a credit that was expected."""
EVENTS = (
    WRITTEN, PLACED, OPENED, ANSWERED, CANCELLED, RECEIVED, CLOSED_SHORT, SENT_BACK, CREDITED, WRITTEN_OFF,
)  # fmt: skip

REPLACEMENT, CREDIT = "replacement", "credit"
"""What is expected for goods sent back."""
EXPECTED = ("", REPLACEMENT, CREDIT)


@dataclass(frozen=True, slots=True)
class OrderEvent:
    """One thing that happened to one line. Quantity in the part's unit, price for one unit."""

    order: str
    line: str
    """Its number on the order; "" where it has none."""
    event: str
    """One of EVENTS."""
    day: date
    who: str
    part: str
    unit: str
    quantity: Fraction | None = None
    """What the event is about: ordered, answered, received. None where it says none."""
    due: date | None = None
    price: Decimal | None = None
    currency: str = ""
    supplier: str = ""
    reason: str = ""
    expected: str = ""
    """Of what is sent back: REPLACEMENT or CREDIT."""
    source: str = ""
    """The cell or file it came from."""


@dataclass(frozen=True, slots=True)
class OrderEntry:
    """The same as the ledger holds it."""

    number: int
    """In the order of booking."""
    event: OrderEvent
    closing: str = ""
    """The closing it was posted with; "" for none."""
