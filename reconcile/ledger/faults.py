"""What SQLite complains of, and what cannot be read, as problems."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from reconcile.values.problem import Place, Problem, Unusable, problem

_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_DAMAGED = (
    sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT, sqlite3.SQLITE_MISMATCH,
    sqlite3.SQLITE_TOOBIG,
)  # fmt: skip
_DISK = (
    sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_PERM,
)  # fmt: skip


@contextmanager
def told(path: Path) -> Iterator[None]:
    """What SQLite complains of within, as a problem. Raises Unusable."""
    try:
        yield
    except sqlite3.Error as fault:
        raise Unusable(_fault(path, fault)) from fault


def broken(path: Path, says: str) -> Problem:
    return problem("ledger-broken", Place(path.name), says)


def _fault(path: Path, fault: sqlite3.Error) -> Problem:
    code = getattr(fault, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    if code in _BUSY:
        return problem("ledger-busy", Place(path.name), f"Another run is writing to {path.name} now.")
    if code in _DISK:
        says = f"{path.name} cannot be read or written: {fault}."
        return problem("output-locked", Place(path.name), says)
    if code in _DAMAGED:
        return broken(path, f"{path.name} is damaged or no ledger: {fault}.")
    # Our own statements are right for our own tables: where one finds no table, no column, or text that is
    # none, the file is not what it says it is.
    if isinstance(fault, sqlite3.OperationalError) and code == sqlite3.SQLITE_ERROR:
        return broken(path, f"{path.name} is not laid out as its format says: {fault}.")
    raise fault
