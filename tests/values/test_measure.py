"""Exact lengths and quantities, and how they print."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.values.measure import (
    MM_PER_INCH,
    decimal_text,
    fraction_text,
    inches,
    length_text,
    near_text,
    plain_number,
    quantity_text,
)


@pytest.mark.parametrize(
    ("value", "mm"),
    [("1/2", "12.7"), ("1", "25.4"), (3, "76.2"), ("0.1", "2.54"), (Fraction(1, 128), "0.1984375"), (0, 0)],
)
def test_inches_become_exact_millimetres(value, mm):
    assert inches(value) == Fraction(mm)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("3", "3"), ("0", "0"), ("-7", "-7"), ("1/2", "0.5"), ("-1/2", "-0.5"), ("1/10", "0.1"),
        ("1/128", "0.0078125"), ("1234567/1000", "1234.567"), ("1/125", "0.008"), ("-5/4", "-1.25"),
        ("1/3", None), ("22/7", None), ("1/6", None),
    ],
)  # fmt: skip
def test_a_decimal_is_exact_or_none(value, text):
    assert decimal_text(Fraction(value)) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [("3", "3"), ("0", "0"), ("3/2", "1 1/2"), ("5/16", "5/16"), ("-3/2", "-1 1/2"), ("-1/4", "-1/4")],
)
def test_a_mixed_fraction_as_the_trade_writes_it(value, text):
    assert fraction_text(Fraction(value)) == text


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        ("76.2", "in", "3 in"),
        ("38.1", "in", "1 1/2 in"),
        ("7.9375", "in", "5/16 in"),
        ("0.1984375", "in", "1/128 in"),
        ("0.09921875", "in", "0.09921875 mm"),  # 1/256 in: too fine for a fraction, too long as a decimal
        ("2.54", "in", "0.1 in"),
        ("37.5", "in", "37.5 mm"),  # 375/254 in has no exact text in inches
        ("37.5", "mm", "37.5 mm"),
        ("12.7", "mm", "12.7 mm"),
        ("30", "mm", "30 mm"),
        ("1/3", "mm", "1/3 mm"),
        ("4/3", "in", "1 1/3 mm"),
        ("0", "in", "0 in"),
        ("-12.7", "in", "-1/2 in"),
    ],
)
def test_a_length_prints_exactly_in_its_unit_or_else_in_millimetres(mm, unit, text):
    assert length_text(Fraction(mm), unit) == text


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (inches("5/8") - inches("1/18"), "in", "0.569 in"),  # a thread of 18 to the inch: 41/72 in
        (inches("35/8") - inches("1/18"), "in", "4.319 in"),
        (inches("133/128"), "in", "1 5/128 in"),
        (inches("5/4") + 3, "in", "1.368 in"),  # washers of 1.5 mm, two
        (inches("0.2175"), "in", "0.218 in"),
        (Fraction(0), "in", "0 in"),
        (-inches("1/18"), "in", "-0.056 in"),
        (inches("1/18"), "mm", "1.41 mm"),
        (Fraction("34.75"), "mm", "34.75 mm"),
        (Fraction(30), "mm", "30 mm"),
    ],
)
def test_a_figure_that_was_worked_out_prints_as_a_rule_or_a_caliper_shows_it(mm, unit, text):
    assert near_text(mm, unit) == text


@given(st.fractions(-100, 100), st.fractions(-100, 100), st.sampled_from(["in", "mm"]))
def test_of_two_figures_the_lesser_never_reads_as_the_greater(one, other, unit):
    first, second = (
        sum(map(Fraction, near_text(mm, unit).lstrip("-").split()[:-1])) * (-1 if mm < 0 else 1)
        for mm in sorted((one, other))
    )
    assert first <= second


@pytest.mark.parametrize(
    ("value", "text", "number"),
    [("12", "12", 12), ("3/10", "0.3", 0.3), ("1/3", "1/3", 1 / 3), ("-2", "-2", -2)],
)
def test_a_quantity_in_words_and_as_a_number(value, text, number):
    assert quantity_text(Fraction(value)) == text
    assert plain_number(Fraction(value)) == number
    assert isinstance(plain_number(Fraction(value)), int) is (Fraction(value).denominator == 1)


def number_in(text):
    """``-1 1/2`` read back by plain arithmetic."""
    sign, text = (-1, text[1:]) if text[0] == "-" else (1, text)
    return sign * sum(map(Fraction, text.split()), Fraction(0))


@pytest.mark.slow
@settings(max_examples=80, derandomize=True)
@given(st.fractions(-1000, 1000, max_denominator=2000), st.sampled_from(["in", "mm"]))
def test_what_is_printed_is_exactly_what_was_meant(mm, unit):
    number, printed_in = length_text(mm, unit).rsplit(" ", 1)
    assert number_in(number) * {"in": MM_PER_INCH, "mm": 1}[printed_in] == mm
    assert number_in(quantity_text(mm)) == mm
    assert number_in(fraction_text(mm)) == mm
