"""What the XML of an ods sheet says beside its values (OASIS OpenDocument 1.3, part 3, 9 and 19).

One pass without a tree: a sheet may repeat a row or a cell a million times, so runs are kept as runs.
"""

import re
from collections.abc import Iterable, Set
from dataclasses import dataclass, field
from xml.parsers import expat
from zipfile import ZipFile

from reconcile.sheets.files.archive import column_number
from reconcile.sheets.files.books import column_letters
from reconcile.sheets.unseen.sheet_facts import (
    ERROR_VALUE,
    NOT_CALCULATED,
    ODS_CONTENT,
    Block,
    CellFault,
    Marks,
    joined,
)

MOST_NAMED = 200_000
"""Faulty cells, repeated ones counted each, beyond which a sheet is no table that a person keeps."""

_TABLE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
_OFFICE = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 "
_TEXT = "urn:oasis:names:tc:opendocument:xmlns:text:1.0 "
_STYLE = "urn:oasis:names:tc:opendocument:xmlns:style:1.0 "
_DRAW = "urn:oasis:names:tc:opendocument:xmlns:drawing:1.0 "
_CALC = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0 "
"""What one family of programs adds: the standard itself knows no error values."""

_WORTH_A_LOOK = (
    b'value-type="error"',
    b":formula=",
    b'visibility="collapse"',
    b'visibility="filter"',
    b"-spanned=",
    b'display="false"',
)
_ERROR_SHOWN = re.compile(r"#(?:N/A|REF!|DIV/0!|VALUE!|NAME\?|NULL!|NUM!|ERR)|(?:Err|Fehler):[0-9]{3}")
_VALUES = tuple(
    f"{_OFFICE}{each}" for each in ("value", "date-value", "time-value", "boolean-value", "string-value")
)
_NUMBERS = ("float", "percentage", "currency", "date", "time", "boolean")
_NOT_SHOWN = ("collapse", "filter")
_TYPE, _FORMULA, _ERROR_TYPE = f"{_OFFICE}value-type", f"{_TABLE}formula", f"{_CALC}value-type"
_DOWN, _ACROSS = f"{_TABLE}number-rows-spanned", f"{_TABLE}number-columns-spanned"
_ASIDE = (
    f"{_OFFICE}annotation",
    f"{_OFFICE}forms",
    f"{_TABLE}shapes",
    f"{_DRAW}frame",
    f"{_DRAW}custom-shape",
)
"""What may lie over a cell; its text is not the cell's."""

_Said = dict[str, str]


@dataclass(slots=True)
class _Row:
    """A row that is being read; ``number`` is that of the first of its repetitions."""

    number: int
    repeated: int
    hidden: bool


@dataclass(slots=True)
class _Cell:
    """A cell of which more is asked than whether it is filled, while its text is gathered."""

    said: _Said
    column: int
    repeated: int
    paragraphs: list[str] = field(default_factory=list)

    @property
    def shown(self) -> str:
        return "\n".join(self.paragraphs)


class _SheetReader:
    """Follows the elements of one table; everything in other tables, and in tables inside it, is skipped."""

    def __init__(self, sheet: str, wanted: Set[str]) -> None:
        self.sheet, self.wanted = sheet, wanted
        self.faults: dict[str, CellFault] = {}
        self.hidden_rows: list[range] = []
        self.hidden_columns: list[range] = []
        self.merged: list[Block] = []
        self.shown: dict[str, str] = {}
        self.is_there = False
        self.style = ""
        self.undisplayed: set[str] = set()
        self._columns_wanted = {column_number(each.rstrip("0123456789")) for each in wanted}
        self._own_style = ""
        self._depth = self._aside = 0
        self._next_row, self._next_column, self._next_cell = 1, 1, 1
        self._row = _Row(0, 1, False)
        self._cell: _Cell | None = None
        self._text: list[str] | None = None
        self._starts = {
            f"{_TABLE}table-column": self._start_column,
            f"{_TABLE}table-row": self._start_row,
            f"{_TABLE}table-cell": self._start_cell,
            f"{_TABLE}covered-table-cell": self._pass_cell,
            f"{_TEXT}p": self._start_paragraph,
            f"{_TEXT}s": self._blanks,
        }

    def start(self, tag: str, said: _Said) -> None:
        if tag == f"{_TABLE}table":
            self._start_table(said)
        elif self._depth == 1:
            if tag in _ASIDE:
                self._aside += 1
            elif not self._aside and (begin := self._starts.get(tag)) is not None:
                begin(said)
        elif tag == f"{_STYLE}style":
            self._own_style = said.get(f"{_STYLE}name", "")
        elif tag == f"{_STYLE}table-properties" and said.get(f"{_TABLE}display") == "false":
            self.undisplayed.add(self._own_style)

    def end(self, tag: str) -> None:
        if tag == f"{_TABLE}table":
            self._depth -= self._depth > 0
        elif self._depth != 1:
            return
        elif tag in _ASIDE:
            self._aside -= 1
        elif self._cell is not None and not self._aside:
            if tag == f"{_TEXT}p" and self._text is not None:
                self._cell.paragraphs.append("".join(self._text))
                self._text = None
            elif tag == f"{_TABLE}table-cell":
                self._end_cell(self._cell)
                self._cell = None

    def text(self, data: str) -> None:
        if self._text is not None and not self._aside:
            self._text.append(data)

    def _start_table(self, said: _Said) -> None:
        if self._depth or said.get(f"{_TABLE}name") == self.sheet:
            self._depth += 1
            self.is_there = True
            self.style = self.style or said.get(f"{_TABLE}style-name", "")

    def _start_column(self, said: _Said) -> None:
        repeated = _count(said, f"{_TABLE}number-columns-repeated")
        if said.get(f"{_TABLE}visibility") in _NOT_SHOWN:
            self.hidden_columns.append(range(self._next_column, self._next_column + repeated))
        self._next_column += repeated

    def _start_row(self, said: _Said) -> None:
        repeated = _count(said, f"{_TABLE}number-rows-repeated")
        self._row = _Row(self._next_row, repeated, said.get(f"{_TABLE}visibility") in _NOT_SHOWN)
        if self._row.hidden:
            self.hidden_rows.append(range(self._next_row, self._next_row + repeated))
        self._next_row, self._next_cell = self._next_row + repeated, 1

    def _start_cell(self, said: _Said) -> None:
        column = self._next_cell
        self._pass_cell(said)
        asked = _FORMULA in said or said.get(_ERROR_TYPE) == "error" or column in self._columns_wanted
        if asked:
            self._cell = _Cell(said, column, self._next_cell - column)
        if _DOWN in said or _ACROSS in said:
            self._merge(column, _count(said, _DOWN), _count(said, _ACROSS))

    def _pass_cell(self, said: _Said) -> None:
        self._next_cell += _count(said, f"{_TABLE}number-columns-repeated")

    def _start_paragraph(self, _: _Said) -> None:
        if self._cell is not None:
            self._text = []

    def _blanks(self, said: _Said) -> None:
        if self._text is not None:
            self._text.append(" " * min(_count(said, f"{_TEXT}c"), 100))

    def _end_cell(self, cell: _Cell) -> None:
        row = self._row
        if (fault := _fault(cell)) is not None:
            if len(self.faults) + row.repeated * cell.repeated > MOST_NAMED:
                raise ValueError("too many faulty cells")
            self.faults.update((at, fault) for at in _addresses(row, cell))
        if self.wanted:
            self.shown.update((at, cell.shown) for at in _addresses(row, cell) if at in self.wanted)

    def _merge(self, column: int, down: int, across: int) -> None:
        if down > 1 or across > 1:
            row = self._row.number
            self.merged.append(Block(row, column, row + down - 1, column + across - 1))


def read_marks(packed: ZipFile, sheet: str) -> Marks:
    """All the marks of a sheet; expat.ExpatError, ValueError or LookupError where it cannot be followed."""
    xml = packed.read(ODS_CONTENT)
    if not any(mark in xml for mark in _WORTH_A_LOOK):
        return Marks()
    reader = _read(xml, sheet)
    return Marks(
        reader.faults,
        joined(reader.hidden_rows),
        joined(reader.hidden_columns),
        reader.style in reader.undisplayed,
        tuple(reader.merged),
    )


def read_shown(packed: ZipFile, sheet: str, addresses: Set[str]) -> dict[str, str]:
    """The text that each cell asked for shows, which an ods file keeps beside its value."""
    return _read(packed.read(ODS_CONTENT), sheet, addresses).shown


def _read(xml: bytes, sheet: str, wanted: Iterable[str] = ()) -> _SheetReader:
    reader = _SheetReader(sheet, frozenset(wanted))
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.text
    parser.Parse(xml, True)
    if not reader.is_there:
        raise LookupError(sheet)
    return reader


def _fault(cell: _Cell) -> CellFault | None:
    """Why the cell holds no value."""
    formula = cell.said.get(_FORMULA)
    states = "error" in (cell.said.get(_ERROR_TYPE), cell.said.get(_TYPE))
    if states or (formula is not None and _ERROR_SHOWN.fullmatch(cell.shown)):
        return CellFault(ERROR_VALUE, cell.shown or "an error value")
    if formula is not None and _lacks_result(cell):
        return CellFault(NOT_CALCULATED, _plain_formula(formula))
    return None


def _lacks_result(cell: _Cell) -> bool:
    """Whether a formula has no result.

    An empty text is one: a paragraph without a value. A zero that nothing shows is none: a program that
    calculates writes what it shows beside it.
    """
    stated = [cell.said[kind] for kind in _VALUES if kind in cell.said]
    if not stated:
        return not cell.paragraphs or cell.said.get(_TYPE) in _NUMBERS
    return not cell.paragraphs and cell.said.get(_TYPE) in _NUMBERS and stated[0].strip("-0.") == ""


def _plain_formula(formula: str) -> str:
    """``of:=SUM([.C2:.C9])`` as a person sees it: ``=SUM(C2:C9)``."""
    bare = formula[formula.find("=") :] if "=" in formula else f"={formula}"
    return re.sub(r"\[\.?([^\]]*)\]", lambda found: found[1].replace(":.", ":"), bare)


def _addresses(row: _Row, cell: _Cell) -> Iterable[str]:
    """The addresses of a cell, repeated ones each, as far as they are worth naming."""
    rows = range(row.number, row.number + min(row.repeated, MOST_NAMED))
    columns = range(cell.column, cell.column + min(cell.repeated, MOST_NAMED // len(rows) or 1))
    return (f"{column_letters(column)}{number}" for number in rows for column in columns)


def _count(said: _Said, name: str) -> int:
    text = said.get(name, "1")
    return max(int(text), 1) if text.isdecimal() else 1
