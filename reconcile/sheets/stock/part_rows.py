"""The stock sheet: rows to bins, bins to parts, and every fault of every row."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache, partial
from typing import TypeVar

from reconcile.sheets.fasteners.descriptions import hints_at_bolt
from reconcile.sheets.fasteners.spellings import HEADS, is_known_grade
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.packs import UnitRead, read_unit
from reconcile.sheets.figures.prices import PriceRead, read_price
from reconcile.sheets.figures.spoilt_codes import refuse_no_text
from reconcile.sheets.figures.text import CellValue, shown
from reconcile.sheets.stock.bolt_rows import BoltCells, BoltRead, Units, read_bolt
from reconcile.sheets.stock.doubled_bins import tell_doubled
from reconcile.sheets.stock.part_prices import read_currency, settled_price, unread_prices
from reconcile.sheets.tables.part_numbers import difference, read_part_number, twin_groups
from reconcile.sheets.tables.quantities import ONE, Measure, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import ColumnReader, Columns, Fault, Row, SheetTable, as_text
from reconcile.values.measure import quantity_text
from reconcile.values.problem import Problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import AsideRow, Bin, Bolt, Part
from reconcile.values.week.results import Tally
from reconcile.values.words import fold, nearest

T = TypeVar("T")
LEVELS = ("minimum order", "safety stock", "reorder point", "order up to")
SHELF = ("on hand", "allocated")
NOTHING = Fraction(0)
TRAITS = ("thread", "length", "head", "grade", "thread length")


class StockColumns(Columns):
    """The columns of the stock sheet; those that need the part's unit or the rest of the row stay raw."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.part = self.needed("part", read_part_number)
        on_hand = self.needed("on hand", _raw)
        self.unit = self._unit(settings)
        self.description = self.maybe("description", _words("description", as_text), "")
        self.kind = self.text("kind")
        self.finish = self.text("finish")
        self.bin = self.text("bin")
        self.supplier = self.text("supplier")
        self.supplier_part = self.text("supplier part")
        raw = [self.maybe(heading, _raw, None) for heading in (*LEVELS, "allocated", "pack")]
        self.quantities = {column.heading: column for column in (on_hand, *raw)}
        """By heading: on hand, allocated, the levels and the pack."""
        self.thread = self.maybe("thread", _raw, None)
        self.length = self.maybe("length", _raw, None)
        self.thread_length = self.maybe("thread length", _raw, None)
        self.head = self.maybe("head", _words("head", _raw), None)
        self.grade = self.maybe("grade", _words("grade", _raw), None)
        self.lead_time = self.maybe("lead time days", partial(read_whole, decimal=settings.decimal), None)
        self.price = self.beside("price", partial(read_price, decimal=settings.decimal))
        self.currency = self.maybe("currency", _words("currency", read_currency), "")

    def _unit(self, settings: Settings) -> ColumnReader[UnitRead]:
        """The unit; a blank one is that of the settings, if they name one."""

        def read(cell: CellValue) -> UnitRead:
            return read_unit(as_text(cell))

        if settings.unit:
            return self.maybe("unit", read, UnitRead(settings.unit))
        return self.needed("unit", read)

    def bolt_cells(self, row: Row) -> BoltCells | None:
        """The cells that bear on the row's bolt; None where one of them cannot be read."""
        kept = (
            self.description,
            self.kind,
            self.thread,
            self.length,
            self.thread_length,
            self.head,
            self.grade,
        )
        if any(isinstance(column.said(row), Fault) for column in kept):
            return None
        number = self.part.said(row)
        undescribed = not self.description.of(row)
        return BoltCells(
            number=number if undescribed and isinstance(number, str) and hints_at_bolt(number) else None,
            description=self.description.of(row),
            kind=self.kind.of(row),
            thread=self.thread.of(row),
            length=self.length.of(row),
            thread_length=self.thread_length.of(row),
            head=self.head.of(row),
            grade=self.grade.of(row),
        )


@dataclass(slots=True)
class BinRow:
    """A row of the stock sheet while it is read: its cells, its quantities in the part's unit, its faults."""

    row: Row
    columns: StockColumns
    faults: list[Fault]
    notices: list[Fault] = field(default_factory=list)
    bolt: Bolt | None = None
    quantities: dict[str, Fraction] = field(default_factory=dict)
    """By heading; those that are blank or cannot be read are not there."""

    @property
    def part(self) -> str:
        """The part's number, "" where the cell cannot be read."""
        return self.filled(self.columns.part) or ""

    @property
    def unit(self) -> str:
        """The unit of the sheet, "" where the cell cannot be read."""
        said = self.filled(self.columns.unit)
        return said.name if said else ""

    @property
    def pack_in_unit(self) -> UnitRead | None:
        """The unit where it gives the pieces of a pack: ``Pack of 250``."""
        said = self.filled(self.columns.unit)
        return said if said and said.pack is not None else None

    def filled(self, column: ColumnReader[T]) -> T | None:
        """What the cell holds; None where it is blank or cannot be read."""
        value = column.said(self.row)
        if isinstance(value, Fault) or (isinstance(value, str) and not value):
            return None
        return value


@dataclass(frozen=True, slots=True)
class PartsRead:
    """The parts in the order of the sheet, how each is counted, and what became of every row."""

    parts: dict[str, Part]
    measures: dict[str, Measure]
    set_aside: dict[str, Part]
    """Parts of which every row was set aside, with what can be read of them."""
    tally: Tally
    problems: tuple[Problem, ...]


def read_parts(table: SheetTable, settings: Settings) -> PartsRead:
    """Reads the sheet Stock. Faults set a row aside, remarks do not; several rows of a part are its bins."""
    bins = _bin_rows(table, settings)
    groups: dict[str, list[BinRow]] = {}
    for each in bins:
        if each.part:
            groups.setdefault(each.part, []).append(each)
    asked = _asked(table, settings)
    parts: dict[str, Part] = {}
    measures: dict[str, Measure] = {}
    for number, rows in groups.items():
        measure = _read_quantities(rows, asked)
        if len(rows) > 1:
            tell_doubled(rows)
        if good := [row for row in rows if not row.faults]:
            measures[number] = measure
            made = _part(number, good, measure, table, settings)
            parts[number] = replace(made, aside=_aside_rows(rows, table)) if len(good) < len(rows) else made
    aside = {number: _part_aside(rows, table) for number, rows in groups.items() if number not in parts}
    used = sum(not each.faults for each in bins)
    table.in_error = frozenset(each.row.number for each in bins if each.faults)
    read = len(bins) + table.set_apart
    problems = (*_problems(bins, table), *table.problems_apart(), *_twins(groups, table))
    return PartsRead(parts, measures, aside, Tally(read, used, read - used), problems)


def _problems(bins: Iterable[BinRow], table: SheetTable) -> tuple[Problem, ...]:
    """Each row's faults, or where it has none its remarks."""
    problems: list[Problem] = []
    for each in bins:
        if found := each.faults or each.notices:
            problems += [table.problem(fault, each.row) for fault in found]
    return tuple(problems)


def _twins(groups: Mapping[str, list[BinRow]], table: SheetTable) -> list[Problem]:
    """A remark for each group of part numbers that look alike, at the last of them to appear."""
    return [_twin(group, groups, table) for group in twin_groups(groups)]


def _twin(group: list[str], groups: Mapping[str, list[BinRow]], table: SheetTable) -> Problem:
    *others, last = sorted(group, key=lambda number: groups[number][0].row.number)
    cells = [f"{other} in {table.place(groups[other][0].row.number).cell('part').cell}" for other in others]
    how = difference(group)
    says = f"{last} here and {' and '.join(cells)} {how}; they are counted as {len(group)} parts."
    return table.problem(Fault("part", "part-near-twin", says), groups[last][0].row)


# row by row


def _raw(value: CellValue) -> CellValue:
    """The cell for later; a truth value as text, because True counts as 1.0 wherever values are kept."""
    return as_text(value) if isinstance(value, bool) else value


def _words(heading: str, read: Callable[[CellValue], T]) -> Callable[[CellValue], T]:
    """Reads a cell of words, which no date and no truth value is."""

    def reader(value: CellValue) -> T:
        refuse_no_text(heading, value)
        return read(value)

    return reader


def _bin_rows(table: SheetTable, settings: Settings) -> list[BinRow]:
    columns = StockColumns(settings)
    read_bolts = _bolt_reader(table, settings)
    bins = []
    for row in table.rows(columns):
        bin_row = BinRow(row, columns, row.faults)
        _add_bolt(bin_row, read_bolts)
        bins.append(bin_row)
    return bins


def _bolt_reader(table: SheetTable, settings: Settings) -> Callable[[BoltCells], BoltRead]:
    """Reads each distinct set of bolt cells once."""

    def unit_of(heading: str) -> str | None:
        found = table.header.found.get(heading)
        return (found.unit if found else "") or settings.length_unit

    units = Units(unit_of("length"), unit_of("thread length"))
    return lru_cache(maxsize=65_536)(lambda cells: read_bolt(cells, units, settings))


def _add_bolt(each: BinRow, read: Callable[[BoltCells], BoltRead]) -> None:
    cells = each.columns.bolt_cells(each.row)
    if cells is None:
        return
    found = read(cells)
    each.bolt = found.bolt
    each.faults += found.faults
    each.notices += found.notices
    if found.bolt and each.filled(each.columns.head) is not None and found.bolt.head not in HEADS:
        each.notices.append(_unknown_head(found.bolt.head))
    if found.bolt and each.filled(each.columns.grade) is not None and not is_known_grade(found.bolt.grade):
        says = f"{shown(found.bolt.grade)} is no grade that a standard lists."
        each.notices.append(Fault("grade", "grade-unknown", says))


def _unknown_head(head: str) -> Fault:
    like = nearest(head, HEADS)
    hint = f"; nearest: {', '.join(like)}" if like else ""
    return Fault("head", "head-unknown", f"{shown(head)} is no head that is known{hint}.")


# quantities, in the part's unit


def _asked(table: SheetTable, settings: Settings) -> dict[str, QuantityColumn]:
    asked = {}
    for heading in (*SHELF, *LEVELS, "pack"):
        found = table.header.found.get(heading)
        unit = found.unit if found else ""
        asked[heading] = QuantityColumn(
            heading, unit, heading in SHELF, heading == "on hand", settings.decimal
        )
    return asked


def _read_quantities(rows: list[BinRow], asked: dict[str, QuantityColumn]) -> Measure:
    """Reads every quantity of a part's rows; its unit and pack are those of the first that give them."""
    for row in rows:
        _read_cell(row, "pack", measure_of(row.unit or "each", ONE), asked["pack"])
        _take_pack_of_unit(row)
        if (pack_read := row.quantities.get("pack")) is not None and pack_read <= 0:
            says = f"A pack of {quantity_text(pack_read)} holds nothing."
            row.faults.append(Fault("pack", "number-too-small", says))
            del row.quantities["pack"]
    pack = next((row.quantities["pack"] for row in rows if "pack" in row.quantities), ONE)
    for row in rows:
        measure = measure_of(row.unit or "each", pack)
        for heading in (*SHELF, *LEVELS):
            _read_cell(row, heading, measure, asked[heading])
    unit = next((row.unit for row in rows if not row.faults), "each")
    for row in rows:
        if not row.faults and row.pack_in_unit and row.pack_in_unit.pack != pack:
            one, other = quantity_text(row.quantities["pack"]), quantity_text(pack)
            says = f"{row.part} is counted in packs of {one} here and in packs of {other} further up."
            row.faults.append(Fault("unit", "part-unit-differs", says))
        if not row.faults and row.unit != unit:
            says = f"{row.part} is counted in {row.unit} here and in {unit} further up."
            row.faults.append(Fault("unit", "part-unit-differs", says))
    return measure_of(unit, pack)


def _take_pack_of_unit(row: BinRow) -> None:
    """The pack that the unit names, where the column pack is blank; a fault where that says another."""
    said = row.pack_in_unit
    if said is None or said.pack is None:
        return
    size, given = quantity_text(said.pack), row.quantities.get("pack")
    if given is None:
        row.quantities["pack"] = said.pack
        says = f'The unit "{said.written}" of {row.part} is read as packs of {size}.'
        row.notices.append(Fault("unit", "pack-from-unit", says))
    elif given != said.pack:
        column = quantity_text(given)
        says = f'The unit "{said.written}" of {row.part} says packs of {size}, the column pack {column}.'
        row.faults.append(Fault("unit", "pack-contradicted", says))


def _read_cell(each: BinRow, heading: str, measure: Measure, asked: QuantityColumn) -> None:
    """Reads a quantity in the part's unit, or adds a fault to the row."""
    raw = each.columns.quantities[heading].said(each.row)
    if raw is None or isinstance(raw, Fault):
        return
    value = read_counted(raw, measure, asked)
    if not isinstance(value, Fault):
        each.quantities[heading] = value
    # Without the row's unit, whose fault stands already, only the number itself can be judged.
    elif each.unit or value.code != "unit-mismatch":
        each.faults.append(value)


# rows of a part together


def _part(number: str, rows: list[BinRow], measure: Measure, table: SheetTable, settings: Settings) -> Part:
    columns = rows[0].columns
    description = _settled_cell(rows, columns.description)
    kind = _settled_cell(rows, columns.kind)
    finish = _settled_cell(rows, columns.finish)
    supplier = _settled_cell(rows, columns.supplier)
    supplier_part = _settled_cell(rows, columns.supplier_part)
    minimum_order, safety_stock, reorder_point, order_up_to = (
        _settled_quantity(rows, name) for name in LEVELS
    )
    price, currency = _price(rows, table, settings)
    _settled_quantity(rows, "pack")
    _remark_shelf(rows)
    return Part(
        number,
        measure.unit,
        tuple(_bin(row, table) for row in rows),
        description=description or "",
        kind=kind or "",
        finish=finish or "",
        bolt=_settled_bolt(rows),
        pack=measure.pack,
        minimum_order=minimum_order or NOTHING,
        lead_time=_settled_cell(rows, columns.lead_time),
        supplier=supplier or "",
        supplier_part=supplier_part or "",
        price=price,
        currency=currency,
        safety_stock=safety_stock or NOTHING,
        reorder_point=reorder_point,
        order_up_to=order_up_to,
        row=rows[0].row.number,
    )


def _part_aside(rows: list[BinRow], table: SheetTable) -> Part:
    """A part that nothing is known of but what it is."""
    bolt = next((row.bolt for row in rows if row.bolt is not None), None)
    description = next(filter(None, (row.filled(row.columns.description) for row in rows)), "")
    finish = next(filter(None, (row.filled(row.columns.finish) for row in rows)), "")
    aside = _aside_rows(rows, table)
    return Part(rows[0].part, description=description, finish=finish, bolt=bolt, new=True, aside=aside)


def _aside_rows(rows: list[BinRow], table: SheetTable) -> tuple[AsideRow, ...]:
    return tuple(
        AsideRow(
            row.part, row.filled(row.columns.bin) or "", row.row.number,
            table.problem(row.faults[0], row.row).place,
        )
        for row in rows
        if row.faults
    )  # fmt: skip


def _bin(each: BinRow, table: SheetTable) -> Bin:
    on_hand, allocated = each.quantities["on hand"], each.quantities.get("allocated", NOTHING)
    return Bin(each.columns.bin.of(each.row), on_hand, allocated, table.place(each.row.number))


def _settled_cell(rows: list[BinRow], column: ColumnReader[T]) -> T | None:
    """The first filled cell of a column; every later one that differs gets a remark."""
    if len(rows) == 1:
        return rows[0].filled(column)
    return _settled(column.heading, [(row, row.filled(column)) for row in rows])


def _settled_quantity(rows: list[BinRow], heading: str) -> Fraction | None:
    """The first quantity of a column; every later one that differs gets a remark."""
    if len(rows) == 1:
        return rows[0].quantities.get(heading)
    return _settled(heading, [(row, row.quantities.get(heading)) for row in rows])


def _settled(heading: str, said: Iterable[tuple[BinRow, T | None]]) -> T | None:
    filled = [(row, value) for row, value in said if value is not None]
    if not filled:
        return None
    (first, value), *later = filled
    for row, other in later:
        if _compared(other) != _compared(value):
            where = f"{_shown(value)} in row {first.row.number}"
            says = f"{heading} of {row.part} is {_shown(other)} here and {where}."
            row.notices.append(Fault(heading, "part-differs", says))
    return value


def _settled_bolt(rows: list[BinRow]) -> Bolt | None:
    """The first row's bolt that is one; every later one that differs gets a remark at what differs."""
    bolts = [row for row in rows if row.bolt is not None]
    if not bolts or bolts[0].bolt is None:
        return None
    bolt = bolts[0].bolt
    for each in bolts[1:]:
        if each.bolt is None or each.bolt == bolt:
            continue
        heading = next(name for name in TRAITS if _trait(each.bolt, name) != _trait(bolt, name))
        where = f"{bolt.designation} in row {bolts[0].row.number}"
        says = f"{each.part} is {each.bolt.designation} here and {where}."
        typed = {column.heading: column for column in _trait_columns(each.columns)}[heading]
        shown = "description" if each.filled(typed) is None else heading
        # The description that another row words differently has its remark already.
        each.notices = [fault for fault in each.notices if fault.heading != shown]
        each.notices.append(Fault(shown, "part-differs", says))
    return bolt


def _trait(bolt: Bolt, heading: str) -> object:
    """What a bolt has under one of the headings of its traits."""
    traits = (bolt.thread, bolt.length, bolt.head, bolt.grade, bolt.thread_length)
    return dict(zip(TRAITS, traits, strict=True))[heading]


def _trait_columns(columns: StockColumns) -> tuple[ColumnReader[CellValue], ...]:
    return columns.thread, columns.length, columns.head, columns.grade, columns.thread_length


def _compared(value: object) -> object:
    return fold(value) if isinstance(value, str) else value


def _shown(value: object) -> str:
    if isinstance(value, Fraction):
        return quantity_text(value)
    if isinstance(value, PriceRead):
        return " ".join(filter(None, (str(value.amount), value.currency)))
    return f'"{value}"' if isinstance(value, str) else str(value)


def _price(rows: list[BinRow], table: SheetTable, settings: Settings) -> tuple[Decimal | None, str]:
    """The price and its currency: of the rows, of the price's heading, else of the settings."""
    columns = rows[0].columns
    unread_prices(rows)
    said = [(row, price) for row in rows if (price := row.filled(columns.price)) and price.amount is not None]
    currency = _settled_cell(rows, columns.currency) or ""
    return settled_price(_settled("price", said), currency, rows, table, settings)


def _remark_shelf(rows: list[BinRow]) -> None:
    """Remarks on what cannot lie on a shelf: less than nothing, or less than is allocated."""
    for row in rows:
        if (count := row.quantities["on hand"]) < 0:
            says = f"{quantity_text(count)} of {row.part} is said to be on hand."
            row.notices.append(Fault("on hand", "on-hand-negative", says))
    holding = [row for row in rows if row.quantities.get("allocated")]
    if not holding:
        return
    on_hand = sum((row.quantities["on hand"] for row in rows), NOTHING)
    allocated = sum((row.quantities["allocated"] for row in holding), NOTHING)
    if allocated > on_hand:
        says = (
            f"{quantity_text(allocated)} of {rows[0].part} is allocated, {quantity_text(on_hand)} is on hand."
        )
        holding[0].notices.append(Fault("allocated", "allocated-above-on-hand", says))
