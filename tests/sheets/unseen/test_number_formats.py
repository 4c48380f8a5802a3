"""How a spreadsheet shows a number: by the rules of ECMA-376 part 1, 18.8.31, worked by hand."""

import pytest

from reconcile.sheets.unseen.number_formats import shown_as


@pytest.mark.parametrize(
    ("number", "code", "shown"),
    [
        (417, "General", "417"),
        (417, "@", "417"),
        (417.5, "General", "417.5"),
        (99999999999, "General", "99999999999"),
        (100000000000, "General", "1E+11"),
        (12345678901234, "General", "1.23457E+13"),
        (417, "00000", "00417"),
        (123456, "00000", "123456"),
        (417.5, "00000", "00418"),
        (-5, "000", "-005"),
        (-5, "000;(000)", "(005)"),
        (417, '"B-"0000', "B-0417"),
        (417, '"B-"000-0', "B-041-7"),
        (1234567, "000-0000", "123-4567"),
        (12345678, "000-0000", "1234-5678"),
        (417, r"\P0000", "P0417"),
        (417, "[Red]000000", "000417"),
        (417, "0.0", "417.0"),
        (417.5, "0.##", "417.5"),
        (12417, "#,##0", "12,417"),
        (417, "#,##0", "417"),
        (1234567, "#,##0.00", "1,234,567.00"),
        (4.17, "0%", "417%"),
        (12345678901234, "0.00E+00", "1.23E+13"),
        (0, "0;-0;00", "00"),
    ],
)
def test_a_number_is_shown_by_its_format(number, code, shown):
    assert shown_as(number, code) == shown


@pytest.mark.parametrize("code", ["# ?/?", "yyyy-mm-dd", "[>99]0;00", "0,", '"hidden"', "##0.0E+0"])
def test_a_format_that_is_not_worked_out_is_left_open(code):
    assert shown_as(417, code) is None
