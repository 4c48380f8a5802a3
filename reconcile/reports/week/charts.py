"""The charts of the report workbook. Each reads its figures from a table on its own sheet.

Series differ by pattern and by how dark they are as well as by colour, so they can be told apart in black and
white. Day names are texts: a row of dates would be stretched over the days that are not worked.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from reconcile.reports.paper.pages import SCREEN
from reconcile.reports.week.picture_facts import (
    KITS,
    Axis,
    OrderValues,
    ShelfPicture,
    day_label,
    jobs_by_day,
    low_parts,
    order_values,
    shelf_pictures,
)
from reconcile.reports.writing.grid import (
    DATE,
    MONEY,
    NUMBER,
    QUANTITY,
    TEXT,
    Cell,
    Column,
    Row,
    Table,
    table,
)
from reconcile.reports.writing.rows_xml import number_text
from reconcile.reports.writing.styles import FONT, INK, ORANGE, SKY, YELLOW
from reconcile.reports.writing.widths import LINE
from reconcile.reports.writing.wording import count_text, period_text
from reconcile.reports.writing.workbook import Sheet
from reconcile.values.week.results import Week

if TYPE_CHECKING:
    from openpyxl.chart import BarChart
    from openpyxl.chart._chart import ChartBase
    from openpyxl.chart.label import DataLabelList
    from openpyxl.chart.series import Series
    from openpyxl.chart.shapes import GraphicalProperties
    from openpyxl.chart.text import RichText
    from openpyxl.chart.title import Title
    from openpyxl.drawing.text import CharacterProperties
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

MOST_SHELVES = 12
"""Shelf charts on the sheet; the table of the shelf by day has every part."""

MOST_BARS = 15
"""Orders in one chart; the table beside it has them all."""

MOST_LABELS = 10
"""Days named under an axis; of more only some are."""

PALE_GREEN, BAND, LINE_BLUE = "BFE3D9", "F5CB73", "0072B2"
PATTERNS = {
    "complete": ("", PALE_GREEN, ""),
    "waits": ("wdUpDiag", SKY, "FFFFFF"),
    "order": ("ltHorz", YELLOW, ""),
    "short": ("", ORANGE, ""),
    "goods": ("", SKY, ""),
    "delivery charge": ("wdDnDiag", INK, "FFFFFF"),
}
"""Of a series by its heading: pattern, ink and ground; without a pattern the ink alone.

Patterns: ECMA-376, part 1, 20.1.10 (ST_PresetPatternVal), from memory.
"""

ASIDE_WIDTH, ASIDE_CM = 10, 1.98
"""The width of a column under a chart, in characters and in centimetres."""

JOB_DAY_COLUMNS = (
    Column("date", DATE),
    Column("day", TEXT, 9),
    *(Column(kit, NUMBER) for kit in KITS),
    Column("jobs", NUMBER),
)
ORDER_VALUE_COLUMNS = (
    Column("supplier", TEXT, 26),
    Column("currency", TEXT, 8),
    Column("goods", MONEY),
    Column("delivery charge", MONEY),
    Column("total", MONEY),
    Column("lines without a price", NUMBER),
)
LOW_PART_COLUMNS = (
    Column("part", TEXT, 24),
    Column("unit", TEXT, 8),
    Column("date", DATE),
    Column("day", TEXT, 9),
    Column("left", QUANTITY),
    Column("short", QUANTITY),
)


@dataclass(frozen=True, slots=True)
class Area:
    """Rows of a table from its ``first`` (0) on, ``count`` of them: what one chart draws."""

    page: "WriteOnlyWorksheet"
    table: Table
    first: int
    count: int

    def column(self, heading: str) -> int:
        """Its number, from 1."""
        return self.table.headings.index(heading) + 1

    def reference(self, heading: str) -> str:
        from openpyxl.chart import Reference

        column, first = self.column(heading), self.first + 2
        return str(Reference(self.page, column, first, column, first + self.count - 1))

    def heading(self, heading: str) -> str:
        from openpyxl.chart import Reference

        return str(Reference(self.page, self.column(heading), 1))

    def values(self, heading: str) -> list[Cell]:
        rows = list(self.table.rows())[self.first : self.first + self.count]
        return [row[self.column(heading) - 1] for row in rows]


@dataclass(frozen=True, slots=True)
class ChartSurround:
    """What stands around a chart: its title, the titles of its axes, and the scale of its figures."""

    title: str
    names: str
    figures: str
    scale: Axis
    number_format: str = "0"
    days: int = 0
    """How many names stand under it, where they are days and may be thinned out."""
    size: int = 1100
    """Of the title, in hundredths of a point."""


@dataclass(frozen=True, slots=True)
class ChartLayout:
    """How many charts stand side by side, and the columns and rows of the sheet that each covers."""

    across: int
    columns: int
    rows: int


# --- the sheets ------------------------------------------------------------------------------------------


def jobs_by_day_sheet(week: Week) -> Sheet:
    """How many jobs of each kind of kit there are on each day, with stacked columns."""
    shown = jobs_by_day(week)
    rows: list[Row] = [
        (day, day_label(day), *counts, sum(counts))
        for day, counts in zip(shown.days, shown.counts, strict=True)
    ]
    numbers = table("Jobs by day", f"Jobs by day, {period_text(week)}", JOB_DAY_COLUMNS, rows, shown.title)

    def dress(page: "WriteOnlyWorksheet") -> None:
        if not week.jobs:
            return
        area = Area(page, numbers, 0, len(rows))
        chart = _columns(area, "day", KITS)
        for series, kit in zip(chart.series, KITS, strict=True):
            series.dLbls = _labels(area.values(kit))
        _frame(chart, ChartSurround(shown.title, "day", "jobs", shown.axis, days=len(rows)))
        _place(page, numbers, [chart], ChartLayout(1, 9, 26))

    return _sheet(numbers, dress)


def order_value_sheet(week: Week) -> Sheet:
    """What is to be ordered from whom: goods and delivery charge, with bars for each currency."""
    orders = week.orders
    groups = order_values(orders)
    priced = [order for group in groups for order in group.orders]
    unpriced = [order for order in orders if order.total is None]
    rows: list[Row] = [
        (order.name, order.currency, order.goods, order.charge, order.total, order.unpriced)
        for order in (*priced, *unpriced)
    ]
    title = f"Order value by supplier, {period_text(week)}"
    notes = [f"{group.title}. {group.remark}".strip() for group in groups] or [
        "Nothing that has a price is to be ordered."
    ]
    numbers = table("Order value", title, ORDER_VALUE_COLUMNS, rows, *notes)

    def dress(page: "WriteOnlyWorksheet") -> None:
        first, charts = 0, []
        for group in groups:
            count = min(len(group.orders), MOST_BARS)
            charts.append(_order_chart(Area(page, numbers, first, count), group))
            first += len(group.orders)
        _place(page, numbers, charts, ChartLayout(1, 8, 21))

    return _sheet(numbers, dress)


def low_parts_sheet(week: Week) -> Sheet:
    """What is left day by day of the parts that run short or low, the worst first; a chart of each."""
    low = low_parts(week)
    shown = shelf_pictures(week, low[:MOST_SHELVES])
    rows = [row for picture in shown for row in _shelf_rows(picture)]
    notes = [] if low else ["No part runs short or low."]
    if len(low) > len(shown):
        notes.append(f"{count_text(len(low) - len(shown), 'more part')} run short or low: see Shelf by day.")
    numbers = table(
        "Low parts by day", f"Low parts by day, {period_text(week)}", LOW_PART_COLUMNS, rows, *notes
    )

    def dress(page: "WriteOnlyWorksheet") -> None:
        days = len(shown[0].days) if shown else 0
        charts = [
            _shelf_chart(Area(page, numbers, place * days, days), picture)
            for place, picture in enumerate(shown)
        ]
        _place(page, numbers, charts, ChartLayout(2, 5, 21))

    return _sheet(numbers, dress)


def _sheet(numbers: Table, dress: Callable[["WriteOnlyWorksheet"], None]) -> Sheet:
    return Sheet(numbers, numbers.name, SCREEN, known_as=numbers.name.lower().replace(" ", "_"), dress=dress)


def _shelf_rows(shown: ShelfPicture) -> list[Row]:
    part = shown.part.part
    return [
        (part.number, part.unit, day, day_label(day), left, short)
        for day, left, short in zip(shown.days, shown.left, shown.short, strict=True)
    ]


# --- the charts ------------------------------------------------------------------------------------------


def _order_chart(area: Area, shown: OrderValues) -> "ChartBase":
    chart = _columns(area, "supplier", ("goods", "delivery charge"), across=True)
    value = f"value ({shown.currency})" if shown.currency else "value"
    places = 0 if shown.axis.step.denominator == 1 else shown.places
    money = f"0.{'0' * places}" if places else "0"
    _frame(chart, ChartSurround(shown.title, "supplier", value, shown.axis, money))
    # The dearest is the first row of the table, so it is the topmost bar; its axis then stands at the foot.
    chart.x_axis.scaling.orientation = "maxMin"
    chart.y_axis.crosses = "max"
    return chart


def _shelf_chart(area: Area, shown: ShelfPicture) -> "ChartBase":
    """A line over a band that reaches from nothing down to it on each short day."""
    from openpyxl.chart import LineChart

    chart = _columns(area, "day", ("short",))
    chart.gapWidth = 0
    chart.series[0].graphicalProperties = _plain(BAND)
    line = LineChart()
    series = _series(area, "day", "left")
    series.smooth = False
    series.graphicalProperties.line.solidFill = LINE_BLUE
    series.graphicalProperties.line.width = 25_400
    series.marker.symbol, series.marker.size = "circle", 6
    series.marker.graphicalProperties.solidFill = LINE_BLUE
    series.marker.graphicalProperties.line.solidFill = LINE_BLUE
    line.series.append(series)
    left = f"left ({shown.part.part.unit})"
    _frame(chart, ChartSurround(shown.title, "end of day", left, shown.axis, "General", area.count, 1000))
    chart += line
    return chart


def _columns(area: Area, names: str, headings: Sequence[str], *, across: bool = False) -> "BarChart":
    """Stacked columns, or bars ``across``, of some columns of the table."""
    from openpyxl.chart import BarChart

    chart = BarChart()
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "bar" if across else "col", "stacked", 100, 60
    for heading in headings:
        series = _series(area, names, heading)
        _fill(series, *PATTERNS[heading])
        chart.series.append(series)
    return chart


def _series(area: Area, names: str, heading: str) -> "Series":
    """A series with its figures kept beside their address, for programs that show a chart without a sheet."""
    from openpyxl.chart.data_source import (
        AxDataSource,
        NumData,
        NumDataSource,
        NumRef,
        NumVal,
        StrData,
        StrRef,
        StrVal,
    )
    from openpyxl.chart.series import SeriesLabel
    from openpyxl.chart.series_factory import SeriesFactory

    figures, words = area.values(heading), [str(cell) for cell in area.values(names)]
    numbers = [
        NumVal(idx=place, v=number_text(_number(cell)))
        for place, cell in enumerate(figures)
        if cell is not None
    ]
    texts = [StrVal(idx=place, v=text) for place, text in enumerate(words)]
    series = SeriesFactory(area.reference(heading))
    series.tx = SeriesLabel(
        strRef=StrRef(area.heading(heading), strCache=StrData(ptCount=1, pt=[StrVal(idx=0, v=heading)]))
    )
    series.val = NumDataSource(
        numRef=NumRef(area.reference(heading), numCache=NumData("General", len(figures), numbers))
    )
    series.cat = AxDataSource(strRef=StrRef(area.reference(names), strCache=StrData(len(words), texts)))
    return series


def _number(cell: Cell) -> int | Fraction | Decimal:
    if cell is None or isinstance(cell, str | date):
        raise TypeError(f"a chart draws figures, not {cell!r}")
    return cell


def _fill(series: "Series", pattern: str, ink: str, ground: str) -> None:
    from openpyxl.chart.shapes import GraphicalProperties
    from openpyxl.drawing.fill import ColorChoice, PatternFillProperties

    if pattern:
        look = PatternFillProperties(prst=pattern)
        look.foreground, look.background = ColorChoice(srgbClr=ink), ColorChoice(srgbClr=ground)
        series.graphicalProperties = GraphicalProperties(pattFill=look)
    else:
        series.graphicalProperties = GraphicalProperties(solidFill=ink)
    series.graphicalProperties.line.solidFill = INK
    series.graphicalProperties.line.width = 9_525
    series.invertIfNegative = False


def _plain(colour: str) -> "GraphicalProperties":
    """A fill without an outline, so that the days of a band run into one."""
    from openpyxl.chart.shapes import GraphicalProperties
    from openpyxl.drawing.line import LineProperties

    return GraphicalProperties(solidFill=colour, ln=LineProperties(noFill=True))


def _labels(figures: Sequence[Cell]) -> "DataLabelList":
    """Figures on a white ground, to be read on any pattern; none where there is nothing."""
    from openpyxl.chart.label import DataLabel, DataLabelList
    from openpyxl.chart.shapes import GraphicalProperties

    rest = dict.fromkeys(("showSerName", "showCatName", "showLegendKey", "showPercent"), False)
    nothing = [DataLabel(idx=place, showVal=False, **rest) for place, cell in enumerate(figures) if not cell]
    ground = GraphicalProperties(solidFill="FFFFFF")
    return DataLabelList(dLbl=nothing, showVal=True, spPr=ground, txPr=_text(900), **rest)


def _frame(chart: "ChartBase", surround: ChartSurround) -> None:
    """Title, axes, legend. Programs leave the axes out unless each is said to be no deleted one."""
    from openpyxl.chart.shapes import GraphicalProperties

    chart.title = _title(surround.title, surround.size)
    chart.roundedCorners = False
    chart.legend.position, chart.legend.overlay, chart.legend.txPr = "b", False, _text(900)
    x, y = chart.x_axis, chart.y_axis
    x.title, y.title = _title(surround.names, 900), _title(surround.figures, 900)
    for axis in (x, y):
        axis.delete = False
        axis.txPr = _text(900)
        axis.graphicalProperties = GraphicalProperties()
        axis.graphicalProperties.line.solidFill = INK
    x.graphicalProperties.line.width = 15_875
    x.tickLblPos = "low"
    x.noMultiLvlLbl = True
    if surround.days > MOST_LABELS:
        x.tickLblSkip = x.tickMarkSkip = -(-surround.days // MOST_LABELS)
    y.number_format, y.majorUnit = surround.number_format, float(surround.scale.step)
    y.scaling.min, y.scaling.max = float(surround.scale.low), float(surround.scale.high)
    y.majorGridlines.spPr = GraphicalProperties()
    y.majorGridlines.spPr.line.solidFill = "C8C8C8"


def _title(words: str, size: int) -> "Title":
    from openpyxl.chart.text import RichText, Text
    from openpyxl.chart.title import Title
    from openpyxl.drawing.text import Paragraph, ParagraphProperties, RegularTextRun

    look = _letters(size, bold=size >= 1000)
    said = Paragraph(pPr=ParagraphProperties(defRPr=look), r=[RegularTextRun(rPr=look, t=words)])
    return Title(tx=Text(rich=RichText(p=[said])), overlay=False)


def _text(size: int) -> "RichText":
    from openpyxl.chart.text import RichText
    from openpyxl.drawing.text import Paragraph, ParagraphProperties

    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=_letters(size)), endParaRPr=_letters(size))])


def _letters(size: int, *, bold: bool = False) -> "CharacterProperties":
    """``size`` in hundredths of a point."""
    from openpyxl.drawing.text import CharacterProperties, Font

    return CharacterProperties(sz=size, b=bold, solidFill=INK, latin=Font(typeface=FONT))


# --- where they stand ------------------------------------------------------------------------------------


def _place(
    page: "WriteOnlyWorksheet", numbers: Table, charts: Sequence["ChartBase"], layout: ChartLayout
) -> None:
    """The charts to the right of the table."""
    from openpyxl.utils import get_column_letter

    if not charts:
        return
    first = len(numbers.columns) + 2
    last = first + layout.columns * layout.across - 1
    page.column_dimensions[get_column_letter(first - 1)].width = 2
    for number in range(first, last + 1):
        page.column_dimensions[get_column_letter(number)].width = ASIDE_WIDTH
    for place, chart in enumerate(charts):
        down, right = divmod(place, layout.across)
        chart.width, chart.height = layout.columns * ASIDE_CM - 0.3, (layout.rows - 1.5) * LINE / 72 * 2.54
        page.add_chart(chart, f"{get_column_letter(first + right * layout.columns)}{3 + down * layout.rows}")
