"""Counts the filled cells of a sheet in its file, by other means than the program's own."""

import csv
import io
import posixpath
from pathlib import Path
from zipfile import ZipFile

from lxml import etree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
NAMES = {
    "t": "urn:oasis:names:tc:opendocument:xmlns:table:1.0",
    "o": "urn:oasis:names:tc:opendocument:xmlns:office:1.0",
    "x": "urn:oasis:names:tc:opendocument:xmlns:text:1.0",
}


def counted(path: Path) -> dict[str, int]:
    """The filled cells of every sheet: of an xlsx, xlsm, ods or csv file, or of a folder of csv files."""
    if path.is_dir():
        return {each.stem: in_csv(each) for each in sorted(path.glob("*.csv"))}
    if path.suffix == ".csv":
        return {path.stem: in_csv(path)}
    return in_ods(path) if path.suffix == ".ods" else in_xlsx(path)


def in_xlsx(path: Path) -> dict[str, int]:
    """Cells with a value, a text in place or a formula."""
    with ZipFile(path) as packed:
        links = {each.get("Id"): each.get("Target") for each in root(packed, "xl/_rels/workbook.xml.rels")}
        return {
            sheet.get("name"): sum(map(holds, root(packed, part_of(links[sheet.get(LINK)])).iter(f"{MAIN}c")))
            for sheet in root(packed, "xl/workbook.xml").iter(f"{MAIN}sheet")
        }


def part_of(target: str) -> str:
    return posixpath.normpath(posixpath.join("/xl", target)).lstrip("/")


def holds(cell: etree._Element) -> bool:
    value = cell.find(f"{MAIN}v")
    has_value = value is not None and bool(value.text)
    return has_value or cell.find(f"{MAIN}is") is not None or cell.find(f"{MAIN}f") is not None


def root(packed: ZipFile, part: str) -> etree._Element:
    return etree.fromstring(packed.read(part))


def in_ods(path: Path) -> dict[str, int]:
    """Cells with a kind of value, a formula or a text that is no remark; each repetition counts."""
    with ZipFile(path) as packed:
        content = root(packed, "content.xml")
    filled = "(t:table-cell|t:covered-table-cell)[@o:value-type or @t:formula or x:p]"
    return {
        sheet.get(f"{{{NAMES['t']}}}name"): sum(
            repeated(row, "rows") * repeated(cell, "columns")
            for row in sheet.iterfind(".//t:table-row", NAMES)
            for cell in row.xpath(filled, namespaces=NAMES)
        )
        for sheet in content.iterfind(".//o:spreadsheet/t:table", NAMES)
    }


def repeated(element: etree._Element, what: str) -> int:
    return int(element.get(f"{{{NAMES['t']}}}number-{what}-repeated", "1"))


def in_csv(path: Path) -> int:
    text = path.read_bytes().decode("utf-8-sig")
    delimiter = ";" if ";" in text else ","
    return sum(
        cell != "" for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter) for cell in row
    )
