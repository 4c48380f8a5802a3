"""``reconcile demo``: the demo workshop in a new folder, and its week."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import Debug, Quiet, request_of
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status
from reconcile.commands.week import say_left, say_week

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
        from reconcile.work.planning import plan, write_week
        from reconcile.work.workshop.demo import copy_demo

        copy_demo(folder, force)
        request = replace(request_of(folder, today=DEMO_TODAY), count_cells=True)
        with stages(quiet) as stage:
            planned = plan(request, stage)
            written = write_week(planned, request, stage, force=force)
            say_left(written)
        say = terminal.sayer(quiet)
        say_week(planned, written, say)
        short = (job.job.number for job in planned.jobs if job.kit == "short")
        asked = next(short, planned.jobs[0].job.number)
        say(f"\nTry next:\n  reconcile check {asked} --in {folder} --today {DEMO_TODAY}")
        return Status.FINE

    terminal.guarded(run, debug, json=False)
