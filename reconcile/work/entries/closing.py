"""Close a week: what was really used goes back into the stock workbook and the ledger."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from reconcile.ledger.book import Beside, ledger_path, open_ledger
from reconcile.ledger.booking import refuse_open, unfinished
from reconcile.ledger.files import digest
from reconcile.plan.closing.movements import close_week, shelf_changes
from reconcile.plan.closing.overuse import used_more
from reconcile.sheets.figures.text import shown
from reconcile.sheets.files.books import open_book
from reconcile.sheets.finding import Located, call_fault, located
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.request import Request
from reconcile.sheets.returns.rows import read_returns
from reconcile.values.days import period_named
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import WEEK, Closing, StockChange
from reconcile.values.stock.overuse import UsedMore
from reconcile.values.stock.returns import Returns
from reconcile.values.words import fold
from reconcile.work.book import read_book
from reconcile.work.booking import Posted, Posting, StockDesk, as_read, open_desk, post, refuse_old
from reconcile.work.entries.releasing import note_overtaken
from reconcile.work.ordering.beside import orders_there
from reconcile.work.planning import REPORTS

PREFIX = "returns-"


@dataclass(frozen=True, slots=True)
class ReturnsBook:
    """A returns workbook and the week that its name says."""

    path: Path
    week: str


@dataclass(frozen=True, slots=True)
class ClosingToBook:
    """What closing a week comes to. Nothing is booked yet."""

    desk: StockDesk
    posting: Posting
    remarks: tuple[Problem, ...]
    """On an earlier run that was stopped, and on the returns."""
    places: Located
    """Where the files are that it is about."""


@dataclass(frozen=True, slots=True)
class Closed:
    """What was booked, what became of it, and frame keys that use more than planned week after week."""

    posting: Posting
    posted: Posted
    used_more: tuple[UsedMore, ...]


def prepare_closing(
    request: Request,
    week: str = "",
    returns: Path | None = None,
    who: str = "",
    *,
    dry_run: bool = False,
) -> ClosingToBook:
    """Reads stock, ledger and returns, and works out the movements of a week.

    ``dry_run``: nothing is finished of an earlier run either.

    Without ``week`` and ``returns``, the only week that is not closed yet. Raises Unusable: week-closed,
    call-unusable, file-missing; as ``open_desk`` and ``posting_of`` do.
    """
    places = located(request)
    desk = open_desk(places, who, finishes=not dry_run)
    with as_read(desk):
        book = returns_of(request.folder, week, returns, desk)
        posting, remarks = posting_of(book.week, book.path, desk, places)
    return ClosingToBook(desk, posting, (*desk.remarks, *remarks), places)


def book_closing(prepared: ClosingToBook, *, in_place: bool, take_differences: bool = False) -> Closed:
    """Books it, with a new stock workbook. Raises Unusable, with nothing changed, as ``post`` does."""
    desk = prepared.desk
    posted = post(desk, prepared.posting, in_place=in_place, take_differences=take_differences)
    try:
        note_overtaken(prepared.places, desk.who)
        ledger = desk.ledger or open_ledger(ledger_path(desk.workbook), create=False)
        found = used_more(ledger.uses()) if ledger else []
    except Unusable as unusable:  # it is booked: nothing that follows is a refusal any more
        name = prepared.posting.closing.name
        told = (unfinished(ledger_path(desk.workbook), name, fault.says) for fault in unusable.problems)
        return Closed(prepared.posting, replace(posted, remarks=(*posted.remarks, *told)), ())
    return Closed(prepared.posting, posted, tuple(found))


def returns_of(folder: Path, week: str, returns: Path | None, desk: StockDesk) -> ReturnsBook:
    """The returns workbook and its week: as asked, else the one that is not closed yet.

    Raises Unusable: week-closed, call-unusable.
    """
    if returns is not None or week:
        name = period_asked(week, returns)
        refuse_closed(name, desk)
        return ReturnsBook(returns or folder / REPORTS / f"{PREFIX}{name}.xlsx", name)
    there = [
        ReturnsBook(path, returns_week(path)) for path in sorted((folder / REPORTS).glob(f"{PREFIX}*.xlsx"))
    ]
    to_do = [book for book in there if desk.ledger is None or desk.ledger.standing(book.week) is None]
    if len(to_do) == 1:
        return to_do[0]
    named = ", ".join(book.week for book in to_do) or "none"
    says = f"Which week? To be closed: {named}."
    raise Unusable(call_fault("--week", says))


def period_asked(week: str, returns: Path | None) -> str:
    """The name of the period that is to be closed. Raises Unusable (call-unusable) for what names none."""
    name = week.strip() or returns_week(returns)
    if period_named(name) is not None:
        return name
    if week:
        says = f"{shown(week)} names no period; write a week like 2026-W49."
    else:
        says = "The name of the returns workbook names no week; give it with --week."
    raise Unusable(call_fault("--week", says))


def returns_week(path: Path | None) -> str:
    """The week that a returns workbook is named after."""
    return path.stem.removeprefix(PREFIX) if path else ""


def refuse_closed(name: str, desk: StockDesk) -> None:
    """Raises Unusable (week-closed) for a week whose closing stands."""
    there = desk.ledger.standing(name) if desk.ledger else None
    if there is not None:
        says = f"{name} was closed already, on {there.day} by {there.who}."
        raise Unusable(problem("week-closed", Place(desk.workbook.name), says, found=name))


def posting_of(name: str, path: Path, desk: StockDesk, places: Located) -> tuple[Posting, list[Problem]]:
    """What a week's returns come to, for ``post``, and remarks.

    Raises Unusable with every fault of the returns; stock-before-closing; workbook-open.
    """
    refuse_old(desk)
    refuse_open(path)
    returns, remarks = read_returns(path, desk.read.stock, desk.settings)
    orders = orders_there(desk.ledger, desk.read.stock, desk.workbook.name)
    closed = close_week(returns, desk.read.stock, desk.who, orders.now(desk.read.stock, desk.today, desk.who))
    problems = (*remarks, *of_other_weeks(returns, name), *done_before(returns, desk), *closed.problems)
    problems += (
        *lacking(name, returns, places),
        *booked_before([*closed.done, *(use.job for use in closed.usage)], desk),
    )
    if any(fault.severity == "error" for fault in problems):
        raise Unusable(*problems)
    details = {
        **days_of(name), "returns": path.name, "returns sha256": digest(path), "done": list(closed.done),
        "usage": [[use.day.isoformat(), use.part, str(use.quantity), use.job] for use in closed.usage],
    }  # fmt: skip
    closing = Closing(name, WEEK, desk.today, desk.who, details=details)
    change = StockChange(shelf_changes(closed.movements), used=closed.usage)
    beside = Beside(jobs=closed.jobs, orders=closed.orders)
    return Posting(closing, closed.movements, change, closed.uses, beside=beside, marks=True), list(problems)


def days_of(name: str) -> dict[str, str]:
    """First and last day of the period of that name, for the closing to keep; nothing for another name."""
    period = period_named(name)
    return {"from": period.first.isoformat(), "to": period.last.isoformat()} if period else {}


def of_other_weeks(returns: Returns, name: str) -> list[Problem]:
    """The first job of the returns that belongs to another week than the one to be closed."""
    other = next((job for job in returns.jobs if job.week != name), None)
    if other is None:
        return []
    says = f"The returns are those of {other.week}, not of {name}."
    return [problem("returns-other-week", other.place.cell("week"), says, found=other.week)]


def lacking(name: str, returns: Returns, places: Located) -> list[Problem]:
    """One remark that names the jobs of the jobs sheet that lie in the week and that the returns lack.

    Nothing where the jobs sheet is not there or cannot be used: a closing does not need it.
    """
    period = period_named(name)
    if period is None:
        return []
    settings = places.settings
    try:
        book = open_book(places.jobs, settings.limits, settings.csv_form)
        read = read_jobs(book, settings, lambda _days: period, places.today, read_book(places))
    except Unusable:
        return []
    listed = {fold(job.number) for job in returns.jobs}
    found = [job for job in read.jobs if not job.beside and fold(job.number) not in listed]
    if not found:
        return []
    says = f"The returns lack {', '.join(job.number for job in found)}, planned for {name}."
    return [problem("returns-job-lacking", found[0].place.cell("job"), says, found=found[0].number)]


def booked_before(jobs: Sequence[str], desk: StockDesk) -> list[Problem]:
    """A question, where nothing says that these jobs were booked but rows of the sheet Usage."""
    if desk.mark is not None or (desk.ledger is not None and desk.ledger.last() is not None):
        return []
    used = {fold(each.job): each.place for each in desk.read.stock.usage if each.job}
    again = [number for number in dict.fromkeys(jobs) if fold(number) in used]
    if not again:
        return []
    says = f"Usage has rows of {', '.join(again)} already."
    return [problem("usage-booked-before", used[fold(again[0])].cell("job"), says, found=again[0])]


def done_before(returns: Returns, desk: StockDesk) -> list[Problem]:
    """Jobs of which something is to be booked although an earlier closing has them as done."""
    if desk.ledger is None:
        return []
    done = desk.ledger.done()
    reported = {line.job for line in returns.lines if line.filled}
    return [
        problem(
            "job-closed-already",
            job.place.cell("job"),
            f"{job.number} was booked as done with {done[job.number]}.",
            found=job.number,
        )
        for job in returns.jobs
        if job.number in done and (job.done or job.number in reported)
    ]
