"""Codes that traders share: every unit has one, and money is rounded as its currency asks."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reconcile.sheets.figures.units import _SPELLINGS, canonical_unit, result_unit
from reconcile.values.trade_codes import UNIT_CODES, minor_places, rounded


def test_every_unit_that_a_part_may_be_kept_in_has_a_code():
    kept_in = {result_unit(canonical_unit(unit)) for unit in _SPELLINGS}
    assert "each" in kept_in
    assert kept_in - set(UNIT_CODES) == set()


def test_no_two_units_share_a_code():
    assert len(set(UNIT_CODES.values())) == len(UNIT_CODES)


# UN/ECE Recommendation 20, annex III, from memory.
@pytest.mark.parametrize(
    ("unit", "code"),
    [("each", "EA"), ("pair", "PR"), ("m", "MTR"), ("in", "INH"), ("ft", "FOT"), ("mL", "MLT")],
)
def test_codes_are_those_of_the_recommendation(unit, code):
    assert UNIT_CODES[unit] == code


@pytest.mark.parametrize(
    ("amount", "currency", "expected"),
    [
        ("2.344", "EUR", "2.34"),
        ("2.345", "EUR", "2.35"),
        ("2.355", "EUR", "2.36"),
        ("1234.5", "JPY", "1235"),
        ("0.0005", "KWD", "0.001"),
        ("7", "EUR", "7.00"),
        ("0.004", "", "0.00"),
    ],
)
def test_half_goes_up_to_the_smallest_unit(amount, currency, expected):
    assert str(rounded(Fraction(amount), currency)) == expected


@pytest.mark.slow
@given(st.fractions(min_value=0, max_value=10**40), st.sampled_from(["EUR", "JPY", "KWD", "CLF"]))
def test_rounding_moves_an_amount_by_half_a_unit_at_most(amount, currency):
    found = rounded(amount, currency)
    unit = Fraction(1, 10 ** minor_places(currency))
    assert -unit / 2 < Fraction(found) - amount <= unit / 2
    assert rounded(found, currency) == found


def test_a_large_amount_keeps_every_digit():
    assert rounded(Decimal("12345678901234567890123456789012345.675"), "EUR") == Decimal(
        "12345678901234567890123456789012345.68"
    )
