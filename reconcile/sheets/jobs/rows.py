"""The jobs sheet: rows to planned jobs, and every fault of every row."""

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import partial

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.files.books import Book
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.tables.rows import Column, Fault, Row, Table, as_text, open_table
from reconcile.values.days import Period
from reconcile.values.problem import Problem, RowPlace, Unusable
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import Job
from reconcile.values.week.results import Tally
from reconcile.values.words import fold

NUMBER, DAY = 0, 1
"""Where a job's number and day stand among its values."""


SIDES = ("both", "left", "right")


@dataclass(frozen=True, slots=True)
class JobsRead:
    """The jobs of the period in the order of the sheet, and what became of every row."""

    jobs: tuple[Job, ...]
    period: Period
    tally: Tally
    problems: tuple[Problem, ...]
    unread: dict[str, tuple[int, ...]] = field(default_factory=dict)
    """Number of a job whose row was set aside, to its rows."""
    header: RowPlace = field(default=RowPlace("", "", 0))
    """Where the headings stand, for a row that is added to a copy of the sheet."""
    tables: tuple[Table, ...] = ()
    """The sheet that was read, for the account of its cells."""


def read_jobs(
    book: Book,
    settings: Settings,
    choose_period: Callable[[list[date]], Period],
) -> JobsRead:
    """Reads the sheet Jobs. ``choose_period`` gets every planned day that can be read.

    A row outside the period is counted and not judged; a faulty row is set aside with all its faults, and
    so are all rows of a doubled number. Raises Unusable for a sheet that cannot be used as a whole
    (sheet-missing, sheet-empty, heading-missing, heading-doubled).
    """
    table, problems = open_table(book, JOBS, settings, needed=True)
    if table is None:
        raise Unusable(*problems)
    rows = list(table.rows(_columns(table, settings)))
    days = [row.values[DAY] for row in rows]
    period = choose_period([day for day in days if day.__class__ is not Fault])
    inside = [row for row, day in zip(rows, days, strict=True) if day.__class__ is Fault or day in period]
    _mark_doubled(inside)
    jobs = [Job(*(*row.values, table.place(row.number))) for row in inside if not row.faults]
    faults = [table.problem(fault, row) for row in inside for fault in row.faults]
    faults += table.problems_apart()
    apart = table.set_apart
    table.in_error = frozenset(row.number for row in inside if row.faults)
    table.outside = frozenset(row.number for row in rows) - frozenset(row.number for row in inside)
    tally = Tally(len(rows) + apart, len(jobs), len(inside) - len(jobs) + apart, len(rows) - len(inside))
    return JobsRead(tuple(jobs), period, tally, tuple(faults), _set_aside(inside), table.place(0), (table,))


def _columns(table: Table, settings: Settings) -> list[Column]:
    """A reader for each column, in the order of the fields of Job."""
    whole = partial(read_whole, decimal=settings.decimal)
    at_least_one = partial(whole, least=1)
    return [
        Column("job", needed=True),
        Column("date", partial(read_date, date_order=settings.date_order), needed=True),
        Column("frame", needed=True),
        Column("from", _size_reader(table, "from", settings), needed=True),
        Column("to", _size_reader(table, "to", settings), needed=True),
        Column("adjustment", matters=True),
        Column("options", read_options, ()),
        Column("side", _side, "both"),
        Column("left now", whole, None),
        Column("right now", whole, None),
        Column("chairs", at_least_one, 1),
        Column("priority", at_least_one, 3),
        Column("technician"),
        Column("asset"),
        Column("notes"),
    ]


def _size_reader(table: Table, heading: str, settings: Settings) -> Callable[[CellValue], Fraction]:
    """Reads a size to mm; a bare number takes the heading's unit, else that of the settings."""
    found = table.header.found.get(heading)
    unit = (found.unit if found else "") or settings.length_unit

    def read(value: CellValue) -> Fraction:
        return read_length(value, unit, settings.decimal)[0]

    return read


def read_options(value: CellValue) -> tuple[str, ...]:
    return tuple(option for each in re.split("[,;]", as_text(value)) if (option := each.strip()))


def _side(value: CellValue) -> str:
    side = fold(as_text(value))
    if side not in SIDES:
        raise Unreadable("side-unknown", f"{as_text(value)!r} is none of {', '.join(SIDES)}.")
    return side


def _mark_doubled(rows: list[Row]) -> None:
    """Adds a fault to every row whose number another row has too, however it is typed."""
    numbers = [fold(number) if isinstance(number := row.values[NUMBER], str) else "" for row in rows]
    counts = Counter(numbers)
    if len(counts) == len(numbers) and "" not in counts:
        return
    standing: dict[str, list[int]] = {}
    for row, number in zip(rows, numbers, strict=True):
        if number and counts[number] > 1:
            standing.setdefault(number, []).append(row.number)
    for row, number in zip(rows, numbers, strict=True):
        if number in standing:
            others = ", ".join(str(each) for each in standing[number] if each != row.number)
            says = f"The job number {row.values[NUMBER]} stands in row {others} too."
            row.faults.append(Fault("job", "job-doubled", says))


def _set_aside(rows: list[Row]) -> dict[str, tuple[int, ...]]:
    """Number to rows, for rows whose number can be read but which are set aside."""
    aside: dict[str, tuple[int, ...]] = {}
    for row in rows:
        if row.faults and isinstance(number := row.values[NUMBER], str):
            aside[number] = (*aside.get(number, ()), row.number)
    return aside
