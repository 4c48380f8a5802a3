"""The stock sheet: rows to bins, bins to parts, and every fault of every row."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache, partial
from typing import Any

from reconcile.sheets.fasteners.spellings import HEADS, is_known_grade
from reconcile.sheets.figures.numbers import read_money, read_whole
from reconcile.sheets.figures.spoilt_codes import refuse_no_text
from reconcile.sheets.figures.text import CellValue, shown
from reconcile.sheets.figures.units import canonical_unit
from reconcile.sheets.stock.bolt_rows import BoltCells, BoltRead, Units, read_bolt
from reconcile.sheets.tables.part_numbers import difference, read_part_number, twin_groups
from reconcile.sheets.tables.quantities import ONE, Measure, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import Column, Fault, Row, Table, as_text
from reconcile.values.measure import quantity_text
from reconcile.values.problem import Problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Bin, Bolt, Part
from reconcile.values.week.results import Tally
from reconcile.values.words import fold, nearest

TEXTS = ("description", "kind", "finish", "supplier", "supplier part")
LEVELS = ("minimum order", "safety stock", "reorder point", "order up to")
SHELF = ("on hand", "allocated")
NOTHING = Fraction(0)
BOLT_CELLS = {
    "description": "description",
    "kind": "kind",
    "thread": "thread",
    "length": "length",
    "thread length": "thread_length",
    "head": "head",
    "grade": "grade",
}
TRAITS = {
    "thread": "thread",
    "length": "length",
    "head": "head",
    "grade": "grade",
    "thread length": "thread_length",
}


@dataclass(slots=True)
class BinRow:
    """A row of the stock sheet while it is read: values by our heading, faults, remarks."""

    row: Row
    values: dict[str, Any]
    faults: list[Fault]
    notices: list[Fault] = field(default_factory=list)
    bolt: Bolt | None = None

    @property
    def part(self) -> str:
        """The part's number, "" where the cell cannot be read."""
        part = self.values["part"]
        return part if isinstance(part, str) else ""

    @property
    def unit(self) -> str:
        """The unit of the sheet, "" where the cell cannot be read."""
        unit = self.values["unit"]
        return unit if isinstance(unit, str) else ""

    def filled(self, heading: str) -> bool:
        """Whether the cell holds something that could be read."""
        value = self.values[heading]
        # Fractions are slow to compare with a text, so the kind is looked at first.
        return not (value is None or value.__class__ is Fault or (value.__class__ is str and not value))


@dataclass(frozen=True, slots=True)
class PartsRead:
    """The parts in the order of the sheet, how each is counted, and what became of every row."""

    parts: dict[str, Part]
    measures: dict[str, Measure]
    set_aside: frozenset[str]
    """Parts of which every row was set aside."""
    tally: Tally
    problems: tuple[Problem, ...]


def read_parts(table: Table, settings: Settings) -> PartsRead:
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
        if good := [row for row in rows if not row.faults]:
            measures[number] = measure
            parts[number] = _part(number, good, measure, table, settings)
    aside = frozenset(number for number in groups if number not in parts)
    used = sum(not each.faults for each in bins)
    table.in_error = frozenset(each.row.number for each in bins if each.faults)
    read = len(bins) + table.set_apart
    problems = (*_problems(bins, table), *table.problems_apart(), *_twins(groups, table))
    return PartsRead(parts, measures, aside, Tally(read, used, read - used), problems)


def _problems(bins: Iterable[BinRow], table: Table) -> tuple[Problem, ...]:
    """Each row's faults, or where it has none its remarks."""
    problems: list[Problem] = []
    for each in bins:
        if found := each.faults or each.notices:
            problems += [table.problem(fault, each.row) for fault in found]
    return tuple(problems)


def _twins(groups: Mapping[str, list[BinRow]], table: Table) -> list[Problem]:
    """A remark for each group of part numbers that look alike, at the last of them to appear."""
    return [_twin(group, groups, table) for group in twin_groups(groups)]


def _twin(group: list[str], groups: Mapping[str, list[BinRow]], table: Table) -> Problem:
    *others, last = sorted(group, key=lambda number: groups[number][0].row.number)
    cells = [f"{other} in {table.place(groups[other][0].row.number).cell('part').cell}" for other in others]
    how = difference(group)
    says = f"{last} here and {' and '.join(cells)} {how}; they are counted as {len(group)} parts."
    return table.problem(Fault("part", "part-near-twin", says), groups[last][0].row)


# row by row


def _raw(value: CellValue) -> CellValue:
    """The cell for later; a truth value as text, because True counts as 1.0 wherever values are kept."""
    return as_text(value) if isinstance(value, bool) else value


def _words(heading: str, read: Callable[[CellValue], CellValue]) -> Callable[[CellValue], CellValue]:
    """Reads a cell of words, which no date and no truth value is."""

    def reader(value: CellValue) -> CellValue:
        refuse_no_text(heading, value)
        return read(value)

    return reader


def _columns(settings: Settings) -> list[Column]:
    """A reader for each column; those that need the part's unit or the rest of the row stay raw for now."""
    raw = [*LEVELS, "allocated", "pack", "thread", "length", "thread length"]
    return [
        Column("part", read_part_number, needed=True),
        Column("on hand", _raw, needed=True),
        Column("unit", lambda cell: canonical_unit(as_text(cell)), needed=True),
        Column("description", _words("description", as_text), matters=True),
        *(Column(heading) for heading in ("kind", "finish", "bin", "supplier", "supplier part")),
        *(Column(heading, _raw, None) for heading in raw),
        *(Column(heading, _words(heading, _raw), None) for heading in ("head", "grade")),
        Column("lead time days", partial(read_whole, decimal=settings.decimal), None),
        Column("price", partial(read_money, decimal=settings.decimal), None),
        Column("currency", _words("currency", lambda cell: as_text(cell).upper())),
    ]


def _bin_rows(table: Table, settings: Settings) -> list[BinRow]:
    columns = _columns(settings)
    headings = [column.heading for column in columns]
    read_bolts = _bolt_reader(table, settings)
    bins = []
    for row in table.rows(columns):
        each = BinRow(row, dict(zip(headings, row.values, strict=True)), row.faults)
        _add_bolt(each, read_bolts)
        bins.append(each)
    return bins


def _bolt_reader(table: Table, settings: Settings) -> Callable[[BoltCells], BoltRead]:
    """Reads each distinct set of bolt cells once."""

    def unit_of(heading: str) -> str | None:
        found = table.header.found.get(heading)
        return (found.unit if found else "") or settings.length_unit

    units = Units(unit_of("length"), unit_of("thread length"))
    return lru_cache(maxsize=65_536)(lambda cells: read_bolt(cells, units, settings))


def _add_bolt(each: BinRow, read: Callable[[BoltCells], BoltRead]) -> None:
    values = {name: each.values[heading] for heading, name in BOLT_CELLS.items()}
    if any(value.__class__ is Fault for value in values.values()):
        return
    found = read(BoltCells(**values))
    each.bolt = found.bolt
    each.faults += found.faults
    each.notices += found.notices
    if found.bolt and each.filled("head") and found.bolt.head not in HEADS:
        each.notices.append(_unknown_head(found.bolt.head))
    if found.bolt and each.filled("grade") and not is_known_grade(found.bolt.grade):
        says = f"{shown(found.bolt.grade)} is no grade that a standard lists."
        each.notices.append(Fault("grade", "grade-unknown", says))


def _unknown_head(head: str) -> Fault:
    like = nearest(head, HEADS)
    hint = f"; nearest: {', '.join(like)}" if like else ""
    return Fault("head", "head-unknown", f"{shown(head)} is no head that is known{hint}.")


# quantities, in the part's unit


def _asked(table: Table, settings: Settings) -> dict[str, QuantityColumn]:
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
        if row.filled("pack") and row.values["pack"] <= 0:
            says = f"A pack of {quantity_text(row.values['pack'])} holds nothing."
            row.values["pack"] = Fault("pack", "number-too-small", says)
            row.faults.append(row.values["pack"])
    pack = next((row.values["pack"] for row in rows if row.filled("pack")), ONE)
    for row in rows:
        measure = measure_of(row.unit or "each", pack)
        for heading in (*SHELF, *LEVELS):
            _read_cell(row, heading, measure, asked[heading])
    unit = next((row.unit for row in rows if not row.faults), "each")
    for row in rows:
        if not row.faults and row.unit != unit:
            says = f"{row.part} is counted in {row.unit} here and in {unit} further up."
            row.faults.append(Fault("unit", "part-unit-differs", says))
    return measure_of(unit, pack)


def _read_cell(each: BinRow, heading: str, measure: Measure, asked: QuantityColumn) -> None:
    """Turns a raw quantity into one of the part's unit, or into a fault of the row."""
    raw = each.values[heading]
    if raw is None or raw.__class__ is Fault:
        return
    value = each.values[heading] = read_counted(raw, measure, asked)
    # Without the row's unit, whose fault stands already, only the number itself can be judged.
    if isinstance(value, Fault) and (each.unit or value.code != "unit-mismatch"):
        each.faults.append(value)


# rows of a part together


def _part(number: str, rows: list[BinRow], measure: Measure, table: Table, settings: Settings) -> Part:
    first = rows[0]
    texts = {heading: _settled(rows, heading) or "" for heading in TEXTS}
    levels = {heading: _settled(rows, heading) for heading in LEVELS}
    price, currency = _price(rows, table, settings)
    _settled(rows, "pack")
    _remark_shelf(rows)
    return Part(
        number,
        measure.unit,
        tuple(_bin(row, table) for row in rows),
        description=texts["description"],
        kind=texts["kind"],
        finish=texts["finish"],
        bolt=_settled_bolt(rows),
        pack=measure.pack,
        minimum_order=levels["minimum order"] or NOTHING,
        lead_time=_settled(rows, "lead time days"),
        supplier=texts["supplier"],
        supplier_part=texts["supplier part"],
        price=price,
        currency=currency,
        safety_stock=levels["safety stock"] or NOTHING,
        reorder_point=levels["reorder point"],
        order_up_to=levels["order up to"],
        row=first.row.number,
    )


def _bin(each: BinRow, table: Table) -> Bin:
    allocated = each.values["allocated"] or NOTHING
    return Bin(each.values["bin"], each.values["on hand"], allocated, table.place(each.row.number))


def _settled(rows: list[BinRow], heading: str) -> Any:
    """The first filled cell of a column; every later one that differs gets a remark."""
    if len(rows) == 1:
        return rows[0].values[heading] if rows[0].filled(heading) else None
    filled = [row for row in rows if row.filled(heading)]
    if not filled:
        return None
    value = filled[0].values[heading]
    for each in filled[1:]:
        other = each.values[heading]
        if _compared(other) != _compared(value):
            where = f"{_shown(value)} in row {filled[0].row.number}"
            says = f"{heading} of {each.part} is {_shown(other)} here and {where}."
            each.notices.append(Fault(heading, "part-differs", says))
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
        heading = next(
            name for name, trait in TRAITS.items() if getattr(each.bolt, trait) != getattr(bolt, trait)
        )
        where = f"{bolt.designation} in row {bolts[0].row.number}"
        says = f"{each.part} is {each.bolt.designation} here and {where}."
        shown = heading if each.filled(heading) else "description"
        # The description that another row words differently has its remark already.
        each.notices = [fault for fault in each.notices if fault.heading != shown]
        each.notices.append(Fault(shown, "part-differs", says))
    return bolt


def _compared(value: Any) -> Any:
    return fold(value) if isinstance(value, str) else value


def _shown(value: Any) -> str:
    return (
        quantity_text(value)
        if isinstance(value, Fraction)
        else f'"{value}"'
        if value.__class__ is str
        else str(value)
    )


def _price(rows: list[BinRow], table: Table, settings: Settings) -> tuple[Decimal | None, str]:
    """The price and its currency: of the rows, of the price's heading, else of the settings."""
    price = _settled(rows, "price")
    found = table.header.found.get("price")
    currency = _settled(rows, "currency") or (found.unit.upper() if found else "") or settings.currency
    if price is not None and not currency:
        first = next(row for row in rows if row.filled("price"))
        says = f"The price {price} of {first.part} has no currency."
        first.notices.append(Fault("price", "currency-unknown", says))
        return None, ""
    return price, currency


def _remark_shelf(rows: list[BinRow]) -> None:
    """Remarks on what cannot lie on a shelf: less than nothing, or less than is allocated."""
    for row in rows:
        if (count := row.values["on hand"]) < 0:
            says = f"{quantity_text(count)} of {row.part} is said to be on hand."
            row.notices.append(Fault("on hand", "on-hand-negative", says))
    holding = [row for row in rows if row.values["allocated"]]
    if not holding:
        return
    on_hand = sum(row.values["on hand"] for row in rows)
    allocated = sum(each.values["allocated"] for each in holding)
    if allocated > on_hand:
        says = (
            f"{quantity_text(allocated)} of {rows[0].part} is allocated, {quantity_text(on_hand)} is on hand."
        )
        holding[0].notices.append(Fault("allocated", "allocated-above-on-hand", says))
