"""What a week counts: classes worked by hand, turns spread over the year, and what cannot wait."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from types import SimpleNamespace

import pytest
from count_cases import MONDAY, RULES, TODAY, part, stock

from reconcile.plan.counting.sheets import (
    bins_of,
    classes,
    count_sheet,
    lines_of,
    picks,
    short_jobs,
    turn_of,
    turns,
    usage_of_year,
    working_weeks,
)
from reconcile.values.days import WorkDays
from reconcile.values.rules import Counting
from reconcile.values.stock.counting import NEGATIVE, OVER_ALLOCATED, OVERDUE, SHORT_JOB, TURN, UNLIKELY
from reconcile.values.week.results import COMPLETE, SHORT, Missing

DAYS = WorkDays()
NEVER = Counting(times={"A": 0, "B": 0, "C": 0})


def chosen(of, rules=NEVER, missed=None, last=None, monday=MONDAY):
    known = classes(of, rules, TODAY)
    return picks(of, known, rules, monday, DAYS, missed=missed or {}, last_counted=last or {})


def why(of, **given):
    """Part to the kinds of reasons for which it is counted."""
    return {each.part.number: [reason.kind for reason in each.reasons] for each in chosen(of, **given)}


# --- classes


def test_classes_follow_the_cumulated_yearly_value():
    # 80 x 1, 10 x 1, 6 x 1, 4 x 1 of 100: above P1 lies 0 %, above P2 80 %, above P3 90 %, above P4 96 %.
    of = stock(*(part(f"P{n}") for n in (4, 3, 2, 1)), used=[("P1", 80), ("P2", 10), ("P3", 6), ("P4", 4)])
    known = classes(of, RULES, TODAY)
    assert {name: each.name for name, each in known.items()} == {"P4": "C", "P3": "B", "P2": "B", "P1": "A"}
    assert [known[f"P{n}"].before for n in (1, 2, 3, 4)] == [
        0,
        Fraction(4, 5),
        Fraction(9, 10),
        Fraction(24, 25),
    ]
    assert list(known) == list(of.parts)


def test_a_part_worth_more_than_the_share_of_a_is_still_in_a():
    of = stock(part("P1"), part("P2"), used=[("P1", 99), ("P2", 1)])
    assert [each.name for each in classes(of, RULES, TODAY).values()] == ["A", "C"]


def test_value_is_usage_times_price():
    of = stock(part("P1", price="0.25"), used=[("P1", 8), ("P1", "0.5")])
    assert classes(of, RULES, TODAY)["P1"].value == Fraction(17, 2) * Fraction(1, 4)


def test_usage_reaches_back_365_days_today_included():
    first = TODAY - timedelta(days=364)
    of = stock(
        part("P1"),
        used=[
            ("P1", 1, TODAY),
            ("P1", 2, first),
            ("P1", 4, first - timedelta(days=1)),
            ("P1", 8, TODAY + timedelta(days=1)),
        ],
    )
    assert usage_of_year(of, TODAY) == {"P1": 3}


def test_no_usage_and_no_price_are_said_and_go_to_c():
    of = stock(part("P1"), part("P2", price=None), part("P3"), used=[("P2", 5), ("P3", 1)])
    known = classes(of, RULES, TODAY)
    assert [(each.name, each.remark) for each in known.values()] == [
        ("C", "no usage in the last 365 days"),
        ("C", "used, but its price is not known"),
        ("A", ""),
    ]


def test_currencies_are_ranked_each_for_itself():
    of = stock(part("P1"), part("P2", currency="CHF"), used=[("P1", 1000), ("P2", 1)])
    assert [each.name for each in classes(of, RULES, TODAY).values()] == ["A", "A"]


# --- turns


def test_turns_of_five_parts_twice_in_five_weeks():
    # Ten turns in five weeks, two a week, once through and then again.
    weeks = [turn_of("abcde", 2, 5, week) for week in range(5)]
    assert weeks == [["a", "b"], ["c", "d"], ["e", "a"], ["b", "c"], ["d", "e"]]


def test_three_parts_once_in_five_weeks_leave_two_weeks_free():
    # Turn t falls into week floor(5 t / 3): 0, 1, 3.
    assert [turn_of("abc", 1, 5, week) for week in range(5)] == [["a"], ["b"], [], ["c"], []]


def test_more_turns_than_weeks_count_every_week_once():
    assert [turn_of("ab", 12, 3, week) for week in range(3)] == [["a", "b"]] * 3


def test_2026_has_53_weeks_and_one_without_work_is_none():
    assert len(working_weeks(2026, DAYS)) == 53
    closed = frozenset(date(2026, 12, 28) + timedelta(days=n) for n in range(5))
    assert len(working_weeks(2026, WorkDays(holidays=closed))) == 52


def test_a_week_without_work_has_no_turns():
    closed = frozenset(MONDAY + timedelta(days=n) for n in range(5))
    of = stock(part("P1"), used=[("P1", 1)])
    days = WorkDays(holidays=closed)
    assert turns(of, classes(of, RULES, TODAY), RULES, MONDAY, days) == {}


def test_a_part_in_a_is_counted_in_twelve_of_a_years_weeks():
    of = stock(part("P1"), used=[("P1", 1)])
    known = classes(of, RULES, TODAY)
    due = [monday for monday in working_weeks(2026, DAYS) if turns(of, known, RULES, monday, DAYS)]
    assert len(due) == 12
    assert {(b - a).days for a, b in pairwise(due)} == {28, 35}


# --- what cannot wait


def test_reasons_and_their_words():
    of = stock(
        part("P1", ("A1", -2), ("A2", 5)),
        part("P2", ("A1", 3, 5)),
        part("P3", ("A1", "2.5")),
        part("P4", ("A1", 41), order_up_to=Fraction(20)),
        part("P5", ("A1", 40), order_up_to=Fraction(20)),
        part("P6", ("A1", 41), order_up_to=Fraction(20)),
        used=[("P6", 1)],
    )
    assert why(of, missed={"P5": ["J-1"]}) == {
        "P1": [NEGATIVE],
        "P2": [OVER_ALLOCATED],
        "P3": [UNLIKELY],
        "P4": [UNLIKELY],
        "P5": [SHORT_JOB],
    }
    says = {each.part.number: each.reasons[0].says for each in chosen(of, missed={"P5": list("abcde")})}
    assert says == {
        "P1": "the book says -2 each in A1, less than nothing",
        "P2": "5 each are allocated, 3 on hand",
        "P3": "the book says 2.5 each, no whole number",
        "P4": "the book says 41 each, more than 2 times the 20 that are ordered up to,"
        " and none was used in a year",
        "P5": "missing for a, b, c and 2 more",
    }


def test_two_and_a_half_millilitres_are_likely():
    assert why(stock(part("P1", ("A1", "2.5"), unit="mL"))) == {}


@pytest.mark.parametrize(("last", "counted"), [(date(2026, 9, 12), True), (date(2026, 9, 14), False)])
def test_a_part_that_missed_its_turn_is_counted(last, counted):
    # Six times a year is every nine weeks, and two are given: 11 weeks before 30 November is 14 September.
    of = stock(part("P1"), used=[("P1", 1)])
    rules = Counting(times={"A": 6, "B": 4, "C": 1})
    weeks = [
        each
        for each in working_weeks(2026, DAYS)
        if not turns(of, classes(of, rules, TODAY), rules, each, DAYS)
    ]
    assert MONDAY in weeks
    assert why(of, rules=rules, last={"P1": last}) == ({"P1": [OVERDUE]} if counted else {})


def test_parts_of_short_jobs_alone_are_missed():
    def result(number, kit, *missing):
        return SimpleNamespace(kit=kit, job=SimpleNamespace(number=number), missing=missing)

    needs = Missing("P1", Fraction(1))
    jobs = [result("J-1", SHORT, needs), result("J-2", COMPLETE), result("J-3", SHORT, needs)]
    assert short_jobs(jobs) == {"P1": ["J-1", "J-3"]}


# --- the sheet


def test_lines_come_first_then_along_the_shelves_and_a_part_has_one_for_each_bin():
    of = stock(
        part("P1", ("B-10", 1), ("B-2", 2)),
        part("P2", ("C-1", -1)),
        part("P3", ("", 3)),
        part("P4", ("B-2", 4)),
    )
    everything = Counting(times={"A": 1, "B": 1, "C": 60})
    lines = lines_of(chosen(of, rules=everything))
    assert [(each.bin, each.part.number, each.first) for each in lines] == [
        ("C-1", "P2", True),
        ("B-2", "P1", False),
        ("B-2", "P4", False),
        ("B-10", "P1", False),
        ("", "P3", False),
    ]
    assert [reason.kind for reason in lines[1].reasons] == [TURN]


def test_rows_that_name_one_bin_are_one_line():
    assert bins_of(part("P1", ("A1", 2), ("A2", 4), ("A1", 3))) == {"A1": 5, "A2": 4}


def test_the_same_inputs_give_the_same_sheet_and_others_another():
    lines = lines_of(chosen(stock(part("P1", ("A1", -1)))))
    one, same = (count_sheet(lines, "2026-W49", "d" * 64) for _ in range(2))
    assert one == same
    others = [
        count_sheet(lines, "2026-W50", "d" * 64),
        count_sheet(lines, "2026-W49", "e" * 64),
        count_sheet(lines, "2026-W49", "d" * 64, again=1),
    ]
    assert len({one.mark.identity, *(each.mark.identity for each in others)}) == 4
    assert one.mark.identity.startswith("2026-W49-")


def test_a_price_of_many_decimals_stays_exact():
    of = stock(part("P1", price="0.0345"), used=[("P1", 3)])
    assert classes(of, RULES, TODAY)["P1"].value == Fraction(Decimal("0.1035"))
