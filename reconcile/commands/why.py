"""``reconcile why``: where a job's lines or a part's numbers come from."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands import running
from reconcile.commands.completion import job_numbers, offering, part_numbers
from reconcile.commands.options import (
    AcceptFile,
    Debug,
    FramesFolder,
    InFolder,
    JobsFile,
    Quiet,
    SettingsFile,
    StockFile,
    Today,
    UseProposedLevels,
)
from reconcile.commands.progress import stages
from reconcile.work.planning import PLANNING, READING, planned_job, request_of
from reconcile.work.stages import Stage

if TYPE_CHECKING:
    from reconcile.sheets.request import Request


def why(
    name: Annotated[
        str,
        typer.Argument(
            help="The number of a planned job, or of a part.",
            autocompletion=offering(job_numbers, part_numbers),
        ),
    ],
    folder: InFolder = Path(),
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    accept: AcceptFile = None,
    use_proposed_levels: UseProposedLevels = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Explain a job's lines or a part's numbers, each figure with the cell or frame key it came from.

    \b
    For example:
      reconcile why J-4109
      reconcile why B14-250
    """  # noqa: D301

    def run() -> None:
        request = request_of(folder, jobs, stock, frames, settings, today)
        with stages(quiet) as stage:
            told = answer(name, replace(request, accept=accept), stage, use_proposed_levels)
        running.sayer(quiet)(told)

    running.guarded(run, debug, json=False)


def answer(name: str, request: "Request", stage: Stage, proposed_levels: bool = False) -> str:
    """The text for a job, in whatever week it is planned, or for a part."""
    from reconcile.interface import explained
    from reconcile.memory import KeptChoices
    from reconcile.reports.week.why import why_job
    from reconcile.sheets.inputs import has_job, read_inputs
    from reconcile.week import on_proposed_levels, plan_week

    stage(READING)
    if has_job(name, request):
        planned, result = planned_job(name, request, stage)
        return why_job(result, planned)
    inputs = read_inputs(request)
    stage(PLANNING)
    if proposed_levels:
        inputs = on_proposed_levels(inputs)
    return explained(name, inputs, plan_week(inputs, datetime.now(), KeptChoices()))
