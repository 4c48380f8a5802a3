"""Thread tables and stress areas against published figures.

Each figure stands beside its source. "From memory" marks those that were not seen in print.
"""

import math
from fractions import Fraction

import pytest
from second_opinion import stress_area

from reconcile.standards import UNIFIED, inch_thread, metric_pitches, metric_thread, threads
from reconcile.values.frames.frame import ENGAGEMENT_IN_DIAMETERS
from reconcile.values.measure import MM_PER_INCH

SQUARE_INCH = float(MM_PER_INCH) ** 2

# ASME B1.1, UNC and UNF: size, basic major diameter (in), threads per inch, pitch (mm), and the tensile
# stress area (in²) as printed there and in Machinery's Handbook, "Unified screw threads: standard series",
# and as the formula pi/4 (D - 0.9743/n)² gives it.
UNIFIED_FIGURES = [
    ("#4", 0.112, 40, "UNC", 0.635, 0.00604, 0.0060328),
    ("#5", 0.125, 40, "UNC", 0.635, 0.00796, 0.0079552),
    ("#6", 0.138, 32, "UNC", 0.79375, 0.00909, 0.0090852),
    ("#8", 0.164, 32, "UNC", 0.79375, 0.014, 0.0140087),
    ("#10", 0.19, 24, "UNC", 1.058333, 0.0175, 0.0175313),
    ("#12", 0.216, 24, "UNC", 1.058333, 0.0242, 0.024164),
    ("1/4", 0.25, 20, "UNC", 1.27, 0.0318, 0.0318209),
    ("5/16", 0.3125, 18, "UNC", 1.411111, 0.0524, 0.0524302),
    ("3/8", 0.375, 16, "UNC", 1.5875, 0.0775, 0.0774895),
    ("7/16", 0.4375, 14, "UNC", 1.814286, 0.1063, 0.1063081),
    ("1/2", 0.5, 13, "UNC", 1.953846, 0.1419, 0.1418985),
    ("#4", 0.112, 48, "UNF", 0.529167, 0.00661, 0.0066046),
    ("#5", 0.125, 44, "UNF", 0.577273, 0.0083, 0.0083091),
    ("#6", 0.138, 40, "UNF", 0.635, 0.01015, 0.0101431),
    ("#8", 0.164, 36, "UNF", 0.705556, 0.01474, 0.0147274),
    ("#10", 0.19, 32, "UNF", 0.79375, 0.02, 0.019994),
    ("#12", 0.216, 28, "UNF", 0.907143, 0.0258, 0.0257883),
    ("1/4", 0.25, 28, "UNF", 0.907143, 0.0364, 0.0363738),
    ("5/16", 0.3125, 24, "UNF", 1.058333, 0.058, 0.058066),
    ("3/8", 0.375, 24, "UNF", 1.058333, 0.0878, 0.0878281),
    ("7/16", 0.4375, 20, "UNF", 1.27, 0.1187, 0.1187159),
    ("1/2", 0.5, 20, "UNF", 1.27, 0.1599, 0.1599527),
]


@pytest.mark.parametrize("figures", UNIFIED_FIGURES)
def test_unified_threads(figures):
    size, major, tpi, series, pitch, printed, formula = figures
    thread = inch_thread(size, tpi)
    assert thread.series == series
    assert thread.diameter == Fraction(str(major)) * MM_PER_INCH
    assert float(thread.pitch) == pytest.approx(pitch, abs=1e-6)
    area = stress_area(thread) / SQUARE_INCH
    assert area == pytest.approx(formula, abs=1e-7)
    # Printed tables differ from each other in the last digit.
    assert area == pytest.approx(printed, abs=0.00011, rel=0.006)


def test_every_unified_thread_is_compared():
    assert len(UNIFIED_FIGURES) == 2 * len(UNIFIED)


# ISO 262, selected sizes: diameter, coarse pitch, fine pitches (mm); M8x0.75 is of the longer ISO 261.
METRIC_FIGURES = [
    ("3", "0.5", ["0.35"]),
    ("3.5", "0.6", ["0.35"]),
    ("4", "0.7", ["0.5"]),
    ("5", "0.8", ["0.5"]),
    ("6", "1", ["0.75"]),
    ("7", "1", ["0.75"]),
    ("8", "1.25", ["1", "0.75"]),
    ("10", "1.5", ["1.25", "1"]),
    ("12", "1.75", ["1.5", "1.25"]),
]
# ISO 261 holds these besides.
FURTHER_FIGURES = {"10": ["0.75"], "12": ["1"]}


@pytest.mark.parametrize(("diameter", "coarse", "fine"), METRIC_FIGURES)
def test_metric_pitches(diameter, coarse, fine):
    pitches = [Fraction(pitch) for pitch in (coarse, *fine, *FURTHER_FIGURES.get(diameter, []))]
    assert list(metric_pitches(Fraction(diameter))) == pitches
    assert metric_thread(Fraction(diameter)).pitch == Fraction(coarse)


# ISO 898-1, nominal stress area (mm², three significant digits), and the formula of ISO 898-1 and
# ISO/TR 16224 with its diameters d2, d1, d3 (mm). The printed M10x1 and M12x1.5 are from memory.
STRESS_FIGURES = [
    ("3", "0.5", 5.03, 5.0308, 2.6752, 2.4587, 2.3866),
    ("3.5", "0.6", 6.78, 6.7752, 3.1103, 2.8505, 2.7639),
    ("4", "0.7", 8.78, 8.7787, 3.5453, 3.2422, 3.1412),
    ("5", "0.8", 14.2, 14.1825, 4.4804, 4.134, 4.0185),
    ("6", "1", 20.1, 20.1234, 5.3505, 4.9175, 4.7731),
    ("7", "1", 28.9, 28.8598, 6.3505, 5.9175, 5.7731),
    ("8", "1.25", 36.6, 36.6085, 7.1881, 6.6468, 6.4664),
    ("10", "1.5", 58.0, 57.9896, 9.0257, 8.3762, 8.1597),
    ("12", "1.75", 84.3, 84.2665, 10.8633, 10.1056, 9.853),
    ("8", "1", 39.2, 39.1671, 7.3505, 6.9175, 6.7731),
    ("10", "1.25", 61.2, 61.1986, 9.1881, 8.6468, 8.4664),
    ("10", "1", 64.5, 64.494, 9.3505, 8.9175, 8.7731),
    ("12", "1.5", 88.1, 88.126, 11.0257, 10.3762, 10.1597),
    ("12", "1.25", 92.1, 92.0718, 11.1881, 10.6468, 10.4664),
]


@pytest.mark.parametrize("figures", STRESS_FIGURES)
def test_metric_stress_areas(figures):
    diameter, pitch, printed, formula, d2, d1, d3 = figures
    area = stress_area(metric_thread(Fraction(diameter), Fraction(pitch)))
    assert area == pytest.approx(formula, abs=0.001)
    assert float(f"{area:.3g}") == printed
    assert area == pytest.approx(math.pi / 4 * ((d2 + d3) / 2) ** 2, rel=1e-4)
    assert d1 - d3 == pytest.approx(math.sqrt(3) / 12 * float(pitch), abs=2e-4)


# ASME B1.1 and ISO 261 basic sizes, 1 in = 25.4 mm exactly (NIST SP 811): diameters and pitches (mm) of
# threads that look alike on the bench.
LOOKALIKES = [
    ("#10", 32, "5", (4.826, 5.0), (0.79375, 0.8)),
    ("1/4", 20, "6", (6.35, 6.0), (1.27, 1.0)),
    ("5/16", 18, "8", (7.9375, 8.0), (1.411111, 1.25)),
    ("#8", 32, "4", (4.1656, 4.0), (0.79375, 0.7)),
]


@pytest.mark.parametrize(("size", "tpi", "diameter", "diameters", "pitches"), LOOKALIKES)
def test_threads_that_look_alike_are_never_the_same(size, tpi, diameter, diameters, pitches):
    inch, metric = inch_thread(size, tpi), metric_thread(Fraction(diameter))
    assert [float(thread.diameter) for thread in (inch, metric)] == pytest.approx(diameters, abs=1e-6)
    assert [float(thread.pitch) for thread in (inch, metric)] == pytest.approx(pitches, abs=1e-6)
    assert inch != metric
    assert len({hash(thread) for thread in threads()}) == len(threads())


# FED-STD-H28/2B (1991), table II.B.1, formulas (1a), (4a), (14); the same as Machinery's Handbook, length
# of engagement, formula (1). Limits of class 2A and 2B, ASME B1.1 (in): d2 min, D1 max; then the stress
# area (in²), the shear area of the external thread (in² per in), the engagement for equal strength (in)
# and over the diameter, and the engagement that the standard selects over the diameter.
ENGAGEMENTS = [
    ("#10", 24, 0.1586, 0.155, 0.017532, 0.26776, 0.1309, 0.689, 0.689),
    ("#10", 32, 0.1658, 0.164, 0.019994, 0.27474, 0.1455, 0.766, 0.766),
    ("1/4", 20, 0.2127, 0.207, 0.031821, 0.36796, 0.173, 0.692, 0.692),
    ("1/4", 28, 0.2225, 0.22, 0.036374, 0.37351, 0.1948, 0.779, 0.817),
    ("1/2", 13, 0.4435, 0.434, 0.1419, 0.77894, 0.3643, 0.729, 0.729),
    ("1/2", 20, 0.4619, 0.457, 0.159953, 0.79909, 0.4003, 0.801, 0.871),
]


@pytest.mark.parametrize("figures", ENGAGEMENTS)
def test_the_rule_of_thumb_holds_a_bolt(figures):
    size, tpi, d2_min, minor_max, area, shear, length, ratio, selected = figures
    thread = inch_thread(size, tpi)
    stressed = stress_area(thread) / SQUARE_INCH
    sheared = math.pi * tpi * minor_max * (1 / (2 * tpi) + (d2_min - minor_max) / math.sqrt(3))
    engagement = 2 * stressed / sheared
    assert stressed == pytest.approx(area, abs=0.0005)
    assert sheared == pytest.approx(shear, abs=0.0005)
    assert engagement == pytest.approx(length, abs=0.0005)
    assert engagement / float(thread.diameter / MM_PER_INCH) == pytest.approx(ratio, abs=0.001)
    assert max(engagement / float(thread.diameter / MM_PER_INCH), selected) < ENGAGEMENT_IN_DIAMETERS["steel"]


def test_rules_of_thumb_for_engagement():
    """Common practice, no standard: 1 D in steel, 1.5 to 2 D in aluminium, 2 D or more in plastics."""
    assert ENGAGEMENT_IN_DIAMETERS["steel"] == 1
    assert Fraction(3, 2) <= ENGAGEMENT_IN_DIAMETERS["aluminium"] <= 2
    assert ENGAGEMENT_IN_DIAMETERS["plastic"] >= 2


# ISO 7089, plain washers, normal series: smallest inside diameter (mm). ISO 273, clearance holes: fine,
# medium, coarse (mm).
HOLES = [
    ("3", 3.2, (3.2, 3.4, 3.6)),
    ("4", 4.3, (4.3, 4.5, 4.8)),
    ("5", 5.3, (5.3, 5.5, 5.8)),
    ("6", 6.4, (6.4, 6.6, 7.0)),
    ("8", 8.4, (8.4, 9.0, 10.0)),
    ("10", 10.5, (10.5, 11.0, 12.0)),
    ("12", 13.0, (13.0, 13.5, 14.5)),
]


@pytest.mark.parametrize(("diameter", "washer", "holes"), HOLES)
def test_every_thread_passes_its_washer_and_its_hole_and_no_larger_one_the_washer(diameter, washer, holes):
    thread = metric_thread(Fraction(diameter))
    assert thread.diameter < washer <= min(holes)
    larger = [each.diameter for each in threads() if each.series == "M" and each.diameter > thread.diameter]
    assert all(other >= washer for other in larger)
