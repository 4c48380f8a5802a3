"""Small sound workbooks as archives, and every way in which the structure of one part may be damaged.

An edit changes a reference, an index, a type or the order of things, doubles something or takes it away. Left
out is what makes another sound workbook, which nobody can tell from the one that was meant: another text by
another valid number, a number where a text stood, a row that is not there.
"""

import random
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from damages import sound_sheets
from raw_book import HEAD, MAIN, OFFICE, raw_book

TEXTS, BOOK, LINKS = "xl/sharedStrings.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
_INLINE = re.compile(r' t="inlineStr"><is><t xml:space="preserve">([^<]*)</t></is></c>')
Parts = dict[str, str]


def sound_books(folder: Path) -> dict[str, Parts]:
    """The parts of jobs.xlsx and stock.xlsx, whose texts are shared as nearly every program shares them."""
    sheets = sound_sheets()
    made = {"jobs.xlsx": {"Jobs": sheets.pop("Jobs")}, "stock.xlsx": sheets}
    return {name: _shared(raw_book(folder / name, rows)) for name, rows in made.items()}


def _shared(path: Path) -> Parts:
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name).decode() for name in packed.namelist()}
    texts: dict[str, int] = {}

    def number(found: re.Match[str]) -> str:
        return f' t="s"><v>{texts.setdefault(found[1], len(texts))}</v></c>'

    for name in [each for each in parts if "worksheets/" in each]:
        parts[name] = _INLINE.sub(number, parts[name])
    listed = "".join(f"<si><t>{text}</t></si>" for text in texts)
    parts[TEXTS] = f'{HEAD}<sst xmlns="{MAIN}" count="{len(texts)}" uniqueCount="{len(texts)}">{listed}</sst>'
    link = (
        f'<Relationship Id="rId99" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/></Relationships>'
    )
    parts[LINKS] = parts[LINKS].replace("</Relationships>", link)
    return parts


def packed(path: Path, parts: Parts) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return path


class Spared(Exception):
    """The edit makes no sense in this part."""


@dataclass(frozen=True)
class Edit:
    """One edit of a part: what it does to the text of one that ``fits``; None takes the part away."""

    name: str
    fits: Callable[[str], bool]
    change: Callable[[str, random.Random], str | None]
    blanks: bool = False
    """The edit may only leave a cell blank, which is told of where the cell is needed."""


def is_sheet(part: str) -> bool:
    return "worksheets/" in part


def is_any(part: str) -> bool:
    return part != "[Content_Types].xml"


def one(pattern: str, text: str, dice: random.Random) -> re.Match[str]:
    found = list(re.finditer(pattern, text, re.DOTALL))
    if not found:
        raise Spared
    return dice.choice(found)


def replaced(text: str, found: re.Match[str], new: str, group: int = 0) -> str:
    return text[: found.start(group)] + new + text[found.end(group) :]


def put(pattern: str, *values: str) -> Callable[[str, random.Random], str]:
    """Puts one of these into the place of the first group of one match."""

    def change(text: str, dice: random.Random) -> str:
        return replaced(text, one(pattern, text, dice), dice.choice(values), 1)

    return change


def taken(pattern: str) -> Callable[[str, random.Random], str]:
    return lambda text, dice: replaced(text, one(pattern, text, dice), "")


def doubled(pattern: str) -> Callable[[str, random.Random], str]:
    def change(text: str, dice: random.Random) -> str:
        found = one(pattern, text, dice)
        return replaced(text, found, found[0] * 2)

    return change


def swapped(pattern: str) -> Callable[[str, random.Random], str]:
    """Two neighbours change places."""

    def change(text: str, dice: random.Random) -> str:
        found = list(re.finditer(pattern, text, re.DOTALL))
        pairs = [(a, b) for a, b in pairwise(found) if a.end() == b.start()]
        if not pairs:
            raise Spared
        first, second = dice.choice(pairs)
        return text[: first.start()] + second[0] + first[0] + text[second.end() :]

    return change


def neighbour(text: str, dice: random.Random) -> str:
    """A cell says that it is the one before it in its row."""
    found = list(re.finditer(r'<c r="([A-Z]+\d+)"', text))
    at = dice.randrange(1, len(found))
    return replaced(text, found[at], found[at - 1][1], 1)


def again_otherwise(text: str, dice: random.Random) -> str:
    """A cell stands a second time with another value; the later one is the one that some readers take."""
    found = one(r'<c r="[A-Z]+\d+"(?: [st]="\w+")?><v>(\d+)</v></c>', text, dice)
    other = found[0].replace(f"<v>{found[1]}<", f"<v>{int(found[1]) // 2}<")
    return replaced(text, found, found[0] + other)


def row_again_otherwise(text: str, dice: random.Random) -> str:
    """A row stands a second time with the cells of another one."""
    first, second = one(ROW, text, dice), one(ROW, text, dice)
    number = re.search(r'<row r="(\d+)"', first[0])
    assert number is not None
    moved = re.sub(r'(r="[A-Z]*)\d+"', rf'\g<1>{number[1]}"', second[0])
    return replaced(text, first, first[0] + moved)


ROW, CELL = r"<row r=(?:(?!</row>).)*</row>", r"<c r=(?:(?!</c>).)*</c>"
PLACES = ("ZZZZZZ23", "XFE21", "A1048577", "A99999999999", "$B$2", "7", "B", "", "B0", "a-1", "Ä2")
EDITS = [
    Edit("reference: one that is none", is_sheet, put(r'<c r="([A-Z]+\d+)"', *PLACES)),
    Edit("reference: that of the cell before", is_sheet, neighbour),
    Edit("reference: of another row", is_sheet, put(r'<c r="[A-Z]+(\d+)"', "1", "2", "77", "1048576")),
    Edit("reference: of a row", is_sheet, put(r'<row r="(\d+)"', "1", "2", "0", "-1", "x", "", "1048577")),
    Edit("reference: taken away", is_sheet, taken(r'(?<=<c) r="[A-Z]+\d+"')),
    Edit("reference: taken from a row", is_sheet, taken(r'(?<=<row) r="\d+"')),
    Edit(
        "index", is_sheet, put(r't="s"><v>(\d+)<', "abc", "-1", "1.5", "1e1", "", " ", "9999", "99999999999")
    ),
    Edit("type", is_sheet, put(r'<c r="[A-Z]+\d+" t="(s)"', "z", "S", "", "b", "e", "ss", "inlineStr")),
    Edit("type of a number", is_sheet, put(r'<c r="[A-Z]+\d+"()><v>', ' t="z"', ' t=""', ' t="inlineStr"')),
    Edit("doubled cell", is_sheet, doubled(CELL)),
    Edit("doubled row", is_sheet, doubled(ROW)),
    Edit("doubled cell, otherwise", is_sheet, again_otherwise),
    Edit("doubled row, otherwise", is_sheet, row_again_otherwise),
    Edit("doubled value", is_sheet, doubled(r"<v>[^<]*</v>")),
    Edit("doubled table of rows", is_sheet, doubled(r"<sheetData>.*</sheetData>")),
    Edit("doubled text", lambda part: part == TEXTS, doubled(r"<si>.*?</si>")),
    Edit("doubled sheet", lambda part: part == BOOK, doubled(r"<sheet [^<>]*/>")),
    Edit("doubled link", lambda part: part == LINKS, doubled(r"<Relationship [^<>]*/>")),
    Edit("order of rows", is_sheet, swapped(ROW)),
    Edit("order of cells", is_sheet, swapped(CELL)),
    Edit("order of sheets", lambda part: part == BOOK, swapped(r"<sheet [^<>]*/>")),
    Edit("order of links", lambda part: part == LINKS, swapped(r"<Relationship [^<>]*/>")),
    Edit("missing value", is_sheet, taken(r"<v>[^<]*</v>"), blanks=True),
    Edit("missing text", lambda part: part == TEXTS, taken(r"<si>.*?</si>")),
    Edit("missing sheet", lambda part: part == BOOK, taken(r"<sheet [^<>]*/>")),
    Edit("missing link", lambda part: part == LINKS, taken(r"<Relationship [^<>]*/>")),
    Edit("missing link's name", lambda part: part == BOOK, taken(r' r:id="[^"]*"')),
    Edit(
        "another link's name", lambda part: part == BOOK, put(r' r:id="([^"]*)"', "rId1", "rId2", "rId77", "")
    ),
    Edit(
        "another target",
        lambda part: part == LINKS,
        put(r' Target="([^"]*)"', "worksheets/sheet1.xml", "x", ""),
    ),
    Edit("missing start of something", is_any, taken(r"<[a-zA-Z]+(?: [^<>]*)?(?<!/)>")),
    Edit("missing end of something", is_any, taken(r"</[a-zA-Z]+>")),
    Edit("missing quote", is_any, taken(r'"(?= |/?>)')),
    Edit("missing rest", is_any, lambda text, dice: text[: dice.randrange(len(text))]),
    Edit("missing part", is_any, lambda text, dice: None),
]
