"""Strengths that grades stand for, against printed figures, and that the grades are known as marked."""

import pytest

from reconcile.sheets.fasteners.spellings import canonical_grade, is_known_grade
from reconcile.standards import PROPERTY_CLASSES, inch_thread, stress_area
from reconcile.values.measure import MM_PER_INCH

# EN ISO 898-1, d to 16 mm: property class, least tensile strength, stress under proof load (N/mm²), as
# printed by usefastener.com.
CLASSES = {
    "4.6": (400, 225),
    "4.8": (420, 310),
    "5.6": (500, 280),
    "5.8": (520, 380),
    "6.8": (600, 440),
    "8.8": (800, 580),
    "9.8": (900, 650),
    "10.9": (1040, 830),
    "12.9": (1220, 970),
}


def test_every_property_class_is_known_and_no_other():
    assert tuple(CLASSES) == PROPERTY_CLASSES


@pytest.mark.parametrize("mark", CLASSES)
def test_the_mark_of_a_property_class_tells_its_strength(mark):
    """ISO 898-1: the first figure is a hundredth of the nominal strength, the second ten times the ratio."""
    assert canonical_grade(mark) == mark
    tensile, proof = CLASSES[mark]
    first, second = (int(each) for each in mark.split("."))
    assert 100 * first <= tensile < 100 * (first + 1)
    assert 0.85 * first * second * 10 < proof < first * second * 10


# ASTM A574, coarse threads, to 1/2 in: least tensile load and proof load (lbf), worked out by the standard
# from 180,000 and 140,000 psi on the stress area; as printed by STS Industrial.
A574_LOADS = [
    ("#4", 40, 1090, 846),
    ("#5", 40, 1430, 1110),
    ("#6", 32, 1640, 1270),
    ("#8", 32, 2520, 1960),
    ("#10", 24, 3150, 2450),
    ("1/4", 20, 5730, 4450),
    ("5/16", 18, 9440, 7340),
    ("3/8", 16, 13900, 10800),
    ("7/16", 14, 19100, 14900),
    ("1/2", 13, 25500, 19900),
]


@pytest.mark.parametrize(("size", "tpi", "tensile", "proof"), A574_LOADS)
def test_the_loads_of_astm_a574_are_its_strengths_on_our_stress_areas(size, tpi, tensile, proof):
    area = stress_area(inch_thread(size, tpi)) / float(MM_PER_INCH) ** 2
    assert 180_000 * area == pytest.approx(tensile, rel=0.005)
    assert 140_000 * area == pytest.approx(proof, rel=0.005)


# Least tensile strength (ksi): SAE J429 and ASTM, as a chart of grade marks prints it (Portland Bolt,
# American Fastener), to 1/2 in; ASTM A574 as above.
STRENGTHS = {"SAE 2": 74, "SAE 5": 120, "ASTM A193 B7": 125, "SAE 8": 150, "ASTM A574": 180}


def test_a_socket_screw_of_astm_a574_is_stronger_than_any_sae_grade():
    assert all(is_known_grade(grade) for grade in STRENGTHS)
    assert max(STRENGTHS, key=STRENGTHS.get) == "ASTM A574"
