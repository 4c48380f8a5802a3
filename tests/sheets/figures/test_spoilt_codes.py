"""Numbers of parts and jobs that a spreadsheet program has spoilt, and those that only look so."""

from datetime import date, time, timedelta

import pytest

from reconcile.sheets.figures.spoilt_codes import refuse_spoilt
from reconcile.sheets.figures.text import Unreadable


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (
            1234567890123456.0,
            "The cell holds the number 1234567890123456; only its first 15 digits are sure.",
        ),
        (1e15, "The cell holds the number 1000000000000000; only its first 15 digits are sure."),
        (10**17, "The cell holds the number 100000000000000000; only its first 15 digits are sure."),
        ("1.23E+15", '"1.23E+15" is a long number that was cut short; its last digits are lost.'),
        (" 4,0E+05 ", '"4,0E+05" is a long number that was cut short; its last digits are lost.'),
        ("1E+11", '"1E+11" is a long number that was cut short; its last digits are lost.'),
    ],
)
def test_a_number_that_lost_digits_is_refused(value, says):
    with pytest.raises(Unreadable) as refused:
        refuse_spoilt("part", value)
    assert (refused.value.code, refused.value.says) == ("code-rounded", says)


@pytest.mark.parametrize(
    "value",
    [
        "1E5",
        "NA",
        "00417",
        "1e+15",
        "E+15",
        "1.23E15",
        "X1.23E+15",
        "12.3E+15",
        417.0,
        999999999999999.0,
        None,
    ],
)
def test_what_somebody_may_have_typed_stays(value):
    refuse_spoilt("part", value)


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (
            date(2026, 4, 3),
            'The cell holds the date 2026-04-03, which a sheet shows as "3-Apr", not a job number.',
        ),
        (time(7, 30), "The cell holds the time 07:30:00, not a job number."),
        (timedelta(hours=30), "The cell holds the duration 1 day, 6:00:00, not a job number."),
    ],
)
def test_a_date_or_a_time_is_no_number(value, says):
    with pytest.raises(Unreadable) as refused:
        refuse_spoilt("job", value)
    assert (refused.value.code, refused.value.says) == ("code-is-date", says)


def test_a_date_for_a_part_is_left_to_its_own_reader():
    refuse_spoilt("part", date(2026, 4, 3))
