"""The cells of one row by heading, each through a getter of its kind."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class CellsRead:
    """What a row's columns read. A getter of another kind than the column's reader gives is our own fault."""

    cells: Mapping[str, object]

    def text(self, heading: str) -> str:
        return self._of(heading, str)

    def texts(self, heading: str) -> tuple[str, ...]:
        return tuple(map(str, self._of(heading, tuple)))

    def truth(self, heading: str) -> bool | None:
        return self._optional(heading, bool)

    def whole(self, heading: str) -> int | None:
        return self._optional(heading, int)

    def date(self, heading: str) -> datetime.date:
        return self._of(heading, datetime.date)

    def optional_date(self, heading: str) -> datetime.date | None:
        return self._optional(heading, datetime.date)

    def length(self, heading: str) -> tuple[Fraction | None, str]:
        """In mm, and the unit it was written in; nothing for a blank cell."""
        mm, unit = self._of(heading, tuple)
        return (mm if isinstance(mm, Fraction) else None), str(unit)

    def _of(self, heading: str, kind: type[T]) -> T:
        cell = self.cells[heading]
        if not isinstance(cell, kind):
            raise TypeError(f"{heading} was read as {type(cell).__name__}, not {kind.__name__}")
        return cell

    def _optional(self, heading: str, kind: type[T]) -> T | None:
        return None if self.cells[heading] is None else self._of(heading, kind)
