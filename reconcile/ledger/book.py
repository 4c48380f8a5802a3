"""The ledger beside the stock workbook: an SQLite database to which movements are added and nothing else.

What is relied on is documented by SQLite (sqlite.org, from memory of these pages):

- a transaction is whole or not at all, also when the program or the power fails in it ("Atomic Commit In
  SQLite"). ``synchronous=EXTRA`` waits until the disk has the folder's entry as well;
- one connection writes at a time; ``BEGIN IMMEDIATE`` takes that place at once or says that another has it
  ("Transaction"). So of two people who close or count at a time one wins and the other is told;
- ``PRAGMA integrity_check`` finds a damaged file, a broken index and a column that breaks its CHECK.

The journal is a rollback journal, not a write-ahead log: a log needs memory that all its users share, so it
"does not work over a network filesystem" ("Write-Ahead Logging"), and a workshop's folder often lies on one.

Triggers refuse to change or delete a row. Quantities are exact: a numerator over a denominator, both whole.
``balances`` holds the sum of the movements of each bin by denominator; a trigger keeps it in the same
transaction, so that a check need not add up a million rows. ``audit`` does add them up, and compares.
"""

import itertools
import json
import re
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path
from types import TracebackType

from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import LEDGER_ENDING, Balances, Closing, Entry, Movement, PlannedUse
from reconcile.values.words import nearest

FORMAT = 1
"""Of the tables; kept in the database as its ``user_version``."""
PATIENCE = 2.0
"""Seconds that a run waits for another one to finish with the ledger."""
GREATEST = 10**15
"""Of a numerator or a denominator: a sum of a thousand of these still fits a column of 64 bits."""

APPENDED = ("closings", "finished", "movements", "uses")
SCHEMA = f"""
CREATE TABLE closings (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL, kind TEXT NOT NULL, day TEXT NOT NULL, who TEXT NOT NULL,
    posted TEXT NOT NULL, old_workbook TEXT NOT NULL, new_workbook TEXT NOT NULL, target TEXT NOT NULL,
    aside TEXT NOT NULL, kept TEXT NOT NULL, undoes INTEGER UNIQUE REFERENCES closings (id),
    details TEXT NOT NULL
);
CREATE TABLE finished (closing INTEGER PRIMARY KEY REFERENCES closings (id), how TEXT NOT NULL);
CREATE TABLE movements (
    id INTEGER PRIMARY KEY, closing INTEGER NOT NULL REFERENCES closings (id),
    part TEXT NOT NULL, bin TEXT NOT NULL,
    amount INTEGER NOT NULL CHECK (typeof(amount) = 'integer' AND abs(amount) <= {GREATEST}),
    per INTEGER NOT NULL CHECK (typeof(per) = 'integer' AND per BETWEEN 1 AND {GREATEST}),
    unit TEXT NOT NULL, kind TEXT NOT NULL, day TEXT NOT NULL, who TEXT NOT NULL, job TEXT NOT NULL,
    source TEXT NOT NULL, note TEXT NOT NULL, reverses INTEGER UNIQUE REFERENCES movements (id)
);
CREATE INDEX movements_of_part ON movements (part);
CREATE INDEX movements_of_closing ON movements (closing);
CREATE TABLE uses (
    closing INTEGER NOT NULL REFERENCES closings (id), job TEXT NOT NULL, day TEXT NOT NULL,
    frame TEXT NOT NULL, key TEXT NOT NULL, name TEXT NOT NULL, part TEXT NOT NULL, unit TEXT NOT NULL,
    planned TEXT NOT NULL, used TEXT NOT NULL, reason TEXT NOT NULL
);
CREATE TABLE balances (
    part TEXT NOT NULL, bin TEXT NOT NULL, unit TEXT NOT NULL, per INTEGER NOT NULL,
    amount INTEGER NOT NULL CHECK (typeof(amount) = 'integer'), PRIMARY KEY (part, bin, unit, per)
) WITHOUT ROWID;
CREATE TRIGGER movements_counted AFTER INSERT ON movements BEGIN
    INSERT INTO balances VALUES (new.part, new.bin, new.unit, new.per, new.amount)
    ON CONFLICT DO UPDATE SET amount = amount + excluded.amount;
END;
""" + "".join(
    f"""
CREATE TRIGGER {table}_not_{did} BEFORE {did.upper()} ON {table} BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
"""
    for table in APPENDED
    for did in ("update", "delete")
)

_MOVEMENT = "part, bin, amount, per, unit, kind, day, who, job, source, note"
_CLOSING = "name, kind, day, who, old_workbook, new_workbook, target, aside, kept, details"
_STANDING = "undoes IS NULL AND id NOT IN (SELECT undoes FROM closings WHERE undoes IS NOT NULL)"
"""Of a closing: it is none that writes back, and none that was written back."""


class Ledger:
    """An open ledger. Every method raises Unusable: ledger-busy, ledger-broken, output-locked.

    Posting goes on within ``held``; what is posted there is in the ledger when its block ends, or none of
    it, if the block raises or the program ends before.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._run = connection

    def __enter__(self) -> "Ledger":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, why: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        self._run.close()

    # --- writing

    @contextmanager
    def held(self) -> Iterator[None]:
        """The one place to write from, for as long as the block lasts: one transaction.

        Raises Unusable (ledger-busy) where another run has it.
        """
        with told(self.path):
            self._run.execute("BEGIN IMMEDIATE")
        try:
            yield
            with told(self.path):
                self._run.execute("COMMIT")
        except BaseException:
            if self._run.in_transaction:
                self._run.execute("ROLLBACK")
            raise

    def post(
        self,
        movements: Sequence[Movement],
        closing: Closing,
        uses: Iterable[PlannedUse] = (),
        reverses: Sequence[int] = (),
    ) -> None:
        """Adds a closing with all its movements; within ``held``.

        ``reverses``: the numbers of the movements that these write back, one each, for an undo.
        Raises Unusable: week-closed where a closing of that name stands; ledger-unit where a part was
        counted in another unit before; movement-too-fine for a quantity that no column holds.
        """
        self._refuse_doubled(closing)
        self._refuse_units(movements)
        with told(self.path):
            number = self._add_closing(closing)
            written: Sequence[int | None] = reverses or [None] * len(movements)
            self._run.executemany(
                f"INSERT INTO movements (closing, {_MOVEMENT}, reverses)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                [(number, *self._columns(each), back) for each, back in zip(movements, written, strict=True)],
            )
            self._run.executemany(
                "INSERT INTO uses VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                [(number, *_use_columns(use)) for use in uses],
            )

    def finish(self, name: str, how: str) -> None:
        """Notes that the workbook of the closing is in its place; within ``held``.

        ``how``: the name it has, or "" where it is lost.
        """
        with told(self.path):
            self._run.execute(
                "INSERT INTO finished SELECT max(id), ? FROM closings WHERE name = ?", (how, name)
            )

    # --- reading

    def card(self, part: str) -> tuple[Entry, ...]:
        """Every movement of a part in the order of posting, each with what the part then had in all bins.

        Empty for a part that the ledger never heard of.
        """
        with told(self.path):
            rows = self._run.execute(
                f"SELECT movements.id, closings.name, reverses, {_named('movements', _MOVEMENT)}"
                " FROM movements JOIN closings ON closings.id = closing WHERE part = ? ORDER BY movements.id",
                (part,),
            ).fetchall()
        entries, balance = [], Fraction(0)
        for number, name, reverses, *columns in rows:
            movement = _movement(columns)
            balance += movement.quantity
            entries.append(Entry(number, name, movement, balance, reverses))
        return tuple(entries)

    def parts(self) -> tuple[str, ...]:
        """The number of every part that has a movement."""
        with told(self.path):
            return tuple(part for (part,) in self._run.execute("SELECT DISTINCT part FROM balances"))

    def like(self, part: str) -> list[str]:
        """Numbers of parts much like this one, the nearest first."""
        return nearest(part, self.parts())

    def balances(self) -> Balances:
        """Opening + movements by part and bin, in the part's unit; bins that are empty by now as well."""
        found: dict[tuple[str, str], Fraction] = {}
        with told(self.path):
            rows = self._run.execute("SELECT part, bin, amount, per FROM balances").fetchall()
        for part, name, amount, per in rows:
            found[part, name] = found.get((part, name), Fraction(0)) + Fraction(amount, per)
        return found

    def units(self) -> dict[str, str]:
        """The unit that each part is counted in."""
        with told(self.path):
            return dict(self._run.execute("SELECT part, unit FROM balances"))

    def standing(self, name: str) -> Closing | None:
        """The closing of that name, unless it was written back."""
        return self._closing(f"name = ? AND {_STANDING}", (name,))

    def count(self) -> int:
        """How many closings were ever posted: whether it is still the same tells if anybody booked."""
        with told(self.path):
            (number,) = self._run.execute("SELECT count(*) FROM closings").fetchone()
        return int(number)

    def free_name(self, name: str) -> str:
        """The name, or where a closing has it already, the name with the first number that makes it new."""
        taken = {closing.name for closing in self.closings()}
        names = (name if number == 1 else f"{name} ({number})" for number in itertools.count(1))
        return next(each for each in names if each not in taken)

    def last(self) -> Closing | None:
        """The closing that was posted last, of whatever kind."""
        return self._closing("id = (SELECT max(id) FROM closings)", ())

    def unfinished(self) -> Closing | None:
        """The closing whose movements are posted and whose workbook may not be in its place yet."""
        return self._closing("id NOT IN (SELECT closing FROM finished)", ())

    def closings(self) -> tuple[Closing, ...]:
        """Every closing in the order of posting."""
        with told(self.path):
            rows = self._run.execute(_SELECT_CLOSINGS + " ORDER BY c.id").fetchall()
        return tuple(map(_closing, rows))

    def standing_closings(self) -> tuple[Closing, ...]:
        """Those that were not written back, and that write none back, in the order of posting."""
        found = self.closings()
        standing: dict[str, Closing] = {}
        for each in found:  # a name may have stood, been written back, and stand again
            if each.undoes:
                standing.pop(each.undoes, None)
            else:
                standing[each.name] = each
        return tuple(standing.values())

    def movements_of(self, name: str) -> tuple[Entry, ...]:
        """The movements that were posted with the closing of that name that stands."""
        with told(self.path):
            rows = self._run.execute(
                f"SELECT movements.id, reverses, {_named('movements', _MOVEMENT)} FROM movements"
                f" WHERE closing = (SELECT id FROM closings WHERE name = ? AND {_STANDING}) ORDER BY id",
                (name,),
            ).fetchall()
        return tuple(
            Entry(number, name, _movement(columns), reverses=back) for number, back, *columns in rows
        )

    def uses(self) -> tuple[tuple[str, PlannedUse], ...]:
        """What was planned and used by every line of the closings that stand, with the closing's name."""
        with told(self.path):
            rows = self._run.execute(
                "SELECT c.name, u.job, u.day, frame, key, u.name, part, unit, planned, used, reason"
                f" FROM uses u JOIN (SELECT * FROM closings WHERE {_STANDING}) c ON c.id = closing"
                " ORDER BY u.rowid"
            ).fetchall()
        return tuple((name, _use(columns)) for name, *columns in rows)

    def audit(self) -> list[Problem]:
        """Adds everything up anew and looks the whole file over; what is wrong, or nothing."""
        with told(self.path):
            found = [row for (row,) in self._run.execute("PRAGMA integrity_check") if row != "ok"]
            apart = self._run.execute(_UNEQUAL).fetchall()
        says = [f"The ledger's file is damaged: {each}." for each in found]
        says += [
            f"The balance of {part} in {name!r} is not the sum of its movements." for part, name in apart
        ]
        return [_broken(self.path, say) for say in says]

    # --- inside

    def _refuse_doubled(self, closing: Closing) -> None:
        if not closing.undoes and (there := self.standing(closing.name)) is not None:
            says = f"{closing.name} was closed already, on {there.day} by {there.who}."
            raise Unusable(problem("week-closed", Place(self.path.name), says, found=closing.name))
        if closing.undoes and self.standing(closing.undoes) is None:
            says = f"No closing {closing.undoes} stands; there is nothing to write back."
            raise Unusable(problem("closing-unknown", Place(self.path.name), says, found=closing.undoes))

    def _refuse_units(self, movements: Sequence[Movement]) -> None:
        known = self.units()
        faults = []
        for movement in movements:
            before = known.setdefault(movement.part, movement.unit)
            if before != movement.unit:
                says = f"{movement.part} is counted in {movement.unit} here and in {before} in the ledger."
                faults.append(problem("ledger-unit", _source(movement), says, found=movement.unit))
            if max(abs(movement.quantity.numerator), movement.quantity.denominator) > GREATEST:
                amount = f"{movement.quantity} {movement.unit} of {movement.part}"
                says = f"{amount} is too great or too fine to be kept."
                faults.append(
                    problem("movement-too-fine", _source(movement), says, found=str(movement.quantity))
                )
        if faults:
            raise Unusable(*faults)

    def _add_closing(self, closing: Closing) -> int:
        undoes = None
        if closing.undoes:
            row = self._run.execute(
                f"SELECT id FROM closings WHERE name = ? AND {_STANDING}", (closing.undoes,)
            ).fetchone()
            undoes = row[0]
        added = self._run.execute(
            f"INSERT INTO closings ({_CLOSING}, posted, undoes) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                closing.name, closing.kind, closing.day.isoformat(), closing.who, closing.old_workbook,
                closing.new_workbook, closing.target, closing.aside, closing.kept,
                json.dumps(dict(closing.details), sort_keys=True),
                datetime.now().astimezone().isoformat(timespec="seconds"), undoes,
            ),
        )  # fmt: skip
        assert added.lastrowid is not None
        return added.lastrowid

    @staticmethod
    def _columns(each: Movement) -> tuple[object, ...]:
        amount, per = each.quantity.numerator, each.quantity.denominator
        return (
            each.part, each.bin, amount, per, each.unit, each.kind, each.day.isoformat(), each.who,
            each.job, "" if each.source is None else str(each.source), each.note,
        )  # fmt: skip

    def _closing(self, where: str, values: tuple[str, ...]) -> Closing | None:
        with told(self.path):
            row = self._run.execute(
                f"{_SELECT_CLOSINGS} WHERE c.id IN (SELECT id FROM closings WHERE {where})"
                " ORDER BY c.id DESC",
                values,
            ).fetchone()
        return None if row is None else _closing(row)


def ledger_path(stock: Path) -> Path:
    """Where the ledger of a stock workbook lies: ``stock-ledger.sqlite`` beside ``stock.xlsx``."""
    return stock.with_name(f"{stock.stem}{LEDGER_ENDING}")


def open_ledger(path: Path, *, create: bool = True, patience: float = PATIENCE) -> Ledger | None:
    """Opens the ledger at ``path``; one that is not there is made, or, without ``create``, None.

    Raises Unusable: ledger-broken where the file is no ledger, or one of a later version of this program;
    ledger-busy; output-locked where the folder cannot be written.
    """
    if not create and not path.exists():
        return None
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
    return Ledger(path, connection)


def reversed_movements(entries: Iterable[Entry], day: date, who: str) -> list[Movement]:
    """The movements that write others back: the same with the opposite sign, on the day they are posted."""
    return [
        replace(
            entry.movement,
            quantity=-entry.movement.quantity,
            day=day,
            who=who,
            note=f"writes back movement {entry.number}",
        )
        for entry in entries
    ]


@contextmanager
def told(path: Path) -> Iterator[None]:
    """What SQLite complains of within, as a problem. Raises Unusable."""
    try:
        yield
    except sqlite3.Error as fault:
        raise Unusable(_fault(path, fault)) from fault


# --- tables and rows ------------------------------------------------------------------------------


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = EXTRA")
    (found,) = connection.execute("PRAGMA user_version").fetchone()
    if found == 0:
        connection.execute("BEGIN IMMEDIATE")
        (found,) = connection.execute("PRAGMA user_version").fetchone()  # another run may have made it now
        if found == 0:
            _make(connection, path)
        connection.execute("COMMIT")
    if found not in (0, FORMAT):
        raise Unusable(_broken(path, f"{path.name} was made by another version of this program ({found})."))


def _make(connection: sqlite3.Connection, path: Path) -> None:
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if tables:
        raise Unusable(_broken(path, f"{path.name} is a database, but no ledger."))
    for statement in _statements():
        connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {FORMAT}")


def _statements() -> Iterator[str]:
    """One by one: ``executescript`` would end the transaction that they are to stand in."""
    whole = ""
    for line in SCHEMA.splitlines(keepends=True):
        whole += line
        if sqlite3.complete_statement(whole):
            yield whole
            whole = ""


def _named(table: str, columns: str) -> str:
    return ", ".join(f"{table}.{each}" for each in columns.split(", "))


_SELECT_CLOSINGS = (
    f"SELECT {_named('c', _CLOSING)}, coalesce(b.name, '') FROM closings c"
    " LEFT JOIN closings b ON b.id = c.undoes"
)
_UNEQUAL = """
SELECT part, bin FROM (
    SELECT part, bin, unit, per, sum(amount) AS amount FROM movements GROUP BY part, bin, unit, per
    EXCEPT SELECT part, bin, unit, per, amount FROM balances
) UNION SELECT part, bin FROM (
    SELECT part, bin, unit, per, amount FROM balances
    EXCEPT SELECT part, bin, unit, per, sum(amount) FROM movements GROUP BY part, bin, unit, per
)
"""


def _movement(columns: Sequence[object]) -> Movement:
    part, name, amount, per, unit, kind, day, who, job, source, note = columns
    assert isinstance(amount, int)
    assert isinstance(per, int)
    quantity = Fraction(amount, per)
    on = date.fromisoformat(str(day))
    return Movement(
        str(part),
        str(name),
        quantity,
        str(unit),
        str(kind),
        on,
        str(who),
        str(job),
        _place(str(source)),
        str(note),
    )


_CELL = re.compile(
    r"(?P<file>.+?\.(?:xlsx|xlsm|xlsb|xls|ods|csv))(?:!(?P<sheet>.+))?!(?P<cell>[A-Z]{1,3}[1-9][0-9]*)",
    re.IGNORECASE | re.DOTALL,
)
"""A cell as ``str`` of a place puts it: names of files and sheets may themselves hold an exclamation mark."""


def _place(text: str) -> Place | None:
    """What the column ``source`` holds; what is no cell of a sheet is a file, and its text stays the same."""
    if not text:
        return None
    found = _CELL.fullmatch(text)
    return Place(found["file"], found["sheet"] or "", found["cell"]) if found else Place(text)


def _closing(columns: Sequence[str]) -> Closing:
    name, kind, day, who, old, new, target, aside, kept, details, undoes = columns
    on = date.fromisoformat(day)
    return Closing(name, kind, on, who, old, new, target, aside, kept, undoes, json.loads(details))


def _use_columns(each: PlannedUse) -> tuple[str, ...]:
    return (
        each.job, each.day.isoformat(), each.frame, each.key, each.name, each.part, each.unit,
        str(each.planned), str(each.used), each.reason,
    )  # fmt: skip


def _use(columns: Sequence[str]) -> PlannedUse:
    job, day, frame, key, name, part, unit, planned, used, reason = columns
    on = date.fromisoformat(day)
    return PlannedUse(job, on, frame, key, name, part, unit, Fraction(planned), Fraction(used), reason)


# --- faults ---------------------------------------------------------------------------------------


def _source(each: Movement) -> Place:
    return each.source or Place("ledger", "", each.part)


def _broken(path: Path, says: str) -> Problem:
    return problem("ledger-broken", Place(path.name), says)


def _fault(path: Path, fault: sqlite3.Error) -> Problem:
    code = getattr(fault, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return problem("ledger-busy", Place(path.name), f"Another run is writing to {path.name} now.")
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return _broken(path, f"{path.name} is damaged or no ledger: {fault}.")
    if code in (
        sqlite3.SQLITE_FULL,
        sqlite3.SQLITE_IOERR,
        sqlite3.SQLITE_READONLY,
        sqlite3.SQLITE_CANTOPEN,
        sqlite3.SQLITE_PERM,
    ):
        says = f"{path.name} cannot be read or written: {fault}."
        return problem("output-locked", Place(path.name), says)
    raise fault
