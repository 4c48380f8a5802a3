"""Quantities of a part: what a bare number in its row counts, and each distinct cell read once."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache

from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import PIECES, read_quantity
from reconcile.sheets.tables.rows import Fault, as_text, fault_of, names_unit

COUNTED_IN_EACH = ("pack", "dozen", "gross")
"""Units of the sheet that a part's quantities are not kept in."""
ONE = Fraction(1)


@dataclass(frozen=True, slots=True, eq=False)
class Measure:
    """How the bare numbers of a part are counted: ``sheet_unit`` as the stock sheet gives it.

    Made by ``measure_of`` alone, so that equal ones are the same one and a cell read before is found
    without comparing fractions.
    """

    sheet_unit: str = "each"
    pack: Fraction = ONE

    @property
    def unit(self) -> str:
        """The unit that the part's quantities are kept in."""
        return "each" if self.sheet_unit in COUNTED_IN_EACH else self.sheet_unit

    @property
    def on_shelf(self) -> Fraction:
        """What one bare unit on hand, allocated or on order comes to: a pack where packs are counted."""
        return self.pack if self.sheet_unit == "pack" else self.elsewhere

    @property
    def elsewhere(self) -> Fraction:
        """What one bare unit of every other column comes to: a piece, even where packs are counted."""
        return Fraction(PIECES[self.sheet_unit]) if self.sheet_unit in ("dozen", "gross") else ONE


@cache
def measure_of(sheet_unit: str, pack: Fraction) -> Measure:
    """The one measure of that unit and pack."""
    return Measure(sheet_unit, pack)


@dataclass(frozen=True, slots=True, eq=False)
class QuantityColumn:
    """How the quantities of one column are read: ``heading_unit`` stands in its heading, "" for none."""

    heading: str
    heading_unit: str = ""
    on_shelf: bool = False
    signed: bool = False
    decimal: str | None = None


def read_counted(value: CellValue, measure: Measure, asked: QuantityColumn) -> Fraction | Fault:
    """A quantity in the part's unit, or why it is none. The cell is not blank."""
    return _read(value, type(value).__name__, measure, asked)


@lru_cache(maxsize=65_536)
def _read(value: CellValue, _kind: str, measure: Measure, asked: QuantityColumn) -> Fraction | Fault:
    """``_kind`` keeps True and 1.0, which are equal, apart."""
    bare = ONE
    if asked.heading_unit and not names_unit(value):
        value = f"{as_text(value)} {asked.heading_unit}"
    elif not names_unit(value):
        bare = measure.on_shelf if asked.on_shelf else measure.elsewhere
    try:
        return bare * read_quantity(value, measure.unit, measure.pack, asked.decimal, signed=asked.signed)
    except Unreadable as why:
        return fault_of(asked.heading, why)
