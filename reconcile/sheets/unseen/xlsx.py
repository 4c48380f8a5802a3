"""What the XML of an xlsx or xlsm sheet says beside its values (ECMA-376 part 1, 18.3 and 18.8)."""

import io
import re
from collections.abc import Iterator, Set
from functools import partial
from xml.etree import ElementTree as Xml
from zipfile import ZipFile

from reconcile.sheets.files.archive import column_number, sheet_parts
from reconcile.sheets.files.books import column_letters
from reconcile.sheets.files.package import main_part, part_of_kind
from reconcile.sheets.unseen.number_formats import BUILT_IN, GENERAL, shows_day
from reconcile.sheets.unseen.sheet_facts import (
    ERROR_VALUE,
    NOT_CALCULATED,
    Block,
    CellFault,
    Marks,
    ranges_of,
)

_COMMON = re.compile(rb"\s*(?:<\?xml [^<>]*encoding=[\"'](?:UTF|utf)-8[\"'][^<>]*>\s*)?<worksheet\b")
_ODD = re.compile(rb'<c(?! r=")[\s/>]|<row(?! r=")[\s/>]|<\w+:(?:c|row|sheetData)\b')
"""How nearly every sheet is written: in UTF-8, without prefixes or remarks, a cell or row beginning with its
place. Only in such a sheet may cells be looked for as text."""
_SUSPECTS = (re.compile(rb'"e"'), re.compile(rb"<f[\s/>]"))
_HIDDEN_ROW = re.compile(rb'<row r="(\d+)"[^<>]*\shidden\s*=\s*["\'](?:1|true|on)["\']')
_COLUMN = re.compile(rb"<(?:\w+:)?col\b[^<>]*>")
_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\b[^<>]*\sref\s*=\s*[\"']([A-Z]+)(\d+):([A-Z]+)(\d+)[\"']")
_ATTRIBUTE = re.compile(rb"\s(\w+)\s*=\s*[\"']([^\"']*)[\"']")
_ZEROES = re.compile(rb"</f>\s*<v>-?0(?:\.0+)?</v>")
_TRUE = ("1", "true", "on")


def part_of(packed: ZipFile, sheet: str) -> str | None:
    """The part that holds a sheet; None where it cannot be told."""
    part = sheet_parts(packed).get(sheet)
    return part if part in packed.namelist() else None


def read_marks(packed: ZipFile, sheet: str, *, hides: bool, marked: bool) -> Marks:
    """All the marks of a sheet; raises LookupError where its part cannot be told.

    ``hides`` and ``marked`` are what the first look over its XML said.
    Rows that are hidden by default (zeroHeight) hold no cells: a row with cells states for itself whether
    it is hidden.
    """
    part = part_of(packed, sheet)
    if part is None:
        raise LookupError(sheet)
    recalculates, sheet_hidden = _recalculates(packed), _sheet_hidden(packed, sheet)
    if not (hides or marked or recalculates):
        return Marks(sheet_hidden=sheet_hidden)
    xml = packed.read(part)
    recalculates = recalculates and _ZEROES.search(xml) is not None
    faults = find_faults(xml, zero_is_none=recalculates) if hides or recalculates else {}
    if not marked:
        return Marks(faults, sheet_hidden=sheet_hidden)
    return Marks(faults, ranges_of(_hidden_rows(xml)), _hidden_columns(xml), sheet_hidden, _merged(xml))


def find_faults(xml: bytes, *, zero_is_none: bool = False) -> dict[str, CellFault]:
    """The cells that hold an error value or a formula without a result, by address.

    ``zero_is_none``: the workbook asks to be calculated when it is opened, so that a formula's zero is
    what its writer put in the place of a result.
    """
    judge = partial(_fault, zero_is_none=zero_is_none)
    if _is_common(xml):
        try:
            elements = [Xml.fromstring(cell) for cell in _suspects(xml)]
        except Xml.ParseError:  # a name with a prefix that is explained further up
            return _faults_of_all(xml, zero_is_none)
        return {element.get("r", ""): fault for element in elements if (fault := judge(element)) is not None}
    return _faults_of_all(xml, zero_is_none)


def formats_of(packed: ZipFile) -> list[str]:
    """The number format of each cell style, in the order in which cells name them."""
    return [BUILT_IN.get(ident, GENERAL) if own is None else own for ident, own in _formats(packed)]


def day_styles_of(packed: ZipFile) -> frozenset[str]:
    """The cell styles that show a number as a day, as cells name them."""
    return frozenset(str(at) for at, format_used in enumerate(_formats(packed)) if shows_day(*format_used))


def _formats(packed: ZipFile) -> list[tuple[int, str | None]]:
    """The number format of each cell style: its number, and its code where the workbook gives it one."""
    try:
        styles = Xml.fromstring(packed.read(part_of_kind(packed, "styles")))
    except (KeyError, Xml.ParseError):
        return []
    own: dict[int, str] = {}
    used: list[tuple[int, str | None]] = []
    for element in styles.iter():
        name = _local(element.tag)
        if name == "numFmt":
            own[_whole(element.get("numFmtId"))] = element.get("formatCode", "")
        elif name == "cellXfs":
            idents = [_whole(style.get("numFmtId")) for style in element if _local(style.tag) == "xf"]
            used = [(ident, own.get(ident)) for ident in idents]
    return used


def styles_of(packed: ZipFile, sheet: str, addresses: Set[str]) -> dict[str, int]:
    """The number of the style of each cell asked for; 0 is the one of a cell that names none."""
    part = part_of(packed, sheet)
    if part is None:
        return {}
    xml = packed.read(part)
    if not _is_common(xml):
        return {at: _whole(cell.get("s")) for at, cell in _placed_cells(xml) if at in addresses}
    letters = b"|".join(sorted({at.rstrip("0123456789").encode() for at in addresses}))
    styles = {}
    for address, rest in re.findall(rb'<c r="((?:%s)\d+)"([^<>]*)>' % letters, xml):
        if (at := address.decode()) in addresses:
            styles[at] = _whole(dict(_ATTRIBUTE.findall(rest)).get(b"s", b"0").decode())
    return styles


def _is_common(xml: bytes) -> bool:
    return bool(_COMMON.match(xml)) and b"<!" not in xml and b"'e'" not in xml and not _ODD.search(xml)


def _recalculates(packed: ZipFile) -> bool:
    """Whether the workbook asks to be calculated when it is opened: its writer did not calculate."""
    book = packed.read(main_part(packed))
    if b"fullCalcOnLoad" not in book:
        return False
    found = re.search(rb"\sfullCalcOnLoad\s*=\s*[\"'](?:1|true|on)[\"']", book)
    return found is not None


def _sheet_hidden(packed: ZipFile, sheet: str) -> bool:
    book = packed.read(main_part(packed))
    if b"idden" not in book:
        return False
    sheets = (each for each in Xml.fromstring(book).iter() if _local(each.tag) == "sheet")
    return any(each.get("name") == sheet and each.get("state") in ("hidden", "veryHidden") for each in sheets)


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


def _faults_of_all(xml: bytes, zero_is_none: bool) -> dict[str, CellFault]:
    return {
        at: fault
        for at, cell in _placed_cells(xml)
        if (fault := _fault(cell, zero_is_none=zero_is_none)) is not None
    }


def _placed_cells(xml: bytes) -> Iterator[tuple[str, Xml.Element]]:
    """Every cell with its address, which a cell or a row need not state: it then follows the one before."""
    row, column = 0, 0
    for event, element in Xml.iterparse(io.BytesIO(xml), ("start", "end")):
        name = _local(element.tag)
        if event == "start" and name == "row":
            row, column = _whole(element.get("r")) or row + 1, 0
        elif event == "start" and name == "c":
            stated = re.match("[A-Z]+", element.get("r", ""))
            column = column_number(stated[0]) if stated else column + 1
        elif event == "end" and name == "c":
            yield f"{column_letters(column)}{row}", element
            element.clear()
        elif event == "end" and name == "row":
            element.clear()


def _fault(cell: Xml.Element, *, zero_is_none: bool) -> CellFault | None:
    """The fault of a cell element. A formula whose result is the empty text has one: type str."""
    inside = {_local(child.tag): child.text or "" for child in cell}
    value, kind = inside.get("v", ""), cell.get("t", "n")
    if kind == "e":
        return CellFault(ERROR_VALUE, value or "an error value")
    if "f" not in inside:
        return None
    lacks = not value and not (kind == "str" and "v" in inside)
    if lacks or (zero_is_none and kind == "n" and value.strip("-0.") == ""):
        return CellFault(NOT_CALCULATED, f"={inside['f']}" if inside["f"] else "a formula")
    return None


def _hidden_rows(xml: bytes) -> Iterator[int]:
    if b"hidden" not in xml:
        return
    if _is_common(xml):
        yield from (int(found[1]) for found in _HIDDEN_ROW.finditer(xml))
        return
    row = 0
    for _, element in Xml.iterparse(io.BytesIO(xml), ("start",)):
        if _local(element.tag) == "row":
            row = _whole(element.get("r")) or row + 1
            if element.get("hidden") in _TRUE:
                yield row


def _hidden_columns(xml: bytes) -> tuple[range, ...]:
    ranges = []
    for tag in _COLUMN.findall(xml, 0, max(xml.find(b"sheetData"), 0)):
        said = {name.decode(): value.decode() for name, value in _ATTRIBUTE.findall(tag)}
        if said.get("hidden") in _TRUE:
            ranges.append(range(_whole(said.get("min")), _whole(said.get("max")) + 1))
    return tuple(ranges)


def _merged(xml: bytes) -> tuple[Block, ...]:
    after = max(xml.rfind(b"sheetData"), 0)
    return tuple(
        Block(int(row), column_number(left.decode()), int(last), column_number(right.decode()))
        for left, row, right, last in _MERGED.findall(xml, after)
    )


def _whole(text: str | None) -> int:
    return int(text) if text and text.isdecimal() else 0


def _local(name: str) -> str:
    return name.rsplit("}", 1)[-1]
