"""The headings of every sheet, and how a shop's own spelling of them is recognised."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from reconcile.sheets.files.books import Book, CellValue, Grid
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.settings import Settings
from reconcile.values.words import fold, nearest

MUCH_ALIKE = 0.8
"""How like one that is read (of 1) a heading must be to be taken for a slip of the pen."""
ROWS_LOOKED_AT = 30
"""Titles and remarks may stand above the headings, but not more rows than these."""


@dataclass(frozen=True, slots=True)
class SheetKind:
    """One of the sheets that are read: its name, its headings with their synonyms, and which are needed."""

    name: str
    headings: Mapping[str, tuple[str, ...]]
    needed: tuple[str, ...]
    key: str
    """The heading of what names a row."""
    summed: tuple[str, ...] = ()
    """Headings of quantities that people add up below."""


@dataclass(frozen=True, slots=True)
class FoundHeading:
    """A heading that was found: its column's index in the grid, and the unit written beside it, if any."""

    column: int
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Header:
    """The row of headings: its index in the grid, what stands where, and how far right it reaches."""

    row: int
    found: dict[str, FoundHeading]
    width: int
    letters: dict[str, str] = field(default_factory=dict)
    """Our heading to the sheet's column letters, shared by every row's place."""


def sheet_named(book: Book, kind: SheetKind) -> str | None:
    """The book's own name for a sheet, compared without regard to case, spaces and punctuation.

    A single csv file is taken for the sheet that is asked for, whatever its name.
    """
    if kind.name in book.sheet_names:
        return kind.name
    same = [name for name in book.sheet_names if _key(name) == _key(kind.name)]
    if same:
        return same[0]
    return book.sheet_names[0] if book.is_single_csv else None


def sheet_missing(book: Book, kind: SheetKind) -> Problem:
    """The problem of a needed sheet that is not there: those that are, and the nearest."""
    there = ", ".join(book.sheet_names) or "none"
    says = f"There is no sheet {kind.name}; there: {there}."
    like = nearest(kind.name, book.sheet_names, count=1)
    do = f"Rename the sheet {like[0]} to {kind.name}, or give the right workbook." if like else ""
    return problem("sheet-missing", Place(book.file, kind.name), says, do=do)


def sheet_empty(grid: Grid) -> Problem:
    """The problem of a needed sheet without a row below its headings."""
    return problem("sheet-empty", Place(grid.file, grid.sheet), f"The sheet {grid.sheet} holds no rows.")


def find_header(grid: Grid, kind: SheetKind, settings: Settings) -> tuple[Header | None, list[Problem]]:
    """The row of headings, and what is wrong with it: heading-missing and heading-doubled, all at once.

    It is the first row that has every needed heading, else the one that has most; None for a sheet that
    is blank throughout.
    """
    spellings = spellings_of(kind, settings)
    rows = [at for at, row in enumerate(grid.rows[:ROWS_LOOKED_AT]) if any(map(_text, row))]
    if not rows:
        return None, []
    matches: dict[int, dict[str, list[FoundHeading]]] = {}
    for at in rows:
        matches[at] = headings_in(grid.rows[at], spellings)
        if all(heading in matches[at] for heading in kind.needed):
            break
    else:
        at = max(rows, key=lambda row: len(matches[row]))
    problems = [*_missing(grid, kind, at, matches[at]), *_doubled(grid, at, matches[at])]
    return _header(grid, at, matches[at]), problems


def unread_headings(grid: Grid, header: Header, kind: SheetKind) -> list[Problem]:
    """A notice for each heading that is not read but much like one that is, and that is not there otherwise.

    Columns of the shop's own are fine, so that only a likely slip of the pen is worth a word.
    """
    read = {found.column for found in header.found.values()}
    missed = [
        word
        for heading, words in kind.headings.items()
        if heading not in header.found
        for word in (*words, heading)
    ]
    problems = []
    for column, cell in enumerate(grid.rows[header.row]):
        if column in read or not isinstance(cell, str) or not (text := _text(cell)):
            continue
        if like := nearest(text, missed, 1, MUCH_ALIKE):
            place = Place(grid.file, grid.sheet, grid.address(header.row, column))
            says = f'The heading "{text}" is not read; it is much like "{like[0]}".'
            problems.append(problem("heading-unread", place, says, found=text))
    return problems


def _header(grid: Grid, at: int, matched: dict[str, list[FoundHeading]]) -> Header:
    found = {heading: columns[0] for heading, columns in matched.items()}
    letters = {heading: grid.letters(where.column) for heading, where in found.items()}
    filled = [column for column, cell in enumerate(grid.rows[at]) if _text(cell)]
    return Header(at, found, max(filled) + 1, letters)


def _key(text: str) -> str:
    """What is left of a heading to compare: letters and digits, and # for a number."""
    return "".join(letter for letter in fold(text) if letter.isalnum() or letter == "#")


def _text(cell: CellValue) -> str:
    return cell.strip() if isinstance(cell, str) else "" if cell is None else str(cell)


def spellings_of(kind: SheetKind, settings: Settings) -> dict[str, str]:
    """Every spelling's key to our heading. A shop's own word wins over a synonym, never over a heading."""
    known = {_key(word): heading for heading, words in kind.headings.items() for word in words}
    ours = {_key(heading): heading for heading in kind.headings}
    own = {
        _key(word): ours[_key(heading)]
        for heading, words in settings.headings.items()
        if _key(heading) in ours
        for word in words
    }
    return known | own | ours


_BRACKETED = re.compile(r"^(.*?)\s*[(\[{]([^()\[\]{}]*)[)\]}]\s*$")
_UNIT_WORDS = ("mm", "cm", "m", "in", "in.", "ins", "inch", "inches", "ft", "feet", '"')


def _recognise(text: str, spellings: Mapping[str, str]) -> tuple[str, str] | None:
    """Our heading for a cell's text, and the unit that it carries: ``length (mm)`` is (length, mm)."""
    if (heading := spellings.get(_key(text))) is not None:
        return heading, ""
    if (bracketed := _BRACKETED.match(text)) is not None:
        name, unit = bracketed.groups()
    else:
        name, _, unit = " ".join(text.replace("_", " ").replace(",", " ").split()).rpartition(" ")
        if fold(unit) not in _UNIT_WORDS:
            return None
    heading = spellings.get(_key(name))
    return None if heading is None else (heading, unit.strip())


def headings_in(row: list[CellValue], spellings: Mapping[str, str]) -> dict[str, list[FoundHeading]]:
    """Our headings that a row of cells names, and where; several columns where one is named twice."""
    matched: dict[str, list[FoundHeading]] = {}
    for column, cell in enumerate(row):
        if isinstance(cell, str) and (recognised := _recognise(cell, spellings)) is not None:
            heading, unit = recognised
            matched.setdefault(heading, []).append(FoundHeading(column, unit))
    return matched


def _missing(
    grid: Grid, kind: SheetKind, at: int, matched: Mapping[str, list[FoundHeading]]
) -> list[Problem]:
    unmatched = [
        text
        for column, cell in enumerate(grid.rows[at])
        if (text := _text(cell))
        if not any(column == where.column for found in matched.values() for where in found)
    ]
    there = ", ".join(text for cell in grid.rows[at] if (text := _text(cell)))
    place = Place(grid.file, grid.sheet, grid.address(at, 0))
    problems = []
    for heading in kind.needed:
        if heading not in matched:
            like = nearest(heading, unmatched)
            hint = f"; nearest: {', '.join(like)}" if like else ""
            says = f'The column "{heading}" is not there; found: {there}{hint}.'
            problems.append(problem("heading-missing", place, says))
    return problems


def _doubled(grid: Grid, at: int, matched: Mapping[str, list[FoundHeading]]) -> list[Problem]:
    problems = []
    doubled = {heading: columns for heading, columns in matched.items() if len(columns) > 1}
    second = _second_table(grid, doubled)
    for heading, columns in doubled.items():
        names = " and ".join(f'"{_text(grid.rows[at][column.column])}"' for column in columns)
        place = Place(grid.file, grid.sheet, grid.address(at, columns[1].column))
        says = f'{len(columns)} columns match the heading "{heading}": {names}{second}.'
        do = "Move the second table to a sheet of its own, or below the first." if second else ""
        problems.append(problem("heading-doubled", place, says, do=do))
    return problems


def _second_table(grid: Grid, doubled: Mapping[str, list[FoundHeading]]) -> str:
    """Where a second table seems to begin beside the first: several headings again, all further right."""
    if len(doubled) < 2:
        return ""
    begins = min(columns[1].column for columns in doubled.values())
    if max(columns[0].column for columns in doubled.values()) > begins:
        return ""
    return f"; a second table seems to begin in column {grid.letters(begins)}"
