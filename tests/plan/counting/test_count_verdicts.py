"""Counts against the book: tolerance, second counts, and a book that moved between sheet and count."""

from fractions import Fraction

import pytest
from count_cases import NEW_STOCK, part, row, sheet, shelf, stock

from reconcile.plan.counting.verdicts import accuracy, judged
from reconcile.values.stock.counting import ACCEPTED, AGREES, MOVED, RECOUNT, SECOND, WITHIN


def verdict(*counts, book=100, name="B", accept=False, **given):
    """The verdict on one bin counted so often, and the difference that is posted."""
    of = stock(part("P1", ("A1", book)))
    sheets = [sheet(row("P1", "A1", count, book)) for count in counts]
    result = judged(sheets, shelf(of, classed={"P1": name}, **given), accept=accept)
    (line,) = result.lines
    return line.verdict, line.difference if line.posted else 0


@pytest.mark.parametrize(
    ("name", "count", "expected"),
    [
        ("A", 100, (AGREES, 0)),
        ("A", 99, (RECOUNT, 0)),  # none of 100 may differ
        ("B", 98, (WITHIN, -2)),  # 2 % of 100 is 2
        ("B", 102, (WITHIN, 2)),
        ("B", 97, (RECOUNT, 0)),
        ("C", 95, (WITHIN, -5)),  # 5 % is 5
        ("C", 106, (RECOUNT, 0)),
    ],
)
def test_tolerance_by_class(name, count, expected):
    assert verdict(count, name=name) == expected


def test_a_difference_beyond_tolerance_is_posted_with_accept():
    assert verdict(90, accept=True) == (ACCEPTED, -10)


@pytest.mark.parametrize(
    ("counts", "expected"),
    [
        ((90, 90), (SECOND, -10)),
        ((90, 91), (SECOND, -9)),  # within 2 of each other; the last count is taken
        ((90, 94), (RECOUNT, 0)),
        ((90, 94, 95), (SECOND, -5)),
        ((90, 100), (AGREES, 0)),
        ((90, 99), (WITHIN, -1)),
        ((90, None), (RECOUNT, 0)),  # left blank on the second sheet: only one count
    ],
)
def test_second_counts(counts, expected):
    assert verdict(*counts) == expected


def test_a_book_below_nothing_allows_no_difference():
    assert verdict(0, book=-3, name="C") == (RECOUNT, 0)


def test_a_blank_is_not_zero():
    of = stock(part("P1", ("A1", 5)))
    result = judged([sheet(row("P1", "A1", None, 5))], shelf(of))
    assert result.lines == ()
    assert [each.part for each in result.not_counted] == ["P1"]


def test_value_of_a_difference_is_exact():
    of = stock(part("P1", ("A1", 10), price="0.15"))
    (line,) = judged([sheet(row("P1", "A1", 7, 10))], shelf(of)).lines
    assert line.value == Fraction("-0.45")


# --- the book moved: it was 10 when the sheet was written; 3 were taken since, so it is 7


@pytest.mark.parametrize(
    ("count", "expected"),
    [
        (10, AGREES),  # counted before the 3 were taken
        (7, AGREES),  # counted after
        (8, MOVED),  # neither: two are missing, or one too many is there
    ],
)
def test_a_count_beside_a_movement(count, expected):
    of = stock(part("P1", ("A1", 7)))
    result = judged([sheet(row("P1", "A1", count, 10))], shelf(of, {("P1", "A1"): [12, -2, -3]}))
    (line,) = result.lines
    assert line.verdict == expected
    assert not line.posted
    told = [(each.code, each.place.cell, each.found) for each in result.problems]
    assert told == ([("count-moved", "F9", str(count))] if expected == MOVED else [])


def test_a_book_changed_by_hand_sets_the_line_aside_even_with_accept():
    of = stock(part("P1", ("A1", 7)))
    (line,) = judged([sheet(row("P1", "A1", 8, 10))], shelf(of), accept=True).lines
    assert line.verdict == MOVED


def test_a_sheet_of_this_very_stock_needs_no_check_codes():
    of = stock(part("P1", ("A1", 7)))
    bare = row("P1", "A1", 6, 999)
    (line,) = judged([sheet(bare, digest=NEW_STOCK)], shelf(of, classed={"P1": "A"})).lines
    assert line.verdict == RECOUNT


def test_a_first_count_of_another_book_bears_no_second_out():
    # First count 8 of a book of 10, then 3 taken; the second count is 8 of a book of 7.
    of = stock(part("P1", ("A1", 7)))
    sheets = [sheet(row("P1", "A1", 8, 10)), sheet(row("P1", "A1", 8, 7))]
    (line,) = judged(sheets, shelf(of, {("P1", "A1"): [10, -3]}, classed={"P1": "A"})).lines
    assert line.verdict == RECOUNT


def test_reading_a_posted_sheet_again_posts_nothing():
    of = stock(part("P1", ("A1", 98)))  # the count of 98 was posted as -2
    (line,) = judged([sheet(row("P1", "A1", 98, 100))], shelf(of, {("P1", "A1"): [100, -2]})).lines
    assert (line.verdict, line.difference) == (AGREES, 0)


# --- accuracy


def test_accuracy_is_right_lines_of_those_counted():
    of = stock(*(part(f"P{n}", ("A1", 100)) for n in range(1, 5)))
    rows = [row(f"P{n}", "A1", count, 100, at=8 + n) for n, count in enumerate((100, 98, 97, None), 1)]
    lines = judged([sheet(*rows)], shelf(of, classed={f"P{n}": "B" for n in range(1, 5)})).lines
    found = {each.name: (each.counted, each.right, each.share) for each in accuracy(lines)}
    assert found == {"A": (0, 0, None), "B": (3, 2, Fraction(2, 3)), "C": (0, 0, None)}
