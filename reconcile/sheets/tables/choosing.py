"""Which sheet of a workbook is meant: by the settings, by its name, else by its headings, which is told."""

import json
from dataclasses import dataclass, field

from reconcile.sheets.files.books import Book
from reconcile.sheets.tables.headings import SheetKind, find_header, key_of, sheet_named
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.words import fold, nearest

CLEARLY = 2
"""By how many headings of ours more one sheet must fit better than another with as many needed ones."""
MOST_SHEETS = 8
"""Sheets that are told of one by one."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """The sheet that is meant, by the book's own name; None with the problem where none can be told."""

    name: str | None
    faults: tuple[Problem, ...] = ()
    notices: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Fit:
    """How a sheet fits: which of our headings it has, and which needed ones it lacks."""

    name: str
    found: tuple[str, ...] = ()
    lacks: tuple[str, ...] = field(default=())

    def beats(self, other: "Fit") -> bool:
        """Whether it fits better by a clear margin."""
        if len(self.lacks) != len(other.lacks):
            return len(self.lacks) < len(other.lacks) and len(self.found) >= len(other.found)
        return len(self.found) >= len(other.found) + CLEARLY

    def __str__(self) -> str:
        found = f"found {', '.join(self.found)}" if self.found else "found none of our columns"
        return f"{self.name}: {found}; missing {', '.join(self.lacks) or 'none'}"


def sheet_for(book: Book, kind: SheetKind, settings: Settings, *, needed: bool) -> Chosen:
    """The sheet that is meant for a kind.

    The settings have the first word, then the name. A needed sheet that is called otherwise is the only one
    of its workbook, else the one whose headings fit best by a clear margin; a notice names it.
    """
    if (own := settings.sheets.get(fold(kind.name))) is not None and not book.is_single_csv:
        there = next((name for name in book.sheet_names if key_of(name) == key_of(own)), None)
        return Chosen(there) if there or not needed else Chosen(None, (_not_there(book, kind, own),))
    named = sheet_named(book, kind) if needed or not book.is_single_csv else None
    if named is not None or not needed:
        return Chosen(named)
    return _by_headings(book, kind, settings)


def _by_headings(book: Book, kind: SheetKind, settings: Settings) -> Chosen:
    others = {*map(key_of, kind.beside), *map(key_of, settings.sheets.values())}
    rest = [name for name in book.sheet_names if key_of(name) not in others]
    if len(book.sheet_names) == 1 and rest:
        return Chosen(rest[0], notices=(_taken(book, kind, rest[0], "it is the only sheet"),))
    fits = sorted(
        (fit_of(book, name, kind, settings) for name in rest),
        key=lambda fit: (len(fit.lacks), -len(fit.found)),
    )
    if fits and fits[0].found and all(fits[0].beats(other) for other in fits[1:]):
        return Chosen(fits[0].name, notices=(_taken(book, kind, fits[0].name, "its headings fit best"),))
    return Chosen(None, (_unclear(book, kind, fits),))


def fit_of(book: Book, name: str, kind: SheetKind, settings: Settings) -> Fit:
    """How one sheet fits a kind; a sheet that cannot be read fits not at all."""
    needed = kind.needed_with(settings)
    try:
        header, _ = find_header(book.glimpse(name), kind, settings)
    except Unusable:
        header = None
    found = tuple(header.found) if header else ()
    return Fit(name, found, tuple(heading for heading in needed if heading not in found))


def _taken(book: Book, kind: SheetKind, name: str, why: str) -> Problem:
    says = f"No sheet is called {kind.name}; the sheet {name} is taken for it, since {why}."
    return problem("sheet-taken", Place(book.file, name), says, do=_line(kind, name, "To settle it, write"))


def _line(kind: SheetKind, name: str, begin: str) -> str:
    key = fold(kind.name)
    quoted = f'"{key}"' if " " in key else key
    own = json.dumps(name, ensure_ascii=False)
    return f"{begin} into reconcile.toml, under [sheets]: {quoted} = {own}"


def _not_there(book: Book, kind: SheetKind, own: str) -> Problem:
    there = ", ".join(book.sheet_names)
    near = nearest(own, book.sheet_names, 1)
    says = f"There is no sheet {own}, which [sheets] of the settings names for {kind.name}; there: {there}."
    do = _line(kind, near[0], "Write") if near else "Correct the name under [sheets] in the settings."
    return problem("sheet-missing", Place(book.file, own), says, do=do)


def _unclear(book: Book, kind: SheetKind, fits: list[Fit]) -> Problem:
    """No sheet of that name: what each sheet has of our columns, and what it lacks."""
    place = Place(book.file, kind.name)
    if not fits or not fits[0].found:
        there = ", ".join(book.sheet_names) or "none"
        says = f"There is no sheet {kind.name}, and none has its columns; there: {there}."
        near = nearest(kind.name, [fit.name for fit in fits], 1)
        do = f"Rename the sheet {near[0]} to {kind.name}, or give the right workbook." if near else ""
        return problem("sheet-missing", place, says, do=do)
    shown = [fit for fit in fits if fit.found][:MOST_SHEETS]
    told = ". ".join(map(str, shown))
    says = f"There is no sheet {kind.name}, and no sheet fits clearly better than the others. {told}."
    return problem("sheet-unclear", place, says, do=_line(kind, shown[0].name, "Write"))
