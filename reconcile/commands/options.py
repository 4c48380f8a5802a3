"""Options that several commands have, with their help and the environment variables that stand for them."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from reconcile.sheets.request import Request

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
Who = Annotated[
    str, typer.Option("--who", help="Who closes or books; default: the name you are logged in by.")
]
Replace = Annotated[
    bool,
    typer.Option(
        "--replace", help="Put the new workbook in the place of the old one, which is kept beside it."
    ),
]
TakeDifferences = Annotated[
    bool,
    typer.Option(
        "--take-differences", help="Where the sheet differs from the ledger, book the sheet's figure."
    ),
]


def request_of(
    folder: Path,
    jobs: Path | None = None,
    stock: Path | None = None,
    frames: Path | None = None,
    settings: Path | None = None,
    today: str = "",
    week: str = "",
    first: str = "",
    last: str = "",
) -> "Request":
    """The words of a command line as a request. Raises Unusable (call-unusable) for a day that is none."""
    from reconcile.sheets.jobs.question import read_day
    from reconcile.sheets.request import Request

    return Request(
        folder=folder, jobs=jobs, stock=stock, frames=frames, settings=settings,
        today=read_day(today, "--today") if today else None,
        week=week or None,
        first=read_day(first, "--from") if first else None,
        last=read_day(last, "--to") if last else None,
    )  # fmt: skip
