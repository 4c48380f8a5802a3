"""Cells of an xlsx or xlsm workbook changed in its own XML; all other parts of the archive stay as they are.

A library that loads a workbook and saves it keeps only what it knows: results of formulas, extension lists,
macros, rich text, threaded comments and most pictures are lost. Here the parts of the changed sheets are
parsed, the cells changed and the parts written again; a table that covers rows added below it is lengthened;
and where the workbook has formulas it is asked to work them out when it is next opened (ECMA-376 part 1,
18.2.2 ``fullCalcOnLoad``). No formula is ever changed, so that the calculation chain stays as it is.
"""

import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import TYPE_CHECKING
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from reconcile.sheets.edits.properties import with_property, without_chain
from reconcile.sheets.edits.refs import Shift, moved_range, reaches, shifted
from reconcile.sheets.edits.room import Room, RowSeen, room_for
from reconcile.sheets.edits.tables import EditedTable, longer, tables_of
from reconcile.sheets.files.archive import XLSX, column_number, open_archive, refuse_doctype, sheet_parts
from reconcile.sheets.files.books import column_letters
from reconcile.sheets.files.package import links_of, main_part, part_of_kind
from reconcile.sheets.unseen.xlsx import day_styles_of
from reconcile.values.measure import decimal_text
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import DEFAULT_LIMITS, Limits

if TYPE_CHECKING:
    from lxml.etree import _Element

NewValue = Fraction | str | date | None
"""What a cell is to hold: a number that has an exact decimal, a text, a day; None empties it."""

NO_DATE = (1980, 1, 1, 0, 0, 0)
"""Of a part that is added: the same change makes the same bytes."""
SPACE = "{http://www.w3.org/XML/1998/namespace}space"
SIGNATURES = "_xmlsignatures/"
DAY_NOUGHT, DAY_NOUGHT_1904 = datetime(1899, 12, 30), datetime(1904, 1, 1)
"""ECMA-376 part 1, 18.17.4.1: the two date systems; the first as it comes out after February 1900."""

_ADDRESS = re.compile(r"([A-Z]+)([1-9][0-9]*)")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_CALC = re.compile(rb"<((?:\w+:)?)calcPr\b([^<>]*?)(/?)>")
_ASKS = re.compile(rb"(\sfullCalcOnLoad\s*=\s*[\"'])([^\"']*)([\"'])")
_AFTER_CALC = re.compile(
    rb"<(?:\w+:)?(?:oleSize|customWorkbookViews|pivotCaches|smartTagPr|smartTagTypes|webPublishing|"
    rb"fileRecoveryPr|webPublishObjects|extLst)\b|</((?:\w+:)?)workbook>"
)
"""What may follow ``calcPr`` in a workbook (ECMA-376 part 1, 18.2.27, CT_Workbook)."""
_DATE_1904 = re.compile(rb"<(?:\w+:)?workbookPr\b[^<>]*\sdate1904\s*=\s*[\"'](?:1|true|on)[\"']")
_RANGE = re.compile(r"([A-Z]+)([0-9]+):([A-Z]+)([0-9]+)")


@dataclass(frozen=True, slots=True)
class SheetChange:
    """What is to change on one sheet."""

    sheet: str
    cells: Mapping[str, NewValue] = field(default_factory=dict)
    """By address. A cell keeps its format."""
    rows: Sequence[Mapping[str, NewValue]] = ()
    """Rows to add below the last filled one, by column letters; formatted like the row ``like``."""
    like: int = 0
    """The row whose formats added rows take; 0: none."""


@dataclass(frozen=True, slots=True)
class Changed:
    """A changed workbook: its bytes, the parts that are not as they were, and what must be said of it."""

    data: bytes
    parts: tuple[str, ...]
    remarks: tuple[Problem, ...] = ()


def change_workbook(
    data: bytes,
    file: str,
    changes: Iterable[SheetChange],
    limits: Limits = DEFAULT_LIMITS,
    properties: Mapping[str, str] | None = None,
) -> Changed:
    """The workbook with its cells changed, and custom ``properties`` of the file set.

    Raises Unusable, with every fault: stock-not-closable for another kind of file; workbook-signed;
    cell-is-formula; sheet-missing; and as ``open_archive`` does.
    """
    contents = open_archive(data, file, limits)
    packed = contents.packed
    if contents.kind != XLSX:
        says = f"{file} is no xlsx or xlsm workbook."
        raise Unusable(problem("stock-not-closable", Place(file), says))
    if any(name.startswith(SIGNATURES) for name in packed.namelist()):
        raise Unusable(problem("workbook-signed", Place(file), f"{file} has a digital signature."))
    wanted = [change for change in changes if change.cells or change.rows]
    new, remarks, stale = _changed_parts(packed, file, wanted)
    if new and _has_formulas(packed):
        book = main_part(packed)
        new[book] = asks_to_recalculate(packed.read(book))
        says = f"{file} has formulas; their results are from before the change."
        remarks.append(problem("formulas-to-recalculate", Place(file), says))
    for name, text in (properties or {}).items():
        new |= with_property(packed, name, text)
    left_out = without_chain(packed, new) if stale else frozenset[str]()
    there = set(packed.namelist())
    changed = {name: part for name, part in new.items() if name not in there or part != packed.read(name)}
    return Changed(_packed_again(packed, changed, left_out), tuple(sorted(changed)), tuple(remarks))


def asks_to_recalculate(book: bytes) -> bytes:
    """The part of the workbook with its flag set; every other byte as it was."""
    found = _CALC.search(book)
    if found is None:
        place = _AFTER_CALC.search(book)
        if place is None:
            return book
        prefix = re.match(rb"</?((?:\w+:)?)", place[0])
        tag = b'<%scalcPr fullCalcOnLoad="1"/>' % (prefix[1] if prefix else b"")
        return book[: place.start()] + tag + book[place.start() :]
    asks = _ASKS.search(found[2])
    said = _ASKS.sub(rb"\g<1>1\g<3>", found[2]) if asks else found[2].rstrip() + b' fullCalcOnLoad="1"'
    return book[: found.start(2)] + said + book[found.end(2) :]


# --- the parts of the archive ---------------------------------------------------------------------


def _changed_parts(
    packed: ZipFile, file: str, changes: Sequence[SheetChange]
) -> tuple[dict[str, bytes], list[Problem], bool]:
    """New parts, remarks, and whether formulas were added or moved."""
    stale = False
    day_styles = day_styles_of(packed)
    from_1904 = _DATE_1904.search(packed.read(main_part(packed))) is not None
    parts = sheet_parts(packed)
    new: dict[str, bytes] = {}
    faults: list[Problem] = []
    remarks: list[Problem] = []
    for change in changes:
        part = parts.get(change.sheet, "")
        if part not in packed.namelist():
            says = f"The part of the sheet {change.sheet} cannot be told."
            faults.append(problem("sheet-missing", Place(file, change.sheet), says))
            continue
        nought = DAY_NOUGHT_1904 if from_1904 else DAY_NOUGHT
        page = Page(packed.read(part), file, change.sheet, nought, day_styles)
        page.shared = shared_texts(packed) if change.rows else ()
        for address, value in change.cells.items():
            page.put(address, value)
        if change.rows:
            more, said = _add_rows(packed, part, page, change)
            new |= more
            remarks += said
        faults += page.faults
        stale = stale or page.formulas_changed
        new[part] = page.xml()
    if faults:
        raise Unusable(*faults)
    return new, remarks, stale


def shared_texts(packed: ZipFile) -> list[str]:
    """The texts that cells share, in their order."""
    from lxml import etree

    part = part_of_kind(packed, "sharedStrings")
    if not part:
        return []
    root = etree.fromstring(packed.read(part), etree.XMLParser(resolve_entities=False, huge_tree=True))
    return ["".join(each.itertext()) for each in root.iterchildren("{*}si")]


def _has_formulas(packed: ZipFile) -> bool:
    parts = set(sheet_parts(packed).values()) & set(packed.namelist())
    return any(_FORMULA.search(packed.read(part)) for part in parts)


def _packed_again(packed: ZipFile, changed: Mapping[str, bytes], left_out: Set[str] = frozenset()) -> bytes:
    """The archive with some parts changed: the others, their order and their dates as they were."""
    out = io.BytesIO()
    with ZipFile(out, "w") as new:
        for part in packed.infolist():
            if part.filename in left_out:
                continue
            entry = ZipInfo(part.filename, part.date_time)
            entry.compress_type, entry.external_attr = part.compress_type, part.external_attr
            entry.create_system, entry.comment = part.create_system, part.comment
            new.writestr(entry, changed.get(part.filename, b"") or packed.read(part))
        for name in sorted(changed.keys() - packed.NameToInfo.keys()):
            made = ZipInfo(name, NO_DATE)
            made.compress_type = ZIP_DEFLATED
            new.writestr(made, changed[name])
        new.comment = packed.comment
    return out.getvalue()


def _add_rows(
    packed: ZipFile, part: str, page: "Page", change: SheetChange
) -> tuple[dict[str, bytes], list[Problem]]:
    """Rows are added where they belong; the parts of tables that are longer for it, and remarks.

    What stands below them moves down if it must. Raises Unusable (rows-cannot-be-added) where something
    else in the workbook would then mean another cell.
    """
    tables = tables_of(packed, part, page.file)
    room = page.room(len(change.rows), change.like, tables)
    remarks: list[Problem] = []
    if room.shift is not None and room.shift.by:
        refuse_reached(packed, part, page, room)
        remarks.append(page.moved(room.shift))
    if room.shift is not None:
        page.take_in(room.shift)
    page.append(change.rows, change.like, room)
    new: dict[str, bytes] = {}
    table, end = room.table, room.first + len(change.rows) - 1
    if table is not None:
        bottom = max(end + table.totals, table.bottom + (room.shift.by if room.shift and table.totals else 0))
        if bottom > table.bottom:
            new[table.part] = longer(packed, table, bottom, page.file)
            says = f"The table {table.name} reached to row {table.bottom}; it now reaches to {bottom}."
            remarks.append(problem("table-lengthened", Place(page.file, page.sheet), says))
    return new, remarks


def refuse_reached(packed: ZipFile, part: str, page: "Page", room: Room) -> None:
    """Raises Unusable where something refers to a row that would move, other than from a row that moves."""
    shift = room.shift
    start = shift.start if shift else 0
    others = [each for each in tables_of(packed, part, page.file) if each != room.table]
    said = ""
    if any(each.bottom >= start for each in others):
        said = "another table stands there"
    for sheet, other in sheet_parts(packed).items():
        if other and other != part and other in packed.namelist() and _FORMULA.search(packed.read(other)):
            said = said or page.reached_from(packed.read(other), sheet, start)
    said = said or page.reached_within(start) or _reached_by_name(packed, page.sheet, start)
    if any("omments" in link.kind for link in links_of(packed, part)):
        said = said or "its cells have comments"
    if said:
        says = f"Rows of {page.sheet} from {start} on would move down, and {said}."
        raise Unusable(problem("rows-cannot-be-added", Place(page.file, page.sheet, f"A{start}"), says))


def _reached_by_name(packed: ZipFile, sheet: str, start: int) -> str:
    from lxml import etree

    root = etree.fromstring(packed.read(main_part(packed)), etree.XMLParser(resolve_entities=False))
    for name in root.iter("{*}definedName"):
        if name.text and reaches(name.text, "", sheet, start):
            return f"the name {name.get('name')} means some of them"
    return ""


# --- one sheet ------------------------------------------------------------------------------------


class Page:
    """The XML of a sheet. What cannot be changed is gathered in ``faults``, and stays as it is."""

    def __init__(self, xml: bytes, file: str, sheet: str, day_nought: datetime, day_styles: Set[str]) -> None:
        from lxml import etree

        refuse_doctype(xml, file)
        parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True, strip_cdata=False)
        self.faults: list[Problem] = []
        self.file, self.sheet, self._nought, self._day_styles = file, sheet, day_nought, day_styles
        self.formulas_changed = False
        """Formulas were added, moved or changed: the order of calculation that is kept is no longer true."""
        self.shared: Sequence[str] = ()
        """The texts that cells share, where rows are to be added."""
        self._root = etree.fromstring(xml, parser)
        self._space = etree.QName(self._root).namespace
        self._stated = {self._name(local) for local in ("dimension", "selection", "pane")}
        data = self._root.find(self._name("sheetData"))
        if data is None:
            raise Unusable(problem("sheet-missing", Place(file, sheet), f"The sheet {sheet} holds no cells."))
        self._data = data
        self._rows = self._place_rows()
        self._arrays = [span for span in self._spans_of_formulas() if span]

    def put(self, address: str, value: NewValue) -> None:
        """Puts a value into a cell, which keeps its format. A formula is a fault and stays."""
        letters, row = _split(address)
        cell = self._cell(letters, row)
        formula = cell.find(self._name("f"))
        if formula is not None or any(_within(letters, row, span) for span in self._arrays):
            text = f"={formula.text}" if formula is not None and formula.text else "a part of a formula"
            place = Place(self.file, self.sheet, address)
            self.faults.append(problem("cell-is-formula", place, f"{address} holds {text}.", found=text))
            return
        self._fill(cell, value)

    def room(self, count: int, like: int, tables: Sequence[EditedTable]) -> Room:
        """Where so many rows go below the row ``like``, the last of the data; 0: below whatever is filled."""
        merged = {
            row: False for top, bottom in self._merges() for row in range(top, min(bottom, top + 1000) + 1)
        }
        filled = sorted({*merged, *(number for number, row in self._rows.items() if any(map(_holds, row)))})
        last = max(filled, default=0)
        data = like or last
        below = [self._seen(number) for number in filled if number > data]
        return room_for(count, data, below, last, tables)

    def append(self, rows: Sequence[Mapping[str, NewValue]], like: int, room: Room) -> None:
        """Adds rows from the room's first on.

        Cells that are there already keep their formats, save where a day is put into one that shows numbers.
        In a table each calculated column gets its formula.
        """
        styles, shape = self._looks(like)
        for number, values in enumerate(rows, room.first):
            if number not in self._rows:
                self._rows[number] = self._new_row(number, shape)
            there = {_split(cell.get("r"))[0] for cell in self._rows[number]}
            for letters in sorted({*styles, *values}, key=column_number):
                cell = self._cell(letters, number)
                style, value = styles.get(letters, ""), values.get(letters)
                is_day = isinstance(value, date) and cell.get("s") not in self._day_styles
                if style and (letters not in there or (is_day and style in self._day_styles)):
                    cell.set("s", style)
                if letters in values:
                    self._fill(cell, value)
            for letters, formula in (room.table.calculated if room.table else {}).items():
                self._calculate(letters, number, formula, like, values)
        self._reach(room.first + len(rows) - 1)

    def _calculate(
        self, letters: str, number: int, formula: str, like: int, values: Mapping[str, NewValue]
    ) -> None:
        """A cell of a calculated column. One that we would fill is a fault: its formula stays."""
        if values.get(letters) is not None:
            place = Place(self.file, self.sheet, f"{letters}{number}")
            says = f"The column {letters} of the table is calculated: ={formula}."
            self.faults.append(problem("cell-is-formula", place, says, found=f"={formula}"))
            return
        cell = self._cell(letters, number)
        for old in list(cell):
            cell.remove(old)
        cell.attrib.pop("t", None)
        made = cell.makeelement(self._name("f"), {})
        made.text = self._for_row(letters, formula, like, number)
        cell.append(made)
        self.formulas_changed = True

    def _for_row(self, letters: str, formula: str, like: int, number: int) -> str:
        """A column's formula for another row: relative references count from the row that has it."""
        row = self._rows.get(like)
        cells = (cell for cell in (row if row is not None else ()) if cell.get("r") == f"{letters}{like}")
        own = next((each for cell in cells for each in cell.iterchildren(self._name("f"))), None)
        if own is None or not own.text or own.get("t") == "shared":
            return formula
        from openpyxl.formula.translate import Translator

        told: str = Translator(f"={own.text}", f"{letters}{like}").translate_formula(f"{letters}{number}")
        return told.removeprefix("=")

    # --- what stands below moves down

    def moved(self, shift: Shift) -> Problem:
        """Moves every row from the shift's start on, with all that names their cells on this sheet."""
        moving = [self._rows.pop(number) for number in sorted(self._rows) if number >= shift.start]
        for row in moving:
            number = int(row.get("r")) + shift.by
            row.set("r", str(number))
            for cell in row.iterchildren(self._name("c")):
                cell.set("r", f"{_split(cell.get('r'))[0]}{number}")
            self._rows[number] = row
        for element in self._root.iter():
            if element is not self._data and isinstance(element.tag, str):
                for name in ("ref", "sqref"):
                    inside = element.getparent() is not None and element.tag != self._name("f")
                    if inside and element.get(name) and element.tag not in self._stated:
                        element.set(name, moved_range(element.get(name), shift))
        self._reach(max(self._rows, default=0))
        says = f"What stood in row {shift.start} of {self.sheet} stands in row {shift.start + shift.by} now."
        return problem("totals-moved", Place(self.file, self.sheet), says)

    def take_in(self, shift: Shift) -> None:
        """Formulas of the rows below, which may have moved, take the added rows in."""
        for number, row in self._rows.items():
            if number < shift.start:
                continue
            for formula in row.iter(self._name("f")):
                if formula.text:
                    told = shifted(formula.text, self.sheet, shift)
                    self.formulas_changed = self.formulas_changed or bool(shift.by) or told != formula.text
                    formula.text = told

    def reached_from(self, xml: bytes, sheet: str, start: int) -> str:
        """What of another sheet refers to a row from ``start`` on; "" for nothing."""
        from lxml import etree

        root = etree.fromstring(xml, etree.XMLParser(resolve_entities=False, huge_tree=True))
        for formula in root.iter("{*}f"):
            if formula.text and reaches(formula.text, sheet, self.sheet, start):
                cell = formula.getparent()
                return f"{sheet}!{cell.get('r', '')} refers to them"
        return ""

    def reached_within(self, start: int) -> str:
        """What of this sheet does, other than from a row that moves itself; or cannot be moved."""
        for number, row in self._rows.items():
            for formula in row.iter(self._name("f")):
                if number >= start and (formula.get("t") or "normal") != "normal":
                    return "a formula over several cells stands there"
                if number < start and formula.text and reaches(formula.text, self.sheet, self.sheet, start):
                    return f"{formula.getparent().get('r')} refers to them"
        return ""

    def _seen(self, number: int) -> RowSeen:
        row = self._rows.get(number)
        cells = list(row) if row is not None else []
        texts = tuple(each.text for cell in cells for each in cell.iter(self._name("t")) if each.text)
        shared = (cell.findtext(self._name("v")) for cell in cells if cell.get("t") in ("s", "str"))
        formulas = tuple(each.text for cell in cells for each in cell.iter(self._name("f")) if each.text)
        return RowSeen(number, (*texts, *(self._texts(each) for each in shared if each)), formulas)

    def _texts(self, number: str) -> str:
        """A shared text, or the text itself where it is the result of a formula."""
        if number.isdigit() and int(number) < len(self.shared):
            return self.shared[int(number)]
        return number

    def _merges(self) -> Iterator[tuple[int, int]]:
        for each in self._root.iter(self._name("mergeCell")):
            span = _RANGE.fullmatch(each.get("ref", ""))
            if span is not None:
                yield int(span[2]), int(span[4])

    @property
    def last_filled(self) -> int:
        """The last row in which a cell holds something; 0 for none."""
        return max((number for number, row in self._rows.items() if any(map(_holds, row))), default=0)

    def xml(self) -> bytes:
        """The part as it is written."""
        from lxml import etree

        tree = self._root.getroottree()
        written: bytes = etree.tostring(
            tree, xml_declaration=True, encoding="UTF-8", standalone=tree.docinfo.standalone
        )
        return written

    def _name(self, local: str) -> str:
        return f"{{{self._space}}}{local}" if self._space else local

    def _place_rows(self) -> dict[int, "_Element"]:
        """Rows by their number; rows and cells that do not state their place get it, for theirs may shift.

        Raises Unusable (sheet-contradicts-itself) where what they state cannot all be true.
        """
        rows: dict[int, _Element] = {}
        number = 0
        for row in self._data.iterchildren(self._name("row")):
            stated = row.get("r") or str(number + 1)
            if not stated.isdigit() or int(stated) <= number:
                raise self._contradicts(f"a row {stated} below row {number}")
            number = int(stated)
            row.set("r", str(number))
            rows[number] = row
            column = 0
            for cell in row.iterchildren(self._name("c")):
                column = self._place_cell(cell, number, column)
        return rows

    def _place_cell(self, cell: "_Element", number: int, column: int) -> int:
        """The column of a cell, which stands right of ``column`` and in the row of that number."""
        at = cell.get("r")
        if at is None:
            cell.set("r", f"{column_letters(column + 1)}{number}")
            return column + 1
        stated = _ADDRESS.fullmatch(at)
        if stated is None or int(stated[2]) != number or column_number(stated[1]) <= column:
            raise self._contradicts(f"a cell {at} in row {number}")
        return column_number(stated[1])

    def _contradicts(self, what: str) -> Unusable:
        says = f"The sheet {self.sheet} has {what}."
        return Unusable(problem("sheet-contradicts-itself", Place(self.file, self.sheet), says))

    def _spans_of_formulas(self) -> Iterator[re.Match[str] | None]:
        for formula in self._data.iter(self._name("f")):
            if formula.get("t") in ("array", "dataTable") and formula.get("ref"):
                yield _RANGE.fullmatch(formula.get("ref"))

    def _cell(self, letters: str, number: int) -> "_Element":
        """The cell of that address, made where it is not there."""
        row = self._rows.get(number)
        if row is None:
            row = self._rows[number] = self._new_row(number, {})
        address, wanted = f"{letters}{number}", column_number(letters)
        place = 0
        for cell in row.iterchildren(self._name("c")):
            at = column_number(_split(cell.get("r"))[0])
            if at == wanted:
                return cell
            if at > wanted:
                break
            place = row.index(cell) + 1
        made = row.makeelement(self._name("c"), {"r": address})
        row.insert(place, made)
        row.attrib.pop("spans", None)  # a hint only, and no longer true
        return made

    def _new_row(self, number: int, shape: Mapping[str, str]) -> "_Element":
        made = self._data.makeelement(self._name("row"), {"r": str(number), **shape})
        later = (row for at, row in self._rows.items() if at > number)
        following = next(later, None)
        if following is None:
            self._data.append(made)
        else:
            following.addprevious(made)
        self._rows[number] = made
        if following is not None:
            self._rows = dict(sorted(self._rows.items()))
        return made

    def _looks(self, like: int) -> tuple[dict[str, str], dict[str, str]]:
        """The styles of a row's cells by column, and the shape of the row itself."""
        row = self._rows.get(like)
        if row is None:
            return {}, {}
        styles = {_split(cell.get("r"))[0]: cell.get("s") for cell in row if cell.get("s")}
        kept = ("s", "customFormat", "ht", "customHeight")
        return styles, {name: row.get(name) for name in kept if row.get(name)}

    def _fill(self, cell: "_Element", value: NewValue) -> None:
        for name in ("t", "cm", "vm"):  # kind of the old value, and what is kept elsewhere of it
            cell.attrib.pop(name, None)
        for inside in ("v", "is"):
            for old in cell.findall(self._name(inside)):
                cell.remove(old)
        if value is None:
            return
        if isinstance(value, str):
            self._fill_text(cell, value)
            return
        if isinstance(value, date):
            if cell.get("s") not in self._day_styles:  # a bare number would be shown as one
                self._fill_text(cell, value.isoformat())
                return
            value = Fraction((datetime(value.year, value.month, value.day) - self._nought).days)
        made = cell.makeelement(self._name("v"), {})
        made.text = decimal_text(value)
        if made.text is None:
            raise ValueError(f"{value} has no exact decimal")
        cell.insert(0, made)

    def _fill_text(self, cell: "_Element", text: str) -> None:
        cell.set("t", "inlineStr")
        inline = cell.makeelement(self._name("is"), {})
        shown = inline.makeelement(self._name("t"), {SPACE: "preserve"})
        shown.text = text
        inline.append(shown)
        cell.insert(0, inline)

    def _reach(self, row: int) -> None:
        """Takes the sheet's stated extent on to a row."""
        stated = self._root.find(self._name("dimension"))
        span = _RANGE.fullmatch(stated.get("ref", "")) if stated is not None else None
        if span is not None and int(span[4]) < row:
            stated.set("ref", f"{span[1]}{span[2]}:{span[3]}{row}")


def _split(address: str) -> tuple[str, int]:
    found = _ADDRESS.fullmatch(address)
    if found is None:
        raise ValueError(address)
    return found[1], int(found[2])


def _within(letters: str, row: int, span: re.Match[str]) -> bool:
    left, top, right, bottom = span.groups()
    column = column_number(letters)
    return column_number(left) <= column <= column_number(right) and int(top) <= row <= int(bottom)


def _holds(cell: "_Element") -> bool:
    """Whether a cell holds a value or a formula."""
    return any(each.text or len(each) or each.tag.endswith("}f") for each in cell)
