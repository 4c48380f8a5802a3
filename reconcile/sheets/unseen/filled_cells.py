"""How many cells of a sheet hold something, counted in the file itself and not in what was read of it.

A cell counts that has a value, a text or a formula, be its result an empty text. One that is only coloured
or framed does not.
"""

import re
from collections import Counter
from collections.abc import Iterator
from xml.parsers import expat
from zipfile import ZipFile

from reconcile.sheets.files.archive import chunks

CONTENT = "content.xml"
_HOLLOW = re.compile(rb"<c\b[^<>]*(?<!/)>(?:<v\s*/>|<v></v>)?</c>")
"""A cell of an xlsx sheet without value, text or formula that does not say so in its first tag."""
_ODD_HEAD = re.compile(rb"<\w+:(?:worksheet|sheetData)\b|<(?:sheetData|row|c)\b[^<>]*>\s")
"""Prefixes, or blanks about the tags: such a sheet cannot be counted as text. Its beginning shows it."""
_HEAD = 1 << 14

_TABLE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
_OFFICE = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 "
_PARAGRAPH = "urn:oasis:names:tc:opendocument:xmlns:text:1.0 p"
_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")
_ASIDE = f"{_OFFICE}annotation"


def filled_in_xlsx(packed: ZipFile, part: str, file: str) -> int:
    """The filled cells of a sheet of an xlsx or xlsm workbook. Raises Unusable where it does not expand."""
    count = 0
    for number, chunk in enumerate(chunks(packed, part, file)):
        if b"<!" in chunk or (not number and _ODD_HEAD.search(chunk, 0, _HEAD)):
            return _filled_by_parser(chunks(packed, part, file))
        count += _filled_in(chunk)
    return count


def _filled_in(chunk: bytes) -> int:
    """The filled cells of a piece that is written as every common program writes one."""
    cells = chunk.count(b"</c>")
    ended = chunk.count(b"</v></c>")
    if ended < cells:
        ended += chunk.count(b"</is></c>")
    if ended == cells and b"<v></v>" not in chunk:
        return cells
    return cells - sum(1 for _ in _HOLLOW.finditer(chunk))


def _filled_by_parser(pieces: Iterator[bytes]) -> int:
    """The same for a sheet that is written in an uncommon way. Raises expat.ExpatError."""
    count, depth, holds, in_value = 0, 0, False, False

    def start(tag: str, _: dict[str, str]) -> None:
        nonlocal depth, holds, in_value
        name = tag.rpartition(" ")[2]
        depth += 1 if depth else int(name == "c")
        if depth == 1:
            holds = False
        elif depth == 2:
            holds, in_value = holds or name in ("f", "is"), name == "v"

    def text(_: str) -> None:
        nonlocal holds
        holds = holds or (depth == 2 and in_value)

    def end(_: str) -> None:
        nonlocal count, depth, in_value
        count += depth == 1 and holds
        in_value = in_value and depth != 2
        depth -= depth > 0

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = text
    for piece in pieces:
        parser.Parse(piece, False)
    parser.Parse(b"", True)
    return count


def filled_in_ods(packed: ZipFile, file: str) -> Counter[str]:
    """The filled cells of every sheet of an ods workbook, repeated ones each, by the sheet's name.

    Raises Unusable where it does not expand, expat.ExpatError where it is no XML.
    """
    reader = _OdsCounter()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = reader.start, reader.end
    for piece in chunks(packed, CONTENT, file):
        parser.Parse(piece, False)
    parser.Parse(b"", True)
    return reader.counts


class _OdsCounter:
    """Follows the elements of content.xml; tables inside a table, and remarks on a cell, are passed over."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self._sheet = ""
        self._tables = self._aside = 0
        self._rows = self._cells = 0
        self._holds = False

    def start(self, tag: str, said: dict[str, str]) -> None:
        if tag == f"{_TABLE}table":
            self._tables += 1
            if self._tables == 1:
                self._sheet = said.get(f"{_TABLE}name", "")
        elif tag == _ASIDE:
            self._aside += 1
        elif self._tables != 1 or self._aside:
            return
        elif tag == f"{_TABLE}table-row":
            self._rows = _count(said, f"{_TABLE}number-rows-repeated")
        elif tag in _CELLS:
            self._cells = _count(said, f"{_TABLE}number-columns-repeated")
            self._holds = f"{_OFFICE}value-type" in said or f"{_TABLE}formula" in said
        elif tag == _PARAGRAPH:
            self._holds = self._holds or self._cells > 0

    def end(self, tag: str) -> None:
        if tag == f"{_TABLE}table":
            self._tables -= 1
        elif tag == _ASIDE:
            self._aside -= 1
        elif self._tables == 1 and not self._aside and tag in _CELLS:
            self.counts[self._sheet] += self._rows * self._cells * self._holds
            self._cells, self._holds = 0, False


def _count(said: dict[str, str], name: str) -> int:
    text = said.get(name, "1")
    return int(text) if text.isdecimal() else 1
