"""What the fast reader hides: cells that it gives as empty although they hold something."""

import re
from collections.abc import Iterator, Set
from dataclasses import dataclass
from xml.etree import ElementTree as Xml
from zipfile import ZipFile

from reconcile.sheets.archive import sheet_parts
from reconcile.sheets.cells import Book

_COMMON = re.compile(rb"\s*(?:<\?xml [^<>]*encoding=[\"'](?:UTF|utf)-8[\"'][^<>]*>\s*)?<worksheet\b")
_ODD = re.compile(rb'<c(?! r=")[\s/>]')
"""How nearly every sheet is written: in UTF-8, without prefixes or remarks, a cell beginning with its place.
Only in such a sheet may cells be looked for as text."""
_SUSPECTS = (re.compile(rb' t="e"'), re.compile(rb"<f[\s/>]"))

ERROR_VALUE, NOT_CALCULATED = "cell-error", "formula-not-calculated"


@dataclass(frozen=True, slots=True)
class CellFault:
    """Why a cell that reads as empty is none: ``code`` of the catalogue, and what the cell holds."""

    code: str
    holds: str
    """``#N/A``, or the formula: ``=SUM(C2:C9)``."""


def hidden_cells(book: Book, sheet: str, wanted: Set[str] | None = None) -> dict[str, CellFault]:
    """The cells of a sheet, by address, that hold an error value or a formula without a result.

    One pass over the sheet's XML; ``wanted`` keeps only those addresses. Workbooks that are not xlsx or
    xlsm do not say, and neither does a sheet whose part cannot be told: nothing then.
    """
    if book.packed is None or not book.grid(sheet).hides:
        return {}
    part = sheet_parts(book.packed).get(sheet)
    if part not in book.packed.namelist():
        return {}
    return {at: fault for at, fault in _faults(book.packed, str(part)) if wanted is None or at in wanted}


def cell_truth(book: Book, sheet: str, address: str) -> CellFault | None:
    """Why this one cell reads as empty; None where it is really blank, or where it cannot be told."""
    return hidden_cells(book, sheet, {address}).get(address)


def _faults(packed: ZipFile, part: str) -> list[tuple[str, CellFault]]:
    xml = packed.read(part)
    if _COMMON.match(xml) and b"<!" not in xml and b" t='" not in xml and not _ODD.search(xml):
        try:
            elements = [Xml.fromstring(cell) for cell in _suspects(xml)]
        except Xml.ParseError:  # a name with a prefix that is explained further up
            return _faults_of_all(packed, part)
        return [(each.get("r", ""), fault) for each in elements if (fault := _fault(each)) is not None]
    return _faults_of_all(packed, part)


def _suspects(xml: bytes) -> Iterator[bytes]:
    """The cells that state an error or a formula, each whole; parsing every cell takes far longer."""
    last = -1
    for place in sorted(found.start() for suspect in _SUSPECTS for found in suspect.finditer(xml)):
        start = xml.rfind(b"<c ", 0, place)
        head = xml.find(b">", start) + 1
        end = head if xml.endswith(b"/>", start, head) else xml.find(b"</c>", start) + len(b"</c>")
        if last < start and 0 <= start < place < end:
            yield xml[start:end]
            last = start


def _faults_of_all(packed: ZipFile, part: str) -> list[tuple[str, CellFault]]:
    found = []
    with packed.open(part) as stream:
        for _, element in Xml.iterparse(stream):
            name = _local(element.tag)
            if name == "c":
                if (fault := _fault(element)) is not None:
                    found.append((element.get("r", ""), fault))
                element.clear()
            elif name == "row":
                element.clear()
    return found


def _fault(cell: Xml.Element) -> CellFault | None:
    """The fault of a cell element. A formula whose result is the empty text has one: type str."""
    inside = {_local(child.tag): child.text or "" for child in cell}
    value, kind = inside.get("v", ""), cell.get("t", "n")
    if kind == "e":
        return CellFault(ERROR_VALUE, value or "an error value")
    if "f" in inside and not value and not (kind == "str" and "v" in inside):
        return CellFault(NOT_CALCULATED, f"={inside['f']}" if inside["f"] else "a formula")
    return None


def _local(name: str) -> str:
    return name.rsplit("}", 1)[-1]
