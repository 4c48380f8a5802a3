"""Count: the week's sheet written; sheets read back, judged, booked, and what stays open written anew."""

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from functools import partial
from pathlib import Path

from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import refuse_open
from reconcile.ledger.files import digest as file_digest
from reconcile.plan.closing.movements import shelf_changes
from reconcile.plan.counting.sheets import (
    check_code,
    classes,
    count_sheet,
    digest,
    in_kits,
    lines_of,
    picks,
    short_jobs,
)
from reconcile.plan.counting.verdicts import Shelf, accuracy, judged
from reconcile.reports.counts.book import count_name, write_count_book
from reconcile.reports.writing.files import write_whole
from reconcile.sheets.counts.rows import CountRead, read_count
from reconcile.sheets.files.books import open_book
from reconcile.sheets.finding import Located, call_fault, located, located_by, stock_path
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.period import monday_of, period_chooser
from reconcile.sheets.request import Request
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.days import ONE_DAY, week_text
from reconcile.values.problem import Problem, Unusable
from reconcile.values.rules import Counting
from reconcile.values.settings import Settings
from reconcile.values.stock.counting import (
    AGAIN,
    OPEN,
    VERDICTS,
    Accuracy,
    Counted,
    CountLine,
    CountResult,
    CountSheet,
    LineKey,
    PartClass,
    Reason,
)
from reconcile.values.stock.movements import COUNT, COUNTED, Closing, Entry, Movement, StockChange
from reconcile.values.stock.parts import Stock
from reconcile.values.week.results import JobResult
from reconcile.work.book import read_book
from reconcile.work.booking import CLOSABLE, Posted, Posting, StockDesk, open_desk, post, refuse_old
from reconcile.work.planning import plan
from reconcile.work.stages import READING, WRITING, Stage, unwatched

SHEET_DETAIL = "count sheet"
"""What the details of a closing call the sheet that it books."""


@dataclass(frozen=True, slots=True)
class CountRequest:
    """What was asked for."""

    request: Request
    out: Path
    """The folder of count sheets."""
    read: tuple[Path, ...] = ()
    """Sheets that were filled in, in the order of counting."""
    who: str = ""
    force: bool = False
    blind: bool = True
    trust: bool = False
    """Differences beyond tolerance are taken as counted."""
    recount: bool = False
    """A sheet of what stays open is written, even if nothing is booked."""
    post: bool = False
    """What is settled is booked."""
    in_place: bool = False
    take_differences: bool = False
    """See ``booking.post``."""


@dataclass(frozen=True, slots=True)
class StockToCount:
    """What is counted: the stock as it was read, the digest of its workbook, and the planned jobs."""

    stock: Stock
    settings: Settings
    workbook: Path
    digest: str
    monday: date
    today: date
    set_aside: int
    """Rows of the stock sheet."""
    jobs: tuple[JobResult, ...] = ()
    kits: Mapping[LineKey, Fraction] = field(default_factory=dict)
    """What kits of jobs that are not closed yet take from which bin."""
    unplanned: str = ""
    """Why the jobs could not be looked at; "" where they were."""


# --- writing a sheet ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SheetToCount:
    """The week's count sheet, and how it came about."""

    sheet: CountSheet
    by_class: Mapping[str, PartClass]
    rules: Counting
    set_aside: int
    """Rows of the stock sheet that are not on it."""
    unplanned: str
    """Why no part of a short job is put first; "" where the jobs were looked at."""
    file: Path | None
    """Where it was written; None where nothing is to be counted."""


def write_sheet(wanted: CountRequest, stage: Stage = unwatched) -> SheetToCount:
    """Writes the week's count sheet.

    Raises Unusable: output-exists, output-locked; and as reading the stock does.
    """
    shelves = planned_shelves(wanted.request, stage)
    rules = shelves.settings.counting
    by_class = classes(shelves.stock, rules, shelves.today)
    chosen = picks(
        shelves.stock, by_class, rules, shelves.monday, shelves.settings.days,
        missed=short_jobs(shelves.jobs), last_counted=last_counts(shelves.workbook, shelves.stock),
    )  # fmt: skip
    week = week_text(shelves.monday)
    sheet = count_sheet(lines_of(chosen, shelves.kits), week, shelves.digest, blind=wanted.blind)
    path = None
    if sheet.lines:
        stage(WRITING)
        path = wanted.out / count_name(week)
        write_out(sheet, path, shelves.settings, wanted.force)
    return SheetToCount(sheet, by_class, rules, shelves.set_aside, shelves.unplanned, path)


def planned_shelves(request: Request, stage: Stage) -> StockToCount:
    """The stock with the week's jobs; without them, and the reason, where they cannot be planned.

    Raises Unusable for a ledger that is there and cannot be read: it knows which jobs are done.
    """
    try:
        week = plan(request, stage)
    except Unusable as unusable:
        if any(fault.code.startswith("ledger-") for fault in unusable.problems):
            raise
        return replace(stock_alone(located(request)), unplanned=unusable.problems[0].says)
    digests = [(file.name, file.sha256) for file in week.files if file.role == "stock"]
    return StockToCount(
        week.stock, week.settings, stock_path(located_by(week.settings, request)), stock_digest(digests),
        week.period.first, week.today, week.rows["stock"].set_aside, (*week.jobs, *week.others),
        in_kits(week.picks),
    )  # fmt: skip


def stock_alone(places: Located) -> StockToCount:
    """The stock without any job."""
    settings, today, path = places.settings, places.today, stock_path(places)
    book = open_book(path, settings.limits, settings.csv_form)
    read = read_stock(book, settings, today)
    aside = read.tallies["stock"].set_aside
    return StockToCount(
        read.stock, settings, path, stock_digest(book.digests), monday_wanted(places), today, aside
    )  # fmt: skip


def stock_digest(digests: Iterable[tuple[str, str]]) -> str:
    """The SHA-256 of the workbook; of a folder of csv files one figure for all of them."""
    found = list(digests)
    return found[0][1] if len(found) == 1 else digest(*(text for pair in sorted(found) for text in pair))


def monday_wanted(places: Located) -> date:
    """The Monday of the week asked for: by its name, else that of the next planned jobs, else today's.

    Raises Unusable (ledger-broken, ledger-busy) as ``read_book`` does: jobs that are done plan no week.
    """
    request, settings, today = places.request, places.settings, places.today
    if request.week is not None:
        return monday_of(request.week)
    try:
        book = open_book(places.jobs, settings.limits, settings.csv_form)
        choose = period_chooser(request, today, settings.days)
        return read_jobs(book, settings, choose, today, read_book(places)).period.first
    except Unusable:
        return today - today.weekday() * ONE_DAY


def write_out(sheet: CountSheet, path: Path, settings: Settings, force: bool) -> None:
    """Writes a count sheet on the country's paper. Raises Unusable as ``write_whole`` does."""
    country = settings.country or settings.workshop.country
    write_whole(path, partial(write_count_book, sheet, country), force)


# --- what the ledger knows ------------------------------------------------------------------------


def last_counts(workbook: Path, stock: Stock) -> dict[str, date]:
    """The day on which each part was last counted by a sheet, as far as the ledger has it."""
    closable = workbook.suffix.lower() in CLOSABLE
    ledger = open_ledger(ledger_path(workbook), create=False) if closable else None
    if ledger is None:
        return {}
    with ledger:
        counts = sheets_booked(ledger)
        last = {part: last_count(ledger, part, counts) for part in stock.parts}
    return {part: day for part, day in last.items() if day is not None}


def sheets_booked(ledger: Ledger) -> dict[str, object]:
    """The closings that booked a count sheet, and which; no two of these ever have the same name."""
    return {
        closing.name: closing.details.get(SHEET_DETAIL)
        for closing in ledger.closings()
        if closing.kind == COUNT
    }


def last_count(ledger: Ledger, part: str, counts: Container[str]) -> date | None:
    """The day of the last of these closings that counted the part; None where none did."""
    return max((entry.movement.day for entry in sheet_counts(ledger, part, counts)), default=None)


def sheet_counts(ledger: Ledger, part: str, counts: Container[str]) -> list[Entry]:
    """The movements of a part that belong to these closings and that were not written back."""
    entries = ledger.card(part)
    undone = {entry.reverses for entry in entries}
    return [entry for entry in entries if entry.closing in counts and entry.number not in undone]


def steps_of(ledger: Ledger | None, parts: Iterable[str]) -> dict[tuple[str, str], list[Fraction]]:
    """The movements of each bin of these parts, oldest first."""
    steps: dict[tuple[str, str], list[Fraction]] = {}
    for part in dict.fromkeys(parts) if ledger is not None else ():
        assert ledger is not None
        for entry in ledger.card(part):
            steps.setdefault((part, entry.movement.bin), []).append(entry.movement.quantity)
    return steps


# --- reading sheets back --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CountTable:
    """Where sheets are judged: the stock, and its ledger where it can be booked into."""

    desk: StockDesk | None
    shelves: StockToCount

    @property
    def remarks(self) -> tuple[Problem, ...]:
        """What was finished of an earlier run."""
        return self.desk.remarks if self.desk else ()


@dataclass(frozen=True, slots=True)
class CountJudged:
    """Every line with its verdict, and how right the book was. Nothing is booked yet."""

    result: CountResult
    accuracy: tuple[Accuracy, ...]
    set_aside: bool
    """Rows of the sheets could not be used."""

    @property
    def whole(self) -> bool:
        """Nothing is to be counted again, and nothing was set aside."""
        return not self.set_aside and not self.result.again


@dataclass(frozen=True, slots=True)
class CountBooked:
    """What was booked, and what became of it."""

    closing: Closing
    movements: tuple[Movement, ...]
    posted: Posted


def open_table(wanted: CountRequest, stage: Stage = unwatched) -> CountTable:
    """The stock with its ledger, where it is a workbook that can be booked into; else the stock alone.

    Raises Unusable as ``open_desk`` does, where something is to be booked for any other stock as well.
    """
    stage(READING)
    places = located(wanted.request)
    if not wanted.post and stock_path(places).suffix.lower() not in CLOSABLE:
        return CountTable(None, stock_alone(places))
    desk = open_desk(places, wanted.who)
    aside = desk.read.tallies["stock"].set_aside
    monday = monday_wanted(places)
    return CountTable(
        desk,
        StockToCount(desk.read.stock, desk.settings, desk.workbook, desk.sha256, monday, desk.today, aside),
    )


def judge_sheets(wanted: CountRequest, table: CountTable) -> CountJudged:
    """Reads the sheets and judges every line.

    Raises Unusable: stock-before-closing; as ``read_count`` does; call-unusable for a sheet given twice.
    """
    if table.desk:
        refuse_old(table.desk)
    shelves = table.shelves
    reads = read_sheets(wanted, shelves)
    ledger = table.desk.ledger if table.desk else None
    shelf = Shelf(
        shelves.stock, classes(shelves.stock, shelves.settings.counting, shelves.today),
        shelves.settings.counting,
        steps_of(ledger, (row.part for read in reads for row in read.back.rows)),
        shelves.digest,
    )  # fmt: skip
    judged_lines = judged([read.back for read in reads], shelf, accept=wanted.trust)
    problems = (*(found for read in reads for found in read.problems), *judged_lines.problems)
    result = replace(judged_lines, problems=problems)
    aside = any(read.tally.set_aside for read in reads)
    return CountJudged(result, accuracy(result.lines), aside)


def read_sheets(wanted: CountRequest, shelves: StockToCount) -> list[CountRead]:
    """The sheets as they were filled in, in the order given."""
    week, reads = week_text(shelves.monday), []
    seen: dict[str, Path] = {}
    for path in (sheet_path(named, wanted) for named in wanted.read):
        refuse_open(path)
        book = open_book(path, shelves.settings.limits, shelves.settings.csv_form)
        read = read_count(book, shelves.stock, shelves.settings, week)
        if (other := seen.setdefault(read.back.mark.identity, path)) is not path:
            says = f"{path.name} is the same sheet as {other.name}; one count does not bear itself out."
            raise Unusable(call_fault("--read", says))
        reads.append(read)
    return reads


def sheet_path(named: Path, wanted: CountRequest) -> Path:
    """The sheet as it is named, or of that name where sheets are written."""
    beside = wanted.out / named
    return beside if not named.exists() and beside.exists() else named


# --- booking --------------------------------------------------------------------------------------


def to_book(result: CountResult, desk: StockDesk) -> list[Counted]:
    """Lines that are settled and not on record. One without a difference is booked as 0, to be on record."""
    settled = [line for line in result.lines if line.verdict not in OPEN]
    known = on_record(desk.ledger, result.mark.identity, (line.part.number for line in settled))
    return [line for line in settled if line.difference or line.key not in known]


def on_record(ledger: Ledger | None, sheet: str, parts: Iterable[str]) -> set[tuple[str, str]]:
    """The bins whose count by this sheet the ledger has."""
    if ledger is None:
        return set()
    counts = {name for name, booked_sheet in sheets_booked(ledger).items() if booked_sheet == sheet}
    return {
        (part, entry.movement.bin)
        for part in dict.fromkeys(parts)
        for entry in sheet_counts(ledger, part, counts)
    }


def book_count(judged_sheets: CountJudged, table: CountTable, wanted: CountRequest) -> CountBooked | None:
    """Books all settled lines in one closing, with a stock workbook.

    None where it was not asked for, or no line is left to book. Raises Unusable, with nothing changed, as
    ``post`` does.
    """
    result, desk = judged_sheets.result, table.desk
    lines = to_book(result, desk) if wanted.post and desk else []
    if not lines or desk is None:
        return None
    sheet = result.mark.identity
    movements = [
        Movement(
            line.part.number, line.bin, line.difference, line.part.unit, COUNTED, desk.today,
            line.by or desk.who, source=line.place.cell("counted"),
            note=f"count sheet {sheet}, {line.verdict}",
        )
        for line in lines
    ]  # fmt: skip
    name = f"count {desk.today}"
    name = desk.ledger.free_name(name) if desk.ledger else name
    closing = Closing(name, COUNT, desk.today, desk.who, details={SHEET_DETAIL: sheet})
    posting = Posting(closing, movements, StockChange(shelf_changes(movements)))
    posted = post(desk, posting, in_place=wanted.in_place, take_differences=wanted.take_differences)
    return CountBooked(closing, tuple(movements), posted)


def write_again(
    result: CountResult, wanted: CountRequest, shelves: StockToCount, booked: CountBooked | None
) -> Path | None:
    """Writes a blind sheet of the lines that stay open, on the book as it is now; says where.

    None where no line does, or neither a sheet nor a booking was asked for.
    """
    if not result.again or not (wanted.recount or wanted.post):
        return None
    lines = [
        CountLine(
            line.part, line.bin, line.book, line.name, (Reason(AGAIN, VERDICTS[line.verdict]),),
            check_code(line.part.number, line.bin, line.book), line.kits,
        )
        for line in result.again
    ]  # fmt: skip
    stock = file_digest(booked.posted.workbook) if booked else shelves.digest
    again = len(wanted.read)
    sheet = count_sheet(lines, result.mark.week, stock, again=again)
    path = wanted.out / count_name(sheet.mark.week, again)
    write_out(sheet, path, shelves.settings, wanted.force)
    return path
