"""What to do today: each thing once, by whom and where, with the chairs that hang on it, the most first."""

from dataclasses import replace
from datetime import date

import pytest
import weeks
from bench_week import planned_demo

from reconcile.reports.glance.todo import (
    BUYER,
    CLERK,
    CLOSE,
    COUNT,
    JOB,
    MEND,
    ORDERS,
    TECHNICIAN,
    DueTask,
    to_do,
    to_place,
)
from reconcile.values.week.jobs import LEFT_OVER, NOT_CLOSED
from reconcile.values.week.results import SHORT, Week


@pytest.fixture(scope="module")
def week():
    return planned_demo()


def beside(why: str, **given) -> Week:
    """A week with nothing but a job of Wednesday 2026-11-25 that counts beside those of the period."""
    result = weeks.complete_job()
    job = replace(result.job, beside=why, day=date(2026, 11, 25), number="J-4000", chairs=2, **given)
    return weeks.week(jobs=(), parts=(), orders=(), rows={}, others=(replace(result, job=job),))


def test_the_most_chairs_come_first_and_what_nobody_can_say_last(week):
    chairs = [task.chairs or 0 for task in to_do(week)]
    assert chairs == sorted(chairs, reverse=True)
    unknown = [task.what for task in to_do(week) if task.chairs is None]
    assert unknown == [task.what for task in to_do(week)][-len(unknown) :]
    assert {"Mend 12 rows of stock", "Count 2 bins"} <= set(unknown)


def test_every_part_to_be_ordered_today_for_a_job_is_named_once(week):
    wanted = {part.part.number for part in week.parts if to_place(part, week) and part.at_risk}
    told = [task for task in to_do(week) if task.go == ORDERS and task.what.startswith("Order ")]
    assert wanted
    for number in wanted:
        (task,) = [task for task in told if f" of {number} today" in task.what]
        assert task.who == BUYER
        assert task.why.startswith("Lacking from ")


def test_what_only_keeps_the_shelf_filled_is_one_thing_on_which_no_chair_hangs(week):
    shelf = {part.part.number for part in week.parts if to_place(part, week) and not part.at_risk}
    (task,) = [task for task in to_do(week) if task.what.endswith("to keep the shelf filled")]
    assert task.what == f"Order {len(shelf)} parts to keep the shelf filled"
    assert (task.who, task.chairs, task.go) == (BUYER, 0, ORDERS)
    assert any(number in task.more for number in shelf)


def test_every_short_job_is_to_get_another_day(week):
    short = {result.job.number for result in week.jobs if result.kit == SHORT}
    told = {task.what_of: task for task in to_do(week) if task.what.endswith("another day")}
    assert set(told) == short
    assert {(task.who, task.go) for task in told.values()} == {(CLERK, JOB)}


def test_rows_that_are_set_aside_are_to_be_mended_sheet_by_sheet(week):
    aside = {sheet: tally.set_aside for sheet, tally in week.rows.items() if tally.set_aside}
    told = [task.what for task in to_do(week) if task.go == MEND]
    assert sorted(told) == sorted(
        f"Mend {count} row{'s' if count > 1 else ''} of {sheet}" for sheet, count in aside.items()
    )


def test_what_is_left_over_is_to_get_a_day():
    assert to_do(beside(LEFT_OVER)) == [
        DueTask("Give J-4000 a new day, or delete its row",
                "Left over from Wed 2026-11-25; it keeps its parts.", CLERK, 2, JOB, "J-4000"),
    ]  # fmt: skip


def test_what_is_held_and_left_over_has_no_row_to_delete():
    (task,) = to_do(beside(LEFT_OVER, held=True))
    assert task.what == "Give J-4000 a row with a new day, or release it"
    assert task.why.startswith("Held and left over from ")


def test_a_week_that_is_over_and_not_closed_is_one_thing_however_many_its_jobs():
    given = beside(NOT_CLOSED)
    (first,) = given.others
    second = replace(first, job=replace(first.job, number="J-4001", day=date(2026, 11, 26), chairs=3))
    assert to_do(replace(given, others=(first, second))) == [
        DueTask("Close 2026-W48", "Until then its jobs count as still to do.", TECHNICIAN, 5, CLOSE),
    ]  # fmt: skip


def test_a_bin_that_cannot_be_right_is_to_be_counted(week):
    (task,) = [task for task in to_do(week) if task.go == COUNT]
    assert (task.what, task.who) == ("Count 2 bins", TECHNICIAN)
    assert task.more.startswith("The first: ")


def test_what_is_about_a_job_names_it(week):
    for task in to_do(week):
        assert (task.go == JOB) == bool(task.what_of)
        assert task.what_of in task.what


def test_what_can_wait_is_not_for_today(week):
    part = next(part for part in week.parts if to_place(part, week) and part.order_by)
    assert not to_place(replace(part, order_by=date(2030, 1, 1)), week)
    assert not to_place(replace(part, order=part.order * 0), week)
