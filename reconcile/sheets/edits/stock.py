"""What changes in the stock workbook, as cells: on hand by bin, rows of usage, orders received.

A cell keeps the way in which it was written: packs where the row counts packs, ``25 mL`` where the unit
stood beside the number. Every new cell is read again by the reader that will read it next week, and must say
what it was meant to say.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from reconcile.sheets.edits.workbook import NewValue, SheetChange
from reconcile.sheets.figures.units import canonical_unit
from reconcile.sheets.stock.headings import ON_ORDER, STOCK, USAGE
from reconcile.sheets.stock.workbook import StockRead
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.quantities import ONE, Measure, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import SheetTable, as_text, names_unit
from reconcile.values.measure import decimal_text, quantity_text
from reconcile.values.problem import Place, Problem, RowPlace, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.movements import StockChange
from reconcile.values.stock.parts import Bin, Due, Part, Usage

ZERO = Fraction(0)
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
        places = [each.place.row for each in (stock.usage if kind is USAGE else stock.due)]
        return max(places, default=0)


def stock_changes(
    read: StockRead, change: StockChange, settings: Settings, file: str
) -> tuple[list[SheetChange], list[Problem]]:
    """The cells that a change of the stock comes to, and remarks.

    Raises Unusable (movement-part-unknown) with every fault.
    """
    edits = Edits(read, settings)
    for (part, name), delta in change.on_hand.items():
        if delta:
            _put_on_hand(edits, part, name, delta)
    _take_off_orders(edits, change.received)
    _put_back_orders(edits, change.unreceived)
    _lengthen_usage(edits, change.used, file)
    _shorten_usage(edits, change.unused)
    return edits.changes(), edits.remarks


# --- on hand --------------------------------------------------------------------------------------


def _put_on_hand(edits: Edits, number: str, name: str, delta: Fraction) -> None:
    part = edits.read.stock.parts.get(number)
    bins = [each for each in part.bins if each.name == name] if part else []
    if part is None or not bins:
        says = f"The stock sheet has no row for {number} in bin {name!r}."
        edits.faults.append(problem("movement-part-unknown", Place("ledger", "", number), says, found=number))
        return
    for each, new in _shared(bins, delta):
        address = each.place.cell("on hand").cell
        edits.put(STOCK, address, _written(edits, part, each.place, "on hand", new, STOCK))


def _shared(bins: list[Bin], delta: Fraction) -> Iterable[tuple[Bin, Fraction]]:
    """The rows of one bin with their new quantities: taken off the first that have it, put onto the first."""
    for at, each in enumerate(bins):
        last = at == len(bins) - 1
        off = max(delta, -max(each.on_hand, ZERO)) if delta < 0 and not last else delta
        if off:
            yield each, each.on_hand + off
        delta -= off


def _written(  # noqa: PLR0913, PLR0917  (a cell, and all that says how it is written)
    edits: Edits, part: Part, place: RowPlace, heading: str, new: Fraction, kind: SheetKind
) -> NewValue:
    """A quantity as its cell has it; with its own unit beside it where the row's gives no exact number."""
    table = edits.table(kind)
    assert table is not None
    measure = _measure(edits, part)
    asked = QuantityColumn(
        heading, table.header.found[heading].unit, kind is not USAGE, signed=heading == "on hand",
        decimal=edits.settings.decimal,
    )  # fmt: skip
    raw = _raw(table, place, heading)
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


def _measure(edits: Edits, part: Part) -> Measure:
    table = edits.table(STOCK)
    assert table is not None
    if not part.bins:
        return measure_of("each", ONE)
    return measure_of(canonical_unit(as_text(_raw(table, part.bins[0].place, "unit"))), part.pack)


def _raw(table: SheetTable, place: RowPlace, heading: str) -> object:
    return table.grid.rows[place.row - table.grid.first_row][table.header.found[heading].column]


# --- on order -------------------------------------------------------------------------------------


def _take_off_orders(edits: Edits, received: Iterable[Due]) -> None:
    left = {due_row.place.row: due_row.quantity for due_row in edits.read.stock.due}
    for one in received:
        wanted = one.quantity
        for row in edits.read.stock.due:
            if (row.order, row.part) == (one.order, one.part) and wanted:
                off = min(left[row.place.row], wanted)
                left[row.place.row], wanted = left[row.place.row] - off, wanted - off
    for row in edits.read.stock.due:
        if left[row.place.row] != row.quantity:
            _put_order(edits, row, left[row.place.row])


def _put_order(edits: Edits, row: Due, left: Fraction) -> None:
    """What is still to come of an order; a row of which nothing is, is emptied, so that no row moves."""
    if left:
        part = edits.read.stock.parts[row.part]
        value = _written(edits, part, row.place, "quantity", left, ON_ORDER)
        edits.put(ON_ORDER, row.place.cell("quantity").cell, value)
        return
    table = edits.table(ON_ORDER)
    assert table is not None
    for heading in table.header.letters:
        if _raw(table, row.place, heading) is not None:
            edits.put(ON_ORDER, row.place.cell(heading).cell, None)


def _put_back_orders(edits: Edits, unreceived: Iterable[Due]) -> None:
    """Orders that count as not received after all: their rows are enlarged, or added again below."""
    table = edits.table(ON_ORDER)
    for one in unreceived:
        same = next(
            (row for row in edits.read.stock.due if (row.order, row.part) == (one.order, one.part)), None
        )
        if same is not None:
            _put_order(edits, same, same.quantity + one.quantity)
        elif table is not None:
            letters = table.header.letters
            measure = _measure(edits, edits.read.stock.parts[one.part])
            asked = QuantityColumn(
                "quantity", table.header.found["quantity"].unit, True, decimal=edits.settings.decimal
            )
            values: dict[str, NewValue] = {
                "order": one.order, "part": one.part, "due": one.day,
                "quantity": _bare(one.quantity, measure, asked),
            }  # fmt: skip
            row = {letters[heading]: value for heading, value in values.items() if heading in letters}
            edits.rows.setdefault(ON_ORDER.name, []).append(row)


# --- usage ----------------------------------------------------------------------------------------


def _bare(quantity: Fraction, measure: Measure, asked: QuantityColumn) -> NewValue:
    """A quantity in a new cell: a number; a fraction in words where its decimals never end."""
    one = read_counted(1.0, measure, asked)
    assert isinstance(one, Fraction)
    value = quantity / one
    return quantity_text(value) if decimal_text(value) is None else value


def _lengthen_usage(edits: Edits, used: Iterable[Usage], file: str) -> None:
    used = list(used)
    table = edits.table(USAGE)
    if table is None:
        if used:
            says = f"{file} has no sheet {USAGE.name} that can be used."
            edits.remarks.append(problem("usage-sheet-missing", Place(file, USAGE.name), says))
        return
    letters = table.header.letters
    asked = QuantityColumn("quantity", table.header.found["quantity"].unit, decimal=edits.settings.decimal)
    for each in used:
        quantity = _bare(each.quantity, _measure(edits, edits.read.stock.parts[each.part]), asked)
        values: dict[str, NewValue] = {
            "date": each.day,
            "part": each.part,
            "quantity": quantity,
            "job": each.job,
        }
        row = {letters[heading]: value for heading, value in values.items() if heading in letters}
        edits.rows.setdefault(USAGE.name, []).append(row)


def _shorten_usage(edits: Edits, unused: Iterable[Usage]) -> None:
    """Empties the last row of usage that says the same, for each that is written back."""
    table = edits.table(USAGE)
    rows: dict[tuple[object, ...], list[RowPlace]] = {}
    for row in edits.read.stock.usage:
        rows.setdefault(_key(row, table), []).append(row.place)
    for each in unused:
        found = rows.get(_key(each, table))
        if table is None or not found:
            continue
        place = found.pop()
        for heading in table.header.letters:
            if _raw(table, place, heading) is not None:
                edits.put(USAGE, place.cell(heading).cell, None)


def _key(each: Usage, table: SheetTable | None) -> tuple[object, ...]:
    job = each.job if table is not None and "job" in table.header.letters else ""
    return (each.day, each.part, each.quantity, job)
