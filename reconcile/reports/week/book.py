"""The report workbook: the week at a glance, jobs, kit lines, shortfalls, the shelf, problems."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.glance.facts import glance_of
from reconcile.reports.glance.form import glance_form
from reconcile.reports.paper.pages import SCREEN, Paper
from reconcile.reports.week.charts import jobs_by_day_sheet, low_parts_sheet, order_value_sheet
from reconcile.reports.week.folded import Folded, folded
from reconcile.reports.week.tables import KIT_COLUMNS, problem_row, report_tables
from reconcile.reports.writing.csv_files import write_csv
from reconcile.reports.writing.file_links import FileLink, input_links
from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.grid import Row, Table, table
from reconcile.reports.writing.wording import period_name, period_text
from reconcile.reports.writing.workbook import (
    SHEET_ROWS,
    Sheet,
    printed_sheet,
    too_long,
    write_workbook,
    written_beside,
)
from reconcile.values.problem import Place
from reconcile.values.week.results import Week

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

GLANCE, ABOUT = "At a glance", "About this run"

BINS_AT = [column.heading for column in KIT_COLUMNS].index("bins")

PICTURES = {"Jobs": jobs_by_day_sheet, "Shelf by day": low_parts_sheet, "Problems": order_value_sheet}
"""Sheets with charts, each before the sheet it goes with."""

PRINTED: Mapping[str, tuple[str, ...]] = {
    "Jobs": (
        "job", "date", "frame", "from", "to", "chairs", "kit", "waits for", "missing", "order by", "earliest",
        "options",
    ),
    "Shortfalls": (
        "part", "designation", "short", "unit", "first short day", "on hand", "on order", "jobs at risk",
        "order", "order by", "late",
    ),
    "Problems": ("severity", "place", "what is wrong", "what to do"),
}  # fmt: skip
"""The sheets that are printed beside the glance, with their columns on paper; the others stand beside those.
Kit lines come as job cards, and the shelf as pictures, on the bench page."""

PAPERS = {
    "Jobs": Paper(),
    "Shortfalls": Paper(most_pages=1),
    "Problems": Paper(landscape=False, most_pages=2),
}
"""Every job of the week is printed; of faults and of what is short, what comes first."""

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
            shown.append(written_beside(report_table, file))
        else:
            shown.append(report_table)
    links = problem_links(week, input_links(inputs, folder))
    outputs.append((folder / report_name(week), partial(write_tables, week, shown, links=links)))
    return outputs


def write_tables(
    week: Week, tables: list[Table], path: Path, links: Mapping[Place, FileLink] | None = None
) -> None:
    """``links`` are those of the problems sheet, by place."""
    sheets: list[Sheet] = []
    for shown in tables:
        if shown.name in PICTURES:
            sheets.append(PICTURES[shown.name](week))
        sheets.append(_sheet(week, shown, links or {}))
    write_workbook(week.foot, path, f"Report, {period_text(week)}", sheets)


def write_report(week: Week, path: Path) -> None:
    """Write the report workbook alone to ``path``; no table may be too long for its sheet."""
    write_tables(week, report_tables(week), path)


def problem_links(week: Week, files: Mapping[str, str]) -> dict[Place, FileLink]:
    """Where the problems' places lead; ``files`` are as of ``input_links``."""
    return {
        problem.place: FileLink(files[problem.place.file], problem.place)
        for problem in week.problems
        if problem.place.file in files
    }


def overflow_name(week: Week, table: Table) -> str:
    """The csv file for a table too long for its sheet: ``report-2026-W49-kit-lines.csv``."""
    return f"report-{period_name(week)}-{table.name.lower().replace(' ', '-')}.csv"


def _sheet(week: Week, shown: Table, links: Mapping[Place, FileLink]) -> Sheet:
    name = shown.name
    known_as = name.lower().replace(" ", "_")
    if name == GLANCE:
        return Sheet(shown, name, Paper(landscape=False), form=glance_form(glance_of(week)))
    if name == "Problems":
        return _problems_sheet(week, shown, links)
    if name in PRINTED:
        return printed_sheet(shown, PRINTED[name], PAPERS[name], known_as)
    if name == "Kit lines":
        shown = replace(shown, rows=partial(_bins_apart_rows, shown.rows))
    return Sheet(shown, name, SCREEN, sections=name == ABOUT, known_as=known_as)


def _problems_sheet(week: Week, plain: Table, links: Mapping[Place, FileLink]) -> Sheet:
    """Many of a kind are a line, with each of them folded under it."""
    lines = folded(week.problems) if plain.count else []
    rows = [row for line in lines for row in (line.head, *line.under)]
    starts = accumulate((line.rows for line in lines), initial=0)
    under = {
        start + place for start, line in zip(starts, lines, strict=False) for place in range(1, line.rows)
    }
    shown = table(plain.name, plain.title, plain.columns, [problem_row(row) for row in rows], *plain.notes)
    sheet = printed_sheet(shown, PRINTED[plain.name], PAPERS[plain.name], "problems")
    # A line for many leads to the first of them.
    places = [place for line in lines for place in _places(line)]
    return replace(
        sheet,
        dress=partial(_offer_remarks, table=sheet.table),
        linked=sheet.table.headings.index("place"),
        links={row: links[place] for row, place in enumerate(places) if place in links},
        folded=frozenset(under),
    )


def _places(line: Folded) -> Iterator[Place]:
    yield line.under[0].place if line.under else line.head.place
    yield from (problem.place for problem in line.under)


def _bins_apart_rows(rows: Callable[[], Iterator[Row]]) -> Iterator[Row]:
    return map(_bins_apart, rows())


def _bins_apart(row: Row) -> Row:
    """Each bin on a line of its own: in one line with others its name could break at a hyphen."""
    cell = row[BINS_AT]
    return (*row[:BINS_AT], cell.replace(", ", ",\n"), *row[BINS_AT + 1 :]) if isinstance(cell, str) else row


def _offer_remarks(page: "WriteOnlyWorksheet", table: Table) -> None:
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    offered = DataValidation(
        "list", formula1=f'"{",".join(REMARKS)}"', allow_blank=True, showErrorMessage=False
    )
    letters = get_column_letter(table.headings.index("remark") + 1)
    offered.add(f"{letters}2:{letters}{max(table.count, 1) + 1}")
    page.data_validations.append(offered)
