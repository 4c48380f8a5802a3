"""The order workbook: a summary, then a sheet for each supplier."""

from pathlib import Path

from reconcile.reports.order_tables import order_tables
from reconcile.reports.wording import period_name, period_text
from reconcile.reports.workbook import Sheet, safe_sheet_name, write_workbook
from reconcile.values.results import Week


def order_name(week: Week) -> str:
    """``order-2026-W49.xlsx``, or with two dates where the period is no part of one week from its Monday."""
    return f"order-{period_name(week)}.xlsx"


def write_orders(week: Week, path: Path) -> None:
    """Write the order workbook to ``path``."""
    sheets: list[Sheet] = []
    for table in order_tables(week):
        sheets.append(Sheet(table, safe_sheet_name(table.name, [each.name for each in sheets])))
    write_workbook(week, path, f"Orders, {period_text(week)}", sheets)
