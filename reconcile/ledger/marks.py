"""The mark that ties a workbook to its ledger: drawn for each closing, kept with it, and compared.

A closing keeps among its details the mark that its workbook bears. So a ledger that was lost, put back from
an older copy, or taken from another workshop is told by the workbook, and an older workbook by the ledger.
"""

import secrets
from collections.abc import Iterable

from reconcile.ledger.book import Ledger
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
from reconcile.values.stock.movements import WEEK, Closing

DETAIL = "mark"
"""What the details of a closing call the mark of its workbook; "" where that bears none."""


def next_mark(ledger: Ledger, closing: Closing, ahead: int) -> Mark:
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


def compared(borne: Mark | None, digest: str, ledger: Ledger | None) -> str:
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


def _by_marks(borne: Mark, ledger: Ledger, last: Closing) -> str:
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
