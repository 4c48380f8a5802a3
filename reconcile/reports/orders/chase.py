"""What to chase: open lines that come too late, are overdue or were never placed, each with what to send."""

from collections.abc import Iterator, Sequence

from reconcile.reports.writing.grid import DATE, NUMBER, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import some_of
from reconcile.values.measure import quantity_text
from reconcile.values.orders.lines import OVERDUE, UNPLACED, OrderLine
from reconcile.values.orders.listed import Hanging, OpenLine, OrderList

TO_CHASE = "To chase"
CHASE_COLUMNS = (
    Column("how it stands", TEXT, 16),
    Column("supplier", TEXT, 14),
    Column("order", TEXT, 22),
    Column("line", TEXT, 8),
    Column("our part", TEXT, 24),
    Column("to come", QUANTITY),
    Column("unit", TEXT, 8),
    Column("due", DATE),
    Column("needed on", DATE),
    Column("days between", NUMBER),
    Column("jobs", TEXT, 34),
    Column("can still be ordered", TEXT, 30),
    Column("what to send", TEXT, 70),
)


def chase_table(orders: OrderList, title: str) -> Table:
    """A row for each line that somebody should write about, what is at stake first."""
    rows = [chase_row(line) for line in orders.lines if to_chase(line)]
    rows += [credit_row(each.line) for each in orders.credits]
    return table(TO_CHASE, title, CHASE_COLUMNS, rows, *(() if rows else ("Nothing is to be chased.",)))


def to_chase(line: OpenLine) -> bool:
    return bool(line.late) or line.standing in (OVERDUE, UNPLACED)


def chase_row(line: OpenLine) -> Row:
    return (
        line.standing, line.supplier, line.order, line.line, line.part, line.to_come, line.unit,
        line.said or line.due, line.needed, line.days_between, jobs_text(line.hanging),
        jobs_text([each for each in line.hanging if each.orderable and (each.late or not line.due)]),
        sentence(line),
    )  # fmt: skip


def credit_row(line: OrderLine) -> Row:
    return (
        "credit expected", line.supplier, line.order, line.line, line.part, None, line.unit, None, None,
        None, "", "", credit_sentence(line),
    )  # fmt: skip


def credit_sentence(line: OrderLine) -> str:
    went = f"{quantity_text(line.credit)} {line.unit} of {line.part} went back"
    return f"{named(line.order, line.line)}: {went}. When does the credit come?"


def sentence(line: OpenLine) -> str:
    """What to send: ``PO-0884, line 2, 50 each of B14-300: due 2026-12-09, needed … Can it come earlier?``"""
    what = f"{named(line.order, line.line)}, {quantity_text(line.to_come)} {line.unit} of {line.part}"
    if line.standing == UNPLACED:
        needed = f"needed {line.needed} for {jobs_text(line.hanging)}; " if line.needed else ""
        return f"{what}: {needed}written on {line.written}, not placed. Place it or give it up."
    due = line.said or line.due
    asks = []
    if line.standing == OVERDUE:
        asks.append(f"was due {due} and has not come. When does it come?")
    if line.late:
        first = min(each.day for each in line.late)
        needed = f"needed {first} for {jobs_text(line.late)}. Can it come earlier?"
        asks.append(needed if asks else f"due {due}, {needed}")
    return f"{what}: {' '.join(asks)}" if asks else f"{what}: due {due}."


def named(order: str, number: str) -> str:
    return f"{order or 'no order number'}, line {number}" if number else order or "no order number"


def jobs_text(hanging: Sequence[Hanging]) -> str:
    return some_of(list(dict.fromkeys(each.job for each in hanging)))


def sentences_of(orders: OrderList) -> Iterator[str]:
    return (sentence(line) for line in orders.lines if to_chase(line))
