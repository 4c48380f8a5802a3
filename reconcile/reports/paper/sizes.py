"""Paper in points: what A4 and Letter both hold, and how far letters may shrink on it."""

from dataclasses import dataclass
from math import floor

A4, LETTER = 9, 1
"""Paper codes: ECMA-376, part 1, 18.3.1.63 (paperSize)."""

LETTER_COUNTRIES = frozenset(
    ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
)
"""Countries that print on Letter (Unicode CLDR, supplemental data, paperSize; from memory); others on A4."""

INCH = 72.0
SHORT_SIDE, LONG_SIDE = min(8.5, 210 / 25.4), min(11.0, 297 / 25.4)
"""Inches that both papers have: A4 is narrower (ISO 216), Letter is lower."""

SIDE_MARGIN, END_MARGIN, HEAD_MARGIN = 0.4, 0.45, 0.2
"""Inches: left and right; top and bottom; to the page's head and foot, which lie inside those."""

LEAST_SCALE, FULL_SCALE = 81, 100
"""Per cent. Letters of 10 points are 8.1 at the least, so that none is below 8 after a program's rounding."""

CHARACTER = 5.7
"""Points that a column's unit takes: a digit of 10 point Arial is 5.56 wide, and cells have a little more."""

SPARE = 0.99
"""The share of a page's height that is counted on: row heights differ a little from program to program."""


@dataclass(frozen=True, slots=True)
class PageRoom:
    """What a page holds inside its margins, in points of the paper."""

    width: float
    height: float

    def characters(self, scale: int = LEAST_SCALE) -> int:
        """Columns may be so wide together."""
        return floor(self.width * 100 / scale / CHARACTER)

    def scale(self, characters: int) -> int:
        """Per cent at which columns of so many characters fill the width; never too little to be read."""
        wanted = floor(self.width * 100 / (max(characters, 1) * CHARACTER))
        return min(max(wanted, LEAST_SCALE), FULL_SCALE)

    def points(self, scale: int) -> float:
        """The height of rows that a page holds."""
        return self.height * 100 / scale * SPARE


def room_of(*, landscape: bool) -> PageRoom:
    """That of A4 and of Letter, whichever is less."""
    across, down = (LONG_SIDE, SHORT_SIDE) if landscape else (SHORT_SIDE, LONG_SIDE)
    return PageRoom((across - 2 * SIDE_MARGIN) * INCH, (down - 2 * END_MARGIN) * INCH)


def paper_code(country: str) -> int:
    """``country``: ISO 3166 or ""."""
    return LETTER if country.upper() in LETTER_COUNTRIES else A4
