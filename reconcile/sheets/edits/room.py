"""Where rows that are added to a sheet go: inside its table, above its totals, never under merged cells."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from reconcile.sheets.edits.refs import Shift
from reconcile.sheets.edits.tables import EditedTable

_TOTAL = re.compile(r"\s*(?:(?:grand|sub)[ -]?)?(?:totals?|sum)\b", re.IGNORECASE)
_SUMS = re.compile(r"\b(?:SUM|SUBTOTAL|AGGREGATE|SUMIFS?|COUNTA?|AVERAGE)\s*\(", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class RowSeen:
    """A row as far as it matters here."""

    number: int
    texts: tuple[str, ...] = ()
    formulas: tuple[str, ...] = ()

    @property
    def is_total(self) -> bool:
        """It says so, or it sums."""
        return any(map(_TOTAL.match, self.texts)) or any(map(_SUMS.search, self.formulas))


@dataclass(frozen=True, slots=True)
class Room:
    """Where the first added row goes, and what moves down for it."""

    first: int
    shift: Shift | None = None
    """None where nothing moves and no sum below is to take the rows in."""
    table: EditedTable | None = None
    """The table that the rows belong to."""


def room_for(
    count: int, data: int, filled: Sequence[RowSeen], blocked: int, tables: Sequence[EditedTable]
) -> Room:
    """The place of ``count`` rows below the row ``data``, the last of the data.

    ``filled``: the rows below it that hold something, or that merged cells cover, top to bottom.
    ``blocked``: the last row of all that is filled or merged.
    """
    table = next((each for each in tables if each.holds(data)), None)
    stop = _stop(filled, table)
    if stop is None:
        return Room(max(data, blocked) + 1, None, table)
    free = stop - data - 1
    by = max(count - free, 0)
    return Room(data + 1, Shift(stop, by, data, count), table)


def _stop(filled: Sequence[RowSeen], table: EditedTable | None) -> int | None:
    """The first row that must stay below the added ones; None where they go below everything."""
    if table is not None:
        below = [row.number for row in filled]
        if table.totals:
            below.append(table.last + 1)
        return min(below, default=None)
    totals = [row.number for row in filled if row.is_total]
    return min(totals, default=None) if totals and totals[0] == filled[0].number else None
