"""Threads and lengths as the standards list them. Published figures are in tests/outside."""

from fractions import Fraction

import pytest
from workshop import inch

from reconcile.standards import (
    NoSuchThread,
    Thickness,
    drive_size,
    inch_size,
    inch_thread,
    metric_pitches,
    metric_thread,
    nut_height,
    preferred_lengths,
    standard_thread_length,
    threads,
    washer_thickness,
)
from reconcile.values.measure import inches
from reconcile.values.stock.parts import Bolt


def test_an_inch_thread_has_its_series_from_its_pitch():
    thread = inch_thread("1/4", 20)
    assert (thread.diameter, thread.pitch, thread.series) == (Fraction("6.35"), Fraction("1.27"), "UNC")
    assert thread.designation == "1/4-20 UNC"
    assert inch_thread("#10", 32).designation == "#10-32 UNF"


def test_a_metric_thread_without_a_pitch_is_the_coarse_one():
    assert metric_thread(Fraction(6)) == metric_thread(Fraction(6), Fraction(1))
    assert metric_thread(Fraction(6)).designation == "M6"
    assert metric_thread(Fraction(8), Fraction(1)).designation == "M8x1"
    assert metric_thread(Fraction(8), Fraction("0.75")).designation == "M8x0.75"
    assert metric_thread(Fraction("3.5")).designation == "M3.5"


@pytest.mark.parametrize(
    ("size", "tpi", "says"),
    [
        ("1/4", 22, "No standard series lists 1/4-22; listed are 1/4-20 UNC and 1/4-28 UNF."),
        (
            "#3",
            48,
            "No inch thread #3 is listed; "
            "the sizes are #4, #5, #6, #8, #10, #12, 1/4, 5/16, 3/8, 7/16 and 1/2.",
        ),
    ],
)
def test_an_inch_thread_of_no_series_is_refused_with_those_that_exist(size, tpi, says):
    with pytest.raises(NoSuchThread) as refused:
        inch_thread(size, tpi)
    assert str(refused.value) == says


def test_a_metric_thread_of_no_series_is_refused_with_those_that_exist():
    with pytest.raises(NoSuchThread) as refused:
        metric_thread(Fraction(6), Fraction("0.9"))
    assert str(refused.value) == "No standard series lists M6x0.9; M6 has the pitches 1 and 0.75 mm."
    with pytest.raises(
        NoSuchThread, match=r"^No metric thread M9 is listed; the sizes are M3, M3\.5, .* and M12"
    ):
        metric_thread(Fraction(9))


def test_every_thread_is_listed_once_and_has_a_designation_of_its_own():
    every = threads()
    assert len(every) == len(set(every)) == len({thread.designation for thread in every}) == 22 + 23
    assert [thread.unit for thread in every].count("in") == 22


def test_sizes_and_pitches_can_be_asked_for():
    assert inch_size(Fraction("0.19")) == "#10"
    assert inch_size(Fraction("0.191")) is None
    assert metric_pitches(Fraction(12)) == (Fraction("1.75"), Fraction("1.5"), Fraction("1.25"), Fraction(1))
    assert metric_pitches(Fraction(9)) == ()


def test_preferred_lengths_are_carried_for_metric_threads_and_inch_cap_screws_alone():
    quarter, six = inch_thread("1/4", 20), metric_thread(Fraction(6))
    assert preferred_lengths(six, "hex") == preferred_lengths(six, "button")
    assert preferred_lengths(quarter, "socket cap")[:3] == (inches("1/8"), inches("3/16"), inches("1/4"))
    assert preferred_lengths(quarter, "button") is None


@pytest.mark.parametrize(
    ("size", "length", "threaded"),
    [
        ("1/4", "3", "1"),
        ("1/4", "3/4", "3/4"),  # never more than the bolt
        ("5/16", "3", "1.125"),  # the formula, not the printed 1.12
        ("#4", "2", "0.724"),  # formula 0.724, printed 0.75: the shorter
        ("#5", "2", "0.75"),
        ("#6", "2", "0.75"),  # formula 0.776, printed 0.75: the shorter
        ("#8", "2", "0.828"),  # formula 0.828, printed 0.88: the shorter
        ("#10", "2", "0.88"),
    ],
)
def test_inch_socket_cap_screws_are_threaded_for_two_diameters_and_half_an_inch(size, length, threaded):
    tpi = {"1/4": 20, "5/16": 18, "#4": 40, "#5": 40, "#6": 32, "#8": 32, "#10": 32}[size]
    bolt = Bolt(inch_thread(size, tpi), inches(length), "socket cap")
    assert standard_thread_length(bolt) == inches(threaded)


@pytest.mark.parametrize(
    ("head", "length", "threaded"),
    [
        ("socket cap", 60, 24),
        ("socket cap", 16, 16),
        ("hex", 60, 18),
        ("hex", 125, 18),
        ("hex", 130, 24),
        ("hex", 220, 37),
        ("button", 60, None),
    ],
)
def test_metric_bolts_are_threaded_as_the_standard_of_their_head_says(head, length, threaded):
    assert standard_thread_length(Bolt(metric_thread(Fraction(6)), Fraction(length), head)) == threaded


@pytest.mark.parametrize(
    ("size", "tpi", "length", "threaded"),
    [
        ("1/4", 20, "3", "3/4"),  # 2/4 + 1/4
        ("1/4", 28, "6", "3/4"),  # 6 in is still short; the pitch does not matter
        ("1/4", 20, "6 1/2", "1"),  # above 6 in: 2/4 + 1/2
        ("1/2", 13, "4", "1 1/4"),
        ("3/8", 16, "1", "1"),  # as long as the thread: threaded to the head
        ("3/8", 16, "3/4", "3/4"),
    ],
)
def test_inch_hexagon_bolts_are_threaded_for_two_diameters_and_a_quarter(size, tpi, length, threaded):
    bolt = Bolt(inch_thread(size, tpi), inch(length), "hex")
    assert standard_thread_length(bolt) == inch(threaded)


def test_below_a_quarter_inch_no_hexagon_bolt_has_a_standard_here():
    assert standard_thread_length(Bolt(inch_thread("#10", 24), inches(3), "hex")) is None


def test_nuts_washers_and_drives_are_told_by_standard_and_thread():
    six, quarter = metric_thread(Fraction(6)), inch_thread("1/4", 28)
    assert nut_height("ISO 7040", six) == 8
    assert nut_height("ASME B18.16.6", quarter) == inches("0.328")
    assert washer_thickness("ISO 7089", six) == Thickness(Fraction("1.6"), Fraction("1.8"))
    assert (drive_size(six, "socket cap"), drive_size(quarter, "hex")) == (5, inches("7/16"))
