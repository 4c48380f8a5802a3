"""Tables of a sheet (ECMA-376 part 1, 18.5.1): their range, totals row and calculated columns, and longer."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from zipfile import ZipFile

from reconcile.sheets.files.archive import column_number, refuse_doctype
from reconcile.sheets.files.books import column_letters
from reconcile.sheets.files.package import links_of

if TYPE_CHECKING:
    from lxml.etree import _Element

_RANGE = re.compile(r"([A-Z]+)([0-9]+):([A-Z]+)([0-9]+)")


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table as its part tells it. Rows count from 1."""

    part: str
    name: str
    top: int
    bottom: int
    left: int
    right: int
    totals: int = 0
    """Rows of totals at its end."""
    calculated: Mapping[str, str] = field(default_factory=dict)
    """The formula of each calculated column, by its letters."""

    @property
    def last(self) -> int:
        """Its last row of data."""
        return self.bottom - self.totals

    def holds(self, row: int) -> bool:
        return self.top <= row <= self.last


def tables_of(packed: ZipFile, part: str, file: str) -> list[SheetTable]:
    """Those of a sheet, by the sheet's part; one whose range cannot be told is left out."""
    there = set(packed.namelist())
    found = (link.part for link in links_of(packed, part) if link.kind == "table" and link.part in there)
    return [table for each in found if (table := _table(each, _root(packed, each, file)))]


def longer(packed: ZipFile, table: SheetTable, bottom: int, file: str) -> bytes:
    """The table's part with its last row, totals included, at ``bottom``; its filter ends above them."""
    from lxml import etree

    root = _root(packed, table.part, file)
    root.set("ref", _area(table, bottom))
    for each in root.iterchildren("{*}autoFilter"):
        each.set("ref", _area(table, bottom - table.totals))
    tree = root.getroottree()
    written: bytes = etree.tostring(
        tree, xml_declaration=True, encoding="UTF-8", standalone=tree.docinfo.standalone
    )
    return written


def _area(table: SheetTable, bottom: int) -> str:
    return f"{column_letters(table.left)}{table.top}:{column_letters(table.right)}{bottom}"


def _root(packed: ZipFile, part: str, file: str) -> "_Element":
    from lxml import etree

    xml = packed.read(part)
    refuse_doctype(xml, file)
    return etree.fromstring(xml, etree.XMLParser(resolve_entities=False, no_network=True))


def _table(part: str, root: "_Element") -> SheetTable | None:
    span = _RANGE.fullmatch(root.get("ref", ""))
    if span is None:
        return None
    left = column_number(span[1])
    totals = root.get("totalsRowCount", "0")
    return SheetTable(
        part, root.get("displayName", part), int(span[2]), int(span[4]), left, column_number(span[3]),
        int(totals) if totals.isdigit() else 0, dict(_calculated(root, left)),
    )  # fmt: skip


def _calculated(root: "_Element", left: int) -> Iterator[tuple[str, str]]:
    for at, column in enumerate(root.iter("{*}tableColumn")):
        for formula in column.iterchildren("{*}calculatedColumnFormula"):
            if formula.text:
                yield column_letters(left + at), formula.text.removeprefix("=")
