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
from reconcile.sheets.jobs.spacers import read_spacers_now
from reconcile.sheets.tables.rows import Column, Columns, Fault, Row, Table, as_text, open_table
from reconcile.values.days import Period
from reconcile.values.frames.stacks import SpacersNow
from reconcile.values.problem import Problem, RowPlace, Unusable
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import SaidJob, completed
from reconcile.values.week.results import Tally
from reconcile.values.words import fold

SIDES = ("both", "left", "right")


@dataclass(frozen=True, slots=True)
class JobsRead:
    """The jobs of the period in the order of the sheet, and what became of every row."""

    jobs: tuple[SaidJob, ...]
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
    columns = JobColumns(table, settings)
    rows = list(table.rows(columns))
    days = [columns.day.said(row) for row in rows]
    period = choose_period([day for day in days if not isinstance(day, Fault)])
    inside = [row for row, day in zip(rows, days, strict=True) if isinstance(day, Fault) or day in period]
    _mark_doubled(inside, columns)
    jobs = [columns.job(row, table.place(row.number)) for row in inside if not row.faults]
    faults = [table.problem(fault, row) for row in inside for fault in row.faults]
    faults += table.problems_apart()
    apart = table.set_apart
    table.in_error = frozenset(row.number for row in inside if row.faults)
    table.outside = frozenset(row.number for row in rows) - frozenset(row.number for row in inside)
    tally = Tally(len(rows) + apart, len(jobs), len(inside) - len(jobs) + apart, len(rows) - len(inside))
    return JobsRead(
        tuple(jobs), period, tally, tuple(faults), _set_aside(inside, columns), table.place(0), (table,)
    )


class JobColumns(Columns):
    """The columns of the jobs sheet."""

    def __init__(self, table: Table, settings: Settings) -> None:
        super().__init__()
        whole = partial(read_whole, decimal=settings.decimal)
        at_least_one = partial(whole, least=1)
        day = partial(read_date, date_order=settings.date_order)
        self.number = self.text("job", needed=True)
        self.day = self.needed("date", day)
        self.frame = self.text("frame", needed=True)
        self.size_from = self.maybe("from", _size_reader(table, "from", settings), None)
        self.size_to = self.needed("to", _size_reader(table, "to", settings))
        self.adjustment = self.text("adjustment", matters=True)
        self.options: Column[tuple[str, ...]] = self.maybe("options", read_options, ())
        self.side = self.maybe("side", _side, "both")
        self.left_now = self.maybe("left now", whole, None)
        self.right_now = self.maybe("right now", whole, None)
        self.spacers_now = self.maybe("spacers now", _spacers_reader(table, settings), None)
        self.chairs = self.maybe("chairs", at_least_one, 1)
        self.priority = self.maybe("priority", at_least_one, 3)
        self.technician = self.text("technician")
        self.asset = self.text("asset", matters=True)
        self.notes = self.text("notes")

    def job(self, row: Row, place: RowPlace) -> SaidJob:
        """The job of a row without a fault."""
        options = self.options.of(row)
        said = SaidJob(
            number=self.number.of(row),
            day=self.day.of(row),
            frame=self.frame.of(row),
            size_from=self.size_from.of(row),
            size_to=self.size_to.of(row),
            adjustment=self.adjustment.of(row),
            options=() if says_none(options) else options,
            no_options=says_none(options),
            side=self.side.of(row),
            left_now=self.left_now.of(row),
            right_now=self.right_now.of(row),
            chairs=self.chairs.of(row),
            priority=self.priority.of(row),
            technician=self.technician.of(row),
            asset=self.asset.of(row),
            notes=self.notes.of(row),
            spacers_now=self.spacers_now.of(row),
            place=place,
        )
        return said if said.size_from is None else completed(said, said.size_from)


def _size_reader(table: Table, heading: str, settings: Settings) -> Callable[[CellValue], Fraction]:
    """Reads a size to mm; a bare number takes the heading's unit, else that of the settings."""
    unit = _unit_of(table, heading, settings)

    def read(value: CellValue) -> Fraction:
        return read_length(value, unit, settings.decimal)[0]

    return read


def _spacers_reader(table: Table, settings: Settings) -> Callable[[CellValue], SpacersNow]:
    """Reads what the stacks consist of; a bare thickness takes its unit as a size does."""
    unit = _unit_of(table, "spacers now", settings)
    return partial(read_spacers_now, unit=unit, decimal=settings.decimal)


def _unit_of(table: Table, heading: str, settings: Settings) -> str | None:
    found = table.header.found.get(heading)
    return (found.unit if found else "") or settings.length_unit


def says_none(options: tuple[str, ...]) -> bool:
    """Whether the word stands for there being no options, which is more than a blank cell says."""
    return [fold(option) for option in options] == ["none"]


def read_options(value: CellValue) -> tuple[str, ...]:
    return tuple(option for each in re.split("[,;]", as_text(value)) if (option := each.strip()))


def _side(value: CellValue) -> str:
    side = fold(as_text(value))
    if side not in SIDES:
        raise Unreadable("side-unknown", f"{as_text(value)!r} is none of {', '.join(SIDES)}.")
    return side


def _mark_doubled(rows: list[Row], columns: JobColumns) -> None:
    """Adds a fault to every row whose number another row has too, however it is typed."""
    said = (columns.number.said(row) for row in rows)
    numbers = ["" if isinstance(number, Fault) else fold(number) for number in said]
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
            says = f"The job number {columns.number.of(row)} stands in row {others} too."
            row.faults.append(Fault("job", "job-doubled", says))


def _set_aside(rows: list[Row], columns: JobColumns) -> dict[str, tuple[int, ...]]:
    """Number to rows, for rows whose number can be read but which are set aside."""
    aside: dict[str, tuple[int, ...]] = {}
    for row in rows:
        if row.faults and not isinstance(number := columns.number.said(row), Fault):
            aside[number] = (*aside.get(number, ()), row.number)
    return aside
