"""What a zipped workbook holds, looked at before the fast reader sees it.

The fast reader makes a table that spans every filled cell of a sheet. Two cells far apart in a file of a
few hundred bytes would make it ask for more memory than there is, so the spans are looked at first.
"""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree as Xml

from reconcile.values.problem import Place, Problem, Unusable, problem

EXPANDED_LIMIT = 200_000_000
"""Most bytes that the parts of a workbook may expand to."""
CELL_LIMIT = 2_000_000
"""Most cells, blank ones between included, that a sheet may span."""
WORTH_A_LOOK = 4_000_000
"""Cells spanned, by a generous estimate, from which on every filled cell of the sheet is looked at."""

LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
NEAR_ROWS, NEAR_COLUMNS = 99_999, 26
"""Cells with one letter and five digits need no look: a whole sheet of them is small enough."""

CHUNK = 1 << 20
TAGS_KEPT = 4
"""Whether a cell is blank, or its formula without a result, is told by the tags that follow."""
LOOKED_AT = 1 << 12
LARGE, MOST_PACKED, LEAST_CELL = 8_000_000, 60, 4
"""A sheet of fewer bytes than LARGE is looked over whole; one whose XML shrinks to less than one part in
MOST_PACKED, or that has under LEAST_CELL bytes for each cell it states, is as well."""
WORKBOOK_PARTS = ("xl/workbook.xml", "xl/workbook.bin", "content.xml")

_FAR = re.compile(rb' r="(?:([A-Za-z]{2,})(\d+)|[A-Za-z]?(\d{6,}))')
_ODD = re.compile(rb'<c(?! r=")[\s/>]')
"""A cell that does not begin with its place, as every common program writes it."""
_PREFIXED = re.compile(rb"<\w+:(?:worksheet|sheetData)\b")
_DIMENSION = re.compile(rb'<dimension ref="(?:[A-Z]+\d+:)?([A-Z]+)(\d+)"')
_FILLED = re.compile(
    rb"<(?:\w+:)?c\b[^<>]*?\sr\s*=\s*[\"']([A-Za-z]+)(\d+)[\"'][^<>]*(?<!/)>(?!</)"
    rb"|<(?:\w+:)?row\b[^<>]*?\sr\s*=\s*[\"'](\d+)[\"'][^<>]*(?<!/)>\s*<(?:\w+:)?c(?![^<>]*\sr\s*=)"
)
_BARE = re.compile(rb"<(?:\w+:)?c(?![^<>]*\sr\s*=)[\s/>]")
_UNCACHED = re.compile(rb"(?:/f|<f[^<>]*/)>\s*(?:<v\s*/>|<v>\s*</v>)?\s*</c>")


@dataclass(frozen=True, slots=True)
class SheetScan:
    """What a look over a sheet's XML says: whether some cells seem empty to the fast reader but are not."""

    hides: bool


def column_number(letters: str) -> int:
    """The number of a column: 1 for A, 27 for AA."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


def open_archive(data: bytes, file: str) -> zipfile.ZipFile:
    """The workbook's archive, its declared sizes and its parts' prologues found harmless.

    Raises Unusable: file-broken, file-kind, file-protected, file-too-large, file-suspect.
    """
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
        _refuse_by_directory(archive, file)
        for part in archive.infolist():
            if part.filename.endswith((".xml", ".rels")):
                _refuse_prologue(archive, part, file)
    except (
        zipfile.BadZipFile,
        zipfile.LargeZipFile,
        EOFError,
        OSError,
        ValueError,
        NotImplementedError,
    ) as why:
        raise Unusable(_broken(file)) from why
    except RuntimeError as why:  # how zipfile says that a part asks for a password
        raise Unusable(_protected(file)) from why
    return archive


def scan_sheet(archive: zipfile.ZipFile, file: str, sheet: str) -> SheetScan:
    """Looks over the XML of a sheet before the fast reader does.

    Raises Unusable: file-too-large for a sheet whose filled cells span too much, file-suspect for a
    document type declaration, file-broken for a part that does not expand.
    """
    hides = False
    try:
        for part in _parts_of(archive, sheet):
            at_most, part_hides = _rough_span(archive, part)
            if at_most > WORTH_A_LOOK:
                rows, columns = _true_span(archive, part)
                if rows * columns > CELL_LIMIT:
                    raise Unusable(too_many_cells(file, sheet, rows, columns))
            hides = hides or part_hides
    except (zipfile.BadZipFile, EOFError, OSError, ValueError, NotImplementedError) as why:
        raise Unusable(_broken(file)) from why
    return SheetScan(hides)


def sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """The part of the archive that holds each sheet, by the sheet's name; empty where it cannot be told."""
    try:
        book = Xml.fromstring(archive.read("xl/workbook.xml"))
        links = Xml.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    except (KeyError, Xml.ParseError):
        return {}
    targets = {link.get("Id", ""): link.get("Target", "") for link in links}
    parts: dict[str, str] = {}
    for sheet in book.iter():
        if _local(sheet.tag) == "sheet":
            ident = next((value for key, value in sheet.items() if _local(key) == "id"), "")
            target = targets.get(ident, "")
            parts[sheet.get("name", "")] = target[1:] if target.startswith("/") else f"xl/{target}"
    return parts


def too_many_cells(file: str, sheet: str, rows: int, columns: int) -> Problem:
    """The problem of a sheet that spans more cells than the limit."""
    return problem(
        "file-too-large",
        Place(file, sheet),
        f"The sheet spans {rows} rows and {columns} columns; the limit is {CELL_LIMIT} cells.",
        do="Delete the cells that lie far from the table, or split the sheet.",
    )


def _local(name: str) -> str:
    return name.rsplit("}", 1)[-1]


def _broken(file: str) -> Problem:
    return problem("file-broken", Place(file), f"{file} is damaged or cut short.")


def _protected(file: str) -> Problem:
    return problem("file-protected", Place(file), f"{file} asks for a password to open.")


def _refuse_by_directory(archive: zipfile.ZipFile, file: str) -> None:
    """Refuses what the archive's own list of parts already gives away."""
    parts = archive.infolist()
    if not any(part.filename in WORKBOOK_PARTS for part in parts):
        says = f"{file} is an archive, but there is no workbook in it."
        raise Unusable(problem("file-kind", Place(file), says))
    if any(part.flag_bits & 1 for part in parts):
        raise Unusable(_protected(file))
    expanded = sum(part.file_size for part in parts)
    if expanded > EXPANDED_LIMIT:
        limit = f"the limit is {EXPANDED_LIMIT // 1_000_000} MB"
        says = f"{file} expands to {expanded // 1_000_000} MB; {limit}."
        do = "Remove what does not belong in it: pictures, formatted blank rows, old sheets."
        raise Unusable(problem("file-too-large", Place(file), says, do=do))


def _refuse_prologue(archive: zipfile.ZipFile, part: zipfile.ZipInfo, file: str) -> None:
    """Reads a part through (a sheet only begins here; its scan goes on later) and refuses a DOCTYPE."""
    whole = "worksheets/" not in part.filename
    for chunk in _chunks(archive, part.filename):
        _refuse_doctype(chunk, file)
        if not whole:
            return


def _refuse_doctype(chunk: bytes, file: str) -> None:
    if b"<!DOCTYPE" in chunk or b"<\0!\0D\0O\0C\0T\0Y\0P\0E" in chunk:
        says = f"{file} holds a document type declaration."
        raise Unusable(problem("file-suspect", Place(file), says))


def _chunks(archive: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    """The part's bytes, cut before a tag so that no tag and its neighbours are torn apart."""
    rest = b""
    with archive.open(part) as stream:
        while more := stream.read(CHUNK):
            whole = rest + more if rest else more
            cut = len(whole)
            for _ in range(TAGS_KEPT):
                cut = whole.rfind(b"<", 0, max(cut, 0))
            if cut > 0:
                yield whole[:cut]
            rest = whole[max(cut, 0) :]
    yield rest


def _parts_of(archive: zipfile.ZipFile, sheet: str) -> list[str]:
    """The sheet's part; every worksheet where the sheet's own cannot be told."""
    part = sheet_parts(archive).get(sheet)
    names = archive.namelist()
    if part in names:
        return [str(part)]
    return [name for name in names if "worksheets/" in name and name.endswith(".xml")]


def _rough_span(archive: zipfile.ZipFile, part: str) -> tuple[int, bool]:
    """Cells that the sheet surely does not span more than, and whether it hides some.

    Looking only for far cells costs a tenth of looking at every cell, and even that is spared where a
    large sheet states a fitting size. A sheet written in an uncommon way gets the greatest span there is,
    so that every cell of it is looked at.
    """
    rows, columns, hides = NEAR_ROWS, NEAR_COLUMNS, False
    stated = _fits_its_size(archive, part)
    for chunk in _chunks(archive, part):
        hides = hides or b't="e"' in chunk or (b"<f" in chunk and _UNCACHED.search(chunk) is not None)
        if stated:
            continue
        if _ODD.search(chunk) or _PREFIXED.search(chunk, 0, LOOKED_AT):
            rows, columns, hides = LAST_ROW, LAST_COLUMN, True
        for letters, row, lone_row in _FAR.findall(chunk):
            rows = max(rows, _row_number(row or lone_row))
            columns = max(columns, _far_column(letters))
    return rows * columns, hides


def _fits_its_size(archive: zipfile.ZipFile, part: str) -> bool:
    """Whether a large sheet states a size that its XML can hold, in cells that begin with their place."""
    info = archive.getinfo(part)
    if info.file_size < LARGE or info.file_size > MOST_PACKED * info.compress_size:
        return False
    with archive.open(part) as stream:
        head = stream.read(4 * LOOKED_AT)
    stated = _DIMENSION.search(head)
    if stated is None or b'<c r="' not in head or _ODD.search(head):
        return False
    columns, rows = _far_column(stated[1]), _row_number(stated[2])
    return rows * columns <= WORTH_A_LOOK and rows * columns * LEAST_CELL <= info.file_size


def _row_number(digits: bytes) -> int:
    """A row's number; just past the last row for one with more digits than any row has."""
    return int(digits) if len(digits) < 8 else LAST_ROW + 1


def _far_column(letters: bytes) -> int:
    """A column's number; just past the last column for one with more letters than any column has."""
    return column_number(letters.decode()) if len(letters) < 4 else LAST_COLUMN + 1


def _true_span(archive: zipfile.ZipFile, part: str) -> tuple[int, int]:
    """Rows and columns from the first to the last filled cell; formatted blank ones count for nothing."""
    rows, columns, bare = [LAST_ROW + 1, 0], [LAST_COLUMN + 1, 0], 0
    for chunk in _chunks(archive, part):
        for letters, digits, bare_row in _FILLED.findall(chunk):
            row, column = _row_number(digits or bare_row), _far_column(letters) if letters else 1
            rows = [min(rows[0], row), max(rows[1], row)]
            columns = [min(columns[0], column), max(columns[1], column)]
        bare += sum(1 for _ in _BARE.finditer(chunk))
    across = max(columns[1] - columns[0] + 1, min(bare, LAST_COLUMN), 0)
    return max(rows[1] - rows[0] + 1, 0), across
