"""The sheets of a folder looked at: what each seems to be, and which of its columns are ours."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from reconcile.sheets.beginning import nature
from reconcile.sheets.beginning.words import KINDS, NAMES, OURS
from reconcile.sheets.figures.text import clean
from reconcile.sheets.files.books import (
    CSV_SUFFIXES,
    LOCK_PREFIXES,
    WORKBOOK_SUFFIXES,
    Book,
    CellValue,
    Grid,
    open_book,
)
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import ON_ORDER, STOCK
from reconcile.sheets.tables.headings import (
    Header,
    SheetKind,
    Spellings,
    find_header,
    headings_in,
    key_of,
    spellings_of,
)
from reconcile.sheets.tables.rows import as_text
from reconcile.values.beginning import BY_NAME, BY_NATURE, BY_WORD, ColumnSeen, Looked, Match, SheetSeen
from reconcile.values.problem import Problem, Unusable
from reconcile.values.settings import DEFAULT_LIMITS, Limits, Settings

SHOWN = 3
"""Cells of a column that are shown."""
LONGEST_CELL = 30
SPARE = ("unit", "from")
"""Needed headings that may be told otherwise: a unit by the settings, a size by the chair's record."""
PLAIN = Settings()
Natural = tuple[str, str, bool]
"""Our heading, the nature of the cells that fill it, and whether one such column alone is beyond doubt."""
BY_NATURE_OF: Mapping[str, tuple[Natural, ...]] = {
    JOBS.name: (("date", nature.DAYS, True),),
    STOCK.name: (
        ("description", nature.DESCRIPTIONS, True),
        ("thread", nature.THREADS, True),
        ("unit", nature.UNITS, True),
        ("length", nature.LENGTHS, False),
        ("price", nature.PRICES, False),
        ("bin", nature.BINS, False),
        ("on hand", nature.WHOLE_NUMBERS, False),
    ),
}


def look(folder: Path, limits: Limits = DEFAULT_LIMITS) -> Looked:
    """Every sheet of the workbooks and csv files that lie in a folder, and of those in its folder *stock*."""
    sheets: list[SheetSeen] = []
    unread: list[Problem] = []
    for path in _files(folder):
        try:
            book = open_book(path, limits)
        except Unusable as why:
            unread += why.problems
            continue
        for name in book.sheet_names:
            try:
                sheets.append(seen(book, name))
            except Unusable as why:
                unread += why.problems
    return Looked(folder, tuple(sheets), tuple(unread))


def _files(folder: Path) -> Iterator[Path]:
    if not folder.is_dir():
        return
    for path in sorted(folder.iterdir()):
        ending = path.suffix.lower() in (*WORKBOOK_SUFFIXES, *CSV_SUFFIXES)
        if path.is_file() and ending and not path.name.startswith((*LOCK_PREFIXES, ".")):
            yield path


def seen(book: Book, name: str) -> SheetSeen:
    """What a sheet seems to be: the kind of ours whose headings it has, in our words or in others."""
    grid = book.glimpse(name)
    tries = [
        found for kind in KINDS if (found := _try(grid, kind)) is not None and _may_be(found, name, kind)
    ]
    single = book.is_single_csv
    if not tries:
        return SheetSeen(book.file, name, rows=len(grid.rows), single_csv=single)
    best = max(tries, key=lambda found: _score(found, name))
    return replace(best, single_csv=single)


def _score(found: SheetSeen, name: str) -> tuple[bool, bool, int]:
    lacks = [each for each in found.missing if each not in SPARE]
    return not lacks, is_named(name, found.kind), len(found.matches)


def is_named(name: str, kind: str) -> bool:
    """Whether a sheet or file is called so, or by a word for it, perhaps with more behind it."""
    key = key_of(name)
    return any(key.startswith(key_of(word)) for word in (kind, *NAMES.get(kind, ())))


def _may_be(found: SheetSeen, name: str, kind: SheetKind) -> bool:
    """Whether a sheet may be of a kind: one that may lack must be called so, or say order and day due."""
    matched = {match.ours for match in found.matches}
    lacks = [each for each in found.missing if each not in SPARE]
    if kind.name in (JOBS.name, STOCK.name):
        return len(lacks) <= 1 and len(matched) >= 2 and kind.key in matched | set(lacks)
    if lacks:
        return False
    return is_named(name, kind.name) or (kind.name == ON_ORDER.name and {"order", "due"} <= matched)


def _try(grid: Grid, kind: SheetKind) -> SheetSeen | None:
    """The sheet taken for one of that kind; None where it has none of its headings."""
    header, _ = find_header(grid, kind, PLAIN)
    if header is None or not header.found:
        return None
    spellings = spellings_of(kind, PLAIN)
    below = _first_table(grid, header, kind, spellings)
    columns = columns_of(grid, header, below)
    own = OURS[kind.name]
    spoken = headings_in(grid.rows[header.row], spellings_of(own, PLAIN))
    matches: dict[str, Match] = {}
    for ours, columns_named in headings_in(grid.rows[header.row], spellings).items():
        # A word of ours wins over one of another tongue; of two alike only a person can tell.
        named = spoken.get(ours) or columns_named
        if len(named) == 1:
            why = BY_NAME if ours in spoken else BY_WORD
            matches[ours] = Match(ours, columns[named[0].column], why)
    taken = {match.column.letters for match in matches.values()}
    free = [column for column in columns.values() if column.letters not in taken]
    for match in _by_nature(kind.name, matches, free):
        matches[match.ours] = match
        free = [column for column in free if column.letters != match.column.letters]
    rows = sum(any(cell is not None for cell in row) for row in below)
    missing = tuple(each for each in own.needed if each not in matches)
    return SheetSeen(grid.file, grid.sheet, kind.name, rows, tuple(matches.values()), tuple(free), missing)


def _first_table(grid: Grid, header: Header, kind: SheetKind, spellings: Spellings) -> list[list[CellValue]]:
    """The rows below the headings, to where the headings of another table stand."""
    below = grid.rows[header.row + 1 :]
    for at, row in enumerate(below):
        found = headings_in(row, spellings)
        if len(found) > 1 and kind.key in found:
            return below[:at]
    return below


def columns_of(grid: Grid, header: Header, below: list[list[CellValue]]) -> dict[int, ColumnSeen]:
    """The columns that have a heading or a filled cell, by their index in the grid."""
    found = {}
    for at in range(len(grid.rows[header.row])):
        cells = [row[at] for row in below if as_text(row[at])]
        theirs = as_text(grid.rows[header.row][at])
        if theirs or cells:
            found[at] = _column(grid.letters(at), theirs, cells)
    return found


def _column(letters: str, theirs: str, cells: Sequence[CellValue]) -> ColumnSeen:
    shown = tuple(as_text(cell)[:LONGEST_CELL] for cell in cells[:SHOWN])
    some = cells[: nature.LOOKED_AT]
    texts = tuple(clean(cell) for cell in some if isinstance(cell, str))
    figures = tuple(
        float(cell) for cell in some if isinstance(cell, int | float) and not isinstance(cell, bool)
    )
    unit = re.search(r"[(\[]([^()\[\]]*)[)\]]\s*$", theirs)
    return ColumnSeen(
        letters, theirs, shown, nature.nature_of(cells), texts, figures, unit[1].strip() if unit else ""
    )


def _by_nature(kind: str, matches: Mapping[str, Match], free: Sequence[ColumnSeen]) -> Iterator[Match]:
    """Columns that are ours by what their cells are, where there is but one such column without a meaning."""
    taken: set[str] = set()
    for ours, wanted, sure in BY_NATURE_OF.get(kind, ()):
        alike = [column for column in free if column.nature == wanted and column.letters not in taken]
        if ours not in matches and len(alike) == 1 and alike[0].theirs:
            taken.add(alike[0].letters)
            yield Match(ours, alike[0], BY_NATURE, sure)
