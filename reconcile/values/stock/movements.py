"""What comes onto a shelf and what leaves it: movements, the closings they belong to, and their sum.

On hand is always the opening quantity plus the movements since, part by part and bin by bin. A movement is
never changed or taken back; what was wrong is put right by a further one.
"""

from collections.abc import Mapping
from dataclasses import field
from datetime import date
from fractions import Fraction

from reconcile.values.problem import Place
from reconcile.values.records import dataclass
from reconcile.values.stock.lines import LineKey
from reconcile.values.stock.parts import Due, Usage

LEDGER_ENDING = "-ledger.sqlite"
"""What the ledger's name has in the place of the stock workbook's ``.xlsx``; it lies beside it."""

OPENING = "opening"
"""What lay in a bin when the ledger first heard of it."""
ISSUED = "issued"
"""Taken from the shelf for a job."""
RETURNED = "returned"
"""Put onto the shelf: after inspection, or picked for a job and not used."""
SCRAPPED = "scrapped"
RECEIVED = "received"
"""Delivered on an order."""
COUNTED = "counted"
"""The difference between what was counted and what the ledger said."""

KINDS = (OPENING, ISSUED, RETURNED, SCRAPPED, RECEIVED, COUNTED)

WEEK, COUNT, UNDO, SHEET = "week", "count", "undo", "sheet"
"""What a closing closes: a week, a count, an earlier closing that is written back; or what was taken over
from the sheet as it stood, which nobody can write back."""


@dataclass(frozen=True, slots=True)
class Movement:
    """One movement of a part. ``quantity`` is in the part's unit; what is above 0 comes onto the shelf."""

    part: str
    bin: str
    """As the stock sheet names it; "" where it names none."""
    quantity: Fraction
    unit: str
    kind: str
    """One of ``KINDS``."""
    day: date
    who: str
    job: str = ""
    """The job it was for; of a receipt, the order."""
    source: Place | None = None
    """The cell it came from: ``returns-2026-W49.xlsx!Lines!J5``."""
    note: str = ""
    line: LineKey = field(default_factory=LineKey)
    """The line of the job that it belongs to; blank where it belongs to none."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A movement as the ledger holds it."""

    number: int
    """Of the movement, in the order of posting."""
    closing: str
    """The name of the closing it was posted with."""
    movement: Movement
    balance: Fraction = Fraction(0)
    """What the part has in all its bins after it."""
    reverses: int | None = None
    """The number of the movement that it writes back."""


@dataclass(frozen=True, slots=True)
class PlannedUse:
    """A line of a job: what was planned of a part and what was used. Quantities in the part's unit."""

    job: str
    day: date
    frame: str
    key: str
    """The frame file's key that asks for it: ``adjustment[1].joint[2]``."""
    name: str
    part: str
    unit: str
    planned: Fraction
    used: Fraction
    """With what was scrapped of it."""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Closing:
    """What is posted in one piece: all its movements, and the workbook that goes with them, or nothing."""

    name: str
    """``2026-W49``; ``count 2026-12-04``; ``undo of 2026-W49``. No two that stand have the same."""
    kind: str
    """WEEK, COUNT, UNDO or SHEET."""
    day: date
    who: str
    old_workbook: str = ""
    """SHA-256 of the stock workbook that it was made from."""
    new_workbook: str = ""
    """SHA-256 of the one that was written."""
    target: str = ""
    """The name that the new workbook has in the end, without its folder."""
    aside: str = ""
    """The name under which it waits until the ledger has the movements."""
    kept: str = ""
    """Where the old workbook is kept if the new one takes its place, seen from its folder; else ""."""
    undoes: str = ""
    """The name of the closing that it writes back."""
    details: Mapping[str, object] = field(default_factory=dict)
    """What an undo needs beside the movements, as plain values for JSON."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What the sheet says of a bin against opening + movements. Quantities in the part's unit."""

    part: str
    bin: str
    unit: str
    sheet: Fraction
    ledger: Fraction
    source: Place
    """The cell of the sheet; the workbook alone where the sheet has no such bin any more."""

    @property
    def quantity(self) -> Fraction:
        """What must be added to the ledger for it to say what the sheet says."""
        return self.sheet - self.ledger


Balances = Mapping[tuple[str, str], Fraction]
"""Opening + movements by part and bin."""


@dataclass(frozen=True, slots=True)
class StockChange:
    """What a closing, a count or an undo changes in the stock workbook. Quantities in the part's unit."""

    on_hand: Balances = field(default_factory=dict)
    """What is added to each part and bin; less than nothing is taken off."""
    received: tuple[Due, ...] = ()
    """What came in of an order, and is taken off the sheet On order."""
    unreceived: tuple[Due, ...] = ()
    """What an undo puts back there."""
    used: tuple[Usage, ...] = ()
    """Rows to add to the sheet Usage."""
    unused: tuple[Usage, ...] = ()
    """Rows that an undo takes out of it."""
