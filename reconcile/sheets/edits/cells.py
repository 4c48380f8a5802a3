"""Cells of the stock workbook while its changes are gathered: each written as its cell was written before.

Packs stay packs where the row counts packs, ``25 mL`` where the unit stood beside the number. What is
written is read again by the reader that will read it next week, and must say what it was meant to say.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from reconcile.sheets.edits.workbook import NewValue, SheetChange
from reconcile.sheets.figures.text import CellValue
from reconcile.sheets.figures.units import canonical_unit
from reconcile.sheets.stock.headings import ON_ORDER, STOCK, USAGE
from reconcile.sheets.stock.workbook import StockRead
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.quantities import Measure, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import SheetTable, as_text, names_unit
from reconcile.values.measure import decimal_text, fraction_text, quantity_text
from reconcile.values.problem import Place, Problem, RowPlace, Unusable, problem
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

    def table(self, kind: SheetKind) -> SheetTable | None:
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
    column = table.header.found.get(heading) if table else None
    asked = QuantityColumn(
        heading, column.unit if column else "", kind is not USAGE, signed=heading == "on hand",
        decimal=edits.settings.decimal,
    )  # fmt: skip
    raw = raw_of(table, place, heading)
    beside = _UNIT_BESIDE.match(as_text(raw)) if names_unit(raw) else None
    cell = Cell(part, measure_in(edits, part), asked, place.cell(heading))
    return _readable(edits, cell, new, f" {beside[1]}" if beside else "")


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell that a quantity of a part is to stand in."""

    part: Part
    measure: Measure
    asked: QuantityColumn
    place: Place


def _readable(edits: Edits, cell: Cell, new: Fraction, unit: str = "") -> NewValue:
    """The plainest way to write a quantity that is read as it; a fault where there is none.

    ``unit`` stood beside the number before, with its blank; "" where none did.
    """
    one = read_counted(f"1{unit}" if unit else 1.0, cell.measure, cell.asked)
    for value in _ways(new, one if isinstance(one, Fraction) else None, unit, cell.part.unit):
        read = as_cell(value)
        if read_counted(read, cell.measure, cell.asked) == new:
            if isinstance(one, Fraction) and isinstance(value, str) and decimal_text(new / one) is None:
                named = unit.strip() or _named(cell.measure, one)
                says = f"{value} of {cell.part.number} is no exact number of {named}."
                edits.remarks.append(problem("quantity-in-pieces", cell.place, says, found=value))
            return value
    amount = f"{quantity_text(new)} {cell.part.unit} of {cell.part.number}"
    says = f"{amount} cannot be written so that it is read as that."
    edits.faults.append(problem("cell-not-writable", cell.place, says, found=quantity_text(new)))
    return None


def as_cell(value: NewValue) -> CellValue:
    """What the fast reader gives of a cell; nothing for a number beyond its floats."""
    try:
        return float(value) if isinstance(value, Fraction) else value
    except OverflowError:
        return None


def _ways(new: Fraction, one: Fraction | None, unit: str, own: str) -> Iterator[NewValue]:
    """Ways of writing a quantity, the plainest first: in units of ``one``, then in the part's own."""
    if one:
        if not unit and decimal_text(new / one) is not None:
            yield new / one
        if unit:
            yield from (f"{text}{unit}" for text in _decimals(new / one))
    yield from (f"{text} {own}" for text in (*_decimals(new), fraction_text(new)))


def _decimals(number: Fraction) -> Iterator[str]:
    """Its exact decimal with either mark: which of them is read as it, the settings say."""
    text = decimal_text(number)
    if text is not None:
        yield text
        yield text.replace(".", ",")


def _named(measure: Measure, one: Fraction) -> str:
    """``packs of 12``, ``gross``."""
    pack = measure.sheet_unit == "pack" and one == measure.pack
    return f"packs of {quantity_text(measure.pack)}" if pack else measure.sheet_unit


def measure_in(edits: Edits, part: Part) -> Measure:
    """How bare numbers of a part are counted; of one that stock does not list yet, as its row will say."""
    return edits.read.measures.get(part.number) or measure_of(canonical_unit(part.unit), part.pack)


def raw_of(table: SheetTable | None, place: RowPlace, heading: str) -> CellValue:
    """What a cell holds that was read; nothing where there is no such sheet or column."""
    if table is None or heading not in table.header.found:
        return None
    return table.grid.rows[place.row - table.grid.first_row][table.header.found[heading].column]


def bare(edits: Edits, kind: SheetKind, part: Part, quantity: Fraction) -> NewValue:
    """A quantity in a new cell: a number, or words where its decimals never end."""
    table = edits.table(kind)
    if table is None:
        return None
    asked = QuantityColumn(
        "quantity", table.header.found["quantity"].unit, kind is ON_ORDER, decimal=edits.settings.decimal
    )
    measure = measure_in(edits, part)
    one = read_counted(1.0, measure, asked)
    if isinstance(one, Fraction) and decimal_text(quantity / one) is None:  # words, without a unit
        words = fraction_text(quantity / one)
        if read_counted(words, measure, asked) == quantity:
            return words
    place = Place(table.grid.file, table.grid.sheet)
    return _readable(edits, Cell(part, measure, asked, place), quantity)


def part_unknown(edits: Edits, number: str) -> None:
    """The fault that a change is about a part that the stock sheet does not have."""
    says = f"The stock sheet has no row for {number}."
    edits.faults.append(problem("movement-part-unknown", Place("ledger", "", number), says, found=number))


def add_row(edits: Edits, kind: SheetKind, values: Mapping[str, NewValue]) -> None:
    """A row below the last of a sheet, in the columns that it has; nothing is written for what is empty."""
    table = edits.table(kind)
    letters = table.header.letters if table else {}
    row: dict[str, NewValue] = {
        letters[heading]: value
        for heading, value in values.items()
        if heading in letters and value not in ("", None)
    }
    edits.rows.setdefault(kind.name, []).append(row)
