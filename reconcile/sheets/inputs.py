"""All inputs of a week, found and read: settings, jobs, stock and frames, with every problem at once."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TypeVar

from reconcile.sheets.accepted import Acceptance, sheets_of
from reconcile.sheets.account import accounts
from reconcile.sheets.figures.amounts import Unreadable, convert
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.finding import (
    call_fault,
    digest_of,
    find_book,
    find_frames,
    find_settings,
    jobs_path,
    overridden,
    settings_and_base,
)
from reconcile.sheets.frames.files import FramesRead, read_frames
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.jobs.question import Question, read_asked
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.period import period_chooser
from reconcile.sheets.request import Request
from reconcile.sheets.settings.file import read_settings
from reconcile.sheets.stock.headings import STOCK
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.days import week_text
from reconcile.values.frames.frame import Adjustment, Disturbed, Extra, Frame, Joint
from reconcile.values.measure import Amount
from reconcile.values.problem import Place, Problem, RowPlace, Unusable, problem
from reconcile.values.stock.parts import Stock
from reconcile.values.week.jobs import Job
from reconcile.values.week.results import InputFile, Inputs
from reconcile.values.words import nearest

T = TypeVar("T")


def read_inputs(request: Request) -> Inputs:
    """Reads everything, or raises Unusable with all that forbids it, whichever files it stands in."""
    today = request.today or date.today()
    settings_path = find_settings(request)
    settings, remarks = read_settings(settings_path, today)
    settings = overridden(settings, request)
    choose_period = period_chooser(request, today, settings.days)
    base = settings_path.parent if settings_path else request.folder
    faults: list[Problem] = []

    def attempt(read: Callable[[], T]) -> T | None:
        try:
            return read()
        except Unusable as unusable:
            faults.extend(unusable.problems)
            return None

    def opened(role: str, asked: Path | None, set_path: str | None) -> Book:
        path = find_book(role, asked, set_path, base, request)
        return open_book(path, settings.limits, settings.csv_form)

    def accept(path: Path) -> Acceptance:
        acceptance = Acceptance(open_book(path, settings.limits, settings.csv_form), settings)
        acceptance.apply(list(sheets_of([(job_book, JOBS), (stock_book, STOCK)])))
        return acceptance

    job_book = attempt(lambda: opened("jobs", request.jobs, settings.jobs))
    stock_book = attempt(lambda: opened("stock", request.stock, settings.stock))
    frames = attempt(lambda: read_frames(find_frames(request, settings, base)))
    accepted = attempt(lambda: accept(path)) if (path := request.accept) else None
    jobs = attempt(lambda: read_jobs(job_book, settings, today, choose_period)) if job_book else None
    stock = (
        attempt(lambda: read_stock(stock_book, settings, today, for_kits_alone=request.for_kits_alone))
        if stock_book
        else None
    )
    if faults or jobs is None or stock is None or frames is None or not job_book or not stock_book:
        raise Unusable(*remarks, *faults)
    frames = settle_units(frames, stock.stock)
    files = (
        *(InputFile("settings", name, digest) for name, digest in digest_of(settings_path)),
        *_book_files("jobs", job_book),
        *_book_files("stock", stock_book),
        *(_book_files("accept", accepted.book) if accepted else ()),
        *(InputFile("frame", name, digest) for name, digest in frames.files),
    )
    return Inputs(
        jobs=jobs.jobs,
        frames=frames.frames,
        stock=stock.stock,
        settings=settings,
        period=jobs.period,
        today=today,
        problems=(
            *remarks,
            *job_book.problems,
            *jobs.problems,
            *stock_book.problems,
            *stock.problems,
            *((*accepted.book.problems, *accepted.problems) if accepted else ()),
            *frames.problems,
        ),
        rows={"jobs": jobs.tally, **stock.tallies, **({"accept": accepted.tally} if accepted else {})},
        files=files,
        faulty=frames.faulty,
        unread_jobs=jobs.unread,
        jobs_header=jobs.header,
        cells=accounts([(job_book, jobs.tables), (stock_book, stock.tables)]) if request.count_cells else (),
    )


def _book_files(role: str, book: Book) -> list[InputFile]:
    return [InputFile(role, name, digest, book.read_as.get(name, "")) for name, digest in book.digests]


def inputs_with_job(number: str, request: Request) -> Inputs:
    """The inputs for the week in which the numbered job is planned, wherever that is."""
    inputs = read_inputs(request)
    if knows(number, inputs):
        return inputs
    everything = read_inputs(replace(request, week=None, first=date.min, last=date.max))
    found = next((job for job in everything.jobs if job.number == number), None)
    if found is not None:
        return read_inputs(replace(request, week=week_text(found.day)))
    if knows(number, everything):
        return everything
    like = nearest(number, (job.number for job in everything.jobs))
    says = f"The jobs sheet has no job {number!r}." + (f" Nearest: {', '.join(like)}." if like else "")
    raise Unusable(problem("call-unusable", Place("command line", "", "JOB"), says))


def has_job(number: str, request: Request) -> bool:
    """Whether the jobs sheet has that number, in whatever week."""
    return knows(number, read_inputs(replace(request, week=None, first=date.min, last=date.max)))


def jobs_header(request: Request, number: str) -> RowPlace:
    """Where the headings of the jobs sheet stand. Raises Unusable if the sheet has the number already."""
    everything = read_inputs(replace(request, week=None, first=date.min, last=date.max))
    if knows(number, everything):
        raise Unusable(call_fault("--hold", f"The jobs sheet has a job {number} already."))
    return everything.jobs_header


def knows(number: str, inputs: Inputs) -> bool:
    return number in inputs.unread_jobs or any(job.number == number for job in inputs.jobs)


def faults_of_job(number: str, inputs: Inputs, problems: tuple[Problem, ...]) -> list[Problem]:
    """The errors for which the numbered job was set aside, wherever it was."""
    rows = {
        *inputs.unread_jobs.get(number, ()),
        *(job.place.row for job in inputs.jobs if job.number == number),
    }
    file = next(each.name for each in inputs.files if each.role == "jobs")
    return [
        fault
        for fault in problems
        if fault.severity == "error" and fault.place.file == file and row_of(fault.place.cell) in rows
    ]


def row_of(cell: str) -> int:
    digits = cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return int(digits) if digits.isdigit() else 0


def planned_numbers(request: Request) -> list[str]:
    """Numbers of the jobs in the period asked for, read from the jobs sheet alone; raises as it does."""
    settings, _ = settings_and_base(request)
    book = open_book(jobs_path(request), settings.limits, settings.csv_form)
    today = request.today or date.today()
    read = read_jobs(book, settings, today, period_chooser(request, today, settings.days))
    return [job.number for job in read.jobs]


def stocked_numbers(request: Request) -> list[str]:
    """Numbers of the parts in stock, read from that workbook alone; raises as reading it does."""
    settings, base = settings_and_base(request)
    path = find_book("stock", request.stock, settings.stock, base, request)
    book = open_book(path, settings.limits, settings.csv_form)
    read = read_stock(book, settings, request.today or date.today(), for_kits_alone=True)
    return list(read.stock.parts)


def inputs_for_question(question: Question, request: Request) -> tuple[Inputs, Job]:
    """The inputs for the week of a job that only asks, and that job."""
    if not (question.frame and question.size_from and question.size_to and question.day):
        says = "A job is named by its number, or described by --frame, --from, --to and --date."
        raise Unusable(call_fault("JOB", says))
    settings, _ = read_settings(find_settings(request), request.today or date.today())
    job = read_asked(question, settings)
    return read_inputs(replace(request, week=week_text(job.day))), job


# --- finding the files ----------------------------------------------------------------------------


# --- the period -----------------------------------------------------------------------------------


# --- quantities of the frame files in the units of the stock sheet --------------------------------


def settle_units(read: FramesRead, stock: Stock) -> FramesRead:
    """Extras and disturbed parts in their parts' own units; a frame whose units cannot be is faulty."""
    frames, faulty, problems = {}, dict(read.faulty), list(read.problems)
    for code, frame in read.frames.items():
        faults: list[Problem] = []
        adjustments = tuple(
            settle_adjustment(each, n, frame, stock, faults) for n, each in enumerate(frame.adjustments, 1)
        )
        if faults:
            faulty[code] = (frame.file,)
            problems += faults
        else:
            frames[code] = replace(frame, adjustments=adjustments)
    return replace(read, frames=frames, faulty=faulty, problems=tuple(problems))


def settle_adjustment(
    adjustment: Adjustment, number: int, frame: Frame, stock: Stock, faults: list[Problem]
) -> Adjustment:
    def settle(part: str, amount: Amount, key: str) -> Amount:
        unit = stock.parts[part].unit if part in stock.parts else amount.unit
        if unit == amount.unit:
            return amount
        try:
            return Amount(convert(amount, unit), unit)
        except Unreadable as fault:
            did = "The frame file is not used; its jobs are set aside."
            faults.append(problem(fault.code, Place(frame.file, "", key), fault.says, did=did, do=fault.do))
            return amount

    def settle_joint(joint: Joint) -> Joint:
        extras = tuple(
            Extra(each.part, settle(each.part, each.quantity, f"{joint.key}.extras[{n}].quantity"))
            for n, each in enumerate(joint.extras, 1)
        )
        return replace(joint, extras=extras)

    disturbed = tuple(
        Disturbed(
            each.part,
            settle(each.part, each.quantity, f"adjustment[{number}].disturbed[{n}].quantity"),
            each.when,
        )
        for n, each in enumerate(adjustment.disturbed, 1)
    )
    return replace(adjustment, joints=tuple(map(settle_joint, adjustment.joints)), disturbed=disturbed)
