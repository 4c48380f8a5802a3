"""``reconcile check``: one job, planned, as if its row said otherwise, or only described; and its hold."""

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
    Who,
    request_of,
)
from reconcile.commands.progress import stages
from reconcile.commands.terminal import Status, say

if TYPE_CHECKING:
    from reconcile.values.week.results import Answer
    from reconcile.work.holding import Holding


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
    side: Annotated[str, typer.Option("--side", help="both (default), left or right.")] = "",
    left_now: Annotated[str, typer.Option("--left-now", help="Steps on the left now.")] = "",
    right_now: Annotated[str, typer.Option("--right-now", help="Steps on the right now.")] = "",
    chairs: Annotated[str, typer.Option("--chairs", help="How many identical chairs; default 1.")] = "",
    priority: Annotated[str, typer.Option("--priority", help="1 is most urgent; default 3.")] = "",
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    accept: AcceptFile = None,
    exact_only: ExactOnly = None,
    patience: Patience = None,
    hold: Annotated[
        bool, typer.Option("--hold", help="If it can be done, keep its parts for it, for everybody.")
    ] = False,
    into_jobs: Annotated[
        bool,
        typer.Option("--into-jobs", help="With --hold: write its row into the jobs workbook."),
    ] = False,
    who: Who = "",
    json: AsJson = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Ask whether the kit of one job can be had: yes, yes when a delivery is in, yes if it is ordered, or no.

    A planned job's number with other options asks as if its row said so; nothing is changed.

    \b
    For example:
      reconcile check J-4109
      reconcile check --frame NQ-T1 --from "16 in" --to "17 in" --date 2026-12-03
      reconcile check J-4109 --chairs 2
      reconcile check J-4201 --frame BD-A4 --from "16 in" --to "17 in" ... --hold
    Exit status: 0 yes, or yes when a delivery is in; 1 no, or only if it is ordered; 2 unusable.
    """  # noqa: D301

    def run() -> int:
        from reconcile.sheets.jobs.question import Question
        from reconcile.values.week.results import SHORT, TO_ORDER

        request = replace(
            request_of(folder, jobs, stock, frames, settings, today),
            exact_only=exact_only, patience=patience, for_kits_alone=True, accept=accept,
        )  # fmt: skip
        question = Question(
            frame, size_from, size_to, date, adjustment, options, side, left_now, right_now,
            chairs, priority, job,
        )  # fmt: skip
        if into_jobs and not hold:
            refuse("--into-jobs", "Only a job that is held gets a row; give --hold too.")
        held: Holding | None = None
        with stages(quiet) as stage:
            if hold:
                from reconcile.work.holding import ask_and_hold

                held = ask_and_hold(question, request, stage, who, into_jobs=into_jobs)
                answer = held.answer
            else:
                from reconcile.work.asking import ask

                answer = ask(question, request, stage)
        say_answer(answer, json, quiet)
        if held is not None:
            say_held(held, json, quiet)
        return Status.SHORT if answer.result.kit in (SHORT, TO_ORDER) else Status.FINE

    terminal.guarded(run, debug, json)


def refuse(option: str, says: str) -> None:
    from reconcile.sheets.finding import call_fault
    from reconcile.values.problem import Unusable

    raise Unusable(call_fault(option, says))


def say_answer(answer: "Answer", json: bool, quiet: bool) -> None:
    if json:
        from reconcile.reports.week.json import check_json

        say(check_json(answer))
    elif not quiet:
        from reconcile.reports.week.screen import check_screen

        say(check_screen(answer))


def say_held(held: "Holding", json: bool, quiet: bool) -> None:
    """What became of the hold; what must be said of the jobs workbook goes to standard error."""
    from reconcile.reports.week.hold_screen import held_screen

    written = held.written
    if written is not None:
        terminal.report(written.remarks)
    told = held_screen(
        held.answer, held.hold, meanwhile=held.meanwhile,
        workbook=written.workbook if written else None, kept=written.kept if written else None,
    )  # fmt: skip
    if not quiet:
        say(f"\n{told}", "stderr" if json else "stdout")
