"""References to cells, in formulas and elsewhere in a workbook's XML, where rows of a sheet move down.

Only references in the A1 notation are looked at; structured ones name columns, which do not move.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

_SHEET = r"(?:(?P<sheet>'(?:[^']|'')+'|[A-Za-z_\u0080-\uffff][\w.\u0080-\uffff]*)!)?"
_CELL = r"(?P<{0}c>\$?[A-Z]{{1,3}})(?P<{0}d>\$?)(?P<{0}r>[1-9][0-9]{{0,6}})"
_REFERENCE = re.compile(
    rf"(?<![\w.$\]])(?<!!){_SHEET}{_CELL.format('a')}(?::{_CELL.format('b')})?(?![\w(.!\[])"
)
_TEXT = re.compile(r'"(?:[^"]|"")*"')
_RANGE = re.compile(r"(\$?[A-Z]+\$?)([0-9]+)(?::(\$?[A-Z]+\$?)([0-9]+))?")


@dataclass(frozen=True, slots=True)
class Shift:
    """Rows from ``start`` on move down by ``by``; rows were added after ``last``, the last of the data."""

    start: int
    by: int
    last: int
    added: int

    def row(self, row: int) -> int:
        return row + self.by if row >= self.start else row

    def span(self, top: int, bottom: int) -> tuple[int, int]:
        """A range: one that ends with the data, or just above what moved, takes the added rows in."""
        if top <= self.last <= bottom < self.start:
            return top, max(self.last + self.added, bottom + self.by)
        return self.row(top), self.row(bottom)


def shifted(formula: str, own: str, shift: Shift) -> str:
    """A formula that stands in a row that moved, of the sheet ``own``."""
    return _replaced(formula, lambda found: _moved(found, own, shift))


def reaches(formula: str, own: str, sheet: str, start: int) -> bool:
    """Whether a formula on the sheet ``own`` refers to a row from ``start`` on of another ``sheet``."""
    bare = _TEXT.sub('""', formula)
    return any(
        _named(found, own) == sheet.casefold() and max(int(found["ar"]), int(found["br"] or 0)) >= start
        for found in _REFERENCE.finditer(bare)
    )


def moved_range(area: str, shift: Shift) -> str:
    """Ranges as an attribute has them, parted by blanks."""
    return " ".join(_moved_area(each, shift) for each in area.split())


def _moved_area(area: str, shift: Shift) -> str:
    found = _RANGE.fullmatch(area)
    if found is None:
        return area
    if found[4] is None:
        return f"{found[1]}{shift.row(int(found[2]))}"
    top, bottom = int(found[2]), int(found[4])
    if bottom >= shift.start > top:
        return f"{found[1]}{top}:{found[3]}{bottom + shift.by}"
    return f"{found[1]}{shift.row(top)}:{found[3]}{shift.row(bottom)}"


def _moved(found: re.Match[str], own: str, shift: Shift) -> str:
    if _named(found, own) != own.casefold():
        return found[0]
    lead = f"{found['sheet']}!" if found["sheet"] else ""
    first = f"{lead}{found['ac']}{found['ad']}"
    if found["br"] is None:
        return f"{first}{shift.row(int(found['ar']))}"
    top, bottom = shift.span(int(found["ar"]), int(found["br"]))
    return f"{first}{top}:{found['bc']}{found['bd']}{bottom}"


def _named(found: re.Match[str], own: str) -> str:
    said = found["sheet"]
    if not said:
        return own.casefold()
    return (said[1:-1].replace("''", "'") if said.startswith("'") else said).casefold()


def _replaced(formula: str, change: Callable[[re.Match[str]], str]) -> str:
    """Outside of texts in quotes."""
    out, at = [], 0
    for text in _TEXT.finditer(formula):
        out += [_REFERENCE.sub(change, formula[at : text.start()]), text[0]]
        at = text.end()
    return "".join([*out, _REFERENCE.sub(change, formula[at:])])
