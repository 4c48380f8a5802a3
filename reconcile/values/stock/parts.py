"""Threads, bolts, stock parts, bins and what is due."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.values.measure import length_text
from reconcile.values.problem import Place, RowPlace


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread: diameter and pitch in mm, the series, and the designation it is known by.

    Two threads are the same when diameter, pitch and, for inch threads, series agree. Every thread is
    made by ``reconcile.standards``, which knows the pitches that exist.
    """

    diameter: Fraction
    pitch: Fraction
    series: str
    """"UNC" or "UNF" for inch threads, "M" for metric ones, coarse or fine."""
    designation: str = field(compare=False)
    """``1/4-20 UNC``, ``M6``, ``M8x1``."""

    @property
    def unit(self) -> str:
        """The unit its lengths are written in: "in" or "mm"."""
        return "mm" if self.series == "M" else "in"

    def __str__(self) -> str:
        return self.designation


@dataclass(frozen=True, slots=True)
class Bolt:
    """What makes a bolt: thread, length (mm), head, grade and finish ("" where none is given)."""

    thread: Thread
    length: Fraction
    head: str
    grade: str = ""
    thread_length: Fraction | None = None
    """Threaded length in mm as the stock sheet gives it; None where it gives none. A bolt that is
    stated to be fully threaded has its own length here."""
    finish: str = ""
    """Of a bolt that is asked for by its designation; that of a stock part stands with the part."""

    @property
    def designation(self) -> str:
        """``1/4-20 UNC x 3 in, socket cap, SAE 8, fully threaded``: thread x length, head, grade, finish.

        A bolt stated to be fully threaded says so: a part-threaded one bought in its place may bottom.
        """
        size = f"{self.thread} x {length_text(self.length, self.thread.unit)}"
        threaded = "fully threaded" if self.thread_length == self.length else ""
        return ", ".join(filter(None, (size, self.head, self.grade, threaded, self.finish)))


@dataclass(frozen=True, slots=True)
class Bin:
    """One row of the stock sheet: a part in one place. Quantities in the part's unit."""

    name: str
    on_hand: Fraction
    allocated: Fraction
    place: RowPlace


@dataclass(frozen=True, slots=True)
class AsideRow:
    """A row of the stock sheet that was set aside for its faults, so that what lies there is not known."""

    part: str
    bin: str
    """"" where none is named, or it cannot be read."""
    row: int
    place: Place
    """The cell of its first fault."""


@dataclass(frozen=True, slots=True)
class Part:
    """A stock part with all its bins. Quantities in ``unit``, price for one ``unit``."""

    number: str
    unit: str = "each"
    bins: tuple[Bin, ...] = ()
    description: str = ""
    kind: str = ""
    finish: str = ""
    bolt: Bolt | None = None
    pack: Fraction = Fraction(1)
    minimum_order: Fraction = Fraction(0)
    lead_time: int | None = None
    """Working days from order to delivery."""
    supplier: str = ""
    supplier_part: str = ""
    price: Decimal | None = None
    currency: str = ""
    safety_stock: Fraction = Fraction(0)
    reorder_point: Fraction | None = None
    order_up_to: Fraction | None = None
    row: int = 0
    """The first of its rows; 0 for a part that stock does not list."""
    new: bool = False
    """Wanted by a frame or by designation, and no row of stock can be used for it: there is none, or all are
    ``aside``."""
    aside: tuple[AsideRow, ...] = ()
    """Its rows that were set aside; of a bolt that is wanted by designation, those of bolts like it."""

    @property
    def on_hand(self) -> Fraction:
        if len(self.bins) == 1:
            return self.bins[0].on_hand
        return sum((bin_.on_hand for bin_ in self.bins), Fraction(0))

    @property
    def allocated(self) -> Fraction:
        if len(self.bins) == 1:
            return self.bins[0].allocated
        return sum((bin_.allocated for bin_ in self.bins), Fraction(0))

    @property
    def to_mend(self) -> bool:
        """Whether all its rows were set aside: then nobody knows what lies there, and none is ordered."""
        return self.new and bool(self.aside)

    @property
    def designation(self) -> str:
        """The fastener's designation, or else the description, for a buyer to order by."""
        return self.bolt.designation if self.bolt else self.description


@dataclass(frozen=True, slots=True)
class Due:
    """A quantity on order, in the part's unit, and the day it is due."""

    order: str
    part: str
    quantity: Fraction
    day: date
    place: RowPlace
    said: date | None = None
    """The day that the sheet gives, where that has passed and ``day`` is taken in its stead."""
    line: str = ""
    """Its number on the order, where the sheet has one; and so are all that follow."""
    supplier: str = ""
    placed: date | None = None
    answered: date | None = None
    price: Decimal | None = None
    note: str = ""

    @property
    def stated(self) -> date:
        """The day as the sheet gives it."""
        return self.said or self.day


@dataclass(frozen=True, slots=True)
class Supplier:
    """Whom parts are bought from; money in the currency of the settings or of the parts."""

    code: str
    name: str = ""
    minimum_order_value: Decimal | None = None
    delivery_charge: Decimal | None = None
    free_delivery_from: Decimal | None = None
    email: str = ""


@dataclass(frozen=True, slots=True)
class PriceBreak:
    """From this quantity on, one unit costs this."""

    part: str
    from_quantity: Fraction
    price: Decimal
    place: RowPlace


@dataclass(frozen=True, slots=True)
class Usage:
    """What was used up of a part on a day, and by which job where that is known."""

    day: date
    part: str
    quantity: Fraction
    job: str
    place: RowPlace


@dataclass(frozen=True, slots=True)
class Stock:
    """The stock workbook as values. ``parts`` is in the order of the sheet, keyed by number."""

    parts: dict[str, Part] = field(default_factory=dict)
    due: tuple[Due, ...] = ()
    suppliers: dict[str, Supplier] = field(default_factory=dict)
    breaks: tuple[PriceBreak, ...] = ()
    usage: tuple[Usage, ...] = ()
    aside: dict[str, Part] = field(default_factory=dict)
    """Parts of which every row was set aside, by number, with what can be read of them."""
