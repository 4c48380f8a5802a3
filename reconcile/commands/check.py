"""``reconcile check``: one job, planned or only asked about, and its hold on a copy of the jobs workbook."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands import terminal
from reconcile.commands.completion import frame_codes, job_numbers, offering
from reconcile.commands.options import (
    AcceptFile,
    AsJson,
    Debug,
    ExactOnly,
    FramesFolder,
    InFolder,
    JobsFile,
    Patience,
    Quiet,
    SettingsFile,
    StockFile,
    Today,
    request_of,
)
from reconcile.commands.progress import stages
from reconcile.commands.terminal import Status, say

if TYPE_CHECKING:
    from reconcile.sheets.request import Request
    from reconcile.values.week.results import JobResult, Week


def check(
    job: Annotated[
        str,
        typer.Argument(
            help="The number of a planned job; or leave it out and describe one.",
            autocompletion=offering(job_numbers),
        ),
    ] = "",
    folder: InFolder = Path(),
    frame: Annotated[
        str, typer.Option("--frame", help="Frame code.", autocompletion=offering(frame_codes))
    ] = "",
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
    accept: AcceptFile = None,
    exact_only: ExactOnly = None,
    patience: Patience = None,
    hold: Annotated[
        bool, typer.Option("--hold", help="If it can be done, add it to a copy of the jobs workbook.")
    ] = False,
    json: AsJson = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Ask whether the kit of one job is there: yes, yes when a delivery is in, or no.

    \b
    For example:
      reconcile check J-4109
      reconcile check --frame NQ-T1 --from "16 in" --to "17 in" --date 2026-12-03
      reconcile check J-4201 --frame BD-A4 --from "16 in" --to "17 in" ... --hold
    Exit status: 0 yes, or yes when a delivery is in; 1 no, or only if parts are
      ordered in time; 2 unusable.
    """  # noqa: D301

    def run() -> int:
        from reconcile.sheets.jobs.question import Question
        from reconcile.work.asking import ask_by_number, ask_by_words

        request = replace(
            request_of(folder, jobs, stock, frames, settings, today),
            exact_only=exact_only, patience=patience, for_kits_alone=True, accept=accept,
        )  # fmt: skip
        described = not job or bool(frame or size_from or size_to or date)
        question = Question(
            frame, size_from, size_to, date, adjustment, options, side, left_now, right_now,
            chairs, priority, job,
        )  # fmt: skip
        with stages(quiet) as stage:
            if described:
                answer = ask_by_words(question, request, stage)
            else:
                answer = ask_by_number(job, request, stage)
        planned, result = answer.week, answer.result
        if json:
            from reconcile.reports.week.json import check_json

            say(check_json(result, planned))
        elif not quiet:
            from reconcile.reports.week.screen import check_screen

            say(check_screen(result, planned))
        if hold:
            told = held(result, planned, request, described)
            say("" if quiet else told, "stderr" if json else "stdout")
        return Status.SHORT if result.kit in {"short", "order"} else Status.FINE

    terminal.guarded(run, debug, json)


def held(result: "JobResult", planned: "Week", request: "Request", described: bool) -> str:
    """Holds the job asked about, and says so; what must be said of the copy goes to standard error."""
    from reconcile.reports.writing.text import problem_screen
    from reconcile.work.hold import hold

    copy = hold(result, planned.frames, request, is_planned=not described)
    if copy is None:
        return "\nNot held: the kit is not there on that day."
    if copy.remarks:
        say(problem_screen(copy.remarks), "stderr")
    number = result.job.number
    return f"\nHeld: {number} is in the copy; the jobs workbook is as it was.\nWritten: {copy.path}"
