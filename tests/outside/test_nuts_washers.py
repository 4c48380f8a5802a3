"""Nut heights, washer thicknesses and drives against published tables; "from memory" where not in print."""

from fractions import Fraction

import pytest

from reconcile.standards import (
    NUT_STANDARDS,
    WASHER_STANDARDS,
    drive_size,
    inch_thread,
    metric_thread,
    nut_height,
    threads,
    washer_thickness,
)
from reconcile.values.measure import MM_PER_INCH, inches

METRIC = {size: metric_thread(Fraction(size)) for size in (3, 4, 5, 6, 8, 10, 12)}
UNC = {
    "#4": inch_thread("#4", 40),
    "#5": inch_thread("#5", 40),
    "#6": inch_thread("#6", 32),
    "#8": inch_thread("#8", 32),
    "#10": inch_thread("#10", 24),
    "#12": inch_thread("#12", 24),
    "1/4": inch_thread("1/4", 20),
    "5/16": inch_thread("5/16", 18),
    "3/8": inch_thread("3/8", 16),
    "7/16": inch_thread("7/16", 14),
    "1/2": inch_thread("1/2", 13),
}


def in_inches(length):
    return float(length / MM_PER_INCH)


# ISO 4032 (BS EN ISO 4032:2001, table 1), m max and m min (mm): M3 to M12.
PLAIN_NUTS = {
    3: (2.4, 2.15),
    4: (3.2, 2.9),
    5: (4.7, 4.4),
    6: (5.2, 4.9),
    8: (6.8, 6.44),
    10: (8.4, 8.04),
    12: (10.8, 10.37),
}


@pytest.mark.parametrize("size", METRIC)
def test_metric_hexagon_nuts(size):
    assert float(nut_height("ISO 4032", METRIC[size])) == PLAIN_NUTS[size][0]


# ASME B18.16.3M, prevailing torque nuts with top insert, property classes 5 and 10, thickness max (mm), as
# printed by Engineers Edge: the same heights as ISO 7040. M12, 14.9 mm, is from memory.
@pytest.mark.parametrize(
    ("size", "most"), [(3, 4.5), (4, 6), (5, 6.8), (6, 8), (8, 9.5), (10, 11.9), (12, 14.9)]
)
def test_metric_lock_nuts(size, most):
    assert float(nut_height("ISO 7040", METRIC[size])) == most


# ISO 4035, thin nuts, m min (mm), from memory.
THIN_NUTS_MIN = {6: "2.9", 8: "3.7", 10: "4.7", 12: "5.7"}


@pytest.mark.parametrize("size", THIN_NUTS_MIN)
def test_the_locking_feature_of_a_thin_nut_is_as_high_as_that_of_a_regular_one(size):
    """ISO 7040:2025, scope: h max - m min is identical for regular and thin nuts of a diameter."""
    regular = nut_height("ISO 7040", METRIC[size]) - Fraction(str(PLAIN_NUTS[size][1]))
    thin = nut_height("ISO 10511", METRIC[size]) - Fraction(THIN_NUTS_MIN[size])
    assert regular == thin


# ASME B18.2.2, thickness max (in): hex machine screw nuts #4 to #12, hex nuts 1/4 to 1/2.
HEX_NUTS = {
    "#4": 0.098,
    "#5": 0.114,
    "#6": 0.114,
    "#8": 0.130,
    "#10": 0.130,
    "#12": 0.161,
    "1/4": 0.226,
    "5/16": 0.273,
    "3/8": 0.337,
    "7/16": 0.385,
    "1/2": 0.448,
}
# ASME B18.16.6, nylon insert lock nuts, style NE, height max (in).
LOCK_NUTS = {"1/4": 0.328, "5/16": 0.359, "3/8": 0.468, "7/16": 0.468, "1/2": 0.609}


@pytest.mark.parametrize(("standard", "printed"), [("ASME B18.2.2", HEX_NUTS), ("ASME B18.16.6", LOCK_NUTS)])
def test_inch_nuts(standard, printed):
    heights = {size: nut_height(standard, thread) for size, thread in UNC.items()}
    assert {size: in_inches(mm) for size, mm in heights.items() if mm is not None} == printed


def test_a_nut_is_lower_thin_and_higher_with_an_insert():
    for thread in METRIC.values():
        plain, thin, lock = (nut_height(each, thread) for each in ("ISO 4032", "ISO 10511", "ISO 7040"))
        assert plain < lock
        assert thin < lock
    for size in LOCK_NUTS:
        assert nut_height("ASME B18.2.2", UNC[size]) < nut_height("ASME B18.16.6", UNC[size])


def test_what_no_table_has_is_not_guessed():
    assert nut_height("ISO 7040", metric_thread(Fraction(8), Fraction(1))) is None  # fine: another standard
    assert nut_height("ISO 7040", UNC["1/4"]) is None
    assert nut_height("ASME B18.16.6", UNC["#10"]) is None
    assert nut_height("no standard", METRIC[6]) is None
    assert washer_thickness("ISO 7089", metric_thread(Fraction(7))) is None
    assert drive_size(METRIC[6], "button") is None
    assert drive_size(UNC["#10"], "hex") is None


# ISO 7089, normal series, grade A: thickness nominal and max (mm).
ISO_WASHERS = {
    3: (0.5, 0.55),
    4: (0.8, 0.9),
    5: (1.0, 1.1),
    6: (1.6, 1.8),
    8: (1.6, 1.8),
    10: (2.0, 2.2),
    12: (2.5, 2.7),
}


@pytest.mark.parametrize("size", METRIC)
def test_metric_washers(size):
    thickness = washer_thickness("ISO 7089", METRIC[size])
    assert (float(thickness.nominal), float(thickness.most)) == ISO_WASHERS[size]


# ANSI/ASME B18.21.1-2009 (R2016), type A, preferred sizes: thickness basic and max (in), as printed in
# Machinery's Handbook, 31st ed., Washers, table 1a. Size, narrow, wide.
INCH_WASHERS = [
    ("#10", (0.049, 0.065), None),
    ("1/4", (0.065, 0.080), (0.065, 0.080)),
    ("5/16", (0.065, 0.080), (0.083, 0.104)),
    ("3/8", (0.065, 0.080), (0.083, 0.104)),
    ("7/16", (0.065, 0.080), (0.083, 0.104)),
    ("1/2", (0.095, 0.121), (0.109, 0.132)),
]


@pytest.mark.parametrize(("size", "narrow", "wide"), INCH_WASHERS)
def test_inch_washers(size, narrow, wide):
    for series, printed in (("narrow", narrow), ("wide", wide)):
        thickness = washer_thickness(f"ASME B18.21.1 type A {series}", UNC[size])
        assert (thickness and (in_inches(thickness.nominal), in_inches(thickness.most))) == printed


def test_no_washer_is_thicker_than_its_most_nor_nut_or_washer_thicker_than_its_bolt():
    for thread in threads():
        for standard in WASHER_STANDARDS:
            if (thickness := washer_thickness(standard, thread)) is not None:
                assert 0 < thickness.nominal < thickness.most < thread.diameter / 2
        for standard in NUT_STANDARDS:
            if (height := nut_height(standard, thread)) is not None:
                assert thread.diameter / 2 < height < 2 * thread.diameter


# ISO 4762, socket, s nom (mm); ISO 4032, nuts, s (mm), which hexagon heads of ISO 4014 share (from memory).
METRIC_WIDTHS = {
    3: ("2.5", "5.5"),
    4: ("3", "7"),
    5: ("4", "8"),
    6: ("5", "10"),
    8: ("6", "13"),
    10: ("8", "16"),
    12: ("10", "18"),
}
# ASME B18.3-2003, hex socket size J nom (in); ASME B18.2.1, width across flats F basic (in).
INCH_WIDTHS = {
    "#4": ("3/32", None),
    "#5": ("3/32", None),
    "#6": ("7/64", None),
    "#8": ("9/64", None),
    "#10": ("5/32", None),
    "1/4": ("3/16", "7/16"),
    "5/16": ("1/4", "1/2"),
    "3/8": ("5/16", "9/16"),
    "7/16": ("3/8", "5/8"),
    "1/2": ("3/8", "3/4"),
}


@pytest.mark.parametrize("size", METRIC)
def test_metric_drives(size):
    widths = drive_size(METRIC[size], "socket cap"), drive_size(METRIC[size], "hex")
    assert widths == tuple(Fraction(text) for text in METRIC_WIDTHS[size])


@pytest.mark.parametrize("size", INCH_WIDTHS)
def test_inch_drives(size):
    widths = drive_size(UNC[size], "socket cap"), drive_size(UNC[size], "hex")
    assert widths == tuple(inches(text) if text else None for text in INCH_WIDTHS[size])
