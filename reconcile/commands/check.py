"""``reconcile check``: one job, planned or only asked about, and its hold on a copy of the jobs workbook."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    AcceptFile,
    AdjustmentAsked,
    AsJson,
    AssetAsked,
    Chairs,
    DayAsked,
    Debug,
    ExactOnly,
    FittedOptions,
    FrameAsked,
    FramesFolder,
    Hold,
    InFolder,
    JobAsked,
    JobsFile,
    LeftNow,
    Patience,
    Priority,
    Quiet,
    RightNow,
    SettingsFile,
    SideAsked,
    SizeNow,
    SizeWanted,
    SpacersNow,
    StockFile,
    Today,
    request_of,
)
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status, say

if TYPE_CHECKING:
    from reconcile.sheets.jobs.question import Question
    from reconcile.sheets.request import Request
    from reconcile.values.week.results import JobResult, Week
    from reconcile.work.asking import Answer


def check(
    job: JobAsked = "",
    folder: InFolder = Path(),
    frame: FrameAsked = "",
    size_from: SizeNow = "",
    size_to: SizeWanted = "",
    date: DayAsked = "",
    adjustment: AdjustmentAsked = "",
    options: FittedOptions = "",
    side: SideAsked = "both",
    left_now: LeftNow = "",
    right_now: RightNow = "",
    spacers_now: SpacersNow = "",
    asset: AssetAsked = "",
    chairs: Chairs = "1",
    priority: Priority = "3",
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    accept: AcceptFile = None,
    exact_only: ExactOnly = None,
    patience: Patience = None,
    hold: Hold = False,
    json: AsJson = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Ask whether the kit of one job is there: yes, yes when a delivery is in, or no.

    Where nobody knows which spacers come off, the answer is yes after a look.

    \b
    For example:
      reconcile check J-4109
      reconcile check --frame NQ-T1 --from "16 in" --to "17 in" --date 2026-12-03
      reconcile check --asset WC-0443 --to "17 in" --date 2026-12-03
      reconcile check J-4201 --frame BD-A4 --from "16 in" --to "17 in" ... --hold
    Exit status: 0 yes, or yes when a delivery is in; 1 no, or only if parts are
      ordered in time; 2 unusable.
    """  # noqa: D301

    def run() -> int:
        from reconcile.sheets.jobs.question import Question

        request = replace(
            request_of(folder, jobs, stock, frames, settings, today),
            exact_only=exact_only, patience=patience, for_kits_alone=True, accept=accept,
        )  # fmt: skip
        described = not job or bool(frame or size_from or size_to or date or asset)
        question = Question(
            frame, size_from, size_to, date, adjustment, options, side, left_now, right_now,
            chairs, priority, job, asset, spacers_now,
        )  # fmt: skip
        answer = ask(question if described else job, request, quiet)
        tell(answer, json, quiet)
        if hold:
            told = held(answer.result, answer.week, request, described)
            say("" if quiet else told, "stderr" if json else "stdout")
        return Status.SHORT if answer.result.kit in {"short", "order"} else Status.FINE

    terminal.guarded(run, debug, json)


def ask(job: "Question | str", request: "Request", quiet: bool) -> "Answer":
    """What can be said of a job that is described, or of a planned one by its number."""
    from reconcile.work.asking import ask_by_number, ask_by_words

    with stages(quiet) as stage:
        return (
            ask_by_number(job, request, stage) if isinstance(job, str) else ask_by_words(job, request, stage)
        )


def tell(answer: "Answer", json: bool, quiet: bool) -> None:
    """Prints the answer: as a JSON object, which nothing silences, or for people."""
    if json:
        from reconcile.reports.week.json import check_json

        say(check_json(answer.result, answer.week))
    elif not quiet:
        from reconcile.reports.week.screen import check_screen

        say(check_screen(answer.result, answer.week))


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
