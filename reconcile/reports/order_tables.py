"""What is to be ordered: a table for each supplier, and a summary."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reconcile.reports.grid import DATE, MONEY, NUMBER, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.wording import late_word, money_text, period_text, some_of
from reconcile.values.parts import Supplier
from reconcile.values.results import PartResult, Week
from reconcile.values.words import fold

NO_SUPPLIER = "No supplier named"

LINE_COLUMNS = (
    Column("supplier part", TEXT, 20),
    Column("our part", TEXT, 24),
    Column("designation", TEXT, 40),
    Column("packs", NUMBER),
    Column("quantity", QUANTITY),
    Column("unit", TEXT, 8),
    Column("unit price", MONEY),
    Column("line total", MONEY),
    Column("currency", TEXT, 8),
    Column("required by", DATE),
    Column("order by", DATE),
    Column("late", TEXT, 14),
    Column("for jobs", TEXT, 34),
)

SUMMARY_COLUMNS = (
    Column("supplier", TEXT, 30),
    Column("code", TEXT, 14),
    Column("lines", NUMBER),
    Column("late lines", NUMBER),
    Column("without a price", NUMBER),
    Column("currency", TEXT, 8),
    Column("total", MONEY),
    Column("minimum order value", MONEY),
    Column("minimum", TEXT, 18),
    Column("delivery charge", MONEY),
    Column("delivery", TEXT, 18),
    Column("email", TEXT, 34),
)


@dataclass(frozen=True, slots=True)
class SupplierOrder:
    """The lines for one supplier: late first, then by the day they are required, then by part."""

    supplier: Supplier | None
    lines: tuple[PartResult, ...]

    @property
    def name(self) -> str:
        return NO_SUPPLIER if self.supplier is None else self.supplier.name or self.supplier.code

    @property
    def late(self) -> int:
        return sum(line.late for line in self.lines)

    @property
    def unpriced(self) -> int:
        return sum(line.line_total is None for line in self.lines)

    @property
    def totals(self) -> dict[str, Decimal]:
        """The sum of the priced lines by currency; money of two currencies is never added up."""
        totals: dict[str, Decimal] = {}
        for line in self.lines:
            if (total := line.line_total) is not None:
                totals[line.part.currency] = totals.get(line.part.currency, Decimal(0)) + total
        return totals


def supplier_orders(week: Week) -> list[SupplierOrder]:
    """Everything to be ordered, by supplier in order of name; what no supplier is named for comes last."""
    known = {fold(each.code): each for each in week.stock.suppliers.values()}
    groups: dict[str, list[PartResult]] = {}
    for part in week.parts:
        if part.order > 0:
            groups.setdefault(fold(part.part.supplier), []).append(part)
    orders = [
        SupplierOrder(
            known.get(key) or (Supplier(lines[0].part.supplier) if key else None),
            tuple(sorted(lines, key=_urgency)),
        )
        for key, lines in groups.items()
    ]
    return sorted(orders, key=lambda order: (order.supplier is None, fold(order.name)))


def order_tables(week: Week) -> list[Table]:
    """The summary, then a table for each supplier."""
    orders = supplier_orders(week)
    return [order_summary(week, orders), *(_supplier_table(week, order) for order in orders)]


def order_summary(week: Week, orders: list[SupplierOrder]) -> Table:
    """A row for each supplier, and one more for each further currency of its prices."""
    rows = [row for order in orders for row in _summary_rows(order)]
    notes = () if rows else ("Nothing needs to be ordered.",)
    return table("Summary", f"Orders for {period_text(week)}", SUMMARY_COLUMNS, rows, *notes)


def _urgency(line: PartResult) -> tuple[bool, date, str]:
    return (not line.late, line.required_by or date.max, line.part.number)


def _supplier_table(week: Week, order: SupplierOrder) -> Table:
    title = f"Order for {period_text(week)}: {order.name}"
    totals = tuple(_total_row(total, currency) for currency, total in order.totals.items())
    lines = [_line_row(line) for line in order.lines]
    notes = (f"Not in the total: lines without a price ({order.unpriced}).",) if order.unpriced else ()
    return Table(order.name, title, LINE_COLUMNS, lambda: iter(lines), len(lines), totals, notes)


def _line_row(line: PartResult) -> Row:
    part = line.part
    return (
        part.supplier_part,
        part.number,
        part.designation or part.number,
        line.packs,
        line.order,
        part.unit,
        line.unit_price,
        line.line_total,
        part.currency if line.unit_price is not None else "",
        line.required_by,
        line.order_by,
        late_word(line),
        some_of(line.jobs),
    )


def _total_row(total: Decimal, currency: str) -> Row:
    filled: dict[str, str | Decimal] = {"supplier part": "Total", "line total": total, "currency": currency}
    return tuple(filled.get(column.heading) for column in LINE_COLUMNS)


def _summary_rows(order: SupplierOrder) -> Iterator[Row]:
    supplier = order.supplier or Supplier("")
    totals: list[tuple[str, Decimal | None]] = [*order.totals.items()] or [("", None)]
    for position, (currency, total) in enumerate(totals):
        first = position == 0
        yield (
            order.name,
            supplier.code,
            len(order.lines) if first else None,
            order.late if first else None,
            order.unpriced if first else None,
            currency,
            total,
            supplier.minimum_order_value if first else None,
            _minimum_words(order, supplier) if first else "",
            supplier.delivery_charge if first else None,
            _delivery_words(order, supplier) if first else "",
            supplier.email,
        )


def _comparable_total(order: SupplierOrder) -> Decimal | None:
    """The order's value where one sum can be set against the supplier's terms."""
    return next(iter(order.totals.values())) if len(order.totals) == 1 else None


def _why_not_compared(order: SupplierOrder) -> str:
    return "not known: no prices" if not order.totals else "not compared: several currencies"


def _minimum_words(order: SupplierOrder, supplier: Supplier) -> str:
    if supplier.minimum_order_value is None:
        return "none given"
    if (total := _comparable_total(order)) is None:
        return _why_not_compared(order)
    if total >= supplier.minimum_order_value:
        return "reached"
    return "not known: some prices missing" if order.unpriced else "not reached"


def _delivery_words(order: SupplierOrder, supplier: Supplier) -> str:
    if supplier.delivery_charge is None:
        return "none given"
    if supplier.free_delivery_from is None:
        return "charged"
    if (total := _comparable_total(order)) is None:
        return _why_not_compared(order)
    if total >= supplier.free_delivery_from:
        return f"free from {money_text(supplier.free_delivery_from)}"
    return "not known: some prices missing" if order.unpriced else "charged"
