"""``reconcile demo``: the demo workshop in a new folder, and its week."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands import running
from reconcile.commands.options import Debug, Quiet
from reconcile.commands.progress import stages
from reconcile.commands.running import Status
from reconcile.work.planning import plan, request_of, write

DEMO_TODAY = "2026-11-27"


def demo(
    folder: Annotated[Path, typer.Argument(help="A new folder for the demo workshop.")],
    force: Annotated[
        bool, typer.Option("--force", help="Write into a folder that is there already.")
    ] = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Write the demo workshop's sheets into a new folder and reconcile its week.

    \b
    For example:
      reconcile demo demo-workshop
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.week.screen import week_screen
        from reconcile.reports.writing.text import written_lines
        from reconcile.sheets.blanks.demo import copy_demo

        copy_demo(folder, force)
        request = replace(request_of(folder, today=DEMO_TODAY), count_cells=True)
        with stages(quiet) as stage:
            planned = plan(request, stage)
            written = write(planned, request, stage, force=force)
        say = running.sayer(quiet)
        say(week_screen(planned))
        say(written_lines(written))
        asked = next(
            (job.job.number for job in planned.jobs if job.kit == "short"), planned.jobs[0].job.number
        )
        say(f"\nTry next:\n  reconcile check {asked} --in {folder} --today {DEMO_TODAY}")
        return Status.FINE

    running.guarded(run, debug, json=False)
