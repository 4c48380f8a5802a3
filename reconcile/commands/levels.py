"""``reconcile levels``: shelf levels proposed from recorded use, and stock that is dead or dear."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.completion import offering, part_numbers
from reconcile.commands.shell.options import (
    AsJson,
    Debug,
    Folder,
    Quiet,
    SettingsFile,
    StockFile,
    Today,
    request_of,
)
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status, say

if TYPE_CHECKING:
    from reconcile.sheets.finding import Located
    from reconcile.values.week.levels import Survey
    from reconcile.work.stages import Stage


OnePart = Annotated[
    str,
    typer.Option(
        "--part",
        metavar="PART",
        help="One part, with all that its levels rest on.",
        autocompletion=offering(part_numbers),
    ),
]
BookOut = Annotated[Path | None, typer.Option("--out", metavar="FILE", help="A workbook to write it all to.")]
PictureOut = Annotated[
    Path | None,
    typer.Option("--picture", metavar="FILE", help="A drawing of service against money to write, .svg."),
]


def levels(
    folder: Folder = Path(),
    part: OnePart = "",
    out: BookOut = None,
    picture: PictureOut = None,
    replay: Annotated[
        bool,
        typer.Option(
            "--replay", help="Hold out the last quarter and try levels on it: proposed, given, plain."
        ),
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Replace a workbook that is there already.")] = False,
    today: Today = "",
    stock: StockFile = None,
    settings: SettingsFile = None,
    json: AsJson = False,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Propose reorder points and order-up-to levels from recorded use, and show what lies there unused.

    \b
    For example:
      reconcile levels workshop
      reconcile levels workshop --part B14-250
      reconcile levels workshop --out levels.xlsx --picture curve.svg
      reconcile levels workshop --replay
    Nothing is applied; reconcile week --use-proposed-levels orders by them.
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.writing.text import written_lines
        from reconcile.sheets.finding import located
        from reconcile.work.levels import survey_shelf, write_asked

        with stages(quiet) as stage:
            places = located(request_of(folder, stock=stock, settings=settings, today=today))
            if replay:
                say_replay(places, stage, json=json, quiet=quiet)
                return Status.FINE
            found = survey_shelf(places, stage)
            text = levels_text(found, part, json)
            written = write_asked(found, places, (out, picture), stage, force=force)
        if json:
            say(text)
        else:
            terminal.sayer(quiet)("\n\n".join(filter(None, (text, written_lines(written)))))
        return Status.FINE

    terminal.guarded(run, debug, json)


def say_replay(places: "Located", stage: "Stage", *, json: bool, quiet: bool) -> None:
    """The replay alone: it writes nothing."""
    from reconcile.reports.levels.json import replay_json
    from reconcile.reports.levels.replay_screen import replay_screen
    from reconcile.work.levels import replay_shelf

    result = replay_shelf(places, stage)
    if json:
        say(replay_json(result))
    else:
        terminal.sayer(quiet)(replay_screen(result))


def levels_text(found: "Survey", part: str, json: bool) -> str:
    """The text or the object, for one part or for all."""
    from reconcile.reports.levels.json import levels_json, part_json
    from reconcile.reports.levels.screen import levels_screen, part_screen
    from reconcile.work.levels import part_named

    if not part:
        return levels_json(found) if json else levels_screen(found)
    levels = part_named(found, part)
    return part_json(levels) if json else part_screen(levels)
