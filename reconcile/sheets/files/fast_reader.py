"""The one user of the fast reader of workbooks: sheets as rows; whatever it does wrong is one exception."""

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from types import ModuleType
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from python_calamine import CalamineSheet, CalamineWorkbook

T = TypeVar("T")


CellValue = str | float | bool | date | datetime | time | timedelta | None
"""What a cell may hold. Numbers are floats (an old xls may give int); a blank cell or empty text is None."""

BATCH = 1000
"""Rows handed on at a time."""


TOO_FAR = "asks for more memory than its limits allow: cells lie far apart, or are repeated very often"
UNREAD = "is damaged, cut short, or laid out in a way that cannot be read"


class ReaderFailed(Exception):
    """The fast reader did not read it: a code of the catalogue, and the end of a sentence about the file."""

    def __init__(self, code: str, says: str) -> None:
        super().__init__(code, says)
        self.code, self.says = code, says


class TooManyCells(Exception):
    """A sheet spans more cells than it may: its rows and columns."""

    def __init__(self, rows: int, columns: int) -> None:
        super().__init__(rows, columns)
        self.rows, self.columns = rows, columns


@dataclass(frozen=True, slots=True)
class Extent:
    """Where the first filled cell of a sheet stands, from 1, and how far the cells reach from there."""

    first_row: int
    first_column: int


class FastBook:
    """A workbook opened by the fast reader in this process. Raises ReaderFailed.

    Of a file that it opens by its path, by its ending, the fast reader says more plainly what is wrong.
    """

    def __init__(self, source: bytes | str) -> None:
        self._book: CalamineWorkbook = _guarded(lambda reader: _opened(reader, source))
        self.sheets: list[tuple[str, bool]] = [
            (sheet.name, str(sheet.typ).endswith("WorkSheet")) for sheet in self._book.sheets_metadata
        ]
        """Each sheet's name, and whether it has cells: a chart on a sheet of its own has none."""

    def read(self, name: str, most_cells: int) -> tuple[Extent, list[list[CellValue]]]:
        """All rows of a sheet; raises TooManyCells as well."""
        sheet, extent = self._sheet(name, most_cells)
        if sheet is None:
            return extent, []
        return extent, _without_empty_texts(_guarded(lambda _: sheet.to_python()))

    def batches(self, name: str, most_cells: int) -> tuple[Extent, Iterator[list[list[CellValue]]]]:
        """The rows of a sheet in batches, so that they need not all be there at once."""
        sheet, extent = self._sheet(name, most_cells)
        return extent, iter(()) if sheet is None else _batches(sheet)

    def _sheet(self, name: str, most_cells: int) -> "tuple[CalamineSheet | None, Extent]":
        sheet = _guarded(lambda _: self._book.get_sheet_by_name(name))
        if sheet.start is None or sheet.end is None:
            return None, Extent(1, 1)
        if sheet.height * sheet.width > most_cells:
            raise TooManyCells(sheet.height, sheet.width)
        row, column = sheet.start
        return sheet, Extent(row + 1, column + 1)


def _opened(reader: ModuleType, source: bytes | str) -> "CalamineWorkbook":
    opener: type[CalamineWorkbook] = reader.CalamineWorkbook
    return opener.from_path(source) if isinstance(source, str) else opener.from_filelike(io.BytesIO(source))


def _without_empty_texts(rows: Sequence[Sequence[CellValue]]) -> list[list[CellValue]]:
    return [[None if cell == "" else cell for cell in row] if "" in row else list(row) for row in rows]


def _batches(sheet: "CalamineSheet") -> Iterator[list[list[CellValue]]]:
    rows = _guarded(lambda _: sheet.iter_rows())
    above = sheet.start[0] if sheet.start else 0
    # The reader's own walk begins at the top of the sheet, not at the first filled row.
    _guarded(lambda _: [next(rows) for _ in range(above)])
    while batch := _guarded(lambda _: [row for _, row in zip(range(BATCH), rows, strict=False)]):
        yield _without_empty_texts(batch)


def _guarded(work: Callable[[ModuleType], T]) -> T:
    """Runs ``work`` with the fast reader's module; whatever it raises becomes ReaderFailed."""
    import python_calamine

    try:
        return work(python_calamine)
    except python_calamine.PasswordError as why:
        raise ReaderFailed("file-protected", "asks for a password to open") from why
    except MemoryError as why:
        raise ReaderFailed("file-too-large", TOO_FAR) from why
    except (python_calamine.CalamineError, OSError, ValueError, OverflowError) as why:
        if "limit exceeded" in str(why):
            raise ReaderFailed("file-too-large", TOO_FAR) from why
        raise ReaderFailed("file-broken", UNREAD) from why
    except BaseException as why:
        # A panic of the reader is no Exception; an interrupt is none either, but is not ours to hold.
        if isinstance(why, Exception) or type(why).__name__ != "PanicException":
            raise
        raise ReaderFailed("file-broken", "is damaged; its reader gave up") from why
