"""Rows of the ledger to values: each column read by name and checked, as any input is.

What a column holds that its kind never does (text for a number, a day that is none, JSON of another shape)
is the problem ledger-broken, with table and row.
"""

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from pathlib import Path
from typing import TypeVar

from reconcile.ledger.faults import broken
from reconcile.values.problem import Place, Unusable
from reconcile.values.stock.lines import LineKey
from reconcile.values.stock.movements import Closing, Movement, PlannedUse

T = TypeVar("T")
LONGEST = 200
"""Digits of a number that is read: beyond it a damaged column would cost hours."""


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One row as SQLite gives it. Every getter raises Unusable (ledger-broken)."""

    path: Path
    table: str
    number: int
    """Of the row in its table; of the answer, where the table has no numbers."""
    cells: Mapping[str, object]

    def text(self, column: str) -> str:
        return self._of(column, str)

    def whole(self, column: str, least: int | None = None) -> int:
        number = self._of(column, int)
        if least is not None and number < least:
            raise self.fault(column)
        return number

    def optional_whole(self, column: str) -> int | None:
        return None if self.cells[column] is None else self.whole(column)

    def choice(self, column: str, known: Sequence[str]) -> str:
        word = self.text(column)
        if word not in known:
            raise self.fault(column)
        return word

    def day(self, column: str) -> date:
        return self._read(column, date.fromisoformat)

    def optional_day(self, column: str) -> date | None:
        return None if self.cells[column] is None else self.day(column)

    def time(self, column: str) -> datetime:
        return self._read(column, datetime.fromisoformat)

    def exact(self, column: str) -> Fraction:
        return self._read(column, exact)

    def optional_exact(self, column: str) -> Fraction | None:
        return None if self.cells[column] is None else self.exact(column)

    def optional_price(self, column: str) -> Decimal | None:
        return None if self.cells[column] is None else self._read(column, _price)

    def texts(self, column: str) -> tuple[str, ...]:
        """A list of texts, kept as JSON."""
        found = self._read(column, json.loads)
        if not isinstance(found, list) or not all(isinstance(each, str) for each in found):
            raise self.fault(column)
        return tuple(found)

    def mapping(self, column: str) -> dict[str, object]:
        """An object, kept as JSON."""
        found = self._read(column, json.loads)
        if not isinstance(found, dict):
            raise self.fault(column)
        return found

    def optional_pieces(self, column: str) -> dict[str, Fraction] | None:
        """How many of each part, kept as JSON with exact numbers as text."""
        if self.cells[column] is None:
            return None
        return {part: self._made(column, exact, count) for part, count in self.mapping(column).items()}

    def fault(self, column: str) -> Unusable:
        held = repr(self.cells[column])
        shown = held if len(held) <= 60 else f"{held[:57]}..."
        says = f"{self.path.name}, {self.table}, row {self.number}: {column} cannot be {shown}."
        return Unusable(broken(self.path, says))

    def _of(self, column: str, kind: type[T]) -> T:
        value = self.cells[column]
        if not isinstance(value, kind):
            raise self.fault(column)
        return value

    def _read(self, column: str, read: Callable[[str], T]) -> T:
        return self._made(column, read, self.text(column))

    def _made(self, column: str, read: Callable[[str], T], text: object) -> T:
        try:
            if isinstance(text, str):
                return read(text)
        except (ValueError, ZeroDivisionError, InvalidOperation, RecursionError, OverflowError) as why:
            raise self.fault(column) from why
        raise self.fault(column)


def exact(text: str) -> Fraction:
    """``12``, ``-7/2``. Raises ValueError, ZeroDivisionError."""
    if len(text) > LONGEST or "e" in text.casefold():
        raise ValueError(text)
    return Fraction(text)


def _price(text: str) -> Decimal:
    found = Decimal(text)
    if not found.is_finite():
        raise ValueError(text)
    return found


_CELL = re.compile(
    r"(?P<file>.+?\.(?:xlsx|xlsm|xlsb|xls|ods|csv))(?:!(?P<sheet>.+))?!(?P<cell>[A-Z]{1,3}[1-9][0-9]*)",
    re.IGNORECASE | re.DOTALL,
)
"""A cell as ``str`` of a place puts it: names of files and sheets may themselves hold an exclamation mark."""


def place_of(text: str) -> Place | None:
    """What the column ``source`` holds; what is no cell of a sheet is a file, and its text stays the same."""
    if not text:
        return None
    found = _CELL.fullmatch(text)
    return Place(found["file"], found["sheet"] or "", found["cell"]) if found else Place(text)


def movement(row: LedgerRow) -> Movement:
    quantity = Fraction(row.whole("amount"), row.whole("per", least=1))
    line = LineKey(row.text("do"), row.text("what"), row.text("name"), row.text("side"))
    return Movement(
        row.text("part"), row.text("bin"), quantity, row.text("unit"), row.text("kind"), row.day("day"),
        row.text("who"), row.text("job"), place_of(row.text("source")), row.text("note"), line,
    )  # fmt: skip


def closing(row: LedgerRow) -> Closing:
    return Closing(
        row.text("name"), row.text("kind"), row.day("day"), row.text("who"), row.text("old_workbook"),
        row.text("new_workbook"), row.text("target"), row.text("aside"), row.text("kept"),
        row.text("undone"), row.mapping("details"),
    )  # fmt: skip


def planned_use(row: LedgerRow) -> PlannedUse:
    return PlannedUse(
        row.text("job"), row.day("day"), row.text("frame"), row.text("key"), row.text("name"),
        row.text("part"), row.text("unit"), row.exact("planned"), row.exact("used"), row.text("reason"),
    )  # fmt: skip
