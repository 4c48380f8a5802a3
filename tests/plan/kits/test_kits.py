"""Which jobs get a complete kit, what the waiting ones rely on, what the short ones miss.

Kits of frame F take one A, those of G two; ``kit_frame`` says what the others take and give back.
Today is Friday 27 November 2026.
"""

from dataclasses import replace
from datetime import date

import pytest
from workshop import (
    AS_OF,
    FRI,
    MON,
    THU,
    TUE,
    WED,
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
    planned,
    screw,
    seat_width,
    stock,
    window,
)

from reconcile.reports.writing.wording import source_text
from reconcile.week import plan_week, promise

ONE_A, TWO_A = kit_frame("F", {"A": 1}), kit_frame("G", {"A": 2})
NEXT_MON, NEXT_TUE = date(2026, 12, 7), date(2026, 12, 8)


def given_out(jobs, on_hand, *dues, frames=(ONE_A, TWO_A), **asked):
    return planned(jobs, frames, stock(part("A", on_hand), due=dues), **asked)


def chosen(week):
    return {number for number, kit in kits(week).items() if kit != "short"}


# Who comes first: priority, then day, then row.


def test_the_more_urgent_job_comes_first_even_on_a_later_day():
    jobs = [
        kit_job("J-1", MON, "F"),
        kit_job("J-2", FRI, "F", priority=1),
        kit_job("J-3", TUE, "F", priority=2),
    ]
    assert chosen(given_out(jobs, 1)) == {"J-2"}
    assert chosen(given_out(jobs, 2)) == {"J-2", "J-3"}


def test_among_equals_the_earlier_day_comes_first():
    assert chosen(given_out([kit_job("J-1", THU, "F"), kit_job("J-2", TUE, "F")], 1)) == {"J-2"}


def test_on_one_day_the_row_of_the_sheet_decides():
    jobs = [kit_job("J-1", TUE, "F", row=9), kit_job("J-2", TUE, "F", row=4)]
    assert chosen(given_out(jobs, 1)) == {"J-2"}


def test_a_kit_is_whole_or_not_given_out():
    # J-1 needs two of one A; J-2 can still have it.
    assert kits(given_out([kit_job("J-1", MON, "G"), kit_job("J-2", TUE, "F")], 1)) == {
        "J-1": "short",
        "J-2": "complete",
    }


def test_a_job_short_of_one_part_takes_none_of_the_others():
    both = kit_frame("H", {"A": 1, "B": 1})
    week = given_out([kit_job("J-1", MON, "H"), kit_job("J-2", TUE, "F")], 1, frames=(both, ONE_A))
    assert kits(week) == {"J-1": "short", "J-2": "complete"}


def test_a_kit_promised_to_a_later_urgent_job_is_not_taken_on_an_earlier_day():
    # One A until Friday; the urgent Thursday job has it, so Tuesday's cannot.
    jobs = [kit_job("J-1", TUE, "F"), kit_job("J-2", THU, "F", priority=1)]
    assert chosen(given_out(jobs, 1, due("A", 1, FRI))) == {"J-2"}


def test_a_receipt_lets_a_later_job_be_done_and_not_an_earlier_one():
    jobs = [kit_job("J-1", MON, "F"), kit_job("J-2", WED, "F")]
    assert kits(given_out(jobs, 0, due("A", 1, WED))) == {"J-1": "short", "J-2": "waits"}


def test_only_jobs_that_are_done_recover():
    gives = kit_frame("H", {"B": 1}, ("A",))
    jobs = [kit_job("J-1", MON, "H"), kit_job("J-2", WED, "F")]
    for b_on_hand, expected in (
        (0, {"J-1": "short", "J-2": "short"}),
        (1, {"J-1": "complete", "J-2": "waits"}),
    ):
        week = planned(jobs, [gives, ONE_A], stock(part("A"), part("B", b_on_hand)))
        assert kits(week) == expected


def test_a_job_that_changes_nothing_is_complete():
    week = planned([job("J-1", TUE, "15", "15")], [frame(seat_width(joint()))], stock())
    assert (kits(week), week.jobs[0].lines) == ({"J-1": "complete"}, ())


def test_chairs_are_one_kit():
    assert kits(given_out([kit_job("J-1", TUE, "F", chairs=3)], 2)) == {"J-1": "short"}
    assert kits(given_out([kit_job("J-1", TUE, "F", chairs=3)], 3)) == {"J-1": "complete"}


# Complete or waiting: the shelf is taken in order of day, then priority, then row.


def relied_on(week, number):
    return [
        (each.part, each.quantity, each.day, source_text(each.source))
        for each in job_of(week, number).awaited
    ]


def test_the_earlier_day_takes_from_the_shelf_and_the_later_waits():
    jobs = [kit_job("J-1", WED, "F", priority=1), kit_job("J-2", MON, "F")]
    week = given_out(jobs, 1, due("A", 1, WED))
    assert kits(week) == {"J-1": "waits", "J-2": "complete"}
    assert relied_on(week, "J-1") == [("A", 1, WED, "order PO-1")]


def test_on_one_day_the_more_urgent_takes_from_the_shelf():
    jobs = [kit_job("J-1", WED, "F"), kit_job("J-2", WED, "F", priority=2)]
    assert kits(given_out(jobs, 1, due("A", 1, TUE))) == {"J-1": "waits", "J-2": "complete"}


def test_then_the_earlier_row():
    jobs = [kit_job("J-1", WED, "F", row=7), kit_job("J-2", WED, "F", row=3)]
    assert kits(given_out(jobs, 1, due("A", 1, TUE))) == {"J-1": "waits", "J-2": "complete"}


def test_one_that_finds_only_part_of_a_quantity_takes_that_part():
    # Shelf 3: J-1 takes 2, J-2 takes 1 and awaits 1, so that nothing is left for J-3.
    jobs = [kit_job("J-1", MON, "G"), kit_job("J-2", TUE, "G"), kit_job("J-3", WED, "F")]
    week = given_out(jobs, 3, due("A", 2, TUE))
    assert kits(week) == {"J-1": "complete", "J-2": "waits", "J-3": "waits"}
    assert relied_on(week, "J-2") == [("A", 1, TUE, "order PO-1")]
    assert relied_on(week, "J-3") == [("A", 1, TUE, "order PO-1")]


def test_enough_on_the_shelf_means_no_one_waits_for_what_is_on_order():
    assert kits(given_out([kit_job("J-1", WED, "F")], 1, due("A", 9, MON))) == {"J-1": "complete"}


def test_a_short_job_takes_nothing_from_the_shelf():
    # J-1 (3 of 2) is short; J-2 and J-3 find the shelf as it was.
    jobs = [kit_job("J-1", MON, "F", chairs=3), kit_job("J-2", TUE, "F"), kit_job("J-3", WED, "F")]
    assert kits(given_out(jobs, 2)) == {"J-1": "short", "J-2": "complete", "J-3": "complete"}


def test_a_recovered_part_is_named_with_the_job_that_gave_it():
    gives = kit_frame("H", {}, ("A",))
    week = given_out([kit_job("J-1", MON, "H"), kit_job("J-2", WED, "F")], 0, frames=(gives, ONE_A))
    assert relied_on(week, "J-2") == [("A", 1, TUE, "J-1, after inspection")]


def test_the_earliest_arrival_is_relied_on_first():
    dues = due("A", 1, WED, "PO-2"), due("A", 1, MON, "PO-1")
    week = given_out([kit_job("J-1", WED, "F"), kit_job("J-2", THU, "F")], 0, *dues)
    assert relied_on(week, "J-1") == [("A", 1, MON, "order PO-1")]
    assert relied_on(week, "J-2") == [("A", 1, WED, "order PO-2")]


def test_an_arrival_is_relied_on_until_it_is_used_up():
    # Two come on Monday: one for J-1, one for J-2, which takes its second from Tuesday's.
    dues = due("A", 2, MON, "PO-1"), due("A", 2, TUE, "PO-2")
    week = given_out([kit_job("J-1", MON, "F"), kit_job("J-2", TUE, "G")], 0, *dues)
    assert relied_on(week, "J-2") == [("A", 1, MON, "order PO-1"), ("A", 1, TUE, "order PO-2")]


# What a short job misses.


def missed(week, number):
    return {each.part: each.quantity for each in job_of(week, number).missing}


def test_missing_is_the_least_to_buy_beside_the_chosen_jobs():
    # 3 there, J-1 has 2; J-2 wants 2 of the 1 left.
    week = given_out([kit_job("J-1", MON, "G"), kit_job("J-2", TUE, "G")], 3)
    assert missed(week, "J-2") == {"A": 1}


def test_missing_counts_what_a_later_chosen_job_will_take():
    jobs = [kit_job("J-1", TUE, "F"), kit_job("J-2", THU, "G", priority=1)]
    assert missed(given_out(jobs, 2), "J-1") == {"A": 1}


def test_missing_is_told_part_by_part_and_only_of_what_is_missing():
    needs = kit_frame("H", {"A": 2, "B": 5, "C": 1})
    week = planned([kit_job("J-1", TUE, "H")], [needs], stock(part("A", 2), part("B", 1)))
    assert missed(week, "J-1") == {"B": 4, "C": 1}


def test_what_the_job_itself_would_recover_does_not_help_it():
    swap = kit_frame("H", {"A": 1}, ("A",))
    assert missed(given_out([kit_job("J-1", TUE, "H")], 0, frames=(swap,)), "J-1") == {"A": 1}


def test_what_comes_in_later_does_not_help_on_the_day():
    assert missed(given_out([kit_job("J-1", TUE, "G")], 1, due("A", 9, WED)), "J-1") == {"A": 1}


def test_two_short_jobs_each_miss_their_own():
    # Each is told what it misses beside the chosen jobs, not beside the other.
    week = given_out([kit_job("J-1", MON, "G"), kit_job("J-2", TUE, "G")], 1)
    assert (missed(week, "J-1"), missed(week, "J-2")) == ({"A": 1}, {"A": 1})


# The earliest day for a short job.


def earliest(jobs, on_hand, *dues, frames=(ONE_A, TWO_A), lead_time=None, number="J-1", **asked):
    shelf = stock(part("A", on_hand, lead_time=lead_time), due=dues)
    return job_of(planned(jobs, frames, shelf, **asked), number).earliest


@pytest.mark.parametrize(
    ("due_on", "expected"),
    [
        (THU, THU),
        (NEXT_TUE, NEXT_TUE),  # after the period
        (date(2026, 12, 5), NEXT_MON),  # a Saturday: the next working day
    ],
)
def test_earliest_by_what_is_on_order(due_on, expected):
    assert earliest([kit_job("J-1", TUE, "F")], 0, due("A", 1, due_on)) == expected
    # Six working days from order to delivery: not before Monday week, and only then sooner than the order.
    by_either = min(expected, NEXT_MON)
    assert earliest([kit_job("J-1", TUE, "F")], 0, due("A", 1, due_on), lead_time=6) == by_either


def test_a_holiday_moves_the_earliest_day():
    found = earliest([kit_job("J-1", TUE, "F")], 0, due("A", 1, THU), days=days_off(THU, FRI))
    assert found == NEXT_MON


def test_earliest_waits_for_enough():
    dues = due("A", 1, WED), due("A", 1, FRI, "PO-2")
    assert earliest([kit_job("J-1", TUE, "G")], 0, *dues) == FRI


def test_earliest_by_what_is_recovered():
    gives = kit_frame("H", {}, ("A",))
    jobs = [kit_job("J-1", TUE, "F"), kit_job("J-2", WED, "H")]
    assert earliest(jobs, 0, frames=(gives, ONE_A)) == THU


def test_earliest_never_takes_from_a_chosen_job():
    # Thursday's one is for the chosen job of Friday; the next comes on Monday.
    jobs = [kit_job("J-1", TUE, "F"), kit_job("J-2", FRI, "F")]
    dues = due("A", 1, THU), due("A", 1, NEXT_MON, "PO-2")
    assert earliest(jobs, 0, *dues) == NEXT_MON


def test_earliest_by_lead_time_from_today():
    # Five working days after Friday 27 November: 30, 1, 2, 3, 4 December.
    assert earliest([kit_job("J-1", TUE, "F")], 0, lead_time=5) == FRI
    # One working day after today is Monday, the job is planned for Tuesday: it is ordered for in time.
    week = planned([kit_job("J-1", TUE, "F")], [ONE_A], stock(part("A", 0, lead_time=1)))
    assert (kits(week), job_of(week, "J-1").earliest) == ({"J-1": "order"}, None)


def test_earliest_by_lead_time_where_what_is_on_order_is_never_enough():
    assert earliest([kit_job("J-1", TUE, "G")], 0, due("A", 1, WED), lead_time=6) == NEXT_MON


def test_earliest_is_unknown_where_no_lead_time_is():
    assert earliest([kit_job("J-1", TUE, "F")], 0) is None


def test_every_part_must_be_there_and_one_unknown_makes_the_day_unknown():
    needs = kit_frame("H", {"A": 1, "B": 1})
    for lead_time, expected in ((3, WED), (None, None)):
        shelf = stock(part("A"), part("B", lead_time=lead_time), due=(due("A", 1, WED),))
        week = planned([kit_job("J-1", TUE, "H")], [needs], shelf)
        assert job_of(week, "J-1").earliest == expected


def test_a_job_of_a_day_gone_by_can_be_done_today_at_the_earliest():
    # Planned for Monday, today is Wednesday: it is planned as if for Wednesday, and the A comes on Friday.
    jobs = [kit_job("J-1", MON, "F")]
    assert earliest(jobs, 0, due("A", 1, FRI), today=WED) == FRI
    assert kits(given_out(jobs, 0, due("A", 1, WED), today=WED)) == {"J-1": "waits"}


def test_a_job_with_its_kit_has_no_earliest_day_and_misses_nothing():
    week = given_out([kit_job("J-1", TUE, "F")], 1)
    assert (job_of(week, "J-1").earliest, missed(week, "J-1")) == (None, {})


# A job that only asks: it comes last, and takes from no other.


def asking(jobs, guest, on_hand, *dues, frames=(ONE_A, TWO_A)):
    """The week, and after its jobs the one that only asks."""
    given = inputs_of(jobs, frames, stock(part("A", on_hand), due=dues))
    week = plan_week(given, AS_OF)
    return replace(week, jobs=(*week.jobs, *promise(given, AS_OF, guest=guest).jobs))


def test_a_job_that_only_asks_is_answered_last_however_urgent():
    jobs, guest = [kit_job("J-1", FRI, "F")], kit_job("ASKS", MON, "F", row=99, priority=1)
    assert kits(asking(jobs, guest, 1)) == {"J-1": "complete", "ASKS": "short"}
    week = asking(jobs, guest, 2)
    assert kits(week) == {"J-1": "complete", "ASKS": "complete"}
    assert week.jobs[-1].job is guest
    assert [(each.part.number, each.needed) for each in week.parts] == [("A", 1)]


def test_a_job_that_only_asks_leaves_the_answers_of_short_jobs_as_they_were():
    # J-1 lacks the A of Wednesday on Tuesday; that another asks for Wednesday's takes it from no one.
    jobs, guest = [kit_job("J-1", TUE, "F")], kit_job("ASKS", WED, "F", row=99)
    week = asking(jobs, guest, 0, due("A", 1, WED))
    assert kits(week) == {"J-1": "short", "ASKS": "waits"}
    assert job_of(week, "J-1").earliest == WED


# The choice is of the best set, not the first come.


def test_as_many_jobs_as_can_be_are_chosen():
    # Two A: one job of two, or two jobs of one.
    jobs = [kit_job("J-1", MON, "G"), kit_job("J-2", TUE, "F"), kit_job("J-3", WED, "F")]
    assert chosen(given_out(jobs, 2)) == {"J-2", "J-3"}


def test_a_less_urgent_job_is_done_if_an_urgent_one_needs_what_it_gives_back():
    # Monday's job of priority 3 gives the A that Wednesday's job of priority 1 takes: both can be done.
    gives = kit_frame("H", {}, ("A",))
    jobs = [kit_job("J-1", MON, "H"), kit_job("J-2", WED, "F", priority=1)]
    assert kits(given_out(jobs, 0, frames=(gives, ONE_A))) == {"J-1": "complete", "J-2": "waits"}


def test_a_later_choice_serves_where_the_first_has_run_out():
    # A bolt of 2 in on each side; one lies there, and two of 2 1/8 in (window 1 7/8 to 2 1/8), so that both
    # sides have the longer one: a joint never gets two kinds of bolt.
    built = seat_width(joint(**window("3/8", "5/8"), spacers=()))
    shelf = stock(screw("B-200", "2", 1), screw("B-212", "2 1/8", 2))
    week = planned([job("J-1", TUE, "14", "15")], [frame(built)], shelf)
    assert kits(week) == {"J-1": "complete"}
    assert sorted(part for line in week.jobs[0].lines for part, _ in line.parts) == ["B-212", "B-212"]
    assert [line.substitute for line in week.jobs[0].lines if line.line.do == "fit"] == [True, True]


def test_another_stack_serves_where_the_first_has_run_out():
    # 14 to 16 in: 1 in of spacers a side; no whole-inch ones, four of half an inch.
    week = planned(
        [job("J-1", TUE, "14", "16")], [frame(seat_width(joint()))],
        stock(screw("B-250", "2 1/2", 2), part("SP-100"), part("SP-050", 4)),
    )  # fmt: skip
    assert kits(week) == {"J-1": "complete"}


def test_no_choice_is_called_proven_that_a_better_one_beats():
    # The case of two jobs against one: whoever claims proof must have chosen the two.
    jobs = [kit_job("J-1", MON, "G"), kit_job("J-2", TUE, "F"), kit_job("J-3", WED, "F")]
    week = given_out(jobs, 2)
    assert len(chosen(week)) == 2 or not week.solution.proven
