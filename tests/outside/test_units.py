"""Units and exact reading against published figures."""

from fractions import Fraction

import pytest

from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.units import read_length, read_quantity
from reconcile.values.measure import MM_PER_INCH, inches

# NIST SP 811, appendix B.8: 1 in = 25.4 mm exactly (UN/ECE Rec 20, code INH).
SIXTEENTHS = {
    "1/2": "12.7", "1/4": "6.35", "3/4": "19.05", "1/8": "3.175", "3/8": "9.525", "5/8": "15.875",
    "7/8": "22.225", "1/16": "1.5875", "3/16": "4.7625", "5/16": "7.9375", "7/16": "11.1125",
    "9/16": "14.2875", "11/16": "17.4625", "13/16": "20.6375", "15/16": "23.8125",
}  # fmt: skip


def test_an_inch_is_25_4_mm_exactly():
    assert Fraction("25.4") == MM_PER_INCH
    assert read_length("1 in", None) == (Fraction("25.4"), "in")


@pytest.mark.parametrize(("inch", "mm"), SIXTEENTHS.items())
def test_sixteenths_of_an_inch(inch, mm):
    assert inches(inch) == Fraction(mm)
    assert read_length(f"{inch} in", None)[0] == read_length(f"{mm} mm", None)[0] == Fraction(mm)


# Derived by arithmetic from UN/ECE Rec 20 (DZN a dozen, GRO a gross, CEN a hundred): pieces needed, the
# packs that cover them, the pieces in those packs.
PACKS = [
    (1, "dozen", 12, 1, 12),
    (12, "dozen", 12, 1, 12),
    (13, "dozen", 12, 2, 24),
    (144, "gross", 144, 1, 144),
    (145, "gross", 144, 2, 288),
    (101, "pack", 100, 2, 200),
    (0, "gross", 144, 0, 0),
]


@pytest.mark.parametrize(("needed", "unit", "size", "packs", "pieces"), PACKS)
def test_packs_that_cover_a_need(needed, unit, size, packs, pieces):
    covered = read_quantity(f"{packs} {unit}", "each", Fraction(size))
    assert covered == pieces >= needed
    assert packs == 0 or read_quantity(f"{packs - 1} {unit}", "each", Fraction(size)) < needed


# NIST SP 811, appendix B.7.1 (also ASTM E29, ISO 80000-1 rule A), from memory: exactly half goes to the even
# digit. A value that had passed through a float would not be exactly half.
ROUNDED = [
    ("6.9749515", 2, "6.97"),
    ("6.9749515", 3, "6.975"),
    ("6.9749515", 4, "6.9750"),
    ("6.9749515", 6, "6.974952"),
    ("6.9749505", 6, "6.974950"),
]


@pytest.mark.parametrize(("text", "places", "rounded"), ROUNDED)
def test_numbers_are_read_exactly_enough_to_round_by_the_rule(text, places, rounded):
    assert round(read_number(text), places) == Fraction(rounded)
    assert round(read_number(float(text)), places) == Fraction(rounded)
