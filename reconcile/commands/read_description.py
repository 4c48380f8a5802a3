"""``reconcile read-description``: how a description of a fastener is read."""

from typing import Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import AsJson, Debug
from reconcile.commands.shell.terminal import Status, say


def read_description(
    text: Annotated[list[str], typer.Argument(help="The description; in quotes, if it has inch marks.")],
    json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show what is read of the description of a bolt, nut, washer or spacer, and mark what is not.

    \b
    For example:
      reconcile read-description "SHCS 1/4-20 x 2-1/2 BLK OX"
      reconcile read-description 'Hex bolt 1/4" x 20 tpi x 1 1/2"'
      reconcile read-description --json "ISO 4762 - M6 x 30 - 8.8"
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.frames.description_screen import description_json, description_screen
        from reconcile.work.workshop.descriptions import describe

        described = " ".join(text)
        found = describe(described)
        say(description_json(described, found) if json else description_screen(described, found))
        return Status.FINE if found.whole else Status.SHORT

    terminal.guarded(run, debug, json)
