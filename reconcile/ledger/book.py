"""The ledger beside the stock workbook: an SQLite database to which rows are added and nothing else.

What is relied on is documented by SQLite (sqlite.org, from memory of these pages):

- a transaction is whole or not at all, also when the program or the power fails in it ("Atomic Commit In
  SQLite"). ``synchronous=EXTRA`` waits until the disk has the folder's entry as well;
- one connection writes at a time; ``BEGIN IMMEDIATE`` takes that place at once or says that another has it
  ("Transaction"). So of two people who close or count at a time one wins and the other is told;
- ``PRAGMA integrity_check`` finds a damaged file, a broken index and a column that breaks its CHECK.

The journal is a rollback journal, not a write-ahead log: a log needs memory that all its users share, so it
"does not work over a network filesystem" ("Write-Ahead Logging"), and a workshop's folder often lies on one.

A ledger of an earlier format is read as it is; the first run that posts brings it up, in the transaction of
what it posts (``migrations.py``).
"""

import itertools
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing as closed_after
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path
from types import TracebackType

from reconcile.ledger import details, holds, jobs, orders, posting
from reconcile.ledger.asking import Asker, Value
from reconcile.ledger.faults import broken, told
from reconcile.ledger.jobs import STANDING
from reconcile.ledger.migrations import bring_up
from reconcile.ledger.opening import connected
from reconcile.ledger.posting import Beside
from reconcile.ledger.rows import closing as closing_of
from reconcile.ledger.rows import movement, planned_use
from reconcile.ledger.schema import GREATEST
from reconcile.ledger.trust import refuse_names, row_faults
from reconcile.values.ledger.holds import HeldRow, Hold, HoldEnd
from reconcile.values.ledger.jobs import JobEntry
from reconcile.values.ledger.mark import Mark
from reconcile.values.ledger.orders import OrderEntry, OrderEvent
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import LEDGER_ENDING, Balances, Closing, Entry, Movement, PlannedUse
from reconcile.values.words import nearest

__all__ = ["GREATEST", "Beside", "Ledger", "ledger_path", "open_ledger", "reversed_movements"]

PATIENCE = 2.0
"""Seconds that a run waits for another one to finish with the ledger."""

_SELECT_CLOSINGS = (
    "SELECT c.*, coalesce(b.name, '') AS undone FROM closings c LEFT JOIN closings b ON b.id = c.undoes"
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


class Ledger:
    """An open ledger. Every method raises Unusable: ledger-busy, ledger-broken, output-locked.

    Posting goes on within ``held``; what is posted there is in the ledger when its block ends, or none of
    it, if the block raises or the program ends before.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._run = connection
        self._ask = Asker(path, connection)

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
            with suppress(sqlite3.Error):  # what cannot be rolled back now is, when it is next opened
                if self._run.in_transaction:
                    self._run.execute("ROLLBACK")
            raise

    def bring_up(self) -> None:
        """Brings a ledger of an earlier format up to ours, a copy kept; within ``held``."""
        with told(self.path):
            bring_up(self._run, self.path)

    def post(
        self,
        movements: Sequence[Movement],
        closing: Closing,
        uses: Iterable[PlannedUse] = (),
        reverses: Sequence[int] = (),
        beside: Beside | None = None,
    ) -> None:
        """Adds a closing with all its movements and what it keeps ``beside`` them; within ``held``.

        ``reverses``: the numbers of the movements that these write back, one each, for an undo.
        Raises Unusable: week-closed where a closing of that name stands; ledger-unit where a part was
        counted in another unit before; movement-too-fine for a quantity that no column holds.
        """
        beside = beside or Beside()
        self.bring_up()
        self._refuse_doubled(closing)
        posting.refuse_movements(movements, self.units())
        posting.refuse_jobs(beside.jobs)
        number = posting.add_closing(self._ask, closing, self._number(closing.undoes))
        posting.add_movements(self._ask, number, movements, reverses)
        posting.add_uses(self._ask, number, (*uses, *beside.uses))
        jobs.add_jobs(self._ask, number, beside.jobs)
        orders.add_events(self._ask, beside.orders, number)

    def finish(self, name: str, how: str) -> None:
        """Notes that the workbook of the closing is in its place; within ``held``.

        ``how``: the name it has, or "" where it is lost.
        """
        with told(self.path):
            self._run.execute(
                "INSERT INTO finished SELECT max(id), ? FROM closings WHERE name = ?", (how, name)
            )

    def hold(self, row: HeldRow, who: str, at: datetime | None = None) -> Hold:
        """Holds a job from now on; within ``held``."""
        self.bring_up()
        return holds.add_hold(self._ask, row, at or datetime.now().astimezone(), who)

    def end_hold(self, hold: Hold, end: HoldEnd) -> None:
        """Within ``held``; of a hold that stands: one that ended already does not end again."""
        self.bring_up()
        if any(each.number == hold.number and each.stands for each in self.holds()):
            holds.add_end(self._ask, hold.number, end)

    def add_order_events(self, events: Iterable[OrderEvent]) -> None:
        """What happened to orders apart from any closing; within ``held``."""
        self.bring_up()
        orders.add_events(self._ask, events)

    # --- reading: movements

    def card(self, part: str) -> tuple[Entry, ...]:
        """Every movement of a part in the order of posting, each with what the part then had in all bins.

        Empty for a part that the ledger never heard of.
        """
        entries, balance = [], Fraction(0)
        for row in self._ask.rows(
            "movements",
            "SELECT m.*, c.name AS closed_as FROM movements m JOIN closings c ON c.id = m.closing"
            " WHERE m.part = ? ORDER BY m.id",
            (part,),
        ):
            moved = movement(row)
            balance += moved.quantity
            back = row.optional_whole("reverses")
            entries.append(Entry(row.number, row.text("closed_as"), moved, balance, back))
        return tuple(entries)

    def movements_of(self, name: str) -> tuple[Entry, ...]:
        """The movements that were posted with the closing of that name that stands."""
        rows = self._ask.rows(
            "movements",
            "SELECT * FROM movements"
            f" WHERE closing = (SELECT id FROM closings WHERE name = ? AND {STANDING}) ORDER BY id",
            (name,),
        )
        return tuple(
            Entry(row.number, name, movement(row), reverses=row.optional_whole("reverses")) for row in rows
        )

    def parts(self) -> tuple[str, ...]:
        """The number of every part that has a movement."""
        rows = self._ask.rows("balances", "SELECT DISTINCT part FROM balances")
        return tuple(row.text("part") for row in rows)

    def like(self, part: str) -> list[str]:
        """Numbers of parts much like this one, the nearest first."""
        return nearest(part, self.parts())

    def balances(self) -> Balances:
        """Opening + movements by part and bin, in the part's unit; bins that are empty by now as well."""
        found: dict[tuple[str, str], Fraction] = {}
        for row in self._ask.rows("balances", "SELECT part, bin, amount, per FROM balances"):
            place = row.text("part"), row.text("bin")
            quantity = Fraction(row.whole("amount"), row.whole("per", least=1))
            found[place] = found.get(place, Fraction(0)) + quantity
        return found

    def units(self) -> dict[str, str]:
        """The unit that each part is counted in."""
        rows = self._ask.rows("balances", "SELECT DISTINCT part, unit FROM balances")
        return {row.text("part"): row.text("unit") for row in rows}

    # --- reading: closings

    def standing(self, name: str) -> Closing | None:
        """The closing of that name, unless it was written back."""
        return self._closing(f"name = ? AND {STANDING}", (name,))

    def count(self) -> int:
        """How many closings were ever posted: whether it is still the same tells if anybody booked."""
        (row,) = self._ask.rows("closings", "SELECT count(*) AS count FROM closings")
        return row.whole("count")

    def has(self, closing: Closing, aside: str) -> bool | None:
        """Whether this very closing, with the file it wrote aside, is in the file; None where nobody can say.

        For whoever was told of a fault at the end of the transaction; asked by a connection of its own.
        """
        try:
            fresh = connected(self.path, create=False, patience=PATIENCE)
            if fresh is None:
                return None
            with closed_after(fresh):
                there = Ledger(self.path, fresh).last()
        except Unusable:
            return None
        return there is not None and (there.name, there.aside) == (closing.name, aside)

    def free_name(self, name: str) -> str:
        """The name, or where a closing has it already, the name with the first number that makes it new."""
        taken = {closing.name for closing in self.closings()}
        names = (name if number == 1 else f"{name} ({number})" for number in itertools.count(1))
        return next(each for each in names if each not in taken)

    def last(self) -> Closing | None:
        """The closing that was posted last, of whatever kind."""
        return self._closing("id = (SELECT max(id) FROM closings)", ())

    def closing_numbered(self, number: int) -> Closing | None:
        """The closing of that number in the order of posting."""
        return self._closing("id = ?", (number,))

    def unfinished(self) -> Closing | None:
        """The closing whose movements are posted and whose workbook may not be in its place yet."""
        return self._closing("id NOT IN (SELECT closing FROM finished)", ())

    def closings(self) -> tuple[Closing, ...]:
        """Every closing in the order of posting."""
        return self._closings("ORDER BY c.id")

    def standing_closings(self) -> tuple[Closing, ...]:
        """Those that were not written back, and that write none back, in the order of posting."""
        return self._closings(f"WHERE c.id IN (SELECT id FROM closings WHERE {STANDING}) ORDER BY c.id")

    def done(self) -> dict[str, str]:
        """Each job that a standing closing marked as done, with the name of that closing."""
        return {
            job: closing.name
            for closing in self.standing_closings()
            for job in details.done(self.path, closing)
        }

    def mark(self) -> Mark:
        """The ledger's identity and the number of the last closing."""
        named = self._ask.rows("identity", "SELECT identity FROM identity")
        (last,) = self._ask.rows("closings", "SELECT coalesce(max(id), 0) AS last FROM closings")
        return Mark(named[0].text("identity") if named else "", last.whole("last"))

    # --- reading: jobs, holds, orders

    def uses(self) -> tuple[tuple[str, PlannedUse], ...]:
        """What was planned and used by every line of the closings that stand, with the closing's name."""
        rows = self._ask.rows(
            "uses",
            f"SELECT u.*, c.name AS closed_as FROM uses u"
            f" JOIN (SELECT * FROM closings WHERE {STANDING}) c ON c.id = u.closing ORDER BY u.rowid",
        )
        return tuple((row.text("closed_as"), planned_use(row)) for row in rows)

    def booked_jobs(self) -> tuple[JobEntry, ...]:
        """What the closings that stand booked of each job, done or part done, in the order of posting.

        Empty for closings of a ledger that was then of format 1: ``done`` knows those.
        """
        return jobs.booked_jobs(self._ask)

    def holds(self) -> tuple[Hold, ...]:
        """Every hold that was ever made, in that order; those that ended say how."""
        return holds.holds(self._ask)

    def order_entries(self) -> tuple[OrderEntry, ...]:
        """What happened to orders, but for what was written back, in the order of booking."""
        return orders.order_entries(self._ask)

    # --- looking it over

    def audit(self) -> list[Problem]:
        """Adds everything up anew and looks the whole file over; what is wrong, or nothing."""
        with told(self.path):
            found = [row for (row,) in self._run.execute("PRAGMA integrity_check") if row != "ok"]
            apart = self._run.execute(_UNEQUAL).fetchall()
            rows = dict.fromkeys(row_faults(self._run, self))
        says = [f"The ledger's file is damaged: {each}." for each in found]
        says += [
            f"The balance of {part} in {name!r} is not the sum of its movements." for part, name in apart
        ]
        return [*(broken(self.path, say) for say in says), *rows]

    def refuse_broken(self) -> None:
        """Raises Unusable with all that ``audit`` finds: nothing is booked on top of what cannot be read."""
        if found := self.audit():
            raise Unusable(*found)

    # --- inside

    def _refuse_doubled(self, closing: Closing) -> None:
        if not closing.undoes and (there := self.standing(closing.name)) is not None:
            says = f"{closing.name} was closed already, on {there.day} by {there.who}."
            raise Unusable(problem("week-closed", Place(self.path.name), says, found=closing.name))
        if closing.undoes and self.standing(closing.undoes) is None:
            says = f"No closing {closing.undoes} stands; there is nothing to write back."
            raise Unusable(problem("closing-unknown", Place(self.path.name), says, found=closing.undoes))

    def _number(self, name: str) -> int | None:
        """Of the standing closing of that name."""
        found = self._ask.rows("closings", f"SELECT id FROM closings WHERE name = ? AND {STANDING}", (name,))
        return found[0].whole("id") if found else None

    def _closing(self, where: str, values: Sequence[Value]) -> Closing | None:
        which = f"WHERE c.id IN (SELECT id FROM closings WHERE {where}) ORDER BY c.id DESC LIMIT 1"
        return next(iter(self._closings(which, values)), None)

    def _closings(self, which: str, values: Sequence[Value] = ()) -> tuple[Closing, ...]:
        rows = self._ask.rows("closings", f"{_SELECT_CLOSINGS} {which}", values)
        return tuple(refuse_names(self.path, closing_of(row)) for row in rows)


def ledger_path(stock: Path) -> Path:
    """Where the ledger of a stock workbook lies: ``stock-ledger.sqlite`` beside ``stock.xlsx``."""
    return stock.with_name(f"{stock.stem}{LEDGER_ENDING}")


def open_ledger(path: Path, *, create: bool = True, patience: float = PATIENCE) -> Ledger | None:
    """Opens the ledger at ``path``; one that is not there is made, or, without ``create``, None.

    A file without anything in it is a ledger that is not yet begun: as one that is not there.

    Raises Unusable: ledger-broken where the file is no ledger, or one of a later version of this program;
    ledger-busy; output-locked where the folder cannot be written.
    """
    connection = connected(path, create=create, patience=patience)
    return Ledger(path, connection) if connection else None


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
