"""One part day by day: what is there, what is taken, what is short, what is left."""

from collections import defaultdict
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from workshop import (
    FRI,
    MON,
    THU,
    TUE,
    WED,
    bins,
    days_off,
    due,
    frame,
    inch,
    job,
    joint,
    kit_frame,
    kit_job,
    kits,
    part,
    part_of,
    planned,
    screw,
    seat_width,
    stock,
    window,
)

from reconcile.plan.flows.timeline import Flow, net, shelf_days, short_units

NEXT_MON, NEXT_TUE = date(2026, 12, 7), date(2026, 12, 8)


def by_day(given):
    return defaultdict(Fraction, {day: Fraction(quantity) for day, quantity in (given or {}).items()})


def flow(book=0, received=None, recovered=None, needed=None, given=None):
    return Flow(
        Fraction(book), by_day(received), by_day(recovered), by_day(needed), by_day(given or recovered)
    )


def netted(one_flow, last=FRI, reach=FRI):
    found = net(one_flow, last, reach)
    return found.shortfall, found.first_short, found.end, found.position


# Netting: the greatest excess of needed over there, day by day.


@pytest.mark.parametrize(
    ("one_flow", "expected"),
    [
        # 4 there, 3 + 3 taken: 2 short from Wednesday on.
        (flow(4, needed={TUE: 3, WED: 3}), (2, WED, -2, -2)),
        # Just enough.
        (flow(6, needed={TUE: 3, WED: 3}), (0, None, 0, 0)),
        # Nothing is needed.
        (flow(6), (0, None, 6, 6)),
        # 5 needed on Tuesday, 5 due on Wednesday: 5 short on the day, none at the end.
        (flow(0, {WED: 5}, needed={TUE: 5}), (5, TUE, 0, 0)),
        # Due on the day itself serves the day.
        (flow(0, {TUE: 5}, needed={TUE: 5}), (0, None, 0, 0)),
        # 5 short on Tuesday; Wednesday brings 10; Thursday takes 6: 11 - 10 = 1 short. The most is 5.
        (flow(0, {WED: 10}, needed={TUE: 5, THU: 6}), (5, TUE, -1, -1)),
        # 1 short on Monday, 3 short in all by Friday: the most is 3, the first day is Monday.
        (flow(0, needed={MON: 1, FRI: 2}), (3, MON, -3, -3)),
        # Recovered parts serve like received ones.
        (flow(1, recovered={WED: 2}, needed={MON: 1, WED: 2}), (0, None, 0, 0)),
        (flow(1, recovered={THU: 2}, needed={MON: 1, WED: 2}), (2, WED, 0, 0)),
        # What comes after Friday is neither there nor left, but still to come: 7, and the 2 that Friday's job
        # gives back; what a job of next week gives back is beyond the reach. -2 + 7 + 2, -2 + 7.
        (flow(1, {NEXT_MON: 7}, {NEXT_TUE: 2}, {FRI: 3}, {FRI: 2}), (2, FRI, -2, 7)),
        (flow(1, {NEXT_MON: 7}, {NEXT_TUE: 2}, {FRI: 3}, {NEXT_MON: 2}), (2, FRI, -2, 5)),
        # Exact thirds.
        (flow("2/3", needed={TUE: "1/3", WED: "1/3", THU: "1/3"}), ("1/3", THU, "-1/3", "-1/3")),
    ],
)
def test_netting(one_flow, expected):
    shortfall, first_short, end, position = expected
    assert netted(one_flow) == (Fraction(shortfall), first_short, Fraction(end), Fraction(position))


@pytest.mark.parametrize(
    ("reach", "expected"),
    [
        # 4 there, 3 taken on Tuesday and 3 on Monday of next week. Up to Friday nothing is short, and what
        # lacks later is left to a later run.
        (FRI, (0, None, 1, 1, 2)),
        # Up to that Monday 2 are short, first then; the end is that of Friday, the position 1 - 3.
        (NEXT_MON, (2, NEXT_MON, 1, -2, 0)),
        # Nothing is due or given back up to that Tuesday.
        (NEXT_TUE, (2, NEXT_MON, 1, -2, 0)),
    ],
)
def test_netting_up_to_the_reach(reach, expected):
    found = net(flow(4, needed={TUE: 3, NEXT_MON: 3}), FRI, reach)
    assert (found.shortfall, found.first_short, found.end, found.position, found.beyond) == expected


def test_what_is_on_order_beyond_the_reach_is_still_to_come():
    # Position: 1 left on Friday, 3 taken on Monday, 9 due on Tuesday of next week. Monday is 2 short of it.
    found = net(flow(1, {NEXT_TUE: 9}, needed={NEXT_MON: 3}), FRI, NEXT_MON)
    assert (found.shortfall, found.first_short, found.end, found.position) == (2, NEXT_MON, 1, 7)


def test_what_is_given_back_later_counts_up_to_the_reach_only():
    # 2 given back on Friday (usable on Monday), 4 given back on Tuesday of next week (usable on Wednesday).
    given_back = {FRI: 2, NEXT_TUE: 4}
    usable = {NEXT_MON: 2, date(2026, 12, 9): 4}
    one_flow = flow(1, {}, usable, {NEXT_MON: 5}, given_back)
    # Up to Monday: 5 over 1 + 2 is 2 short; position 1 - 5 + 2. Up to Tuesday the 4 come to it.
    assert netted(one_flow, reach=NEXT_MON) == (2, NEXT_MON, 1, -2)
    assert netted(one_flow, reach=NEXT_TUE) == (2, NEXT_MON, 1, 2)


def test_allocated_above_on_hand_leaves_nothing_for_kits_and_a_true_end():
    # On hand 2, allocated 5: nothing there, so 1 needed is 1 short; the end is 2 - 5 - 1 = -4.
    assert netted(flow(-3, needed={TUE: 1})) == (1, TUE, -4, -4)
    # 4 due on Wednesday serve kits in full: 1 + 4 needed, 4 there: 1 short; the end is -3 + 4 - 5.
    assert netted(flow(-3, {WED: 4}, needed={TUE: 1, WED: 4})) == (1, TUE, -4, -4)


def test_allocation_of_one_bin_is_met_from_another():
    # Bins (1, 3) and (4, 0): 5 on hand less 3 is 2; two jobs of 1 are served, the third is not.
    shelf = stock(replace(part("A"), bins=bins((1, 3), (4, 0))))
    jobs = [kit_job(f"J-{n}", TUE, "F") for n in (1, 2, 3)]
    week = planned(jobs, [kit_frame("F", {"A": 1})], shelf)
    assert list(kits(week).values()) == ["complete", "complete", "short"]
    assert part_of(week, "A").shortfall == 1


# The shelf, day by day.


def test_the_shelf_tells_every_day_on_which_something_comes_or_goes_and_the_last():
    story = shelf_days(flow(2, {TUE: 3, NEXT_MON: 9}, {WED: 1}, {TUE: 4}), FRI)
    assert [(each.day, each.received, each.recovered, each.taken, each.left) for each in story] == [
        (TUE, 3, 0, 4, 1),
        (WED, 0, 1, 0, 2),
        (FRI, 0, 0, 0, 2),
    ]


def test_the_shelf_starts_from_the_true_book():
    assert [each.left for each in shelf_days(flow(-3, needed={TUE: 1}), FRI)] == [-4, -4]


# Which needs go without.


def test_needs_take_in_turn_and_may_take_part_of_what_they_want():
    one_flow = flow(3, {WED: 1}, needed={TUE: 4, WED: 2})
    needs = [(TUE, Fraction(2)), (TUE, Fraction(2)), (WED, Fraction(2))]
    # 3 there: 2, then 1 of 2; Wednesday's 1 of 2.
    assert short_units(one_flow, needs) == [0, 1, 1]
    assert sum(short_units(one_flow, needs)) == net(one_flow, FRI, FRI).shortfall


def test_short_units_name_the_jobs_at_risk():
    jobs = [kit_job("J-1", WED, "F"), kit_job("J-2", TUE, "F", priority=1), kit_job("J-3", TUE, "F")]
    week = planned(jobs, [kit_frame("F", {"A": 2})], stock(part("A", 3)))
    # In order of day and priority: J-2 takes 2, J-3 takes 1 of 2, J-1 goes without.
    found = part_of(week, "A")
    assert [(each.job, each.day, each.quantity) for each in found.at_risk] == [
        ("J-3", TUE, 1),
        ("J-1", WED, 2),
    ]
    assert (found.shortfall, found.first_short, found.jobs) == (3, TUE, ("J-2", "J-3", "J-1"))


# Recovered parts: after inspection, counted in working days.

GIVES, TAKES = kit_frame("G", {}, ("A",)), kit_frame("T", {"A": 1})


def with_recovery(given_on, taken_on, **settings):
    jobs = [kit_job("J-1", given_on, "G"), kit_job("J-2", taken_on, "T")]
    return planned(jobs, [GIVES, TAKES], stock(part("A")), **settings)


@pytest.mark.parametrize(
    ("given_on", "taken_on", "settings", "kit"),
    [
        (TUE, TUE, {}, "short"),  # never the same day
        (TUE, WED, {}, "waits"),  # one working day by default
        (TUE, WED, {"inspection_days": 2}, "short"),
        (TUE, THU, {"inspection_days": 2}, "waits"),
        (TUE, WED, {"days": days_off(WED)}, "short"),  # Wednesday is a holiday: usable on Thursday
        (TUE, THU, {"days": days_off(WED)}, "waits"),
        (TUE, WED, {"use_recovered": False}, "short"),
    ],
)
def test_a_recovered_part_serves_after_inspection(given_on, taken_on, settings, kit):
    assert kits(with_recovery(given_on, taken_on, **settings))["J-2"] == kit


def test_what_is_recovered_on_the_last_day_is_still_to_come():
    # Friday + 1 working day is Monday of the next week.
    found = part_of(with_recovery(FRI, FRI), "A")
    assert (found.recovered, found.end, found.position, found.shortfall) == (1, -1, 0, 1)


def test_recovery_may_be_switched_off():
    found = part_of(with_recovery(TUE, THU, use_recovered=False), "A")
    assert (found.recovered, found.shortfall) == (0, 1)


def test_every_job_of_the_period_recovers_for_the_shortfall_even_one_without_a_kit():
    # J-1 lacks B and is short, so J-2 gets no A; with all jobs done there would be no shortfall of A.
    jobs = [kit_job("J-1", TUE, "G"), kit_job("J-2", WED, "T")]
    frames = [kit_frame("G", {"B": 1}, ("A",)), TAKES]
    week = planned(jobs, frames, stock(part("A"), part("B")))
    assert kits(week) == {"J-1": "short", "J-2": "short"}
    assert (part_of(week, "A").shortfall, part_of(week, "B").shortfall) == (0, 1)


def test_bolts_that_serve_once_are_not_recovered():
    # 14 to 15 in: 1 1/2 in out, 2 in in, one a side.
    shelf = [screw("B-150", "1 1/2"), screw("B-200", "2", 9), part("SP-050", 9), part("SP-100", 9)]
    for reuse in (False, True):
        built = seat_width(joint(reuse=reuse))
        jobs = [job("J-1", MON, "14", "15"), job("J-2", WED, "15", "14")]
        found = part_of(planned(jobs, [frame(built)], stock(*shelf)), "B-150")
        assert (found.needed, found.recovered, found.shortfall) == ((2, 2, 0) if reuse else (2, 0, 2))


# Days that are no working days, and days that have passed.


def test_a_job_on_a_day_off_keeps_its_day_with_a_notice():
    week = planned([kit_job("J-1", WED, "T")], [TAKES], stock(part("A", 1)), days=days_off(WED))
    assert (week.jobs[0].kit, week.jobs[0].job.day) == ("complete", WED)
    assert [(each.code, each.place.cell) for each in week.problems] == [("day-not-worked", "B1")]


def test_a_job_before_today_is_still_to_do_with_a_notice():
    week = planned([kit_job("J-1", MON, "T")], [TAKES], stock(part("A", 1)), today=WED)
    assert (week.jobs[0].kit, part_of(week, "A").needed) == ("complete", 1)
    assert [each.code for each in week.problems] == ["day-past"]


def test_a_day_at_the_end_of_the_calendar_is_planned_and_no_traceback():
    last = date(9999, 12, 31)
    week = planned([kit_job("J-1", last, "G")], [GIVES], stock(part("A")))
    assert kits(week) == {"J-1": "complete"}


# With choices (section "least to buy"): substitutes on the shelf are used before anything is bought.


def test_substitutes_on_the_shelf_are_used_before_anything_is_bought():
    # Two bolts of 2 in wanted, alike on both sides; one of 2 in and two of 2 1/8 in (inside 1 7/8 to 2 1/8)
    # lie there.
    built = seat_width(joint(**window("3/8", "5/8"), spacers=()))
    shelf = stock(screw("B-200", "2", 1), screw("B-212", "2 1/8", 2))
    week = planned([job("J-1", TUE, "14", "15")], [frame(built)], shelf)
    assert {each.part.number: (each.needed, each.shortfall) for each in week.parts} == {"B-212": (2, 0)}


def test_the_length_of_a_needed_bolt_is_what_the_case_says():
    # The window of the case above, so that it fails for no other reason.
    asked = joint(**window("3/8", "5/8"))
    assert asked.length_at(1, frozenset()) == inch("2")
    assert inch("2 1/8") in asked.window_at(1, frozenset())


def test_what_is_due_serves_only_from_its_day_on():
    week = planned([kit_job("J-1", TUE, "T")], [TAKES], stock(part("A"), due=(due("A", 5, WED),)))
    found = part_of(week, "A")
    assert (found.on_order, found.shortfall, found.end) == (5, 1, 4)
