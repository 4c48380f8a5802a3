"""The returns workbook, filled in: rows to values, and every fault of every row."""

from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import TypeVar

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.returns.columns import ReturnColumns, ReturnsBasis
from reconcile.sheets.returns.planned import (
    AS_PLANNED,
    CHECKS,
    JOINTS,
    CheckColumns,
    JointColumns,
    PlannedColumns,
    gathered,
    yes_or_no,
)
from reconcile.sheets.stock.headings import PART_WORDS
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.part_numbers import read_part_number
from reconcile.sheets.tables.quantities import ONE, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import ColumnReader, Fault, Row, as_text, open_table
from reconcile.values.catalogue import ERROR
from reconcile.values.problem import Problem, RowPlace, Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.lines import FIT, REMOVE, what_of
from reconcile.values.stock.parts import Stock
from reconcile.values.stock.returns import Delivery, JobReturn, LineReturn, Returns
from reconcile.values.words import fold

DONE = SheetKind(
    "Done",
    {
        "week": (),
        "job": ("job no", "job number"),
        "planned day": ("date",),
        "frame": (),
        "done": (),
        "done on": (),
        "done by": ("technician",),
    },
    ("week", "job", "planned day", "done"),
    key="job",
)
LINES = SheetKind(
    "Lines",
    {
        "job": ("job no", "job number"),
        "do": (),
        "what": (),
        "name": ("joint",),
        "side": (),
        "part": PART_WORDS,
        "planned": (),
        "used": (),
        "returned": (),
        "scrapped": (),
        "bin": ("location",),
        "reason": (),
        "frame key": (),
        "unit": (),
        "length": (),
        "steps": (),
        "came off": (),
    },
    ("job", "do", "part", "used", "returned", "scrapped"),
    key="job",
)
DELIVERIES = SheetKind(
    "Deliveries",
    {
        "order": ("order no",),
        "part": PART_WORDS,
        "due": (),
        "received": (),
        "received on": (),
        "bin": ("location",),
        "line": ("line no", "order line"),
        "finished": ("complete",),
        "note": ("reason", "remark"),
    },
    ("order", "part", "received"),
    key="part",
)
YES, NO = ("yes", "y", "x", "true", "1", "done"), ("", "no", "n", "false", "0")
PARTLY = ("part", "partly", "in part", "part done", "half")
YES_WORD, NO_WORD, PART_WORD = "yes", "no", "part"
_NOTHING = "Nothing was booked."
NO_DAY = date.max
"""Of a delivery of which nothing came in and that names no day: nothing is booked of it."""
T = TypeVar("T")


def read_returns(path: Path, stock: Stock, settings: Settings) -> tuple[Returns, list[Problem]]:
    """A returns workbook, with notices.

    Nothing of it may be set aside, for what is not read is not booked: raises Unusable with every fault of
    every row, and as ``open_book`` does.
    """
    return returns_in(open_book(path, settings.limits, settings.csv_form), stock, settings)


def returns_in(book: Book, stock: Stock, settings: Settings) -> tuple[Returns, list[Problem]]:
    """The same of a workbook that is open already."""
    found: list[Problem] = []
    basis = ReturnsBasis(stock, settings)
    jobs = _rows(book, DONE, DoneColumns(settings), basis, found)
    lines = _rows(book, LINES, LineColumns(settings), basis, found)
    deliveries = _rows(book, DELIVERIES, DeliveryColumns(settings), basis, found, needed=False)
    planned = _rows(book, AS_PLANNED, PlannedColumns(settings), basis, found, needed=False)
    joints = gathered(_rows(book, JOINTS, JointColumns(settings), basis, found, needed=False))
    checks = _rows(book, CHECKS, CheckColumns(settings), basis, found, needed=False)
    found += book.problems
    if any(problem.severity == ERROR for problem in found):
        raise Unusable(
            *(replace(problem, did=_NOTHING) if problem.severity == ERROR else problem for problem in found)
        )
    apart = (tuple(planned), joints, tuple(checks))
    return Returns(tuple(jobs), tuple(lines), tuple(deliveries), *apart), found


def _rows(  # noqa: PLR0913  (one sheet, all that reading it takes)
    book: Book,
    kind: SheetKind,
    columns: ReturnColumns[T],
    basis: ReturnsBasis,
    found: list[Problem],
    *,
    needed: bool = True,
) -> list[T]:
    try:
        table, problems = open_table(book, kind, basis.settings, needed=needed)
    except Unusable as unusable:
        found.extend(unusable.problems)
        return []
    # A week may have no job, and no order may be due: then there is nothing to fill in.
    found.extend(problem for problem in problems if problem.code != "sheet-empty")
    if table is None:
        return []
    values = []
    for row in table.rows(columns):
        faults = list(row.faults)
        if not faults:
            value, faults = columns.made(row, basis, table.place(row.number))
            values.append(value)
        found.extend(table.problem(fault, row) for fault in faults)
    found.extend(table.problems_apart())
    return values


# --- the sheets -----------------------------------------------------------------------------------


class DoneColumns(ReturnColumns[JobReturn]):
    """The columns of the sheet Done."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        day = partial(read_date, date_order=settings.date_order)
        self.week = self.text("week", needed=True)
        self.job = self.text("job", needed=True)
        self.planned_day = self.needed("planned day", day)
        self.frame = self.text("frame")
        self.done = self.maybe("done", _done, NO_WORD)
        self.done_on = self.maybe("done on", day, None)
        self.done_by = self.text("done by")

    def made(self, row: Row, basis: ReturnsBasis, place: RowPlace) -> tuple[JobReturn, list[Fault]]:  # noqa: ARG002
        day = self.done_on.of(row) or self.planned_day.of(row)
        job = JobReturn(
            self.job.of(row), self.week.of(row), day, self.frame.of(row), self.done.of(row) == YES_WORD,
            self.done_by.of(row), place, self.done.of(row) == PART_WORD,
        )  # fmt: skip
        return job, []


class LineColumns(ReturnColumns[LineReturn]):
    """The columns of the sheet Lines."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.job = self.text("job", needed=True)
        self.direction = self.needed("do", _direction)
        self.what = self.maybe("what", _kind, "")
        self.name = self.text("name")
        self.side = self.text("side")
        self.part = self.maybe("part", read_part_number, "")
        self.planned = self.maybe("planned", _raw, None)
        self.used = self.maybe("used", _raw, None)
        self.returned = self.maybe("returned", _raw, None)
        self.scrapped = self.maybe("scrapped", _raw, None)
        self.bin = self.text("bin")
        self.reason = self.text("reason")
        self.frame_key = self.text("frame key")
        self.unit = self.text("unit")
        self.length = self.maybe("length", partial(_length, settings=settings), None)
        self.steps = self.maybe("steps", partial(read_whole, decimal=settings.decimal), None)
        self.came_off = self.text("came off")

    def made(self, row: Row, basis: ReturnsBasis, place: RowPlace) -> tuple[LineReturn, list[Fault]]:
        faults: list[Fault] = []
        part = self.part.of(row)
        if not part and self.steps.of(row) is None:
            faults.append(Fault("part", "cell-blank", "part is blank."))
        planned, used, returned, scrapped = (
            _quantity(column, row, part, basis, faults)
            for column in (self.planned, self.used, self.returned, self.scrapped)
        )
        line = LineReturn(
            self.job.of(row), self.direction.of(row), self.name.of(row), part, planned or ONE * 0,
            used, returned, scrapped, self.bin.of(row), self.reason.of(row), self.frame_key.of(row), place,
            self.what.of(row), self.side.of(row), self.unit.of(row), self.length.of(row),
            self.steps.of(row), self.came_off.of(row),
        )  # fmt: skip
        return line, faults


def _length(cell: CellValue, settings: Settings) -> Fraction:
    return read_length(cell, settings.length_unit, settings.decimal)[0]


class DeliveryColumns(ReturnColumns[Delivery]):
    """The columns of the sheet Deliveries."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        day = partial(read_date, date_order=settings.date_order)
        self.order = self.text("order")
        self.part = self.needed("part", read_part_number)
        self.due = self.maybe("due", day, None)
        self.received = self.maybe("received", _raw, None)
        self.received_on = self.maybe("received on", day, None)
        self.bin = self.text("bin")
        self.line = self.text("line")
        self.finished = self.maybe("finished", yes_or_no, False)
        self.note = self.text("note")

    def made(self, row: Row, basis: ReturnsBasis, place: RowPlace) -> tuple[Delivery, list[Fault]]:
        faults: list[Fault] = []
        part = self.part.of(row)
        received = _quantity(self.received, row, part, basis, faults)
        day = self.received_on.of(row) or self.due.of(row)
        if day is None and (received is not None or self.finished.of(row)):
            faults.append(Fault("received on", "cell-blank", "received on is blank, and so is due."))
        delivery = Delivery(
            self.order.of(row), part, received, day or NO_DAY, self.bin.of(row), place, self.line.of(row),
            self.finished.of(row), self.note.of(row),
        )  # fmt: skip
        return delivery, faults


# --- single cells ---------------------------------------------------------------------------------


def _done(cell: CellValue) -> str:
    """YES_WORD, NO_WORD or PART_WORD."""
    word = fold(as_text(cell))
    if word in PARTLY:
        return PART_WORD
    if word in YES or word in NO:
        return YES_WORD if word in YES else NO_WORD
    says = f"{as_text(cell)!r} is none of yes, no and part."
    raise Unreadable("number-unreadable", says, "Write yes, no or part.")


def _direction(cell: CellValue) -> str:
    word = fold(as_text(cell))
    if word in (FIT, REMOVE):
        return word
    says = f"{as_text(cell)!r} is neither fit nor remove."
    raise Unreadable("number-unreadable", says, "Write one of them.")


def _kind(cell: CellValue) -> str:
    return what_of(as_text(cell))


def _raw(value: CellValue) -> CellValue:
    return value


def _quantity(
    column: ColumnReader[CellValue], row: Row, number: str, basis: ReturnsBasis, faults: list[Fault]
) -> Fraction | None:
    """A figure in the part's unit; None for a blank cell. Every figure counts pieces, as a report does."""
    raw = column.of(row)
    if raw is None:
        return None
    part = basis.stock.parts.get(number)
    measure = measure_of(part.unit if part else "each", part.pack if part else ONE)
    count = read_counted(raw, measure, QuantityColumn(column.heading, decimal=basis.settings.decimal))
    if isinstance(count, Fault):
        faults.append(count)
        return None
    return count
