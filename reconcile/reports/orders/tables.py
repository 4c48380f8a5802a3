"""What is to be ordered: a summary, the jobs at risk, and a table for each order."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import chain, count

from reconcile.reports.writing.csv_files import safe_file_name
from reconcile.reports.writing.grid import DATE, MONEY, NUMBER, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import (
    count_text,
    late_word,
    money_text,
    period_text,
    proposed_text,
    some_of,
)
from reconcile.values.measure import quantity_text
from reconcile.values.week.purchase import SupplierOrder, item_name
from reconcile.values.week.results import PartResult, Week

AT_RISK = "Jobs at risk"

LINE_COLUMNS = (
    Column("line", NUMBER),
    Column("supplier part", TEXT, 20),
    Column("our part", TEXT, 24),
    Column("designation", TEXT, 40),
    Column("finish", TEXT, 14),
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
    Column("order", TEXT, 24),
    Column("lines", NUMBER),
    Column("late lines", NUMBER),
    Column("jobs at risk", NUMBER),
    Column("without a price", NUMBER),
    Column("delivery by", DATE),
    Column("currency", TEXT, 8),
    Column("goods", MONEY),
    Column("minimum order value", MONEY),
    Column("minimum", TEXT, 18),
    Column("delivery charge", MONEY),
    Column("delivery", TEXT, 18),
    Column("total", MONEY),
    Column("email", TEXT, 34),
    Column("order file", TEXT, 34),
)

RISK_COLUMNS = (
    Column("job", TEXT, 16),
    Column("day", DATE),
    Column("our part", TEXT, 24),
    Column("designation", TEXT, 40),
    Column("quantity short", QUANTITY),
    Column("unit", TEXT, 8),
    Column("supplier", TEXT, 30),
    Column("order", TEXT, 24),
    Column("line", NUMBER),
    Column("required by", DATE),
    Column("order by", DATE),
    Column("late", TEXT, 14),
)


def order_tables(week: Week) -> list[Table]:
    """The summary, the jobs at risk, then a table for each order."""
    orders = week.orders
    return [
        order_summary(week, orders),
        jobs_at_risk(week, orders),
        *(order_table(week, order) for order in orders),
    ]


def order_summary(week: Week, orders: Sequence[SupplierOrder]) -> Table:
    """A row for each order."""
    files = file_names(orders)
    rows = [_summary_row(order, files) for order in orders]
    said = (proposed_text(week), "" if rows else "Nothing needs to be ordered.")
    return table("Summary", f"Orders for {period_text(week)}", SUMMARY_COLUMNS, rows, *filter(None, said))


def jobs_at_risk(week: Week, orders: Sequence[SupplierOrder]) -> Table:
    """A row for each job that goes without a part unless a late order is hurried; late lines first.

    A line without a lead time counts too, since it may be late. ``quantity short`` is the job's own.
    """
    lines = [
        (order, number, line)
        for order in orders
        for number, line in enumerate(order.lines, 1)
        if may_be_late(line) and line.at_risk
    ]
    lines.sort(key=lambda entry: not entry[2].late)
    title = f"Jobs at risk in {period_text(week)}"
    notes = () if lines else ("No order that may be late puts a job at risk.",)

    def rows() -> Iterator[Row]:
        return chain.from_iterable(_risk_rows(*line) for line in lines)

    return Table(AT_RISK, title, RISK_COLUMNS, rows, sum(len(line.at_risk) for *_, line in lines), (), notes)


def order_table(week: Week, order: SupplierOrder) -> Table:
    """The lines of one order, with its totals and what is to be said of them."""
    named = f"{order.name} {order.currency}" if order.split else order.name
    title = f"Order {order.reference}".strip() + f" for {period_text(week)}: {named}"
    lines = [_line_row(number, line) for number, line in enumerate(order.lines, 1)]
    return Table(
        named, title, LINE_COLUMNS, lambda: iter(lines), len(lines), tuple(_total_rows(order)),
        tuple(order_notes(order)),
    )  # fmt: skip


def may_be_late(line: PartResult) -> bool:
    return line.late or line.order_by is None


def file_names(orders: Sequence[SupplierOrder]) -> dict[str, str]:
    """The file of each order that can go out as one, by its reference; no two alike but for case."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for order in orders:
        if order.supplier is None or order.faults:
            continue
        stem = safe_file_name(f"order-{order.reference}")
        tails = chain([""], (f" ({number})" for number in count(2)))
        name = next(text for text in (f"{stem}{tail}.xml" for tail in tails) if text.casefold() not in taken)
        taken.add(name.casefold())
        names[order.reference] = name
    return names


def order_notes(order: SupplierOrder) -> Iterator[str]:
    """What a buyer must know before the order is sent."""
    terms = order.terms
    averages = [str(number) for number, line in enumerate(order.lines, 1) if line.goods is not None]
    if averages:
        yield (
            f"The unit price of line {some_of(averages)} is an average over price breaks, rounded;"
            " the line total is exact."
        )
    if order.unpriced:
        yield f"Not in the total: lines without a price ({order.unpriced})."
    if terms.delivery_charge and order.charged is None:
        yield f"Not in the total: delivery at {money_text(terms.delivery_charge)}, {_delivery_words(order)}."
    if order.minimum_reached is False and terms.minimum_order_value is not None:
        yield f"Below the supplier's minimum order value of {money_text(terms.minimum_order_value)}."
    if order.supplier is None:
        yield "No order file: no supplier is named for these parts in stock."
    elif order.faults:
        yield "No order file: see the sheet Problems of the report."


def _line_row(number: int, line: PartResult) -> Row:
    part = line.part
    return (
        number,
        part.supplier_part,
        part.number,
        item_name(part),
        part.finish,
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


def _risk_rows(order: SupplierOrder, number: int, line: PartResult) -> Iterator[Row]:
    part = line.part
    for risk in line.at_risk:
        yield (
            risk.job,
            risk.day,
            part.number,
            item_name(part),
            risk.quantity,
            part.unit,
            order.name,
            order.reference,
            number,
            line.required_by,
            line.order_by,
            late_word(line),
        )


def _total_rows(order: SupplierOrder) -> Iterator[Row]:
    if order.charge is not None:
        if order.goods is not None:
            yield _total_row("Goods", order.goods, order.currency)
        yield _total_row("Delivery charge", order.charge, order.currency)
    if order.total is not None:
        yield _total_row("Total", order.total, order.currency)


def _total_row(label: str, amount: Decimal, currency: str) -> Row:
    filled: dict[str, str | Decimal] = {"supplier part": label, "line total": amount, "currency": currency}
    return tuple(filled.get(column.heading) for column in LINE_COLUMNS)


def _summary_row(order: SupplierOrder, files: dict[str, str]) -> Row:
    terms = order.terms
    at_risk = {risk.job for line in order.lines if may_be_late(line) for risk in line.at_risk}
    return (
        order.name,
        terms.code,
        order.reference,
        len(order.lines),
        order.late,
        len(at_risk),
        order.unpriced,
        order.delivery_by,
        order.currency if order.goods is not None else "",
        order.goods,
        terms.minimum_order_value,
        _minimum_words(order),
        terms.delivery_charge,
        _delivery_words(order),
        order.total,
        terms.email,
        files.get(order.reference) or _why_no_file(order),
    )


def _why_no_file(order: SupplierOrder) -> str:
    return "none: no supplier" if order.supplier is None else "none: see Problems"


def _why_not_known(order: SupplierOrder) -> str:
    if order.split:
        return "not compared: several currencies"
    return "not known: no prices" if order.goods is None else "not known: some prices missing"


def _minimum_words(order: SupplierOrder) -> str:
    if order.terms.minimum_order_value is None:
        return "none given"
    reached = order.minimum_reached
    return _why_not_known(order) if reached is None else "reached" if reached else "not reached"


def _delivery_words(order: SupplierOrder) -> str:
    terms = order.terms
    if terms.delivery_charge is None:
        return "none given"
    if order.charged is None:
        return _why_not_known(order)
    if order.charged:
        return "charged"
    return f"free from {money_text(terms.free_delivery_from)}" if terms.free_delivery_from else "free"


def pack_words(line: PartResult) -> str:
    """``2 packs of 50``; nothing where a part comes singly."""
    pack = line.part.pack
    return "" if pack == 1 else f"{count_text(line.packs, 'pack')} of {quantity_text(pack)}"
