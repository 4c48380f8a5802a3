"""The report workbook: the week at a glance, jobs, kit lines, shortfalls, the shelf, problems."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.csv_files import write_csv
from reconcile.reports.files import Writer
from reconcile.reports.grid import Table
from reconcile.reports.shelf_chart import HEIGHT_ROWS, add_chart, chart_table
from reconcile.reports.tables import SHELF_COLUMNS, report_tables
from reconcile.reports.wording import CAUTIONS, period_name, period_text
from reconcile.reports.workbook import SHEET_ROWS, Sheet, moved, too_long, write_workbook
from reconcile.values.results import Week

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

CHART_FROM = len(SHELF_COLUMNS) + 2
CHART_COLUMNS, CHART_COLUMN_WIDTH = 9, 10
"""The columns that the chart covers, after a narrow one; its numbers stand to the right of them."""

REMARKS = ("mended", "agreed", "left as it is")
"""Offered for the remark on a problem; any other words may be typed."""


def report_name(week: Week) -> str:
    """``report-2026-W49.xlsx``, or with two dates where the period is no part of one week from its Monday."""
    return f"report-{period_name(week)}.xlsx"


def report_outputs(week: Week, folder: Path, *, limit: int = SHEET_ROWS) -> list[tuple[Path, Writer]]:
    """The report workbook and, for each table too long for a sheet, its csv beside it: for ``write_all``.

    The workbook's sheet of such a table says where its rows are. ``limit`` is the rows that a sheet holds.
    """
    outputs: list[tuple[Path, Writer]] = []
    shown = []
    for each in report_tables(week):
        if too_long(each, limit):
            file = overflow_name(week, each)
            outputs.append((folder / file, partial(write_csv, each)))
            shown.append(moved(each, file))
        else:
            shown.append(each)
    outputs.append((folder / report_name(week), partial(write_tables, week, shown)))
    return outputs


def write_tables(week: Week, tables: list[Table], path: Path) -> None:
    write_workbook(week, path, f"Report, {period_text(week)}", [_sheet(week, each) for each in tables])


def write_report(week: Week, path: Path) -> None:
    """Write the report workbook alone to ``path``; no table may be too long for its sheet."""
    write_tables(week, report_tables(week), path)


def overflow_name(week: Week, table: Table) -> str:
    """The csv file for a table too long for its sheet: ``report-2026-W49-kit-lines.csv``."""
    return f"report-{period_name(week)}-{table.name.lower().replace(' ', '-')}.csv"


def _sheet(week: Week, table: Table) -> Sheet:
    plain = Sheet(table, table.name, known_as=table.name.lower().replace(" ", "_"))
    match table.name:
        case "At a glance":
            return replace(plain, landscape=False, sections=True)
        case "Kit lines":
            return replace(plain, page_head=" ".join(CAUTIONS))
        case "Shelf by day":
            return _with_chart(week, plain)
        case "Problems":
            return replace(plain, dress=partial(_offer_remarks, table=table))
    return plain


def _with_chart(week: Week, plain: Sheet) -> Sheet:
    numbers = chart_table(week)
    if numbers is None:
        return plain
    aside_from = CHART_FROM + CHART_COLUMNS + 1
    dress = partial(_draw, table=plain.table, numbers=numbers, aside_from=aside_from)
    return replace(plain, aside=numbers, aside_from=aside_from, dress=dress)


def _draw(page: "WriteOnlyWorksheet", table: Table, numbers: Table, aside_from: int) -> None:
    """The chart beside the table; its numbers stay off the printed page."""
    from openpyxl.utils import get_column_letter

    add_chart(page, numbers, aside_from, f"{get_column_letter(CHART_FROM)}2")
    for number in range(CHART_FROM, aside_from - 1):
        page.column_dimensions[get_column_letter(number)].width = CHART_COLUMN_WIDTH
    page.column_dimensions[get_column_letter(CHART_FROM - 1)].width = 2
    last = get_column_letter(aside_from - 2)
    page.print_area = f"A1:{last}{max(table.count + 1, HEIGHT_ROWS)}"


def _offer_remarks(page: "WriteOnlyWorksheet", table: Table) -> None:
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    offered = DataValidation(
        "list", formula1=f'"{",".join(REMARKS)}"', allow_blank=True, showErrorMessage=False
    )
    letters = get_column_letter(len(table.columns))
    offered.add(f"{letters}2:{letters}{max(table.count, 1) + 1}")
    page.data_validations.append(offered)
