"""What ``reconcile count`` does: the week's sheet written; sheets read back, judged, booked, written anew."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import partial
from pathlib import Path

from reconcile.commands.close import report
from reconcile.commands.running import Status
from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import refuse_open
from reconcile.ledger.files import digest as file_digest
from reconcile.plan.closing.movements import moved
from reconcile.plan.counting.sheets import (
    check_code,
    classes,
    count_sheet,
    digest,
    lines_of,
    picks,
    short_jobs,
)
from reconcile.plan.counting.verdicts import Shelf, accuracy, judged
from reconcile.reports.closing.ledger_screen import posted_screen
from reconcile.reports.counts.book import count_name, write_count_book
from reconcile.reports.counts.screen import next_steps, result_screen, sheet_screen
from reconcile.reports.writing.files import write_whole
from reconcile.reports.writing.text import written_lines
from reconcile.reports.writing.wording import count_text
from reconcile.sheets.counts.rows import CountRead, read_count
from reconcile.sheets.files.books import open_book
from reconcile.sheets.finding import call_fault, jobs_path, settings_and_base
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.period import monday_of, period_chooser
from reconcile.sheets.request import Request
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.days import ONE_DAY, week_text
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.counting import (
    AGAIN,
    OPEN,
    VERDICTS,
    Counted,
    CountLine,
    CountResult,
    CountSheet,
    Reason,
)
from reconcile.values.stock.movements import COUNT, COUNTED, Closing, Entry, Movement, StockChange
from reconcile.values.stock.parts import Stock
from reconcile.values.week.results import JobResult
from reconcile.work.booking import CLOSABLE, Desk, Posted, Posting, open_desk, post, refuse_old, stock_path
from reconcile.work.planning import READING, WRITING, plan
from reconcile.work.stages import Stage

BY_SHEET = "count sheet "
"""Begins the note of every movement that a count sheet brought about."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked for on the command line."""

    request: Request
    read: tuple[Path, ...]
    out: Path
    force: bool = False
    blind: bool = True
    recount: bool = False
    accept: bool = False
    post: bool = False
    in_place: bool = False
    take: bool = False
    who: str = ""


@dataclass(frozen=True, slots=True)
class Shelves:
    """What is counted: the stock as it was read, the digest of its workbook, and the planned jobs."""

    stock: Stock
    settings: Settings
    digest: str
    monday: date
    today: date
    set_aside: int
    """Rows of the stock sheet."""
    jobs: tuple[JobResult, ...] = ()
    note: str = ""
    """Why the jobs could not be looked at; "" where they were."""


# --- writing a sheet ------------------------------------------------------------------------------


def write_sheet(asked: Asked, stage: Stage) -> tuple[str, int]:
    """Writes the week's count sheet; what is to be said, and the exit status.

    Raises Unusable: call-unusable for options that need --read; output-exists, output-locked; and as
    reading the stock does.
    """
    for name, given in (
        ("--post", asked.post),
        ("--trust-count", asked.accept),
        ("--recount", asked.recount),
    ):
        if given:
            raise Unusable(call_fault(name, f"{name} needs a sheet that was filled in: --read SHEET."))
    shelves = planned_shelves(asked.request, stage)
    rules = shelves.settings.counting
    by_class = classes(shelves.stock, rules, shelves.today)
    chosen = picks(
        shelves.stock, by_class, rules, shelves.monday, shelves.settings.days,
        missed=short_jobs(shelves.jobs), last_counted=last_counts(asked.request, shelves.stock),
    )  # fmt: skip
    week = week_text(shelves.monday)
    sheet = count_sheet(lines_of(chosen), week, shelves.digest, blind=asked.blind)
    sheet = replace(sheet, notes=tuple(notes(shelves)))
    told = [sheet_screen(sheet, by_class, rules)]
    if sheet.lines:
        stage(WRITING)
        path = asked.out / count_name(week)
        write_out(sheet, path, shelves.settings, asked.force)
        told.append(written_lines([path]))
    return "\n\n".join(told), Status.FINE


def planned_shelves(request: Request, stage: Stage) -> Shelves:
    """The stock with the week's jobs; without them, and a note, where they cannot be planned."""
    try:
        week = plan(request, stage)
    except Unusable as unusable:
        read = stock_alone(request)
        why = unusable.problems[0].says
        return replace(
            read, note=f"No part of a short job is put first, for the week could not be planned: {why}"
        )
    digests = [(file.name, file.sha256) for file in week.files if file.role == "stock"]
    return Shelves(
        week.stock, week.settings, stock_digest(digests), week.period.first, week.today,
        week.rows["stock"].set_aside, week.jobs,
    )  # fmt: skip


def stock_alone(request: Request) -> Shelves:
    settings, _ = settings_and_base(request)
    today = request.today or date.today()
    book = open_book(stock_path(request), settings.limits, settings.csv_form)
    read = read_stock(book, settings, today)
    aside = read.tallies["stock"].set_aside
    monday = asked_week(request, settings, today)
    return Shelves(read.stock, settings, stock_digest(book.digests), monday, today, aside)


def stock_digest(digests: Iterable[tuple[str, str]]) -> str:
    """The SHA-256 of the workbook; of a folder of csv files one figure for all of them."""
    found = list(digests)
    return found[0][1] if len(found) == 1 else digest(*(text for each in sorted(found) for text in each))


def asked_week(request: Request, settings: Settings, today: date) -> date:
    """The Monday of the week asked for: by its name, else that of the next planned jobs, else today's."""
    if request.week is not None:
        return monday_of(request.week)
    try:
        book = open_book(jobs_path(request), settings.limits, settings.csv_form)
        return read_jobs(book, settings, today, period_chooser(request, today, settings.days)).period.first
    except Unusable:
        return today - today.weekday() * ONE_DAY


def notes(shelves: Shelves) -> Iterable[str]:
    if shelves.set_aside:
        rows = count_text(shelves.set_aside, "row")
        yield f"{rows} of the stock sheet set aside, and not on this sheet; reconcile week says why."
    if shelves.note:
        yield shelves.note


def write_out(sheet: CountSheet, path: Path, settings: Settings, force: bool) -> None:
    country = settings.country or settings.workshop.country
    write_whole(path, partial(write_count_book, sheet, country), force)


# --- what the ledger knows ------------------------------------------------------------------------


def last_counts(request: Request, stock: Stock) -> dict[str, date]:
    """The day on which each part was last counted by a sheet, as far as the ledger has it."""
    path = stock_path(request)
    ledger = open_ledger(ledger_path(path), create=False) if path.suffix.lower() in CLOSABLE else None
    if ledger is None:
        return {}
    with ledger:
        return {part: day for part in stock.parts if (day := last_count(ledger, part)) is not None}


def last_count(ledger: Ledger, part: str) -> date | None:
    return max((sheet_count.movement.day for sheet_count in sheet_counts(ledger, part)), default=None)


def sheet_counts(ledger: Ledger | None, part: str) -> list[Entry]:
    """The movements of a part that count sheets brought about and that were not written back."""
    entries = ledger.card(part) if ledger is not None else ()
    undone = {entry.reverses for entry in entries}
    return [
        entry
        for entry in entries
        if entry.movement.kind == COUNTED
        and entry.movement.note.startswith(BY_SHEET)
        and entry.reverses is None
        and entry.number not in undone
    ]


def steps_of(ledger: Ledger | None, parts: Iterable[str]) -> dict[tuple[str, str], list[Fraction]]:
    """The movements of each bin of these parts, oldest first."""
    steps: dict[tuple[str, str], list[Fraction]] = {}
    for part in dict.fromkeys(parts) if ledger is not None else ():
        assert ledger is not None
        for each in ledger.card(part):
            steps.setdefault((part, each.movement.bin), []).append(each.movement.quantity)
    return steps


# --- reading sheets back --------------------------------------------------------------------------


def read_back(asked: Asked, stage: Stage) -> tuple[str, int]:
    """Reads sheets, judges every line, books what is accepted if asked; what is said, and the exit status.

    Raises Unusable: as ``open_desk``, ``read_count`` and ``post`` do; call-unusable for a sheet given twice.
    """
    stage(READING)
    desk, shelves = desk_of(asked)
    reads = read_sheets(asked, shelves)
    shelf = Shelf(
        shelves.stock, classes(shelves.stock, shelves.settings.counting, shelves.today),
        shelves.settings.counting,
        steps_of(desk.ledger if desk else None, (row.part for read in reads for row in read.back.rows)),
        shelves.digest,
    )  # fmt: skip
    judged_lines = judged([each.back for each in reads], shelf, accept=asked.accept)
    problems = (*(found for each in reads for found in each.problems), *judged_lines.problems)
    result = replace(judged_lines, problems=problems)
    settled = to_book(result, desk) if asked.post and desk else []
    posted, said = booked(settled, result.mark.identity, desk, asked) if settled and desk else (None, "")
    told = [result_screen(result, accuracy(result.lines), posted=posted is not None)]
    told += (
        [said or "Nothing is booked: no line is settled that was not booked before."] if asked.post else []
    )
    again = bool(result.again) and (asked.recount or asked.post)
    if again:
        told.append(written_again(result, asked, shelves, posted))
    steps = next_steps(result, posted=posted is not None, written=again)
    told += [steps] if steps else []
    return "\n\n".join(told), status_of(result, reads)


def desk_of(asked: Asked) -> tuple[Desk | None, Shelves]:
    """The stock with its ledger, where it is a workbook that can be booked into; else the stock alone."""
    if not asked.post and stock_path(asked.request).suffix.lower() not in CLOSABLE:
        return None, stock_alone(asked.request)
    desk = open_desk(asked.request, asked.who)
    report(desk.remarks)
    refuse_old(desk)
    monday = asked_week(asked.request, desk.settings, desk.today)
    aside = desk.read.tallies["stock"].set_aside
    return desk, Shelves(desk.read.stock, desk.settings, desk.sha256, monday, desk.today, aside)


def read_sheets(asked: Asked, shelves: Shelves) -> list[CountRead]:
    week, reads = week_text(shelves.monday), []
    seen: dict[str, Path] = {}
    for path in (there(each, asked) for each in asked.read):
        refuse_open(path)
        book = open_book(path, shelves.settings.limits, shelves.settings.csv_form)
        read = read_count(book, shelves.stock, shelves.settings, week)
        if (other := seen.setdefault(read.back.mark.identity, path)) is not path:
            says = f"{path.name} is the same sheet as {other.name}; one count does not bear itself out."
            raise Unusable(call_fault("--read", says))
        reads.append(read)
    return reads


def there(path: Path, asked: Asked) -> Path:
    """The sheet as it is named, or of that name where sheets are written."""
    beside = asked.out / path
    return beside if not path.exists() and beside.exists() else path


def status_of(result: CountResult, reads: Iterable[CountRead]) -> int:
    aside = any(read.tally.set_aside for read in reads)
    return Status.SHORT if aside or result.again else Status.FINE


# --- booking --------------------------------------------------------------------------------------


def to_book(result: CountResult, desk: Desk) -> list[Counted]:
    """Lines that are settled and not on record. One without a difference is booked as 0, to be on record."""
    settled = [line for line in result.lines if line.verdict not in OPEN]
    known = on_record(desk.ledger, result.mark.identity, (each.part.number for each in settled))
    return [each for each in settled if each.difference or each.key not in known]


def on_record(ledger: Ledger | None, sheet: str, parts: Iterable[str]) -> set[tuple[str, str]]:
    """The bins whose count by this sheet the ledger has."""
    return {
        (part, sheet_count.movement.bin)
        for part in (dict.fromkeys(parts) if ledger is not None else ())
        for sheet_count in sheet_counts(ledger, part)
        if sheet_count.movement.note.startswith(f"{BY_SHEET}{sheet}")
    }


def booked(lines: Iterable[Counted], sheet: str, desk: Desk, asked: Asked) -> tuple[Posted, str]:
    """All settled lines in one closing, and the stock workbook that goes with it; and what is said of it."""
    movements = [
        Movement(
            line.part.number, line.bin, line.difference, line.part.unit, COUNTED, desk.today,
            line.by or desk.who, source=str(line.place.cell("counted")),
            note=f"{BY_SHEET}{sheet}, {line.verdict}",
        )
        for line in lines
    ]  # fmt: skip
    name = f"count {desk.today}"
    name = desk.ledger.free_name(name) if desk.ledger else name
    closing = Closing(name, COUNT, desk.today, desk.who, details={"count sheet": sheet})
    posting = Posting(closing, movements, StockChange(moved(movements)))
    posted = post(desk, posting, in_place=asked.in_place, take=asked.take)
    report(posted.remarks)
    return posted, posted_screen(closing, movements, posted.workbook, posted.kept, posted.taken)


def written_again(result: CountResult, asked: Asked, shelves: Shelves, posted: Posted | None) -> str:
    """Writes a blind sheet of the lines that stay open, on the book as it is now."""
    lines = [
        CountLine(
            each.part, each.bin, each.book, each.name, (Reason(AGAIN, VERDICTS[each.verdict]),),
            check_code(each.part.number, each.bin, each.book),
        )
        for each in result.again
    ]  # fmt: skip
    stock = file_digest(posted.workbook) if posted else shelves.digest
    again = len(asked.read)
    sheet = count_sheet(lines, result.mark.week, stock, again=again)
    path = asked.out / count_name(sheet.mark.week, again)
    write_out(sheet, path, shelves.settings, asked.force)
    return written_lines([path])
