"""Options that several commands have, with their help and the environment variables that stand for them."""

from pathlib import Path
from typing import Annotated

import typer

FOLDER_HELP = "Folder with jobs.xlsx, stock.xlsx, frames/ and reconcile.toml."

Folder = Annotated[Path, typer.Argument(help=FOLDER_HELP)]
InFolder = Annotated[Path, typer.Option("--in", help=FOLDER_HELP, envvar="RECONCILE_IN")]
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
AcceptFile = Annotated[
    Path | None,
    typer.Option("--accept", help="A csv or workbook that says what lengths which became dates are to be."),
]
Today = Annotated[
    str, typer.Option("--today", help="Take this day as today, like 2026-11-27.", envvar="RECONCILE_TODAY")
]
ExactOnly = Annotated[
    bool | None,
    typer.Option(
        "--exact-only/--no-exact-only",
        help="Offer no bolt of another length than the one asked for.",
        envvar="RECONCILE_EXACT_ONLY",
        show_default=False,
    ),
]
Patience = Annotated[
    float | None,
    typer.Option(
        "--patience",
        help="Seconds for the choice of kits, 10 if nothing is said; then the best found is taken.",
        envvar="RECONCILE_PATIENCE",
        min=0,
    ),
]
UseProposedLevels = Annotated[
    bool,
    typer.Option(
        "--use-proposed-levels", help="Order by the shelf levels that recorded use proposes, not the sheet's."
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]
Quiet = Annotated[
    bool,
    typer.Option("--quiet", "-q", help="Print nothing but errors; the exit status is the answer."),
]
Debug = Annotated[bool, typer.Option("--debug", help="Show where the program itself failed.")]
