"""What a supplier answers, as a plain workbook or csv: order, line or part, quantity, due, price."""

from decimal import Decimal
from functools import partial
from pathlib import Path

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_money
from reconcile.sheets.figures.text import CellValue
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.orders.answer_xml import read_answer_xml
from reconcile.sheets.stock.headings import PART_WORDS
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.part_numbers import read_part_number
from reconcile.sheets.tables.quantities import ONE, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import Columns, Fault, Row, Table, as_text, names_unit, open_table
from reconcile.values.guard import unguarded
from reconcile.values.orders.answers import AnswerLine, AnswerRead
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.words import fold

XML = ".xml"
REFUSED_WORDS = ("refused", "rejected", "cancelled", "not available")
ANSWER_HEADINGS: dict[str, tuple[str, ...]] = {
    "order": ("order no", "order number", "your order", "po", "po number"),
    "line": ("line no", "line number", "position"),
    "part": (*PART_WORDS, "our part", "your part number"),
    "supplier part": ("our part number", "our article", "article"),
    "quantity": ("qty", "confirmed", "confirmed quantity"),
    "unit": ("uom",),
    "due": ("due date", "delivery date", "delivery", "promised", "promised for"),
    "price": ("unit price",),
    "currency": ("curr",),
    "answer": ("status",),
    "note": ("remark", "remarks"),
}


class AnswerColumns(Columns):
    """The columns of an answer; a line is named by its number, our part or the supplier's."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.order = self.text("order", needed=True)
        self.line = self.text("line")
        self.part = self.maybe("part", read_part_number, "")
        self.supplier_part = self.text("supplier part")
        self.quantity = self.maybe("quantity", _raw, None)
        self.unit = self.text("unit")
        self.due = self.maybe("due", partial(read_date, date_order=settings.date_order), None)
        self.price = self.maybe("price", partial(read_money, decimal=settings.decimal), None)
        self.currency = self.text("currency")
        self.answer = self.text("answer")
        self.note = self.text("note")


def read_answer(path: Path, settings: Settings, stock: Stock) -> AnswerRead:
    """An answer in a file of whatever kind. Raises Unusable with every fault, and as ``open_book`` does."""
    if path.suffix.lower() == XML:
        return read_answer_xml(path, settings)
    book = open_book(path, settings.limits, settings.csv_form)
    table = _table(book, settings)
    columns = AnswerColumns(settings)
    lines: list[AnswerLine] = []
    faults: list[Problem] = []
    for row in table.rows(columns):
        found = list(row.faults)
        line = None if found else _line(row, columns, table, stock, settings, found)
        faults += [table.problem(fault, row) for fault in found]
        lines += [line] if line else []
    if faults:
        raise Unusable(*faults)
    return AnswerRead(path.name, tuple(lines))


def _table(book: Book, settings: Settings) -> Table:
    """The one sheet that has the headings: the first that does."""
    first: list[Problem] = []
    for name in book.sheet_names:
        kind = SheetKind(name, ANSWER_HEADINGS, ("order",), key="order")
        table, problems = open_table(book, kind, settings, needed=True)
        if table is not None:
            return table
        first = first or problems
    says = f"{book.file} holds no sheet with the headings order, line or part, quantity and due."
    raise Unusable(problem("answer-unreadable", Place(book.file), says), *first)


def _line(  # noqa: PLR0913, PLR0917  (one row, and all that it is read by)
    row: Row, columns: AnswerColumns, table: Table, stock: Stock, settings: Settings, found: list[Fault]
) -> AnswerLine | None:
    number = unguarded(columns.part.of(row))
    if not (columns.line.of(row) or number or columns.supplier_part.of(row)):
        found.append(Fault("line", "cell-blank", "The row names no line, part or supplier part."))
        return None
    part = stock.parts.get(number) or _by_supplier_part(columns.supplier_part.of(row), stock)
    raw, quantity = columns.quantity.of(row), None
    if raw is not None:
        measure = measure_of(part.unit if part else "each", part.pack if part else ONE)
        said = columns.unit.of(row)
        value = f"{as_text(raw)} {said}" if said and not names_unit(raw) else raw
        counted = read_counted(value, measure, QuantityColumn("quantity", decimal=settings.decimal))
        if isinstance(counted, Fault):
            found.append(counted)
            return None
        quantity = counted
    price: Decimal | None = columns.price.of(row)
    return AnswerLine(
        columns.order.of(row), columns.line.of(row), number, columns.supplier_part.of(row), quantity, "",
        columns.due.of(row), price, columns.currency.of(row).upper(),
        fold(columns.answer.of(row)) in REFUSED_WORDS, columns.note.of(row),
        table.place(row.number).cell("quantity" if raw is not None else "order"),
    )  # fmt: skip


def _by_supplier_part(number: str, stock: Stock) -> Part | None:
    found = [part for part in stock.parts.values() if number and fold(part.supplier_part) == fold(number)]
    return found[0] if len(found) == 1 else None


def _raw(value: CellValue) -> CellValue:
    return value
