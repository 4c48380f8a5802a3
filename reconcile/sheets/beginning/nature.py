"""What the cells of a column are by their own nature: threads, lengths, days, bins, units, prices."""

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from fractions import Fraction
from functools import partial

from reconcile.sheets.fasteners.descriptions import read_description
from reconcile.sheets.fasteners.spellings import read_thread
from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.packs import read_unit
from reconcile.sheets.figures.prices import read_price
from reconcile.sheets.figures.text import CellValue, Unreadable, clean
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.tables.rows import as_text

DAYS, THREADS, LENGTHS, UNITS, PRICES, BINS = "days", "threads", "lengths", "units", "prices", "bins"
DESCRIPTIONS, WHOLE_NUMBERS, NUMBERS, WORDS, NOTHING = (
    "descriptions of fasteners", "whole numbers", "numbers", "words", "nothing",
)  # fmt: skip
LOOKED_AT = 200
"""Filled cells of a column that are looked at."""
FEWEST = 3
"""Filled cells below which nothing is said of a column's nature but whether it holds numbers or days."""
_DAY = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./-]\d{1,2}[./-]\d{2,4}")
_BIN = re.compile(r"[A-Z]{1,2}[-. ]?\d{1,3}(?:[-./ ][A-Z0-9]{1,3}){0,2}", re.IGNORECASE)


def nature_of(cells: Sequence[CellValue]) -> str:
    """The nature that all filled cells share; half of them, for descriptions."""
    filled = [cell for cell in cells if as_text(cell)][:LOOKED_AT]
    if not filled:
        return NOTHING
    if all(map(_is_day, filled)):
        return DAYS
    if all(map(_is_number, filled)):
        return WHOLE_NUMBERS if all(map(_is_whole, filled)) else NUMBERS
    if len(filled) < FEWEST:
        return WORDS
    tests: tuple[tuple[str, Callable[[CellValue], bool]], ...] = (
        (UNITS, _is_unit),
        (THREADS, _is_thread),
        (LENGTHS, _is_length),
        (PRICES, _is_price),
        (BINS, _is_bin),
    )
    whole = next((name for name, holds in tests if all(map(holds, filled))), "")
    if whole:
        return whole
    return DESCRIPTIONS if 2 * sum(map(_is_description, filled)) >= len(filled) else WORDS


def _reads(read: Callable[[], object]) -> bool:
    try:
        read()
    except Unreadable:
        return False
    return True


def _is_day(cell: CellValue) -> bool:
    return isinstance(cell, date) or (isinstance(cell, str) and _DAY.fullmatch(cell.strip()) is not None)


def _numbers(cell: CellValue) -> list[Fraction]:
    """What the cell is as a number, with either decimal mark."""
    found = []
    for mark in ".,":
        with suppress(Unreadable):
            found.append(read_number(cell, mark))
    return found


def _is_number(cell: CellValue) -> bool:
    return not isinstance(cell, bool | date) and bool(_numbers(cell))


def _is_whole(cell: CellValue) -> bool:
    return any(number.denominator == 1 for number in _numbers(cell))


def _is_unit(cell: CellValue) -> bool:
    return isinstance(cell, str) and _reads(lambda: read_unit(cell))


def _is_thread(cell: CellValue) -> bool:
    return isinstance(cell, str) and _reads(lambda: read_thread(clean(cell)))


def _is_length(cell: CellValue) -> bool:
    return isinstance(cell, str) and any(_reads(partial(read_length, cell, None, mark)) for mark in ".,")


def _is_price(cell: CellValue) -> bool:
    """A price with a sign or a code beside it, or one of the words for none."""
    if not isinstance(cell, str):
        return _is_number(cell)
    return bool(read_price(cell).currency) or read_price(cell).none


def _is_bin(cell: CellValue) -> bool:
    return isinstance(cell, str) and _BIN.fullmatch(clean(cell)) is not None


def _is_description(cell: CellValue) -> bool:
    said = read_description(as_text(cell))
    return said.bolt is not None or bool(said.kind)
