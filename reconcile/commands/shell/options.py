"""Options that several commands have, with their help and the environment variables that stand for them."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands.shell.completion import frame_codes, job_numbers, offering

if TYPE_CHECKING:
    from reconcile.sheets.request import Request

FOLDER_HELP = "Folder with jobs.xlsx, stock.xlsx, frames/ and reconcile.toml."


def seconds(text: str) -> float:
    """A time in seconds, 0 or more."""
    try:
        value = float(text)
    except ValueError:
        value = -1
    if not value >= 0:
        raise typer.BadParameter(f"{text!r} is no time in seconds: give a number, 0 or more.")
    return value


Folder = Annotated[Path, typer.Argument(help=FOLDER_HELP)]
InFolder = Annotated[Path, typer.Option("--in", metavar="FOLDER", help=FOLDER_HELP, envvar="RECONCILE_IN")]
JobsFile = Annotated[
    Path | None,
    typer.Option("--jobs", metavar="FILE", help="The jobs workbook or csv.", envvar="RECONCILE_JOBS"),
]
StockFile = Annotated[
    Path | None,
    typer.Option(
        "--stock", metavar="FILE", help="The stock workbook, or a folder of csv.", envvar="RECONCILE_STOCK"
    ),
]
FramesFolder = Annotated[
    Path | None,
    typer.Option("--frames", metavar="FOLDER", help="The folder of frame files.", envvar="RECONCILE_FRAMES"),
]
SettingsFile = Annotated[
    Path | None,
    typer.Option("--settings", metavar="FILE", help="The settings file.", envvar="RECONCILE_SETTINGS"),
]
AcceptFile = Annotated[
    Path | None,
    typer.Option(
        "--accept",
        metavar="FILE",
        help="A csv or workbook that says what lengths which became dates are to be.",
    ),
]
Today = Annotated[
    str,
    typer.Option(
        "--today", metavar="DAY", help="Take this day as today, like 2026-11-27.", envvar="RECONCILE_TODAY"
    ),
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
        metavar="SECONDS",
        help="Seconds for the choice of kits, 10 if nothing is said; then the best found is taken.",
        envvar="RECONCILE_PATIENCE",
        parser=seconds,
        show_default=False,
    ),
]
UseProposedLevels = Annotated[
    bool,
    typer.Option(
        "--use-proposed-levels", help="Order by the shelf levels that recorded use proposes, not the sheet's."
    ),
]
EvenFor = Annotated[
    list[str] | None,
    typer.Option(
        "--even-for",
        metavar="PART",
        help="With --use-proposed-levels: order even by this part's level that is to be looked at.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]
Quiet = Annotated[
    bool,
    typer.Option("--quiet", "-q", help="Print nothing but errors; the exit status is the answer."),
]
Debug = Annotated[bool, typer.Option("--debug", help="Show where the program itself failed.")]
Who = Annotated[
    str,
    typer.Option(
        "--who", metavar="NAME", help="Who closes or books; default: the name you are logged in by."
    ),
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

# --- what is asked of check, and of check alone -------------------------------------------------------

JobAsked = Annotated[
    str,
    typer.Argument(
        help="The number of a planned job; or leave it out and describe one.",
        autocompletion=offering(job_numbers),
    ),
]
FrameAsked = Annotated[
    str, typer.Option("--frame", metavar="CODE", help="Frame code.", autocompletion=offering(frame_codes))
]
SizeNow = Annotated[str, typer.Option("--from", metavar="SIZE", help='Size now, like "16 in".')]
SizeWanted = Annotated[str, typer.Option("--to", metavar="SIZE", help='Size wanted, like "17 in".')]
DayAsked = Annotated[
    str, typer.Option("--date", metavar="DAY", help="The day, like 2026-12-03; without a number: today.")
]
AdjustmentAsked = Annotated[
    str, typer.Option("--adjustment", metavar="NAME", help="Default: the frame's first.")
]
FittedOptions = Annotated[
    str, typer.Option("--options", metavar="LIST", help="Fitted options, separated by commas.")
]
SideAsked = Annotated[str, typer.Option("--side", metavar="SIDE", help="both (default), left or right.")]
LeftNow = Annotated[str, typer.Option("--left-now", metavar="STEPS", help="Steps on the left now.")]
RightNow = Annotated[str, typer.Option("--right-now", metavar="STEPS", help="Steps on the right now.")]
SpacersNow = Annotated[
    str,
    typer.Option(
        "--spacers-now", metavar="PIECES", help='One stack now: "SP-100 + 2 x SP-050", single, none.'
    ),
]
AssetAsked = Annotated[
    str, typer.Option("--asset", metavar="CHAIR", help="The chair; its record tells what is left out.")
]
Chairs = Annotated[
    str, typer.Option("--chairs", metavar="COUNT", help="How many identical chairs; default 1.")
]
Priority = Annotated[str, typer.Option("--priority", metavar="NUMBER", help="1 is most urgent; default 3.")]
CardOut = Annotated[
    Path | None,
    typer.Option(
        "--card", metavar="FILE", help="Write this job's card: a page (.html) or a workbook (.xlsx)."
    ),
]
ForceCard = Annotated[
    bool, typer.Option("--force", help="With --card: replace a file that is there already.")
]
Hold = Annotated[
    bool, typer.Option("--hold", help="If it can be done, keep its parts for it, for everybody.")
]
IntoJobs = Annotated[
    bool, typer.Option("--into-jobs", help="With --hold: write its row into the jobs workbook.")
]

# --- of week, and of week alone -----------------------------------------------------------------------

WeekPlanned = Annotated[
    str, typer.Option("--week", metavar="WEEK", help="The ISO week to plan, like 2026-W49.")
]
FirstDay = Annotated[str, typer.Option("--from", metavar="DAY", help="First day to plan, with --to.")]
LastDay = Annotated[str, typer.Option("--to", metavar="DAY", help="Last day to plan, with --from.")]
WorkbooksOut = Annotated[
    Path | None,
    typer.Option("--out", metavar="FOLDER", help="Folder for the workbooks; default: reports in FOLDER."),
]
ForceWorkbooks = Annotated[bool, typer.Option("--force", help="Replace workbooks that are there already.")]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Write nothing.")]
AsCsv = Annotated[bool, typer.Option("--csv", help="Write every table as csv as well.")]
Delimiter = Annotated[
    str, typer.Option("--delimiter", metavar="MARK", help="What separates the cells of a csv file.")
]
Strict = Annotated[bool, typer.Option("--strict", help="Exit with 2 if any row was set aside.")]

# --- of count, and of count alone ---------------------------------------------------------------------

WeekCounted = Annotated[
    str, typer.Option("--week", metavar="WEEK", help="The ISO week to count in, like 2026-W49.")
]
ShowBook = Annotated[
    bool, typer.Option("--show-book", help="Print book quantities and reasons; default: a blind sheet.")
]
SheetsRead = Annotated[
    list[Path] | None,
    typer.Option(
        "--read", metavar="FILE", help="A sheet that was filled in. Give a second count after the first."
    ),
]
Recount = Annotated[
    bool, typer.Option("--recount", help="With --read: write a sheet of what must be counted again.")
]
TrustCount = Annotated[
    bool, typer.Option("--trust-count", help="With --read: take differences beyond tolerance as counted.")
]
PostCount = Annotated[
    bool, typer.Option("--post", help="With --read: book what is accepted into ledger and stock.")
]
SheetsOut = Annotated[
    Path | None,
    typer.Option("--out", metavar="FOLDER", help="Folder for the sheets; default: reports in FOLDER."),
]
ForceSheets = Annotated[bool, typer.Option("--force", help="Replace sheets that are there already.")]


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
