"""Exact lengths and quantities, and how they are printed.

A length is a ``Fraction`` in millimetres, a quantity a ``Fraction`` in the part's own unit. A float
never stands for either: 0.1 has no exact float, and a bolt that is "almost" long enough is not.
"""

from dataclasses import dataclass
from fractions import Fraction

MM_PER_INCH = Fraction(254, 10)
"""1 in = 25.4 mm exactly (NIST SP 811, appendix B.8)."""

FINEST_INCH = 128
"""Inch lengths are printed as fractions down to 1/128 in; finer ones as decimals."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity with its unit, as a frame file gives it: ``0.1 mL``, ``4 each``."""

    value: Fraction
    unit: str


def inches(value: Fraction | int | str) -> Fraction:
    """Inches to millimetres: ``inches("1/2") == Fraction("12.7")``."""
    return Fraction(value) * MM_PER_INCH


def decimal_text(value: Fraction) -> str | None:
    """The exact decimal for ``value``, or None where its decimals never end (1/3)."""
    if value.denominator == 1:
        return str(value.numerator)
    twos, fives, rest = 0, 0, value.denominator
    while rest % 2 == 0:
        rest, twos = rest // 2, twos + 1
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    if rest != 1:
        return None
    places = max(twos, fives)
    digits = str(abs(value.numerator) * 10**places // value.denominator).rjust(places + 1, "0")
    sign = "-" if value < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}"


def fraction_text(value: Fraction) -> str:
    """A mixed fraction as the trade writes it: ``1 1/2``, ``3``, ``5/16``."""
    sign, value = ("-", -value) if value < 0 else ("", value)
    whole, part = divmod(value, 1)
    if part == 0:
        return f"{sign}{whole}"
    lead = f"{whole} " if whole else ""
    return f"{sign}{lead}{part.numerator}/{part.denominator}"


def length_text(mm: Fraction, unit: str) -> str:
    """A length in millimetres, printed exactly in ``unit`` ("in" or "mm").

    Inches appear as fractions down to 1/128; a length that has no exact text in inches is printed in
    millimetres, and one that has none there either (a third of a millimetre) as a fraction.
    """
    if unit == "in":
        value = mm / MM_PER_INCH
        if value.denominator & (value.denominator - 1) == 0 and value.denominator <= FINEST_INCH:
            return f"{fraction_text(value)} in"
        if (text := decimal_text(value)) is not None and len(text) <= 8:
            return f"{text} in"
    text = decimal_text(mm)
    return f"{fraction_text(mm) if text is None else text} mm"


PLACES = {"in": 3, "mm": 2}
"""Decimals of a figure that was worked out and has no short exact text."""


def near_text(mm: Fraction, unit: str) -> str:
    """A figure that was worked out (a grip, a window, what engages), to read and not to count on.

    Always in ``unit``: a fraction down to 1/128 in where that is exact, else a decimal of three places of an
    inch, two of a millimetre. A thread of 18 to the inch leaves 1/288 in, which no rule shows. All figures
    are rounded alike, to the nearest: of two that are compared the lesser never reads as the greater.
    """
    value = mm / MM_PER_INCH if unit == "in" else mm
    if unit == "in" and FINEST_INCH % value.denominator == 0:
        return f"{fraction_text(value)} in"
    return f"{decimal_text(round(value, PLACES[unit]))} {unit}"


def quantity_text(value: Fraction) -> str:
    """A quantity as a person reads it: exact, ``12``, ``0.3``; endless decimals as ``1/3``."""
    text = decimal_text(value)
    return fraction_text(value) if text is None else text


def plain_number(value: Fraction) -> int | float:
    """A quantity for JSON or a cell: an integer where whole, else the nearest float."""
    return value.numerator if value.denominator == 1 else float(value)


def percent(share: float) -> str:
    """``95 %``, ``97.6 %``; what is not quite all is never printed as 100 %."""
    text = f"{100 * share:.1f}"
    if text == "100.0" and share < 1 - 1e-9:
        return "over 99.9 %"
    return f"{text.removesuffix('.0')} %"
