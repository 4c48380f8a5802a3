"""All inputs of a week, found and read: settings, jobs, stock and frames, with every problem at once."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from reconcile.sheets.accepted import Acceptance, sheets_of
from reconcile.sheets.account import accounts
from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.figures.units import convert
from reconcile.sheets.files.books import Book, open_book, open_bytes
from reconcile.sheets.finding import Asking, Located, digest_of, find_book, located
from reconcile.sheets.frames.files import FramesRead, read_frames
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.jobs.held_jobs import held_and_done, held_jobs, hold_remarks
from reconcile.sheets.jobs.rows import NO_BOOK, JobsRead, read_jobs
from reconcile.sheets.period import period_chooser
from reconcile.sheets.stock.headings import STOCK
from reconcile.sheets.stock.workbook import StockRead, read_stock
from reconcile.sheets.unread_columns import look_remarks, options_unread, unread_columns
from reconcile.sheets.wholly_faulty import wholly_faulty
from reconcile.values.frames.frame import Adjustment, Disturbed, Extra, Frame, Joint
from reconcile.values.ledger.standing import BookSays
from reconcile.values.measure import Amount
from reconcile.values.problem import COMMAND_LINE, Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Stock
from reconcile.values.unread import UnreadColumn
from reconcile.values.week.results import InputFile, Inputs
from reconcile.values.words import fold

T = TypeVar("T")


def read_inputs(asking: Asking, says: BookSays = NO_BOOK) -> Inputs:
    """Reads everything, or raises Unusable with all that forbids it, whichever files it stands in.

    ``says``: how jobs and weeks stand in the book; nothing of it is read here.
    """
    found = located(asking)
    request, settings, today = found.request, found.settings, found.today
    choose_period = period_chooser(request, today, settings.days)
    faults: list[Problem] = []

    def attempt(read: Callable[[], T]) -> T | None:
        try:
            return read()
        except Unusable as unusable:
            faults.extend(unusable.problems)
            return None

    def opened(role: str, asked: Path | None, set_path: str | None) -> Book:
        path = find_book(role, asked, set_path, found.base, request)
        return open_book(path, settings.limits, settings.csv_form)

    def accept(path: Path) -> Acceptance:
        acceptance = Acceptance(open_book(path, settings.limits, settings.csv_form), settings)
        acceptance.apply(list(sheets_of([(job_book, JOBS), (stock_book, STOCK)], settings)))
        return acceptance

    job_book = attempt(lambda: opened("jobs", request.jobs, settings.jobs))
    stock_book = attempt(lambda: opened("stock", request.stock, settings.stock))
    frames = attempt(lambda: read_frames(found.frames))
    accepted = attempt(lambda: accept(path)) if (path := request.accept) else None
    jobs = attempt(lambda: read_jobs(job_book, settings, choose_period, today, says)) if job_book else None
    stock = (
        attempt(lambda: read_stock(stock_book, settings, today, for_kits_alone=request.for_kits_alone))
        if stock_book
        else None
    )
    if faults or jobs is None or stock is None or frames is None or not job_book or not stock_book:
        raise Unusable(*faults)
    hidden = options_unread(jobs.tables[0], frames.frames, settings)
    if unusable := [*jobs_unusable(jobs), *stock_unusable(stock), *hidden]:
        raise Unusable(*unusable)
    frames = settle_units(frames, stock.stock)
    return _inputs(found, says, WholeRead(job_book, jobs, stock_book, stock, frames, accepted))


def jobs_unusable(jobs: JobsRead) -> list[Problem]:
    """What is said where not one row of jobs can be used."""
    header = jobs.header
    return wholly_faulty("jobs", Place(header.file, header.sheet), jobs.tally, jobs.problems)


def stock_unusable(stock: StockRead) -> list[Problem]:
    """What is said where not one row of stock can be used."""
    grid = stock.tables[0].grid
    return wholly_faulty("stock", Place(grid.file, grid.sheet), stock.tallies["stock"], stock.problems)


@dataclass(frozen=True, slots=True)
class WholeRead:
    """What was read of each file of a week, none of which forbids it."""

    job_book: Book
    jobs: JobsRead
    stock_book: Book
    stock: StockRead
    frames: FramesRead
    accepted: Acceptance | None

    def files(self) -> Iterator[InputFile]:
        yield from _book_files("jobs", self.job_book)
        yield from _book_files("stock", self.stock_book)
        yield from _book_files("accept", self.accepted.book) if self.accepted else ()
        yield from (InputFile("frame", name, digest) for name, digest in self.frames.files)

    def problems(self, says: BookSays) -> Iterator[Problem]:
        yield from (*self.job_book.problems, *self.jobs.problems, *hold_remarks(says, self.jobs))
        yield from (*self.stock_book.problems, *self.stock.problems)
        yield from (*self.accepted.book.problems, *self.accepted.problems) if self.accepted else ()
        yield from self.frames.problems

    def unread(self, settings: Settings) -> tuple[UnreadColumn, ...]:
        return unread_columns((*self.jobs.tables, *self.stock.tables), self.frames.frames, settings)


def _inputs(found: Located, says: BookSays, read: WholeRead) -> Inputs:
    jobs, stock, accepted = read.jobs, read.stock, read.accepted
    tables = [(read.job_book, jobs.tables), (read.stock_book, stock.tables)]
    unread = read.unread(found.settings)
    return Inputs(
        jobs=(*jobs.jobs, *held_jobs(says, jobs)),
        frames=read.frames.frames,
        stock=stock.stock,
        settings=found.settings,
        period=jobs.period,
        today=jobs.window.today,
        look_ahead=jobs.window.end,
        looked_back=jobs.window.looked_back,
        done=(*jobs.done, *held_and_done(says, jobs)),
        taken_as_done=jobs.taken_as_done,
        later=jobs.later,
        booked={number: each.booked for number, each in says.jobs.items() if not each.done},
        problems=(*look_remarks(unread), *read.problems(says)),
        rows={"jobs": jobs.tally, **stock.tallies, **({"accept": accepted.tally} if accepted else {})},
        files=(
            *(InputFile("settings", name, digest) for name, digest in digest_of(found.settings_path)),
            *read.files(),
        ),
        faulty=read.frames.faulty,
        job_rows=jobs.numbers,
        unread_jobs=jobs.unread,
        jobs_header=jobs.header,
        order_lines=says.orders,
        unread_columns=unread,
        cells=accounts(tables) if found.request.count_cells else (),
    )


def _book_files(role: str, book: Book) -> list[InputFile]:
    return [InputFile(role, name, digest, book.read_as.get(name, "")) for name, digest in book.digests]


def read_all_jobs(asking: Asking, says: BookSays = NO_BOOK) -> JobsRead:
    """The jobs of whatever day, read from the jobs sheet alone; raises as reading it does."""
    return _read_jobs_alone(located(asking).on_all_days(), says)


def jobs_as_read(asking: Asking, data: bytes) -> JobsRead:
    """The same of other bytes, as if they stood in the jobs file: what the next run will read of them."""
    found = located(asking).on_all_days()
    return _read_jobs(found, open_bytes(found.jobs, data, found.settings.limits, found.settings.csv_form))


def _read_jobs_alone(found: Located, says: BookSays = NO_BOOK) -> JobsRead:
    return _read_jobs(found, open_book(found.jobs, found.settings.limits, found.settings.csv_form), says)


def _read_jobs(found: Located, book: Book, says: BookSays = NO_BOOK) -> JobsRead:
    choose_period = period_chooser(found.request, found.today, found.settings.days)
    return read_jobs(book, found.settings, choose_period, found.today, says)


def knows(number: str, inputs: Inputs) -> bool:
    return is_unread(number, inputs) or any(fold(job.number) == fold(number) for job in inputs.jobs)


def is_unread(number: str, inputs: Inputs) -> bool:
    """Whether a row of that number was set aside when it was read."""
    return any(fold(number) == fold(unread) for unread in inputs.unread_jobs)


def faults_of_job(number: str, inputs: Inputs, problems: tuple[Problem, ...]) -> list[Problem]:
    """The errors for which the numbered job was set aside, wherever it was; of a held one too."""
    file = next(each.name for each in inputs.files if each.role == "jobs")
    rows = {
        *(
            (file, row)
            for unread, rows in inputs.unread_jobs.items()
            if fold(unread) == fold(number)
            for row in rows
        ),
        *((job.place.file, job.place.row) for job in inputs.jobs if fold(job.number) == fold(number)),
    }
    return [
        fault
        for fault in problems
        if fault.severity == "error"
        and (fault.place.file == COMMAND_LINE or (fault.place.file, row_of(fault.place.cell)) in rows)
    ]


def row_of(cell: str) -> int:
    digits = cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return int(digits) if digits.isdigit() else 0


def planned_numbers(asking: Asking) -> list[str]:
    """Numbers of the jobs in the period asked for, read from the jobs sheet alone; raises as it does."""
    return [job.number for job in _read_jobs_alone(located(asking)).jobs]


def stocked_numbers(asking: Asking) -> list[str]:
    """Numbers of the parts in stock, read from that workbook alone; raises as reading it does."""
    found = located(asking)
    book = open_book(found.stock, found.settings.limits, found.settings.csv_form)
    read = read_stock(book, found.settings, found.today, for_kits_alone=True)
    return list(read.stock.parts)


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
            place = Place(frame.file, "", key)
            faults.append(problem(fault.code, place, fault.says, did=UNUSED_FRAME, do=fault.do))
            return amount

    def in_pieces(part: str, key: str) -> None:
        """Nuts and washers are counted in pieces, so stock must keep them so."""
        unit = stock.parts[part].unit if part in stock.parts else "each"
        if unit != "each":
            says = f"Stock keeps {part} in {unit}, and a joint takes it in pieces."
            place = Place(frame.file, "", key)
            do = "Keep the part in each, or name another one."
            faults.append(problem("unit-mismatch", place, says, did=UNUSED_FRAME, do=do))

    def settle_joint(joint: Joint) -> Joint:
        extras = tuple(
            Extra(each.part, settle(each.part, each.quantity, f"{joint.key}.extras[{n}].quantity"))
            for n, each in enumerate(joint.extras, 1)
        )
        for part, key in pieces_of(joint):
            in_pieces(part, f"{joint.key}.{key}")
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


UNUSED_FRAME = "The frame file is not used; its jobs are set aside."


def pieces_of(joint: Joint) -> Iterator[tuple[str, str]]:
    """The parts that a joint uses up by the piece, each with its key below the joint's."""
    if joint.nut is not None:
        yield joint.nut.part, "nut.part"
    yield from (
        (washer.part, f"washers[{n}].part") for n, washer in enumerate(joint.washers, 1) if washer.renew
    )
