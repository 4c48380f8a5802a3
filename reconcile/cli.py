"""The command line: reads, plans, reports and sets the exit status. It holds no rules of the trade."""

import gc
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile import __version__
from reconcile.values.problem import Place, Problem, Unusable, problem

if TYPE_CHECKING:
    from reconcile.sheets.asked import Question
    from reconcile.sheets.inputs import Request
    from reconcile.values.results import JobResult, Week


class Status(IntEnum):
    """Exit statuses."""

    FINE = 0
    SHORT = 1
    UNUSABLE = 2
    OWN_FAULT = 70


DEMO_TODAY = "2026-11-27"
PATIENCE = 10.0
"""Seconds that the choice of kits may take, unless said otherwise."""

app = typer.Typer(
    name="reconcile",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    rich_markup_mode=None,
)

InFolder = Annotated[
    Path,
    typer.Option(
        "--in", help="Folder with jobs.xlsx, stock.xlsx, frames/ and reconcile.toml.", envvar="RECONCILE_IN"
    ),
]
JobsFile = Annotated[
    Path | None, typer.Option("--jobs", help="The jobs workbook or csv.", envvar="RECONCILE_JOBS")
]
StockFile = Annotated[
    Path | None,
    typer.Option("--stock", help="The stock workbook, or a folder of csv.", envvar="RECONCILE_STOCK"),
]
FramesFolder = Annotated[
    Path | None, typer.Option("--frames", help="The folder of frame files.", envvar="RECONCILE_FRAMES")
]
SettingsFile = Annotated[
    Path | None, typer.Option("--settings", help="The settings file.", envvar="RECONCILE_SETTINGS")
]
Today = Annotated[
    str, typer.Option("--today", help="Take this day as today, like 2026-11-27.", envvar="RECONCILE_TODAY")
]
Debug = Annotated[bool, typer.Option("--debug", help="Show where the program itself failed.")]
ExactOnly = Annotated[
    bool, typer.Option("--exact-only", help="Offer no bolt of another length than the one asked for.")
]
Patience = Annotated[
    float, typer.Option("--patience", help="Seconds for the choice of kits; then the best found is taken.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]


@app.callback(invoke_without_command=True)
def common(
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False,
) -> None:
    """What each planned adjustment needs, what is short on which day, and what to order.

    \b
    For example:
      reconcile demo demo-workshop        an invented workshop to try things on
      reconcile week demo-workshop --today 2026-11-27 --force
      reconcile check J-4109 --in demo-workshop --today 2026-11-27
    """  # noqa: D301
    if version:
        print(f"reconcile {__version__}")
        raise typer.Exit


@app.command()
def week(
    folder: Annotated[
        Path, typer.Argument(help="Folder with jobs.xlsx, stock.xlsx, frames/ and reconcile.toml.")
    ] = Path(),
    week_: Annotated[str, typer.Option("--week", help="The ISO week to plan, like 2026-W49.")] = "",
    first: Annotated[str, typer.Option("--from", help="First day to plan, with --to.")] = "",
    last: Annotated[str, typer.Option("--to", help="Last day to plan, with --from.")] = "",
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Folder for the workbooks; default: reports in FOLDER.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace workbooks that are there already.")] = False,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Write nothing.")] = False,
    csv: Annotated[bool, typer.Option("--csv", help="Write every table as csv as well.")] = False,
    delimiter: Annotated[
        str, typer.Option("--delimiter", help="What separates the cells of a csv file.")
    ] = ",",
    exact_only: ExactOnly = False,
    patience: Patience = PATIENCE,
    json: AsJson = False,
    strict: Annotated[bool, typer.Option("--strict", help="Exit with 2 if any row was set aside.")] = False,
    debug: Debug = False,
) -> None:
    """Reconcile a week: every job's kit, what is short, what to order.

    \b
    For example:
      reconcile week                      the next planned week, in this folder
      reconcile week workshop --week 2026-W49 --out monday
      reconcile week workshop --json      one JSON object, no workbooks
    """  # noqa: D301

    def run() -> int:
        request = replace(
            request_of(folder, jobs, stock, frames, settings, today, week_, first, last),
            exact_only=exact_only, patience=patience,
        )  # fmt: skip
        planned = plan(request, remember=not dry_run)
        writes = not dry_run and (not json or out is not None)
        written = write(planned, request, out, force, csv, delimiter) if writes else []
        if json:
            from reconcile.reports.result_json import to_json

            say(to_json(planned))
        else:
            from reconcile.reports.screen import week_screen, written_lines

            say(week_screen(planned))
            say(written_lines(written))
        return status_of(planned, strict)

    guarded(run, debug, json)


@app.command()
def check(
    job: Annotated[
        str, typer.Argument(help="The number of a planned job; or leave it out and describe one.")
    ] = "",
    folder: InFolder = Path(),
    frame: Annotated[str, typer.Option("--frame", help="Frame code.")] = "",
    size_from: Annotated[str, typer.Option("--from", help='Size now, like "16 in".')] = "",
    size_to: Annotated[str, typer.Option("--to", help='Size wanted, like "17 in".')] = "",
    date: Annotated[str, typer.Option("--date", help="The day, like 2026-12-03.")] = "",
    adjustment: Annotated[str, typer.Option("--adjustment", help="Default: the frame's first.")] = "",
    options: Annotated[str, typer.Option("--options", help="Fitted options, separated by commas.")] = "",
    side: Annotated[str, typer.Option("--side", help="both, left or right.")] = "both",
    left_now: Annotated[str, typer.Option("--left-now", help="Steps on the left now.")] = "",
    right_now: Annotated[str, typer.Option("--right-now", help="Steps on the right now.")] = "",
    chairs: Annotated[str, typer.Option("--chairs", help="How many identical chairs.")] = "1",
    priority: Annotated[str, typer.Option("--priority", help="1 is most urgent.")] = "3",
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    exact_only: ExactOnly = False,
    patience: Patience = PATIENCE,
    hold: Annotated[
        bool, typer.Option("--hold", help="If it can be done, add it to a copy of the jobs workbook.")
    ] = False,
    json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Ask whether the kit of one job is there: yes, yes when a delivery is in, or no.

    \b
    For example:
      reconcile check J-4109
      reconcile check --frame NQ-T1 --from "16 in" --to "17 in" --date 2026-12-03
      reconcile check J-4201 --frame BD-A4 --from "16 in" --to "17 in" ... --hold
    """  # noqa: D301

    def run() -> int:
        from reconcile.sheets.asked import Question

        request = replace(
            request_of(folder, jobs, stock, frames, settings, today),
            exact_only=exact_only, patience=patience, for_kits_alone=True,
        )  # fmt: skip
        described = not job or bool(frame or size_from or size_to or date)
        if described:
            planned, result = asked_job(
                Question(
                    frame, size_from, size_to, date, adjustment, options, side, left_now, right_now,
                    chairs, priority, job,
                ),
                request,
            )  # fmt: skip
        else:
            planned, result = planned_job(job, request)
        if json:
            from reconcile.reports.result_json import check_json

            say(check_json(result, planned))
        else:
            from reconcile.reports.screen import check_screen

            say(check_screen(result, planned))
        if hold:
            say(held(result, planned, request, described), "stderr" if json else "stdout")
        return Status.SHORT if result.kit == "short" else Status.FINE

    guarded(run, debug, json)


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(help="A new folder for the demo workshop.")],
    force: Annotated[
        bool, typer.Option("--force", help="Write into a folder that is there already.")
    ] = False,
    debug: Debug = False,
) -> None:
    """Write the demo workshop's sheets into a new folder and reconcile its week.

    \b
    For example:
      reconcile demo demo-workshop
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.screen import week_screen, written_lines
        from reconcile.sheets.demo_files import copy_demo

        copy_demo(folder, force)
        request = request_of(folder, today=DEMO_TODAY)
        planned = plan(request)
        written = write(planned, request, None, force, csv=False, delimiter=",")
        say(week_screen(planned))
        say(written_lines(written))
        asked = next(
            (each.job.number for each in planned.jobs if each.kit == "short"), planned.jobs[0].job.number
        )
        say(f"\nTry next:\n  reconcile check {asked} --in {folder} --today {DEMO_TODAY}")
        return Status.FINE

    guarded(run, debug, json=False)


@app.command()
def why(
    name: Annotated[str, typer.Argument(help="The number of a planned job, or of a part.")],
    folder: InFolder = Path(),
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    debug: Debug = False,
) -> None:
    """Explain a job's lines or a part's numbers, each figure with the cell or frame key it came from.

    \b
    For example:
      reconcile why J-4109
      reconcile why B14-250
    """  # noqa: D301
    guarded(
        lambda: say(explained(name, request_of(folder, jobs, stock, frames, settings, today))),
        debug,
        json=False,
    )


@app.command()
def problems(
    code: Annotated[str, typer.Argument(help="A code, as the report prints it; none lists them all.")] = "",
) -> None:
    """Explain a problem code: what it means, what was done about it, what you can do.

    \b
    For example:
      reconcile problems job-doubled
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.screen import catalogue_screen
        from reconcile.sheets.inputs import call_fault
        from reconcile.values.catalogue import CODES
        from reconcile.values.words import nearest

        if code and code not in CODES:
            like = ", ".join(nearest(code, CODES)) or "none"
            raise Unusable(call_fault("CODE", f"There is no code {code!r}. Nearest: {like}."))
        say(catalogue_screen(code))
        return Status.FINE

    guarded(run, debug=False, json=False)


# --- reading, planning, writing -------------------------------------------------------------------


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
    from reconcile.sheets.asked import read_day
    from reconcile.sheets.inputs import Request

    return Request(
        folder=folder, jobs=jobs, stock=stock, frames=frames, settings=settings,
        today=read_day(today, "--today") if today else None,
        week=week or None,
        first=read_day(first, "--from") if first else None,
        last=read_day(last, "--to") if last else None,
    )  # fmt: skip


def plan(request: "Request", *, remember: bool = True) -> "Week":
    from reconcile.memory import KeptChoices
    from reconcile.sheets.inputs import read_inputs
    from reconcile.week import plan_week

    return plan_week(read_inputs(request), datetime.now(), KeptChoices() if remember else None)


def planned_job(number: str, request: "Request") -> tuple["Week", "JobResult"]:
    """The week of a planned job, with that job alone, and its result."""
    from reconcile.memory import KeptChoices
    from reconcile.sheets.inputs import faults_of_job, inputs_with_job
    from reconcile.week import promise

    inputs = inputs_with_job(number, request)
    planned = promise(inputs, datetime.now(), number, memory=KeptChoices())
    if not planned.jobs:
        raise Unusable(*faults_of_job(number, inputs, planned.problems))
    return planned, planned.jobs[0]


def asked_job(question: "Question", request: "Request") -> tuple["Week", "JobResult"]:
    """The week of a job that only asks, with that job alone, and its result."""
    from reconcile.memory import KeptChoices
    from reconcile.sheets.inputs import inputs_for_question
    from reconcile.week import promise

    inputs, job = inputs_for_question(question, request)
    planned = promise(inputs, datetime.now(), guest=job, memory=KeptChoices())
    if not planned.jobs:
        raise Unusable(*(each for each in planned.problems if each.place.file == job.place.file))
    return planned, planned.jobs[0]


def held(result: "JobResult", planned: "Week", request: "Request", described: bool) -> str:
    """Adds the job asked about to a copy of the jobs workbook, if it can be done, and says so."""
    from reconcile.reports.held import hold
    from reconcile.sheets.asked import ASKED
    from reconcile.sheets.inputs import call_fault, jobs_header, jobs_path
    from reconcile.values.words import fold

    if not described:
        raise Unusable(
            call_fault("--hold", "The job is on the jobs sheet already; there is nothing to hold.")
        )
    if result.job.number == ASKED:
        raise Unusable(
            call_fault("--hold", "Give the job a number: reconcile check J-200 --frame ... --hold.")
        )
    if result.kit == "short":
        return "\nNot held: the kit is not there on that day."
    unit = planned.frames[fold(result.job.frame)].unit
    path = hold(result.job, unit, jobs_path(request), jobs_header(request, result.job.number))
    return f"\nHeld: {result.job.number} is in the copy; the jobs workbook is as it was.\nWritten: {path}"


def explained(name: str, request: "Request") -> str:
    from reconcile.reports.why import why_job, why_part
    from reconcile.sheets.inputs import has_job, read_inputs
    from reconcile.week import takings

    if has_job(name, request):
        planned, result = planned_job(name, request)
        return why_job(result, planned)
    planned = plan(request)
    for part in planned.parts:
        if part.part.number == name:
            return why_part(part, takings(read_inputs(request), name), planned)
    raise Unusable(nothing_to_explain(name, planned))


def nothing_to_explain(name: str, planned: "Week") -> Problem:
    from reconcile.sheets.inputs import call_fault
    from reconcile.values.words import nearest

    if name in planned.stock.parts:
        says = (
            f"{name} is neither needed by a job of the period nor to be ordered; there is nothing to explain."
        )
        return call_fault("NAME", says)
    known = [*(each.job.number for each in planned.jobs), *planned.stock.parts]
    like = nearest(name, known)
    says = f"{name!r} is neither a job nor a part." + (f" Nearest: {', '.join(like)}." if like else "")
    return call_fault("NAME", says)


def write(
    planned: "Week", request: "Request", out: Path | None, force: bool, csv: bool, delimiter: str
) -> list[Path]:
    """Writes the two workbooks, and csv where asked for; all of them or none."""
    from reconcile.reports.outputs import write_outputs

    inputs = [path for path in (request.jobs, request.stock, request.settings) if path is not None]
    folder = out or request.folder / "reports"
    return write_outputs(planned, folder, inputs, force=force, delimiter=delimiter if csv else None)


def status_of(planned: "Week", strict: bool) -> int:
    if strict and any(tally.set_aside for tally in planned.rows.values()):
        return Status.UNUSABLE
    return Status.SHORT if any(each.kit == "short" for each in planned.jobs) else Status.FINE


# --- talking to the terminal ----------------------------------------------------------------------


def say(text: str, stream: str = "stdout") -> None:
    if text:
        print(text, file=getattr(sys, stream))


def guarded(run: Callable[[], int | None], debug: bool, json: bool) -> None:
    """Runs a command; whatever goes wrong ends in a message and an exit status, never in a traceback."""
    try:
        status = run() or Status.FINE
    except Unusable as unusable:
        status = refuse(unusable.problems, json)
    except BrokenPipeError:
        status = Status.FINE
        with suppress(OSError):
            sys.stdout.close()
    except Exception as crash:
        if debug:
            import traceback

            traceback.print_exc()
        says = f"The program failed: {type(crash).__name__}: {crash}."
        refuse((problem("own-fault", Place("reconcile", "", __version__), says),), json)
        status = Status.OWN_FAULT
    raise typer.Exit(int(status))


def refuse(problems: tuple[Problem, ...], json: bool) -> Status:
    from reconcile.reports.screen import problem_screen

    if json:
        from reconcile.reports.result_json import problems_json

        say(problems_json(problems))
    say(problem_screen(problems), "stderr")
    return Status.UNUSABLE


def main() -> None:
    """The console command."""
    gc.disable()  # a run is short and keeps nearly all it makes; looking for garbage costs a third of it
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    app()


if __name__ == "__main__":
    main()
