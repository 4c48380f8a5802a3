"""Shelf levels as a workbook: every part, what each service costs, what is dead and dear, and problems."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.levels.tables import level_tables
from reconcile.reports.levels.trade import TRADE_SHEET
from reconcile.reports.paper.pages import ON_PAPER, Paper
from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.grid import Table
from reconcile.reports.writing.wording import day_text
from reconcile.reports.writing.workbook import printed_sheet, write_workbook
from reconcile.values.week.levels import Survey, Trade
from reconcile.values.week.page_foot import PageFoot

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet


CHART_ROWS = 30
"""Rows from the last note to below the curve."""

PRINTED = {
    "Shelf levels": (
        "part", "designation", "on hand", "order at now", "up to now", "order at", "order up to",
        "mean shelf value", "% of use", "use a week", "look at this",
    ),
    "Problems": ("severity", "place", "what is wrong", "what to do"),
}  # fmt: skip
"""The columns on paper of sheets that have more."""
PAPERS = {
    TRADE_SHEET: Paper(landscape=False, below=CHART_ROWS),
    "Services": Paper(landscape=False, together=0),
    "Dead and dear": Paper(landscape=False),
    "Problems": Paper(landscape=False),
}


def level_outputs(found: Survey, foot: PageFoot, path: Path) -> list[tuple[Path, Writer]]:
    """The workbook, for ``write_all``. ``foot`` is printed on its pages."""
    return [(path, partial(write_levels, found, foot))]


def write_levels(found: Survey, foot: PageFoot, path: Path) -> None:
    sheets = [
        replace(
            printed_sheet(shown, PRINTED.get(shown.name, shown.headings), PAPERS.get(shown.name, ON_PAPER)),
            dress=_dress(shown, found.trade),
        )
        for shown in level_tables(found)
    ]
    write_workbook(foot, path, f"Shelf levels, {day_text(found.today)}", sheets)


def _dress(sheet: Table, trade: Trade | None) -> "Callable[[WriteOnlyWorksheet], None] | None":
    """The curve beside its figures."""
    if trade is None or sheet.name != TRADE_SHEET:
        return None
    return partial(_draw, sheet)


MARKS = {"proposed": "circle", "plain rule": "triangle", "the sheet's": "square"}


def _draw(sheet: Table, page: "WriteOnlyWorksheet") -> None:
    """A chart of the rows: share served against money; other levels as marks of another shape."""
    from openpyxl.chart import Reference, ScatterChart, Series

    chart = ScatterChart(style=13, scatterStyle="lineMarker")
    chart.title = "Money on the shelf and share served"
    chart.x_axis.title, chart.y_axis.title = "mean shelf value", "share served %"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.number_format, chart.y_axis.number_format = "0", "0"
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, 100
    names = [str(row[0]) for row in sheet.rows()]
    for name in dict.fromkeys(names):
        first, last = names.index(name) + 2, len(names) - names[::-1].index(name) + 1
        money = Reference(page, min_col=2, min_row=first, max_row=last)
        share = Reference(page, min_col=4, min_row=first, max_row=last)
        series = Series(share, money, title=name)
        series.smooth = False
        series.marker.symbol, series.marker.size = MARKS.get(name, "none"), 9
        if name in MARKS:
            series.marker.graphicalProperties.solidFill = "E69F00"
            series.marker.graphicalProperties.line.solidFill = "000000"
            series.graphicalProperties.line.noFill = True
        else:
            series.graphicalProperties.line.solidFill = "0072B2"
        chart.series.append(series)
    chart.width, chart.height, chart.legend.position = 12, 11, "b"
    # Below the notes, which run on to the right of the table.
    page.add_chart(chart, f"A{len(names) + len(sheet.notes) + 5}")
