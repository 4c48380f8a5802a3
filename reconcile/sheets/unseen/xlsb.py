"""What the records of an xlsb sheet say beside its values ([MS-XLSB] 2.4).

Each part of the archive is a run of records: kind and size in seven-bit bytes ([MS-XLSB], Record), bytes.
A formula's result stands in its record, and nothing tells a zero that was calculated from one that was not.
"""

import struct
from collections.abc import Iterator, Set
from xml.etree import ElementTree as Xml
from zipfile import ZipFile

from reconcile.sheets.files.books import column_letters
from reconcile.sheets.unseen.number_formats import BUILT_IN, GENERAL
from reconcile.sheets.unseen.sheet_facts import (
    CODES_OF_ERRORS,
    ERROR_VALUE,
    Block,
    CellFault,
    Marks,
    ranges_of,
)

BOOK, LINKS, STYLES = "xl/workbook.bin", "xl/_rels/workbook.bin.rels", "xl/styles.bin"
_ROW, _CELL_ERROR, _FORMULA_TEXT, _FORMULA_NUMBER, _FORMULA_ERROR = 0, 3, 8, 9, 11
_CELLS = range(1, 12)
_FORMAT, _STYLE, _COLUMNS, _SHEET, _MERGED = 44, 47, 60, 156, 176
_CELL_STYLES_BEGIN, _CELL_STYLES_END = 617, 618
_ROW_HIDDEN, _COLUMN_HIDDEN = 0x10, 0x01


def read_marks(packed: ZipFile, sheet: str) -> Marks:
    """All the marks of a sheet. Raises struct.error or KeyError for a file that cannot be followed."""
    faults: dict[str, CellFault] = {}
    unsure: list[str] = []
    hidden_rows: set[int] = set()
    hidden_columns: list[range] = []
    merged: list[Block] = []
    row = 0
    part, sheet_hidden = _part_of(packed, sheet)
    for kind, record in _records(packed.read(part)):
        if kind == _ROW:
            row, flags = struct.unpack_from("<I7xB", record)
            if flags & _ROW_HIDDEN:
                hidden_rows.add(row + 1)
        elif kind in (_CELL_ERROR, _FORMULA_ERROR):
            faults[_address(row, record)] = CellFault(
                ERROR_VALUE, CODES_OF_ERRORS.get(record[8], "an error value")
            )
        elif _gives_nothing(kind, record):
            unsure.append(_address(row, record))
        elif kind == _COLUMNS:
            first, last, flags = struct.unpack_from("<II8xH", record)
            hidden_columns += [range(first + 1, last + 2)] if flags & _COLUMN_HIDDEN else []
        elif kind == _MERGED:
            top, bottom, left, right = struct.unpack_from("<4I", record)
            merged.append(Block(top + 1, left + 1, bottom + 1, right + 1))
    return Marks(
        faults,
        ranges_of(hidden_rows),
        tuple(hidden_columns),
        sheet_hidden,
        tuple(merged),
        unsure=tuple(unsure),
    )


def read_formats(packed: ZipFile, sheet: str, addresses: Set[str]) -> dict[str, str]:
    """The number format of each cell asked for."""
    formats = _formats(packed)
    found = {}
    row = 0
    for kind, record in _records(packed.read(_part_of(packed, sheet)[0])):
        if kind == _ROW:
            row = struct.unpack_from("<I", record)[0]
        elif kind in _CELLS and (at := _address(row, record)) in addresses:
            style = int.from_bytes(record[4:7], "little")
            found[at] = formats[style] if style < len(formats) else GENERAL
    return found


def _gives_nothing(kind: int, record: bytes) -> bool:
    """Whether a formula's result is zero or the empty text."""
    if kind == _FORMULA_NUMBER:
        return bool(struct.unpack_from("<d", record, 8)[0] == 0)
    return kind == _FORMULA_TEXT and record[8:12] == bytes(4)


def _records(data: bytes) -> Iterator[tuple[int, bytes]]:
    at = 0
    while at < len(data):
        kind, at = _seven_bits(data, at, 2)
        size, at = _seven_bits(data, at, 4)
        yield kind, data[at : at + size]
        at += size


def _seven_bits(data: bytes, at: int, most: int) -> tuple[int, int]:
    """A number whose bytes each carry seven bits and a flag that another follows; and what is next."""
    number = 0
    for count in range(most):
        if at >= len(data):
            raise struct.error("a record is cut short")
        byte = data[at]
        number |= (byte & 0x7F) << (7 * count)
        at += 1
        if byte < 0x80:
            break
    return number, at


def _part_of(packed: ZipFile, sheet: str) -> tuple[str, bool]:
    """The part that holds a sheet, and whether the sheet is hidden."""
    targets = {each.get("Id", ""): each.get("Target", "") for each in Xml.fromstring(packed.read(LINKS))}
    for kind, record in _records(packed.read(BOOK)):
        if kind == _SHEET:
            ident, at = _text(record, 8)
            name, _ = _text(record, at)
            if name == sheet:
                target = targets[ident]
                part = target[1:] if target.startswith("/") else f"xl/{target}"
                return part, struct.unpack_from("<I", record)[0] != 0
    raise KeyError(sheet)


def _text(record: bytes, at: int) -> tuple[str, int]:
    """A text: the count of its characters, two bytes each ([MS-XLSB], XLWideString); and what is next."""
    (count,) = struct.unpack_from("<I", record, at)
    count = 0 if count == 0xFFFFFFFF else count
    end = at + 4 + 2 * count
    return record[at + 4 : end].decode("utf-16-le", "replace"), end


def _formats(packed: ZipFile) -> list[str]:
    """The number format of each cell style, in the order in which cells name them."""
    own: dict[int, str] = {}
    styles: list[int] = []
    of_cells = False
    for kind, record in _records(packed.read(STYLES)):
        if kind == _FORMAT:
            own[struct.unpack_from("<H", record)[0]] = _text(record, 2)[0]
        elif kind in (_CELL_STYLES_BEGIN, _CELL_STYLES_END):
            of_cells = kind == _CELL_STYLES_BEGIN
        elif kind == _STYLE and of_cells:
            styles.append(struct.unpack_from("<H", record, 2)[0])
    return [own.get(ident, BUILT_IN.get(ident, GENERAL)) for ident in styles]


def _address(row: int, record: bytes) -> str:
    return f"{column_letters(struct.unpack_from('<I', record)[0] + 1)}{row + 1}"
