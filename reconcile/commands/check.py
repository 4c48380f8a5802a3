"""``reconcile check``: one job, planned, as if its row said otherwise, or only described; and its hold."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    AcceptFile,
    AdjustmentAsked,
    AsJson,
    AssetAsked,
    CardOut,
    Chairs,
    DayAsked,
    Debug,
    ExactOnly,
    FittedOptions,
    ForceCard,
    FrameAsked,
    FramesFolder,
    Hold,
    InFolder,
    IntoJobs,
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
    Who,
    request_of,
)
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status, say

if TYPE_CHECKING:
    from reconcile.sheets.jobs.question import Question
    from reconcile.sheets.request import Request
    from reconcile.values.week.results import Answer
    from reconcile.work.entries.holding import HeldAnswer


def check(
    job: JobAsked = "",
    folder: InFolder = Path(),
    frame: FrameAsked = "",
    size_from: SizeNow = "",
    size_to: SizeWanted = "",
    date: DayAsked = "",
    adjustment: AdjustmentAsked = "",
    options: FittedOptions = "",
    side: SideAsked = "",
    left_now: LeftNow = "",
    right_now: RightNow = "",
    spacers_now: SpacersNow = "",
    asset: AssetAsked = "",
    chairs: Chairs = "",
    priority: Priority = "",
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    accept: AcceptFile = None,
    exact_only: ExactOnly = None,
    patience: Patience = None,
    hold: Hold = False,
    into_jobs: IntoJobs = False,
    who: Who = "",
    card: CardOut = None,
    force: ForceCard = False,
    json: AsJson = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Ask whether the kit of one job can be had: yes, yes when a delivery is in, yes if it is ordered, or no.

    A planned job's number with other options asks as if its row said so; nothing is changed.
    Where nobody knows which spacers come off, the answer is yes after a look.

    \b
    For example:
      reconcile check J-4109
      reconcile check --frame NQ-T1 --from "16 in" --to "17 in" --date 2026-12-03
      reconcile check --asset WC-0443 --to "17 in"
      reconcile check J-4109 --chairs 2
      reconcile check J-4109 --card J-4109.html
      reconcile check J-4201 --frame BD-A4 --from "16 in" --to "17 in" ... --hold
    Exit status: 0 yes, or yes when a delivery is in; 1 no, or only if it is
      ordered; 2 unusable.
    """  # noqa: D301
    request = Call(folder, jobs, stock, frames, settings, today, exact_only, patience, accept)
    words = (
        frame, size_from, size_to, date, adjustment, options, side, left_now, right_now,
        chairs, priority, job, asset, spacers_now,
    )  # fmt: skip
    wish = Wish(who, hold, into_jobs, card, force, json, quiet)
    terminal.guarded(lambda: answered(words, request, wish), debug, json)


@dataclass(frozen=True, slots=True)
class Call:
    """Where the inputs are, and how they are looked at."""

    folder: Path
    jobs: Path | None
    stock: Path | None
    frames: Path | None
    settings: Path | None
    today: str
    exact_only: bool | None
    patience: float | None
    accept: Path | None

    def request(self) -> "Request":
        places = request_of(self.folder, self.jobs, self.stock, self.frames, self.settings, self.today)
        return replace(
            places, exact_only=self.exact_only, patience=self.patience, for_kits_alone=True,
            accept=self.accept,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to come of the answer."""

    who: str
    hold: bool
    into_jobs: bool
    card: Path | None
    force: bool
    json: bool
    quiet: bool


def answered(words: tuple[str, ...], call: Call, wish: Wish) -> Status:
    """Asks, says the answer, and writes the card if one is wanted; the exit status."""
    from reconcile.sheets.jobs.question import Question

    request = call.request()
    answer, held = answer_and_hold(
        Question(*words), request, wish.quiet, wish.who, hold=wish.hold, into_jobs=wish.into_jobs
    )
    status = told(answer, held, wish.json, wish.quiet)
    if wish.card is not None:
        say_card(answer, wish.card, request, wish.force, wish.json or wish.quiet)
    return status


def answer_and_hold(
    question: "Question", request: "Request", quiet: bool, who: str, *, hold: bool, into_jobs: bool
) -> "tuple[Answer, HeldAnswer | None]":
    """The answer; and, of a job that is to be held, what became of the hold."""
    if into_jobs and not hold:
        refuse("--into-jobs", "Only a job that is held gets a row; give --hold too.")
    with stages(quiet) as stage:
        if not hold:
            from reconcile.work.questions.asking import ask

            return ask(question, request, stage), None
        from reconcile.work.entries.holding import ask_and_hold

        held = ask_and_hold(question, request, stage, who, into_jobs=into_jobs)
        return held.answer, held


def told(answer: "Answer", held: "HeldAnswer | None", json: bool, quiet: bool) -> Status:
    """Prints what was found, and gives the exit status."""
    from reconcile.values.week.results import SHORT, TO_ORDER

    say_answer(answer, json, quiet)
    if held is not None:
        say_held(held, json, quiet)
    return Status.SHORT if answer.result.kit in (SHORT, TO_ORDER) else Status.FINE


def say_card(answer: "Answer", path: Path, request: "Request", force: bool, quiet: bool) -> None:
    """Writes the job's card, and says where."""
    from reconcile.reports.writing.text import written_lines
    from reconcile.work.questions.carding import write_card

    write_card(answer, path, request, force=force)
    if not quiet:
        say(f"\n{written_lines([path])}")


def refuse(option: str, says: str) -> None:
    """Raises Unusable (call-unusable)."""
    from reconcile.sheets.finding import call_fault
    from reconcile.values.problem import Unusable

    raise Unusable(call_fault(option, says))


def say_answer(answer: "Answer", json: bool, quiet: bool) -> None:
    if json:
        from reconcile.reports.week.json import check_json

        say(check_json(answer))
    elif not quiet:
        from reconcile.reports.week.screen import check_screen, of_the_ledger

        say(check_screen(answer))
        say(of_the_ledger(answer.week), "stderr")


def say_held(held: "HeldAnswer", json: bool, quiet: bool) -> None:
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
