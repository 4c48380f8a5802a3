"""Workbooks and csv files to grids of raw cells; the only reader of workbooks."""

import hashlib
import io
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from reconcile.sheets import archive, csv_text
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.words import nearest

CellValue = str | float | bool | date | datetime | time | timedelta | None
"""What a cell may hold. Numbers are floats (an old xls may give int); a blank cell or empty text is None."""

WORKBOOK_SUFFIXES = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
CSV_SUFFIXES = (".csv", ".tsv")
LOCK_PREFIXES = ("~$", ".~lock.")

_ZIP_MAGIC = (b"PK\x03\x04", b"PK\x05\x06")
_OLE_MAGIC = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED_STREAM = "EncryptedPackage".encode("utf-16-le")
_XLS_STREAMS = tuple(name.encode("utf-16-le") for name in ("Workbook", "Book"))


def column_letters(number: int) -> str:
    """A column's letters: A for 1, AA for 27."""
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


@dataclass(frozen=True, slots=True)
class Grid:
    """The cells of a sheet as rows of equal width; the first stands at first_row, first_column (from 1)."""

    file: str
    sheet: str
    rows: list[list[CellValue]] = field(repr=False)
    first_row: int = 1
    first_column: int = 1
    is_text: bool = False
    """It comes from a csv file: a row wider than the headings is a stray delimiter, not a remark."""
    hides: bool = False
    """Some cells may look empty here that hold an error value or a formula without a result."""
    problems: tuple[Problem, ...] = ()

    def letters(self, column: int) -> str:
        """The letters of the column with this index in ``rows``."""
        return column_letters(self.first_column + column)

    def address(self, row: int, column: int) -> str:
        """The true address of a cell by its indices in ``rows``: ``C14``."""
        return f"{self.letters(column)}{self.first_row + row}"


class Book:
    """An opened workbook, csv file or folder of csv files; its sheets are read when they are asked for."""

    def __init__(
        self,
        path: Path,
        digests: tuple[tuple[str, str], ...],
        sheet_names: list[str],
        read_sheet: Callable[[str], Grid],
        packed: ZipFile | None = None,
    ) -> None:
        self.path = path
        self.file = path.name
        self.digests = digests
        """Each file's name and the SHA-256 of its bytes: one, or all of a folder."""
        self.sheet_names = sheet_names
        self.packed = packed
        """The archive behind an xlsx or xlsm workbook."""
        self.problems: list[Problem] = []
        """What was remarked while the sheets asked for so far were read."""
        self._read_sheet = read_sheet
        self._grids: dict[str, Grid] = {}

    @property
    def sha256(self) -> str | list[tuple[str, str]]:
        """The SHA-256 of the file's bytes; for a folder, those of its files with their names."""
        return list(self.digests) if self.path.is_dir() else self.digests[0][1]

    @property
    def is_single_csv(self) -> bool:
        """One csv file, whose name says nothing of what is in it."""
        return self.path.suffix.lower() in CSV_SUFFIXES and self.path.is_file()

    def grid(self, name: str) -> Grid:
        """The cells of one of ``sheet_names``. Raises Unusable: file-broken, file-too-large, csv-quote ..."""
        if name not in self._grids:
            self._grids[name] = self._read_sheet(name)
            self.problems.extend(self._grids[name].problems)
        return self._grids[name]


def open_book(path: str | Path) -> Book:
    """Opens a workbook, a csv file or a folder of csv files.

    Raises Unusable with one problem that says why the file cannot be used: file-missing, file-kind,
    file-protected, file-broken, file-is-lock, file-unreadable, file-too-large or file-suspect.
    """
    path = Path(path)
    if path.name.startswith(LOCK_PREFIXES):
        raise _unusable("file-is-lock", path, f"{path.name} only marks that a workbook is open.")
    try:
        if path.is_dir():
            return _open_folder(path)
        suffix = path.suffix.lower()
        if path.is_file() and suffix not in WORKBOOK_SUFFIXES + CSV_SUFFIXES:
            known = ", ".join(WORKBOOK_SUFFIXES + CSV_SUFFIXES)
            raise _unusable("file-kind", path, f"{path.name} is none of {known}.")
        data = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError) as why:
        raise _missing(path) from why
    except OSError as why:
        raise _unusable("file-unreadable", path, f"{path.name} may not be read ({why.strerror}).") from why
    return _open_csv(path, data) if suffix in CSV_SUFFIXES else _open_workbook(path, data)


def _unusable(code: str, path: Path, says: str, do: str = "") -> Unusable:
    return Unusable(problem(code, Place(path.name), says, do=do))


def _missing(path: Path) -> Unusable:
    """The problem of a file that is not there, with those beside it whose names are alike."""
    there = [each.name for each in path.parent.iterdir()] if path.parent.is_dir() else []
    like = nearest(path.name, there)
    hint = f" There is {' and '.join(like)}." if like else ""
    return _unusable("file-missing", path, f"{path.name} is not there.{hint}")


def _digest(path: Path, data: bytes) -> tuple[tuple[str, str], ...]:
    return ((path.name, hashlib.sha256(data).hexdigest()),)


# csv


def _open_csv(path: Path, data: bytes) -> Book:
    csv_text.refuse_other_kinds(data, path.name)
    return Book(path, _digest(path, data), [path.stem], lambda sheet: _csv_grid(path.name, sheet, data))


def _open_folder(path: Path) -> Book:
    """A folder as a book: each csv file in it is a sheet named after the file's stem."""
    files = sorted(
        each
        for each in path.iterdir()
        if each.suffix.lower() in CSV_SUFFIXES and not each.name.startswith((*LOCK_PREFIXES, "."))
    )
    if not files:
        raise _unusable("file-missing", path, f"The folder {path.name} holds no csv file.")
    contents = {each.stem: (each, each.read_bytes()) for each in files}
    digests = tuple(digest for each, data in contents.values() for digest in _digest(each, data))

    def read(sheet: str) -> Grid:
        file, data = contents[sheet]
        return _csv_grid(file.name, sheet, data)

    return Book(path, digests, list(contents), read)


def _csv_grid(file: str, sheet: str, data: bytes) -> Grid:
    csv_text.refuse_other_kinds(data, file)
    rows, problems = csv_text.read_csv(data, file)
    return Grid(file, sheet, rows, is_text=True, problems=problems)


# workbooks


def _open_workbook(path: Path, data: bytes) -> Book:
    packed = _recognise(path, data)
    book = _by_fast_reader(path, lambda calamine: calamine.CalamineWorkbook.from_filelike(io.BytesIO(data)))
    xml = packed if packed is not None and "xl/workbook.xml" in packed.namelist() else None
    return Book(path, _digest(path, data), list(book.sheet_names), _sheet_reader(path, book, xml), xml)


def _recognise(path: Path, data: bytes) -> ZipFile | None:
    """The archive of a zipped workbook, None for an old one; refuses everything else by its first bytes."""
    if data.startswith(_ZIP_MAGIC):
        return archive.open_archive(data, path.name)
    if not data.startswith(_OLE_MAGIC):
        looks = csv_text.looks_like(data)
        raise _unusable("file-kind", path, f"{path.name} is not a workbook; it {looks}.")
    if _ENCRYPTED_STREAM in data or _asks_for_password(data):
        raise _unusable("file-protected", path, f"{path.name} asks for a password to open.")
    if not any(stream in data for stream in _XLS_STREAMS):
        raise _unusable("file-kind", path, f"{path.name} is not a workbook, or it is cut short.")
    return None


def _asks_for_password(data: bytes) -> bool:
    """Whether an old workbook is encrypted: a FILEPASS record soon after the first BOF ([MS-XLS] 2.4.117)."""
    at = data.find(b"\x09\x08\x10\x00\x00\x06")
    for _ in range(40):
        if at < 0 or at + 4 > len(data):
            return False
        kind, size = (
            int.from_bytes(data[at : at + 2], "little"),
            int.from_bytes(data[at + 2 : at + 4], "little"),
        )
        if kind == 0x2F:
            return True
        at += 4 + size
    return False


def _by_fast_reader(path: Path, work: Callable[[Any], Any]) -> Any:
    """Runs ``work`` with the fast reader's module; whatever it raises becomes a problem."""
    import python_calamine

    try:
        return work(python_calamine)
    except python_calamine.PasswordError as why:
        raise _unusable("file-protected", path, f"{path.name} asks for a password to open.") from why
    except (python_calamine.CalamineError, OSError, ValueError, OverflowError, MemoryError) as why:
        raise _unusable("file-broken", path, f"{path.name} is damaged or cut short.") from why
    except BaseException as why:
        # A panic of the reader is no Exception; an interrupt is none either, but is not ours to hold.
        if isinstance(why, Exception) or type(why).__name__ != "PanicException":
            raise
        raise _unusable("file-broken", path, f"{path.name} is damaged; its reader gave up.") from why


def _sheet_reader(path: Path, book: Any, xml: ZipFile | None) -> Callable[[str], Grid]:
    """Reads a sheet of a workbook when it is asked for."""

    def read(name: str) -> Grid:
        hides = archive.scan_sheet(xml, path.name, name).hides if xml else False
        sheet = _by_fast_reader(path, lambda _: book.get_sheet_by_name(name))
        if sheet.start is None or sheet.end is None:
            return Grid(path.name, name, [], hides=hides)
        if sheet.height * sheet.width > archive.CELL_LIMIT:
            raise Unusable(archive.too_many_cells(path.name, name, sheet.height, sheet.width))
        rows = _by_fast_reader(path, lambda _: sheet.to_python())
        rows = [[None if cell == "" else cell for cell in row] if "" in row else row for row in rows]
        row, column = sheet.start
        return Grid(path.name, name, rows, row + 1, column + 1, hides=hides)

    return read
