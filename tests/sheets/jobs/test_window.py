"""Which rows of the jobs sheet count. Week 49 of 2026 is Mon 2026-11-30 to Fri 2026-12-04."""

from datetime import date

import pytest

from reconcile.sheets.jobs.window import (
    DONE_ELSEWHERE,
    DONE_HERE,
    HISTORY,
    IN_PERIOD,
    LATER,
    TAKEN_AS_DONE,
    SeenRow,
    count_rows,
    window_of,
)
from reconcile.values.days import Period, WorkDays
from reconcile.values.ledger.standing import BookSays, JobStanding
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import AFTER, BEFORE, LEFT_OVER, NOT_CLOSED

NO_BOOK = BookSays()


def week(number):
    return Period(date.fromisocalendar(2026, number, 1), date.fromisocalendar(2026, number, 5))


def day(number, weekday):
    return date.fromisocalendar(2026, number, weekday)


def window(period=49, today=(49, 3), book=NO_BOOK, **settings):
    return window_of(week(period), day(*today), Settings(**settings), book)


CLOSED_47 = BookSays(closed=(week(47),))


@pytest.mark.parametrize(
    ("when", "why"),
    [
        ((49, 1), IN_PERIOD),  # before today, and in the period
        ((49, 5), IN_PERIOD),
        ((50, 1), AFTER),
        ((53, 3), AFTER),
        ((48, 5), TAKEN_AS_DONE),
    ],
)
def test_without_a_book_the_past_is_done_and_the_future_counts(when, why):
    assert window().why(day(*when)) == why


def test_the_look_ahead_is_so_many_weeks_of_seven_days_after_today():
    # Wed 2026-12-02 and eight weeks: until Wed 2027-01-27.
    assert window().end == date(2027, 1, 27)
    assert window().why(date(2027, 1, 27)) == AFTER
    assert window().why(date(2027, 1, 28)) == LATER
    assert window(look_ahead_weeks=0).why(day(50, 1)) == LATER
    far = window_of(week(52), day(49, 3), Settings(look_ahead_weeks=1), BookSays())
    assert far.end == day(52, 5)  # the period's last day, if that is later


def test_what_lies_between_today_and_a_later_period_counts():
    ahead = window(period=50, today=(48, 5))
    assert [ahead.why(day(*when)) for when in ((48, 5), (49, 2), (50, 1))] == [BEFORE, BEFORE, IN_PERIOD]


def test_with_no_closed_week_days_of_this_week_before_today_are_not_closed():
    ahead = window(period=50, today=(49, 3))
    assert ahead.why(day(49, 2)) == NOT_CLOSED
    assert ahead.why(day(48, 5)) == TAKEN_AS_DONE
    assert window(period=50, today=(49, 3), closing=False).why(day(49, 2)) == TAKEN_AS_DONE


def test_from_the_first_closed_week_on_a_job_is_left_over_or_its_week_is_not_closed():
    seen = window(period=49, today=(49, 1), book=CLOSED_47)
    assert seen.why(day(46, 5)) == TAKEN_AS_DONE
    assert seen.why(day(47, 2)) == LEFT_OVER
    assert seen.why(day(48, 2)) == NOT_CLOSED


def test_a_week_is_closed_when_closings_cover_its_working_days_whatever_their_periods():
    halves = BookSays(closed=(Period(day(46, 4), day(47, 2)), Period(day(47, 3), day(47, 5))))
    assert halves.closed_weeks(WorkDays()) == {day(47, 1)}
    holiday = WorkDays(holidays=frozenset({day(46, 1), day(46, 2), day(46, 3)}))
    assert halves.closed_weeks(holiday) == {day(46, 1), day(47, 1)}


def test_a_period_of_the_past_is_looked_back_at():
    seen = window(period=47, today=(49, 3))
    assert (seen.looked_back, seen.today, seen.end) == (True, day(47, 1), day(47, 5))
    assert seen.why(day(48, 1)) == LATER


# Several rows of one number.


def judged(*days, book=NO_BOOK, number="J-1", **given):
    rows = [SeenRow(number, each and day(*each)) for each in days]
    found = count_rows(rows, window(book=book, **given), book)
    return list(found.why), sorted(found.doubled)


def test_a_row_before_today_is_history_where_a_later_one_counts():
    # Moved from Monday to Friday by a row of its own: the Monday is history.
    assert judged((49, 1), (49, 5)) == ([HISTORY, IN_PERIOD], [])


def test_of_several_before_today_the_latest_counts():
    assert judged((49, 2), (49, 1)) == ([IN_PERIOD, HISTORY], [])
    assert judged((47, 2), (49, 1), book=CLOSED_47) == ([HISTORY, IN_PERIOD], [])


def test_two_that_count_on_today_or_later_are_doubled():
    assert judged((49, 3), (50, 1)) == ([IN_PERIOD, AFTER], [0, 1])
    assert judged((49, 3), (49, 4), look_ahead_weeks=0) == ([IN_PERIOD, IN_PERIOD], [0, 1])
    assert judged((49, 3), (50, 1), look_ahead_weeks=0) == ([IN_PERIOD, LATER], [])


def test_a_done_job_asks_for_nothing_wherever_its_row_lies():
    done = BookSays({"j-1": JobStanding(True, "2026-W47", day(47, 5))}, (week(47),))
    assert judged((49, 4), (50, 1), (47, 2), book=done) == (
        [DONE_HERE, DONE_ELSEWHERE, DONE_ELSEWHERE], [],
    )  # fmt: skip


def test_a_row_whose_day_cannot_be_read_is_judged_as_one_of_the_period():
    assert judged(None) == ([IN_PERIOD], [])
