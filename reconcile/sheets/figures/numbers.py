"""Cells to exact numbers, whole numbers and sums of money, by a strict grammar of our own."""

import re
from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction

from reconcile.sheets.figures.text import CellValue, Unreadable, clean, shown
from reconcile.values.measure import decimal_text, quantity_text

LONGEST_NUMBER = 40
"""Characters; a longer number is a mistake, and very long ones are slow to read."""

_MIXED = re.compile(r"(?:([0-9]+)[ -])?([0-9]+) ?/ ?([0-9]+)")
_WITH_POINT = re.compile(
    r"(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[1-9][0-9]{0,2}(?: [0-9]{3})+|[0-9]*)(?:\.[0-9]+)?"
)
_SWAPPED = str.maketrans(".,", ",.")


def read_number(value: CellValue, decimal: str | None = None) -> Fraction:
    """An exact number from a cell: ``12``, ``-3``, ``.5``, ``1/2``, ``1 1/2``, ``1-1/2``, ``1½``, ``1 000``.

    ``decimal`` is the declared decimal mark, "." or ",", and the other then parts thousands. With none
    declared a point is the decimal mark, a comma is where it cannot part thousands (``12,7``), and
    ``1,234`` is an error. Raises ``Unreadable``: cell-blank, number-unreadable, number-ambiguous.
    """
    if isinstance(value, str):
        return _number_in_text(clean(value), decimal)
    if value is None:
        raise Unreadable("cell-blank", "The cell is blank.")
    if isinstance(value, bool | date | time | timedelta):
        raise no_number(value)
    return _number_in_cell(value)


def _number_in_cell(value: float | Fraction | Decimal) -> Fraction:
    """A spreadsheet keeps fifteen digits: 0.30000000000000004 in a cell is 0.3."""
    if isinstance(value, float):
        value = Decimal(format(value, ".15g"))
    if isinstance(value, Decimal) and not value.is_finite():
        raise no_number(float(value))
    return Fraction(value)


def _number_in_text(text: str, decimal: str | None) -> Fraction:
    if not text:
        raise Unreadable("cell-blank", "The cell is blank.")
    unsigned = text[1:] if text[0] in "+-" else text
    if not unsigned or len(unsigned) > LONGEST_NUMBER:
        raise no_number(text)
    size = _mixed_fraction(unsigned)
    if size is None:
        size = _decimal_number(unsigned, decimal, text)
    return -size if text[0] == "-" else size


def _mixed_fraction(text: str) -> Fraction | None:
    """``1/2``, ``1 1/2`` or ``1-1/2``; in a mixed number the fraction must be a proper one."""
    found = _MIXED.fullmatch(text)
    if not found:
        return None
    whole, above, below = (int(part or 0) for part in found.groups())
    if below == 0 or (found[1] and above >= below):
        return None
    return whole + Fraction(above, below)


def _decimal_number(text: str, decimal: str | None, whole_text: str) -> Fraction:
    readings = {mark: number for mark in ".," if (number := _with_mark(text, mark)) is not None}
    if decimal is not None or "," not in text:
        mark = decimal or "."
        if mark not in readings:
            raise no_number(whole_text, mark if readings else "")
        return readings[mark]
    if not readings:
        raise no_number(whole_text)
    if len(readings) == 1 and text.count(",") + text.count(".") == 1:
        return next(iter(readings.values()))
    raise Unreadable("number-ambiguous", _two_readings(text, readings))


def _with_mark(text: str, mark: str) -> Fraction | None:
    """The number with this decimal mark, or None where that makes no number."""
    pointed = text if mark == "." else text.translate(_SWAPPED)
    if not _WITH_POINT.fullmatch(pointed):
        return None
    return Fraction(pointed.replace(",", "").replace(" ", ""))


def _two_readings(text: str, readings: dict[str, Fraction]) -> str:
    meant = " or ".join(quantity_text(number) for number in readings.values())
    if len(readings) == 2:
        return f'"{text}" can be {meant}, and no decimal mark is declared.'
    return f'"{text}" is {meant} only if "{next(iter(readings))}" is the decimal mark, and none is declared.'


def no_number(value: CellValue, mark: str = "") -> Unreadable:
    """The fault that a cell holds no number; ``mark`` is the decimal mark declared, where that is why."""
    if isinstance(value, str):
        declared = f' with "{mark}" as the decimal mark' if mark else ""
        return Unreadable("number-unreadable", f"{shown(value)} is not a number{declared}.")
    return Unreadable("number-unreadable", f"The cell holds {shown(value)}, not a number.")


def read_whole(value: CellValue, least: int = 0, decimal: str | None = None) -> int:
    """A whole number of at least ``least``.

    Raises ``Unreadable``: as ``read_number``, and number-not-whole, number-negative, number-too-small.
    """
    number = read_number(value, decimal)
    if number.denominator != 1:
        raise Unreadable("number-not-whole", f"{shown(value)} is not a whole number.")
    if number < min(least, 0):
        raise negative(value)
    if number < least:
        raise Unreadable("number-too-small", f"{shown(value)} is less than {least}.")
    return int(number)


def read_money(value: CellValue, decimal: str | None = None) -> Decimal:
    """An exact sum of money, never less than nothing, without a currency beside it.

    Raises ``Unreadable``: as ``read_number``, and number-negative.
    """
    number = read_number(value, decimal)
    if number < 0:
        raise negative(value)
    text = decimal_text(number)
    if text is None:
        raise Unreadable("number-unreadable", f"{shown(value)} has no exact decimals, as money must.")
    return Decimal(text)


def negative(value: CellValue) -> Unreadable:
    """The fault that a number is less than nothing."""
    return Unreadable("number-negative", f"{shown(value)} is less than nothing.")
