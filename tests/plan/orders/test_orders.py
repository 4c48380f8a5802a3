"""What to order: shortfall, safety stock and levels, in packs; by when it is required and to be ordered.

The period is 30 November to 4 December 2026, today is Friday 27 November.
"""

from datetime import date
from fractions import Fraction

import pytest
from workshop import (
    FRI,
    FRIDAY_BEFORE,
    THU,
    TUE,
    WED,
    WEEK_49,
    due,
    kit_frame,
    kit_job,
    part,
    part_of,
    planned,
    stock,
)

from reconcile.plan.flows.timeline import Netted
from reconcile.plan.orders.orders import order_for
from reconcile.values.days import WorkDays

MON_TO_FRI = WorkDays()


def ordered(
    shortfall=0, first_short=None, end=0, to_come=0, *, today=FRIDAY_BEFORE, days=MON_TO_FRI, **given
):
    netted = Netted(Fraction(shortfall), first_short, Fraction(end), Fraction(end) + Fraction(to_come))
    return order_for(part("A", **given), netted, WEEK_49, today, days)


def quantities(*args, **given):
    found = ordered(*args, **given)
    return found.want, found.quantity, found.packs


# How much: want, then whole packs of at least the minimum order.


@pytest.mark.parametrize(
    ("state", "given", "expected"),
    [
        # Nothing wanted, nothing ordered.
        ({"end": 3}, {}, (0, 0, 0)),
        ({"end": 3}, {"minimum_order": 100, "pack": 50}, (0, 0, 0)),
        # The shortfall alone.
        ({"shortfall": 2, "first_short": WED, "end": -2}, {}, (2, 2, 2)),
        # 2 wanted: one pack of 50; 50 wanted: one; 51: two.
        ({"shortfall": 2, "first_short": WED, "end": -2}, {"pack": 50}, (2, 50, 1)),
        ({"shortfall": 50, "first_short": WED, "end": -50}, {"pack": 50}, (50, 50, 1)),
        ({"shortfall": 51, "first_short": WED, "end": -51}, {"pack": 50}, (51, 100, 2)),
        # At least 120: three packs of 50.
        ({"shortfall": 2, "first_short": WED, "end": -2}, {"pack": 50, "minimum_order": 120}, (2, 150, 3)),
        ({"shortfall": 2, "first_short": WED, "end": -2}, {"minimum_order": 7}, (2, 7, 7)),
        # Safety stock: 10 less the position 4 is 6; at 10 nothing.
        ({"end": 4}, {"safety_stock": 10}, (6, 6, 6)),
        ({"end": 10}, {"safety_stock": 10}, (0, 0, 0)),
        # What is still to come counts: 4 + 5.
        ({"end": 4, "to_come": 5}, {"safety_stock": 10}, (1, 1, 1)),
        ({"end": 4, "to_come": 6}, {"safety_stock": 10}, (0, 0, 0)),
        # Short 2, then a receipt of 20: the shortfall must be bought although the end is 18.
        ({"shortfall": 2, "first_short": TUE, "end": 18}, {"safety_stock": 10}, (2, 2, 2)),
        # Short 2 and below safety stock: 10 - (-2) = 12 covers both.
        ({"shortfall": 2, "first_short": TUE, "end": -2}, {"safety_stock": 10}, (12, 12, 12)),
        # A negative position is restored from below nothing: 0 - (-4), though nothing is short.
        ({"end": -4}, {}, (4, 4, 4)),
        # Reorder point 5, up to 20: at 5 order 15, at 6 nothing, at -1 order 21.
        ({"end": 5}, {"reorder_point": 5, "order_up_to": 20}, (15, 15, 15)),
        ({"end": 6}, {"reorder_point": 5, "order_up_to": 20}, (0, 0, 0)),
        (
            {"end": -1, "shortfall": 1, "first_short": FRI},
            {"reorder_point": 5, "order_up_to": 20},
            (21, 21, 21),
        ),
        ({"end": 2, "to_come": 4}, {"reorder_point": 5, "order_up_to": 20}, (0, 0, 0)),
        ({"end": 2, "to_come": 3}, {"reorder_point": 5, "order_up_to": 20, "pack": 6}, (15, 18, 3)),
        # One of the two levels alone says nothing.
        ({"end": 2}, {"reorder_point": 5}, (0, 0, 0)),
        ({"end": 2}, {"order_up_to": 20}, (0, 0, 0)),
        # A level never makes the order smaller: safety stock asks for 30 - 5.
        ({"end": 5}, {"reorder_point": 5, "order_up_to": 20, "safety_stock": 30}, (25, 25, 25)),
        # A reorder point of nothing is a level too.
        ({"end": 0}, {"reorder_point": 0, "order_up_to": 8}, (8, 8, 8)),
        # Millilitres: 0.3 short, bottles of 50.
        ({"shortfall": "0.3", "first_short": WED, "end": "-0.3"}, {"pack": 50}, ("0.3", 50, 1)),
        # A pack that is no whole number: 2 wanted in rolls of 3/4: three rolls.
        ({"shortfall": 2, "first_short": WED, "end": -2}, {"pack": "3/4"}, (2, "9/4", 3)),
    ],
)
def test_how_much_is_ordered(state, given, expected):
    assert quantities(**state, **given) == tuple(map(Fraction, expected))


# When: required by the first short day, else the last day; order by lead time working days earlier.


@pytest.mark.parametrize(
    ("first_short", "lead_time", "required", "order_by", "late"),
    [
        (WED, 5, WED, date(2026, 11, 25), True),  # 1, 30, 27, 26, 25: before today
        (WED, 3, WED, date(2026, 11, 27), False),  # today itself is not late
        (WED, 4, WED, date(2026, 11, 26), True),
        (WED, 0, WED, WED, False),
        (None, 5, FRI, date(2026, 11, 27), False),  # 3, 2, 1, 30, 27
        (WED, None, WED, None, False),
    ],
)
def test_when_it_is_required_and_to_be_ordered(first_short, lead_time, required, order_by, late):
    found = ordered(2 if first_short else 0, first_short, -2, lead_time=lead_time)
    assert (found.required_by, found.order_by, found.late) == (required, order_by, late)


def test_holidays_move_the_order_earlier():
    off = WorkDays(holidays=frozenset({TUE, date(2026, 11, 30)}))
    # From Thursday 3rd three working days back: Wednesday 2nd, Friday 27th, Thursday 26th.
    assert ordered(1, THU, -1, lead_time=3, days=off).order_by == date(2026, 11, 26)


def test_no_order_has_no_dates_and_is_never_late():
    found = ordered(end=5, lead_time=400)
    assert (found.required_by, found.order_by, found.late) == (None, None, False)


def test_an_endless_lead_time_gives_no_day():
    found = ordered(1, WED, -1, lead_time=3_000_000)
    assert (found.quantity, found.order_by, found.late) == (1, None, False)


# Through a week.


def test_a_late_order_names_the_jobs_at_risk():
    # 4 on hand; 2 on Tuesday, 2 and 2 on Wednesday: short 2 from Wednesday, packs of 50, lead time 5.
    jobs = [kit_job("J-101", TUE, "F"), kit_job("J-102", WED, "F"), kit_job("J-104", WED, "F")]
    shelf = stock(part("A", 4, pack=50, lead_time=5))
    found = part_of(planned(jobs, [kit_frame("F", {"A": 2})], shelf), "A")
    assert (found.needed, found.shortfall, found.first_short, found.end) == (6, 2, WED, -2)
    assert (found.want, found.order, found.packs) == (2, 50, 1)
    assert (found.required_by, found.order_by, found.late) == (WED, date(2026, 11, 25), True)
    assert [each.job for each in found.at_risk] == ["J-104"]


def test_a_part_below_its_levels_is_listed_though_no_job_needs_it():
    shelf = stock(part("A", 4, safety_stock=10), part("B", 10, safety_stock=10), part("C", 1, 3))
    week = planned([], [], shelf)
    # A: 10 - 4; B is at its level; C stands at 1 - 3 = -2.
    assert [(each.part.number, each.order) for each in week.parts] == [("A", 6), ("C", 2)]


def test_safety_stock_serves_jobs_and_reordering_restores_it():
    week = planned(
        [kit_job("J-1", TUE, "F")], [kit_frame("F", {"A": 2})], stock(part("A", 5, safety_stock=5))
    )
    found = part_of(week, "A")
    assert (week.jobs[0].kit, found.shortfall, found.end, found.order) == ("complete", 0, 3, 2)


def test_what_is_due_after_the_period_counts_for_levels_but_not_for_kits():
    # 1 of 2 there on Tuesday, 9 due the week after: 1 short; position -1 + 9 = 8 of 8.
    shelf = stock(part("A", 1, safety_stock=8), due=(due("A", 9, date(2026, 12, 9)),))
    found = part_of(planned([kit_job("J-1", TUE, "F")], [kit_frame("F", {"A": 2})], shelf), "A")
    assert (found.shortfall, found.end, found.position, found.want) == (1, -1, 8, 1)


def test_a_new_part_is_ordered_by_the_piece_with_no_known_day():
    found = part_of(planned([kit_job("J-1", TUE, "F")], [kit_frame("F", {"A": 3})], stock()), "A")
    assert (found.part.new, found.order, found.packs, found.order_by, found.late) == (True, 3, 3, None, False)
