"""The clerk's written yes: lengths that became dates, each read as a file says that it was typed.

The file has a line for each cell: where it stands, what it holds, as the report shows them, and what to use.
A line is obeyed only where all three fit. The workbook itself is never changed.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime

from reconcile.sheets.figures.text import Unreadable, clean, shown
from reconcile.sheets.figures.turned_dates import fractions_behind_cell, fractions_said
from reconcile.sheets.figures.units import split_length
from reconcile.sheets.files.books import Book, CellValue, Grid
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import STOCK
from reconcile.sheets.tables.headings import SheetKind, find_header, sheet_named
from reconcile.sheets.tables.rows import Columns, Fault, Row, SheetTable, as_text, open_table
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.records import dataclass
from reconcile.values.settings import Settings
from reconcile.values.week.results import Tally

ACCEPT = SheetKind(
    "Accept",
    {"where": ("cell", "place"), "found": ("holds",), "use": ("read as",)},
    ("where", "found", "use"),
    key="where",
)
LENGTHS = {JOBS.name: ("from", "to"), STOCK.name: ("length", "thread length")}
"""Headings of lengths, by sheet: only under these may a date be accepted as something else."""
_ADDRESS = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class LengthSheet:
    """A sheet of a run, with the kind of sheet that it is."""

    grid: Grid
    kind: SheetKind

    @property
    def name(self) -> str:
        return clean(f"{self.grid.file}!{self.grid.sheet}")


@dataclass(frozen=True, slots=True)
class LengthCell:
    """A cell under a heading of lengths: its indices in the grid, and the unit of a bare number there."""

    grid: Grid
    row: int
    column: int
    unit: str | None

    @property
    def value(self) -> CellValue:
        return self.grid.rows[self.row][self.column]

    @property
    def place(self) -> Place:
        return Place(self.grid.file, self.grid.sheet, self.grid.address(self.row, self.column))


class Misfit(Exception):
    """A line fits no cell: under which heading, and why not."""

    def __init__(self, heading: str, says: str) -> None:
        super().__init__(says)
        self.heading = heading


class AcceptedColumns(Columns):
    """The columns of the file of accepted readings."""

    def __init__(self) -> None:
        super().__init__()
        self.where = self.text("where", needed=True)
        self.found = self.needed("found", _held)
        self.use = self.needed("use", _use)


class Acceptance:
    """A file of accepted readings: what it says, and after ``apply`` what became of each line."""

    def __init__(self, book: Book, settings: Settings) -> None:
        """Raises Unusable where the file's sheet cannot be read, or where a column is missing."""
        self.book, self.settings = book, settings
        self.problems: list[Problem] = []
        self.tally = Tally()
        self._table = _table(self.book, settings)

    def apply(self, sheets: Sequence[LengthSheet]) -> None:
        """Puts what is accepted into the grids, before their rows are read; adds a problem for each line."""
        columns = AcceptedColumns()
        rows = list(self._table.rows(columns))
        counts = Counter(_folded(columns.where.of(row)) for row in rows if not row.faults)
        used = 0
        for row in rows:
            if not row.faults and counts[_folded(columns.where.of(row))] > 1:
                where = columns.where.of(row)
                says = f"{where} stands in {counts[_folded(where)]} lines of the file."
                row.faults.append(Fault("where", "accept-doubled", says))
            if not row.faults:
                used += self._obey(columns, row, sheets)
            self.problems += [self._table.problem(fault, row) for fault in row.faults]
        self.problems += self._table.problems_apart()
        read = len(rows) + self._table.set_apart
        self.tally = Tally(read, used, read - used)

    def _obey(self, columns: AcceptedColumns, row: Row, sheets: Sequence[LengthSheet]) -> bool:
        """Whether the line fits its cell, which then holds what the line says."""
        where, found, use = columns.where.of(row), columns.found.of(row), columns.use.of(row)
        try:
            cell = _cell(where, sheets, self.settings)
            _check(cell, found, use, self.settings.decimal)
        except Misfit as why:
            row.faults.append(Fault(why.heading, "accept-unused", str(why)))
            return False
        line = self._table.place(row.number).cell("use")
        says = f"The cell holds {shown(cell.value)}; it is read as {use}, as {line} says."
        self.problems.append(problem("length-accepted", cell.place, says, found=_held(cell.value)))
        cell.grid.rows[cell.row][cell.column] = use
        return True


def sheets_of(books: Iterable[tuple[Book | None, SheetKind]]) -> Iterator[LengthSheet]:
    """The sheets of a run that have lengths, as far as they can be read; why one cannot is said elsewhere."""
    for book, kind in books:
        if book is not None and (name := sheet_named(book, kind)) is not None:
            with suppress(Unusable):
                yield LengthSheet(book.grid(name), kind)


def _table(book: Book, settings: Settings) -> SheetTable:
    """The sheet Accept, else the first one."""
    name = sheet_named(book, ACCEPT) or book.sheet_names[0]
    table, problems = open_table(book, replace(ACCEPT, name=name), settings, needed=True)
    if table is None:
        raise Unusable(*problems)
    return table


def _use(value: CellValue) -> str:
    if isinstance(value, date):
        raise Unreadable("accept-unused", f"The cell holds {shown(value)}, not a length.")
    return as_text(value)


def _held(value: CellValue) -> str:
    """A cell as the report shows it; a date in the words of a message is the same as the date alone."""
    if isinstance(value, datetime):
        return value.date().isoformat()
    return as_text(value).removeprefix("the date ").removesuffix(" 00:00:00").strip('"')


def _folded(where: str) -> str:
    return where.replace("$", "").casefold()


def _cell(where: str, sheets: Sequence[LengthSheet], settings: Settings) -> LengthCell:
    """The cell that a line names, if it is one of lengths. Raises ``Misfit``."""
    head, _, address = where.rpartition("!")
    match = _ADDRESS.fullmatch(address.strip())
    named = [sheet for sheet in sheets if _folded(sheet.name) == _folded(head)]
    if match is None or not named:
        there = " or ".join(sheet.name for sheet in sheets)
        raise Misfit("where", f"{where} is no cell of {there}.")
    for each in named:
        cell = _length_cell(each, match[1].upper(), int(match[2]), settings)
        if cell is not None:
            return cell
    raise Misfit("where", f"{where} is no cell under a heading of lengths.")


def _length_cell(sheet: LengthSheet, letters: str, number: int, settings: Settings) -> LengthCell | None:
    header, _ = find_header(sheet.grid, sheet.kind, settings)
    row = number - sheet.grid.first_row
    if header is None or not header.row < row < len(sheet.grid.rows):
        return None
    for heading in LENGTHS[sheet.kind.name]:
        found = header.found.get(heading)
        if found is not None and header.letters[heading] == letters:
            return LengthCell(sheet.grid, row, found.column, found.unit or settings.length_unit)
    return None


def _check(cell: LengthCell, found: str, use: str, decimal: str | None) -> None:
    """Raises ``Misfit`` where the cell holds no date, another one, or where it cannot have been ``use``."""
    behind = fractions_behind_cell(cell.value)
    if behind is None:
        raise Misfit("where", f"{cell.place} holds {shown(cell.value)}, which is no date.")
    if _held(cell.value) != found:
        raise Misfit("found", f"{cell.place} holds {shown(cell.value)}, not {found}.")
    try:
        number, _ = split_length(use, cell.unit, decimal)
    except Unreadable as why:
        raise Misfit("use", why.says) from why
    if number not in behind:
        raise Misfit("use", f'"{use}" is not what became {shown(cell.value)}; {fractions_said(behind)}.')
