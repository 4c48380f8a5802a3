"""Sheets to rows: each cell read by its column's own reader, every fault of a row kept beside it.

A cell's value is read once for each distinct raw value of its column; a place is made only for a fault.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from reconcile.sheets.amounts import Unreadable, clean, is_blank
from reconcile.sheets.cells import Book, CellValue, Grid
from reconcile.sheets.headings import (
    Found,
    Header,
    SheetKind,
    find_header,
    sheet_empty,
    sheet_missing,
    sheet_named,
)
from reconcile.sheets.truth import CellFault, hidden_cells
from reconcile.values.problem import Problem, RowPlace, problem
from reconcile.values.settings import Settings

Read = Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a cell of a row, before it is known where the row stands."""

    heading: str
    code: str
    says: str
    do: str = ""
    did: str = ""

    def at(self, place: RowPlace) -> Problem:
        """The problem that it is in a row."""
        return problem(self.code, place.cell(self.heading), self.says, did=self.did, do=self.do)


def fault_of(heading: str, unreadable: Unreadable) -> Fault:
    """The fault of a cell that one of the readers of amounts refused."""
    return Fault(heading, unreadable.code, unreadable.says, unreadable.do)


def as_text(value: object) -> str:
    """A cell as text, the way a person sees it: 417.0 is "417"; text stays as it was typed, tidied only."""
    if value is None:
        return ""
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else format(value, ".15g")
    return str(value).removesuffix(" 00:00:00")


class Column:
    """How the cells of one column are read.

    ``default`` stands for a blank cell of a column that is not ``needed``. A cell that holds an error
    value is a fault of the row where the column ``matters``: by default, where it is not mere text.
    """

    __slots__ = ("_read", "default", "heading", "index", "known", "matters", "needed", "unit")

    def __init__(
        self,
        heading: str,
        read: Read = as_text,
        default: Any = "",
        *,
        needed: bool = False,
        matters: bool = False,
    ) -> None:
        self.heading, self.default, self.needed = heading, default, needed
        self.matters = matters or needed or read is not as_text
        self.index: int | None = None
        self.unit = ""
        self._read = read
        self.known = Learned(self)
        """What every distinct cell says. Truth values have no place in it: True and 1.0 are one key."""

    def placed(self, found: Found | None) -> "Column":
        """The column with its index in the grid; None for a column that the sheet does not have."""
        if found is not None:
            self.index, self.unit = found.column, found.unit
        return self

    def learn(self, raw: CellValue) -> Any:
        """What a cell of the column says: a value, or a Fault."""
        if raw is None or (isinstance(raw, str) and is_blank(raw)):
            return (
                Fault(self.heading, "cell-blank", f"{self.heading} is blank.")
                if self.needed
                else self.default
            )
        try:
            # A duration has no use here; its text shows what the cell holds.
            return self._read(str(raw) if isinstance(raw, timedelta) else raw)
        except Unreadable as why:
            return fault_of(self.heading, why)


class Learned(dict[CellValue, Any]):
    """What the cells of a column say; one that is new is read when it is asked for."""

    __slots__ = ("_column",)

    def __init__(self, column: Column) -> None:
        self._column = column

    def __missing__(self, raw: CellValue) -> Any:
        value = self[raw] = self._column.learn(raw)
        return value


@dataclass(slots=True)
class Row:
    """A row as read: its number in the sheet, its values in the order of the columns, its faults."""

    number: int
    values: list[Any]
    raw: list[CellValue]
    faults: list[Fault] = field(default_factory=list)


@dataclass(slots=True)
class Table:
    """A sheet whose headings were found; rows come one by one, blank ones left out."""

    grid: Grid
    header: Header
    hidden: dict[tuple[int, int], CellFault]

    def place(self, number: int) -> RowPlace:
        """Where a row stands."""
        return RowPlace(self.grid.file, self.grid.sheet, number, self.header.letters)

    def rows(self, columns: list[Column]) -> Iterator[Row]:
        """Every row that is not blank in all the columns asked for, with its values and faults."""
        for column in columns:
            column.placed(self.header.found.get(column.heading))
        there = [(at, column.index, column) for at, column in enumerate(columns) if column.index is not None]
        indices = [index for _, index, _ in there]
        defaults = [column.default for column in columns]
        width, is_text = self.header.width, self.grid.is_text
        first = self.grid.first_row
        for at, raw in self._raw_rows():
            if not any(_filled(raw[index]) for index in indices) and not self._holds_more(at, raw, indices):
                continue
            values = defaults.copy()
            for which, index, column in there:
                cell = raw[index]
                values[which] = column.learn(cell) if cell.__class__ is bool else column.known[cell]
            row = Row(first + at, values, raw, [value for value in values if value.__class__ is Fault])
            if self.hidden:
                self._uncover(at, row, columns)
            if is_text and len(raw) > width and any(map(_filled, raw[width:])):
                row.faults.insert(0, self._ragged(raw))
            yield row

    def _raw_rows(self) -> Iterator[tuple[int, list[CellValue]]]:
        """The rows below the headings by their index; blank ones where only hidden cells stand."""
        rows = self.grid.rows
        start = self.header.row + 1
        for at in range(start, len(rows)):
            yield at, rows[at]
        blank: list[CellValue] = [None] * len(rows[0])
        for at in sorted({row for row, _ in self.hidden if row >= len(rows)}):
            yield at, blank

    def _holds_more(self, at: int, raw: list[CellValue], indices: list[int]) -> bool:
        """Whether a row that reads as blank hides something, or has cells right of a csv's headings."""
        if self.hidden and any((at, index) in self.hidden for index in indices):
            return True
        return self.grid.is_text and any(map(_filled, raw[self.header.width :]))

    def _uncover(self, at: int, row: Row, columns: list[Column]) -> None:
        """Puts the true fault in the place of a blank. Text that nothing is planned by may stay blank."""
        for which, column in enumerate(columns):
            truth = None if column.index is None else self.hidden.get((at, column.index))
            if truth is None or not column.matters:
                continue
            row.faults = [fault for fault in row.faults if fault.heading != column.heading]
            fault = Fault(column.heading, truth.code, _hidden_says(column.heading, truth))
            row.values[which] = fault
            row.faults.append(fault)

    def _ragged(self, raw: list[CellValue]) -> Fault:
        filled = max(at for at, cell in enumerate(raw) if _filled(cell)) + 1
        says = (
            f"The row has {filled} cells, the headings {self.header.width}; the last is {raw[filled - 1]!r}."
        )
        return Fault("", "csv-ragged", says)


def _filled(cell: CellValue) -> bool:
    """Whether a cell holds more than blanks."""
    return cell is not None and not (isinstance(cell, str) and cell.isspace())


def _hidden_says(heading: str, truth: CellFault) -> str:
    if truth.code == "cell-error":
        return f"{heading} holds the error value {truth.holds}."
    return f"{heading} holds {truth.holds}, which was never calculated."


def open_table(
    book: Book, kind: SheetKind, settings: Settings, *, needed: bool
) -> tuple[Table | None, list[Problem]]:
    """A sheet of a book with its headings found, and what is wrong with it as a whole.

    None with problems where it cannot be used; None without where a sheet that is not needed is not there.
    """
    name = sheet_named(book, kind) if needed or not book.is_single_csv else None
    if name is None:
        return None, [sheet_missing(book, kind)] if needed else []
    grid = book.grid(name)
    header, problems = find_header(grid, kind, settings)
    if header is None or problems:
        return None, problems or ([sheet_empty(grid)] if needed else [])
    table = Table(grid, header, _hidden(book, grid, header))
    if needed and not _has_rows(table):
        return None, [sheet_empty(grid)]
    return table, []


def _hidden(book: Book, grid: Grid, header: Header) -> dict[tuple[int, int], CellFault]:
    """The hidden cells under our headings, by their indices in the grid."""
    under = {grid.letters(found.column): found.column for found in header.found.values()}
    hidden = {}
    for address, fault in hidden_cells(book, grid.sheet).items():
        letters = address.rstrip("0123456789")
        row = int(address[len(letters) :] or 0) - grid.first_row
        if letters in under and row > header.row:
            hidden[row, under[letters]] = fault
    return hidden


def _has_rows(table: Table) -> bool:
    below = table.grid.rows[table.header.row + 1 :]
    return bool(table.hidden) or any(_filled(cell) for row in below for cell in row)


def names_unit(value: object) -> bool:
    """Whether a quantity cell carries a unit of its own."""
    return isinstance(value, str) and any(letter.isalpha() or letter in "\"'″′" for letter in value)
