"""The ledger's file is opened: made where there is none, read as it is where it is of an earlier format."""

import sqlite3
from pathlib import Path

from reconcile.ledger.faults import broken, told
from reconcile.ledger.migrations import format_of, lacking, other_version, raise_format, stand_in
from reconcile.ledger.schema import ADDED_IN_2, FORMAT, FORMAT_1, statements
from reconcile.values.problem import Unusable


def connected(path: Path, *, create: bool, patience: float) -> sqlite3.Connection:
    """A connection to a ledger that is laid out as it says. Raises Unusable as ``open_ledger`` does."""
    with told(path):
        mode = "rwc" if create else "rw"
        connection = sqlite3.connect(
            f"{path.resolve().as_uri()}?mode={mode}", uri=True, timeout=patience, isolation_level=None
        )
        try:
            _prepare(connection, path)
        except BaseException:
            connection.close()
            raise
    return connection


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = EXTRA")
    found = format_of(connection)
    if found == 0:
        connection.execute("BEGIN IMMEDIATE")
        found = format_of(connection)  # another run may have made it now
        if found == 0:
            _make(connection, path)
            found = FORMAT
        connection.execute("COMMIT")
    if not 1 <= found <= FORMAT:
        raise Unusable(other_version(path, found))
    layout = FORMAT_1 if found == 1 else FORMAT_1 + ADDED_IN_2
    if lacks := next(lacking(connection, layout), ""):
        raise Unusable(broken(path, f"{path.name} has no {lacks}, which a ledger of its format has."))
    if found == 1:
        stand_in(connection)


def _make(connection: sqlite3.Connection, path: Path) -> None:
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if tables:
        raise Unusable(broken(path, f"{path.name} is a database, but no ledger."))
    for statement in statements(FORMAT_1):
        connection.execute(statement)
    raise_format(connection, 1)
