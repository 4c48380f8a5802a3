"""Numbers, lengths, quantities, dates and money as people write them."""

import subprocess
import sys
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_money, read_number, read_whole
from reconcile.sheets.figures.text import Unreadable, clean, clean_with_places
from reconcile.sheets.figures.units import (
    canonical_unit,
    convert,
    read_amount,
    read_length,
    read_quantity,
    result_unit,
)
from reconcile.values.catalogue import CODES
from reconcile.values.measure import Amount, length_text


def refused(read, *args, **options) -> str:
    """The code and the sentence with which a reading is refused."""
    with pytest.raises(Unreadable) as fault:
        read(*args, **options)
    assert fault.value.code in CODES
    return f"{fault.value.code}: {fault.value.says}"


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("1½″", '1 1/2"'),
        ("1½", "1 1/2"),
        ("1-½", "1-1/2"),
        ("-½", "-1/2"),
        ("½2", "1/2 2"),
        ("1¹⁄₂", "1 1/2"),
        ("⅜", "3/8"),
        ("１½", "1 1/2"),
        ("1\u200b½", "1 1/2"),
        ("½２", "1/2 2"),
        ("¹²⁄₃₂", "12/32"),
        ("e\u0301", "é"),
        ("1\u00ad2\u200f", "12"),
        ("mm²", "mm²"),
        ("3''", '3"'),
        ("3′′", '3"'),
        ("3’ 6”", "3' 6\""),
        ("1\u00a0000\u2009mm", "1 000 mm"),
        ("1\u200b2\ufeff", "12"),
        ("１２ ｍｍ", "12 mm"),
        ("2–1/2", "2-1/2"),
        ("−3", "-3"),
        ("  a \t b\n", "a b"),
        ("B-1\x07", "B-1"),
        ("B\x1f-1\x9f", "B-1"),
        ("a\x0bb", "a b"),
    ],
)
def test_text_is_put_into_plain_characters(text, plain):
    assert clean(text) == plain


@pytest.mark.slow
@given(st.text(alphabet="½¹⁄₂12 −′'x\u00a0\u200b", max_size=12))
def test_each_clean_character_knows_where_it_came_from(text):
    plain, places = clean_with_places(text)
    assert plain == clean(text)
    assert len(places) == len(plain)
    assert list(places) == sorted(places)


@pytest.mark.parametrize(
    ("value", "number"),
    [
        ("12", "12"),
        ("-3", "-3"),
        ("+3", "3"),
        (".5", "1/2"),
        ("2.50", "5/2"),
        ("1/2", "1/2"),
        ("1 1/2", "3/2"),
        ("1-1/2", "3/2"),
        ("1½", "3/2"),
        ("-1½", "-3/2"),
        ("12,7", "127/10"),
        ("0,125", "1/8"),  # a thousands group does not follow a lone 0
        ("1234,567", "1234567/1000"),
        ("1.234", "617/500"),
        ("1 000", "1000"),
        ("1 000,5", "2001/2"),
        ("1 234 567", "1234567"),
        (0.1, "1/10"),
        (0.30000000000000004, "3/10"),
        (38.099999999999994, "381/10"),
        (4, "4"),
        (1e20, "100000000000000000000"),
    ],
)
def test_numbers_are_read_exactly(value, number):
    assert read_number(value, None) == Fraction(number)


@pytest.mark.parametrize(
    "text",
    [
        "about 20",
        "1E5",
        "1/4-20",
        "1/2/4",
        "1/0",
        "1 3/2",
        "1 00",
        "1 - 1/2",
        "12.",
        "--3",
        "1,2,3",
        "nan",
        "£3",
        "-",
    ],
)
def test_what_is_no_number_is_refused_and_named(text):
    assert refused(read_number, text, None) == f'number-unreadable: "{text}" is not a number.'


def test_very_long_numbers_are_refused_and_shortened():
    assert refused(read_number, "9" * 5000, None) == f'number-unreadable: "{"9" * 60}..." is not a number.'


@pytest.mark.parametrize("value", [True, date(2026, 3, 8), time(3, 0), float("nan"), float("inf")])
def test_cells_of_another_kind_are_no_numbers(value):
    assert refused(read_number, value, None).startswith("number-unreadable: The cell holds ")


@pytest.mark.parametrize("value", [None, "", "  ", "\u00a0"])
def test_blank_is_never_nothing(value):
    for read in (lambda cell: read_number(cell, None), read_date, read_amount, read_money, read_whole):
        assert refused(read, value) == "cell-blank: The cell is blank."
    assert refused(read_length, value, "mm") == "cell-blank: The cell is blank."
    assert refused(read_quantity, value, "each") == "cell-blank: The cell is blank."


@pytest.mark.parametrize(
    ("text", "with_point", "with_comma"),
    [
        ("1,5", None, "3/2"),
        ("1.234,5", None, "2469/2"),
        ("1,234.5", "2469/2", None),
        ("1,234", "1234", "617/500"),
        ("1.234", "617/500", "1234"),
        ("12.7", "127/10", None),
        ("1,234,567", "1234567", None),
    ],
)
def test_a_declared_decimal_mark_decides(text, with_point, with_comma):
    for mark, number in ((".", with_point), (",", with_comma)):
        if number is None:
            said = f'number-unreadable: "{text}" is not a number with "{mark}" as the decimal mark.'
            assert refused(read_number, text, mark) == said
        else:
            assert read_number(text, mark) == Fraction(number)


def test_without_one_what_may_part_thousands_is_an_error():
    assert refused(read_number, "1,234", None) == (
        'number-ambiguous: "1,234" can be 1234 or 1.234, and no decimal mark is declared.'
    )
    assert refused(read_number, "1.234,5", None) == (
        'number-ambiguous: "1.234,5" is 1234.5 only if "," is the decimal mark, and none is declared.'
    )
    assert refused(read_number, "1,234,567", None).startswith("number-ambiguous")


@pytest.mark.parametrize(
    "text",
    [
        "1/2 in",
        "½ in",
        '1/2"',
        '½"',
        "½″",
        "0.5in",
        ".5 in.",
        "1/2 inch",
        "0,5 ins",
        "1/2''",
        "12.7 mm",
        "12,7 mm",
    ],
)
def test_half_an_inch_is_half_an_inch_however_it_is_written(text):
    assert read_length(text, None) == (Fraction("12.7"), "mm" if "mm" in text else "in")


@pytest.mark.parametrize(
    ("text", "inches"),
    [('1 1/2"', "3/2"), ("1-1/2 in", "3/2"), ("1½ in", "3/2"), ("1–1/2 in", "3/2"), ("1\u00a01/2″", "3/2")],
)
def test_mixed_fractions(text, inches):
    assert read_length(text, None) == (Fraction(inches) * Fraction("25.4"), "in")


def test_other_units_of_length_are_exact():
    assert read_length("5 cm", None) == (50, "mm")
    assert read_length("1.5 m", None) == (1500, "mm")
    assert read_length("2 ft", None) == (Fraction("609.6"), "in")
    assert read_length("1 000 mm", None) == (1000, "mm")


def test_a_bare_length_takes_the_unit_of_its_column():
    assert read_length(1.5, "in") == (Fraction("38.1"), "in")
    assert read_length("12", "mm") == (12, "mm")
    assert read_length("1 in", "mm") == (Fraction("25.4"), "in")
    assert refused(read_length, 12.0, None) == "length-unit-missing: 12 has no unit."


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("1/2/4 in", 'length-unreadable: "1/2/4 in" is not a length.'),
        ("about 2 in", 'length-unreadable: "about 2 in" is not a length.'),
        ("3 mL", 'length-unreadable: "3 mL" is not a length: mL measures none.'),
        ("12 blips", 'unit-unknown: "blips" is not a unit that is known.'),
        ("-1 in", 'number-negative: "-1 in" is less than nothing.'),
        ("1,234 mm", 'number-ambiguous: "1,234" can be 1234 or 1.234, and no decimal mark is declared.'),
        (True, "length-unreadable: The cell holds TRUE, not a length."),
        (time(3, 8), "length-unreadable: The cell holds the time 03:08:00, not a length."),
    ],
)
def test_a_length_that_cannot_be_read_is_refused_and_named(value, said):
    assert refused(read_length, value, None) == said


@pytest.mark.parametrize(
    ("day", "fraction"),
    [
        (date(2026, 3, 8), "3/8"),
        (date(2026, 8, 3), "3/8"),
        (datetime(2026, 1, 2), "1/2"),
        (date(2026, 5, 16), "5/16"),
        (date(2026, 11, 16), "11/16"),
        (date(2002, 1, 1), "1 1/2"),
    ],
)
def test_a_fraction_that_became_a_date_is_named(day, fraction):
    iso = day.date() if isinstance(day, datetime) else day
    assert refused(read_length, day, "in") == (
        f"length-is-date: The cell holds the date {iso}, not a length; it can only have been {fraction}."
    )


def test_a_date_that_was_no_fraction_is_only_called_a_date():
    said = "length-is-date: The cell holds the date 2026-03-31, not a length; no fraction becomes that date."
    assert refused(read_length, date(2026, 3, 31), "in") == said


def test_a_date_that_may_have_been_several_fractions_names_them_all():
    assert refused(read_length, date(2016, 3, 1), "in") == (
        "length-is-date: The cell holds the date 2016-03-01, not a length; "
        "it can have been 3/16, 1 3/16 or 3 1/16."
    )


def test_a_text_that_shows_a_date_is_one():
    said = 'length-is-date: "8-Mar" is a date, not a length; it can only have been 3/8.'
    assert refused(read_length, "8-Mar", "in") == said


@given(st.fractions(min_value=0, max_value=1000, max_denominator=640), st.sampled_from(["in", "mm"]))
def test_a_printed_length_reads_back(mm, unit):
    assert read_length(length_text(mm, unit), None)[0] == mm


@pytest.mark.parametrize(
    ("value", "unit", "pack", "quantity"),
    [
        (12.0, "each", 1, 12),
        ("12 pcs", "each", 1, 12),
        ("1 EA", "each", 1, 1),
        ("1 pk", "each", 50, 50),
        ("2 pack(s)", "each", 50, 100),
        ("2 dozen", "each", 1, 24),
        ("1 gross", "each", 1, 144),
        ("12 off", "each", 1, 12),
        ("12 no.", "each", 1, 12),
        ("3 pairs", "each", 1, 6),
        (3.0, "pack", 50, 150),
        ("3", "pack", 50, 150),
        ("12 pcs", "pack", 50, 12),
        ("25 mL", "mL", 1, 25),
        ("25ML", "mL", 1, 25),
        ("0.025 L", "mL", 1, 25),
        ("1 kg", "g", 1, 1000),
        ("3 ft", "in", 1, 36),
        ("1 000", "each", 1, 1000),
    ],
)
def test_quantities_come_out_in_the_part_s_unit(value, unit, pack, quantity):
    assert read_quantity(value, unit, Fraction(pack)) == quantity


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("1/4-20", 'number-unreadable: "1/4-20" is not a quantity.'),
        ("1E5", 'number-unreadable: "1E5" is not a quantity.'),
        ("3 mL", "unit-mismatch: 3 mL cannot be given in each."),
        ("12 blips", 'unit-unknown: "blips" is not a unit that is known.'),
        ("2 M", 'unit-unknown: "M" is not a unit that is known.'),
        (-2.0, "number-negative: -2 is less than nothing."),
        (date(2026, 3, 8), "number-unreadable: The cell holds the date 2026-03-08, not a quantity."),
    ],
)
def test_a_quantity_that_cannot_be_read_is_refused_and_named(value, said):
    assert refused(read_quantity, value, "each") == said


def test_a_negative_quantity_is_read_only_where_it_may_be():
    assert read_quantity("-2 pcs", "each", signed=True) == -2


def test_amounts_and_conversion():
    assert read_amount("0.1 mL") == Amount(Fraction(1, 10), "mL")
    assert read_amount("4 each") == read_amount("4") == read_amount(4.0) == Amount(Fraction(4), "each")
    assert refused(read_amount, "-1 each") == 'number-negative: "-1 each" is less than nothing.'
    assert convert(Amount(Fraction(100), "mL"), "L") == Fraction(1, 10)
    assert convert(Amount(Fraction(1), "in"), "mm") == Fraction("25.4")
    assert convert(Amount(Fraction(2), "pack"), "each", Fraction(50)) == 100
    assert (
        refused(convert, Amount(Fraction(2), "pack"), "each")
        == "unit-mismatch: 2 pack cannot be given in each."
    )
    assert result_unit("pack") == "each"
    assert result_unit("mL") == "mL"


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("mL", "mL"),
        ("ml", "mL"),
        ("ML", "mL"),
        ("Pcs.", "each"),
        ("IN.", "in"),
        ("″", "in"),
        ("m", "m"),
        ("Metres", "m"),
    ],
)
def test_units_are_known_by_many_names(text, unit):
    assert canonical_unit(text) == unit


def test_whole_numbers():
    assert read_whole(2.0) == read_whole("2") == 2
    assert refused(read_whole, 2.5) == "number-not-whole: 2.5 is not a whole number."
    assert refused(read_whole, -1.0, 1) == "number-negative: -1 is less than nothing."
    assert refused(read_whole, 0.0, 1) == "number-too-small: 0 is less than 1."


def test_money_is_exact():
    assert read_money(0.45) == read_money("0.45") == read_money("0,45") == Decimal("0.45")
    assert read_money("1.234,50", ",") == Decimal("1234.5")
    assert refused(read_money, "£3") == 'number-unreadable: "£3" is not a number.'
    assert refused(read_money, "1/3") == 'number-unreadable: "1/3" has no exact decimals, as money must.'
    assert refused(read_money, -1.0) == "number-negative: -1 is less than nothing."


def test_real_dates_and_iso_text_need_no_order():
    day = date(2026, 12, 3)
    assert read_date(day) == read_date(datetime(2026, 12, 3, 14, 30)) == day
    assert read_date("2026-12-03") == read_date("2026‑12‑03") == read_date("2026-12-03 00:00:00") == day


@pytest.mark.parametrize("text", ["3/12/2026", "3.12.2026", "03-12-2026"])
def test_other_text_is_read_in_the_declared_order(text):
    assert read_date(text, "dmy") == date(2026, 12, 3)
    assert read_date(text, "mdy") == date(2026, 3, 12)
    assert refused(read_date, text) == (
        f'date-ambiguous: "{text}" is 2026-12-03 with the day first or 2026-03-12 with the month first, '
        "and no order is declared."
    )


def test_a_date_that_has_one_reading_is_still_not_guessed():
    assert read_date("25/12/2026", "dmy") == date(2026, 12, 25)
    assert refused(read_date, "25/12/2026") == (
        'date-ambiguous: "25/12/2026" is 2026-12-25 with the day first, and no order is declared.'
    )
    assert refused(read_date, "25/12/2026", "mdy") == (
        'date-unreadable: "25/12/2026" is not a date with the month first, as declared.'
    )


@pytest.mark.parametrize(
    "value", ["next Tuesday", "3/12/26", "2026-02-30", "3/12-2026", "31/31/2026", 45000.0, True]
)
def test_what_is_no_date_is_refused(value):
    assert refused(read_date, value).startswith("date-unreadable: ")


@pytest.mark.slow
@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text):
    for read in (read_number, read_money, read_date, read_amount, canonical_unit):
        try:
            read(text)
        except Unreadable as fault:
            assert fault.code in CODES


def test_importing_amounts_does_not_load_pint():
    modules = "reconcile.sheets.figures.units, reconcile.sheets.fasteners.descriptions"
    loaded = f"import sys, {modules}; print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", loaded], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
