"""What is remarked on a sheet as a whole: hidden rows that are used, merged cells, numbers shown otherwise.

Each remark is made once: for a sheet, for a merged range, or for a column with all its rows.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, time
from functools import cached_property

from reconcile.sheets.figures.spoilt_codes import CODES, DIGITS_KEPT
from reconcile.sheets.figures.text import clean, shown
from reconcile.sheets.files.archive import column_number
from reconcile.sheets.files.books import Book, CellValue, Grid, column_letters
from reconcile.sheets.tables.headings import Header
from reconcile.sheets.unseen.sheet_facts import (
    GIVES_NOTHING,
    NOT_CALCULATED,
    Block,
    CellFault,
    Marks,
    ranges_of,
)
from reconcile.sheets.unseen.workbooks import shown_numbers
from reconcile.values.problem import Place, Problem, problem

DAYS = ("date", "due")
OF_THE_FILE = ("marks-untold", "formula-untold")
MOST_RANGES = 12
"""Ranges of rows that a remark names one by one."""
MOST_READINGS = 3
"""Numbers of a column that a remark names together with what is shown for them."""
_NUMBERS = (float, int)
_TIMED = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ](?=.*[1-9])[0-9:.]+")


@dataclass(frozen=True)
class MarkedSheet:
    """A sheet whose headings were found, with what it says beside its values."""

    book: Book
    grid: Grid
    header: Header
    marks: Marks
    needed: tuple[str, ...] = ()
    """Our headings whose cells must be filled."""

    @cached_property
    def headings(self) -> dict[int, str]:
        """Our headings by their columns' indices in the grid, from left to right."""
        found = ((each.column, name in self.needed, name) for name, each in self.header.found.items())
        return {column: name for column, _, name in sorted(found)}

    @cached_property
    def header_row(self) -> int:
        """The number of the row of headings."""
        return self.grid.first_row + self.header.row

    @property
    def last_row(self) -> int:
        """The number of the last row that the grid holds."""
        return self.grid.first_row + len(self.grid.rows) - 1

    def cell(self, row: int, column: int) -> CellValue:
        """What stands at a row and column counted from 1; None outside the grid."""
        at, across = row - self.grid.first_row, column - self.grid.first_column
        inside = 0 <= at < len(self.grid.rows) and 0 <= across < len(self.grid.rows[at])
        return self.grid.rows[at][across] if inside else None

    def holds_data(self, row: int) -> bool:
        """Whether a row below the headings has a filled cell under one of them."""
        if not self.header_row < row <= self.last_row:
            return False
        raw = self.grid.rows[row - self.grid.first_row]
        return any(filled(raw[column]) for column in self.headings)

    def below(self, column: int) -> Iterator[tuple[int, CellValue]]:
        """The cells of a column below the headings, each with the number of its row."""
        start = self.header.row + 1
        rows = self.grid.rows
        return ((self.grid.first_row + at, rows[at][column]) for at in range(start, len(rows)))

    def place(self, row: int, column: int) -> Place:
        """The place of a cell by the number of its row and its column's index in the grid."""
        return Place(self.grid.file, self.grid.sheet, f"{self.grid.letters(column)}{row}")


def remarks(sheet: MarkedSheet) -> list[Problem]:
    """Every remark on a sheet; those that concern the whole file only if none was made of it yet."""
    made = {fault.code for fault in sheet.book.problems if fault.code in OF_THE_FILE}
    looks = (
        _sheet_hidden,
        _hidden_columns,
        _hidden_rows,
        _merged,
        _shown_otherwise,
        _times,
        _untold,
        _unsure,
    )
    return [each for look in looks for each in look(sheet) if each.code not in made]


def merged_cells(sheet: MarkedSheet) -> dict[tuple[int, int], str]:
    """The blank cells under needed headings that are merged with a filled one, by their indices in the
    grid; each with what it is merged with: ``A4, which holds "B-14"``.
    """
    needed = [column for column, heading in sheet.headings.items() if heading in sheet.needed]
    found = {}
    for block in sheet.marks.merged:
        if not filled(value := sheet.cell(block.first_row, block.first_column)):
            continue
        holder = f"{_first(block)}, which holds {shown(value)}"
        for row, column in _covered(sheet, block, needed):
            if not filled(sheet.grid.rows[row - sheet.grid.first_row][column]):
                found[row - sheet.grid.first_row, column] = holder
    return found


def unread_cells(sheet: MarkedSheet) -> dict[tuple[int, int], CellFault]:
    """The cells under our headings that hold what the grid does not give, by their indices in the grid."""
    perhaps = dict.fromkeys(sheet.marks.unsure, CellFault(NOT_CALCULATED, GIVES_NOTHING))
    unread = {}
    for address, fault in {**perhaps, **sheet.marks.faults}.items():
        row, column = _row_and_column(address)
        across = column - sheet.grid.first_column
        if row <= sheet.header_row or across not in sheet.headings:
            continue
        if fault.holds is not GIVES_NOTHING or _is_needed_blank(sheet, row, across):
            unread[row - sheet.grid.first_row, across] = fault
    return unread


def filled(cell: CellValue) -> bool:
    """Whether a cell holds more than blanks."""
    return cell is not None and not (isinstance(cell, str) and cell.isspace())


def rows_text(numbers: Iterable[int]) -> str:
    """Row numbers as words.

    >>> rows_text([22, 14, 15, 16, 17])
    'rows 14 to 17 and 22'
    """
    ranges = ranges_of(numbers)
    count = sum(map(len, ranges))
    named = [text for span in ranges[:MOST_RANGES] for text in _named(span)]
    if more := sum(map(len, ranges[MOST_RANGES:])):
        named.append(f"{more} more")
    text = f"{', '.join(named[:-1])} and {named[-1]}" if len(named) > 1 else named[0]
    return f"{'row' if count == 1 else 'rows'} {text}"


def _named(numbers: range) -> list[str]:
    return [f"{numbers[0]} to {numbers[-1]}"] if len(numbers) > 2 else [str(number) for number in numbers]


# what is hidden


def _sheet_hidden(sheet: MarkedSheet) -> Iterator[Problem]:
    if sheet.marks.sheet_hidden:
        place = Place(sheet.grid.file, sheet.grid.sheet)
        yield problem("sheet-hidden", place, f"The sheet {sheet.grid.sheet} is hidden; it is used.")


def _hidden_columns(sheet: MarkedSheet) -> Iterator[Problem]:
    hidden = [
        column
        for column in sheet.headings
        if any(
            sheet.grid.first_column + column in hidden_column for hidden_column in sheet.marks.hidden_columns
        )
        and any(filled(cell) for _, cell in sheet.below(column))
    ]
    if hidden:
        names = [f"{sheet.grid.letters(column)} ({sheet.headings[column]})" for column in hidden]
        one = len(names) == 1
        listed = names[0] if one else f"{', '.join(names[:-1])} and {names[-1]}"
        says = f"Column{'' if one else 's'} {listed} {'is' if one else 'are'} hidden"
        place = sheet.place(sheet.header_row, hidden[0])
        yield problem("columns-hidden", place, f"{says}; {'it is' if one else 'they are'} used.")


def _hidden_rows(sheet: MarkedSheet) -> Iterator[Problem]:
    first, last = sheet.header_row + 1, sheet.last_row
    hidden = [
        row
        for hidden_row in sheet.marks.hidden_rows
        for row in range(max(hidden_row.start, first), min(hidden_row.stop, last + 1))
        if sheet.holds_data(row)
    ]
    if hidden:
        one = len(hidden) == 1
        says = f"{rows_text(hidden).capitalize()} {'is' if one else 'are'} hidden or filtered out"
        place = sheet.place(min(hidden), min(sheet.headings))
        yield problem("rows-hidden", place, f"{says}; {'it is' if one else 'they are'} used.")


# what is merged


def _merged(sheet: MarkedSheet) -> Iterator[Problem]:
    for block in sorted(sheet.marks.merged):
        if not filled(sheet.cell(block.first_row, block.first_column)):
            continue
        covered = list(_covered(sheet, block, sheet.headings))
        if covered:
            first = _first(block)
            last = f"{column_letters(block.last_column)}{block.last_row}"
            says = f"The cells {first} to {last} are merged; what {first} holds counts for that cell alone"
            place = Place(sheet.grid.file, sheet.grid.sheet, first)
            yield problem("cells-merged", place, f"{says}{_beneath(sheet, covered)}.")


def _beneath(sheet: MarkedSheet, covered: list[tuple[int, int]]) -> str:
    """Values that lie unseen beneath a merged cell, and are read all the same."""
    under = [
        f"{sheet.grid.letters(column)}{row} holds {shown(value)}"
        for row, column in covered
        if filled(value := sheet.grid.rows[row - sheet.grid.first_row][column])
    ]
    return f", and {' and '.join(under[:3])} beneath it, which is used" if under else ""


def _covered(sheet: MarkedSheet, block: Block, columns: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Row numbers and column indices of a merged range's cells, save its first, in rows that hold data."""
    left = sheet.grid.first_column
    across = [column for column in columns if block.first_column <= column + left <= block.last_column]
    if not across:
        return
    for row in range(max(block.first_row, sheet.header_row + 1), min(block.last_row, sheet.last_row) + 1):
        if sheet.holds_data(row):
            first = row == block.first_row
            yield from ((row, each) for each in across if not (first and each + left == block.first_column))


def _first(block: Block) -> str:
    return f"{column_letters(block.first_column)}{block.first_row}"


# numbers and days that are shown otherwise than they are read


def _shown_otherwise(sheet: MarkedSheet) -> Iterator[Problem]:
    numbers = {
        (row, column): cell
        for column, heading in sheet.headings.items()
        if heading in CODES
        for row, cell in sheet.below(column)
        if cell.__class__ in _NUMBERS and isinstance(cell, int | float) and abs(cell) < 10**DIGITS_KEPT
    }
    addresses = {f"{sheet.grid.letters(column)}{row}": (row, column) for row, column in numbers}
    asked = {address: numbers[at] for address, at in addresses.items()}
    differing: dict[int, dict[int, tuple[str, str]]] = {}
    for address, seen in shown_numbers(sheet.book, sheet.grid.sheet, asked).items():
        if (as_read := format(asked[address], ".15g")) != seen:
            row, column = addresses[address]
            differing.setdefault(column, {})[row] = (as_read, seen)
    for column, rows in sorted(differing.items()):
        place = sheet.place(min(rows), column)
        yield problem("number-formatted", place, f"{sheet.headings[column]} is the number {_readings(rows)}.")


def _readings(differing: Mapping[int, tuple[str, str]]) -> str:
    """The first few numbers with what they are shown as, and the rows of the others."""
    named = sorted(differing)[:MOST_READINGS]
    texts = [f"{differing[row][0]}, shown as {differing[row][1]}" for row in named]
    texts[1:] = [f"in row {row} {text}" for row, text in zip(named[1:], texts[1:], strict=True)]
    return "; ".join(texts) + _likewise({row: None for row in differing if row not in named})


def _times(sheet: MarkedSheet) -> Iterator[Problem]:
    for column, heading in sheet.headings.items():
        if heading in DAYS:
            timed = {row: cell for row, cell in sheet.below(column) if _has_time(cell)}
            if timed:
                row = min(timed)
                cell = timed.pop(row)
                seen = clean(cell) if isinstance(cell, str) else str(cell).removesuffix(":00")
                says = f"{heading} is {seen}, a day with a time{_likewise(timed)}."
                yield problem("date-with-time", sheet.place(row, column), says)


def _has_time(cell: CellValue) -> bool:
    if cell.__class__ is datetime:
        return isinstance(cell, datetime) and cell.time() != time()
    return isinstance(cell, str) and len(cell) > 10 and _TIMED.fullmatch(clean(cell)) is not None


def _likewise(rows: Mapping[int, object]) -> str:
    return f"; likewise in {rows_text(rows)}" if rows else ""


# what the file does not tell


def _untold(sheet: MarkedSheet) -> Iterator[Problem]:
    if sheet.marks.untold:
        yield problem("marks-untold", Place(sheet.grid.file, sheet.grid.sheet), sheet.marks.untold)


def _unsure(sheet: MarkedSheet) -> Iterator[Problem]:
    ours = sorted(
        (row, column)
        for row, column in map(_row_and_column, sheet.marks.unsure)
        if row > sheet.header_row
        and (across := column - sheet.grid.first_column) in sheet.headings
        and not _is_needed_blank(sheet, row, across)
    )
    if ours:
        row, column = ours[0]
        at = f"{column_letters(column)}{row}"
        more = {each: None for each, _ in ours if each != row}
        says = f"The formula in {at} gives zero or nothing, and the file does not say if it was calculated"
        yield problem(
            "formula-untold", Place(sheet.grid.file, sheet.grid.sheet, at), f"{says}{_likewise(more)}."
        )


def _is_needed_blank(sheet: MarkedSheet, row: int, across: int) -> bool:
    """Whether the cell under the heading with this index in the grid has to be filled and is not."""
    blank = sheet.cell(row, across + sheet.grid.first_column) is None
    return blank and sheet.headings[across] in sheet.needed


def _row_and_column(address: str) -> tuple[int, int]:
    letters = address.rstrip("0123456789")
    return int(address[len(letters) :]), column_number(letters)
