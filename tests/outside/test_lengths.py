"""Preferred lengths and thread lengths against published figures; "from memory" where not seen in print."""

from fractions import Fraction

import pytest

from reconcile.standards import inch_thread, metric_thread, preferred_lengths, standard_thread_length
from reconcile.values.measure import MM_PER_INCH, inches
from reconcile.values.stock.parts import Bolt

SIX, QUARTER = metric_thread(Fraction(6)), inch_thread("1/4", 20)
METRIC = preferred_lengths(SIX, "socket cap")
CAP_INCHES = tuple(length / MM_PER_INCH for length in preferred_lengths(QUARTER, "socket cap"))

TENS = [80, 90, 100, 110, 120, 130, 140, 150, 160, 180, 200]
TO_SEVENTY = [16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70]
# Nominal lengths (mm) of ISO 4762 socket cap, ISO 4014 and ISO 4017 hexagon, ISO 7380-1 button head, as a
# published table of them gives them (its ends for each size are the table's own and are not used).
PRODUCT_LENGTHS = {
    "ISO 4762": [2.5, 3, 4, 5, 6, 8, 10, 12, *TO_SEVENTY, *TENS, 220, 240, 260, 280, 300],
    "ISO 4014": [12, *TO_SEVENTY, *TENS, *range(220, 501, 20)],
    "ISO 4017": [2, 3, 4, 5, 6, 8, 10, 12, *TO_SEVENTY, *TENS],
    "ISO 7380-1": [6, 8, 10, 12, *TO_SEVENTY, 80, 90, 100],
}


@pytest.mark.parametrize(("standard", "lengths"), PRODUCT_LENGTHS.items())
def test_preferred_metric_lengths_are_those_of_the_products(standard, lengths):
    assert {length for length in lengths if length <= max(METRIC)} <= {float(length) for length in METRIC}


def test_every_preferred_metric_length_is_one_of_a_product():
    made = {length for lengths in PRODUCT_LENGTHS.values() for length in lengths}
    assert {float(length) for length in METRIC} <= made


def test_no_bracketed_length_is_preferred():
    """ISO 888, from memory: lengths in brackets are to be avoided."""
    bracketed = [14, 18, 22, 28, 75, 85, 95, 105, 115, 125, 170, 190]
    assert not set(bracketed) & set(METRIC)
    # Lengths that copying errors have put into other tables: 6 and 8 run together, and the like.
    assert 68 not in METRIC


# ISO 4762, b = 2 d + 12 (from memory); ISO 888 and ISO 4014, b for lengths to 125, to 200, above (mm).
THREAD_LENGTHS = [
    (3, 18, (12, 18, 31)),
    (4, 20, (14, 20, 33)),
    (5, 22, (16, 22, 35)),
    (6, 24, (18, 24, 37)),
    (8, 28, (22, 28, 41)),
    (10, 32, (26, 32, 45)),
    (12, 36, (30, 36, 49)),
]


@pytest.mark.parametrize(("diameter", "cap", "hexagon"), THREAD_LENGTHS)
def test_metric_thread_lengths(diameter, cap, hexagon):
    thread = metric_thread(Fraction(diameter))
    assert standard_thread_length(Bolt(thread, Fraction(120), "socket cap")) == cap
    for length, threaded in zip((125, 200, 201), hexagon, strict=True):
        assert standard_thread_length(Bolt(thread, Fraction(length), "hex")) == threaded


# Derived from ISO 4762's lengths: bolt now (mm), half-inch spacers added under it, length needed, next
# length that is made. One such spacer never lands on a length of the list.
ROUNDED_UP = [
    (20, 1, "32.7", 35), (20, 2, "45.4", 50), (20, 3, "58.1", 60), (25, 1, "37.7", 40), (25, 2, "50.4", 55),
    (25, 3, "63.1", 65), (30, 1, "42.7", 45), (30, 2, "55.4", 60), (30, 3, "68.1", 70), (35, 1, "47.7", 50),
    (35, 2, "60.4", 65), (35, 3, "73.1", 80), (40, 1, "52.7", 55), (40, 2, "65.4", 70), (40, 3, "78.1", 80),
    (45, 1, "57.7", 60), (45, 2, "70.4", 80), (45, 3, "83.1", 90), (50, 1, "62.7", 65), (50, 2, "75.4", 80),
    (50, 3, "88.1", 90), (60, 1, "72.7", 80), (60, 2, "85.4", 90), (60, 3, "98.1", 100),
]  # fmt: skip


@pytest.mark.parametrize(("now", "spacers", "needed", "made"), ROUNDED_UP)
def test_half_inch_spacers_under_metric_bolts(now, spacers, needed, made):
    length = now + spacers * inches("1/2")
    assert length == Fraction(needed)
    assert length not in METRIC
    assert min(each for each in METRIC if each >= length) == made


# ASME B18.3, 1960 series, basic thread length LT (in), from memory: size, threads per inch, printed to
# 0.01 in, and 2 D + 1/2 in.
CAP_THREADS = [
    ("#4", 40, 0.75, "0.724"),
    ("#5", 40, 0.75, "0.75"),
    ("#6", 32, 0.75, "0.776"),
    ("#8", 32, 0.88, "0.828"),
    ("#10", 24, 0.88, "0.88"),
    ("1/4", 20, 1.0, "1"),
    ("5/16", 18, 1.12, "1.125"),
    ("3/8", 16, 1.25, "1.25"),
    ("7/16", 14, 1.38, "1.375"),
    ("1/2", 13, 1.5, "1.5"),
]


@pytest.mark.parametrize(("size", "tpi", "printed", "formula"), CAP_THREADS)
def test_inch_thread_lengths(size, tpi, printed, formula):
    threaded = standard_thread_length(Bolt(inch_thread(size, tpi), inches(6), "socket cap")) / MM_PER_INCH
    small = size in ("#4", "#5", "#6", "#8")
    assert float(threaded) == pytest.approx(printed, abs=0.06 if small else 0.0065)
    assert threaded == (min(Fraction(formula), Fraction(str(printed))) if small else Fraction(formula))


def test_inch_cap_screw_lengths():
    """ASME B18.3, sizes to 1 in, from memory."""
    sixteenths = ["0.125", "0.1875", "0.25"]
    eighths = ["0.375", "0.5", "0.625", "0.75", "0.875", "1"]
    quarters = ["1.25", "1.5", "1.75", "2", "2.25", "2.5", "2.75", "3", "3.25", "3.5"]
    halves = ["4", "4.5", "5", "5.5", "6", "6.5", "7"]
    whole = ["8", "9", "10"]
    assert tuple(Fraction(t) for t in (*sixteenths, *eighths, *quarters, *halves, *whole)) == CAP_INCHES


def test_where_half_an_inch_more_is_no_length_of_the_list():
    """Derived from the list above: a job on such a bolt must round up."""
    long_enough = [length for length in CAP_INCHES if Fraction(1, 4) <= length <= Fraction(13, 2)]
    off_list = [length for length in long_enough if length + Fraction(1, 2) not in CAP_INCHES]
    assert off_list == [Fraction("0.625"), Fraction("0.875"), Fraction("3.25")]


def test_the_inch_list_has_none_of_the_slips_of_a_table_that_is_about():
    """One published table of these lengths begins at 3/4, rounds 7/8 to 0.88 and has 6 1/4 twice."""
    assert min(CAP_INCHES) < Fraction(3, 4)
    assert Fraction(7, 8) in CAP_INCHES
    assert Fraction("0.88") not in CAP_INCHES
    assert len(CAP_INCHES) == len(set(CAP_INCHES))
    assert Fraction("6.25") not in CAP_INCHES


# ASME B18.2.1, hex cap screws, nominal thread length LT (in) up to 6 in long and above it, as two printed
# tables give it alike: table 6 of the 2012 edition, and a table after the 1996 edition (Atlanta Rod).
HEX_THREADS = [
    ("1/4", 20, 0.750, 1.000),
    ("5/16", 18, 0.875, 1.125),
    ("3/8", 16, 1.000, 1.250),
    ("7/16", 14, 1.125, 1.375),
    ("1/2", 13, 1.250, 1.500),
]


@pytest.mark.parametrize(("size", "tpi", "to_six", "above"), HEX_THREADS)
def test_inch_hexagon_thread_lengths(size, tpi, to_six, above):
    thread = inch_thread(size, tpi)
    for length, printed in (("2", to_six), ("6", to_six), ("6.25", above), ("10", above)):
        threaded = standard_thread_length(Bolt(thread, inches(length), "hex"))
        assert float(threaded / MM_PER_INCH) == printed
