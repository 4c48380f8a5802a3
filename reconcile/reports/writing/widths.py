"""How wide columns and how tall rows must be for everything to be seen, in characters and points.

Spreadsheet programs fit neither when a file is opened, so both are worked out here, a little generously:
a column's unit is the width of a digit, and letters are narrower or wider than that.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import chain, islice
from math import ceil

from reconcile.reports.writing.grid import TEXT, Cell, Column, Row, Table
from reconcile.reports.writing.large import SAMPLE, SIZED_ROWS
from reconcile.reports.writing.wording import money_text
from reconcile.values.measure import quantity_text

FILTER_ARROW = 3
"""Characters that the filter arrow covers in a heading."""

MARGIN = 3
"""Characters kept free in a cell."""

NUMBER_MARGIN = 4
"""The same for numbers, which stand clear of the filter arrow above them."""

BESIDE = 180
"""Characters that a column beside the printed ones may be wide."""

LEAST_TEXT = 8
"""Characters of a column of text at least, so that common words are not broken."""

LINE = 12.75
"""Points of a line of text."""

TIGHT, TIGHT_LINE = 12.0, 12.25
"""Of a row of one line and of each line of several, on a sheet that has to be short."""

MOST_POINTS = 409.0
"""A row can be no taller (in common spreadsheet programs)."""

DIGIT, OTHERWISE, WIDE = 556, 667, 1112
WIDTHS = {
    letter: width
    for width, letters in {
        191: "'", 222: "ijl", 260: "|", 278: " !,./:;I[\\]ft", 333: "()-`r", 334: "{}", 355: '"', 389: "*",
        469: "^", 500: "Jcksvxyz", 556: "#$0123456789?L_abdeghnopqu", 584: "+<=>~", 611: "FTZ",
        667: "&ABEKPSVXY", 722: "CDHNRUw", 778: "GOQ", 833: "Mm", 889: "%", 944: "W", 1015: "@",
    }.items()
    for letter in letters
}  # fmt: skip
"""Thousandths of the letters' size: Adobe's metrics of Helvetica. Arial and Liberation Sans are as wide."""

SURE = 0.97
"""The share of a column that a line of text is sure to have: programs round columns to whole pixels."""

WIDE_FROM = "\u1100"
"""From here on most scripts have characters twice as wide."""


def column_widths(table: Table, printed: int = 0) -> list[int]:
    """Each column's width: its heading with filter arrow, and what it holds, up to the column's limit.

    Where so many columns are ``printed``, those beside them are wide, so that no row is taller for them.
    """
    widest = [_heading_width(column) for column in table.columns]
    rows = table.rows() if table.count <= SIZED_ROWS else islice(table.rows(), SAMPLE)
    for row in chain(rows, table.totals):
        for place, cell in enumerate(row):
            if isinstance(cell, str):
                widest[place] = max(widest[place], text_width(cell) + MARGIN)
            elif cell is not None:
                widest[place] = max(widest[place], _number_width(cell))
    columns = [
        column if not printed or place < printed else replace(column, width=BESIDE)
        for place, column in enumerate(table.columns)
    ]
    return [_limited(column, width) for column, width in zip(columns, widest, strict=True)]


def least_width(column: Column, width: int) -> int:
    """How far a column of this width may give way to others: text wraps, a number or a date never does."""
    least = 0 if column.bare else LEAST_TEXT
    return min(width, max(_heading_width(column), least)) if column.kind == TEXT else width


def heading_height(table: Table, widths: list[int]) -> float:
    """Points for the heading row."""
    columns = zip(table.columns, widths, strict=True)
    return LINE * max(_lines(column.heading, _heading_room(column, width)) for column, width in columns) + 3


def row_height(row: Row, widths: Sequence[int], line: float = LINE) -> float | None:
    """Points for a row in which some text wraps, each line so high; None for a row of one line."""
    lines = 1
    for cell, width in zip(row, widths, strict=True):
        if isinstance(cell, str) and (text_width(cell) + MARGIN > width or "\n" in cell):
            lines = max(lines, _lines(cell, width - MARGIN + 1))
    return None if lines == 1 else min(lines * line + 2, MOST_POINTS)


@lru_cache(maxsize=50_000)
def text_width(text: str) -> int:
    """Digits that the widest line of a text is as wide as."""
    return max(map(_line_width, text.split("\n")))


def _line_width(line: str) -> int:
    return ceil(sum(map(_LETTERS.__getitem__, line)))


class _Letters(dict[str, float]):
    """How wide letters are, in digits."""

    def __missing__(self, letter: str) -> float:
        width = self[letter] = WIDTHS.get(letter, WIDE if letter >= WIDE_FROM else OTHERWISE) / DIGIT
        return width


_LETTERS = _Letters()


@lru_cache(maxsize=50_000)
def _lines(text: str, width: int) -> int:
    """Lines that a text takes when it wraps at blanks, and within words too long for a line."""
    return sum(_wrapped(line, width * SURE) for line in text.split("\n"))


def _wrapped(line: str, room: float) -> int:
    lines, taken, blank = 1, 0.0, _LETTERS[" "]
    for word in line.split(" "):
        wide = sum(map(_LETTERS.__getitem__, word))
        if taken and taken + blank + wide > room:
            lines, taken = lines + 1, 0.0
        whole, rest = divmod(wide, max(room, 1.0))
        lines += int(whole) if rest else max(int(whole) - 1, 0)
        taken += (blank if taken else 0.0) + (rest if whole else wide)
    return lines


def _limited(column: Column, width: int) -> int:
    """Text may wrap at the column's limit; a number or a date that does not fit shows as ####."""
    return min(width, max(column.width, _heading_width(column))) if column.kind == TEXT else width


def _heading_width(column: Column) -> int:
    """Room for the longest word; the others may go on further lines."""
    return max(map(text_width, column.heading.split())) + _beside_heading(column)


def _heading_room(column: Column, width: int) -> int:
    return width - (1 if column.bare else _beside_heading(column))


def _beside_heading(column: Column) -> int:
    if column.bare:
        return 2
    return FILTER_ARROW if column.kind == TEXT else NUMBER_MARGIN


def _number_width(cell: Cell) -> int:
    """A number as wide as its format shows it, or a date."""
    if isinstance(cell, date):
        return len("0000-00-00") + MARGIN
    if isinstance(cell, Decimal):
        return len(money_text(cell)) + NUMBER_MARGIN
    return len(quantity_text(Fraction(cell or 0))) + NUMBER_MARGIN
