"""Workbooks and csv files to grids of raw cells; the only reader of workbooks."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING
from zipfile import ZipFile

from reconcile.sheets.files import archive, csv_text, extents, other_kinds, package
from reconcile.sheets.files.archive import column_letters
from reconcile.sheets.files.fast_reader import CellValue, Extent, FastBook, ReaderFailed, TooManyCells
from reconcile.sheets.files.plain import TooLong, read_plain
from reconcile.sheets.files.texts_xml import SharedTexts, shared_texts
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import DEFAULT_LIMITS, NOTHING_DECLARED, CsvForm, Limits
from reconcile.values.words import nearest

if TYPE_CHECKING:
    from reconcile.sheets.files.child_reader import ChildBook

__all__ = ["CSV_SUFFIXES", "Book", "CellValue", "Grid", "column_letters", "open_book"]

WORKBOOK_SUFFIXES = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
CSV_SUFFIXES = (".csv", ".tsv")
XLS = "xls"
SUFFIXES = {
    archive.XLSX: (".xlsx", ".xlsm"),
    archive.XLSB: (".xlsb",),
    archive.ODS: (".ods",),
    XLS: (".xls",),
}
"""What the name of each kind of workbook ends in."""
NOTHING_SEEN = extents.SheetScan(hides=False, marked=False, common=True)
LOCK_PREFIXES = ("~$", ".~lock.")

_ZIP_MAGIC = (b"PK\x03\x04", b"PK\x05\x06")
_OLE_MAGIC = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_FIRST_RECORDS = (b"\x09\x08\x10\x00\x00\x06", b"\x09\x08\x08\x00\x00\x05")
_ENCRYPTED_STREAM = "EncryptedPackage".encode("utf-16-le")
_XLS_STREAMS = tuple(name.encode("utf-16-le") for name in ("Workbook", "Book"))


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
    marked: bool = False
    """Some rows or columns may be hidden, or some cells merged."""
    problems: tuple[Problem, ...] = ()
    lengths: list[int] = field(default_factory=list, repr=False)
    """Of a csv file: how many cells each row was written with."""
    lines: list[int] = field(default_factory=list, repr=False)
    """Of a csv file: the line on which each row begins."""

    def written(self, row: int) -> int:
        """How many cells the row with this index was written with; all of them, where that is not known."""
        return self.lengths[row] if row < len(self.lengths) else len(self.rows[row])

    def line(self, row: int) -> int:
        """The line of the file on which the row with this index begins; its number where there are none."""
        return self.lines[row] if row < len(self.lines) else self.first_row + row

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
        self.read_as: dict[str, str] = {}
        """How each csv file read so far was read, by its name: encoding, delimiter, quotes."""
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

    def glimpse(self, name: str) -> Grid:
        """The cells of a sheet that nothing is read of: nothing is remarked on it. Raises as ``grid``."""
        return self._grids[name] if name in self._grids else self._read_sheet(name)


def open_book(
    path: str | Path, limits: Limits = DEFAULT_LIMITS, csv_form: CsvForm = NOTHING_DECLARED
) -> Book:
    """Opens a workbook, a csv file or a folder of csv files.

    ``csv_form`` declares what would else be found out of each csv file. Raises Unusable with one problem
    that says why the file cannot be used: file-missing, file-kind, file-protected, file-broken,
    file-is-lock, file-unreadable, file-too-large, file-suspect or sheet-missing.
    """
    path = Path(path)
    if path.name.startswith(LOCK_PREFIXES):
        raise _unusable("file-is-lock", path, f"{path.name} only marks that a workbook is open.")
    try:
        if path.is_dir():
            return _open_folder(path, limits, csv_form)
        if path.is_file() and path.suffix.lower() not in WORKBOOK_SUFFIXES + CSV_SUFFIXES:
            known = ", ".join(WORKBOOK_SUFFIXES + CSV_SUFFIXES)
            raise _unusable("file-kind", path, f"{path.name} is none of {known}.")
        data = _bytes_of(path, limits)
    except (FileNotFoundError, NotADirectoryError) as why:
        raise _missing(path) from why
    except OSError as why:
        raise _unusable("file-unreadable", path, f"{path.name} may not be read ({why.strerror}).") from why
    return open_bytes(path, data, limits, csv_form)


def open_bytes(
    path: Path, data: bytes, limits: Limits = DEFAULT_LIMITS, csv_form: CsvForm = NOTHING_DECLARED
) -> Book:
    """The bytes of a workbook or csv file as ``open_book`` would read them under that name.

    Whoever is about to put a workbook in its place sees by this what the next run will read.
    """
    if path.suffix.lower() in CSV_SUFFIXES:
        return _open_csv(path, data, limits, csv_form)
    return _open_workbook(path, data, limits)


def _bytes_of(path: Path, limits: Limits) -> bytes:
    """The bytes of a plain file, never more than the limit. Raises OSError as well as Unusable."""
    try:
        return read_plain(path, limits.expanded)
    except TooLong as why:
        says = f"{path.name} holds more than the limit of {limits.expanded_mb} MB."
        raise _unusable("file-too-large", path, says) from why


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


def _open_csv(path: Path, data: bytes, limits: Limits, form: CsvForm) -> Book:
    csv_text.refuse_other_kinds(data, path.name)
    return _csv_book(path, {path.stem: (path, data)}, limits, form)


def _open_folder(path: Path, limits: Limits, form: CsvForm) -> Book:
    """A folder as a book: each csv file in it is a sheet named after the file's stem."""
    files = sorted(
        each
        for each in path.iterdir()
        if each.suffix.lower() in CSV_SUFFIXES and not each.name.startswith((*LOCK_PREFIXES, "."))
    )
    if not files:
        raise _unusable("file-missing", path, f"The folder {path.name} holds no csv file.")
    return _csv_book(path, {file.stem: (file, _bytes_of(file, limits)) for file in files}, limits, form)


def _csv_book(path: Path, contents: dict[str, tuple[Path, bytes]], limits: Limits, form: CsvForm) -> Book:
    digests = tuple(digest for each, data in contents.values() for digest in _digest(each, data))

    def read(sheet: str) -> Grid:
        file, data = contents[sheet]
        csv_text.refuse_other_kinds(data, file.name)
        found = csv_text.read_csv(data, file.name, form, limits)
        book.read_as[file.name] = found.read_as
        return Grid(
            file.name,
            sheet,
            found.rows,
            is_text=True,
            problems=found.problems,
            lengths=found.lengths,
            lines=found.lines,
        )

    book = Book(path, digests, list(contents), read)
    return book


# workbooks


def _open_workbook(path: Path, data: bytes, limits: Limits) -> Book:
    contents, digests = _recognise(path, data, limits), _digest(path, data)
    kind = contents.kind if contents else XLS
    _refuse_suffix(path, kind)
    data = contents.data if contents else data
    packed = contents.packed if contents and kind == archive.XLSX else None
    texts = shared_texts(packed, path.name, limits) if packed else SharedTexts()
    # Only an xlsx shows beforehand how far its sheets reach.
    readable = (package.as_usual(packed) if packed else None) or data
    try:
        source = _opened(path, readable, limits, in_child=kind != archive.XLSX)
    except Unusable as why:
        raise _what_it_is(path, contents, data) or why from why
    with_cells = [name for name, has_cells in source.sheets if has_cells]
    if not with_cells:
        what = "only sheets without cells, such as charts" if source.sheets else "no sheet at all"
        do = "Give the workbook that holds the table."
        raise _unusable("sheet-missing", path, f"{path.name} holds {what}.", do)
    reader = _SheetReader(path, readable, source, packed, limits, texts.longest)
    book = Book(path, digests, with_cells, reader.grid, packed)
    book.problems += texts.miscounted(path.name)
    book.problems += archive.unlisted_sheets(packed, path.name) if packed else []
    book.problems += _links(path, contents.links if contents else ())
    return book


def _recognise(path: Path, data: bytes, limits: Limits) -> archive.Contents | None:
    """The archive of a zipped workbook, None for an old one; refuses everything else by its first bytes."""
    if data.startswith(_ZIP_MAGIC):
        return archive.open_archive(data, path.name, limits)
    if not data.startswith(_OLE_MAGIC):
        looks = csv_text.looks_like(data)
        raise _unusable("file-kind", path, f"{path.name} is not a workbook; it {looks}.")
    if _ENCRYPTED_STREAM in data or _asks_for_password(data):
        raise _unusable("file-protected", path, f"{path.name} asks for a password to open.")
    if not any(stream in data for stream in _XLS_STREAMS):
        raise _unusable("file-kind", path, f"{path.name} is not a workbook, or it is cut short.")
    return None


def _what_it_is(path: Path, contents: archive.Contents | None, data: bytes) -> Unusable | None:
    """Why a workbook that is not damaged could not be opened; None where that cannot be told."""
    if contents is None:
        what = other_kinds.kind_of_old_file(data)
        return _unusable("file-kind", path, f"{path.name} is {what}.", other_kinds.SAVE) if what else None
    if contents.kind == archive.XLSB and other_kinds.is_sound_binary(contents.packed):
        says = f"{path.name} is an xlsb workbook that is laid out in a way its reader does not know."
        return _unusable("file-kind", path, says, other_kinds.SAVE)
    if contents.kind == archive.XLSX and (sheets := other_kinds.macro_sheets(contents.packed)):
        says = f"{path.name} holds {sheets}, beside which its tables cannot be read."
        return _unusable("file-kind", path, says, "Save a copy as xlsx, which leaves such sheets out.")
    return None


def _refuse_suffix(path: Path, kind: str) -> None:
    """Refuses a workbook whose name promises another kind: whoever named it may have meant another file."""
    endings = SUFFIXES[kind]
    if path.suffix.lower() not in endings:
        says = f"{path.name} is by its content a workbook of another kind, {kind}."
        do = f"Let its name end in {' or '.join(endings)}, or save it as xlsx from your spreadsheet program."
        raise _unusable("file-kind", path, says, do)


def _asks_for_password(data: bytes) -> bool:
    """Whether an old workbook is encrypted: a FILEPASS record soon after the first BOF ([MS-XLS] 2.4.117)."""
    at = min((at for first in _FIRST_RECORDS if (at := data.find(first)) >= 0), default=-1)
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


def _links(path: Path, links: tuple[str, ...]) -> list[Problem]:
    """The notice that cells take values from other files; named are those whose names are known."""
    if not links:
        return []
    named = " and ".join(link for link in links if link)
    says = f"Cells of {path.name} take values from other files{f': {named}' if named else ''}."
    return [problem("links-outside", Place(path.name), says)]


def _opened(path: Path, data: bytes, limits: Limits, *, in_child: bool) -> "FastBook | ChildBook":
    try:
        if not in_child:
            return FastBook(data)
        # What starts a process takes as long to import as a small workbook takes to read.
        from reconcile.sheets.files.child_reader import ChildBook

        return ChildBook(data, path.suffix.lower(), limits)
    except ReaderFailed as why:
        raise _unusable(why.code, path, f"{path.name} {why.says}.") from why


class _SheetReader:
    """Reads the sheets of a workbook as they are asked for."""

    def __init__(  # noqa: PLR0913, PLR0917  (a file, all that is known of it, and what may be read of it)
        self,
        path: Path,
        data: bytes,
        source: "FastBook | ChildBook",
        packed: ZipFile | None,
        limits: Limits,
        longest_text: int,
    ) -> None:
        self._path, self._data, self._source = path, data, source
        self._packed, self._limits, self._longest_text = packed, limits, longest_text

    def grid(self, name: str) -> Grid:
        """The cells of a sheet. Raises Unusable: file-broken, file-too-large, file-suspect."""
        scan = self._look_first(name) if self._packed else NOTHING_SEEN
        extent, rows = self._read(name)
        row, column = extent.first_row, extent.first_column
        return Grid(self._path.name, name, rows, row, column, hides=scan.hides, marked=scan.marked)

    def _look_first(self, name: str) -> extents.SheetScan:
        """A look over the sheet; one in which something may have been missed goes to a child."""
        assert self._packed is not None
        scan = extents.scan_sheet(self._packed, self._path.name, name, self._limits, self._longest_text)
        if not scan.common and isinstance(self._source, FastBook):
            self._source = _opened(self._path, self._data, self._limits, in_child=True)
        return scan

    def _read(self, name: str) -> tuple[Extent, list[list[CellValue]]]:
        try:
            return self._source.read(name, self._limits.cells)
        except TooManyCells as why:
            span = (why.rows, why.columns)
            raise Unusable(extents.too_many_cells(self._path.name, name, span, self._limits)) from why
        except ReaderFailed as why:
            self._explain(name)
            raise _unusable(why.code, self._path, f"{self._path.name} {why.says}.") from why

    def _explain(self, name: str) -> None:
        """Raises Unusable with the place in the sheet's XML for which it cannot be read, if there is one."""
        if self._packed is not None:
            for fault in extents.faults_of(self._packed, self._path.name, name, self._limits):
                raise Unusable(fault)
