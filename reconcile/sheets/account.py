"""What became of every filled cell of the sheets of a run: used, ignored with the reason, or in error.

The count of a sheet's filled cells comes from its file wherever that can be followed; which of them were
used comes from the rows that were read. What neither explains is said to show nothing.
"""

import hashlib
import io
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import field
from datetime import date
from operator import itemgetter
from pathlib import Path
from typing import TypeVar
from xml.parsers.expat import ExpatError
from zipfile import ZipFile

from reconcile.sheets.figures.text import clean, is_blank
from reconcile.sheets.files.archive import column_number, sheet_parts
from reconcile.sheets.files.books import Book, CellValue, Grid, column_letters
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.sheets.tables.remarks import rows_text
from reconcile.sheets.tables.rows import SheetTable
from reconcile.sheets.unseen.filled_cells import filled_in_ods, filled_in_xlsx
from reconcile.values.problem import Unusable
from reconcile.values.records import dataclass
from reconcile.values.week.results import Ignored, SheetAccount
from reconcile.values.words import nearest

ABOVE = "it stands above the headings"
OTHER_HEADING = "its heading is none that is read"
NO_HEADING = "it has no heading"
OUTSIDE = "outside the period"
EMPTY = "nothing is to be seen in it"
LEFT_BLANK = "faulty text, taken as blank"
OTHER_SHEET = "not a sheet that is read"
APART = {
    "row-is-total": "a total",
    "row-is-note": "a note",
    "heading-repeated": "the headings again",
}
"""Why a row among the data is none of it, by code of the catalogue; other codes are errors."""
OUR_SHEETS = [kind.name for kind in (JOBS, STOCK, ON_ORDER, SUPPLIERS, PRICE_BREAKS, USAGE)]
LONGEST_HEADING = 40
"""Characters of a heading that are repeated."""
MUCH_ALIKE = 0.75
"""How like ours the name of a sheet must be to have been meant for it (of 1)."""

T = TypeVar("T")
Column = Sequence[CellValue]


def accounts(opened: Sequence[tuple[Book, Sequence[SheetTable]]]) -> tuple[SheetAccount, ...]:
    """The account of every sheet of the books, each with the tables that were read of it."""
    tables = {
        (_home(book), table.grid.file, table.grid.sheet): table for book, read in opened for table in read
    }
    found: dict[tuple[Path, str, str], SheetAccount] = {}
    for book, _ in opened:
        count = _counter(book)
        for sheet in book.sheet_names:
            place = (_home(book), _file_of(book, sheet), sheet)
            if place not in found:
                table = tables.get(place)
                found[place] = _unread(book, sheet, count) if table is None else _read(table, count(sheet))
    return tuple(found.values())


def _home(book: Book) -> Path:
    """The folder in which the book's files stand."""
    return (book.path if book.path.is_dir() else book.path.parent).resolve()


def _file_of(book: Book, sheet: str) -> str:
    """The name of the file that holds a sheet; of a folder, each sheet is a file."""
    names = dict(zip(book.sheet_names, book.digests, strict=False)) if book.path.is_dir() else {}
    return names[sheet][0] if sheet in names else book.file


# counted in the file


def _counter(book: Book) -> Callable[[str], int | None]:
    """Counts the filled cells of a sheet in the file; None where its kind, or the file, does not let it."""
    if book.packed is not None:
        packed, parts = book.packed, sheet_parts(book.packed)
        return lambda sheet: _followed(lambda: filled_in_xlsx(packed, parts.get(sheet, ""), book.file))
    if book.path.suffix.lower() == ".ods":
        counts = _followed(lambda: filled_in_ods(_packed(book), book.file))
        return lambda sheet: None if counts is None else counts[sheet]
    return lambda _: None


def _followed(count: Callable[[], T]) -> T | None:
    """What ``count`` gives; None where the file cannot be followed, whose values were read all the same."""
    try:
        return count()
    except (Unusable, LookupError, ValueError, ExpatError, zipfile.BadZipFile, OSError):
        return None


def _packed(book: Book) -> ZipFile:
    """The archive of an ods workbook. Raises ValueError where the file was changed since it was read."""
    data = book.path.read_bytes()
    if hashlib.sha256(data).hexdigest() != book.digests[0][1]:
        raise ValueError(book.file)
    return ZipFile(io.BytesIO(data))


# sheets that are not read


def _unread(book: Book, sheet: str, count: Callable[[str], int | None]) -> SheetAccount:
    file, cells = _file_of(book, sheet), count(sheet)
    if cells is None:
        try:
            cells = sum(map(_filled, book.glimpse(sheet).rows))
        except Unusable as why:
            return SheetAccount(file, sheet, uncounted=why.problems[0].says)
    missed = [each for each in OUR_SHEETS if each not in book.sheet_names]
    alike = bool(cells) and bool(nearest(sheet, missed, 1, MUCH_ALIKE))
    ignored = (Ignored(OTHER_SHEET, "", cells, alike),) if cells else ()
    return SheetAccount(file, sheet, cells, ignored=ignored)


def _filled(row: Column) -> int:
    return len(row) - row.count(None)


# sheets that are read


def _read(table: SheetTable, in_file: int | None) -> SheetAccount:
    tally = _Tally(table)
    tally.count_above()
    tally.count_columns()
    tally.count_rows()
    tally.count_unseen()
    tally.count_blank()
    tally.count_left_blank()
    empty = 0 if in_file is None else max(in_file - tally.seen, 0)
    ignored = [*tally.ignored(), *([Ignored(EMPTY, "", empty)] if empty else [])]
    grid, is_jobs = table.grid, table.sorter.kind.name == JOBS.name
    by_row = tally.by_row() if is_jobs else {}
    return SheetAccount(
        grid.file, grid.sheet, tally.seen + empty, tally.used, tuple(ignored), tally.in_error, by_row
    )


@dataclass(slots=True)
class _Tally:
    """Counts the cells of a sheet part by part; each cell is in one part. Rows and columns are indices."""

    table: SheetTable
    used: int = 0
    in_error: int = 0
    rows: Counter[tuple[str, int]] = field(default_factory=Counter)
    """Cells ignored in rows, by reason and row."""
    columns: Counter[int] = field(default_factory=Counter)
    """Cells in columns that are not ours."""
    more: Counter[int] = field(default_factory=Counter)
    """How many cells more of a row are used than the grid shows; below 0 for fewer."""
    ours: list[int] = field(init=False)
    fates: dict[int, str] = field(init=False)
    """Why a row among the data is not used; "" for an error. Rows that are used are not in it."""
    below: list[Column] = field(init=False)
    """The columns from the headings on."""

    def __post_init__(self) -> None:
        self.ours = sorted(found.column for found in self.table.header.found.values())
        self.fates = dict(_fates(self.table))
        self.below = list(zip(*self.grid.rows[self.top :], strict=True))

    @property
    def grid(self) -> Grid:
        return self.table.grid

    @property
    def top(self) -> int:
        return self.table.header.row

    @property
    def seen(self) -> int:
        return self.used + self.in_error + self.rows.total() + self.columns.total()

    def count_above(self) -> None:
        for at, row in enumerate(self.grid.rows[: self.top]):
            self.rows[ABOVE, at] += _filled(row)

    def count_columns(self) -> None:
        """Every column from the headings on; those of ours count as used until their rows are looked at."""
        for at, column in enumerate(self.below):
            if at in self.ours:
                self.used += _filled(column)
            else:
                self.columns[at] += _filled(column)

    def count_rows(self) -> None:
        """Rows among the data that are not used, by what stands in them under our headings."""
        cells_of = itemgetter(*self.ours) if len(self.ours) > 1 else lambda row: (row[self.ours[0]],)
        for at in self.fates:
            if at < len(self.grid.rows):
                cells = _filled(cells_of(self.grid.rows[at]))
                self.used -= cells
                self._add(at, cells)

    def count_unseen(self) -> None:
        """Error values, and formulas without a result, which the grid does not hold."""
        for address in self.table.facts.faults:
            at, across = _indices(address, self.grid)
            if self._cell(at, across) is not None:
                continue
            if at < self.top:
                self.rows[ABOVE, at] += 1
            elif across not in self.ours:
                self.columns[across] += 1
            elif at in self.fates:
                self._add(at, 1)
            else:
                self.used += 1
                self.more[at] += 1

    def count_blank(self) -> None:
        """Texts of blanks alone, which count as blank."""
        for column in self.ours:
            cells = self.below[column]
            blank = {cell for cell in set(cells) if isinstance(cell, str) and is_blank(cell)}
            if blank:
                for at, cell in enumerate(cells, self.top):
                    if cell in blank:
                        self._lose(EMPTY, at)

    def count_left_blank(self) -> None:
        """Faulty cells of mere text, in rows that are used without it."""
        for (heading, _), numbers in self.table.left_blank.items():
            assert heading in self.table.header.found
            for number in numbers:
                self._lose(LEFT_BLANK, number - self.grid.first_row)

    def by_row(self) -> dict[int, int]:
        """Used cells below the headings by number of row."""
        rows, first = self.grid.rows, self.grid.first_row
        return {
            at + first: sum(rows[at][column] is not None for column in self.ours) + self.more[at]
            for at in range(self.top + 1, len(rows))
            if at not in self.fates
        }

    def ignored(self) -> Iterator[Ignored]:
        """All that was ignored, from the top of the sheet on, then by column."""
        reasons: dict[str, dict[int, int]] = {}
        for (reason, at), cells in sorted(self.rows.items(), key=lambda each: each[0][1]):
            if cells:
                reasons.setdefault(reason, {})[at + self.grid.first_row] = cells
        for reason, by_number in reasons.items():
            yield Ignored(reason, rows_text(by_number), sum(by_number.values()))
        for at, cells in sorted(self.columns.items()):
            if cells:
                yield self._ignored_column(at, cells)

    def _add(self, at: int, cells: int) -> None:
        reason = self.fates[at]
        if reason:
            self.rows[reason, at] += cells
        else:
            self.in_error += cells

    def _lose(self, reason: str, at: int) -> None:
        """Takes a cell of a used row out of those that are used; rows that are not used have it already."""
        if at not in self.fates:
            self.used -= 1
            self.more[at] -= 1
            self.rows[reason, at] += 1

    def _cell(self, at: int, across: int) -> CellValue:
        rows = self.grid.rows
        return rows[at][across] if 0 <= at < len(rows) and 0 <= across < len(rows[at]) else None

    def _ignored_column(self, at: int, cells: int) -> Ignored:
        letters = column_letters(self.grid.first_column + at)
        heading = self._cell(self.top, at)
        named = "" if heading is None else clean(str(heading))[:LONGEST_HEADING]
        if not named:
            return Ignored(NO_HEADING, f"column {letters}", cells)
        figures = sum(map(_is_figure, self.below[at][1:]))
        return Ignored(OTHER_HEADING, f'column {letters} "{named}"', cells, 2 * figures >= cells - 1 > 0)


def _fates(table: SheetTable) -> Iterator[tuple[int, str]]:
    """Each row below the headings that is not used, by its index, with the reason; "" for an error."""
    first = table.grid.first_row
    yield from ((number - first, OUTSIDE) for number in table.outside)
    yield from ((number - first, "") for number in table.in_error)
    for row, fault in table.non_data:
        yield row.number - first, APART.get(fault.code, "")
        if fault.code == "table-second":
            yield from ((at, "") for at in range(row.number - first, len(table.grid.rows)))


def _indices(address: str, grid: Grid) -> tuple[int, int]:
    """Row and column of an address as indices in the grid; outside it they may be below 0."""
    letters = address.rstrip("0123456789")
    return int(address[len(letters) :]) - grid.first_row, column_number(letters) - grid.first_column


def _is_figure(cell: CellValue) -> bool:
    """A number or a day, also as text in a csv file."""
    if isinstance(cell, str):
        return any(letter.isdecimal() for letter in cell) and not any(letter.isalpha() for letter in cell)
    return isinstance(cell, int | float | date) and not isinstance(cell, bool)
