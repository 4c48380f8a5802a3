"""The order workbook: what to chase, a summary, the jobs at risk, a sheet for each supplier, and our own."""

import textwrap
from collections.abc import Iterator, Sequence
from datetime import date
from functools import partial
from itertools import chain, zip_longest
from pathlib import Path

from reconcile.reports.orders.chase import TO_CHASE, chase_table
from reconcile.reports.orders.later_needs import later_needs
from reconcile.reports.orders.our_lines import OUR_LINES, our_lines
from reconcile.reports.orders.supplier_sheet import supplier_table
from reconcile.reports.orders.tables import AT_RISK, file_names, jobs_at_risk, order_summary
from reconcile.reports.orders.to_mend import to_mend_table
from reconcile.reports.orders.xml import write_order_xml
from reconcile.reports.paper.pages import SCREEN
from reconcile.reports.writing.csv_files import write_csv
from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.grid import Cell, Table
from reconcile.reports.writing.rows_xml import clean
from reconcile.reports.writing.wording import day_text, period_name, period_text
from reconcile.reports.writing.workbook import (
    SHEET_ROWS,
    HeadRow,
    Sheet,
    printed_sheet,
    printed_widths,
    safe_sheet_name,
    too_long,
    write_workbook,
    written_beside,
)
from reconcile.values.guard import guarded
from reconcile.values.orders.seals import seal_of
from reconcile.values.settings import Workshop
from reconcile.values.week.page_foot import PageFoot
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import Week

BUYER_AT, BUYER_SAYS, SELLER_AT, SELLER_SAYS = 0, 2, 4, 6
"""Columns (A is 0) of the page head: what a line is about, and what it says, for both parties."""

PRINTED = {
    TO_CHASE: (
        "how it stands", "supplier", "order", "line", "our part", "to come", "unit", "due", "needed on",
        "jobs", "what to send",
    ),
    "Summary": (
        "supplier", "order", "lines", "late lines", "jobs at risk", "without a price", "delivery by",
        "goods", "delivery charge", "delivery", "total", "currency", "to note",
    ),
    AT_RISK: (
        "job", "day", "our part", "designation", "quantity short", "unit", "order", "required by", "order by",
        "late",
    ),
}  # fmt: skip
"""The columns on paper of sheets that have more."""

Fact = tuple[str, str]


def order_name(week: Week) -> str:
    """``order-2026-W49.xlsx``, or with two dates where the period is no part of one week from its Monday."""
    return f"order-{period_name(week)}.xlsx"


def order_outputs(week: Week, folder: Path, *, limit: int = SHEET_ROWS) -> list[tuple[Path, Writer]]:
    """The order workbook and a file for each order that can go out as one: for ``write_all``.

    Jobs at risk that are too many for a sheet go to a csv beside it. ``limit`` is the rows that a sheet
    holds.
    """
    orders = week.orders
    names = file_names(orders)
    outputs: list[tuple[Path, Writer]] = [
        (folder / order_name(week), partial(write_orders, week, limit=limit))
    ]
    outputs += [
        (folder / names[order.reference], partial(write_order_xml, week, order))
        for order in orders
        if order.reference in names
    ]
    at_risk = jobs_at_risk(week, orders)
    if too_long(at_risk, limit):
        outputs.append((folder / _overflow_name(week), partial(write_csv, at_risk)))
    return outputs


def write_orders(week: Week, path: Path, *, limit: int = SHEET_ROWS) -> None:
    """Write the order workbook to ``path``."""
    orders = week.orders
    at_risk = jobs_at_risk(week, orders)
    if too_long(at_risk, limit):
        at_risk = written_beside(at_risk, _overflow_name(week))
    chase = chase_table(week.open_orders, f"To chase in {period_text(week)}")
    to_come = later_needs(week)
    beside = [table for table in (to_mend_table(week), to_come) if table.count]
    first = (chase, order_summary(week, orders), at_risk, *beside)
    ours = [printed_sheet(shown, PRINTED.get(shown.name, shown.headings)) for shown in first]
    taken = [*(sheet.name for sheet in ours), OUR_LINES]
    sheets, seals = [], {}
    for order in orders:
        sheet = supplier_sheet(order, week.settings.workshop, week.today, taken)
        sheets.append(sheet)
        taken.append(sheet.name)
        seals[order.reference] = (sheet.name, seal_of(cells_of(sheet)))
    lines = our_lines(orders, seals, period_name(week), week.today)
    sheets = [*ours, *sheets, Sheet(lines, OUR_LINES, SCREEN)]
    write_workbook(week.foot, path, f"Orders, {period_text(week)}", sheets)


def write_sent_order(order: SupplierOrder, workshop: Workshop, day: date, foot: PageFoot, path: Path) -> None:
    """One order as a workbook of its own, to send: the supplier's sheet and nothing else."""
    write_workbook(foot, path, f"Order {order.reference}", [supplier_sheet(order, workshop, day, [])])


def supplier_sheet(order: SupplierOrder, workshop: Workshop, day: date, taken: Sequence[str]) -> Sheet:
    """The sheet that the supplier gets; ``day``: of the order."""
    table = supplier_table(order)
    name = safe_sheet_name(table.name, taken)
    return Sheet(table, name, head=page_head(order, workshop, day, table))


def cells_of(sheet: Sheet) -> Iterator[Cell]:
    """Every filled cell, row by row, as they will stand there."""
    table = sheet.table
    for row in sheet.head:
        yield from (clean(text) for _, text, _ in row)
    yield from chain(table.headings, *table.rows(), *table.totals, map(clean, table.notes))


def page_head(order: SupplierOrder, workshop: Workshop, day: date, table: Table) -> list[HeadRow]:
    """Both parties side by side, under the order's reference; long texts go on in further rows."""
    widths = printed_widths(table)
    buyer = _broken(_buyer_facts(workshop), sum(widths[BUYER_SAYS:SELLER_AT]))
    seller = _broken(_seller_facts(order, day), sum(widths[SELLER_SAYS:]))
    title: HeadRow = [(BUYER_AT, f"Order {order.reference}" if order.supplier else order.name, True)]
    pairs = zip_longest(buyer, seller, fillvalue=("", ""))
    return [_safe(title), *(_safe(_head_row(*pair)) for pair in pairs)]


def _safe(row: HeadRow) -> HeadRow:
    return [(place, guarded(clean(text)), strong) for place, text, strong in row]


def _head_row(buyer: Fact, seller: Fact) -> HeadRow:
    cells = (
        (BUYER_AT, buyer[0], True),
        (BUYER_SAYS, buyer[1], False),
        (SELLER_AT, seller[0], True),
        (SELLER_SAYS, seller[1], False),
    )
    return [cell for cell in cells if cell[1]]


def _buyer_facts(workshop: Workshop) -> Iterator[Fact]:
    yield "Buyer", workshop.name
    yield from (("", line) for line in workshop.address)
    town = " ".join(filter(None, (workshop.postal_code, workshop.city)))
    yield "", ", ".join(filter(None, (town, workshop.country)))
    yield "Contact", workshop.contact
    yield "Phone", workshop.phone
    yield "Email", workshop.email
    yield "VAT number", workshop.vat_id
    yield "Tax number", workshop.tax_id
    yield from _titled("Deliver to", workshop.deliver_to or (*workshop.address, town))


def _seller_facts(order: SupplierOrder, day: date) -> Iterator[Fact]:
    if order.supplier is not None:
        yield "Supplier", order.name
        yield "Supplier code", order.supplier.code
        yield "Email", order.supplier.email
    yield "Date", day_text(day)
    yield "Currency", order.currency
    yield "Wanted by", "" if order.delivery_by is None else day_text(order.delivery_by)


def _titled(title: str, lines: Sequence[str]) -> Iterator[Fact]:
    yield from ((title if place == 0 else "", line) for place, line in enumerate(lines))


def _broken(facts: Iterator[Fact], width: int) -> Iterator[Fact]:
    """Facts that say something, in lines that fit."""
    for title, text in facts:
        yield from _titled(title, textwrap.wrap(text, max(width - 4, 10)))


def _overflow_name(week: Week) -> str:
    return f"order-{period_name(week)}-jobs-at-risk.csv"
