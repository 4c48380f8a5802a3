"""The report workbook: the week at a glance, jobs, kit lines, shortfalls, the shelf, problems."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.week.charts import jobs_by_day_sheet, low_parts_sheet, order_value_sheet
from reconcile.reports.week.tables import KIT_COLUMNS, PROBLEM_COLUMNS, ranked_problems, report_tables
from reconcile.reports.writing.csv_files import write_csv
from reconcile.reports.writing.file_links import Link, input_links
from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.grid import Row, Table
from reconcile.reports.writing.widths import LINE, column_widths, heading_height, row_height
from reconcile.reports.writing.wording import CAUTIONS, period_name, period_text
from reconcile.reports.writing.workbook import SHEET_ROWS, Sheet, moved_to_file, too_long, write_workbook
from reconcile.values.week.results import Week

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

PICTURES = {"Jobs": jobs_by_day_sheet, "Shelf by day": low_parts_sheet, "Problems": order_value_sheet}
"""Sheets with charts, each before the sheet it goes with."""

BASIS = "rows"
"""The section of the glance with which the basis of the answer begins."""

SMALLEST, PAGE_POINTS = 0.6, 690
"""Letters may shrink so far, from 10 points to 6; an upright page of Letter is so high inside its margins.
One of A4 is higher."""

BINS_AT = [column.heading for column in KIT_COLUMNS].index("bins")
NOT_PRINTED = ("technician", "asset", "notes")
"""Columns of the kit lines, its last, that a printed page leaves out."""

REMARKS = ("mended", "agreed", "left as it is")
"""Offered for the remark on a problem; any other words may be typed."""


def report_name(week: Week) -> str:
    """``report-2026-W49.xlsx``, or with two dates where the period is no part of one week from its Monday."""
    return f"report-{period_name(week)}.xlsx"


def report_outputs(
    week: Week, folder: Path, inputs: Sequence[Path] = (), *, limit: int = SHEET_ROWS
) -> list[tuple[Path, Writer]]:
    """The report workbook and, for each table too long for a sheet, its csv beside it: for ``write_all``.

    The workbook's sheet of such a table says where its rows are. ``limit`` is the rows that a sheet holds.
    Places on the problems sheet lead to those ``inputs`` that lie near the ``folder``.
    """
    outputs: list[tuple[Path, Writer]] = []
    shown = []
    for report_table in report_tables(week):
        if too_long(report_table, limit):
            file = overflow_name(week, report_table)
            outputs.append((folder / file, partial(write_csv, report_table)))
            shown.append(moved_to_file(report_table, file))
        else:
            shown.append(report_table)
    links = problem_links(week, input_links(inputs, folder))
    outputs.append((folder / report_name(week), partial(write_tables, week, shown, links=links)))
    return outputs


def write_tables(
    week: Week, tables: list[Table], path: Path, links: Mapping[int, Link] | None = None
) -> None:
    """``links`` are those of the problems sheet, by row of its table from 0."""
    sheets: list[Sheet] = []
    for table in tables:
        if table.name in PICTURES:
            sheets.append(PICTURES[table.name](week))
        sheets.append(_sheet(table, links or {}))
    write_workbook(week.foot, path, f"Report, {period_text(week)}", sheets)


def write_report(week: Week, path: Path) -> None:
    """Write the report workbook alone to ``path``; no table may be too long for its sheet."""
    write_tables(week, report_tables(week), path)


def problem_links(week: Week, files: Mapping[str, str]) -> dict[int, Link]:
    """Where the problems' places lead, by row of their table from 0; ``files`` are as of ``input_links``."""
    return {
        row: Link(files[problem.place.file], problem.place)
        for row, problem in enumerate(ranked_problems(week))
        if problem.place.file in files
    }


def overflow_name(week: Week, table: Table) -> str:
    """The csv file for a table too long for its sheet: ``report-2026-W49-kit-lines.csv``."""
    return f"report-{period_name(week)}-{table.name.lower().replace(' ', '-')}.csv"


def _sheet(table: Table, links: Mapping[int, Link]) -> Sheet:
    plain = Sheet(table, table.name, known_as=table.name.lower().replace(" ", "_"))
    match table.name:
        case "At a glance":
            whole = _fits_a_page(table)
            dress = None if whole else partial(_break_glance, table=table)
            return replace(plain, landscape=False, sections=True, one_page=whole, dress=dress)
        case "Kit lines":
            apart = replace(table, rows=lambda: map(_bins_apart, table.rows()))
            dress = partial(_print_kit_lines, table=table)
            return replace(plain, table=apart, page_head=" ".join(CAUTIONS), dress=dress)
        case "Problems":
            column = [shown.heading for shown in PROBLEM_COLUMNS].index("place")
            kept = {row: link for row, link in links.items() if row < table.count}
            return replace(plain, dress=partial(_offer_remarks, table=table), linked=column, links=kept)
    return plain


def _fits_a_page(table: Table) -> bool:
    """Whether an upright page holds the table in letters that can still be read."""
    widths = column_widths(table)
    lines = [heading_height(table, widths), *(row_height(row, widths) or LINE for row in table.rows())]
    return sum(lines) * SMALLEST <= PAGE_POINTS


def _break_glance(page: "WriteOnlyWorksheet", table: Table) -> None:
    """What there is to do on pages of its own, and after it what the answer rests on."""
    from openpyxl.utils import get_column_letter

    last, end = get_column_letter(len(table.columns)), table.count + 1
    about = [row[0] for row in table.rows()]
    basis = about.index(BASIS) + 2 if BASIS in about else end + 1
    areas = [(1, basis - 1), (basis, end)]
    page.print_area = ",".join(f"A{first}:{last}{to}" for first, to in areas if first <= to)


def _bins_apart(row: Row) -> Row:
    """Each bin on a line of its own: in one line with others its name could break at a hyphen."""
    cell = row[BINS_AT]
    return (*row[:BINS_AT], cell.replace(", ", ",\n"), *row[BINS_AT + 1 :]) if isinstance(cell, str) else row


def _print_kit_lines(page: "WriteOnlyWorksheet", table: Table) -> None:
    """Columns that say the same all through a job stay on the sheet but off the paper: the jobs have them."""
    from openpyxl.utils import get_column_letter

    end = 1 + table.count + (len(table.notes) + 1 if table.notes else 0)
    page.print_area = f"A1:{get_column_letter(len(KIT_COLUMNS) - len(NOT_PRINTED))}{end}"


def _offer_remarks(page: "WriteOnlyWorksheet", table: Table) -> None:
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    offered = DataValidation(
        "list", formula1=f'"{",".join(REMARKS)}"', allow_blank=True, showErrorMessage=False
    )
    letters = get_column_letter(len(table.columns))
    offered.add(f"{letters}2:{letters}{max(table.count, 1) + 1}")
    page.data_validations.append(offered)
