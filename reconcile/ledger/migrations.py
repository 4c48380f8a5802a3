"""A ledger of an earlier format: brought up by the first run that writes, read as it is by those that read.

``bring_up`` works within the transaction of what is booked: both are in the ledger, or neither. Before it
changes anything it keeps a copy of the ledger beside it. ``stand_in`` lays what the earlier format lacks
over it for one connection, empty, in a store of its own: nothing is written to the file.
"""

import os
import sqlite3
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from pathlib import Path

from reconcile.ledger.faults import broken
from reconcile.ledger.files import aside_name, digest, free_path, sync_folder
from reconcile.ledger.schema import ADDED_IN_2, APPENDED_2, FORMAT, LINE_COLUMNS, TABLES_2, statements
from reconcile.values.problem import Place, Problem, Unusable, problem

Migration = Callable[[sqlite3.Connection], None]


def to_2(connection: sqlite3.Connection) -> None:
    """Jobs as booked, holds, orders, and an identity of the ledger's own."""
    for statement in statements(ADDED_IN_2):
        connection.execute(statement)
    connection.execute("INSERT INTO identity VALUES (1, ?)", (str(uuid.uuid4()),))


STEPS: dict[int, Migration] = {1: to_2}
"""By the format that each starts from; each leads to the next."""


def format_of(connection: sqlite3.Connection) -> int:
    (found,) = connection.execute("PRAGMA user_version").fetchone()
    return int(found)


def raise_format(connection: sqlite3.Connection, found: int) -> None:
    """Every step from a format to ours; within a transaction."""
    for step in range(found, FORMAT):
        STEPS[step](connection)
    connection.execute(f"PRAGMA user_version = {FORMAT}")


def bring_up(connection: sqlite3.Connection, path: Path) -> None:
    """Brings an earlier ledger up to our format, a copy kept; within a transaction. Else does nothing."""
    found = format_of(connection)
    if found > FORMAT or found < 1:  # another run may have brought it further since it was opened
        raise Unusable(other_version(path, found))
    if found < FORMAT:
        drop_stand_ins(connection)
        keep_copy(path, found)
        raise_format(connection, found)
    elif _stand_ins(connection):
        drop_stand_ins(connection)


def keep_copy(path: Path, found: int) -> None:
    """A copy of the ledger as it was, ``stock-ledger-format-1.sqlite``; never over another file.

    It is read by SQLite, not as a file: closing a file that SQLite has open would end its lock ("How To
    Corrupt An SQLite Database File", 2.2).
    """
    aside = path.with_name(aside_name("old"))
    try:
        with (
            closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as old,
            closing(sqlite3.connect(aside, isolation_level=None)) as new,
        ):
            new.execute("PRAGMA journal_mode = OFF")
            old.backup(new)
        _waited_for(aside)
        kept = path.with_name(f"{path.stem}-format-{found}{path.suffix}")
        if digest(kept) == digest(aside):  # an earlier run was stopped after it had kept it
            aside.unlink()
            return
        aside.rename(free_path(kept))
        sync_folder(path.parent)
    except OSError as fault:
        with suppress(OSError):
            aside.unlink(missing_ok=True)
        says = f"No copy of {path.name} can be kept: {fault.strerror or fault}."
        raise Unusable(problem("output-locked", Place(path.name), says)) from fault


def _waited_for(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


# --- those that only read -------------------------------------------------------------------------


def stand_in(connection: sqlite3.Connection) -> None:
    """What format 2 added, empty, for this connection alone."""
    connection.execute("PRAGMA temp_store = MEMORY")
    for statement in statements(TABLES_2):
        connection.execute(statement.replace("CREATE TABLE", "CREATE TEMP TABLE", 1))
    blank = ", ".join(f"'' AS {column}" for column in LINE_COLUMNS)
    connection.execute(f"CREATE TEMP VIEW movements AS SELECT *, {blank} FROM main.movements")


def drop_stand_ins(connection: sqlite3.Connection) -> None:
    """So that the ledger's own tables are seen again."""
    connection.execute("DROP VIEW IF EXISTS temp.movements")
    for table in reversed(APPENDED_2):
        connection.execute(f"DROP TABLE IF EXISTS temp.{table}")


def _stand_ins(connection: sqlite3.Connection) -> bool:
    (count,) = connection.execute("SELECT count(*) FROM sqlite_temp_master").fetchone()
    return bool(count)


# --- is it one of ours ----------------------------------------------------------------------------


def other_version(path: Path, found: int) -> Problem:
    return broken(path, f"{path.name} was made by another version of this program ({found}).")


def lacking(connection: sqlite3.Connection, text: str) -> Iterator[str]:
    """Tables and triggers of a format that the file has not."""
    there = {name for (name,) in connection.execute("SELECT name FROM main.sqlite_master")}
    for statement in statements(text):
        words = statement.split()
        if words[:1] == ["CREATE"] and words[2] not in there:
            yield words[2]
