"""Sheets to rows: each cell read by its column's own reader, every fault of a row kept beside it.

A cell's value is read once for each distinct raw value of its column; a place is made only for a fault.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Any, Generic, TypeVar

from reconcile.sheets.figures.spoilt_codes import CODES, refuse_spoilt
from reconcile.sheets.figures.text import Unreadable, clean, is_blank
from reconcile.sheets.files.books import Book, CellValue, Grid
from reconcile.sheets.tables.choosing import sheet_for
from reconcile.sheets.tables.headings import (
    Header,
    SheetKind,
    find_header,
    sheet_empty,
    unread_headings,
)
from reconcile.sheets.tables.non_data import Sorter
from reconcile.sheets.tables.remarks import MarkedSheet, merged_cells, remarks, rows_text, unread_cells
from reconcile.sheets.tables.remarks import filled as _filled
from reconcile.sheets.unseen.sheet_facts import (
    ERROR_VALUE,
    GIVES_NOTHING,
    NO_MARKS,
    CellFault,
    Marks,
    error_in_text,
)
from reconcile.sheets.unseen.workbooks import sheet_marks
from reconcile.values.problem import Problem, RowPlace, problem
from reconcile.values.settings import Settings

T = TypeVar("T")
D = TypeVar("D")
LEFT_BLANK = "cell-left-blank"


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a cell of a row, before it is known where the row stands."""

    heading: str
    code: str
    says: str
    do: str = ""
    did: str = ""
    severity: str = ""
    """That of the catalogue, unless said otherwise."""

    def at(self, place: RowPlace, found: str = "") -> Problem:
        """The problem that it is in a row, with what its cell holds."""
        cell = place.cell(self.heading)
        made = problem(self.code, cell, self.says, did=self.did, do=self.do, found=found)
        return replace(made, severity=self.severity) if self.severity else made


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


class ColumnReader(Generic[T]):
    """How the cells of one column are read, and where what they say stands among a row's values.

    ``default`` stands for a blank cell of a column that is not ``needed``. A cell that holds an error
    value is a fault of the row where the column ``matters``: by default, where it is not mere text.
    """

    __slots__ = ("_at", "_read", "default", "heading", "known", "matters", "needed")

    def __init__(  # noqa: PLR0913  (one column, and all that reading it takes)
        self,
        at: int,
        heading: str,
        read: Callable[[CellValue], T],
        default: T | None,
        *,
        needed: bool,
        matters: bool,
    ) -> None:
        self.heading, self.default, self.needed, self.matters = heading, default, needed, matters
        self._at, self._read = at, read
        self.known = Learned(at, self.learn)
        """What every distinct cell says. Truth values have no place in it: True and 1.0 are one key."""

    def of(self, row: "Row") -> T:
        """What the row says in this column. Only for a row that has no fault in it; else see ``said``."""
        value: T = row.values[self._at]
        return value

    def said(self, row: "Row") -> "T | Fault":
        """What the row says in this column, or why that cannot be told."""
        value: T | Fault = row.values[self._at]
        return value

    def learn(self, raw: CellValue) -> "T | Fault | None":
        """What a cell of the column says: a value, or a Fault; None only where that is the default."""
        if raw is None or (isinstance(raw, str) and is_blank(raw)):
            return (
                Fault(self.heading, "cell-blank", f"{self.heading} is blank.")
                if self.needed
                else self.default
            )
        if isinstance(raw, str) and (error := error_in_text(raw)):
            code = ERROR_VALUE if self.matters else LEFT_BLANK
            return Fault(self.heading, code, _hidden_says(self.heading, CellFault(ERROR_VALUE, error)))
        try:
            if self.heading in CODES:
                refuse_spoilt(self.heading, raw)
            # A duration has no use here; its text shows what the cell holds.
            return self._read(str(raw) if isinstance(raw, timedelta) else raw)
        except Unreadable as why:
            return fault_of(self.heading, why)


class Learned(dict[CellValue, object]):
    """What the cells of a column say; one that is new is read when it is asked for."""

    __slots__ = ("_at", "_learn", "met")

    def __init__(self, at: int, learn: Callable[[CellValue], object]) -> None:
        self._at, self._learn = at, learn
        self.met: set[int] = set()
        """Places, among the values of a row, of the columns that a fault was ever met in."""

    def __missing__(self, raw: CellValue) -> object:
        value = self[raw] = self.learn(raw)
        return value

    def learn(self, raw: CellValue) -> object:
        """What a cell says, read anew and not kept."""
        value = self._learn(raw)
        if value.__class__ is Fault:
            self.met.add(self._at)
        return value


class Columns:
    """The columns that are read of a sheet, each declared once, by name; a sheet need not have them all."""

    def __init__(self) -> None:
        self.declared: list[ColumnReader[Any]] = []
        self.met: set[int] = set()
        """Places of the columns that a fault was ever met in: only there a row is looked at for one."""

    def needed(self, heading: str, read: Callable[[CellValue], T]) -> ColumnReader[T]:
        """A column whose cells must be filled."""
        return self._add(ColumnReader(len(self.declared), heading, read, None, needed=True, matters=True))

    def maybe(self, heading: str, read: Callable[[CellValue], T], default: D) -> "ColumnReader[T | D]":
        """A column whose blank cells say ``default``."""
        both: Callable[[CellValue], T | D] = read
        return self._add(ColumnReader(len(self.declared), heading, both, default, needed=False, matters=True))

    def beside(self, heading: str, read: Callable[[CellValue], T]) -> "ColumnReader[T | None]":
        """A column whose cells never set a row aside: one that holds an error value counts as blank."""
        both: Callable[[CellValue], T | None] = read
        at = len(self.declared)
        return self._add(ColumnReader(at, heading, both, None, needed=False, matters=False))

    def text(self, heading: str, *, needed: bool = False, matters: bool = False) -> ColumnReader[str]:
        """A column of mere text, as a person sees it; blank is ""."""
        at, matters = len(self.declared), matters or needed
        return self._add(ColumnReader(at, heading, as_text, "", needed=needed, matters=matters))

    def _add(self, column: ColumnReader[T]) -> ColumnReader[T]:
        column.known.met = self.met
        self.declared.append(column)
        return column


Placed = tuple[int, int, ColumnReader[Any]]
"""Which of the values of a row, the index of its column in the grid, the column."""


@dataclass(slots=True)
class Row:
    """A row as read: its number in the sheet, its values, which the columns know how to get, its faults."""

    number: int
    values: list[Any]
    """In the order in which the columns were declared: a value of the column's kind, or a Fault."""
    raw: list[CellValue]
    faults: list[Fault] = field(default_factory=list)


@dataclass(slots=True)
class SheetTable:
    """A sheet whose headings were found; rows come one by one, blank ones left out."""

    grid: Grid
    header: Header
    hidden: dict[tuple[int, int], CellFault]
    sorter: Sorter
    apart: list[tuple[Row, Fault]] = field(default_factory=list)
    """Rows that are none of the data, as far as they were come upon, and why."""
    set_apart: int = 0
    """How many of them count as rows; those below a second table are told of once, at its headings."""
    is_below: bool = False
    """The rows that come now stand below the headings of a second table."""

    merged: dict[tuple[int, int], str] = field(default_factory=dict)
    """Needed cells that are blank because they are merged with another, and with which."""
    left_blank: dict[tuple[str, CellFault], list[int]] = field(default_factory=dict)
    """Rows in which mere text counts as blank although its cell holds something, as far as they were read."""
    remarks: list[Problem] = field(default_factory=list)
    """Where what is remarked while rows are read is added."""
    marks: Marks = NO_MARKS
    """What the sheet says beside its values."""
    in_error: frozenset[int] = frozenset()
    """Numbers of the rows that were set aside for a fault, once all are read."""
    outside: frozenset[int] = frozenset()
    """Numbers of the rows that lie outside the period, once all are read."""

    def place(self, number: int) -> RowPlace:
        """Where a row stands."""
        return RowPlace(self.grid.file, self.grid.sheet, number, self.header.letters)

    def problem(self, fault: Fault, row: Row) -> Problem:
        """The problem that a fault is in a row, with what its cell holds."""
        return fault.at(self.place(row.number), self._holds(fault.heading, row))

    def _holds(self, heading: str, row: Row) -> str:
        """A cell as a person sees it, also a hidden one; "" where there is no such column."""
        column = self.header.found.get(heading)
        if column is None:
            return ""
        truth = self.hidden.get((row.number - self.grid.first_row, column.column))
        return as_text(row.raw[column.column]) if truth is None else truth.holds

    def problems_apart(self) -> list[Problem]:
        """What is said of rows that are none of the data."""
        return [self.problem(fault, row) for row, fault in self.apart]

    def rows(self, columns: Columns) -> Iterator[Row]:
        """Every row that is not blank in all the columns asked for, with its values and faults.

        Totals, notes and headings among them are left out and kept in ``apart``.
        """
        there = self._placed(columns)
        indices = [index for _, index, _ in there]
        cells = [(which, index, column.known) for which, index, column in there]
        first_index, met = indices[0], columns.met
        defaults = [column.default for column in columns.declared]
        is_text = self.grid.is_text
        first = self.grid.first_row
        for at, raw in self._raw_rows():
            if not (_filled(raw[first_index]) or self._holds_any(at, raw, indices)):
                continue
            values = defaults.copy()
            for which, index, known in cells:
                cell = raw[index]
                # What is kept of a truth value would stand for 1.0 as well.
                values[which] = known[cell] if cell.__class__ is not bool else known.learn(cell)
            faults = _faults_at(met, values) if met else []
            row = Row(first + at, values, raw, faults)
            suspect = self.is_below or row.faults or self.sorter.is_odd(raw)
            if suspect and self._is_apart(at, row, indices):
                continue
            if row.faults:
                self._leave_blank(row, there)
            if self.hidden:
                self._uncover(at, row, there)
            if self.merged:
                self._tell_merged(at, row, there)
            if is_text and self._is_ragged(at, raw):
                row.faults.insert(0, self._ragged(at, raw))
            yield row
        self._remark_left_blank()

    def _placed(self, columns: Columns) -> list[Placed]:
        """The columns that the sheet has, in the order of their declaration."""
        found = self.header.found
        return [
            (which, found[column.heading].column, column)
            for which, column in enumerate(columns.declared)
            if column.heading in found
        ]

    def _is_apart(self, at: int, row: Row, indices: list[int]) -> bool:
        """Keeps a row that is none of the data, and says whether it is one."""
        if self.is_below:
            self.set_apart += 1
            return True
        more = self._holds_more(at, row.raw, indices) or any((at, index) in self.merged for index in indices)
        found = self.sorter.judge(at, row.raw, more)
        if found is None:
            return False
        self.apart.append((row, Fault(found.heading, found.code, found.says)))
        self.set_apart += found.counts
        self.is_below = found.code == "table-second"
        return True

    def _raw_rows(self) -> Iterator[tuple[int, list[CellValue]]]:
        """The rows below the headings by their index; blank ones where only hidden cells stand."""
        rows = self.grid.rows
        start = self.header.row + 1
        for at in range(start, len(rows)):
            yield at, rows[at]
        blank: list[CellValue] = [None] * len(rows[0])
        for at in sorted({row for row, _ in self.hidden if row >= len(rows)}):
            yield at, blank

    def _holds_any(self, at: int, raw: list[CellValue], indices: list[int]) -> bool:
        return any(_filled(raw[index]) for index in indices) or self._holds_more(at, raw, indices)

    def _holds_more(self, at: int, raw: list[CellValue], indices: list[int]) -> bool:
        """Whether a row that reads as blank hides something, or has cells right of a csv's headings."""
        if self.hidden and any((at, index) in self.hidden for index in indices):
            return True
        return self.grid.is_text and any(map(_filled, raw[self.header.width :]))

    def _leave_blank(self, row: Row, there: Iterable[Placed]) -> None:
        """Mere text that is the text of an error value, as csv keeps it, counts as blank."""
        for which, index, column in there:
            value = row.values[which]
            if value.__class__ is Fault and value.code == LEFT_BLANK:
                truth = CellFault(ERROR_VALUE, as_text(row.raw[index]))
                self.left_blank.setdefault((column.heading, truth), []).append(row.number)
                row.values[which] = column.default
        row.faults = [fault for fault in row.faults if fault.code != LEFT_BLANK]

    def _uncover(self, at: int, row: Row, there: Iterable[Placed]) -> None:
        """Puts the true fault in the place of a blank. Text that nothing is planned by may stay blank."""
        for which, index, column in there:
            truth = self.hidden.get((at, index))
            if truth is None:
                continue
            if not column.matters:
                self.left_blank.setdefault((column.heading, truth), []).append(row.number)
                continue
            row.faults = [fault for fault in row.faults if fault.heading != column.heading]
            fault = Fault(column.heading, truth.code, _hidden_says(column.heading, truth))
            row.values[which] = fault
            row.faults.append(fault)

    def _tell_merged(self, at: int, row: Row, there: Iterable[Placed]) -> None:
        """Says of a needed cell that is blank because it is merged with another one that it is so."""
        for which, index, column in there:
            holder = self.merged.get((at, index))
            if holder is not None:
                row.faults = [fault for fault in row.faults if fault.heading != column.heading]
                says = f"{column.heading} is blank; its cell is merged with {holder}."
                row.values[which] = fault = Fault(column.heading, "cell-merged", says)
                row.faults.append(fault)

    def _remark_left_blank(self) -> None:
        """One remark for each column and what its cells hold, at the first of them."""
        for (heading, truth), numbers in self.left_blank.items():
            more = f"; likewise in {rows_text(numbers[1:])}" if numbers[1:] else ""
            says = f"{_hidden_says(heading, truth).rstrip('.')}{more}."
            place = self.place(numbers[0]).cell(heading)
            self.remarks.append(problem(LEFT_BLANK, place, says, found=truth.holds))

    def _is_ragged(self, at: int, raw: list[CellValue]) -> bool:
        """Whether a row of a csv file has cells right of the headings, or ends before them."""
        width = self.header.width
        return self.grid.written(at) < width or any(map(_filled, raw[width:]))

    def _ragged(self, at: int, raw: list[CellValue]) -> Fault:
        width, written = self.header.width, self.grid.written(at)
        filled = max(at for at, cell in enumerate(raw) if _filled(cell)) + 1
        cells = "1 cell" if written == 1 else f"{filled if written > width else written} cells"
        says = (
            f"The row, on line {self.grid.line(at)}, has {cells}, the headings {width}; "
            f"the last that is filled is {raw[filled - 1]!r}."
        )
        return Fault("", "csv-ragged", says)


def _faults_at(places: Iterable[int], values: list[object]) -> list[Fault]:
    return [value for place in sorted(places) if isinstance(value := values[place], Fault)]


def _hidden_says(heading: str, truth: CellFault) -> str:
    if truth.code == ERROR_VALUE:
        return f"{heading} holds the error value {truth.holds}."
    if truth.holds is GIVES_NOTHING:
        return f"{heading} holds {truth.holds}; it may never have been calculated."
    return f"{heading} holds {truth.holds}, which was never calculated."


def open_table(
    book: Book, kind: SheetKind, settings: Settings, *, needed: bool
) -> tuple[SheetTable | None, list[Problem]]:
    """A sheet of a book with its headings found, and what is wrong with it as a whole.

    None with problems where it cannot be used; None without where a sheet that is not needed is not there.
    """
    chosen = sheet_for(book, kind, settings, needed=needed)
    if chosen.name is None:
        return None, list(chosen.faults)
    grid, name = book.grid(chosen.name), chosen.name
    book.problems.extend(chosen.notices)
    header, problems = find_header(grid, kind, settings)
    if header is None or problems:
        return None, problems or ([sheet_empty(grid)] if needed else [])
    sorter = Sorter(kind, header, grid, settings)
    sheet = MarkedSheet(book, grid, header, sheet_marks(book, name), kind.needed_with(settings))
    table = SheetTable(grid, header, unread_cells(sheet), sorter)
    if needed and not _has_rows(table):
        return None, [sheet_empty(grid)]
    book.problems.extend((*unread_headings(grid, header, kind, settings), *remarks(sheet)))
    table.merged, table.remarks, table.marks = merged_cells(sheet), book.problems, sheet.marks
    return table, []


def _has_rows(table: SheetTable) -> bool:
    below = table.grid.rows[table.header.row + 1 :]
    return bool(table.hidden) or any(_filled(cell) for row in below for cell in row)


def names_unit(value: object) -> bool:
    """Whether a quantity cell carries a unit of its own."""
    return isinstance(value, str) and any(letter.isalpha() or letter in "\"'″′" for letter in value)
