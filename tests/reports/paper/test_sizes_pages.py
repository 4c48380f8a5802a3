"""Columns and rows laid out on A4 and Letter: by hand, and as laws."""

from hypothesis import given
from hypothesis import strategies as st
from pdfminer.fontmetrics import FONT_METRICS

from reconcile.reports.paper.pages import FEW, column_ends, fitted, page_ends
from reconcile.reports.paper.sizes import (
    A4,
    CHARACTER,
    LEAST_SCALE,
    LETTER,
    SIDE_MARGIN,
    paper_code,
    room_of,
)
from reconcile.reports.writing.styles import POINTS
from reconcile.reports.writing.widths import WIDTHS

MM = 72 / 25.4
HEIGHTS = st.lists(st.floats(1, 60), min_size=1, max_size=80)


def test_a_page_is_what_a4_and_letter_both_hold():
    """Upright A4 is 210 mm wide, Letter 279.4 mm high (ISO 216, ANSI Y14.1); margins taken off by hand."""
    upright, across = room_of(landscape=False), room_of(landscape=True)
    assert round(upright.width, 1) == round(210 * MM - 2 * 28.8, 1) == 537.7
    assert round(upright.height, 1) == round(279.4 * MM - 2 * 32.4, 1) == 727.2
    assert round(across.width, 1) == round(279.4 * MM - 2 * 28.8, 1) == 734.4
    assert round(across.height, 1) == round(210 * MM - 2 * 32.4, 1) == 530.5
    assert SIDE_MARGIN * 72 == 28.8


def test_no_scale_makes_letters_smaller_than_eight_points():
    for landscape in (True, False):
        room = room_of(landscape=landscape)
        for characters in range(1, 400):
            assert POINTS * room.scale(characters) / 100 >= 8
        most = room.characters()
        assert most * CHARACTER * room.scale(most) / 100 <= room.width, "and what is allowed fits"
    assert room_of(landscape=True).scale(20) == 100, "nothing is made larger"
    assert LEAST_SCALE == 81


def test_paper_is_that_of_the_country():
    assert [paper_code(country) for country in ("US", "ca", "DE", "")] == [LETTER, LETTER, A4, A4]


def test_letters_are_as_wide_as_published():
    """Against the metrics of Helvetica that another library has from Adobe."""
    published = FONT_METRICS["Helvetica"][1]
    assert {letter: published[letter] for letter in WIDTHS} == WIDTHS
    assert set(map(chr, range(32, 127))) <= set(WIDTHS)


def test_the_widest_columns_give_way_first_and_none_below_its_least():
    assert fitted([10, 40, 30], [10, 8, 8], 60) == [10, 25, 25]
    assert fitted([10, 40, 30], [10, 8, 28], 60) == [10, 22, 28]
    assert fitted([10, 40], [10, 8], 60) == [10, 40], "what fits is left alone"
    assert fitted([10, 40], [10, 30], 20) == [10, 30], "and no further than it may"


def test_a_page_ends_where_it_is_full_and_a_run_stays_together():
    tens = [10.0] * 10
    assert page_ends(tens, range(10), 45, page_each=False) == [4, 7, 10], "not with two rows on the last"
    assert page_ends(tens, [0, 3, 6], 75, page_each=False) == [6, 10]
    assert page_ends(tens, [0, 3, 6], 75, page_each=True) == [3, 6, 10]
    assert page_ends(tens, [0], 45, page_each=False) == [4, 7, 10], "a run longer than a page is broken"
    assert page_ends([99.0, 99.0], [0, 1], 45, page_each=False) == [1, 2], "a row too tall has its own"


@given(HEIGHTS, st.floats(60, 300), st.data())
def test_pages_hold_what_they_say_every_row_once(heights, room, data):
    starts = sorted({0, *data.draw(st.lists(st.integers(0, len(heights) - 1), max_size=9))})
    ends = page_ends(heights, starts, room, page_each=False)
    assert ends == sorted(set(ends))
    assert ends[-1] == len(heights)
    for first, last in zip([0, *ends], ends, strict=False):
        assert sum(heights[first:last]) <= room + sum(heights[last - FEW : last]) or last - first == 1
    fits = [sum(heights[a:b]) <= room for a, b in zip(starts, [*starts[1:], len(heights)], strict=True)]
    if all(fits):
        assert set(ends) <= {*starts, len(heights)}, "no run is broken that a page holds"


def test_columns_go_on_another_page_with_those_that_are_kept():
    assert column_ends([10, 20, 20, 20, 20], 1, 60) == [3, 5]
    assert column_ends([10, 20, 20], 1, 60) == [3]


@given(st.lists(st.integers(5, 30), min_size=1, max_size=40))
def test_pages_side_by_side_hold_their_columns(widths):
    ends = column_ends(widths, 1, 90)
    assert ends[-1] == len(widths)
    for first, last in zip([1, *ends], ends, strict=False):
        assert widths[0] + sum(widths[first:last]) <= 90
