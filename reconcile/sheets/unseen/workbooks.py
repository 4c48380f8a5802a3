"""What the fast reader hides of a workbook, of whatever kind: errors, formulas, hidden rows, merged cells."""

import hashlib
import io
import struct
import zipfile
from collections.abc import Iterator, Set
from contextlib import contextmanager
from xml.etree.ElementTree import ParseError
from xml.parsers.expat import ExpatError
from zipfile import ZipFile

from reconcile.sheets.files.books import CSV_SUFFIXES, Book
from reconcile.sheets.unseen import xlsx as xlsx_truth
from reconcile.sheets.unseen.number_formats import GENERAL, MOST_DIGITS, PLAIN, shown_as
from reconcile.sheets.unseen.sheet_facts import NO_MARKS, ODS_CONTENT, CellFault, Marks, OtherVersion

__all__ = ["CellFault", "Marks", "cell_truth", "hidden_cells", "sheet_marks", "shown_numbers"]

_OLD, _ZIPPED = b"\xd0\xcf\x11\xe0", b"PK"
_UNTOLD = "Its error values, formulas that were never calculated, hidden rows and merged cells cannot be told"
_BROKEN = (LookupError, ValueError, struct.error, ParseError, ExpatError, zipfile.BadZipFile, OSError)


class _Untold(Exception):
    """Why a file does not say."""


def sheet_marks(book: Book, sheet: str) -> Marks:
    """All that a sheet says beside its values; csv says nothing. ``untold`` where it cannot be read."""
    if _is_csv(book):
        return NO_MARKS
    try:
        with _followed():
            return _marks(book, sheet)
    except _Untold as why:
        return Marks(untold=f"{_UNTOLD}: {why}.")


def shown_numbers(book: Book, sheet: str, numbers: dict[str, float]) -> dict[str, str]:
    """How the sheet shows those of the numbers, by address, that it may show otherwise than they are.

    A number in a format that is not worked out here is shown as ``the number format # ?/?``. Nothing for
    csv, and nothing where the file cannot be followed.
    """
    if not numbers or _is_csv(book):
        return {}
    try:
        with _followed():
            return _shown(book, sheet, numbers)
    except _Untold:
        return {}


def hidden_cells(book: Book, sheet: str, wanted: Set[str] | None = None) -> dict[str, CellFault]:
    """The cells of a sheet, by address, that hold an error value or a formula without a result.

    ``wanted`` keeps only those addresses. A file that does not say gives nothing.
    """
    faults = sheet_marks(book, sheet).faults
    return {at: fault for at, fault in faults.items() if wanted is None or at in wanted}


def cell_truth(book: Book, sheet: str, address: str) -> CellFault | None:
    """Why this one cell reads as empty; None where it is really blank, or where it cannot be told."""
    return hidden_cells(book, sheet, {address}).get(address)


@contextmanager
def _followed() -> Iterator[None]:
    """Whatever keeps a file from being followed becomes one reason. Its values were read all the same."""
    try:
        yield
    except OtherVersion as why:
        raise _Untold("the file is of an old version") from why
    except _BROKEN as why:
        raise _Untold("the file is not laid out as is usual") from why


def _marks(book: Book, sheet: str) -> Marks:
    grid = book.grid(sheet)  # it refuses a sheet that reaches too far
    if book.packed is not None:
        return xlsx_truth.read_marks(book.packed, sheet, hides=grid.hides, marked=grid.marked)
    file = _opened(book)
    # The reader of a kind of file is loaded for that kind alone: most workbooks are xlsx.
    if isinstance(file, bytes):
        from reconcile.sheets.unseen import xls as xls_truth

        return xls_truth.read_marks(file, sheet)
    if ODS_CONTENT in file.namelist():
        from reconcile.sheets.unseen import ods as ods_truth

        return ods_truth.read_marks(file, sheet)
    from reconcile.sheets.unseen import xlsb as xlsb_truth

    return xlsb_truth.read_marks(file, sheet)


def _shown(book: Book, sheet: str, numbers: dict[str, float]) -> dict[str, str]:
    wanted = numbers.keys()
    if book.packed is not None:
        formats = xlsx_truth.formats_of(book.packed)
        if all(code in PLAIN for code in formats) and max(map(abs, numbers.values())) < MOST_DIGITS:
            return {}
        styles = xlsx_truth.styles_of(book.packed, sheet, wanted)
        return _worked_out(numbers, {at: _at(formats, style) for at, style in styles.items()})
    file = _opened(book)
    if isinstance(file, bytes):
        from reconcile.sheets.unseen import xls as xls_truth

        return _worked_out(numbers, xls_truth.read_formats(file, sheet, wanted))
    if ODS_CONTENT in file.namelist():
        from reconcile.sheets.unseen import ods as ods_truth

        return ods_truth.read_shown(file, sheet, wanted)
    from reconcile.sheets.unseen import xlsb as xlsb_truth

    return _worked_out(numbers, xlsb_truth.read_formats(file, sheet, wanted))


def _worked_out(numbers: dict[str, float], formats: dict[str, str]) -> dict[str, str]:
    return {at: shown_as(numbers[at], code) or f"the number format {code}" for at, code in formats.items()}


def _at(formats: list[str], style: int) -> str:
    return formats[style] if style < len(formats) else GENERAL


def _is_csv(book: Book) -> bool:
    return book.packed is None and (book.path.is_dir() or book.path.suffix.lower() in CSV_SUFFIXES)


def _opened(book: Book) -> bytes | ZipFile:
    """The archive of an ods or xlsb file, or the records of an xls file: of the bytes first read."""
    data = book.path.read_bytes()
    if hashlib.sha256(data).hexdigest() != book.digests[0][1]:
        raise _Untold("the file was changed while it was read")
    if data.startswith(_OLD):
        from reconcile.sheets.unseen import xls as xls_truth

        return xls_truth.workbook_stream(data)
    if not data.startswith(_ZIPPED):
        raise _Untold("the file is not laid out as is usual")
    return ZipFile(io.BytesIO(data))
