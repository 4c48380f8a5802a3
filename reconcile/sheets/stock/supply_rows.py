"""What else a stock workbook may hold: orders, suppliers, price breaks and usage."""

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial
from typing import Any, Generic, TypeVar

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_money
from reconcile.sheets.figures.text import CellValue
from reconcile.sheets.tables.part_numbers import Alike, read_part_number
from reconcile.sheets.tables.quantities import ONE, Measure, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import Column, Fault, Row, Table
from reconcile.values.problem import Problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Due, PriceBreak, Supplier, Usage
from reconcile.values.week.results import Tally

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Known:
    """What the stock sheet says of parts: how each is counted, and which were set aside whole."""

    measures: Mapping[str, Measure]
    set_aside: Set[str]

    def measure(self, part: str) -> Measure:
        """How a part is counted; in each where stock does not list it."""
        return self.measures.get(part) or measure_of("each", ONE)


@dataclass(frozen=True, slots=True)
class SheetRead(Generic[T]):
    """The values of a sheet in its order, and what became of every row."""

    values: tuple[T, ...]
    tally: Tally
    problems: tuple[Problem, ...]


def read_orders(table: Table, known: Known, settings: Settings, today: date) -> SheetRead[Due]:
    """The sheet On order. An order due before today counts as due on the next working day after it."""
    quantity = _quantity_reader(table, "quantity", known, settings, on_shelf=True)
    alike = Alike(known.measures)
    columns = [
        Column("order"),
        Column("part", read_part_number, needed=True),
        Column("quantity", _raw, needed=True),
        Column("due", partial(read_date, date_order=settings.date_order), None),
    ]

    def make(row: Row) -> tuple[Due | None, list[Fault]]:
        order, part, _, due = row.values
        faults = [] if part in known.measures or _faulty(part) else [_unknown_part(part, known, alike)]
        count = quantity(row, 1, 2, faults)
        if due is None:
            named = f"The order {order}" if order and not _faulty(order) else "An order"
            faults.append(Fault("due", "due-blank", f"{named} has no due date."))
        if faults or row.faults:
            return None, faults
        if due >= today:
            return Due(order, part, count, due, table.place(row.number)), []
        says = f"The order {order} of {part} was due on {due}."
        day = settings.days.after(today, 1)
        did = f"It is taken as due on the next working day, {day}."
        return Due(order, part, count, day, table.place(row.number)), [
            Fault("due", "due-past", says, did=did)
        ]

    return _read(table, columns, make)


def read_suppliers(table: Table, settings: Settings) -> SheetRead[Supplier]:
    """The sheet Suppliers. A supplier that stands there twice counts as its first row says."""
    money = partial(read_money, decimal=settings.decimal)
    columns = [
        Column("supplier", needed=True),
        Column("name"),
        Column("minimum order value", money, None),
        Column("delivery charge", money, None),
        Column("free delivery from", money, None),
        Column("email"),
    ]
    seen: dict[str, int] = {}

    def make(row: Row) -> tuple[Supplier | None, list[Fault]]:
        code = row.values[0]
        if row.faults:
            return None, []
        if code in seen:
            says = f"The supplier {code} stands in row {seen[code]} already."
            return None, [Fault("supplier", "supplier-doubled", says)]
        seen[code] = row.number
        return Supplier(*row.values), []

    return _read(table, columns, make)


def read_breaks(table: Table, known: Known, settings: Settings) -> SheetRead[PriceBreak]:
    """The sheet Price breaks. Quantities count pieces, even of parts that are counted in packs."""
    quantity = _quantity_reader(table, "from quantity", known, settings)
    columns = [
        Column("part", read_part_number, needed=True),
        Column("from quantity", _raw, needed=True),
        Column("price", partial(read_money, decimal=settings.decimal), Decimal(0), needed=True),
    ]

    def make(row: Row) -> tuple[PriceBreak | None, list[Fault]]:
        part, _, price = row.values
        faults: list[Fault] = []
        count = quantity(row, 0, 1, faults)
        if faults or row.faults:
            return None, faults
        return PriceBreak(part, count, price, table.place(row.number)), []

    return _read(table, columns, make)


def read_usage(table: Table, known: Known, settings: Settings) -> SheetRead[Usage]:
    """The sheet Usage. Quantities count pieces, even of parts that are counted in packs."""
    quantity = _quantity_reader(table, "quantity", known, settings)
    columns = [
        Column("date", partial(read_date, date_order=settings.date_order), needed=True),
        Column("part", read_part_number, needed=True),
        Column("quantity", _raw, needed=True),
        Column("job"),
    ]

    def make(row: Row) -> tuple[Usage | None, list[Fault]]:
        day, part, _, job = row.values
        faults: list[Fault] = []
        count = quantity(row, 1, 2, faults)
        if faults or row.faults:
            return None, faults
        return Usage(day, part, count, job, table.place(row.number)), []

    return _read(table, columns, make)


def _read(
    table: Table, columns: list[Column], make: Callable[[Row], tuple[T | None, list[Fault]]]
) -> SheetRead[T]:
    """Every row through ``make``, which gives a value (or None for a row set aside) and what it found."""
    values: list[T] = []
    problems: list[Problem] = []
    in_error: set[int] = set()
    read = 0
    for row in table.rows(columns):
        read += 1
        value, found = make(row)
        if value is None:
            in_error.add(row.number)
        else:
            values.append(value)
        problems += [table.problem(fault, row) for fault in (*row.faults, *found)]
    table.in_error = frozenset(in_error)
    read += table.set_apart
    problems += table.problems_apart()
    return SheetRead(tuple(values), Tally(read, len(values), read - len(values)), tuple(problems))


def _raw(value: CellValue) -> CellValue:
    return value


def _faulty(value: Any) -> bool:
    return value.__class__ is Fault


def _quantity_reader(
    table: Table, heading: str, known: Known, settings: Settings, *, on_shelf: bool = False
) -> Callable[[Row, int, int, list[Fault]], Any]:
    """Reads a row's quantity in its part's unit, given where part and quantity stand among its values."""
    found = table.header.found.get(heading)
    asked = QuantityColumn(heading, found.unit if found else "", on_shelf, decimal=settings.decimal)

    def read(row: Row, part: int, quantity: int, faults: list[Fault]) -> Any:
        raw = row.values[quantity]
        if _faulty(raw) or _faulty(row.values[part]):
            return raw
        count = read_counted(raw, known.measure(row.values[part]), asked)
        if isinstance(count, Fault):
            faults.append(count)
        return count

    return read


def _unknown_part(part: str, known: Known, alike: Alike) -> Fault:
    if part in known.set_aside:
        says = f"Every stock row of the part {part} was set aside."
        return Fault("part", "due-part-unknown", says, do="Mend the part's rows in the stock sheet.")
    twin = alike.to(part)
    hint = f"; there is {twin}" if twin else ""
    return Fault("part", "due-part-unknown", f"Stock does not list the part {part}{hint}.")
