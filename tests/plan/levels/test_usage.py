"""Use by ISO week, and the kind of demand it is."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from weekly_use import TODAY, use, weekly

from reconcile.plan.levels.usage import (
    common_step,
    in_lots,
    kind_of_demand,
    pattern_of,
    rare_wait,
    weekly_usage,
)

F = Fraction


def weeks_of(usage, today=TODAY):
    return {each.part: [*map(str, each.weeks)] for each in weekly_usage(usage, today)}


def test_uses_of_a_week_add_up_from_monday_to_sunday():
    usage = [
        use("A", date(2026, 11, 9), 1),  # a Monday
        use("A", date(2026, 11, 15), "0.5"),  # its Sunday
        use("A", date(2026, 11, 16), 4),
    ]
    assert weeks_of(usage) == {"A": ["3/2", "4"]}


def test_the_week_of_today_is_not_over_and_does_not_count():
    usage = [
        use("A", date(2026, 11, 16), 2),
        use("A", date(2026, 11, 23), 9),
        use("B", date(2026, 11, 26), 9),
    ]
    assert weeks_of(usage) == {"A": ["2"], "B": ["0"]}
    assert weeks_of(usage, date(2026, 11, 30)) == {"A": ["2", "9"], "B": ["0", "9"]}


def test_weeks_without_use_are_noughts_and_every_part_counts_from_the_first_week_of_the_sheet():
    usage = weekly("A", 3, 0, 0, 1) + weekly("B", 0, 5, 0)
    assert weeks_of(usage) == {"A": ["3", "0", "0", "1"], "B": ["0", "0", "5", "0"]}


def test_no_usage_gives_no_series():
    assert weekly_usage((), TODAY) == ()


def test_all_use_in_the_week_of_today_leaves_no_week_to_count():
    (only,) = weekly_usage([use("A", TODAY)], TODAY)
    assert only.weeks == () and only.uses == 0 and only.total == 0


def test_a_part_that_is_used_late_and_then_often_is_taken_for_new():
    usage = weekly("OLD", 1, *[0] * 39) + weekly("NEW", *[0] * 30, *[2] * 10)
    by_part = {each.part: each for each in weekly_usage(usage, TODAY)}
    assert by_part["NEW"].left_out == 30
    assert by_part["NEW"].weeks == (F(2),) * 10
    assert by_part["NEW"].first == date(2026, 9, 14)
    assert by_part["NEW"].end == by_part["OLD"].end == date(2026, 11, 23)


def test_a_part_that_is_used_seldom_is_not_taken_for_new_for_a_late_first_use():
    (anchor, seldom) = weekly_usage(weekly("OLD", 1, *[0] * 39) + weekly("S", *[0] * 20, 1, *[0] * 19), TODAY)
    assert seldom.left_out == 0 and len(seldom.weeks) == len(anchor.weeks) == 40


def test_use_that_may_have_ended_is_said():
    (gone,) = weekly_usage(weekly("A", *[1] * 20, *[0] * 20), TODAY)
    (going,) = weekly_usage(weekly("A", *[1, 0] * 20), TODAY)
    assert gone.idle_end and not going.idle_end


@pytest.mark.parametrize(
    ("wait", "uses", "weeks", "rare"),
    [
        (3, 1, 4, False),  # 1 in 4
        (19, 1, 20, False),  # 1 in 20 is not less than 1 in 20
        (20, 1, 21, True),  # 1 in 21
        (2, 2, 4, False),  # C(2,2) / C(4,2) = 1 in 6
        (4, 3, 10, False),  # C(6,3) / C(10,3) = 20 in 120
        (6, 3, 10, True),  # C(4,3) / C(10,3) = 4 in 120
        (0, 5, 5, False),
    ],
)
def test_how_rare_a_wait_is_is_counted_out(wait, uses, weeks, rare):
    assert rare_wait(wait, uses, weeks) is rare


# --- the kind of demand


def test_interval_and_variability_by_hand():
    # 4 weeks with use in 12; quantities 3, 2, 4, 1: mean 2.5, variance 5/3.
    pattern = pattern_of([0, 0, 3, 0, 0, 2, 0, 0, 0, 4, 1, 0])
    assert pattern.interval == 3
    assert pattern.variability == F(5, 3) / F(25, 4)
    assert pattern.kind == "intermittent"


def test_one_week_with_use_has_no_variance():
    assert pattern_of([0, 0, 5]) is None
    assert pattern_of([]) is None


@pytest.mark.parametrize(
    ("interval", "variability", "kind"),
    [
        ("1.31", "0.48", "smooth"),
        ("1.31", "0.49", "erratic"),
        ("1.32", "0.48", "intermittent"),
        ("1.32", "0.49", "lumpy"),
    ],
)
def test_the_four_kinds_meet_at_the_published_cuts(interval, variability, kind):
    assert kind_of_demand(F(interval), F(variability)) == kind


@pytest.mark.slow
@given(st.lists(st.integers(0, 40), min_size=2, max_size=60), st.integers(1, 9))
def test_the_unit_does_not_change_the_kind(lots, factor):
    assert pattern_of(lots) == pattern_of([factor * each for each in lots])


# --- lots


def test_lots_are_the_largest_step_that_all_are_whole_numbers_of():
    assert in_lots([F("0.6"), F(0), F("0.8"), F("1.2")]) == (F("0.2"), (3, 0, 4, 6))
    assert in_lots([F(0), F(0)]) == (F(1), (0, 0))
    assert in_lots([]) == (F(1), ())
    assert common_step([F(8), F(50)]) == 2


@pytest.mark.slow
@given(st.lists(st.fractions(0, 100, max_denominator=50), max_size=20))
def test_lots_give_back_every_quantity_exactly(quantities):
    lot, lots = in_lots(quantities)
    assert [lot * each for each in lots] == quantities
