"""From a request to a planned week: what several commands do alike."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.commands.running import say
from reconcile.values.problem import Problem, Unusable
from reconcile.work.stages import Stage

if TYPE_CHECKING:
    from reconcile.sheets.request import Request
    from reconcile.values.week.results import Inputs, JobResult, Week

READING, PLANNING, WRITING = "Reading the sheets", "Planning the week", "Writing the workbooks"


def request_of(
    folder: Path,
    jobs: Path | None = None,
    stock: Path | None = None,
    frames: Path | None = None,
    settings: Path | None = None,
    today: str = "",
    week: str = "",
    first: str = "",
    last: str = "",
) -> "Request":
    from reconcile.sheets.jobs.question import read_day
    from reconcile.sheets.request import Request

    return Request(
        folder=folder, jobs=jobs, stock=stock, frames=frames, settings=settings,
        today=read_day(today, "--today") if today else None,
        week=week or None,
        first=read_day(first, "--from") if first else None,
        last=read_day(last, "--to") if last else None,
    )  # fmt: skip


def plan(request: "Request", stage: Stage, *, remember: bool = True, proposed_levels: bool = False) -> "Week":
    from reconcile.memory import KeptChoices
    from reconcile.sheets.inputs import read_inputs
    from reconcile.week import on_proposed_levels, plan_week

    stage(READING)
    inputs = read_inputs(request)
    stage(PLANNING)
    if proposed_levels:
        inputs = on_proposed_levels(inputs)
    planned = plan_week(inputs, datetime.now(), KeptChoices() if remember else None)
    if said := ledger_says(inputs, request):
        planned = replace(planned, problems=(*planned.problems, *said))
    return planned


def ledger_says(inputs: "Inputs", request: "Request") -> list[Problem]:
    """What the ledger has to say of the stock workbook; nothing, and nothing loaded, where there is none."""
    from reconcile.sheets.finding import stock_path
    from reconcile.values.stock.movements import LEDGER_ENDING

    workbook = stock_path(request)
    if not workbook.with_name(f"{workbook.stem}{LEDGER_ENDING}").exists():
        return []
    from reconcile.work.booking import ledger_remarks

    digest = next((file.sha256 for file in inputs.files if file.role == "stock"), "")
    return ledger_remarks(inputs.stock, workbook, digest)


def planned_job(number: str, request: "Request", stage: Stage) -> tuple["Week", "JobResult"]:
    """The week of a planned job, with that job alone, and its result."""
    from reconcile.memory import KeptChoices
    from reconcile.sheets.inputs import faults_of_job, inputs_with_job
    from reconcile.week import promise

    stage(READING)
    inputs = inputs_with_job(number, request)
    stage(PLANNING)
    planned = promise(inputs, datetime.now(), number, memory=KeptChoices())
    if not planned.jobs:
        raise Unusable(*faults_of_job(number, inputs, planned.problems))
    return planned, planned.jobs[0]


def write(
    planned: "Week",
    request: "Request",
    stage: Stage,
    out: Path | None = None,
    *,
    force: bool,
    delimiter: str | None = None,
) -> list[Path]:
    """Writes the workbooks, bench sheets and order files, and csv where it has a delimiter; all or none."""
    from reconcile.reports.outputs import write_outputs
    from reconcile.sheets.finding import input_files

    stage(WRITING)
    folder, inputs = out or request.folder / "reports", input_files(request)
    returns = not filled_in(planned, folder)
    written = write_outputs(planned, folder, inputs, force=force, delimiter=delimiter, returns=returns)
    if not returns:
        from reconcile.reports.closing.returns_book import returns_name

        left = "was left as it is: figures are filled in. To have it anew, move it away and run again."
        say(f"{returns_name(planned)} {left}", "stderr")
    return written


def filled_in(planned: "Week", folder: Path) -> bool:
    """Whether the week's returns workbook is there and anybody has filled anything in, or may have."""
    from reconcile.reports.closing.returns_book import returns_name
    from reconcile.sheets.returns.rows import read_returns

    path = folder / returns_name(planned)
    if not path.is_file():
        return False
    try:
        found, _ = read_returns(path, planned.stock, planned.settings)
    except Unusable as unusable:  # it cannot be read as it stands, so somebody has worked on it
        return any(
            fault.code != "file-kind" for fault in unusable.problems
        )  # unless it is no workbook at all
    return found.filled
