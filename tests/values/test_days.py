"""Working days and periods. 27 November 2026 is a Friday; week 49 runs from 30 November to 4 December."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.values.days import NoWorkingDay, Period, WorkDays, default_period, week_of, week_text

FRI, SAT, SUN, MON = (date(2026, 11, 27) + timedelta(n) for n in range(4))
TUE, WED, THU, NEXT_FRI, NEXT_SAT, NEXT_SUN, NEXT_MON = (MON + timedelta(n) for n in range(1, 8))
PLAIN = WorkDays()


@pytest.mark.parametrize(
    ("start", "count", "after"),
    [
        (FRI, 0, FRI),
        (FRI, 1, MON),
        (FRI, 5, NEXT_FRI),
        (SAT, 0, SAT),  # nothing to count: the day itself, worked or not
        (SAT, 1, MON),
        (SUN, 2, TUE),
        (MON, 1, TUE),
    ],
)
def test_the_nth_working_day_later(start, count, after):
    assert PLAIN.after(start, count) == after


@pytest.mark.parametrize(
    ("start", "count", "before"),
    [
        (MON, 0, MON),
        (MON, 1, FRI),
        (SUN, 1, FRI),
        (SAT, 1, FRI),
        (TUE, 2, FRI),
        (NEXT_FRI, 5, FRI),
        (SUN, 0, SUN),
    ],
)
def test_the_nth_working_day_earlier(start, count, before):
    assert PLAIN.before(start, count) == before


def test_holidays_are_not_counted():
    days = WorkDays(holidays=frozenset({MON, TUE}))
    assert days.after(FRI, 1) == WED
    assert days.before(WED, 1) == FRI
    assert days.on_or_after(MON) == WED
    assert not days.worked(MON)


def test_a_week_of_other_days():
    weekend = WorkDays(frozenset({5, 6}))
    assert weekend.after(FRI, 1) == SAT
    assert weekend.after(SUN, 1) == NEXT_SAT
    assert weekend.before(MON, 2) == SAT


@pytest.mark.parametrize(("day", "found"), [(FRI, FRI), (SAT, MON), (SUN, MON), (MON, MON)])
def test_on_or_after_keeps_a_working_day(day, found):
    assert PLAIN.on_or_after(day) == found


def test_days_that_do_not_exist_are_said_to_be_so():
    with pytest.raises(NoWorkingDay):
        WorkDays(frozenset()).after(FRI, 1)
    with pytest.raises(NoWorkingDay):
        PLAIN.after(date(9999, 12, 31), 1)
    with pytest.raises(NoWorkingDay):
        PLAIN.before(date(1, 1, 1), 1)
    assert WorkDays(frozenset()).after(FRI, 0) == FRI


@pytest.mark.slow
@settings(max_examples=60, derandomize=True)
@given(
    st.dates(date(2026, 1, 1), date(2027, 12, 31)),
    st.integers(1, 15),
    st.frozensets(st.dates(date(2026, 1, 1), date(2027, 12, 31)), max_size=20),
    st.frozensets(st.integers(0, 6), min_size=1),
)
def test_after_counts_exactly_the_working_days_between(day, count, holidays, weekdays):
    days = WorkDays(weekdays, holidays)
    later = days.after(day, count)
    between = [day + timedelta(n) for n in range(1, (later - day).days + 1)]
    assert sum(map(days.worked, between)) == count
    assert days.worked(later)
    if days.worked(day):
        assert days.before(later, count) == day


# Periods.


def test_a_period_holds_its_first_and_its_last_day():
    week = Period(MON, NEXT_FRI)
    assert [day in week for day in (SUN, MON, WED, NEXT_FRI, NEXT_SAT)] == [False, True, True, True, False]


@pytest.mark.parametrize(
    ("days", "jobs", "last"),
    [
        (PLAIN, [], NEXT_FRI),
        (PLAIN, [WED], NEXT_FRI),
        (PLAIN, [NEXT_SAT], NEXT_SAT),  # planned later in the week: it belongs, and moves the last day
        (PLAIN, [NEXT_SUN, NEXT_SAT], NEXT_SUN),
        (PLAIN, [NEXT_MON, SUN], NEXT_FRI),  # other weeks
        (WorkDays(holidays=frozenset({NEXT_FRI, THU})), [], NEXT_FRI),  # holidays or not
        (WorkDays(frozenset({0, 1})), [], TUE),
        (WorkDays(frozenset({0, 1})), [THU], THU),
        (WorkDays(frozenset({2, 5})), [], NEXT_SAT),
    ],
)
def test_a_week_runs_to_the_last_of_its_working_days(days, jobs, last):
    assert week_of(MON, days, jobs) == Period(MON, last)


@pytest.mark.parametrize(
    ("jobs", "today", "expected"),
    [
        ([WED, NEXT_MON], FRI, Period(MON, NEXT_FRI)),
        ([FRI], FRI, Period(date(2026, 11, 23), FRI)),  # today itself counts
        ([FRI, WED], SAT, Period(MON, NEXT_FRI)),  # Friday has passed
        ([MON, THU], WED, Period(MON, NEXT_FRI)),  # Monday has passed, but lies in the week of Thursday
        ([FRI], WED, Period(MON, NEXT_FRI)),  # none to come: the week of today
        ([], SUN, Period(date(2026, 11, 23), FRI)),
        ([NEXT_SAT], MON, Period(MON, NEXT_SAT)),
    ],
)
def test_by_default_the_week_of_the_first_job_to_come(jobs, today, expected):
    assert default_period(jobs, today, PLAIN) == expected


@pytest.mark.parametrize(
    ("day", "text"),
    [
        (MON, "2026-W49"),
        (NEXT_SUN, "2026-W49"),
        (date(2026, 1, 1), "2026-W01"),
        (date(2027, 1, 1), "2026-W53"),  # a week belongs to the year of its Thursday (ISO 8601)
        (date(2027, 1, 4), "2027-W01"),
    ],
)
def test_the_name_of_a_week(day, text):
    assert week_text(day) == text
