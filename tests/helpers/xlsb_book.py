"""A minimal xlsb workbook, record by record ([MS-XLSB] 2.4), for tests: few programs can write one.

The record kinds are by their numbers: 0 row, 1 blank, 2 to 8 cells, 9 to 11 formulas, 60 columns, 176 merged.
"""

import struct
import zipfile
from collections.abc import Sequence
from pathlib import Path

TYPES = "application/vnd.ms-excel.sheet.binary.macroEnabled.main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def record(kind: int, data: bytes = b"") -> bytes:
    """A record: its kind and its size in bytes of seven bits each, then what it holds."""
    return _seven_bits(kind) + _seven_bits(len(data)) + data


def _seven_bits(number: int) -> bytes:
    out = b""
    while number > 0x7F:
        out += bytes([number & 0x7F | 0x80])
        number >>= 7
    return out + bytes([number])


def text(value: str) -> bytes:
    return struct.pack("<I", len(value)) + value.encode("utf-16-le")


def row(number: int, *, hidden: bool = False) -> bytes:
    """A row's header; the number counts from 1."""
    flags = 0x1000 if hidden else 0
    return record(0, struct.pack("<IIHHB", number - 1, 0, 300, flags, 0) + struct.pack("<I", 0))


def _cell(column: int, style: int = 0) -> bytes:
    return struct.pack("<II", column - 1, style)


def written(column: int, value: str, style: int = 0) -> bytes:
    return record(6, _cell(column, style) + text(value))


def number(column: int, value: float, style: int = 0) -> bytes:
    return record(5, _cell(column, style) + struct.pack("<d", value))


def error(column: int, code: int) -> bytes:
    return record(3, _cell(column) + bytes([code]))


def boolean(column: int, value: bool) -> bytes:
    return record(4, _cell(column) + bytes([value]))


FORMULA = struct.pack("<HII", 0, 3, 0)[:6] + b"\x1e\x01\x00" + struct.pack("<I", 0)
"""Flags, then the parsed formula =1: its size, PtgInt 1, and no more."""


def formula_number(column: int, value: float) -> bytes:
    return record(9, _cell(column) + struct.pack("<d", value) + FORMULA)


def formula_error(column: int, code: int) -> bytes:
    return record(11, _cell(column) + bytes([code]) + FORMULA)


def formula_text(column: int, value: str) -> bytes:
    return record(8, _cell(column) + text(value) + FORMULA)


def columns(first: int, last: int, *, hidden: bool) -> bytes:
    data = struct.pack("<IIIIH", first - 1, last - 1, 2340, 0, int(hidden))
    return record(390) + record(60, data) + record(391)


def merged(top: int, left: int, bottom: int, right: int) -> bytes:
    data = struct.pack("<IIII", top - 1, bottom - 1, left - 1, right - 1)
    return record(177, struct.pack("<I", 1)) + record(176, data) + record(178)


def xlsb(
    path: Path,
    rows: Sequence[bytes],
    *,
    before: bytes = b"",
    after: bytes = b"",
    formats: Sequence[str] = (),
    hidden: bool = False,
    mac: bool = False,
) -> Path:
    """An xlsb file with one sheet, Stock. A cell's style n is the n-th of ``formats``, 0 is General."""
    span = record(148, struct.pack("<IIII", 0, 99, 0, 25))
    sheet = record(129) + span + before + record(145) + b"".join(rows) + record(146) + after + record(130)
    name = struct.pack("<II", 2 if hidden else 0, 1) + text("rId1") + text("Stock")
    properties = record(153, struct.pack("<II", int(mac), 0) + text(""))
    book = record(131) + properties + record(143) + record(156, name) + record(144) + record(132)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("[Content_Types].xml", _content_types())
        packed.writestr("_rels/.rels", _links(("rId1", "officeDocument", "xl/workbook.bin")))
        packed.writestr("xl/workbook.bin", book)
        packed.writestr(
            "xl/_rels/workbook.bin.rels",
            _links(("rId1", "worksheet", "worksheets/sheet1.bin"), ("rId2", "styles", "styles.bin")),
        )
        packed.writestr("xl/styles.bin", _styles(formats))
        packed.writestr("xl/worksheets/sheet1.bin", sheet)
    return path


def _styles(formats: Sequence[str]) -> bytes:
    own = [record(44, struct.pack("<H", 164 + at) + text(code)) for at, code in enumerate(formats)]
    idents = [0, *(164 + at for at in range(len(formats)))]
    used = [record(47, struct.pack("<HHHHHHI", 0, ident, 0, 0, 0, 0, 0)) for ident in idents]
    count = struct.pack("<I", len(idents))
    return b"".join(
        (
            *(record(278), record(615, struct.pack("<I", len(own))), *own, record(616)),
            *(record(617, count), *used, record(618), record(279)),
        )
    )


def _links(*links: tuple[str, str, str]) -> str:
    each = "".join(
        f'<Relationship Id="{ident}" Type="{RELATIONS}/{kind}" Target="{target}"/>'
        for ident, kind, target in links
    )
    space = "http://schemas.openxmlformats.org/package/2006/relationships"
    return f'<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="{space}">{each}</Relationships>'


def _content_types() -> str:
    space = "http://schemas.openxmlformats.org/package/2006/content-types"
    parts = {
        "/xl/workbook.bin": TYPES,
        "/xl/worksheets/sheet1.bin": "application/vnd.ms-excel.worksheet",
        "/xl/styles.bin": "application/vnd.ms-excel.styles",
    }
    each = "".join(f'<Override PartName="{part}" ContentType="{kind}"/>' for part, kind in parts.items())
    default = (
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    )
    return f'<?xml version="1.0" encoding="UTF-8"?><Types xmlns="{space}">{default}{each}</Types>'
