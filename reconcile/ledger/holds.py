"""Held jobs: rows of two tables to values and back."""

from datetime import datetime

from reconcile.ledger.asking import Asker, Value
from reconcile.ledger.jobs import text_of, texts_of
from reconcile.ledger.rows import LedgerRow
from reconcile.values.ledger.holds import ENDINGS, HeldRow, Hold, HoldEnd

_HOLDS = """
SELECT h.*, e.how, e.at AS ended, e.who AS ended_by, e.row
FROM holds h LEFT JOIN hold_ends e ON e.hold = h.id ORDER BY h.id
"""


def add_hold(ask: Asker, row: HeldRow, at: datetime, who: str) -> Hold:
    number = ask.add("holds", {**_columns(row), "at": at.isoformat(timespec="seconds"), "who": who})
    return Hold(number, row, at.replace(microsecond=0), who)


def add_end(ask: Asker, number: int, end: HoldEnd) -> None:
    at = end.at.isoformat(timespec="seconds")
    ask.add("hold_ends", {"hold": number, "how": end.how, "at": at, "who": end.who, "row": end.row})


def holds(ask: Asker) -> tuple[Hold, ...]:
    """Every hold that was ever made, in that order; those that ended say how."""
    return tuple(
        Hold(row.number, _held(row), row.time("at"), row.text("who"), _end(row))
        for row in ask.rows("holds", _HOLDS)
    )


def _columns(row: HeldRow) -> dict[str, Value]:
    return {
        "job": row.job, "day": row.day.isoformat(), "frame": row.frame, "adjustment": row.adjustment,
        "size_from": text_of(row.size_from), "size_to": text_of(row.size_to), "unit": row.unit,
        "options": None if row.options is None else texts_of(row.options), "side": row.side,
        "left_now": row.left_now, "right_now": row.right_now, "spacers_now": row.spacers_now,
        "chairs": row.chairs, "priority": row.priority, "asset": row.asset, "technician": row.technician,
        "notes": row.notes,
    }  # fmt: skip


def _held(row: LedgerRow) -> HeldRow:
    options = None if row.cells["options"] is None else row.texts("options")
    return HeldRow(
        row.text("job"), row.day("day"), row.text("frame"), row.exact("size_to"),
        row.optional_exact("size_from"), row.text("unit"), row.text("adjustment"), options, row.text("side"),
        row.optional_whole("left_now"), row.optional_whole("right_now"), row.text("spacers_now"),
        row.whole("chairs", least=1), row.whole("priority"), row.text("asset"), row.text("technician"),
        row.text("notes"),
    )  # fmt: skip


def _end(row: LedgerRow) -> HoldEnd | None:
    if row.cells["how"] is None:
        return None
    return HoldEnd(row.choice("how", ENDINGS), row.time("ended"), row.text("ended_by"), row.text("row"))
