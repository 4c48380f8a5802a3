"""The returns workbook, filled in: rows to values, and every fault of every row."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.returns.planned import (
    AS_PLANNED,
    CHECKS,
    JOINTS,
    check_columns,
    check_row,
    gathered,
    joint_columns,
    joint_row,
    planned_columns,
    planned_row,
)
from reconcile.sheets.stock.headings import PART_WORDS
from reconcile.sheets.tables.cells_read import CellsRead
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.part_numbers import read_part_number
from reconcile.sheets.tables.quantities import ONE, QuantityColumn, measure_of, read_counted
from reconcile.sheets.tables.rows import Column, Fault, Row, Table, as_text, open_table
from reconcile.values.catalogue import ERROR
from reconcile.values.problem import Problem, Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.lines import FIT, REMOVE
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
    },
    ("order", "part", "received"),
    key="part",
)
YES, NO = ("yes", "y", "x", "true", "1", "done"), ("", "no", "n", "false", "0")
_NOTHING = "Nothing was booked."
FIGURES = ("planned", "used", "returned", "scrapped")


def read_returns(path: Path, stock: Stock, settings: Settings) -> tuple[Returns, list[Problem]]:
    """A returns workbook, with notices.

    Nothing of it may be set aside, for what is not read is not booked: raises Unusable with every fault of
    every row, and as ``open_book`` does.
    """
    book = open_book(path, settings.limits, settings.csv_form)
    found: list[Problem] = []

    def kept(kind: SheetKind, columns: list[Column], read: ReadRow[T]) -> list[T]:
        return _rows(book, kind, settings, columns, _by_getters(read), found, needed=False)

    jobs = _rows(book, DONE, settings, _job_columns(settings), _job, found)
    lines = _rows(book, LINES, settings, _line_columns(settings), _line_reader(stock, settings), found)
    deliveries = _rows(
        book, DELIVERIES, settings, _delivery_columns(settings), _delivery_reader(stock, settings), found,
        needed=False,
    )  # fmt: skip
    planned = kept(AS_PLANNED, planned_columns(settings), planned_row)
    joints = gathered(kept(JOINTS, joint_columns(settings), joint_row))
    checks = kept(CHECKS, check_columns(settings), check_row)
    found += book.problems
    if any(each.severity == ERROR for each in found):
        raise Unusable(*(replace(each, did=_NOTHING) if each.severity == ERROR else each for each in found))
    apart = (tuple(planned), joints, tuple(checks))
    return Returns(tuple(jobs), tuple(lines), tuple(deliveries), *apart), found


T = TypeVar("T")
ReadRow = Callable[[CellsRead, Row, Table], tuple[T, list[Fault]]]


def _by_getters(read: ReadRow[T]) -> "Make":
    """A reader of rows whose cells are had by getters of their kind."""
    return lambda values, row, table: read(CellsRead(values), row, table)


Made = tuple[Any, list[Fault]]
Make = Callable[[dict[str, Any], Row, Table], Made]


def _rows(  # noqa: PLR0913, PLR0917  (one sheet, all that reading it takes)
    book: Book,
    kind: SheetKind,
    settings: Settings,
    columns: list[Column],
    make: Make,
    found: list[Problem],
    *,
    needed: bool = True,
) -> list[Any]:
    try:
        table, problems = open_table(book, kind, settings, needed=needed)
    except Unusable as unusable:
        found.extend(unusable.problems)
        return []
    # A week may have no job, and no order may be due: then there is nothing to fill in.
    found.extend(each for each in problems if each.code != "sheet-empty")
    if table is None:
        return []
    values = []
    for row in table.rows(columns):
        by_heading = dict(zip((column.heading for column in columns), row.values, strict=True))
        faults = list(row.faults)
        if not faults:
            value, faults = make(by_heading, row, table)
            values.append(value)
        found.extend(table.problem(fault, row) for fault in faults)
    found.extend(table.problems_apart())
    return values


# --- the sheets -----------------------------------------------------------------------------------


def _job_columns(settings: Settings) -> list[Column]:
    day = partial(read_date, date_order=settings.date_order)
    return [
        Column("week", needed=True),
        Column("job", needed=True),
        Column("planned day", day, needed=True),
        Column("frame"),
        Column("done", _yes_or_no, False),
        Column("done on", day, None),
        Column("done by"),
    ]


def _yes_or_no(cell: CellValue) -> bool:
    word = fold(as_text(cell))
    if word in YES or word in NO:
        return word in YES
    raise Unreadable("number-unreadable", f"{as_text(cell)!r} is neither yes nor no.", "Write yes or no.")


def _job(values: dict[str, Any], row: Row, table: Table) -> Made:
    place = table.place(row.number)
    day = values["done on"] or values["planned day"]
    job = JobReturn(
        values["job"], values["week"], day, values["frame"], values["done"], values["done by"], place
    )
    return job, []


def _line_columns(settings: Settings) -> list[Column]:
    return [
        Column("job", needed=True),
        Column("do", _direction, needed=True),
        Column("what"),
        Column("name"),
        Column("side"),
        Column("part", read_part_number),
        *(Column(heading, _raw, None) for heading in FIGURES),
        Column("bin"),
        Column("reason"),
        Column("frame key"),
        Column("unit"),
        Column("length", partial(_length, settings=settings), None),
        Column("steps", partial(read_whole, decimal=settings.decimal), None),
        Column("came off"),
    ]


def _length(cell: CellValue, settings: Settings) -> Fraction:
    return read_length(cell, settings.length_unit, settings.decimal)[0]


def _direction(cell: CellValue) -> str:
    word = fold(as_text(cell))
    if word in (FIT, REMOVE):
        return word
    says = f"{as_text(cell)!r} is neither fit nor remove."
    raise Unreadable("number-unreadable", says, "Write one of them.")


def _raw(value: CellValue) -> CellValue:
    return value


def _line_reader(stock: Stock, settings: Settings) -> Make:
    def make(values: dict[str, Any], row: Row, table: Table) -> Made:
        faults: list[Fault] = []
        if not values["part"] and values["steps"] is None:
            faults.append(Fault("part", "cell-blank", "part is blank."))
        figures = {heading: _quantity(values, heading, stock, settings, faults) for heading in FIGURES}
        line = LineReturn(
            values["job"], values["do"], values["name"], values["part"], figures["planned"] or ONE * 0,
            figures["used"], figures["returned"], figures["scrapped"],
            values["bin"], values["reason"], values["frame key"], table.place(row.number),
            values["what"], values["side"], values["unit"], values["length"], values["steps"],
            values["came off"],
        )  # fmt: skip
        return line, faults

    return make


def _delivery_columns(settings: Settings) -> list[Column]:
    day = partial(read_date, date_order=settings.date_order)
    return [
        Column("order"),
        Column("part", read_part_number, needed=True),
        Column("due", day, None),
        Column("received", _raw, None),
        Column("received on", day, None),
        Column("bin"),
    ]


def _delivery_reader(stock: Stock, settings: Settings) -> Make:
    def make(values: dict[str, Any], row: Row, table: Table) -> Made:
        faults: list[Fault] = []
        received = _quantity(values, "received", stock, settings, faults)
        day = values["received on"] or values["due"]
        if day is None and received is not None:
            faults.append(Fault("received on", "cell-blank", "received on is blank, and so is due."))
        delivery = Delivery(
            values["order"], values["part"], received, day, values["bin"], table.place(row.number)
        )
        return delivery, faults

    return make


def _quantity(
    values: Mapping[str, Any], heading: str, stock: Stock, settings: Settings, faults: list[Fault]
) -> Any:
    """A figure in the part's unit; None for a blank cell. Every figure counts pieces, as a report does."""
    raw = values[heading]
    if raw is None:
        return None
    part = stock.parts.get(values["part"])
    measure = measure_of(part.unit if part else "each", part.pack if part else ONE)
    count = read_counted(raw, measure, QuantityColumn(heading, decimal=settings.decimal))
    if isinstance(count, Fault):
        faults.append(count)
        return None
    return count
