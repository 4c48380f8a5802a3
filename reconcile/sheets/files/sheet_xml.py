"""The XML of a sheet held to what a sheet can be, before the fast reader sees it (ECMA-376 part 1, 18.3.1).

The fast reader believes what it reads: of a cell that stands twice the last one wins, an index that is no
number leads to the first of the shared texts, and a cell beyond the last column asks for memory without end.
So each row and each cell is looked at: its place, its kind, what it holds. Nearly every sheet is written in
one way, which is looked at as text; any other is followed element by element.
"""

import re
import zipfile
from collections.abc import Callable, Iterator
from itertools import pairwise
from xml.parsers import expat

from reconcile.sheets.files.archive import chunks, column_letters, column_number
from reconcile.sheets.files.texts_xml import shared_texts
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.settings import DEFAULT_LIMITS, Limits

LAST_ROW, LAST_COLUMN, LAST_LETTERS = 1_048_576, 16_384, "XFD"
SEAM = 64
"""Bytes kept of what lies below the rows, to see how the sheet ends."""
LONGEST_ROW = 16 << 20
"""Bytes of a row from which on it is followed element by element."""

_FORMULA = rb"(?:<f\b[^<>]*+(?:(?<=/)>|>[^<]*+</f>))?+"
_STYLE = rb'(?: (?:s|cm|vm|ph)="\d++")*+'
_TEXT = rb'(?: xml:space="preserve")?+>[^<]*+'
_CELL = (
    rb'\s*+<c r="[A-Z]{1,3}+[1-9]\d{0,6}+"' + _STYLE + rb"(?:"
    rb">(?:<v>-?+[0-9][-+.0-9eE]*+</v></c>|"
    + _FORMULA
    + rb"(?:<v>-?+[0-9.][-+.0-9eE]*+</v>|<v/>|<v></v>)?+</c>)"
    rb'| t="s"' + _STYLE + rb"><v>\d++</v></c>"
    rb'| t="inlineStr"' + _STYLE + rb"><is><t" + _TEXT + rb"</t></is></c>"
    rb"|/>"
    rb'| t="(?:s|n|b|e|str|d|inlineStr)"' + _STYLE + rb"/>"
    rb'| t="n"' + _STYLE + rb">" + _FORMULA + rb"(?:<v>-?+[0-9.][-+.0-9eE]*+</v>|<v/>|<v></v>)?+</c>"
    rb'| t="str"' + _STYLE + rb">" + _FORMULA + rb"(?:<v" + _TEXT + rb"</v>|<v/>)?+</c>"
    rb'| t="b"' + _STYLE + rb">" + _FORMULA + rb"<v>(?:[01]|true|false)</v></c>"
    rb'| t="e"' + _STYLE + rb">" + _FORMULA + rb"<v>#[A-Z0-9/_]++[!?]?+</v></c>"
    rb")"
)
"""A cell as nearly every program writes it. Possessive throughout, so that a sheet is gone through once."""
_ROW = re.compile(rb'\s*+<row r="([1-9]\d{0,6}+)"([^<>]*+)(?:(?<=/)>|>((?:' + _CELL + rb")*+)\s*+</row>)")
_REFERENCES = re.compile(rb'<c r="([A-Z]+\d+)')
_PREFIXED = re.compile(rb"<(\w+:)worksheet\b")
_BEGIN = re.compile(rb"<sheetData\s*>")
_END, _ROOT_END = b"</sheetData>", b"</worksheet>"
_EMPTY = re.compile(rb"<sheetData\s*/>")
_ADDRESS = re.compile("([A-Za-z]+)([0-9]+)")
_FLOAT = re.compile(r"\s*[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?\s*")
KINDS = ("s", "n", "b", "e", "str", "d", "inlineStr")


class _Uncommon(Exception):
    """The sheet is not written as nearly every sheet is."""


class _Broken(Exception):
    """What is wrong, and at which cell or row."""

    def __init__(self, says: str, at: str = "", code: str = "sheet-broken") -> None:
        super().__init__(says, at)
        self.says, self.at, self.code = says, at, code


def fault_in(
    packed: zipfile.ZipFile, part: str, place: tuple[str, str], limits: Limits = DEFAULT_LIMITS
) -> Problem | None:
    """The first fault of a sheet's XML, followed element by element; None where there is none.

    ``place``: the names of file and sheet. Raises Unusable as ``chunks`` does.
    """
    file, sheet = place
    follower = _Follower(shared_texts(packed, file, limits).count, limits.cells // 4)
    try:
        follower.follow(chunks(packed, part, file))
    except _Broken as why:
        return problem(why.code, Place(file, sheet, why.at), f"The sheet {sheet} {why.says}.")
    except expat.ExpatError as why:
        at = f"line {why.lineno}, character {why.offset + 1}"
        says = f"The sheet {sheet} is no whole XML: {expat.ErrorString(why.code)} ({at})."
        return problem("sheet-broken", Place(file, sheet, follower.at), says)
    return None


# as text


class RowsLook:
    """Looks over a sheet as it comes: whether every byte of its rows is as nearly every program writes it.

    ``sound`` turns false at the first that is not; then ``fault_in`` says whether it can be read at all.
    """

    def __init__(self) -> None:
        self.sound = True
        self._rest = b""
        self._step: Callable[[bytes], bytes] = self._above
        self._orders, self._last = _Orders(), 0
        self._prefix: bytes | None = None
        """What stands before each element, ``x:``, as some programs write it; None: not known yet."""

    def take(self, piece: bytes) -> None:
        """The next piece of the sheet."""
        if self.sound:
            if self._prefix is None and b"worksheet" in piece:
                named = _PREFIXED.search(piece)
                self._prefix = named[1] if named else b""
            if self._prefix:
                piece = piece.replace(b"<" + self._prefix, b"<").replace(b"</" + self._prefix, b"</")
            try:
                self._rest = self._step(self._rest + piece)
            except _Uncommon:
                self.sound, self._rest = False, b""

    def end(self) -> None:
        """The sheet has come to its end."""
        whole = self._step == self._below and self._rest.rstrip().endswith(_ROOT_END)
        self.sound = self.sound and whole

    def _above(self, text: bytes) -> bytes:
        if (found := _BEGIN.search(text)) is not None:
            self._step = self._rows
            return self._rows(text[found.end() :])
        if (found := _EMPTY.search(text)) is not None:
            self._step = self._below
            return self._below(text[found.end() :])
        if len(text) > LONGEST_ROW:
            raise _Uncommon
        return text

    def _rows(self, text: bytes) -> bytes:
        at = 0
        while (found := _ROW.match(text, at)) is not None:
            at, row = found.end(), int(found[1])
            if not self._last < row <= LAST_ROW or (found[2] and b" r=" in found[2]):
                raise _Uncommon
            self._last = row
            if found[3]:
                self._orders.check(_REFERENCES.findall(found[3]), found[1])
        rest = text[at:].lstrip()
        if rest.startswith(_END):
            self._step = self._below
            return self._below(rest[len(_END) :])
        if len(rest) > LONGEST_ROW:
            raise _Uncommon
        return rest

    def _below(self, text: bytes) -> bytes:
        """Below the rows no others may stand."""
        if b"sheetData" in text or b"<row" in text or b"<!" in text:
            raise _Uncommon
        return text[-SEAM:]


class _Orders:
    """Columns in which the cells of a row follow each other; each such order is looked at once."""

    def __init__(self) -> None:
        self._sound: set[bytes] = set()

    def check(self, references: list[bytes], row: bytes) -> None:
        columns = b",".join(references).replace(row, b"")
        if columns not in self._sound:
            numbers = [column_number(each) for each in columns.decode().split(",") if each.isalpha()]
            rising = all(one < other for one, other in pairwise(numbers))
            if len(numbers) != len(references) or not rising or numbers[-1] > LAST_COLUMN:
                raise _Uncommon
            self._sound.add(columns)


# element by element


class _Follower:
    """Follows the elements of a sheet; raises _Broken at the first that cannot be.

    ``texts``: how many texts cells may share. ``most``: cells, blank ones counted in, that are followed.
    """

    def __init__(self, texts: int, most: int) -> None:
        self.at = ""
        self._texts, self._most = texts, most
        self._rows: set[int] = set()
        self._columns: set[int] = set()
        self._row = self._column = self._cells = 0
        self._seen_rows = False
        self._path: list[str] = [""]
        self._names: dict[str, str] = {}
        self._kind, self._value = "n", ""
        self._inside: set[str] = set()

    def follow(self, pieces: Iterator[bytes]) -> None:
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._text
        parser.StartCdataSectionHandler = self._refuse_within
        parser.CommentHandler = lambda _: self._refuse_within()
        parser.ProcessingInstructionHandler = lambda *_: self._refuse_within()
        for piece in pieces:
            parser.Parse(piece, False)
        parser.Parse(b"", True)

    def _start(self, tag: str, said: dict[str, str]) -> None:
        name = self._names.get(tag) or self._names.setdefault(tag, tag.rpartition(":")[2])
        above = self._path[-1]
        self._path.append(name)
        if name == "c":
            self._begin_cell(said, above)
        elif above == "c":
            if name in self._inside:
                raise _Broken(f"has two values in the cell {self.at}", self.at)
            self._inside.add(name)
        elif name == "row":
            self._begin_row(said, above)
        elif name == "sheetData":
            if self._seen_rows:
                raise _Broken("has its rows in two places", self.at)
            self._seen_rows = True

    def _begin_row(self, said: dict[str, str], above: str) -> None:
        if above != "sheetData":
            raise _Broken("has a row where none can stand", self.at)
        stated = said.get("r")
        number = self._row + 1 if stated is None else _number(stated)
        if not 1 <= number <= LAST_ROW:
            stated = str(number) if stated is None else stated
            at = f"A{stated[:20]}" if stated.isdecimal() else self.at
            raise _Broken(f"has a row {_short(stated)}; rows go from 1 to {LAST_ROW:,}", at)
        self.at = f"A{number}"
        if number in self._rows:
            raise _Broken(f"has row {number} twice", self.at)
        self._rows.add(number)
        self._row, self._column = number, 0
        self._columns.clear()

    def _begin_cell(self, said: dict[str, str], above: str) -> None:
        if above != "row":
            raise _Broken("has a cell that stands in no row", self.at)
        stated = said.get("r")
        column = self._column + 1 if stated is None else self._stated_column(stated)
        if column > LAST_COLUMN:
            raise _Broken(f"has a cell beyond the last column, {LAST_LETTERS}, in row {self._row}", self.at)
        self.at = f"{column_letters(column)}{self._row}"
        if column in self._columns:
            raise _Broken(f"has the cell {self.at} twice", self.at)
        self._columns.add(column)
        self._column = column
        self._cells += 1
        if self._cells > self._most:
            says = f"has more than {self._most} cells, blank ones counted in, in a form that is seldom used"
            raise _Broken(says, self.at, "file-too-large")
        self._kind, self._value = said.get("t", "n"), ""
        self._inside.clear()
        if self._kind not in KINDS:
            raise _Broken(f"has a cell {self.at} of a kind that there is not, {_short(self._kind)}", self.at)

    def _stated_column(self, stated: str) -> int:
        found = _ADDRESS.fullmatch(stated)
        if found is None:
            raise _Broken(f"has a cell in row {self._row} whose place, {_short(stated)}, is none", self.at)
        letters, digits = found[1].upper(), found[2].lstrip("0")
        if len(letters) > 3 or column_number(letters) > LAST_COLUMN:
            beyond = f"has a cell {_short(stated)}, beyond the last column, {LAST_LETTERS}"
            raise _Broken(beyond, stated[:20])
        if digits != str(self._row):
            raise _Broken(f"has a cell {_short(stated)} in row {self._row}", f"{letters}{self._row}")
        return column_number(letters)

    def _text(self, text: str) -> None:
        if self._path[-1] == "v" and self._path[-2] == "c":
            self._value += text
        elif self._path[-1] in ("c", "row", "sheetData") and text.strip():
            raise _Broken(f"has text outside its cells, {_short(text.strip())}", self.at)

    def _refuse_within(self) -> None:
        """What is no plain text inside a cell, which the fast reader passes over."""
        if "c" in self._path:
            raise _Broken(f"has what is no plain text in the cell {self.at}", self.at)

    def _end(self, _tag: str) -> None:
        if self._path.pop() == "c":
            self._judge()

    def _judge(self) -> None:
        """Whether the cell's value fits its kind. No value at all is a blank."""
        kind, value = self._kind, self._value
        if "is" in self._inside and ("v" in self._inside or kind != "inlineStr"):
            raise _Broken(f"has two values, or one of another kind, in the cell {self.at}", self.at)
        if "v" not in self._inside:
            return
        if kind == "s":
            self._judge_index(value)
        elif kind == "inlineStr" and value:
            raise _Broken(f"has a number where a text should stand in the cell {self.at}", self.at)
        elif (kind == "n" and value and not _FLOAT.fullmatch(value)) or (
            (kind == "b" and value not in ("", "0", "1", "true", "false"))
            or (kind == "e" and value[:1] not in ("", "#"))
        ):
            raise _Broken(f"has a value that its kind cannot have in the cell {self.at}", self.at)

    def _judge_index(self, value: str) -> None:
        if not (value.isascii() and value.isdecimal()):
            raise _Broken(f"shows in {self.at} the text number {_short(value)}, which is no number", self.at)
        if len(value) > 9 or int(value) >= self._texts:
            says = f"shows in {self.at} the text number {_short(value)}; there are {self._texts} texts"
            raise _Broken(says, self.at)


def _number(text: str) -> int:
    """The number that a text is; 0 for one that is none, or that has more digits than a row has."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 8 else 0


def _short(text: str | None) -> str:
    text = text or ""
    return f'"{text if len(text) <= 20 else text[:20] + "..."}"'
