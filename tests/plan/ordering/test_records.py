"""Promised against came, lead times, and the measures held to numpy's."""

from datetime import date
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reconcile.plan.ordering.records import line_record, median, ninety, optimistic, records, worked_between
from reconcile.values.days import WorkDays
from reconcile.values.orders.lines import Arrived, OrderLine
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Part, Stock

MON, TUE, WED, FRI, NEXT = (date(2026, 11, 30), date(2026, 12, 1), date(2026, 12, 2), date(2026, 12, 4),
                            date(2026, 12, 7))  # fmt: skip
DAYS = WorkDays()


def line(*arrived: tuple[date, int], ordered: int = 10, part: str = "A", cancelled: int = 0) -> OrderLine:
    came = tuple(Arrived(day, Fraction(count)) for day, count in arrived)
    return OrderLine(
        "PO-1", "1", part, "each", "NORD", Fraction(ordered), Fraction(cancelled),
        sum((each.quantity for each in came), Fraction(0)), placed=MON, due=WED, arrived=came,
    )  # fmt: skip


def test_a_line_that_came_in_two_parts_and_late() -> None:
    found = line_record(line((WED, 4), (NEXT, 6)), DAYS)
    # Placed on a Monday, the last came on the Monday after: five working days later.
    assert (found.days_late, found.parts, found.short, found.lead_time) == (5, 2, False, 5)


def test_a_line_of_which_no_more_will_come_is_short() -> None:
    found = line_record(line((TUE, 4), cancelled=6), DAYS)
    assert (found.days_late, found.parts, found.short, found.lead_time) == (-1, 1, True, 1)


def test_a_suppliers_record_adds_its_lines_up() -> None:
    (found,) = records([line((WED, 10)), line((NEXT, 10)), line((TUE, 4), cancelled=6)], DAYS)
    assert (found.supplier, found.late, found.short, found.in_parts) == ("NORD", 1, 1, 0)
    assert (found.median, found.ninety) == (2, 5)


@given(st.lists(st.integers(0, 60), min_size=1, max_size=40))
def test_median_and_nine_in_ten_are_those_of_numpy(times: list[int]) -> None:
    times.sort()
    assert median(times) == Fraction(str(np.median(times)))
    assert ninety(times) == np.percentile(times, 90, method="inverted_cdf")


@pytest.mark.parametrize(
    ("first", "last", "count"), [(MON, MON, 0), (MON, TUE, 1), (FRI, NEXT, 1), (MON, NEXT, 5)]
)
def test_a_lead_time_is_what_would_have_been_just_enough(first: date, last: date, count: int) -> None:
    assert worked_between(first, last, DAYS) == count
    assert DAYS.after(first, count) == last


@pytest.mark.parametrize(
    ("sheet", "came", "told"),
    [(3, [NEXT, NEXT, NEXT], True), (3, [NEXT, NEXT, TUE], True), (3, [NEXT, TUE, TUE], False),
     (5, [NEXT, NEXT, NEXT], False), (3, [NEXT, NEXT], False), (None, [NEXT, NEXT, NEXT], False),
     (3, [NEXT, TUE, NEXT, TUE], False)],
)  # fmt: skip
def test_a_sheet_is_optimistic_where_more_than_half_took_longer(sheet, came: list[date], told: bool) -> None:
    stock = Stock({"A": Part("A", lead_time=sheet)})
    found = optimistic([line((day, 10)) for day in came], stock, Settings(), NEXT)
    assert [each.code for each in found] == (["lead-time-optimistic"] if told else [])


def test_what_came_more_than_a_year_ago_says_nothing() -> None:
    stock = Stock({"A": Part("A", lead_time=1)})
    assert optimistic([line((NEXT, 10))] * 3, stock, Settings(), date(2027, 12, 8)) == []
