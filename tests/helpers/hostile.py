"""Workbooks that are meant to harm: far cells, bombs, lies about sizes; each a small workbook, changed."""

import copy
import struct
import zipfile
from collections.abc import Mapping
from pathlib import Path

FILES = Path(__file__).parents[1] / "cases" / "files"
SHEET, TEXTS = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml"


def parts_of(name: str = "stock.xlsx") -> dict[str, bytes]:
    """The parts of one of the files of every kind."""
    with zipfile.ZipFile(FILES / name) as packed:
        return {part: packed.read(part) for part in packed.namelist()}


def packed(path: Path, parts: Mapping[str, bytes], level: int = 1) -> Path:
    """An archive of these parts."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=level) as archive:
        for part, data in parts.items():
            archive.writestr(part, data)
    return path


def with_rows(path: Path, rows: bytes, dimension: bytes = b"A1:F4") -> Path:
    """The stock workbook with more rows, and with a stated size."""
    parts = parts_of()
    sheet = parts[SHEET].replace(b'ref="A1:F4"', b'ref="' + dimension + b'"', 1)
    parts[SHEET] = sheet.replace(b"</sheetData>", rows + b"</sheetData>")
    return packed(path, parts)


def numbered(row: bytes, first: int, last: int) -> bytes:
    """The same row many times; each ``#`` in it is the row's number."""
    return b"".join(row.replace(b"#", b"%d" % number) for number in range(first, last + 1))


def ods_with(path: Path, rows: bytes) -> Path:
    """The stock ods with more rows on top of its first table."""
    parts = parts_of("stock.ods")
    content = parts["content.xml"]
    parts["content.xml"] = content.replace(b"<table:table-row ", rows + b"<table:table-row ", 1)
    return packed(path, parts)


def with_long_part(path: Path, part: str, megabytes: int, before: bytes = b"", after: bytes = b"") -> Path:
    """The stock workbook with one part of so many million blanks, made without holding them all."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, data in parts_of().items():
            if name != part:
                archive.writestr(name, data)
        with archive.open(part, "w") as stream:
            stream.write(before)
            for _ in range(megabytes):
                stream.write(b" " * 1_000_000)
            stream.write(after)
    return path


def repeated(rows: int, columns: int) -> bytes:
    """A filled cell of an ods sheet, repeated."""
    return (
        b'<table:table-row table:number-rows-repeated="%d"><table:table-cell office:value-type="float" '
        b'table:number-columns-repeated="%d" office:value="1"><text:p>1</text:p></table:table-cell>'
        b"</table:table-row>" % (rows, columns)
    )


def with_lie(path: Path, part: str, size: int) -> Path:
    """The same archive, whose list of parts states another size for one part."""
    with zipfile.ZipFile(path) as archive:
        start = archive.start_dir
    data = bytearray(path.read_bytes())
    entry = data.find(part.encode(), start) - 46
    data[entry + 24 : entry + 28] = struct.pack("<I", size)
    path.write_bytes(data)
    return path


def with_one_part_under_many_names(path: Path, names: int) -> Path:
    """An archive whose list of parts leads to the same bytes again and again."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, data in parts_of().items():
            archive.writestr(part, data)
        archive.writestr("xl/media/0.xml", b" " * 1_000_000)
        first = archive.getinfo("xl/media/0.xml")
        for number in range(1, names):
            again = copy.copy(first)
            again.filename = f"xl/media/{number}.xml"
            archive.filelist.append(again)
    return path
