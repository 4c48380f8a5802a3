"""Laws of counting: no part is left out of a cycle, no bin of a sheet is lost, a count settles the book."""

from datetime import timedelta
from fractions import Fraction

import pytest
from count_cases import MONDAY, RULES, TODAY, part, row, sheet, shelf, stock
from hypothesis import given
from hypothesis import strategies as st

from reconcile.plan.counting.sheets import bins_of, classes, lines_of, picks, turn_of, turns, working_weeks
from reconcile.plan.counting.verdicts import accuracy, judged
from reconcile.values.days import WorkDays
from reconcile.values.rules import Counting
from reconcile.values.stock.counting import AGREES, OPEN

DAYS = WorkDays()
QUANTITIES = st.fractions(min_value=-3, max_value=60, max_denominator=4)
COUNTS = st.fractions(min_value=0, max_value=60, max_denominator=4)
BINS = st.lists(
    st.tuples(st.sampled_from(["A1", "A2", "B-2", "B-10", ""]), QUANTITIES), min_size=1, max_size=4
)


@st.composite
def stocks(draw):
    number = draw(st.integers(1, 12))
    parts = [part(f"P{n}", *draw(BINS), unit=draw(st.sampled_from(["each", "mL"]))) for n in range(number)]
    used = [(f"P{n}", quantity) for n in range(number) if (quantity := draw(st.integers(0, 50)))]
    return stock(*parts, used=used)


@pytest.mark.slow
@given(st.integers(1, 40), st.integers(1, 60), st.integers(1, 53))
def test_everyone_has_his_turns_and_weeks_differ_by_one(parts, times, weeks):
    names = [str(n) for n in range(parts)]
    cycle = [turn_of(names, times, weeks, week) for week in range(weeks)]
    for name in names:
        assert sum(name in week for week in cycle) == min(times, weeks)
    if times <= weeks:
        sizes = list(map(len, cycle))
        assert max(sizes) - min(sizes) <= 1


@pytest.mark.slow
@given(stocks(), st.sets(st.integers(0, 52), max_size=20))
def test_every_part_is_counted_at_least_its_number_of_times_in_a_year(of, idle):
    first = working_weeks(2026, DAYS)[0]
    closed = frozenset(first + timedelta(weeks=week, days=n) for week in idle for n in range(5))
    days = WorkDays(holidays=closed)
    known = classes(of, RULES, TODAY)
    weeks = [turns(of, known, RULES, monday, days) for monday in working_weeks(2026, days)]
    for number, each in known.items():
        assert sum(number in week for week in weeks) >= RULES.times[each.name]


@pytest.mark.slow
@given(stocks(), st.integers(0, 52))
def test_a_sheet_has_a_line_for_every_bin_of_every_part_that_is_chosen(of, week):
    known = classes(of, RULES, TODAY)
    monday = working_weeks(2026, DAYS)[week]
    chosen = picks(of, known, RULES, monday, DAYS, missed={}, last_counted={})
    lines = lines_of(chosen)
    wanted = {(pick.part.number, name) for pick in chosen for name in bins_of(pick.part)}
    assert {each.key for each in lines} == wanted
    assert len(lines) == len(wanted)
    assert all(pick.reasons for pick in chosen)


@pytest.mark.slow
@given(stocks(), st.data())
def test_what_is_posted_makes_the_book_equal_the_count(of, data):
    """On hand = book + difference posted, for every line that is not open; open lines post nothing."""
    rows = [
        row(number, name, data.draw(st.none() | COUNTS), book, at=9 + at)
        for number, each in of.parts.items()
        for at, (name, book) in enumerate(bins_of(each).items())
    ]
    result = judged([sheet(*rows)], shelf(of), accept=data.draw(st.booleans()))
    for line in result.lines:
        after = line.book + (line.difference if line.posted else Fraction(0))
        assert after == (line.book if line.verdict in OPEN else line.counted)
        assert (line.verdict == AGREES) == (line.difference == 0)
    assert len(result.lines) + len(result.not_counted) == len(rows)


@pytest.mark.slow
@given(stocks(), st.data())
def test_the_order_of_rows_changes_nothing(of, data):
    rows = [
        row(number, name, data.draw(COUNTS), book)
        for number, each in of.parts.items()
        for name, book in bins_of(each).items()
    ]
    one = judged([sheet(*rows)], shelf(of))
    other = judged([sheet(*data.draw(st.permutations(rows)))], shelf(of))
    assert {each.key: each for each in one.lines} == {each.key: each for each in other.lines}
    assert accuracy(one.lines) == accuracy(other.lines)


@pytest.mark.slow
@given(stocks(), st.permutations(range(12)))
def test_the_order_of_the_stock_sheet_changes_no_class_and_no_turn(of, order):
    numbers = list(of.parts)
    mixed = stock(*(of.parts[numbers[at]] for at in order if at < len(numbers)))
    mixed = type(mixed)(mixed.parts, usage=of.usage)
    one, other = classes(of, RULES, TODAY), classes(mixed, RULES, TODAY)
    assert one == other
    assert turns(of, one, RULES, MONDAY, DAYS) == turns(mixed, other, RULES, MONDAY, DAYS)


@pytest.mark.slow
@given(st.lists(st.integers(1, 1000), min_size=1, max_size=15))
def test_a_part_worth_more_is_never_in_a_lower_class(values):
    of = stock(
        *(part(f"P{n}") for n in range(len(values))), used=[(f"P{n}", each) for n, each in enumerate(values)]
    )
    known = classes(of, Counting(), TODAY)
    falling = sorted(known.values(), key=lambda each: -each.value)
    assert [each.name for each in falling] == sorted(each.name for each in falling)
    assert falling[0].name == "A"
