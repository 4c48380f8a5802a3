"""What to do today: each thing once, by whom, with the chairs that hang on it, the most first."""

from dataclasses import replace
from datetime import date

import pytest
from bench_week import planned_demo

from reconcile.reports.week.todo import BUYER, CLERK, TECHNICIAN, left_over, to_do, to_place
from reconcile.values.week.results import SHORT


@pytest.fixture(scope="module")
def week():
    return planned_demo()


def all_of(week):
    return to_do(week, 1000)[0]


def test_the_most_chairs_come_first_and_the_rest_is_counted(week):
    every = all_of(week)
    first, more = to_do(week, 10)
    assert first == every[:10]
    assert len(first) + more == len(every)
    assert [each.chairs for each in every] == sorted((each.chairs for each in every), reverse=True)


def test_every_part_to_be_ordered_today_for_a_job_is_named_once(week):
    wanted = {part.part.number for part in week.parts if to_place(part, week) and part.at_risk}
    told = [each.what for each in all_of(week) if each.who == BUYER and each.what.startswith("Order ")]
    assert wanted
    for number in wanted:
        assert len([what for what in told if what.endswith(f" of {number} today")]) == 1


def test_every_short_job_is_to_get_another_day(week):
    short = {each.job.number for each in week.jobs if each.kit == SHORT}
    told = {each.what_of: each for each in all_of(week) if each.what.endswith("another day")}
    assert set(told) == short
    assert {each.who for each in told.values()} == {CLERK}


def test_rows_that_are_set_aside_are_to_be_mended_sheet_by_sheet(week):
    aside = {sheet: tally.set_aside for sheet, tally in week.rows.items() if tally.set_aside}
    told = [each.what for each in all_of(week) if each.go == "mend"]
    assert sorted(told) == sorted(
        f"Mend {count} row{'s' if count > 1 else ''} of {sheet}" for sheet, count in aside.items()
    )


def test_what_is_left_over_is_to_get_a_day(week):
    told = {each.what_of for each in all_of(week) if "left over" in each.why.lower()}
    assert told >= {each.job.number for each in left_over(week)}


def test_a_bin_that_cannot_be_right_is_to_be_counted(week):
    (told,) = [each for each in all_of(week) if each.go == "count"]
    assert (told.what, told.who) == ("Count 2 bins", TECHNICIAN)


def test_what_can_wait_is_not_for_today(week):
    part = next(part for part in week.parts if to_place(part, week) and part.order_by)
    assert not to_place(replace(part, order_by=date(2030, 1, 1)), week)
    assert not to_place(replace(part, order=part.order * 0), week)
