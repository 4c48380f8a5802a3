"""What can still be ordered in time: the states of jobs, by when to order, what is missing, who comes first.

Today is Friday 27 November 2026; the period is the week after it. Kits of frame F take one A, those of G two,
those of H one A and one B. A part with a lead time of n working days can be had for day t if the n-th working
day before t is today or later: with 3 from Wednesday on, since the working days before it are Tuesday 1,
Monday 30 and Friday 27; with 2 from Tuesday on.
"""

from datetime import date
from fractions import Fraction

import pytest
from workshop import (
    AS_OF,
    FRI,
    FRIDAY_BEFORE,
    MON,
    THU,
    TUE,
    WED,
    all_kits,
    counting,
    days_off,
    due,
    frame,
    inputs_of,
    job,
    job_of,
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

from reconcile.plan.flows.reach import open_from, reach_of
from reconcile.values.days import WorkDays
from reconcile.week import promise

ONE_A, TWO_A, A_AND_B = kit_frame("F", {"A": 1}), kit_frame("G", {"A": 2}), kit_frame("H", {"A": 1, "B": 1})
FRAMES = (ONE_A, TWO_A, A_AND_B)
NEXT_MON, NEXT_TUE, NEXT_FRI = date(2026, 12, 7), date(2026, 12, 8), date(2026, 12, 11)
SAT = date(2026, 12, 5)
FIVE_DAYS = WorkDays()


def week_of(jobs, *parts, dues=(), **asked):
    return planned(counting(jobs), FRAMES, stock(*parts, due=dues), **asked)


def lacks(week, number):
    return [(each.part, each.quantity, each.in_time) for each in job_of(week, number).missing]


# From which day on a part can be had.


@pytest.mark.parametrize(
    ("lead_time", "today", "days", "first"),
    [
        (0, FRIDAY_BEFORE, FIVE_DAYS, FRIDAY_BEFORE),  # ordered and there on the same day
        (1, FRIDAY_BEFORE, FIVE_DAYS, date(2026, 11, 28)),  # the first before Saturday is Friday itself
        (2, FRIDAY_BEFORE, FIVE_DAYS, TUE),  # before Tuesday: Mon 30, Fri 27
        (3, FRIDAY_BEFORE, FIVE_DAYS, WED),  # before Wednesday: Tue 1, Mon 30, Fri 27
        (5, FRIDAY_BEFORE, FIVE_DAYS, FRI),
        (6, FRIDAY_BEFORE, FIVE_DAYS, SAT),  # before Saturday: Fri 4 to Fri 27
        (1, date(2026, 11, 28), FIVE_DAYS, TUE),  # today is a Saturday: before Monday is Friday, too early
        (2, FRIDAY_BEFORE, days_off(MON), WED),  # Monday is a holiday: before Wednesday Tue 1, Fri 27
        (2, FRIDAY_BEFORE, days_off(FRIDAY_BEFORE), WED),  # today is one: Tue 1, Mon 30
    ],
)
def test_the_first_day_for_which_a_part_can_be_had(lead_time, today, days, first):
    assert open_from(part("A", lead_time=lead_time), None, today, days) == first
    # By the rule itself: the n-th working day before it is today or later; of the day before it is not.
    assert days.before(first, lead_time) >= today
    if lead_time:
        assert days.before(date.fromordinal(first.toordinal() - 1), lead_time) < today


def test_without_a_lead_time_it_never_can_unless_the_workshop_has_one():
    assert open_from(part("A"), None, FRIDAY_BEFORE, FIVE_DAYS) is None
    assert open_from(part("A"), 2, FRIDAY_BEFORE, FIVE_DAYS) == TUE
    assert open_from(part("A", lead_time=3), 2, FRIDAY_BEFORE, FIVE_DAYS) == WED
    assert open_from(part("A", new=True), 2, FRIDAY_BEFORE, FIVE_DAYS) is None


# The states.


def test_complete_waits_order_and_short():
    # One A lies there, one comes on Tuesday; A takes 3 working days, so from Wednesday on it can be ordered.
    # Monday takes that of the shelf; the urgent Tuesday job the one that comes; the other Tuesday job is
    # short; Thursday's lacks 1, to be ordered 3 working days before: Mon 30.
    jobs = [
        kit_job("J-1", MON, "F"),
        kit_job("J-2", TUE, "F", priority=1),
        kit_job("J-3", TUE, "F"),
        kit_job("J-4", THU, "F"),
    ]
    week = week_of(jobs, part("A", 1, lead_time=3), dues=(due("A", 1, TUE),))
    assert kits(week) == {"J-1": "complete", "J-2": "waits", "J-3": "short", "J-4": "order"}
    assert (lacks(week, "J-4"), job_of(week, "J-4").order_by) == ([("A", 1, True)], MON)
    assert [job_of(week, each).order_by for each in ("J-1", "J-2", "J-3")] == [None] * 3
    # Short: beside what is to be ordered for J-4 one more; it could be done from Wednesday on.
    assert (lacks(week, "J-3"), job_of(week, "J-3").earliest) == ([("A", 1, False)], WED)


def test_one_that_finds_only_part_of_a_quantity_takes_that_part():
    # 3 there, each takes 2, more can be had from Tuesday on: J-2 finds 1 and lacks 1; J-3 lacks 2.
    jobs = [kit_job("J-1", TUE, "G"), kit_job("J-2", WED, "G"), kit_job("J-3", THU, "G")]
    week = week_of(jobs, part("A", 3, lead_time=2))
    assert kits(week) == {"J-1": "complete", "J-2": "order", "J-3": "order"}
    assert (lacks(week, "J-2"), lacks(week, "J-3")) == ([("A", 1, True)], [("A", 2, True)])
    # So what they lack is what is to be bought: 6 - 3.
    assert part_of(week, "A").shortfall == 3


def test_one_may_await_some_and_have_to_order_the_rest():
    week = week_of([kit_job("J-1", WED, "G", chairs=2)], part("A", 1, lead_time=2), dues=(due("A", 2, TUE),))
    # 4 wanted: 1 there, 2 due on Tuesday, 1 to be ordered by Monday.
    result = job_of(week, "J-1")
    assert (result.kit, lacks(week, "J-1"), result.order_by) == ("order", [("A", 1, True)], MON)
    assert [(each.quantity, each.day) for each in result.awaited] == [(2, TUE)]


def test_a_later_job_takes_nothing_that_is_bounded_before():
    # The urgent Friday job could have the only A; but it can be ordered for Friday and not for Monday.
    jobs = [kit_job("J-1", MON, "F"), kit_job("J-2", FRI, "F", priority=1)]
    week = week_of(jobs, part("A", 1, lead_time=5))
    assert kits(week) == {"J-1": "complete", "J-2": "order"}
    assert job_of(week, "J-2").order_by == FRIDAY_BEFORE
    assert kits(week_of(jobs, part("A", 1, lead_time=6))) == {"J-1": "short", "J-2": "complete"}


def test_order_by_is_the_earliest_of_the_days():
    # B takes 4 working days, A 2: before Friday that is Mon 30 and Wed 2.
    week = week_of([kit_job("J-1", FRI, "H")], part("A", 0, lead_time=2), part("B", 0, lead_time=4))
    assert (job_of(week, "J-1").order_by, lacks(week, "J-1")) == (MON, [("A", 1, True), ("B", 1, True)])


def test_a_lead_time_of_nothing_serves_today():
    week = week_of([kit_job("J-1", FRIDAY_BEFORE, "F")], part("A", 0, lead_time=0))
    assert (all_kits(week), job_of(week, "J-1").order_by) == ({"J-1": "order"}, FRIDAY_BEFORE)


def test_weekends_and_holidays_lie_in_the_lead_time():
    # Two working days before Wednesday: Tue 1 and Mon 30; with both off, Fri 27 and Thu 26: too late.
    jobs, a = [kit_job("J-1", WED, "F")], part("A", 0, lead_time=2)
    assert job_of(week_of(jobs, a), "J-1").order_by == MON
    off = week_of(jobs, a, days=days_off(MON, TUE))
    # The second working day before Thursday is Fri 27 then: Thursday is the first day that would do.
    assert (kits(off), job_of(off, "J-1").earliest) == ({"J-1": "short"}, THU)


def test_the_workshops_lead_time_serves_parts_that_name_none():
    jobs = [kit_job("J-1", WED, "F")]
    assert kits(week_of(jobs, part("A"))) == {"J-1": "short"}
    assert kits(week_of(jobs, part("A"), lead_time_days=3)) == {"J-1": "order"}
    assert kits(week_of(jobs, part("A"), lead_time_days=4)) == {"J-1": "short"}
    assert kits(week_of(jobs, part("A", lead_time=4), lead_time_days=3)) == {"J-1": "short"}
    # A part that stock does not list can never be had in time.
    assert kits(week_of(jobs, lead_time_days=0)) == {"J-1": "short"}


def test_a_job_of_a_day_gone_by_is_ordered_for_the_first_working_day_from_today_on():
    # Thursday's job was not done. Today is Saturday: it is planned as if for Monday 30.
    saturday = date(2026, 11, 28)
    jobs = counting([kit_job("J-1", date(2026, 11, 26), "F")], today=saturday)
    week = planned(jobs, FRAMES, stock(part("A", 0, lead_time=0)), today=saturday)
    assert (all_kits(week), job_of(week, "J-1").order_by) == ({"J-1": "order"}, MON)
    assert [each.job.number for each in week.others] == ["J-1"]


def test_one_left_over_takes_before_that_days_own_jobs_of_its_priority():
    left, own = kit_job("J-9", date(2026, 11, 26), "F"), kit_job("J-1", FRIDAY_BEFORE, "F")
    assert all_kits(week_of([own, left], part("A", 1))) == {"J-9": "complete", "J-1": "short"}
    urgent = kit_job("J-1", FRIDAY_BEFORE, "F", priority=1)
    assert all_kits(week_of([urgent, left], part("A", 1))) == {"J-9": "short", "J-1": "complete"}


# What a short job misses, and when it could be done.


def test_missing_tells_what_can_be_had_in_time_and_what_not():
    # A can be had for Wednesday (3 days), B cannot (4 days): both are missing, one of them in time.
    week = week_of([kit_job("J-1", WED, "H")], part("A", 0, lead_time=3), part("B", 0, lead_time=4))
    assert kits(week) == {"J-1": "short"}
    assert (lacks(week, "J-1"), job_of(week, "J-1").order_by) == ([("A", 1, True), ("B", 1, False)], None)
    # B for Thursday: the fourth before it is Fri 27.
    assert job_of(week, "J-1").earliest == THU


def test_missing_counts_beyond_what_is_to_be_ordered_for_the_chosen():
    # Friday's job takes 4 of 2: 2 are to be ordered. Monday's 1 comes on top: the greatest excess goes
    # from 2 to 3.
    jobs = [kit_job("J-1", MON, "H"), kit_job("J-2", FRI, "G", chairs=2)]
    week = week_of(jobs, part("A", 2, lead_time=5), part("B", 0))
    assert kits(week) == {"J-1": "short", "J-2": "order"}
    assert lacks(week, "J-2") == [("A", 2, True)]
    assert lacks(week, "J-1") == [("A", 1, False), ("B", 1, False)]


def test_earliest_never_takes_from_a_chosen_job_but_lets_it_be_ordered_for():
    # The A of Tuesday is for Thursday's job, for which A cannot be ordered (lead time 6: from Saturday on).
    jobs = [kit_job("J-1", MON, "F"), kit_job("J-2", THU, "F")]
    late = week_of(jobs, part("A", 0, lead_time=6), dues=(due("A", 1, TUE),))
    assert (kits(late), job_of(late, "J-1").earliest) == ({"J-1": "short", "J-2": "waits"}, NEXT_MON)
    # With 4 days it can be ordered for Thursday: then Tuesday's serves J-1 on Tuesday.
    soon = week_of(jobs, part("A", 0, lead_time=4), dues=(due("A", 1, TUE),))
    assert (kits(soon), job_of(soon, "J-1").earliest) == ({"J-1": "short", "J-2": "waits"}, TUE)


# The stages.


def bolts(*jobs, shelf):
    built = seat_width(joint(**window("3/8", "5/8"), spacers=()))
    return planned(counting(jobs), [frame(built)], stock(*shelf))


def fitted(week, number):
    return sorted(
        {part for line in job_of(week, number).lines if line.line.do == "fit" for part, _ in line.parts}
    )


def test_substitutes_of_the_period_weigh_before_those_of_later_weeks():
    # Two bolts of 2 in and two of 2 1/8 in, a substitute: one job of either week has the exact ones. Of
    # equals the later one must take the substitute, though its row is the earlier.
    shelf = [screw("B-200", "2", 2), screw("B-212", "2 1/8", 2)]
    week = bolts(job("J-1", NEXT_TUE, "14", "15", row=2), job("J-2", TUE, "14", "15", row=3), shelf=shelf)
    assert (fitted(week, "J-2"), fitted(week, "J-1")) == (["B-200"], ["B-212"])


def test_no_substitute_is_taken_for_what_can_be_ordered():
    shelf = [screw("B-200", "2", 0, lead_time=2), screw("B-212", "2 1/8", 2)]
    week = bolts(job("J-1", TUE, "14", "15"), shelf=shelf)
    assert (kits(week), fitted(week, "J-1")) == ({"J-1": "order"}, ["B-200"])
    # For Monday it cannot be had: the substitute serves.
    week = bolts(job("J-1", MON, "14", "15"), shelf=shelf)
    assert (kits(week), fitted(week, "J-1")) == ({"J-1": "complete"}, ["B-212"])


def test_units_still_to_be_ordered_weigh_before_dates_and_rows():
    # One A for two jobs; for J-1 a B would have to be ordered as well, so
    # J-2 gets the kit though its row is the later.
    jobs = [kit_job("J-1", THU, "H", row=2), kit_job("J-2", THU, "F", row=3)]
    week = week_of(jobs, part("A", 1), part("B", 0, lead_time=1))
    assert kits(week) == {"J-1": "short", "J-2": "complete"}


def test_units_of_the_period_are_ordered_last():
    # An inch of spacers: one piece of 1 in, or two of half an inch; both can be ordered from Monday on. There
    # are two of 1 in, one job's; a job of either week: the period's takes what is there.
    built = frame(seat_width(joint()))
    shelf = [
        screw("B-250", "2 1/2", 4),
        part("SP-100", 2, lead_time=1),
        part("SP-050", 0, lead_time=1),
    ]
    jobs = counting([job("J-1", NEXT_TUE, "14", "16", row=2), job("J-2", TUE, "14", "16", row=3)])
    week = planned(jobs, [built], stock(*shelf))
    assert all_kits(week) == {"J-1": "order", "J-2": "complete"}
    # Two of 1 in are fewer units than four of half an inch.
    assert lacks(week, "J-1") == [("SP-100", 2, True)]


def test_own_dates_then_rows_settle_what_is_left():
    # Two jobs gone by are planned for the same day: the one of the earlier date gets the A.
    days = (date(2026, 11, 26), date(2026, 11, 25))
    jobs = [kit_job(f"J-{n}", day, "F", row=n) for n, day in enumerate(days, 1)]
    assert all_kits(week_of(jobs, part("A", 1))) == {"J-1": "short", "J-2": "complete"}


# What is to be bought: chosen jobs keep their parts.


def test_chosen_jobs_keep_their_parts_when_the_others_are_served():
    # J-1 (priority 1) has the two exact bolts; J-2 on the same day finds none of either length. Were all
    # served anew, anybody might have the exact ones; J-1 keeps them, and two are bought for J-2.
    shelf = [screw("B-200", "2", 2)]
    week = bolts(job("J-1", TUE, "14", "15", priority=1), job("J-2", TUE, "14", "15"), shelf=shelf)
    assert kits(week) == {"J-1": "complete", "J-2": "short"}
    assert [(each.part.number, each.needed, each.shortfall) for each in week.parts] == [("B-200", 4, 2)]


def test_what_chosen_and_other_jobs_lack_together_is_bought():
    # Friday's job of 5 A finds 1: 4 are to be ordered. Monday's of 2 A is short of C. Bought: 7 - 1 of A.
    frames = (kit_frame("K", {"A": 5}), kit_frame("L", {"A": 2, "C": 1}))
    jobs = [kit_job("J-1", FRI, "K"), kit_job("J-2", MON, "L")]
    week = planned(jobs, frames, stock(part("A", 1, lead_time=5), part("C")))
    assert kits(week) == {"J-1": "order", "J-2": "short"}
    found = part_of(week, "A")
    assert (found.shortfall, found.first_short, found.needed) == (6, MON, 7)
    assert week.solution.proven


def test_the_least_to_buy_is_proven_beside_jobs_that_must_be_ordered_for():
    # J-1 takes five of the exact length by order; J-2, which wants a bolt of either length and lacks C,
    # takes the substitute that lies there, so that nothing more than J-1's and C is bought.
    built = frame(seat_width(joint(**window("3/8", "5/8"), spacers=())))
    takes = kit_frame("K", {"B-200": 5})
    shelf = stock(screw("B-200", "2", 0, lead_time=5), screw("B-212", "2 1/8", 1))
    jobs = [kit_job("J-1", FRI, "K"), job("J-2", TUE, "14", "15")]
    week = planned(jobs, [built, takes], shelf)
    # J-2 needs two alike; one of 2 1/8 in is there: one more of it is the least, against two of 2 in.
    assert kits(week) == {"J-1": "order", "J-2": "short"}
    assert {each.part.number: each.shortfall for each in week.parts} == {"B-200": 5, "B-212": 1}
    assert week.solution.proven


# Orders by reach.


def ahead(jobs, *parts, dues=(), **asked):
    return week_of(jobs, *parts, dues=dues, look_ahead=date(2027, 1, 22), **asked)


@pytest.mark.parametrize(
    ("lead_time", "days", "reach"),
    [
        (0, FIVE_DAYS, FRI),
        (1, FIVE_DAYS, NEXT_MON),
        (5, FIVE_DAYS, NEXT_FRI),
        (5, days_off(NEXT_MON), date(2026, 12, 14)),
        (None, FIVE_DAYS, date(2027, 1, 22)),
    ],
)
def test_the_reach(lead_time, days, reach):
    assert reach_of(part("A", lead_time=lead_time), None, FRI, date(2027, 1, 22), days) == reach


def test_what_lies_within_the_reach_is_ordered_and_what_lies_beyond_is_to_come():
    # 4 A, lead time 2: reach Tue 8 December. Needed: 3 on Tuesday, 2 on Monday 7, 5 on Friday 11.
    # Up to the reach 5 of 4: 1 short, first on Monday; beyond it 5 more.
    jobs = [
        kit_job("J-1", TUE, "F", chairs=3), kit_job("J-2", NEXT_MON, "F", chairs=2),
        kit_job("J-3", NEXT_FRI, "F", chairs=5),
    ]  # fmt: skip
    found = part_of(ahead(jobs, part("A", 4, lead_time=2)), "A")
    assert (found.reach, found.needed, found.needed_later) == (NEXT_TUE, 3, 2)
    assert (found.shortfall, found.first_short, found.beyond) == (1, NEXT_MON, 5)
    # End 4 - 3; position 1 - 2.
    assert (found.end, found.position, found.want, found.order) == (1, -1, 1, 1)
    # Required by Monday 7; two working days before: Thu 3. Not late.
    assert (found.required_by, found.order_by, found.late) == (NEXT_MON, THU, False)


def test_what_is_needed_beyond_the_reach_alone_is_listed_and_not_ordered():
    found = part_of(ahead([kit_job("J-1", NEXT_FRI, "F")], part("A", 0, lead_time=2)), "A")
    assert (found.needed, found.needed_later, found.beyond, found.order) == (0, 0, 1, 0)
    assert (found.required_by, found.order_by, found.late) == (None, None, False)


def test_safety_stock_is_restored_from_the_position():
    # 10 there, safety stock 8: 1 on Tuesday, 2 on Monday 7 (reach Tue 8), 3 due on Wed 9 count, 4 taken on
    # Fri 11 do not. End 9, position 9 - 2 + 3 = 10: nothing; without the order 7: one.
    jobs = [
        kit_job("J-1", TUE, "F"), kit_job("J-2", NEXT_MON, "F", chairs=2),
        kit_job("J-3", NEXT_FRI, "F", chairs=4),
    ]  # fmt: skip
    shelf = part("A", 10, lead_time=2, safety_stock=8)
    found = part_of(ahead(jobs, shelf, dues=(due("A", 3, date(2026, 12, 9)),)), "A")
    assert (found.end, found.position, found.want) == (9, 10, 0)
    found = part_of(ahead(jobs, shelf), "A")
    assert (found.end, found.position, found.want) == (9, 7, 1)
    # Nothing is short: required by the period's last day, two working days before it.
    assert (found.required_by, found.order_by, found.late) == (FRI, WED, False)


def test_a_line_is_late_if_its_day_has_passed():
    found = part_of(ahead([kit_job("J-1", TUE, "F")], part("A", 0, lead_time=4)), "A")
    # Four working days before Tuesday 1: Mon 30, Fri 27, Thu 26, Wed 25.
    assert (found.required_by, found.order_by, found.late) == (TUE, date(2026, 11, 25), True)
    assert [each.job for each in found.at_risk] == ["J-1"]


def test_the_workshops_lead_time_gives_the_reach_and_the_day_to_order():
    found = part_of(ahead([kit_job("J-1", FRI, "F")], part("A", 0), lead_time_days=2), "A")
    assert (found.reach, found.order_by) == (NEXT_TUE, WED)
    found = part_of(ahead([kit_job("J-1", FRI, "F")], part("A", 0)), "A")
    assert (found.reach, found.order_by, found.late) == (date(2027, 1, 22), None, False)


def test_what_hangs_on_an_order_does_not_count_on_what_a_short_job_would_give_back():
    # There is no B, so J-1 is short. Done on Tuesday it would give back the A that J-2 needs on Friday: then
    # nothing of A would lack. But J-2 was told yes, if one A is ordered, and J-1 will hardly be done.
    frames = [*FRAMES, kit_frame("GIVES", {"B": 1}, ("A",))]
    jobs = [kit_job("J-1", TUE, "GIVES"), kit_job("J-2", FRI, "F")]
    week = planned(jobs, frames, stock(part("A", 0, lead_time=2), part("B", 0)))
    assert kits(week) == {"J-1": "short", "J-2": "order"}
    found = part_of(week, "A")
    assert (found.shortfall, found.first_short, found.order, found.order_by) == (1, FRI, 1, WED)
    assert [(each.job, each.quantity) for each in found.at_risk] == [("J-2", 1)]


def test_what_is_to_come_is_told_by_week_with_its_jobs():
    # Reach Tue 8: the one of Wednesday 2 is ordered now. Two lack on Fri 11, and one more the week after.
    jobs = [
        kit_job("J-1", WED, "F"), kit_job("J-2", NEXT_FRI, "F"), kit_job("J-3", NEXT_FRI, "F"),
        kit_job("J-4", date(2026, 12, 14), "F"),
    ]  # fmt: skip
    found = part_of(ahead(jobs, part("A", 0, lead_time=2)), "A")
    assert (found.order, found.beyond) == (1, 3)
    assert [(each.monday, each.quantity, each.jobs) for each in found.to_come] == [
        (NEXT_MON, 2, ("J-2", "J-3")), (date(2026, 12, 14), 1, ("J-4",)),
    ]  # fmt: skip


# A job that only asks.


def test_a_job_that_only_asks_may_hang_on_an_order():
    given = inputs_of([kit_job("J-1", TUE, "F")], FRAMES, stock(part("A", 1, lead_time=3)))
    asks = kit_job("ASKS", WED, "F", row=99, priority=1)
    (answer,) = promise(given, AS_OF, guest=asks).jobs
    # The shelf is Tuesday's; three working days before Wednesday is today.
    assert (answer.kit, answer.order_by) == ("order", FRIDAY_BEFORE)
    assert [(each.part, each.quantity) for each in answer.missing] == [("A", Fraction(1))]
