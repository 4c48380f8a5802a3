"""What else a stock workbook may hold: orders, suppliers, price breaks and usage."""

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import partial
from typing import Generic, TypeVar

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_money
from reconcile.sheets.figures.text import CellValue
from reconcile.sheets.tables.part_numbers import Alike, read_part_number
from reconcile.sheets.tables.quantities import ONE, Measure, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import ColumnReader, Columns, Fault, Row, SheetTable
from reconcile.values.problem import Problem, RowPlace
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


class OrderColumns(Columns):
    """The columns of the sheet On order."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.order = self.text("order")
        self.part = self.needed("part", read_part_number)
        self.quantity = self.needed("quantity", _raw)
        self.due = self.maybe("due", partial(read_date, date_order=settings.date_order), None)


def read_orders(table: SheetTable, known: Known, settings: Settings, today: date) -> SheetRead[Due]:
    """The sheet On order. An order due before today counts as due on the next working day after it."""
    columns = OrderColumns(settings)
    count_of = _quantity_reader(table, columns.part, columns.quantity, known, settings, on_shelf=True)
    alike = Alike(known.measures)

    def make(row: Row) -> tuple[Due | None, list[Fault]]:
        order, part, due = columns.order.said(row), columns.part.said(row), columns.due.said(row)
        faults = (
            [] if isinstance(part, Fault) or part in known.measures else [_unknown_part(part, known, alike)]
        )
        count = count_of(row, faults)
        if due is None:
            named = f"The order {order}" if order and not isinstance(order, Fault) else "An order"
            faults.append(Fault("due", "due-blank", f"{named} has no due date."))
        if faults or row.faults or count is None:
            return None, faults
        return _due(columns, row, count, table.place(row.number))

    def _due(columns: OrderColumns, row: Row, count: Fraction, place: RowPlace) -> tuple[Due, list[Fault]]:
        order, part, due = columns.order.of(row), columns.part.of(row), columns.due.of(row)
        if due is not None and due >= today:
            return Due(order, part, count, due, place), []
        says = f"The order {order} of {part} was due on {due}."
        day = settings.days.after(today, 1)
        did = f"It is taken as due on the next working day, {day}."
        return Due(order, part, count, day, place), [Fault("due", "due-past", says, did=did)]

    return _read(table, columns, make)


class SupplierColumns(Columns):
    """The columns of the sheet Suppliers."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        money = partial(read_money, decimal=settings.decimal)
        self.code = self.text("supplier", needed=True)
        self.name = self.text("name")
        self.minimum_order_value = self.maybe("minimum order value", money, None)
        self.delivery_charge = self.maybe("delivery charge", money, None)
        self.free_delivery_from = self.maybe("free delivery from", money, None)
        self.email = self.text("email")


def read_suppliers(table: SheetTable, settings: Settings) -> SheetRead[Supplier]:
    """The sheet Suppliers. A supplier that stands there twice counts as its first row says."""
    columns = SupplierColumns(settings)
    seen: dict[str, int] = {}

    def make(row: Row) -> tuple[Supplier | None, list[Fault]]:
        if row.faults:
            return None, []
        code = columns.code.of(row)
        if code in seen:
            says = f"The supplier {code} stands in row {seen[code]} already."
            return None, [Fault("supplier", "supplier-doubled", says)]
        seen[code] = row.number
        supplier = Supplier(
            code=code,
            name=columns.name.of(row),
            minimum_order_value=columns.minimum_order_value.of(row),
            delivery_charge=columns.delivery_charge.of(row),
            free_delivery_from=columns.free_delivery_from.of(row),
            email=columns.email.of(row),
        )
        return supplier, []

    return _read(table, columns, make)


class BreakColumns(Columns):
    """The columns of the sheet Price breaks."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.part = self.needed("part", read_part_number)
        self.quantity = self.needed("from quantity", _raw)
        self.price = self.needed("price", partial(read_money, decimal=settings.decimal))


def read_breaks(table: SheetTable, known: Known, settings: Settings) -> SheetRead[PriceBreak]:
    """The sheet Price breaks. Quantities count pieces, even of parts that are counted in packs."""
    columns = BreakColumns(settings)
    count_of = _quantity_reader(table, columns.part, columns.quantity, known, settings)

    def make(row: Row) -> tuple[PriceBreak | None, list[Fault]]:
        faults: list[Fault] = []
        count = count_of(row, faults)
        if faults or row.faults or count is None:
            return None, faults
        return PriceBreak(columns.part.of(row), count, columns.price.of(row), table.place(row.number)), []

    return _read(table, columns, make)


class UsageColumns(Columns):
    """The columns of the sheet Usage."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.day = self.needed("date", partial(read_date, date_order=settings.date_order))
        self.part = self.needed("part", read_part_number)
        self.quantity = self.needed("quantity", _raw)
        self.job = self.text("job")


def read_usage(table: SheetTable, known: Known, settings: Settings) -> SheetRead[Usage]:
    """The sheet Usage. Quantities count pieces, even of parts that are counted in packs."""
    columns = UsageColumns(settings)
    count_of = _quantity_reader(table, columns.part, columns.quantity, known, settings)

    def make(row: Row) -> tuple[Usage | None, list[Fault]]:
        faults: list[Fault] = []
        count = count_of(row, faults)
        if faults or row.faults or count is None:
            return None, faults
        day, part, job = columns.day.of(row), columns.part.of(row), columns.job.of(row)
        return Usage(day, part, count, job, table.place(row.number)), []

    return _read(table, columns, make)


def _read(
    table: SheetTable, columns: Columns, make: Callable[[Row], tuple[T | None, list[Fault]]]
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


def _quantity_reader(  # noqa: PLR0913  (one column, and all that its cells are read by)
    table: SheetTable,
    part: ColumnReader[str],
    quantity: ColumnReader[CellValue],
    known: Known,
    settings: Settings,
    *,
    on_shelf: bool = False,
) -> Callable[[Row, list[Fault]], Fraction | None]:
    """Reads a row's quantity in its part's unit; None, with a fault of the row, where that cannot be."""
    heading = quantity.heading
    found = table.header.found.get(heading)
    asked = QuantityColumn(heading, found.unit if found else "", on_shelf, decimal=settings.decimal)

    def read(row: Row, faults: list[Fault]) -> Fraction | None:
        raw, number = quantity.said(row), part.said(row)
        if isinstance(raw, Fault) or isinstance(number, Fault):
            return None
        count = read_counted(raw, known.measure(number), asked)
        if isinstance(count, Fault):
            faults.append(count)
            return None
        return count

    return read


def _unknown_part(part: str, known: Known, alike: Alike) -> Fault:
    if part in known.set_aside:
        says = f"Every stock row of the part {part} was set aside."
        return Fault("part", "due-part-unknown", says, do="Mend the part's rows in the stock sheet.")
    twin = alike.to(part)
    hint = f"; there is {twin}" if twin else ""
    return Fault("part", "due-part-unknown", f"Stock does not list the part {part}{hint}.")
