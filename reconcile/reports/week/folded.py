"""Problems as they are read: what makes a chair wrong first, and many of a kind as one with its cells."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from reconcile.values.catalogue import CODES, ERROR, turn_of
from reconcile.values.problem import Place, Problem

A_FEW = 3
"""So many of a kind are one; of those that say the same, two."""

MOST_CELLS = 12
"""Stretches of cells that a line names."""

_CELL = re.compile(r"([A-Z]+)([0-9]+)")


@dataclass(frozen=True, slots=True)
class Folded:
    """A problem, or one line for many of a kind and those that are folded under it."""

    head: Problem
    under: tuple[Problem, ...] = ()
    """Nothing for a problem that stands for itself."""
    cells: str = ""
    """``Stock, K14 to K58, K60: 46 cells``."""

    @property
    def rows(self) -> int:
        """Rows of a sheet that it takes."""
        return 1 + len(self.under)


def ranked(problems: Iterable[Problem]) -> list[Problem]:
    """What makes a chair wrong, then what makes the plan wrong, then what costs a price; errors first."""
    return sorted(problems, key=lambda each: (turn_of(each.code), each.severity != ERROR))


def folded(problems: Iterable[Problem]) -> list[Folded]:
    """The problems in their order, those of a kind together where the first of them stands."""
    kinds: dict[tuple[str, ...], list[Problem]] = {}
    for found in ranked(problems):
        kinds.setdefault(_kind(found), []).append(found)
    return [line for alike in kinds.values() for line in _lines(alike)]


def _kind(found: Problem) -> tuple[str, ...]:
    """Problems are of a kind that have the same cure in one column of a sheet."""
    cell = _CELL.fullmatch(found.place.cell)
    column = cell[1] if cell else found.place.cell
    return (found.severity, found.code, found.place.file, found.place.sheet, column, found.did, found.do)


def _lines(alike: list[Problem]) -> Iterator[Folded]:
    same = len({found.says for found in alike}) == 1
    if len(alike) < (2 if same else A_FEW):
        yield from map(Folded, alike)
        return
    first = alike[0]
    says = first.says if same else f"{CODES[first.code].means} The first: {first.says}"
    found = first.found if len({each.found for each in alike}) == 1 else ""
    cells = cells_text([each.place for each in alike])
    place = Place(first.place.file, first.place.sheet, cells)
    head = Problem(first.code, first.severity, place, says, first.did, first.do, found)
    yield Folded(head, tuple(alike), cells)


def cells_text(places: Sequence[Place]) -> str:
    """``K14 to K58, K60 (46 cells)``: stretches of one column, and how many cells they are."""
    stretches = list(_stretches(dict.fromkeys(place.cell for place in places)))
    named = ", ".join(stretches[:MOST_CELLS])
    more = f" and {len(stretches) - MOST_CELLS} more stretches" if len(stretches) > MOST_CELLS else ""
    return f"{named}{more} ({len(places)} cells)"


def _stretches(cells: Iterable[str]) -> Iterator[str]:
    runs: list[tuple[str, int, int]] = []
    for cell in cells:
        parted = _CELL.fullmatch(cell)
        if parted is None:
            yield cell
            continue
        column, row = parted[1], int(parted[2])
        if runs and runs[-1][0] == column and runs[-1][2] + 1 == row:
            runs[-1] = (column, runs[-1][1], row)
        else:
            runs.append((column, row, row))
    for column, first, last in runs:
        yield f"{column}{first}" if first == last else f"{column}{first} to {column}{last}"
