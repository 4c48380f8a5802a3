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
    beside: tuple[str, ...] = ()
    """Names of other sheets that may stand in the same workbook: none of them is taken for this one."""
    instead: Mapping[str, str] = field(default_factory=dict)
    """Needed headings, and what to do where a sheet has no such column."""

    def needed_with(self, settings: Settings) -> tuple[str, ...]:
        """The headings that are needed where the settings say what they do."""
        return tuple(each for each in self.needed if not (each == "unit" and settings.unit))


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

    A single csv file is taken for the sheet that is asked for, whatever its name. Of sheets that are called
    otherwise, ``choosing.sheet_for`` finds the one that is meant.
    """
    if kind.name in book.sheet_names:
        return kind.name
    same = [name for name in book.sheet_names if key_of(name) == key_of(kind.name)]
    if same:
        return same[0]
    return book.sheet_names[0] if book.is_single_csv else None


def sheet_empty(grid: Grid) -> Problem:
    """The problem of a needed sheet without a row below its headings."""
    return problem("sheet-empty", Place(grid.file, grid.sheet), f"The sheet {grid.sheet} holds no rows.")


def find_header(grid: Grid, kind: SheetKind, settings: Settings) -> tuple[Header | None, list[Problem]]:
    """The row of headings, and what is wrong with it: heading-missing and heading-doubled, all at once.

    It is the first row that has every needed heading, else the one that has most; None for a sheet that
    is blank throughout.
    """
    spellings = spellings_of(kind, settings)
    needed = kind.needed_with(settings)
    rows = [at for at, row in enumerate(grid.rows[:ROWS_LOOKED_AT]) if any(map(_text, row))]
    if not rows:
        return None, []
    matches: dict[int, dict[str, list[FoundHeading]]] = {}
    for at in rows:
        matches[at] = headings_in(grid.rows[at], spellings)
        if all(heading in matches[at] for heading in needed):
            break
    else:
        at = max(rows, key=lambda row: len(matches[row]))
    problems = [*_missing(grid, kind, at, matches[at], settings), *_doubled(grid, at, matches[at])]
    return _header(grid, at, matches[at]), problems


def unread_headings(grid: Grid, header: Header, kind: SheetKind, settings: Settings) -> list[Problem]:
    """A notice for each heading that is not read but much like one that is, and that is not there otherwise.

    Columns of the shop's own are fine, so that only a likely slip of the pen is worth a word; none that the
    settings leave out is.
    """
    left_out = set(map(key_of, settings.ignored))
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
        if key_of(text) in left_out:
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


def key_of(text: str) -> str:
    """What is left of a heading to compare: letters and digits, and # for a number."""
    return "".join(letter for letter in fold(text) if letter.isalnum() or letter == "#")


def _text(cell: CellValue) -> str:
    return cell.strip() if isinstance(cell, str) else "" if cell is None else str(cell)


Spellings = Mapping[str, tuple[str, ...]]
"""Every spelling's key to our headings: more than one where the settings name a word under several."""


def spellings_of(kind: SheetKind, settings: Settings) -> Spellings:
    """Every spelling that is known. A shop's own word wins over a synonym, and is added to a heading; one
    that is left out on purpose stands for none.
    """
    known = {key_of(word): (heading,) for heading, words in kind.headings.items() for word in words}
    ours = {key_of(heading): (heading,) for heading in kind.headings}
    own: dict[str, tuple[str, ...]] = {}
    for said, words in settings.headings.items():
        for heading in ours.get(key_of(said), ()):
            for word in dict.fromkeys(map(key_of, words)):
                own[word] = (*own.get(word, ours.get(word, ())), heading)
    left_out: Spellings = {key_of(word): () for word in settings.ignored}
    named = {word: tuple(dict.fromkeys(headings)) for word, headings in own.items()}
    return {**known, **ours, **named, **left_out}


_BRACKETED = re.compile(r"^(.*?)\s*[(\[{]([^()\[\]{}]*)[)\]}]\s*$")
_UNIT_WORDS = ("mm", "cm", "m", "in", "in.", "ins", "inch", "inches", "ft", "feet", '"')


def _recognise(text: str, spellings: Spellings) -> tuple[tuple[str, ...], str]:
    """Our headings for a cell's text, and the unit that it carries: ``length (mm)`` is length and mm."""
    bracketed = _BRACKETED.match(text)
    if (headings := spellings.get(key_of(text))) is not None:
        return headings, bracketed[2].strip() if bracketed and not key_of(bracketed[2]) else ""
    if bracketed is not None:
        name, unit = bracketed.groups()
    else:
        name, _, unit = " ".join(text.replace("_", " ").replace(",", " ").split()).rpartition(" ")
        if fold(unit) not in _UNIT_WORDS:
            return (), ""
    return spellings.get(key_of(name), ()), unit.strip()


def headings_in(row: list[CellValue], spellings: Spellings) -> dict[str, list[FoundHeading]]:
    """Our headings that a row of cells names, and where; several columns where one is named twice."""
    matched: dict[str, list[FoundHeading]] = {}
    for column, cell in enumerate(row):
        headings, unit = _recognise(cell, spellings) if isinstance(cell, str) else ((), "")
        for heading in headings:
            matched.setdefault(heading, []).append(FoundHeading(column, unit))
    return matched


MOST_LISTED = 20
"""Headings of a sheet that are listed where one is missing."""
NEAR = 0.7
"""How like a heading of ours (of 1) one of the sheet must be to be named as perhaps meant for it."""


def _missing(
    grid: Grid, kind: SheetKind, at: int, matched: Mapping[str, list[FoundHeading]], settings: Settings
) -> list[Problem]:
    """One problem for all that is missing: what is there, what is near, the line for the settings."""
    missing = [heading for heading in kind.needed_with(settings) if heading not in matched]
    if not missing:
        return []
    there = list(filter(None, map(_text, grid.rows[at])))
    taken = {where.column for columns in matched.values() for where in columns}
    cells = enumerate(grid.rows[at])
    free = [text for column, cell in cells if column not in taken and (text := _text(cell))]
    near = {each: like[0] for each in missing if (like := _near(each, kind, free))}
    more = f", and {len(there) - MOST_LISTED} more" if len(there) > MOST_LISTED else ""
    *rest, last = (f'"{each}"' for each in missing)
    named = f"{', '.join(rest)} and {last}" if rest else last
    is_or_are = "column {} is" if len(missing) == 1 else "columns {} are"
    hint = "; ".join(f'"{own}" is near "{each}"' for each, own in near.items())
    listed = ", ".join(map(_short, there[:MOST_LISTED])) or "nothing"
    says = f"The {is_or_are.format(named)} not there; found: {listed}{more}{'; ' if hint else ''}{hint}."
    place = Place(grid.file, grid.sheet, grid.address(at, 0))
    return [problem("heading-missing", place, says, do=_cure(missing, near, kind, matched, settings))]


def _near(heading: str, kind: SheetKind, free: list[str]) -> list[str]:
    """The heading of the sheet that is much like ours or one of its synonyms."""
    likes = (nearest(word, free, 1, NEAR) for word in (heading, *kind.headings[heading]))
    return next(filter(None, likes), [])


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_HEADING else f"{text[:LONGEST_HEADING]}..."


LONGEST_HEADING = 40
"""Characters of a heading that are repeated."""


def _cure(
    missing: list[str],
    near: Mapping[str, str],
    kind: SheetKind,
    matched: Mapping[str, list[FoundHeading]],
    settings: Settings,
) -> str:
    """What to do: a line for the settings; or, where a word is there under another key, that it is."""
    told = [said for each in missing if (said := _named_elsewhere(each, kind, matched, settings))]
    if told:
        return " ".join(told)
    example = missing[0]
    word = near.get(example, "your own word")
    quoted = f'"{example}"' if " " in example else example
    line = f'{quoted} = ["{word}"]'
    does = f"If a column is only called otherwise, write into reconcile.toml, under [headings]: {line}."
    instead = [kind.instead[each] for each in missing if each in kind.instead]
    return " ".join([does, *instead])


def _named_elsewhere(
    heading: str, kind: SheetKind, matched: Mapping[str, list[FoundHeading]], settings: Settings
) -> str:
    """That a synonym of a missing heading is named in the settings under another one; "" where none is."""
    for other, words in settings.headings.items():
        if other not in matched or other == heading:
            continue
        for word in words:
            if key_of(word) in map(key_of, (heading, *kind.headings[heading])):
                named = f'"{word}" is named under "{other}" in [headings] of the settings'
                return f'{named}; name it under "{heading}" too if the column is both, or there alone.'
    return ""


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
