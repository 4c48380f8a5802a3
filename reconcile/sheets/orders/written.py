"""An order workbook as it is now: each supplier's sheet, held against our own sheet of what was written."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import partial
from itertools import chain
from pathlib import Path

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_money
from reconcile.sheets.figures.text import CellValue
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.stock.headings import PART_WORDS
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.part_numbers import read_part_number
from reconcile.sheets.tables.quantities import ONE, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import Columns, Fault, Row, SheetTable, open_table
from reconcile.values.guard import unguarded
from reconcile.values.orders.seals import seal_of
from reconcile.values.orders.written import OrderBook, WrittenLine, WrittenOrder
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Stock

OUR_LINES = SheetKind(
    "Our lines",
    dict.fromkeys(
        ("order", "sheet", "supplier", "line", "our part", "supplier part", "designation", "quantity", "unit",
         "unit price", "currency", "wanted by", "period", "written on", "seal"), (),
    ),
    ("order", "sheet", "our part", "quantity", "written on", "seal"),
    key="our part",
)  # fmt: skip
SENT_HEADINGS: dict[str, tuple[str, ...]] = {
    "line": ("line no",), "our part": PART_WORDS, "designation": (), "quantity": ("qty",),
    "unit": (), "unit price": ("price",), "wanted by": ("due", "required by"),
}  # fmt: skip


class WrittenLineColumns(Columns):
    """The columns of a supplier's sheet; the same are in our own."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.line = self.text("line")
        self.part = self.needed("our part", _part)
        self.quantity = self.needed("quantity", _raw)
        self.unit = self.text("unit")
        self.price = self.maybe("unit price", partial(read_money, decimal=settings.decimal), None)
        self.wanted = self.maybe("wanted by", partial(read_date, date_order=settings.date_order), None)
        self.designation = self.text("designation")


class OurColumns(WrittenLineColumns):
    """The columns of our own sheet."""

    def __init__(self, settings: Settings) -> None:
        super().__init__(settings)
        self.order = self.text("order", needed=True)
        self.sheet = self.text("sheet", needed=True)
        self.supplier = self.text("supplier")
        self.supplier_part = self.text("supplier part")
        self.currency = self.text("currency")
        self.period = self.text("period")
        day = partial(read_date, date_order=settings.date_order)
        self.written = self.needed("written on", day)
        self.seal = self.text("seal", needed=True)


@dataclass(slots=True)
class _AtFirst:
    """An order as our own sheet has it."""

    reference: str
    sheet: str
    supplier: str
    currency: str
    period: str
    written: date
    seal: str
    lines: list[WrittenLine]


def read_order_book(path: Path, settings: Settings, stock: Stock) -> OrderBook:
    """Every order of an order workbook, as written and as it stands.

    Raises Unusable: order-book-unreadable where a sheet or its headings are gone, and with every fault of
    every row; and as ``open_book`` does.
    """
    return orders_in(open_book(path, settings.limits, settings.csv_form), settings, stock)


def orders_in(book: Book, settings: Settings, stock: Stock) -> OrderBook:
    """The same of a workbook that is open already."""
    reader = _Reader(book, settings, stock)
    orders = [reader.order(each) for each in reader.at_first()]
    if reader.faults:
        raise Unusable(*reader.faults)
    return OrderBook(book.file, tuple(order for order in orders if order is not None))


class _Reader:
    """One workbook while it is read; what is wrong is gathered."""

    def __init__(self, book: Book, settings: Settings, stock: Stock) -> None:
        self.faults: list[Problem] = []
        self._book, self._settings, self._stock = book, settings, stock

    def at_first(self) -> list[_AtFirst]:
        """The orders by our own sheet. Raises Unusable where it is not there, or not as it was written."""
        columns = OurColumns(self._settings)
        table = self._table(OUR_LINES)
        found: dict[str, _AtFirst] = {}
        for row in table.rows(columns) if table else ():
            line = self._line(row, columns, table)
            if line is None:
                continue
            order = found.setdefault(columns.order.of(row), _AtFirst(
                columns.order.of(row), columns.sheet.of(row), columns.supplier.of(row),
                columns.currency.of(row), columns.period.of(row), columns.written.of(row),
                columns.seal.of(row), [],
            ))  # fmt: skip
            order.lines.append(replace(line, supplier_part=columns.supplier_part.of(row)))
        if self.faults:
            raise Unusable(*self.faults)
        return list(found.values())

    def order(self, first: _AtFirst) -> WrittenOrder | None:
        """An order as its supplier's sheet has it now; None with a fault where that cannot be told."""
        kind = SheetKind(first.sheet, SENT_HEADINGS, ("our part", "quantity"), key="our part")
        table = self._table(kind)
        if table is None:
            return None
        columns, lines = WrittenLineColumns(self._settings), dict[str, WrittenLine]()
        parts = {line.part: line for line in first.lines}
        for row in table.rows(columns):
            line = None if _is_foot(row, columns) else self._line(row, columns, table)
            if line is None or not line.quantity:
                continue
            if line.part in lines:
                self._doubled(line)
            known = parts.get(line.part)
            own = known.supplier_part if known else ""
            lines[line.part] = replace(line, line=known.line if known else line.line, supplier_part=own)
        edited = seal_of(chain(*table.grid.rows)) != first.seal
        return WrittenOrder(
            first.reference, first.supplier, first.currency, first.written, first.period,
            tuple(lines.values()), tuple(first.lines), Place(self._book.file, first.sheet), edited,
        )  # fmt: skip

    def _table(self, kind: SheetKind) -> SheetTable | None:
        """A sheet of the workbook; with what is wrong as order-book-unreadable."""
        if kind.name not in self._book.sheet_names:
            says = f"{self._book.file} has no sheet {kind.name}."
            self.faults.append(problem("order-book-unreadable", Place(self._book.file, kind.name), says))
            return None
        try:
            table, problems = open_table(self._book, kind, self._settings, needed=True)
        except Unusable as unusable:
            table, problems = None, list(unusable.problems)
        if kind is OUR_LINES:  # a week may have nothing to order
            problems = [each for each in problems if each.code != "sheet-empty"]
        self.faults += [
            problem("order-book-unreadable", each.place, each.says, found=each.found) for each in problems
        ]
        return table

    def _line(self, row: Row, columns: WrittenLineColumns, table: SheetTable | None) -> WrittenLine | None:
        assert table is not None
        faults = list(row.faults)
        raw, part = columns.quantity.said(row), columns.part.said(row)
        quantity: Fraction | Fault | None = None
        unit = ""
        if not isinstance(raw, Fault) and not isinstance(part, Fault):
            known = self._stock.parts.get(part)
            said = columns.unit.said(row)
            unit = known.unit if known else "" if isinstance(said, Fault) else said or "each"
            measure = measure_of(unit, known.pack if known else ONE)
            quantity = read_counted(raw, measure, QuantityColumn("quantity", decimal=self._settings.decimal))
            faults += [quantity] if isinstance(quantity, Fault) else []
        self.faults += [table.problem(fault, row) for fault in faults]
        if faults or not isinstance(quantity, Fraction):
            return None
        price: Decimal | None = columns.price.of(row)
        return WrittenLine(
            columns.line.of(row), columns.part.of(row), quantity, unit, price, columns.wanted.of(row), "",
            unguarded(columns.designation.of(row)), table.place(row.number),
        )  # fmt: skip

    def _doubled(self, line: WrittenLine) -> None:
        says = f"{line.part} stands on the order twice."
        self.faults.append(problem("order-line-doubled", line.place.cell("our part"), says, found=line.part))


def _is_foot(row: Row, columns: WrittenLineColumns) -> bool:
    """A row without part and quantity: totals, notes, or a line that was cleared."""
    cells = (columns.part.said(row), columns.quantity.said(row))
    return all(isinstance(cell, Fault) and cell.code == "cell-blank" for cell in cells)


def _part(value: CellValue) -> str:
    return unguarded(read_part_number(value))


def _raw(value: CellValue) -> CellValue:
    return value
