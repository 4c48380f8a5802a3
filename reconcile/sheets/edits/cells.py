"""Cells of the stock workbook while its changes are gathered: each written as its cell was written before.

Packs stay packs where the row counts packs, ``25 mL`` where the unit stood beside the number. What is
written is read again by the reader that will read it next week, and must say what it was meant to say.
"""

import re
from dataclasses import dataclass, field
from fractions import Fraction

from reconcile.sheets.edits.workbook import NewValue, SheetChange
from reconcile.sheets.figures.units import canonical_unit
from reconcile.sheets.stock.headings import ON_ORDER, STOCK, USAGE
from reconcile.sheets.stock.workbook import StockRead
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.quantities import ONE, Measure, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import Table, as_text, names_unit
from reconcile.values.measure import decimal_text, quantity_text
from reconcile.values.problem import Problem, RowPlace, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Part

_UNIT_BESIDE = re.compile(r"^[^A-Za-z]*([A-Za-z][\w.]*)\s*$")


@dataclass(slots=True)
class Edits:
    """The changes of a stock workbook while they are gathered."""

    read: StockRead
    settings: Settings
    cells: dict[str, dict[str, NewValue]] = field(default_factory=dict)
    """By sheet (our name) and address."""
    rows: dict[str, list[dict[str, NewValue]]] = field(default_factory=dict)
    faults: list[Problem] = field(default_factory=list)
    remarks: list[Problem] = field(default_factory=list)

    def table(self, kind: SheetKind) -> Table | None:
        """The sheet of that kind, where the workbook has it."""
        return next((table for table in self.read.tables if table.sorter.kind is kind), None)

    def put(self, kind: SheetKind, address: str, value: NewValue) -> None:
        self.cells.setdefault(kind.name, {})[address] = value

    def changes(self) -> list[SheetChange]:
        """Every sheet's changes, for ``change_workbook``. Raises Unusable with every fault."""
        if self.faults:
            raise Unusable(*self.faults)
        found = []
        for kind in (STOCK, ON_ORDER, USAGE):
            table = self.table(kind)
            cells, rows = self.cells.get(kind.name, {}), self.rows.get(kind.name, [])
            if table is not None and (cells or rows):
                found.append(SheetChange(table.grid.sheet, cells, rows, self._last_row(kind)))
        return found

    def _last_row(self, kind: SheetKind) -> int:
        stock = self.read.stock
        if kind is STOCK:
            return max((each.place.row for part in stock.parts.values() for each in part.bins), default=0)
        places = [each.place.row for each in (stock.usage if kind is USAGE else stock.due)]
        return max(places, default=0)


def as_written(  # noqa: PLR0913, PLR0917  (a cell, and all that says how it is written)
    edits: Edits, part: Part, place: RowPlace, heading: str, new: Fraction, kind: SheetKind
) -> NewValue:
    """A quantity as its cell has it; with its own unit beside it where the row's gives no exact number."""
    table = edits.table(kind)
    assert table is not None
    measure = measure_in(edits, part)
    asked = QuantityColumn(
        heading, table.header.found[heading].unit, kind is not USAGE, signed=heading == "on hand",
        decimal=edits.settings.decimal,
    )  # fmt: skip
    raw = raw_of(table, place, heading)
    beside = _UNIT_BESIDE.match(as_text(raw)) if names_unit(raw) else None
    unit = f" {beside[1]}" if beside else ""
    one = read_counted(f"1{unit}" if unit else 1.0, measure, asked)
    assert isinstance(one, Fraction), "a cell that was read has a unit that can be read"
    value: NewValue = new / one
    if decimal_text(new / one) is None:
        value = f"{quantity_text(new)} {part.unit}"
        says = f"{value} of {part.number} is no exact number of {unit.strip() or _named(measure, one)}."
        edits.remarks.append(problem("quantity-in-pieces", place.cell(heading), says, found=value))
    elif unit:
        value = f"{decimal_text(new / one)}{unit}"
    again = read_counted(value if isinstance(value, str) else float(new / one), measure, asked)
    assert again == new or _too_long(new / one), f"{value} says {again}, not {new}"
    return value


def _too_long(number: Fraction) -> bool:
    """More digits than a float keeps: the cell has them all, but a spreadsheet program rounds."""
    return len((decimal_text(number) or "").lstrip("-").replace(".", "")) > 15


def _named(measure: Measure, one: Fraction) -> str:
    """``packs of 12``, ``gross``."""
    pack = measure.sheet_unit == "pack" and one == measure.pack
    return f"packs of {quantity_text(measure.pack)}" if pack else measure.sheet_unit


def measure_in(edits: Edits, part: Part) -> Measure:
    table = edits.table(STOCK)
    assert table is not None
    if not part.bins:
        return measure_of("each", ONE)
    return measure_of(canonical_unit(as_text(raw_of(table, part.bins[0].place, "unit"))), part.pack)


def raw_of(table: Table, place: RowPlace, heading: str) -> object:
    return table.grid.rows[place.row - table.grid.first_row][table.header.found[heading].column]


def bare(quantity: Fraction, measure: Measure, asked: QuantityColumn) -> NewValue:
    """A quantity in a new cell: a number; a fraction in words where its decimals never end."""
    one = read_counted(1.0, measure, asked)
    assert isinstance(one, Fraction)
    value = quantity / one
    return quantity_text(value) if decimal_text(value) is None else value
