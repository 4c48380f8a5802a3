"""The jobs sheet: rows to planned jobs, and every fault of every row."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
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
from reconcile.sheets.jobs.window import (
    DONE_HERE,
    HISTORY,
    LATER,
    TAKEN_AS_DONE,
    ChoosePeriod,
    PlanWindow,
    SeenRow,
    count_rows,
    counts,
    window_of,
)
from reconcile.sheets.tables.rows import ColumnReader, Columns, Fault, Row, SheetTable, as_text, open_table
from reconcile.values.days import Period, week_text
from reconcile.values.frames.stacks import SpacersNow
from reconcile.values.ledger.standing import BookSays, monday_of
from reconcile.values.problem import Problem, RowPlace, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import (
    DONE_ALREADY,
    LEFT_OVER,
    NOT_CLOSED,
    OPEN,
    PART_DONE,
    Job,
    SaidJob,
    completed,
)
from reconcile.values.week.results import Tally
from reconcile.values.words import fold

SIDES = ("both", "left", "right")
NO_BOOK = BookSays()
ZERO = Fraction(0)
USUAL_PRIORITY = 3


@dataclass(frozen=True, slots=True)
class JobsRead:
    """The jobs that count, in the order of the sheet, and what became of every row."""

    jobs: tuple[SaidJob, ...]
    window: PlanWindow
    tally: Tally
    problems: tuple[Problem, ...]
    unread: dict[str, tuple[int, ...]] = field(default_factory=dict)
    """Number of a job whose row was set aside, to its rows."""
    header: RowPlace = field(default=RowPlace("", "", 0))
    """Where the headings stand, for a row that is added to a copy of the sheet."""
    tables: tuple[SheetTable, ...] = ()
    """The sheet that was read, for the account of its cells."""
    done: tuple[Job, ...] = ()
    """Jobs of the period that the book says are done."""
    numbers: Mapping[str, int] = field(default_factory=dict)
    """By folded number the last row of it, whether it counts or not."""
    taken_as_done: int = 0
    later: int = 0
    """Rows of jobs whose day has passed, and of those beyond the look-ahead."""
    last_row: int = 0

    @property
    def period(self) -> Period:
        return self.window.period


def read_jobs(
    book: Book,
    settings: Settings,
    choose_period: ChoosePeriod,
    today: date,
    says: BookSays = NO_BOOK,
) -> JobsRead:
    """Reads the sheet Jobs. ``choose_period`` gets the planned days of jobs that are not done.

    A row that does not count is counted and not judged; a faulty row is set aside with all its faults, and
    so are all rows of a doubled number. Raises Unusable for a sheet that cannot be used as a whole
    (sheet-missing, sheet-empty, heading-missing, heading-doubled).
    """
    table, problems = open_table(book, JOBS, settings, needed=True)
    if table is None:
        raise Unusable(*problems)
    columns = JobColumns(table, settings)
    rows = list(table.rows(columns))
    seen = [seen_row(columns, row) for row in rows]
    period = choose_period([row.day for row in seen if row.day and not is_done(row, says)])
    window = window_of(period, today, settings, says)
    counted = count_rows(seen, window, says)
    _mark_doubled([(rows[place], seen[place].number) for place in sorted(counted.doubled)], columns)
    judged = [(row, why) for row, why in zip(rows, counted.why, strict=True) if counts(why)]
    jobs = [
        replace(
            columns.job(row, table.place(row.number)), beside=why, standing=standing_of(columns, row, says)
        )
        for row, why in judged
        if not row.faults
    ]
    faulty = [row for row, _ in judged if row.faults]
    table.in_error = frozenset(row.number for row in faulty)
    table.outside = frozenset(row.number for row in rows) - frozenset(row.number for row, _ in judged)
    apart, beside = table.set_apart, sum(bool(job.beside) for job in jobs)
    done, aside = counted.many(DONE_HERE), len(faulty) + apart
    read = len(rows) + apart
    tally = Tally(
        read, len(jobs) - beside, aside, read - len(jobs) - aside - done, beside, done,
    )  # fmt: skip
    faults = [table.problem(fault, row) for row, _ in judged for fault in row.faults]
    return JobsRead(
        tuple(jobs),
        window,
        tally,
        (
            *faults,
            *table.problems_apart(),
            *remarks(list(zip(rows, seen, counted.why, strict=True)), table, says),
        ),
        _set_aside(faulty, columns),
        table.place(0),
        (table,),
        tuple(done_jobs(list(zip(rows, seen, counted.why, strict=True)), columns, table)),
        {row_seen.number: row.number for row, row_seen in zip(rows, seen, strict=True) if row_seen.number},
        counted.many(TAKEN_AS_DONE),
        counted.many(LATER),
        max((row.number for row in rows), default=0),
    )


def seen_row(columns: "JobColumns", row: Row) -> SeenRow:
    number, day = columns.number.said(row), columns.day.said(row)
    return SeenRow("" if isinstance(number, Fault) else fold(number), None if isinstance(day, Fault) else day)


def is_done(row: SeenRow, says: BookSays) -> bool:
    standing = says.of(row.number)
    return standing is not None and standing.done


def standing_of(columns: "JobColumns", row: Row, says: BookSays) -> str:
    return OPEN if says.of(columns.number.of(row)) is None else PART_DONE


def done_jobs(
    rows: Sequence[tuple[Row, SeenRow, str]], columns: "JobColumns", table: SheetTable
) -> Iterator[Job]:
    """The done jobs of the period. Their rows are not judged: what cannot be read of them is left out."""
    for row, seen, why in rows:
        number = columns.number.said(row)
        if why == DONE_HERE and seen.day is not None and not isinstance(number, Fault):
            yield columns.done(row, number, seen.day, table.place(row.number))


def remarks(rows: Sequence[tuple[Row, SeenRow, str]], table: SheetTable, says: BookSays) -> Iterator[Problem]:
    """Jobs left over, weeks that are not closed, rows of jobs that are done or have a later row."""
    weeks: set[date] = set()
    for row, seen, why in rows:
        if seen.day is None:
            continue
        cell, day = table.place(row.number).cell("date"), f"{seen.day:%a %Y-%m-%d}"
        standing = says.of(seen.number)
        if why == LEFT_OVER:
            told = (
                f"The week of {day} is closed, and this job is not done: it is left over and keeps its parts."
            )
            yield problem("job-left-over", cell, told, found=seen.day.isoformat())
        elif why == NOT_CLOSED and monday_of(seen.day) not in weeks:
            weeks.add(monday_of(seen.day))
            told = f"Week {week_text(seen.day)} is not closed: its jobs count as still to do."
            yield problem("week-not-closed", cell, told, found=week_text(seen.day))
        elif why == HISTORY:
            told = "A later row of the same job counts; this one is its history."
            yield problem("job-history", cell, told, found=seen.day.isoformat())
        elif standing is not None and standing.done and seen.day > standing.last_day:
            told = f"{seen.number} was done with {standing.closing}, and a row plans it for {day}."
            yield problem("job-done-already", cell, told, found=seen.day.isoformat())


class JobColumns(Columns):
    """The columns of the jobs sheet."""

    def __init__(self, table: SheetTable, settings: Settings) -> None:
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
        self.options: ColumnReader[tuple[str, ...]] = self.maybe("options", read_options, ())
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

    def done(self, row: Row, number: str, day: date, place: RowPlace) -> Job:
        """A job that is done, of which only number, day, frame, people and notes are of use."""
        said = {
            name: value
            for name, column in (
                ("frame", self.frame),
                ("technician", self.technician),
                ("asset", self.asset),
            )
            if not isinstance(value := column.said(row), Fault)
        }
        priority = self.priority.said(row)
        return Job(
            number, day, said.get("frame", ""), ZERO, ZERO, standing=DONE_ALREADY, place=place,
            priority=USUAL_PRIORITY if isinstance(priority, Fault) else priority,
            technician=said.get("technician", ""), asset=said.get("asset", ""),
        )  # fmt: skip


def _size_reader(table: SheetTable, heading: str, settings: Settings) -> Callable[[CellValue], Fraction]:
    """Reads a size to mm; a bare number takes the heading's unit, else that of the settings."""
    unit = _unit_of(table, heading, settings)

    def read(value: CellValue) -> Fraction:
        return read_length(value, unit, settings.decimal)[0]

    return read


def _spacers_reader(table: SheetTable, settings: Settings) -> Callable[[CellValue], SpacersNow]:
    """Reads what the stacks consist of; a bare thickness takes its unit as a size does."""
    unit = _unit_of(table, "spacers now", settings)
    return partial(read_spacers_now, unit=unit, decimal=settings.decimal)


def _unit_of(table: SheetTable, heading: str, settings: Settings) -> str | None:
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


def _mark_doubled(rows: list[tuple[Row, str]], columns: JobColumns) -> None:
    """Adds a fault to every row of a doubled number (folded), however it is typed."""
    standing: dict[str, list[int]] = {}
    for row, number in rows:
        standing.setdefault(number, []).append(row.number)
    for row, number in rows:
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
