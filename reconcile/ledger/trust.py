"""What lies in the ledger's file is looked at like any input before it is believed.

``strange_triggers`` finds what would act by itself; ``refuse_names`` holds names of files to our own pattern,
so that no row leads out of the folder; ``row_faults`` reads every row of every table as it will be read.

A mark ties a workbook to its ledger: drawn for each closing, kept among its details, borne by the workbook.
So a ledger that was lost, put back from an older copy, or taken from another workshop is told by the
workbook, and an older workbook by the ledger.
"""

import re
import secrets
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

from reconcile.ledger.faults import broken
from reconcile.ledger.schema import statements
from reconcile.values.days import period_named
from reconcile.values.ledger.mark import (
    BEFORE,
    EMPTY,
    FITS,
    FOREIGN,
    LOST,
    OLDER,
    UNMARKED,
    Mark,
    mark_of,
)
from reconcile.values.problem import Problem, Unusable
from reconcile.values.stock.movements import COUNT, KINDS, LEDGER_ENDING, ORDERS, SHEET, UNDO, WEEK, Closing

if TYPE_CHECKING:
    from pathlib import Path

    from reconcile.ledger.book import Ledger

ASIDE = re.compile(r"\.reconcile-closing-[0-9a-f]{16}\.(?:new|old|ledger(?:-journal)?)")
"""How files are named until they are in their place."""
_WORKBOOK = re.compile(r"[^./\\:\x00-\x1f\x7f][^/\\:\x00-\x1f\x7f]*\.(?:xlsx|xlsm)", re.IGNORECASE)


# --- what would act by itself ---------------------------------------------------------------------


def strange_triggers(connection: sqlite3.Connection, layout: str) -> Iterator[str]:
    """Triggers and views that a ledger of this layout does not have, or has otherwise."""
    ours = {_plain(each) for each in statements(layout) if each.split()[:2] == ["CREATE", "TRIGGER"]}
    found = connection.execute(
        "SELECT type, name, sql FROM main.sqlite_master WHERE type IN ('trigger', 'view')"
    )
    for kind, name, sql in found:
        if kind == "view" or _plain(sql or "") not in ours:
            yield f"a {kind} {str(name)[:60]!r} of its own"


def _plain(sql: str) -> str:
    return " ".join(sql.rstrip().rstrip(";").split())


# --- names of files -------------------------------------------------------------------------------


def refuse_names(path: "Path", closing: Closing) -> Closing:
    """The closing, whose names of files are bare ones of our own pattern.

    Raises Unusable (ledger-broken) for any other: it would move a file that is none of ours.
    """
    folder, _, kept = closing.kept.rpartition("/")
    sound = (
        (not closing.target or _WORKBOOK.fullmatch(closing.target))
        and (not closing.aside or (ASIDE.fullmatch(closing.aside) and closing.aside.endswith(".new")))
        and (
            not closing.kept or (_WORKBOOK.fullmatch(kept) and re.fullmatch(r"[^./\\:][^/\\:]*-kept", folder))
        )
    )
    if not sound:
        names = f"{closing.target!r}, {closing.aside!r}, {closing.kept!r}"
        shown = names if len(names) <= 120 else f"{names[:117]}..."
        raise Unusable(
            broken(path, f"{path.name}, closings: {closing.name} names files that are none: {shown}.")
        )
    return closing


def belongs_beside(ledger: "Path", closing: Closing) -> bool:
    """Whether what a closing is to put in place is this ledger's own workbook, or one made of it."""
    stem = ledger.name.removesuffix(LEDGER_ENDING)
    own = re.escape(stem)
    target = re.fullmatch(rf"{own}(?:-after-.+)?\.(?:xlsx|xlsm)", closing.target, re.IGNORECASE | re.DOTALL)
    kept = re.fullmatch(
        rf"{own}-kept/{own}-before-.+\.(?:xlsx|xlsm)", closing.kept, re.IGNORECASE | re.DOTALL
    )
    return bool(target) and bool(closing.aside) and (not closing.kept or bool(kept))


# --- every row ------------------------------------------------------------------------------------

_TEXTS = ("part", "bin", "unit", "kind", "who", "job", "source", "note")
_BAD_MOVEMENT = (
    " OR ".join(f"typeof({column}) <> 'text'" for column in _TEXTS)
    + " OR typeof(amount) <> 'integer' OR typeof(per) <> 'integer' OR per < 1"
    + " OR typeof(day) <> 'text' OR date(day, '+0 days') IS NOT day"
    + f" OR kind NOT IN ({', '.join(repr(kind) for kind in KINDS)})"
)
_GAPS = "SELECT count(*), coalesce(max(id), 0), coalesce(min(id), 1) FROM {table}"
CLOSING_KINDS = (WEEK, COUNT, UNDO, SHEET, ORDERS)


def row_faults(run: sqlite3.Connection, ledger: "Ledger") -> Iterator[Problem]:
    """What is wrong with rows, by the same readers that the commands use."""
    readings: tuple[Callable[[], object], ...] = (
        ledger.closings, ledger.done, ledger.uses, ledger.booked_jobs, ledger.holds, ledger.order_entries,
        ledger.balances, ledger.mark,
    )  # fmt: skip
    for reading in readings:
        try:
            reading()
        except Unusable as unusable:
            yield from unusable.problems
    path = ledger.path
    for (number,) in run.execute(f"SELECT id FROM movements WHERE {_BAD_MOVEMENT} LIMIT 5"):
        yield broken(path, f"{path.name}, movements, row {number}: it holds what no movement does.")
    for (number,) in run.execute(f"SELECT id FROM closings WHERE kind NOT IN {CLOSING_KINDS!r} LIMIT 5"):
        yield broken(path, f"{path.name}, closings, row {number}: it is of no kind that a closing has.")
    for table in ("closings", "movements"):
        count, last, first = run.execute(_GAPS.format(table=table)).fetchone()
        if (count, first) != (last, 1):
            yield broken(path, f"{path.name}, {table}: rows were taken out.")
    for table, row, parent, _ in run.execute("PRAGMA foreign_key_check").fetchmany(5):
        yield broken(path, f"{path.name}, {table}, row {row}: what it belongs to is not in {parent}.")


# --- marks ----------------------------------------------------------------------------------------

DETAIL = "mark"
"""What the details of a closing call the mark of its workbook; "" where that bears none."""


def next_mark(ledger: "Ledger", closing: Closing, ahead: int) -> Mark:
    """The mark of a closing that is about to be posted, ``ahead`` closings before it; within ``held``."""
    own = ledger.mark()
    weeks = {each.name for each in ledger.standing_closings() if each.kind == WEEK} - {closing.undoes}
    if closing.kind == WEEK:
        weeks.add(closing.name)
    return Mark(own.identity, own.counter + ahead + 1, secrets.token_hex(8), last_week(weeks))


def last_week(names: Iterable[str]) -> str:
    """The latest of some weeks; "" where none has a name that tells its days."""
    periods = {period: name for name in names if (period := period_named(name))}
    return periods[max(periods, key=lambda period: period.last)] if periods else ""


def compared(borne: Mark | None, digest: str, ledger: "Ledger | None") -> str:
    """How a workbook stands to the ledger beside it: FITS, UNMARKED, BEFORE or one of APART.

    ``borne``: the mark of the workbook; ``digest``: the SHA-256 of its bytes.
    """
    last = ledger.last() if ledger else None
    if last is not None and last.old_workbook == digest != last.new_workbook:
        return BEFORE
    if borne is None:
        return UNMARKED
    if ledger is None or last is None:
        return LOST if ledger is None else EMPTY
    return _by_marks(borne, ledger, last)


def _by_marks(borne: Mark, ledger: "Ledger", last: Closing) -> str:
    own = ledger.mark()
    if own.identity and own.identity != borne.identity:
        return FOREIGN
    if borne.counter > own.counter or not own.identity:
        return OLDER
    there = ledger.closing_numbered(borne.counter)
    if there is not None and (kept := mark_kept(there)) is not None and kept != borne:
        return FOREIGN
    expected = mark_kept(last)
    return FITS if expected is None or expected == borne else BEFORE


def mark_kept(closing: Closing) -> Mark | None:
    """The mark that a closing left on its workbook; None where it left none, or none is known."""
    told = closing.details.get(DETAIL)
    return mark_of(told) if isinstance(told, str) else None
