"""Hold a job: kept in the ledger, it counts for everybody at once, until it has a row or is released.

The answer is given before anything is held. Then the ledger is taken for writing, and whoever held or booked
in between is seen: if so the plan is made again, and the job is held only if its kit can still be had. So of
two people who ask for the last bolts at the same moment one holds them, and the other is told.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import refuse_open
from reconcile.ledger.files import digest, free_path, put_in_place
from reconcile.sheets.finding import Located, call_fault, located, stock_path
from reconcile.sheets.inputs import jobs_as_read, read_all_jobs
from reconcile.sheets.jobs.held_jobs import held_job, spacers_to_hold
from reconcile.sheets.jobs.question import ASKED, OptionPlace, Question
from reconcile.sheets.jobs.rows import JobsRead
from reconcile.sheets.request import Request
from reconcile.values.ledger.holds import HeldRow, Hold
from reconcile.values.problem import COMMAND_LINE, Problem, RowPlace, Unusable
from reconcile.values.week.jobs import SaidJob
from reconcile.values.week.results import DONE, SHORT, Answer
from reconcile.values.words import fold
from reconcile.work.book import book_says, read_book
from reconcile.work.booking import logged_in, new_ledger, refuse_unsound
from reconcile.work.entries.releasing import end_overtaken, standing_hold
from reconcile.work.questions.asking import ask_of_book
from reconcile.work.stages import READING, Stage, unwatched


@dataclass(frozen=True, slots=True)
class RowWritten:
    """The jobs workbook with a row for a held job, and the copy that is kept of the old one."""

    workbook: Path
    kept: Path
    remarks: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class HeldAnswer:
    """What was asked, and the hold that came of it."""

    answer: Answer
    """By what the ledger said when the job was held, or was not."""
    hold: Hold | None = None
    """None where the kit cannot be had."""
    meanwhile: bool = False
    """It could be had when it was asked for, and somebody held or booked before it was held."""
    written: RowWritten | None = None


def ask_and_hold(
    question: Question, request: Request, stage: Stage = unwatched, who: str = "", *, into_jobs: bool = False
) -> HeldAnswer:
    """Asks, and holds the job if its kit can be had; ``into_jobs``: gives it a row in the jobs workbook too.

    Raises Unusable, with nothing held or written: call-unusable for a job that is planned or held already,
    or has no number; ledger-busy, ledger-broken, output-locked; and as ``ask_of_book`` and ``add_row`` do.
    """
    stage(READING)
    places = located(request)
    refuse_apart_to_hold(places)
    says = read_book(places)
    answer = ask_of_book(question, places, says, stage)
    if is_moved(answer, into_jobs):
        return moved_into_jobs(answer, places, who or logged_in())
    refuse_hold(answer)
    if answer.result.kit == SHORT:
        return HeldAnswer(answer)
    with new_ledger(stock_path(places)) as ledger, ledger.held():
        now = book_says(ledger)
        if now != says:
            answer = ask_of_book(question, places, now, stage)
            refuse_hold(answer)
            if answer.result.kit == SHORT:
                return HeldAnswer(answer, meanwhile=True)
        end_overtaken(ledger, read_all_jobs(places, now), who or logged_in())
        hold = ledger.hold(row_to_hold(answer), who or logged_in(), on_day(places.today))
        written = written_into_jobs(hold, ledger, places, who or logged_in()) if into_jobs else None
    return HeldAnswer(answer, hold, written=written)


def on_day(today: date) -> datetime:
    """The moment by the clock, on the day that is taken as today."""
    return datetime.combine(today, datetime.now().time()).astimezone()


def refuse_apart_to_hold(places: Located) -> None:
    """Raises Unusable: ledger-lost, ledger-older, ledger-foreign; ledger-broken."""
    workbook = stock_path(places)
    ledger = open_ledger(ledger_path(workbook), create=False)
    try:
        refuse_unsound(workbook, ledger)
    finally:
        if ledger is not None:
            ledger.close()


def refuse_hold(answer: Answer) -> None:
    """Raises Unusable (call-unusable) for a job that there is nothing to hold of."""
    job = answer.result.job
    if job.held:
        says = f"{job.number} is held already; release it first: reconcile ledger --release {job.number}."
    elif job.number == ASKED:
        says = "Give the job a number: reconcile check J-200 --frame ... --hold."
    elif answer.result.kit == DONE:
        says = f"{job.number} is done; there is nothing to hold."
    elif job.place.file != COMMAND_LINE:
        says = "The job is on the jobs sheet already; there is nothing to hold."
    else:
        return
    raise Unusable(call_fault("--hold", says))


def row_to_hold(answer: Answer) -> HeldRow:
    """The job as it was asked for, with all that its kit was judged by."""
    job = answer.result.job
    unit = unit_of(job.frame, answer)
    return HeldRow(
        job.number, job.day, job.frame, job.size_to, job.size_from, unit, job.adjustment,
        job.options if job.options or job.no_options else None, job.side, job.left_now, job.right_now,
        spacers_to_hold(job.spacers_now, unit), job.chairs, job.priority, job.asset, job.technician,
        job.notes,
    )  # fmt: skip


def unit_of(frame: str, answer: Answer) -> str:
    return answer.week.frames[fold(frame)].unit


# --- a row in the jobs workbook -----------------------------------------------------------------------


def is_moved(answer: Answer, into_jobs: bool) -> bool:
    """Whether it is held already, and only its row is asked for."""
    return into_jobs and answer.result.job.held and not answer.as_if


def moved_into_jobs(answer: Answer, places: Located, who: str) -> HeldAnswer:
    """A job that is held already gets its row."""
    with new_ledger(stock_path(places)) as ledger, ledger.held():
        hold = standing_hold(answer.result.job.number, ledger)
        written = written_into_jobs(hold, ledger, places, who)
    return HeldAnswer(answer, hold, written=written)


def written_into_jobs(hold: Hold, ledger: Ledger, places: Located, who: str) -> RowWritten:
    """The row is written, and has overtaken the hold; within ``Ledger.held``.

    Stopped in between, the row is there and the hold stands: the row counts, and the next run that books
    notes it.
    """
    written = add_row(held_job(hold.row, OptionPlace(COMMAND_LINE, "", 0)), hold.row.unit, places)
    with row_told(hold.row.job, written.workbook):
        end_overtaken(ledger, read_all_jobs(places), who)
    return written


@contextmanager
def row_told(number: str, workbook: Path) -> Iterator[None]:
    """Whatever is refused once the row is there says that it is there."""
    try:
        yield
    except Unusable as unusable:
        did = f"The row of {number} is in {workbook.name}, and counts."
        raise Unusable(*(replace(fault, did=did) for fault in unusable.problems)) from unusable


def add_row(job: SaidJob, unit: str, places: Located) -> RowWritten:
    """Writes a row for the job below the last of the jobs workbook, in place; the old one is kept.

    Raises Unusable, with nothing written: workbook-open; call-unusable where the sheet has the number;
    jobs-changed-meanwhile; output-locked; and as ``with_job`` does.
    """
    from reconcile.sheets.edits.job_rows import with_job
    from reconcile.sheets.edits.read_back import refuse_job_otherwise

    workbook = places.jobs.resolve()
    refuse_open(workbook)
    seen = digest(workbook) if workbook.is_file() else ""
    sheet = read_all_jobs(places)
    if fold(job.number) in sheet.numbers:
        raise Unusable(call_fault("--into-jobs", f"The jobs sheet has a job {job.number} already."))
    changed = with_job(job, unit, workbook, like(sheet), places.settings)
    refuse_job_otherwise(job, sheet, jobs_as_read(places, changed.data))
    kept = free_path(workbook.with_name(f"{workbook.stem}-before-{safe(job.number)}{workbook.suffix}"))
    put_in_place(workbook, changed.data, seen, kept)
    return RowWritten(workbook, kept, changed.remarks)


def safe(number: str) -> str:
    from reconcile.reports.writing.csv_files import safe_file_name

    return safe_file_name(number)


def like(sheet: JobsRead) -> RowPlace:
    """The last job whose day stands in the sheet as a date, not as text; the headings where none does."""
    (table,) = sheet.tables
    column, first = table.header.found["date"].column, table.grid.first_row
    rows = table.grid.rows
    dated = (job.place for job in sheet.jobs if isinstance(rows[job.place.row - first][column], date))
    return max(dated, key=lambda place: place.row, default=sheet.header)
