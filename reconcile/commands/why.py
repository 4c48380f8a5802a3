"""``reconcile why``: where a job's lines or a part's numbers come from."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.completion import job_numbers, offering, part_numbers
from reconcile.commands.shell.options import (
    AcceptFile,
    Debug,
    EvenFor,
    FramesFolder,
    InFolder,
    JobsFile,
    Quiet,
    SettingsFile,
    StockFile,
    Today,
    UseProposedLevels,
    request_of,
)
from reconcile.commands.shell.progress import stages


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
    even_for: EvenFor = None,
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
        from reconcile.reports.week.screen import of_the_ledger
        from reconcile.reports.week.why import why_text
        from reconcile.work.questions.explaining import explain

        request = replace(request_of(folder, jobs, stock, frames, settings, today), accept=accept)
        with stages(quiet) as stage:
            found = explain(
                name, request, stage, proposed_levels=use_proposed_levels, even_for=even_for or ()
            )
        terminal.sayer(quiet)(why_text(found))
        if not quiet:
            terminal.say(of_the_ledger(found.week), "stderr")

    terminal.guarded(run, debug, json=False)
