"""What is said of orders in time, and of jobs beside the period: JSON, screen, sheets, exit status.

Today is Friday 27 November 2026, the period the week after it. A takes 3 working days, so it can be ordered
from Wednesday 2 December on; one lies there.
"""

import json
from dataclasses import replace
from datetime import date

from workshop import (
    AS_OF,
    MON,
    THU,
    TUE,
    WED,
    counting,
    inputs_of,
    job_of,
    kit_frame,
    kit_job,
    part,
    planned,
    stock,
)

from reconcile.commands.shell.terminal import Status
from reconcile.commands.week import status_of
from reconcile.reports.week.json import check_json, to_json
from reconcile.reports.week.screen import answer_line, week_screen
from reconcile.reports.week.tables import report_tables
from reconcile.values.week.jobs import DONE_ALREADY
from reconcile.values.week.results import Answer
from reconcile.week import plan_week

FRAME = kit_frame("F", {"A": 1})
NEXT_MON, NEXT_FRI = date(2026, 12, 7), date(2026, 12, 11)
JOBS = (
    kit_job("J-1", MON, "F", asset="WC-0412"),
    kit_job("J-2", TUE, "F"),
    kit_job("J-3", THU, "F", chairs=2),
    kit_job("J-4", NEXT_MON, "F"),
    kit_job("J-5", NEXT_FRI, "F"),
)


def week_of(*numbers, **given):
    jobs = counting(each for each in JOBS if each.number in numbers)
    return planned(jobs, [FRAME], stock(part("A", 1, lead_time=3, **given)), look_ahead=NEXT_FRI)


EVERYONE = [each.number for each in JOBS]


def told(week):
    return json.loads(to_json(week))


def test_only_short_jobs_have_an_earliest_day_and_only_those_to_order_a_day_to_order_by():
    jobs = {each["job"]: each for each in told(week_of(*EVERYONE))["jobs"]}
    keys = ("kit", "missing", "order_by", "earliest")
    assert {number: tuple(each[key] for key in keys) for number, each in jobs.items()} == {
        "J-1": ("complete", [], None, None),
        # One more beside the 4 that are to be ordered; not for Tuesday, but for Wednesday.
        "J-2": ("short", [{"part": "A", "quantity": 1, "in_time": False}], None, "2026-12-02"),
        "J-3": ("order", [{"part": "A", "quantity": 2, "in_time": True}], "2026-11-30", None),
    }
    assert (jobs["J-1"]["asset"], jobs["J-2"]["asset"]) == ("WC-0412", None)
    assert (jobs["J-1"]["standing"], jobs["J-1"]["held"], jobs["J-1"]["look_first"]) == ("open", False, False)


def test_other_jobs_that_count_are_told_apart_with_why():
    assert told(week_of(*EVERYONE))["others"] == [
        {
            "job": number, "date": day, "priority": 3, "kit": "order", "why": "after the period",
            "standing": "open", "held": False, "parts": {"A": 1},
            "missing": [{"part": "A", "quantity": 1, "in_time": True}], "order_by": by, "earliest": None,
        }
        for number, day, by in (("J-4", "2026-12-07", "2026-12-02"), ("J-5", "2026-12-11", "2026-12-08"))
    ]  # fmt: skip


def test_a_part_is_told_up_to_its_reach_and_beyond():
    # Reach: the third working day after Friday 4: Wed 9. Needed 4 up to Friday, 1 more to Wednesday; 5 of 1
    # is 4 short from Tuesday on, and the one of Friday 11 lacks beyond. End 1 - 4, position 1 - 5.
    (found,) = told(week_of(*EVERYONE))["parts"]
    keys = ("needed", "needed_later", "shortfall", "beyond", "end", "position", "reach", "first_short")
    assert tuple(found[key] for key in keys) == (4, 1, 4, 1, -3, -4, "2026-12-09", "2026-12-01")
    # Three working days before Tuesday 1: Mon 30, Fri 27, Thu 26.
    assert (found["order"], found["order_by"], found["late"]) == (4, "2026-11-26", True)


def test_the_rows_of_jobs_add_up_by_name():
    assert list(told(week_of("J-1"))["rows"]["jobs"]) == [
        "read", "used", "beside", "done", "set_aside", "outside_period",
    ]  # fmt: skip


def test_the_answer_says_what_to_order_by_when():
    week = week_of("J-1", "J-3")
    result = job_of(week, "J-3")
    assert answer_line(result) == ("Yes, if 2 A are ordered by Mon 2026-11-30.")
    assert json.loads(check_json(Answer(result, week)))["answer"] == "yes if"


def test_the_verdict_counts_every_kind():
    assert "Not every job can be done: 1 of 3 kits complete, 1 to be ordered for in time, 1 short" in flat(
        week_screen(week_of("J-1", "J-2", "J-3"))
    )
    hanging = flat(week_screen(week_of("J-1", "J-3")))
    assert "No job is short: 1 of 2 kits complete, 1 to be ordered for in time." in hanging


def flat(text):
    return " ".join(text.split())


def test_a_job_done_already_asks_for_nothing():
    done = replace(JOBS[1], standing=DONE_ALREADY)
    given = inputs_of([JOBS[0]], [FRAME], stock(part("A", 1)))
    week = plan_week(replace(given, done=(done,)), AS_OF)
    assert [(each["job"], each["kit"], each["lines"]) for each in told(week)["jobs"]][1] == (
        "J-2",
        "done",
        [],
    )
    assert "Every kit is complete: 1 job, served from the shelf; 1 done already." in flat(week_screen(week))
    assert status_of(week, strict=False) == Status.FINE


def test_the_exit_status_is_that_of_the_periods_jobs():
    # J-4 of next week hangs on an order: that is no matter of this week's.
    assert status_of(week_of("J-1", "J-4"), strict=False) == Status.FINE
    assert status_of(week_of("J-1", "J-3"), strict=False) == Status.SHORT
    assert status_of(week_of("J-1", "J-2"), strict=False) == Status.SHORT


def test_the_report_lists_other_jobs_on_a_sheet_of_their_own():
    week = week_of(*EVERYONE)
    tables = {each.name: each for each in report_tables(week)}
    rows = list(tables["Other jobs that count"].rows())
    assert [row[:3] for row in rows] == [
        ("J-4", NEXT_MON, "after the period"),
        ("J-5", NEXT_FRI, "after the period"),
    ]
    assert [row[0] for row in tables["Jobs"].rows()] == ["J-1", "J-2", "J-3"]
    by = [column.heading for column in tables["Jobs"].columns].index("order by")
    assert [row[by] for row in tables["Jobs"].rows()] == [None, None, MON]
    assert "Other jobs that count" not in {each.name for each in report_tables(week_of("J-1"))}


def test_a_line_on_which_no_job_hangs_is_not_called_late():
    # Nine short of the safety stock of 10; seven working days before Friday has passed; no job needs it.
    week = planned([], [FRAME], stock(part("A", 1, lead_time=7, safety_stock=10)), look_ahead=NEXT_FRI)
    assert week.parts[0].late
    assert "below safety stock" in week_screen(week)
    assert "LATE" not in week_screen(week)
    late = planned([JOBS[2]], [FRAME], stock(part("A", 0, lead_time=7)), look_ahead=NEXT_FRI)
    assert "LATE for Thu 2026-12-03; at risk: J-3" in flat(week_screen(late))


def test_wednesday_is_the_first_day_for_which_it_can_be_ordered():
    # The premise of this file.
    jobs = [kit_job("J-1", WED, "F"), kit_job("J-2", TUE, "F")]
    week = planned(jobs, [FRAME], stock(part("A", 0, lead_time=3)))
    assert [each.kit for each in week.jobs] == ["order", "short"]
