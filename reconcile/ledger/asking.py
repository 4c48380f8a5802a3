"""Asking the ledger: a statement's rows, by name; and adding a row of named columns."""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from reconcile.ledger.faults import told
from reconcile.ledger.rows import LedgerRow

Value = str | int | None


@dataclass(frozen=True, slots=True)
class Asker:
    """A connection and the file it is to. Raises Unusable as ``told`` does."""

    path: Path
    run: sqlite3.Connection

    def rows(self, table: str, statement: str, values: Sequence[Value] = ()) -> list[LedgerRow]:
        """The answer; ``table`` is named where a row cannot be read. A column ``id`` numbers the rows."""
        with told(self.path):
            answer = self.run.execute(statement, values)
            names = [column[0] for column in answer.description]
            found = answer.fetchall()
        rows = (dict(zip(names, cells, strict=True)) for cells in found)
        return [
            LedgerRow(self.path, table, _number(cells.get("id"), count), cells)
            for count, cells in enumerate(rows, 1)
        ]

    def add(self, table: str, columns: Mapping[str, Value]) -> int:
        """One row; its number."""
        with told(self.path):
            added = self.run.execute(_insert(table, columns), tuple(columns.values()))
        return added.lastrowid or 0

    def add_all(self, table: str, rows: Iterable[Mapping[str, Value]]) -> None:
        """Rows of the same columns."""
        kept = list(rows)
        if kept:
            with told(self.path):
                self.run.executemany(_insert(table, kept[0]), [tuple(row.values()) for row in kept])


def _number(found: object, count: int) -> int:
    return found if isinstance(found, int) else count


def _insert(table: str, columns: Mapping[str, Value]) -> str:
    marks = ", ".join("?" * len(columns))
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})"
