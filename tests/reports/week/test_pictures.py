"""The drawings read back: every mark stands where its figure belongs on the scale printed beside it."""

import re
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from xml.etree import ElementTree as Xml

import pytest
import weeks
from bench_week import workshop_week
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.reports.bench.page import page_text
from reconcile.reports.week.picture_facts import (
    JobsByDay,
    OrderValues,
    axis_over,
    jobs_by_day,
    low_parts,
    on_days,
    order_values,
    shelf_picture,
    shelf_pictures,
)
from reconcile.reports.week.pictures import jobs_by_day_svg, order_value_svgs, page_pictures, shelf_svg
from reconcile.values.stock.parts import Part, Supplier
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import COMPLETE, SHORT, WAITS

SVG = "{http://www.w3.org/2000/svg}"
NEAR = Fraction(1, 1000)
FIVE = (weeks.MON, weeks.TUE, weeks.WED, weeks.THU, weeks.FRI)

QUANTITIES = st.fractions(-10_000, 10_000, max_denominator=40)
SHELVES = st.lists(QUANTITIES, min_size=1, max_size=12)


def read(text: str) -> Xml.Element:
    return Xml.fromstring(text)


def marks(svg: Xml.Element, tag: str, **given: str) -> list[Xml.Element]:
    """Elements with a figure of their own, by their other data."""
    return [
        each
        for each in svg.iter(f"{SVG}{tag}")
        if "data-value" in each.attrib
        and all(each.get(f"data-{name}") == value for name, value in given.items())
    ]


def number(each: Xml.Element, name: str) -> Fraction:
    return Fraction(each.attrib[name])


def scale(svg: Xml.Element, place: str) -> tuple[Fraction, Fraction]:
    """Pixels for one unit, and where nothing stands, by the first and the last line of the printed scale."""
    lines = [each for each in svg.iter(f"{SVG}line") if "data-tick" in each.attrib]
    first, last = lines[0], lines[-1]
    span = number(last, "data-tick") - number(first, "data-tick")
    pixels = (number(last, place) - number(first, place)) / span
    return pixels, number(first, place) - number(first, "data-tick") * pixels


def shelf(values: list[Fraction], unit: str = "each"):
    """A part with so much left at the end of each day from a Monday on, and these days."""
    days = tuple(weeks.MON + timedelta(days=place) for place in range(len(values)))
    moves = tuple(
        weeks.ShelfDay(day, Fraction(0), Fraction(0), Fraction(0), left)
        for day, left in zip(days, values, strict=True)
    )
    return weeks.part_result(Part("P-1", unit=unit), days=moves), days


# --- the shelf ----------------------------------------------------------------------------------------------


@pytest.mark.slow
@settings(max_examples=150)
@given(SHELVES)
def test_the_line_and_the_band_of_a_shelf_stand_at_their_figures(values):
    svg = read(shelf_svg(*shelf(values)))
    pixels, zero = scale(svg, "y1")
    dots = marks(svg, "circle", mark="left")
    assert [number(dot, "data-value") for dot in dots] == values
    for dot, value in zip(dots, values, strict=True):
        assert abs(number(dot, "cy") - (zero + value * pixels)) < NEAR
    bands = marks(svg, "rect")
    assert [number(band, "data-value") for band in bands] == [each for each in values if each < 0]
    for band in bands:
        assert abs(number(band, "y") - zero) < NEAR
        assert abs(number(band, "height") - number(band, "data-value") * pixels) < NEAR
        dot = next(each for each in dots if each.get("data-day") == band.get("data-day"))
        assert abs(number(band, "x") + number(band, "width") / 2 - number(dot, "cx")) < NEAR


@pytest.mark.slow
@settings(max_examples=50)
@given(SHELVES)
def test_the_line_runs_straight_through_its_points(values):
    svg = read(shelf_svg(*shelf(values)))
    points = svg.find(f"{SVG}polyline").get("points").split()
    assert points == [f"{dot.get('cx')},{dot.get('cy')}" for dot in marks(svg, "circle")]


def test_a_shelf_says_in_words_when_it_is_short():
    parts = {part.part.number: shelf_picture(part, FIVE).title for part in weeks.part_results() if part.days}
    assert parts["B-14-300"] == "B-14-300: short from Wed 2 on, at most 2"
    assert parts["SP-050"] == "SP-050: lowest on Thu 3, 5 left"
    svg = read(shelf_svg(weeks.part_results()[1], FIVE))
    assert svg.find(f"{SVG}title").text == "B-14-300: short from Wed 2 on, at most 2"
    assert svg.find(f"{SVG}desc").text == (
        "Mon 30: 4 each. Tue 1: 0 each. Wed 2: -2 each. Thu 3: -2 each. Fri 4: -2 each."
    )


def test_a_day_on_which_nothing_moves_keeps_what_was_left():
    assert shelf_picture(weeks.part_results()[1], FIVE).left == (4, 0, -2, -2, -2)


def test_low_parts_come_worst_first_and_share_their_days():
    low = low_parts(weeks.week())
    assert [part.part.number for part in low][:3] == ["CP-6", "B-14-300", weeks.NEW.number]
    assert {each.days for each in shelf_pictures(weeks.week(), low)} == {FIVE}


# --- jobs by day --------------------------------------------------------------------------------------------


KITS_OF_DAYS = st.lists(
    st.tuples(st.sampled_from(FIVE), st.sampled_from((COMPLETE, WAITS, SHORT))), min_size=1, max_size=60
)


def week_of(kits):
    jobs = [
        replace(weeks.complete_job(), job=weeks.job(f"J-{row}", day, row), kit=kit)
        for row, (day, kit) in enumerate(kits, 2)
    ]
    return weeks.week(jobs=tuple(jobs))


@pytest.mark.slow
@settings(max_examples=100)
@given(KITS_OF_DAYS)
def test_the_columns_of_a_day_stand_on_each_other_at_scale(kits):
    svg = read(jobs_by_day_svg(week_of(kits)))
    pixels, zero = scale(svg, "y1")
    for day in FIVE:
        foot = zero
        for kit in (COMPLETE, WAITS, SHORT):
            count = kits.count((day, kit))
            boxes = marks(svg, "rect", day=day.isoformat(), kit=kit)
            assert [number(each, "data-value") for each in boxes] == ([count] if count else [])
            for box in boxes:
                assert abs(number(box, "y") + number(box, "height") - foot) < NEAR
                assert abs(number(box, "height") + count * pixels) < NEAR
                foot = number(box, "y")


def test_the_title_of_the_jobs_says_the_answer():
    assert jobs_by_day(weeks.week()).title == "Jobs are short on Thu 3"
    days = (weeks.THU, weeks.FRI)
    one, short = (1, 0, 0, 0), (0, 0, 0, 1)
    assert JobsByDay(FIVE, (one,) * 3 + (short,) * 2).title == "Jobs are short on Thu 3 and Fri 4"
    waiting = JobsByDay(days, (one, (0, 2, 0, 0))).title
    assert waiting == "No job is short; jobs wait for parts on Fri 4"
    hanging = JobsByDay(days, ((1, 0, 0, 0), (0, 2, 1, 0))).title
    assert hanging == "No job is short; parts must be ordered for jobs on Fri 4"
    assert JobsByDay(days, ((1, 0, 0, 0), (2, 0, 0, 0))).title == "Every kit is complete"
    assert JobsByDay(days, ((0, 0, 0, 0), (0, 0, 0, 0))).title == "No job is planned"


def test_a_job_on_a_day_off_is_drawn_and_a_holiday_without_one_is_not():
    saturday = date(2026, 12, 5)
    assert jobs_by_day(week_of([(saturday, SHORT)])).days == (*FIVE, saturday)
    week = weeks.week()
    rest = replace(week.settings, days=replace(week.settings.days, holidays=frozenset({weeks.FRI})))
    assert jobs_by_day(replace(week, settings=rest)).days == FIVE[:4]


@pytest.mark.parametrize(
    ("some", "words"),
    [
        ((weeks.THU,), "on Thu 3"),
        ((weeks.THU, weeks.FRI), "on Thu 3 and Fri 4"),
        ((weeks.MON, weeks.TUE, weeks.THU), "on Mon 30, Tue 1 and Thu 3"),
        ((weeks.WED, weeks.THU, weeks.FRI), "from Wed 2 on"),
        (FIVE, "on every day"),
    ],
)
def test_days_are_named_as_a_person_would(some, words):
    assert on_days(some, FIVE) == words


def test_many_days_are_counted():
    days = [weeks.MON + timedelta(days=place) for place in range(20)]
    assert on_days(days[0:10:2], days) == "on 5 of 20 days"


# --- order value --------------------------------------------------------------------------------------------


def order(name: str, goods: int, charge: int, currency: str) -> SupplierOrder:
    """An order of one line, with goods and charge in hundredths."""
    part = Part(f"P-{name}", currency=currency)
    price = Decimal(goods) / 100
    line = weeks.part_result(part, order=Fraction(1), unit_price=price)
    return SupplierOrder(
        Supplier(name, name, delivery_charge=Decimal(charge) / 100), (line,), currency=currency
    )


@pytest.mark.slow
@settings(max_examples=100)
@given(
    st.lists(
        st.tuples(st.integers(1, 10**7), st.integers(0, 9999), st.sampled_from(("EUR", "USD"))),
        min_size=1,
        max_size=12,
    )
)
def test_goods_and_charge_stand_end_to_end_at_scale_in_each_currency(given_orders):
    orders = [order(f"S{place}", *each) for place, each in enumerate(given_orders)]
    drawings = [read(text) for text in order_value_svgs(orders)]
    assert len(drawings) == len({each.currency for each in orders})
    seen = 0
    for svg in drawings:
        pixels, zero = scale(svg, "x1")
        totals = []
        for each in orders:
            bars = marks(svg, "rect", supplier=each.name)
            if not bars:
                continue
            parts = [Fraction(part) for part in (each.goods, each.charge or 0) if part]
            assert [number(bar, "data-value") for bar in bars] == parts
            end = zero
            for bar, part in zip(bars, parts, strict=True):
                assert abs(number(bar, "x") - end) < NEAR
                assert abs(number(bar, "width") - part * pixels) < NEAR
                end += part * pixels
            totals.append((number(bars[0], "y"), -sum(parts)))
            seen += 1
        assert [total for _, total in sorted(totals)] == sorted(total for _, total in totals)
    assert seen == len(orders)


def test_the_order_value_is_that_of_the_orders():
    (shown,) = order_values(weeks.week().orders)
    assert isinstance(shown, OrderValues)
    assert [(each.name, each.total) for each in shown.orders] == [
        (each.name, each.total)
        for each in sorted(
            (each for each in weeks.week().orders if each.total is not None),
            key=lambda each: -each.total,
        )
    ]
    assert shown.title.startswith(f"To order: {shown.total} EUR, the most from {shown.orders[0].name}")
    assert shown.remark == "Without 1 line that no price is known for."
    (svg,) = order_value_svgs(weeks.week().orders)
    assert shown.remark in svg


def test_orders_without_any_price_are_not_drawn():
    line = weeks.part_result(Part("P-1"), order=Fraction(1), unit_price=None)
    assert order_value_svgs([SupplierOrder(None, (line,))]) == []


# --- the scale, and every drawing ---------------------------------------------------------------------------


@pytest.mark.slow
@given(st.lists(QUANTITIES, max_size=8), st.booleans())
def test_a_scale_holds_all_values_and_nothing_in_few_round_steps(values, whole):
    axis = axis_over(values, whole=whole)
    assert axis.low <= min([*values, 0]) and axis.high >= max([*values, 0])
    assert 0 in axis.ticks and axis.ticks[-1] == axis.high
    assert 2 <= len(axis.ticks) <= 8
    digits = str(axis.step.numerator if axis.step >= 1 else axis.step.denominator).strip("0")
    assert digits in ("1", "2", "5")
    assert not whole or axis.step.denominator == 1


def drawings() -> list[str]:
    week = weeks.week()
    return [
        jobs_by_day_svg(week),
        *(shelf_svg(part, FIVE, f"shelf-{place}") for place, part in enumerate(low_parts(week))),
        *order_value_svgs(week.orders),
    ]


def test_every_drawing_is_told_in_words_and_needs_nothing_else():
    idents = []
    for text in drawings():
        svg = read(text)
        idents += [each.get("id") for each in svg.iter() if each.get("id")]
        assert svg.get("role") == "img"
        for name in svg.get("aria-labelledby").split():
            assert next(each for each in svg.iter() if each.get("id") == name).text
        assert set(re.findall(r"url\(#([^)]*)\)", text)) <= set(idents)
        assert re.findall(r"(?:href|src)=|https?://(?!www\.w3\.org/2000/svg)|<script|<style", text) == []
    assert len(idents) == len(set(idents)), "several drawings may stand on one page"


def test_no_letter_is_smaller_than_nine_pixels_on_a_narrow_screen():
    for text in drawings():
        svg = read(text)
        width = Fraction(svg.get("width"))
        sizes = {Fraction(each.get("font-size")) for each in svg.iter() if each.get("font-size")}
        assert min(sizes) * min(1, 300 / width) >= 9


def test_words_stay_inside_the_drawing():
    for text in drawings():
        svg = read(text)
        wide, high = (Fraction(each) for each in svg.get("viewBox").split()[2:])
        for each in svg.iter(f"{SVG}text"):
            length = Fraction(28, 5) * len(each.text)
            left = number(each, "x") - {"end": length, "middle": length / 2}.get(each.get("text-anchor"), 0)
            assert left >= -6, each.text
            assert left + length <= wide + 6, each.text
            assert 9 <= number(each, "y") <= high


def test_a_name_from_a_sheet_is_text_and_nothing_else():
    part, days = shelf([Fraction(1)])
    odd = replace(part, part=replace(part.part, number='<b onload="x">&\x07', unit="<mL>"))
    svg = read(shelf_svg(odd, days))
    assert svg.find(f"{SVG}title").text.startswith('<b onload="x">&:')
    assert not list(svg.iter("b"))


def test_a_title_too_long_to_be_seen_whole_is_told_whole():
    part, days = shelf([Fraction(-1)] * 3)
    long = replace(part, part=replace(part.part, number="bracket, " * 20))
    svg = read(shelf_svg(long, days))
    seen = [each.text for each in svg.iter(f"{SVG}text") if each.get("font-weight")]
    assert len(seen) == 2
    assert seen[-1].endswith("…")
    assert svg.find(f"{SVG}title").text.endswith("short on every day, at most 1")


def test_orders_that_are_not_drawn_are_counted():
    orders = [order(f"S{place}", 100 + place, 0, "EUR") for place in range(20)]
    (text,) = order_value_svgs(orders)
    assert len(marks(read(text), "rect", kind="goods")) == 15
    assert "Not drawn: the 5 of least value." in text


def test_the_page_shows_the_parts_that_run_short_and_counts_those_it_leaves_out():
    shown = page_pictures(weeks.week())
    titles = [read(text).find(f"{SVG}title").text for text in shown.shelves]
    assert [title.partition(":")[0] for title in titles] == ["CP-6", "B-14-300", weeks.NEW.number]
    assert (shown.more_short, len(shown.values)) == (0, 1)
    parts = tuple(
        replace(weeks.part_results()[1], part=replace(weeks.B300, number=f"B-{place}")) for place in range(11)
    )
    many = page_pictures(weeks.week(parts=parts, jobs=()))
    assert (many.jobs, len(many.shelves), many.more_short) == ("", 8, 3)


def test_the_pictures_stand_on_the_page_of_the_bench_sheets():
    week = workshop_week(12)
    text = page_text(week)
    for each in (page_pictures(week).jobs, *page_pictures(week).shelves, *page_pictures(week).values):
        assert each in text
    assert text.index('class="picture-of-jobs"') < text.index('id="jobs"') < text.index('id="pick-list"')
