"""What the records of an xls sheet say beside its values ([MS-XLS] 2.4; BIFF8 alone).

The file is a compound file, which olefile opens; its one stream holds records: kind, size, bytes.
"""

import io
import struct
from collections.abc import Callable, Iterator, Set
from dataclasses import dataclass, field

from reconcile.sheets.files.books import column_letters
from reconcile.sheets.unseen.number_formats import BUILT_IN, GENERAL
from reconcile.sheets.unseen.sheet_facts import (
    CODES_OF_ERRORS,
    ERROR_VALUE,
    NOT_CALCULATED,
    Block,
    CellFault,
    Marks,
    OtherVersion,
    ranges_of,
)

STREAM = "Workbook"
_BOF, _EOF, _BOUNDSHEET, _FORMAT, _XF = 0x0809, 0x000A, 0x0085, 0x041E, 0x00E0
_FORMULA, _BOOLERR, _ROW, _COLINFO, _MERGED = 0x0006, 0x0205, 0x0208, 0x007D, 0x00E5
_NUMBER, _RK, _MULRK = 0x0203, 0x027E, 0x00BD
_ROW_HIDDEN, _COLUMN_HIDDEN, _SHEET_HIDDEN = 0x20, 0x01, 0x03
_CALCULATE_ON_LOAD = 0x02
"""Second flag of a formula; what it asks for is from memory. Programs that do not calculate set it."""
_NO_NUMBER, _ERROR, _NO_TEXT = 0xFFFF, 2, 3
"""A formula's result that is no number: an error, or the empty text ([MS-XLS], FormulaValue). Some
programs write the empty text for every formula, and leave it to others to calculate."""


@dataclass(slots=True)
class _Found:
    """What is gathered from a sheet's records."""

    faults: dict[str, CellFault] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: list[range] = field(default_factory=list)
    merged: list[Block] = field(default_factory=list)
    unsure: list[str] = field(default_factory=list)
    sheet_hidden: bool = False


def workbook_stream(data: bytes) -> bytes:
    """The records of a workbook. Raises OSError for a damaged file, OtherVersion for an older one."""
    import olefile

    with olefile.OleFileIO(io.BytesIO(data)) as compound:
        if not compound.exists(STREAM):
            raise OtherVersion
        with compound.openstream(STREAM) as stream:
            return bytes(stream.read())


def read_marks(stream: bytes, sheet: str) -> Marks:
    """All the marks of a sheet. Raises struct.error or LookupError for records that are cut short."""
    found = _Found()
    for kind, record in _sheet_records(stream, sheet):
        if (gather := _GATHER.get(kind)) is not None:
            gather(record, found)
    return Marks(
        found.faults,
        ranges_of(found.hidden_rows),
        tuple(found.hidden_columns),
        found.sheet_hidden,
        tuple(found.merged),
        tuple(found.unsure),
    )


def read_formats(stream: bytes, sheet: str, addresses: Set[str]) -> dict[str, str]:
    """The number format of each cell asked for."""
    formats = _formats(stream)
    found = {}
    for kind, record in _sheet_records(stream, sheet):
        for row, column, style in _styled(kind, record):
            if (at := _address(row, column)) in addresses and style < len(formats):
                found[at] = formats[style]
    return found


def _records(stream: bytes, at: int = 0) -> Iterator[tuple[int, bytes]]:
    """The records from ``at`` to the end of the substream that begins there; those inside it are skipped."""
    depth = 0
    while at + 4 <= len(stream):
        kind, size = struct.unpack_from("<HH", stream, at)
        record = stream[at + 4 : at + 4 + size]
        at += 4 + size
        depth += (kind == _BOF) - (kind == _EOF)
        if depth <= 0:
            return
        if depth == 1:
            yield kind, record


def _sheet_records(stream: bytes, sheet: str) -> Iterator[tuple[int, bytes]]:
    for kind, record in _records(stream):
        if kind == _BOF and record[:2] != b"\x00\x06":
            raise OtherVersion
        if kind == _BOUNDSHEET and _text(record, 6, 1) == sheet:
            yield kind, record
            yield from _records(stream, struct.unpack_from("<I", record)[0])
            return
    raise LookupError(sheet)


def _text(record: bytes, at: int, count_size: int) -> str:
    """A text: its length, a flag that tells one byte a character from two, its characters ([MS-XLS],
    ShortXLUnicodeString and XLUnicodeString).
    """
    count = int.from_bytes(record[at : at + count_size], "little")
    at += count_size
    wide = record[at] & 1
    raw = record[at + 1 : at + 1 + count * (1 + wide)]
    return raw.decode("utf-16-le" if wide else "latin-1", "replace")


def _formats(stream: bytes) -> list[str]:
    """The number format of each cell style, in the order in which cells name them."""
    own: dict[int, str] = {}
    styles: list[int] = []
    for kind, record in _records(stream):
        if kind == _FORMAT:
            own[struct.unpack_from("<H", record)[0]] = _text(record, 2, 2)
        elif kind == _XF:
            styles.append(struct.unpack_from("<H", record, 2)[0])
    return [own.get(ident, BUILT_IN.get(ident, GENERAL)) for ident in styles]


def _styled(kind: int, record: bytes) -> list[tuple[int, int, int]]:
    """Row, column and style of the numbers in a record."""
    if kind in (_NUMBER, _RK, _FORMULA):
        return [struct.unpack_from("<HHH", record)]
    if kind == _MULRK:
        row, first = struct.unpack_from("<HH", record)
        styles = range(4, len(record) - 7, 6)
        return [(row, first + n, struct.unpack_from("<H", record, at)[0]) for n, at in enumerate(styles)]
    return []


def _address(row: int, column: int) -> str:
    return f"{column_letters(column + 1)}{row + 1}"


def _formula(record: bytes, found: _Found) -> None:
    row, column, _, what, _, code, _, number, flags = struct.unpack_from("<HHHBBBHxHH", record)
    gives_nothing = number == _NO_NUMBER and what == _NO_TEXT
    if number == _NO_NUMBER and what == _ERROR:
        found.faults[_address(row, column)] = _error(code)
    elif flags & _CALCULATE_ON_LOAD and (gives_nothing or record[6:14] == bytes(8)):
        found.faults[_address(row, column)] = CellFault(NOT_CALCULATED, "a formula")
    elif gives_nothing:
        found.unsure.append(_address(row, column))


def _boolean_or_error(record: bytes, found: _Found) -> None:
    row, column, _, code, is_error = struct.unpack_from("<HHHBB", record)
    if is_error:
        found.faults[_address(row, column)] = _error(code)


def _error(code: int) -> CellFault:
    return CellFault(ERROR_VALUE, CODES_OF_ERRORS.get(code, "an error value"))


def _row(record: bytes, found: _Found) -> None:
    row, flags = struct.unpack_from("<H10xH", record)
    if flags & _ROW_HIDDEN:
        found.hidden_rows.add(row + 1)


def _columns(record: bytes, found: _Found) -> None:
    first, last, flags = struct.unpack_from("<HH4xH", record)
    if flags & _COLUMN_HIDDEN:
        found.hidden_columns.append(range(first + 1, last + 2))


def _merge(record: bytes, found: _Found) -> None:
    (count,) = struct.unpack_from("<H", record)
    for at in range(count):
        top, bottom, left, right = struct.unpack_from("<4H", record, 2 + 8 * at)
        found.merged.append(Block(top + 1, left + 1, bottom + 1, right + 1))


def _sheet(record: bytes, found: _Found) -> None:
    found.sheet_hidden = bool(record[4] & _SHEET_HIDDEN)


_GATHER: dict[int, Callable[[bytes, _Found], None]] = {
    _BOUNDSHEET: _sheet,
    _FORMULA: _formula,
    _BOOLERR: _boolean_or_error,
    _ROW: _row,
    _COLINFO: _columns,
    _MERGED: _merge,
}
