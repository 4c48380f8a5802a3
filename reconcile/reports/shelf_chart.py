"""The chart on the shelf sheet: what is left, day by day, of the parts that run shortest."""

from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from reconcile.reports.grid import DATE, QUANTITY, Column, Row, Table, table
from reconcile.reports.styles import SERIES_COLOURS
from reconcile.reports.tables import runs_low
from reconcile.values.days import ONE_DAY
from reconcile.values.results import PartResult, Week

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

MOST_LINES = 6
MARKS = ("circle", "square", "triangle", "diamond", "x", "plus")
DASHES = ("solid", "dash", "sysDot", "dashDot", "lgDash", "sysDash")
"""Lines differ by mark and dash as well, so that they can be told apart without colour."""

HEIGHT_ROWS = 27
"""Rows of the sheet that the chart covers."""


def chart_table(week: Week) -> Table | None:
    """What is left of up to six parts on each day of the period; None where no part runs short or low."""
    parts = sorted((part for part in week.parts if runs_low(part)), key=_worst_first)[:MOST_LINES]
    if not parts:
        return None
    columns = [Column("chart day", DATE)]
    columns += [Column(f"{part.part.number} ({part.part.unit})", QUANTITY) for part in parts]
    levels = [_levels(part) for part in parts]
    rows: list[Row] = [(day, *(_left_on(day, known) for known in levels)) for day in _days(week, parts)]
    return table("Chart", "What is left", tuple(columns), rows)


def add_chart(page: "WriteOnlyWorksheet", numbers: Table, first: int, anchor: str) -> None:
    """Put a line chart of ``numbers``, whose first column is ``first`` (1 is A), on the sheet."""
    from openpyxl.chart import LineChart, Reference

    last_row, last = numbers.count + 1, first + len(numbers.columns) - 1
    chart = LineChart()
    chart.title = "Left at the end of each day"
    chart.add_data(Reference(page, first + 1, 1, last, last_row), titles_from_data=True)
    chart.set_categories(Reference(page, first, 2, first, last_row))
    chart.x_axis.number_format = "yyyy-mm-dd"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.tickLblPos = "low"
    chart.legend.position = "b"
    chart.width, chart.height = 16, 11
    for line, colour, mark, dash in zip(chart.series, SERIES_COLOURS, MARKS, DASHES, strict=False):
        line.graphicalProperties.line.solidFill = colour
        line.graphicalProperties.line.dashStyle = dash
        line.graphicalProperties.line.width = 22_000
        line.marker.symbol = mark
        line.marker.size = 7
        line.marker.graphicalProperties.solidFill = colour
        line.marker.graphicalProperties.line.solidFill = colour
        line.smooth = False
    page.add_chart(chart, anchor)


def _worst_first(part: PartResult) -> tuple[date, Fraction, str]:
    lowest = min((day.left for day in part.days), default=part.end)
    return (part.first_short or date.max, lowest, part.part.number)


def _days(week: Week, parts: list[PartResult]) -> list[date]:
    """The working days of the period, and any other day on which one of the parts moves."""
    length = (week.period.last - week.period.first).days + 1
    period = (week.period.first + count * ONE_DAY for count in range(length))
    worked = {day for day in period if week.settings.days.worked(day)}
    return sorted(worked | {each.day for part in parts for each in part.days})


def _levels(part: PartResult) -> list[tuple[date, Fraction]]:
    """What is left from each day on, beginning with what was there before the first."""
    if not part.days:
        return [(date.min, part.end)]
    first = part.days[0]
    before = first.left - first.received - first.recovered + first.taken
    return [(date.min, before), *((each.day, each.left) for each in part.days)]


def _left_on(day: date, levels: list[tuple[date, Fraction]]) -> Fraction:
    return next(left for since, left in reversed(levels) if since <= day)
