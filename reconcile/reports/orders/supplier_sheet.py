"""The sheet that a supplier gets: what is for the supplier, and nothing else. No cell begins as a formula."""

from collections.abc import Iterator

from reconcile.reports.writing.grid import DATE, MONEY, NUMBER, QUANTITY, TEXT, Cell, Column, Row, Table
from reconcile.reports.writing.rows_xml import clean
from reconcile.reports.writing.wording import count_text, some_of
from reconcile.values.guard import guarded
from reconcile.values.week.purchase import SupplierOrder, item_name
from reconcile.values.week.results import PartResult

NO_OTHER = "No other length or grade without our agreement."

SENT_COLUMNS = (
    Column("line", NUMBER),
    Column("supplier part", TEXT, 20),
    Column("our part", TEXT, 24),
    Column("designation", TEXT, 44),
    Column("finish", TEXT, 16),
    Column("packs", NUMBER),
    Column("pack of", QUANTITY),
    Column("quantity", QUANTITY),
    Column("unit", TEXT, 8),
    Column("unit price", MONEY),
    Column("line total", MONEY),
    Column("currency", TEXT, 8),
    Column("wanted by", DATE),
)


def supplier_table(order: SupplierOrder) -> Table:
    """The lines of one order as its supplier gets them, with the totals."""
    named = f"{order.name} {order.currency}" if order.split else order.name
    rows = [guarded_row(_line_row(number, line)) for number, line in enumerate(order.lines, 1)]
    return Table(
        named, f"Order {order.reference}: {named}", SENT_COLUMNS, lambda: iter(rows), len(rows),
        tuple(map(guarded_row, _total_rows(order))), tuple(sent_notes(order)),
    )  # fmt: skip


def sent_notes(order: SupplierOrder) -> Iterator[str]:
    yield NO_OTHER
    averages = [str(number) for number, line in enumerate(order.lines, 1) if line.goods is not None]
    if averages:
        yield (
            f"The unit price of line {some_of(averages)} is an average over price breaks, rounded;"
            " the line total is exact."
        )
    if order.unpriced:
        yield f"Not in the total: {count_text(order.unpriced, 'line')} without a price."


def guarded_row(row: Row) -> Row:
    """The row with no text that a spreadsheet program would work out."""
    return tuple(guarded(clean(cell)) if isinstance(cell, str) else cell for cell in row)


def _line_row(number: int, line: PartResult) -> Row:
    part = line.part
    return (
        number, part.supplier_part, part.number, item_name(part), part.finish, line.packs, part.pack,
        line.order, part.unit, line.unit_price, line.line_total,
        part.currency if line.unit_price is not None else "", line.required_by,
    )  # fmt: skip


def _total_rows(order: SupplierOrder) -> Iterator[Row]:
    if order.charge is not None:
        if order.goods is not None:
            yield _total_row("Goods", order.goods, order.currency)
        yield _total_row("Delivery charge", order.charge, order.currency)
    if order.total is not None:
        yield _total_row("Total", order.total, order.currency)


def _total_row(label: str, amount: Cell, currency: str) -> Row:
    filled: dict[str, Cell] = {"supplier part": label, "line total": amount, "currency": currency}
    return tuple(filled.get(column.heading) for column in SENT_COLUMNS)
