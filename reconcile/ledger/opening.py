"""The ledger's file is opened: made where there is none, read as it is where it is of an earlier format."""

import sqlite3
import stat
from pathlib import Path

from reconcile.ledger.faults import broken, told
from reconcile.ledger.migrations import format_of, lacking, other_version, raise_format, stand_in
from reconcile.ledger.schema import ADDED_IN_2, FORMAT, FORMAT_1, statements
from reconcile.ledger.trust import strange_triggers
from reconcile.values.problem import Unusable


def connected(path: Path, *, create: bool, patience: float) -> sqlite3.Connection | None:
    """A connection to a ledger that is laid out as it says; None for none, or a blank one, unless ``create``.

    Raises Unusable as ``open_ledger`` does.
    """
    if not is_there(path) and not create:
        return None
    with told(path):
        mode = "rwc" if create else "rw"
        connection = sqlite3.connect(
            f"{path.resolve().as_uri()}?mode={mode}", uri=True, timeout=patience, isolation_level=None
        )
        try:
            if not create and is_blank(connection):
                connection.close()
                return None
            _prepare(connection, path)
        except BaseException:
            connection.close()
            raise
    return connection


def is_there(path: Path) -> bool:
    """Whether a plain file lies there. Raises Unusable (ledger-broken) for anything else that does."""
    try:
        found = path.stat()
    except FileNotFoundError:
        if path.is_symlink():
            raise Unusable(broken(path, f"{path.name} is a link that leads to nothing.")) from None
        return False
    except OSError as fault:
        raise Unusable(broken(path, f"{path.name} cannot be looked at: {fault.strerror}.")) from fault
    if not stat.S_ISREG(found.st_mode):
        raise Unusable(broken(path, f"{path.name} is no plain file."))
    return True


def is_blank(connection: sqlite3.Connection) -> bool:
    """Whether there is nothing in it: a file that was emptied, or a ledger of which nothing was made yet."""
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    return not tables and format_of(connection) == 0


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")
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
    if strange := next(strange_triggers(connection, layout), ""):
        raise Unusable(broken(path, f"{path.name} has {strange}, which no ledger has."))
    if found == 1:
        stand_in(connection)


def _make(connection: sqlite3.Connection, path: Path) -> None:
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if tables:
        raise Unusable(broken(path, f"{path.name} is a database, but no ledger."))
    for statement in statements(FORMAT_1):
        connection.execute(statement)
    raise_format(connection, 1)
