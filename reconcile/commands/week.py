"""``reconcile week``: a period's kits, what is short, and what to order."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    AcceptFile,
    AsCsv,
    AsJson,
    Debug,
    Delimiter,
    DryRun,
    EvenFor,
    ExactOnly,
    FirstDay,
    Folder,
    ForceWorkbooks,
    FramesFolder,
    JobsFile,
    LastDay,
    Patience,
    Quiet,
    SettingsFile,
    StockFile,
    Strict,
    Today,
    UseProposedLevels,
    WeekPlanned,
    WorkbooksOut,
    request_of,
)
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status, say

if TYPE_CHECKING:
    from reconcile.commands.shell.terminal import Say
    from reconcile.values.week.results import Week
    from reconcile.work.planning import Written


def week(
    folder: Folder = Path(),
    week_: WeekPlanned = "",
    first: FirstDay = "",
    last: LastDay = "",
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    accept: AcceptFile = None,
    out: WorkbooksOut = None,
    force: ForceWorkbooks = False,
    dry_run: DryRun = False,
    csv: AsCsv = False,
    delimiter: Delimiter = ",",
    exact_only: ExactOnly = None,
    patience: Patience = None,
    use_proposed_levels: UseProposedLevels = False,
    even_for: EvenFor = None,
    json: AsJson = False,
    quiet: Quiet = False,
    strict: Strict = False,
    debug: Debug = False,
) -> None:
    """Reconcile a week: every job's kit, what is short, what to order.

    \b
    For example:
      reconcile week                      the next planned week, in this folder
      reconcile week workshop --week 2026-W49 --out monday
      reconcile week workshop --json      one JSON object, no workbooks
    Exit status: 0 all kits complete, waiting or done; 1 one is short or hangs on
      an order not placed yet; 2 unusable.
    """  # noqa: D301

    def run() -> int:
        from reconcile.work.planning import plan, write_week

        request = replace(
            request_of(folder, jobs, stock, frames, settings, today, week_, first, last),
            exact_only=exact_only, patience=patience, accept=accept, count_cells=True,
        )  # fmt: skip
        written = None
        with stages(quiet) as stage:
            planned = plan(
                request, stage, remember=not dry_run,
                proposed_levels=use_proposed_levels, even_for=even_for or (),
            )  # fmt: skip
            if not dry_run and (not json or out is not None):
                separator = delimiter if csv else None
                written = write_week(planned, request, stage, out, force=force, delimiter=separator)
                say_left(written)
        if json or not quiet:
            say_planned(planned, written, json)
        return status_of(planned, strict)

    terminal.guarded(run, debug, json)


def say_planned(planned: "Week", written: "Written | None", json: bool) -> None:
    """The object, or the week in words."""
    if json:
        from reconcile.reports.week.json import to_json

        say(to_json(planned))
    else:
        say_week(planned, written)


def say_left(written: "Written") -> None:
    """Says on standard error what became of a returns workbook that was filled in."""
    left = "was left as it is: it is open, or holds what a new one has no place for. To have it anew, move it"
    changed = "was left as it is, for it was changed and is not placed yet. Place it, or move it away and run"
    say(f"{written.orders_left} {changed} again." if written.orders_left else "", "stderr")
    kept = "was written anew, and what was filled in was kept."
    say(f"{written.returns_left} {left} away and run again." if written.returns_left else "", "stderr")
    say("\n".join(written.told), "stderr")
    say(f"{written.returns_kept} {kept}" if written.returns_kept else "", "stderr")


def say_week(planned: "Week", written: "Written | None", say: "Say" = say) -> None:
    """Shows the week, and where its workbooks are."""
    from reconcile.reports.week.screen import week_screen
    from reconcile.reports.writing.text import written_lines

    say(week_screen(planned))
    say(written_lines(written.files if written else ()))


def status_of(planned: "Week", strict: bool) -> int:
    """The exit status of a planned week; ``strict``: a row that was set aside makes it unusable."""
    if strict and any(tally.set_aside for tally in planned.rows.values()):
        return Status.UNUSABLE
    lacks = any(job.kit in {"short", "order"} for job in planned.jobs)
    return Status.SHORT if lacks else Status.FINE
