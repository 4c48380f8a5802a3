"""What a closing keeps as plain values, for an undo and for who asks what is done: checked as it is read."""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path

from reconcile.ledger.faults import broken
from reconcile.ledger.rows import exact
from reconcile.values.problem import RowPlace, Unusable
from reconcile.values.stock.movements import Closing
from reconcile.values.stock.parts import Due, Usage


def done(path: Path, closing: Closing) -> tuple[str, ...]:
    """The jobs that it marked as done. Raises Unusable (ledger-broken)."""
    return tuple(job for (job,) in _rows(path, closing, "done", 1))


def dues(path: Path, closing: Closing) -> tuple[Due, ...]:
    """What it took off the sheet of what is on order. Raises Unusable (ledger-broken)."""
    nowhere = RowPlace(closing.name, "", 0)
    with_numbers = (
        (order, part, _exact(path, closing, quantity), _day(path, closing, day))
        for order, part, quantity, day in _rows(path, closing, "received", 4)
    )
    return tuple(Due(order, part, quantity, day, nowhere) for order, part, quantity, day in with_numbers)


def usages(path: Path, closing: Closing) -> tuple[Usage, ...]:
    """What it added to the sheet of usage. Raises Unusable (ledger-broken)."""
    nowhere = RowPlace(closing.name, "", 0)
    return tuple(
        Usage(_day(path, closing, day), part, _exact(path, closing, quantity), job, nowhere)
        for day, part, quantity, job in _rows(path, closing, "usage", 4)
    )


def _rows(path: Path, closing: Closing, name: str, width: int) -> Iterator[tuple[str, ...]]:
    """Rows of texts; a list of texts is one of rows of one."""
    kept = closing.details.get(name, [])
    for found in kept if isinstance(kept, list) else [None]:
        row = [found] if width == 1 else found
        if not isinstance(row, list) or len(row) != width:
            raise _unreadable(path, closing, name)
        texts = tuple(cell for cell in row if isinstance(cell, str))
        if len(texts) != width:
            raise _unreadable(path, closing, name)
        yield texts


def _exact(path: Path, closing: Closing, text: str) -> Fraction:
    try:
        return exact(text)
    except (ValueError, ZeroDivisionError) as why:
        raise _unreadable(path, closing, text) from why


def _day(path: Path, closing: Closing, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as why:
        raise _unreadable(path, closing, text) from why


def _unreadable(path: Path, closing: Closing, what: str) -> Unusable:
    return Unusable(broken(path, f"What {closing.name} keeps as {what!r} cannot be read."))
