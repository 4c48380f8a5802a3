"""The charts of the report read again: they point at the right cells, and those hold the week's figures."""

import re
import zipfile
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from xml.etree import ElementTree as Xml

import pytest
import weeks
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries

from reconcile.reports.week.book import write_report
from reconcile.reports.week.charts import LOW_PART_COLUMNS, MOST_BARS, MOST_SHELVES
from reconcile.reports.week.picture_facts import low_parts, order_values
from reconcile.values.days import Period
from reconcile.values.stock.parts import Part, Supplier

CHART = "{http://schemas.openxmlformats.org/drawingml/2006/chart}"
WORDS = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
SHEETS = ("Jobs by day", "Low parts by day", "Order value")


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    path = tmp_path_factory.mktemp("charts") / "report.xlsx"
    write_report(weeks.week(), path)
    return path


def charts(path) -> list[Xml.Element]:
    with zipfile.ZipFile(path) as members:
        names = sorted(
            (name for name in members.namelist() if re.fullmatch(r"xl/charts/chart\d+\.xml", name)),
            key=lambda name: int(re.search(r"\d+", name)[0]),
        )
        return [Xml.fromstring(members.read(name)) for name in names]


def on_sheet(path, sheet: str) -> list[Xml.Element]:
    return [each for each in charts(path) if f"'{sheet}'!" in "".join(each.itertext())]


def said(chart: Xml.Element) -> str:
    """The title."""
    return "".join(run.text for run in chart.find(f"{CHART}chart/{CHART}title").iter(f"{WORDS}t"))


def cells(book, address: str) -> list:
    """What stands in the cells that a reference of a chart names."""
    sheet, area = re.fullmatch(r"'([^']+)'!(.+)", address).groups()
    left, top, right, bottom = range_boundaries(area)
    rows = book[sheet].iter_rows(top, bottom, left, right, values_only=True)
    return [value for row in rows for value in row]


def series(path, chart: Xml.Element) -> dict[str, tuple[list, list]]:
    """Of each series, by the heading it points at: the names and the figures in the cells it points at."""
    book = load_workbook(path)
    found = {}
    for each in chart.iter(f"{CHART}ser"):
        (heading,) = cells(book, each.find(f"{CHART}tx//{CHART}f").text)
        found[heading] = tuple(
            cells(book, each.find(f"{CHART}{part}//{CHART}f").text) for part in ("cat", "val")
        )
    return found


def test_jobs_by_day_are_drawn_from_the_jobs(report):
    (chart,) = on_sheet(report, "Jobs by day")
    days = ["Mon 30", "Tue 1", "Wed 2", "Thu 3", "Fri 4"]
    assert series(report, chart) == {
        "complete": (days, [1, 1, 0, 0, 0]),
        "waits": (days, [0, 0, 1, 0, 0]),
        "order": (days, [0, 0, 0, 0, 0]),
        "short": (days, [0, 0, 0, 1, 0]),
    }
    assert said(chart) == "Jobs are short on Thu 3"
    assert chart.find(f".//{CHART}grouping").get("val") == "stacked"
    assert chart.find(f".//{CHART}overlap").get("val") == "100"


@pytest.mark.slow
def test_each_low_part_is_drawn_from_its_own_rows(report):
    week = weeks.week()
    shown = on_sheet(report, "Low parts by day")
    assert len(shown) == len(low_parts(week))
    book = load_workbook(report)["Low parts by day"]
    for place, (chart, part) in enumerate(zip(shown, low_parts(week), strict=True)):
        drawn = series(report, chart)
        left, short = drawn["left"][1], drawn["short"][1]
        by_day = {day.day: day.left for day in part.days}
        rows = list(book.iter_rows(2 + place * 5, 6 + place * 5, values_only=True))
        assert [row[0] for row in rows] == [part.part.number] * 5
        assert [row[4] for row in rows] == left
        assert all(row[4] == by_day[row[2].date()] for row in rows if row[2].date() in by_day)
        assert short == [min(each, 0) for each in left]
        assert said(chart).startswith(f"{part.part.number}: ")
    assert said(shown[1]) == "B-14-300: short from Wed 2 on, at most 2"


def test_the_line_is_straight_and_the_zero_line_is_an_axis(report):
    for chart in on_sheet(report, "Low parts by day"):
        assert chart.find(f".//{CHART}lineChart//{CHART}smooth").get("val") == "0"
        assert chart.find(f".//{CHART}barChart/{CHART}gapWidth").get("val") == "0"
        outline = chart.find(f".//{CHART}barChart/{CHART}ser/{CHART}spPr/{WORDS}ln")
        assert outline.find(f"{WORDS}noFill") is not None
        assert outline.find(f"{WORDS}solidFill") is None
        ids = {
            each.get("val")
            for kind in ("bar", "line")
            for each in chart.findall(f".//{CHART}{kind}Chart/{CHART}axId")
        }
        assert len(ids) == 2, "line and band share their axes"
        assert chart.find(f".//{CHART}catAx/{CHART}tickLblPos").get("val") == "low"
        low = Fraction(chart.find(f".//{CHART}valAx/{CHART}scaling/{CHART}min").get("val"))
        high = Fraction(chart.find(f".//{CHART}valAx/{CHART}scaling/{CHART}max").get("val"))
        assert low <= 0 <= high


@pytest.mark.slow
def test_order_value_is_drawn_from_goods_and_charge(report):
    (chart,) = on_sheet(report, "Order value")
    (group,) = order_values(weeks.week().orders)
    drawn = series(report, chart)
    assert list(drawn) == ["goods", "delivery charge"]
    names, goods = drawn["goods"]
    assert names == [order.name for order in group.orders]
    assert [Decimal(str(each)) for each in goods] == [order.goods for order in group.orders]
    charges = [None if each is None else Decimal(str(each)) for each in drawn["delivery charge"][1]]
    assert charges == [order.charge for order in group.orders]


def test_each_currency_has_a_chart_of_its_own_and_the_rest_a_row(tmp_path):
    week = replace(
        weeks.week(), parts=tuple(
            weeks.part_result(
                Part(f"P-{place}", supplier=f"S{place}", price=price, currency=currency),
                order=Fraction(2), packs=2,
            )
            for place, (price, currency) in enumerate(
                [
                    *((Decimal("1.5") + n, "EUR") for n in range(MOST_BARS + 3)),
                    (Decimal(7), "USD"),
                    (None, "EUR"),
                ]
            )
        ),
    )  # fmt: skip
    week = weeks.answered(week)
    write_report(week, tmp_path / "report.xlsx")
    euros, dollars = on_sheet(tmp_path / "report.xlsx", "Order value")
    assert len(series(tmp_path / "report.xlsx", euros)["goods"][0]) == MOST_BARS
    assert series(tmp_path / "report.xlsx", euros)["goods"][0][0] == f"S{MOST_BARS + 2}"
    assert series(tmp_path / "report.xlsx", dollars)["goods"] == (["S18"], [14])
    assert said(dollars) == "To order: 14.00 USD, all from S18"
    rows = list(load_workbook(tmp_path / "report.xlsx")["Order value"].iter_rows(2, 21, values_only=True))
    assert rows[-1][:6] == ("S19", "EUR", None, None, None, 1)


def test_what_a_chart_keeps_of_its_figures_is_what_the_cells_hold(report):
    book = load_workbook(report)
    for chart in charts(report):
        for each in chart.iter(f"{CHART}ser"):
            for part, read in (("cat", str), ("val", float)):
                held = cells(book, each.find(f"{CHART}{part}//{CHART}f").text)
                cache = {
                    int(point.get("idx")): read(point.find(f"{CHART}v").text)
                    for point in each.find(f"{CHART}{part}").iter(f"{CHART}pt")
                }
                assert cache == {place: read(value) for place, value in enumerate(held) if value is not None}


def test_axes_are_there_and_titled_and_nothing_overlaps(report):
    for chart in charts(report):
        for kind in ("catAx", "valAx"):
            (axis,) = chart.iter(f"{CHART}{kind}")
            assert axis.find(f"{CHART}delete").get("val") == "0"
            assert "".join(run.text for run in axis.find(f"{CHART}title").iter(f"{WORDS}t"))
        assert {each.get("val") for each in chart.iter(f"{CHART}overlay")} == {"0"}
        assert int(chart.find(f".//{CHART}title//{WORDS}defRPr").get("sz")) >= 900


def test_charts_stand_clear_of_the_table_and_of_each_other(report):
    book = load_workbook(report)
    for name in SHEETS:
        sheet = book[name]
        columns = range_boundaries(sheet.auto_filter.ref)[2]
        taken = set()
        for chart in sheet._charts:
            start = chart.anchor._from
            assert start.col > columns
            place = (start.col, start.row)
            assert place not in taken
            taken.add(place)


@pytest.mark.slow
def test_the_sheet_says_how_many_low_parts_have_no_chart(tmp_path):
    parts = tuple(
        replace(weeks.part_results()[1], part=replace(weeks.B300, number=f"B-{place}")) for place in range(15)
    )
    write_report(weeks.week(parts=parts), tmp_path / "report.xlsx")
    assert len(on_sheet(tmp_path / "report.xlsx", "Low parts by day")) == MOST_SHELVES
    sheet = load_workbook(tmp_path / "report.xlsx")["Low parts by day"]
    said = [row[0] for row in sheet.iter_rows(values_only=True)]
    assert "3 more parts run short or low: see Shelf by day." in said


def test_a_week_with_nothing_in_it_has_no_charts(tmp_path):
    write_report(weeks.week(jobs=(), parts=()), tmp_path / "report.xlsx")
    assert charts(tmp_path / "report.xlsx") == []
    book = load_workbook(tmp_path / "report.xlsx")
    assert [cell.value for cell in book["Low parts by day"][1]][:6] == [
        each.heading for each in LOW_PART_COLUMNS
    ]
    assert "No job is planned" in [row[0] for row in book["Jobs by day"].iter_rows(values_only=True)]
    assert book["Low parts by day"]["A3"].value == "No part runs short or low."
    assert book["Order value"]["A3"].value == "Nothing that has a price is to be ordered."


def test_only_some_days_of_a_long_period_are_named(tmp_path):
    period = Period(weeks.MON, weeks.MON + timedelta(days=60))
    write_report(weeks.week(period=period), tmp_path / "report.xlsx")
    (chart,) = on_sheet(tmp_path / "report.xlsx", "Jobs by day")
    days = len(series(tmp_path / "report.xlsx", chart)["short"][0])
    every = int(chart.find(f".//{CHART}tickLblSkip").get("val"))
    assert days / every <= 10


@pytest.mark.slow
def test_a_supplier_without_a_name_is_drawn_by_its_code(tmp_path):
    part = Part("P-1", supplier="XQ", price=Decimal(3), currency="EUR")
    week = weeks.week(parts=(weeks.part_result(part, order=Fraction(1), packs=1),))
    week = weeks.answered(replace(week, stock=replace(week.stock, suppliers={"XQ": Supplier("XQ")})))
    write_report(week, tmp_path / "report.xlsx")
    (chart,) = on_sheet(tmp_path / "report.xlsx", "Order value")
    assert series(tmp_path / "report.xlsx", chart)["goods"] == (["XQ"], [3])
