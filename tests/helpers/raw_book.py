"""Writes xlsx files cell by cell as XML, quickly, with cells that no library would write."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr
from zipfile import ZipFile

from reconcile.sheets.files.books import column_letters

HEAD = '<?xml version="1.0" encoding="UTF-8"?>'
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
DAY, TIME = 1, 2
"""Styles: a day, a time of day."""
DAY_NOUGHT = datetime(1899, 12, 30)


@dataclass(frozen=True)
class Xml:
    """A cell by its attributes and what is inside: ``Xml(' t="e"', "<v>#N/A</v>")``."""

    said: str
    inside: str


def cell_xml(address: str, value: Any) -> str:
    if isinstance(value, Xml):
        return f'<c r="{address}"{value.said}>{value.inside}</c>'
    if isinstance(value, bool):
        return f'<c r="{address}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, time):
        value = timedelta(hours=value.hour, minutes=value.minute) / timedelta(days=1)
        return f'<c r="{address}" s="{TIME}"><v>{value}</v></c>'
    if isinstance(value, date):
        days = (datetime(value.year, value.month, value.day) - DAY_NOUGHT).days
        return f'<c r="{address}" s="{DAY}"><v>{days}</v></c>'
    if isinstance(value, int | float):
        return f'<c r="{address}"><v>{value!r}</v></c>'
    text = escape(str(value))
    return f'<c r="{address}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def sheet_xml(rows: Sequence[Sequence[Any]]) -> str:
    lines = []
    for number, row in enumerate(rows, 1):
        filled = [(column_letters(at), cell) for at, cell in enumerate(row, 1) if cell is not None]
        cells = (cell_xml(f"{letters}{number}", cell) for letters, cell in filled)
        lines.append(f'<row r="{number}">{"".join(cells)}</row>')
    return f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>{"".join(lines)}</sheetData></worksheet>'


CONTENT = "application/vnd.openxmlformats-officedocument.spreadsheetml"
TYPES = (
    f'{HEAD}<Types xmlns="{PACKAGE}/content-types"><Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Default Extension="xml" ContentType="{CONTENT}.sheet.main+xml"/>'
    f'<Override PartName="/xl/styles.xml" ContentType="{CONTENT}.styles+xml"/>'
)
STYLES = (
    f'{HEAD}<styleSheet xmlns="{MAIN}"><fonts count="1"><font/></fonts>'
    '<fills count="1"><fill><patternFill/></fill></fills>'
    '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="3">'
    '<xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/><xf numFmtId="20" applyNumberFormat="1"/>'
    "</cellXfs></styleSheet>"
)


def raw_book(path: Path, sheets: Mapping[str, Sequence[Sequence[Any]]]) -> Path:
    """An xlsx file of these sheets; a cell is a value, an ``Xml`` or None."""
    names = list(sheets)
    kinds = f"{OFFICE}/worksheet", f"{OFFICE}/styles"
    links = [(f"rId{n}", kinds[0], f"worksheets/sheet{n}.xml") for n, _ in enumerate(names, 1)]
    links.append((f"rId{len(names) + 1}", kinds[1], "styles.xml"))
    listed = "".join(
        f'<sheet name={quoteattr(name)} sheetId="{n}" r:id="rId{n}"/>' for n, name in enumerate(names, 1)
    )
    overrides = "".join(
        f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="{CONTENT}.worksheet+xml"/>'
        for n, _ in enumerate(names, 1)
    )
    with ZipFile(path, "w") as packed:
        packed.writestr("[Content_Types].xml", f"{TYPES}{overrides}</Types>")
        packed.writestr("_rels/.rels", _links([("rId1", f"{OFFICE}/officeDocument", "xl/workbook.xml")]))
        packed.writestr("xl/_rels/workbook.xml.rels", _links(links))
        packed.writestr(
            "xl/workbook.xml",
            f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>{listed}</sheets></workbook>',
        )
        packed.writestr("xl/styles.xml", STYLES)
        for n, rows in enumerate(sheets.values(), 1):
            packed.writestr(f"xl/worksheets/sheet{n}.xml", sheet_xml(rows))
    return path


def _links(links: Sequence[tuple[str, str, str]]) -> str:
    inside = "".join(f'<Relationship Id="{i}" Type="{kind}" Target="{target}"/>' for i, kind, target in links)
    return f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships">{inside}</Relationships>'
