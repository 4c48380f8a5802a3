"""Our own sheet of the order workbook: every line as it was written, late, by when, for whose jobs.

It is what an edited supplier's sheet is held against when the order is placed, so nobody should change it.
"""

from collections.abc import Mapping, Sequence
from datetime import date

from reconcile.reports.writing.grid import DATE, MONEY, NUMBER, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import bins_aside_text, late_word, some_of
from reconcile.values.week.purchase import SupplierOrder, item_name
from reconcile.values.week.results import PartResult

OUR_LINES = "Our lines"
OUR_COLUMNS = (
    Column("order", TEXT, 24),
    Column("sheet", TEXT, 24),
    Column("supplier", TEXT, 14),
    Column("line", NUMBER),
    Column("our part", TEXT, 24),
    Column("supplier part", TEXT, 18),
    Column("designation", TEXT, 40),
    Column("quantity", QUANTITY),
    Column("unit", TEXT, 8),
    Column("unit price", MONEY),
    Column("currency", TEXT, 8),
    Column("wanted by", DATE),
    Column("order by", DATE),
    Column("late", TEXT, 14),
    Column("for jobs", TEXT, 34),
    Column("period", TEXT, 22),
    Column("written on", DATE),
    Column("seal", TEXT, 18),
    Column("not counted", TEXT, 34),
)
LEAVE_IT = (
    "Change quantities, prices and days on the suppliers' sheets; write 0 or delete a row to strike a line"
    " out. Leave this sheet as it is: it says what was written at first."
)


def our_lines(
    orders: Sequence[SupplierOrder], seals: Mapping[str, tuple[str, str]], period: str, today: date
) -> Table:
    """``seals``: by reference the name of the order's sheet, and its seal."""
    rows = [
        _row(order, number, line, seals[order.reference], period, today)
        for order in orders
        if order.supplier is not None
        for number, line in enumerate(order.lines, 1)
    ]
    return table(OUR_LINES, "Lines as they were written", OUR_COLUMNS, rows, LEAVE_IT)


def _row(  # noqa: PLR0913, PLR0917  (one line, and what stands around it)
    order: SupplierOrder, number: int, line: PartResult, seal: tuple[str, str], period: str, today: date
) -> Row:
    part = line.part
    return (
        order.reference, seal[0], order.terms.code, number, part.number, part.supplier_part, item_name(part),
        line.order, part.unit, line.unit_price, order.currency, line.required_by, line.order_by,
        late_word(line), some_of(line.jobs), period, today, seal[1],
        bins_aside_text(part),
    )  # fmt: skip
