"""Rows that people keep among their data: totals, notes, headings said again, a second table further down.

They are told apart by what they say, never by how they look, and each is said once.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from fractions import Fraction

from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.text import Unreadable, clean, is_blank
from reconcile.sheets.files.books import CellValue, Grid
from reconcile.sheets.tables.headings import FoundHeading, Header, SheetKind, headings_in, spellings_of
from reconcile.values.settings import Settings

_ODD = re.compile(r"\D*\Z|\s*(?:grand|sub|tot|sum)", re.IGNORECASE)
"""A cheap look: the number of a job or part has a digit in it, as a rule, and seldom begins like a total."""
_TOTAL = re.compile(r"(?:(?:grand|sub)[ -]?)?(?:totals?|sum)\b(.*)", re.IGNORECASE)
_AFTER_TOTAL = re.compile(r" ?|:.*| ?=.*| (?:of|for|in|at) .*|[ 0-9.,]+", re.IGNORECASE)
"""What may follow the word in the place of a part's number: TOTAL-3 may be a part, Total: screws is none."""
_VALUE = re.compile(
    r"(?:(?:grand|sub)[ -]?)?totals? [a-z ]*|(?:[a-z]+ )*totals?|"
    r"(?:total |stock |inventory |shelf )?(?:value|worth|sum)"
    r"(?: of (?:the )?(?:stock|inventory|shelf|parts))?",
    re.IGNORECASE,
)
"""A label of a figure for the whole sheet, without a digit: Total value, Stock value, Value of stock."""
_DIGIT = re.compile(r"[0-9]")


@dataclass(frozen=True, slots=True)
class Apart:
    """Why a row is none of the data: a code of the catalogue, and the heading of the cell that tells.

    ``counts`` is false for headings, which are no row of the sheet.
    """

    code: str
    heading: str
    says: str
    counts: bool = True


class Sorter:
    """Judges the rows of one sheet, top to bottom, by their cells under our headings."""

    def __init__(self, kind: SheetKind, header: Header, grid: Grid, settings: Settings) -> None:
        self.kind, self.header, self.first_row = kind, header, grid.first_row
        self.key = header.found[kind.key].column
        self._spellings = spellings_of(kind, settings)
        self._in_order = sorted(header.found.items(), key=lambda item: item[1].column)
        summed = {name: header.found[name].column for name in kind.summed if name in header.found}
        read = {found.column for found in header.found.values()}
        self._not_read = [
            (index, text)
            for index, cell in enumerate(grid.rows[header.row])
            if index not in read and isinstance(cell, str) and _VALUE.fullmatch(text := clean(cell))
        ]
        self._sums = Sums(grid.rows, header.row + 1, summed, settings.decimal)

    def is_odd(self, raw: list[CellValue]) -> bool:
        """Whether a row that reads without a fault is still worth judging."""
        cell = raw[self.key]
        return isinstance(cell, str) and _ODD.match(cell) is not None

    def judge(self, at: int, raw: list[CellValue], hidden: bool) -> Apart | None:
        """Why the row at this index is none of the data, None where it is; ``hidden``: of unread cells."""
        filled = {name: cell for name, found in self._in_order if _holds(cell := raw[found.column])}
        return (
            self._headings(at, raw, filled)
            or self._labelled(at, filled)
            or self._valued(at, raw, filled)
            or (None if hidden else self._unlabelled(at, filled) or self._note(filled))
        )

    def _headings(self, at: int, raw: list[CellValue], filled: Mapping[str, CellValue]) -> Apart | None:
        """Headings again: the same ones are skipped; others begin a table whose columns are not ours."""
        if any(not isinstance(cell, str) or _DIGIT.search(cell) for cell in filled.values()):
            return None
        found = headings_in(raw, self._spellings)
        if len(found) < min(2, len(self.header.found)) or self.kind.key not in found:
            return None
        above = self.header.row + self.first_row
        there = ", ".join(clean(str(cell)) for cell in raw if _holds(cell))
        if set(filled) <= set(found) and self._same_columns(found):
            says = f"The headings of row {above} stand here again."
            return Apart("heading-repeated", self.kind.key, says, False)
        here = f"Row {at + self.first_row} has headings of a second table ({there})"
        says = f"{here}, row {above} those of the first."
        return Apart("table-second", self.kind.key, says, False)

    def _same_columns(self, found: Mapping[str, list[FoundHeading]]) -> bool:
        """Whether every heading stands where it stands above, with the same unit."""
        return all(len(each) == 1 and self.header.found.get(name) == each[0] for name, each in found.items())

    def _labelled(self, at: int, filled: Mapping[str, CellValue]) -> Apart | None:
        """A row whose number, or where that is blank whose first text, says that it is a total."""
        texts = ((name, clean(str(cell))) for name, cell in filled.items() if not _number_like(cell))
        key = self.kind.key
        name, text = (key, clean(str(filled[key]))) if key in filled else next(texts, (key, ""))
        said = _TOTAL.fullmatch(text)
        if said is None or (name == key and not _AFTER_TOTAL.fullmatch(said[1])):
            return None
        self._sums.start_anew(at)
        where = f"where the {key} should stand" if name == key else f"and has no {key}"
        return Apart("row-is-total", name, f'The row says "{text}" {where}.')

    def _valued(self, at: int, raw: list[CellValue], filled: Mapping[str, CellValue]) -> Apart | None:
        """A row of figures alone beside a label for the whole sheet, in whatever column, or none at all.

        A row with a unit, or any other text, says what is counted: that is a part, whatever it is called.
        """
        labels = [
            text
            for cell in raw
            if isinstance(cell, str) and not _number_like(cell) and (text := clean(cell).rstrip(":. "))
        ]
        if len(labels) > 1 or not any(_is_number(cell) for cell in raw):
            return None
        if labels:
            if not _VALUE.fullmatch(labels[0]):
                return None
            says = f'The row says "{labels[0]}" and holds figures alone.'
        else:
            heading = self._value_column(raw)
            if heading is None or self.kind.key in filled:
                return None
            says = f'The row has no {self.kind.key}, and a figure under "{heading}".'
        self._sums.start_anew(at)
        return Apart("row-is-total", next(iter(filled), self.kind.key), says)

    def _value_column(self, raw: list[CellValue]) -> str | None:
        """The heading of a filled column that is not read and is called a total."""
        for index, heading in self._not_read:
            if _is_number(raw[index]):
                return heading
        return None

    def _unlabelled(self, at: int, filled: Mapping[str, CellValue]) -> Apart | None:
        """A row of numbers alone, one of which is the sum of those above it."""
        unit = filled.get("unit")
        if self.kind.key in filled or not all(cell is unit or _number_like(cell) for cell in filled.values()):
            return None
        for name in self.kind.summed:
            if name in filled and (rows := self._sums.equal_to(filled[name], name, at)):
                self._sums.start_anew(at)
                first, last = (row + self.first_row for row in rows)
                says = f"The row has no {self.kind.key}, and its {name} is the sum of rows {first} to {last}."
                return Apart("row-is-total", name, says)
        return None

    def _note(self, filled: Mapping[str, CellValue]) -> Apart | None:
        """A row with a single text: a remark, or the heading of a section.

        A single word with a digit in it is a number with all else left out, which is a fault and no remark.
        """
        if len(filled) != 1 or len(self.kind.needed) < 2:
            return None
        ((name, cell),) = filled.items()
        text = clean(cell) if isinstance(cell, str) else ""
        if not any(letter.isalpha() for letter in text) or (_DIGIT.search(text) and " " not in text):
            return None
        return Apart("row-is-note", name, f'The row holds only the text "{text}".')


class Sums:
    """Sums of columns, row by row as far as they are asked for: since the last total, and since the top."""

    def __init__(
        self, rows: list[list[CellValue]], start: int, columns: Mapping[str, int], decimal: str | None
    ) -> None:
        self._rows, self._columns, self._decimal = rows, columns, decimal
        self._at = self._top = start
        self._since = dict.fromkeys(columns, start)
        self._summed = {name: [Sum(), Sum()] for name in columns}

    def equal_to(self, cell: CellValue, name: str, at: int) -> tuple[int, int] | None:
        """First and last index of the rows whose sum a cell is; at least two of them hold a number."""
        number = self._number(cell)
        if number is None or not number:
            return None
        self._go_on(at)
        for summed, start in zip(self._summed[name], (self._since[name], self._top), strict=True):
            if summed.count > 1 and summed.total == number:
                return start, at - 1
        return None

    def start_anew(self, at: int) -> None:
        """The row at this index is a total: none of the sums holds it."""
        self._go_on(at)
        self._at = at + 1
        for name in self._columns:
            self._summed[name][0] = Sum()
            self._since[name] = at + 1

    def _go_on(self, to: int) -> None:
        for row in self._rows[self._at : to]:
            for name, column in self._columns.items():
                if (number := self._number(row[column])) is not None:
                    self._summed[name] = [each.plus(number) for each in self._summed[name]]
        self._at = max(self._at, to)

    def _number(self, cell: CellValue) -> Fraction | None:
        """A bare number; a spreadsheet's own sum passes over texts as well."""
        try:
            return read_number(cell, self._decimal)
        except Unreadable:
            return None


@dataclass(frozen=True, slots=True)
class Sum:
    """A sum and how many numbers are in it."""

    total: Fraction = Fraction(0)
    count: int = 0

    def plus(self, number: Fraction) -> "Sum":
        return Sum(self.total + number, self.count + 1)


def _holds(cell: CellValue) -> bool:
    return cell is not None and not (isinstance(cell, str) and is_blank(cell))


def _number_like(cell: CellValue) -> bool:
    """A number, or text that may be one in a csv file."""
    if isinstance(cell, str):
        return not any(letter.isalpha() for letter in cell)
    return not isinstance(cell, bool | date | time | timedelta)


def _is_number(cell: CellValue) -> bool:
    """A figure, also as text in a csv file."""
    if isinstance(cell, str):
        return _number_like(cell) and _DIGIT.search(cell) is not None
    return isinstance(cell, int | float) and not isinstance(cell, bool)
