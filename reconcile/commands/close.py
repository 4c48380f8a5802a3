"""``reconcile close``: what was really used in a week goes back into the stock workbook and the ledger."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands import running
from reconcile.commands.options import Debug, Folder, SettingsFile, StockFile, Today
from reconcile.commands.running import Status, say
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.work.planning import request_of

if TYPE_CHECKING:
    from reconcile.values.stock.returns import Returns
    from reconcile.work.booking import Desk, Posted, Posting

REPORTS, PREFIX = "reports", "returns-"

Who = Annotated[
    str, typer.Option("--who", help="Who closes or books; default: the name you are logged in by.")
]
Replace = Annotated[
    bool,
    typer.Option(
        "--replace", help="Put the new workbook in the place of the old one, which is kept beside it."
    ),
]
Take = Annotated[
    bool,
    typer.Option(
        "--take-differences", help="Where the sheet differs from the ledger, book the sheet's figure."
    ),
]


def close(
    folder: Folder = Path(),
    week: Annotated[str, typer.Option("--week", help="The week to close, like 2026-W49.")] = "",
    returns: Annotated[
        Path | None,
        typer.Option("--returns", help="The returns workbook; default: returns-WEEK.xlsx in FOLDER/reports."),
    ] = None,
    replace: Replace = False,
    take_differences: Take = False,
    who: Who = "",
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what would be booked; write nothing.")
    ] = False,
    today: Today = "",
    stock: StockFile = None,
    settings: SettingsFile = None,
    debug: Debug = False,
) -> None:
    """Close a week: book what was used, returned and received, and write a new stock workbook.

    \b
    For example:
      reconcile close workshop --week 2026-W49
      reconcile close workshop --week 2026-W49 --replace
    Exit status: 0 closed; 2 nothing was booked.
    """  # noqa: D301

    def run() -> int:
        from reconcile.work.booking import open_desk, post

        desk = open_desk(request_of(folder, stock=stock, settings=settings, today=today), who)
        path, name = chosen(folder, week, returns, desk)
        posting, remarks = posting_of(name, path, desk)
        report([*desk.remarks, *remarks])
        if dry_run:
            say(dry_text(posting))
            return Status.FINE
        posted = post(desk, posting, in_place=replace, take=take_differences)
        report(posted.remarks)
        say(closed_text(posting, posted, desk))
        return Status.FINE

    running.guarded(run, debug, json=False)


@dataclass(frozen=True, slots=True)
class Book:
    """A returns workbook and the week that its name says."""

    path: Path
    week: str


def chosen(folder: Path, week: str, returns: Path | None, desk: "Desk") -> tuple[Path, str]:
    """The returns workbook and the name of its week: as asked, else the one that is not closed yet.

    Raises Unusable: week-closed, call-unusable, file-missing.
    """
    from reconcile.sheets.finding import call_fault

    if returns is not None or week:
        name = week or returns_week(returns)
        refuse_closed(name, desk)
        return returns or folder / REPORTS / f"{PREFIX}{name}.xlsx", name
    there = [Book(path, returns_week(path)) for path in sorted((folder / REPORTS).glob(f"{PREFIX}*.xlsx"))]
    to_do = [each for each in there if desk.ledger is None or desk.ledger.standing(each.week) is None]
    if len(to_do) == 1:
        return to_do[0].path, to_do[0].week
    named = ", ".join(each.week for each in to_do) or "none"
    says = f"Which week? To be closed: {named}."
    raise Unusable(call_fault("--week", says))


def returns_week(path: Path | None) -> str:
    """The week that a returns workbook is named after."""
    return path.stem.removeprefix(PREFIX) if path else ""


def refuse_closed(name: str, desk: "Desk") -> None:
    there = desk.ledger.standing(name) if desk.ledger else None
    if there is not None:
        says = f"{name} was closed already, on {there.day} by {there.who}."
        raise Unusable(problem("week-closed", Place(desk.workbook.name), says, found=name))


def posting_of(name: str, path: Path, desk: "Desk") -> tuple["Posting", list[Problem]]:
    """What a week's returns come to, for ``post``, and remarks.

    Raises Unusable with every fault of the returns; stock-before-closing; workbook-open.
    """
    from reconcile.ledger.book import Beside
    from reconcile.ledger.booking import refuse_open
    from reconcile.ledger.files import digest
    from reconcile.plan.closing.movements import close_week, moved
    from reconcile.sheets.returns.rows import read_returns
    from reconcile.values.stock.movements import WEEK, Closing, StockChange
    from reconcile.work.booking import Posting, refuse_old

    refuse_old(desk)
    refuse_open(path)
    returns, remarks = read_returns(path, desk.read.stock, desk.settings)
    closed = close_week(returns, desk.read.stock, desk.who)
    problems = (*remarks, *of_other_weeks(returns, name), *done_before(returns, desk), *closed.problems)
    if any(fault.severity == "error" for fault in problems):
        raise Unusable(*problems)
    details = {
        "returns": path.name, "returns sha256": digest(path), "done": list(closed.done),
        "usage": [[use.day.isoformat(), use.part, str(use.quantity), use.job] for use in closed.usage],
        "received": [
            [each.order, each.part, str(each.quantity), each.day.isoformat()] for each in closed.taken
        ],
    }  # fmt: skip
    closing = Closing(name, WEEK, desk.today, desk.who, details=details)
    change = StockChange(moved(closed.movements), received=closed.taken, used=closed.usage)
    beside = Beside(jobs=closed.jobs)
    return Posting(closing, closed.movements, change, closed.uses, beside=beside), list(problems)


def of_other_weeks(returns: "Returns", name: str) -> list[Problem]:
    """The first job of the returns that belongs to another week than the one to be closed."""
    other = next((job for job in returns.jobs if job.week != name), None)
    if other is None:
        return []
    says = f"The returns are those of {other.week}, not of {name}."
    return [problem("returns-other-week", other.place.cell("week"), says, found=other.week)]


def done_before(returns: "Returns", desk: "Desk") -> list[Problem]:
    """Jobs of which something is to be booked although an earlier closing has them as done."""
    if desk.ledger is None:
        return []
    done = desk.ledger.done()
    told = {line.job for line in returns.lines if line.filled}
    return [
        problem(
            "job-closed-already",
            job.place.cell("job"),
            f"{job.number} was booked as done with {done[job.number]}.",
            found=job.number,
        )
        for job in returns.jobs
        if job.number in done and (job.done or job.number in told)
    ]


# --- what is said ---------------------------------------------------------------------------------


def report(problems: "list[Problem] | tuple[Problem, ...]") -> None:
    """Notices go to standard error, before anything is written and after."""
    from reconcile.reports.writing.text import problem_screen

    if notices := tuple(problems):
        say(problem_screen(notices), "stderr")


def dry_text(posting: "Posting") -> str:
    lines = [f"{posting.closing.name} would be booked; nothing is written:"]
    for movement in posting.movements:
        from reconcile.reports.closing.ledger_screen import signed

        place = movement.bin or "no bin"
        lines.append(
            f"  {signed(movement.quantity):>9} {movement.unit} {movement.part}, {place},"
            f" {movement.kind}, {movement.job}"
        )
    return "\n".join(lines)


def closed_text(posting: "Posting", posted: "Posted", desk: "Desk") -> str:
    from reconcile.ledger.book import ledger_path, open_ledger
    from reconcile.plan.closing.used import used_more
    from reconcile.reports.closing.ledger_screen import posted_screen, used_screen

    told = [
        posted_screen(
            posting.closing,
            posting.movements,
            posted.workbook if posted.changed else None,
            posted.kept,
            posted.taken,
        )
    ]
    ledger = desk.ledger or open_ledger(ledger_path(desk.workbook), create=False)
    if ledger is not None and (found := used_more(ledger.uses())):
        told.append(used_screen(found))
    return "\n\n".join(told)
