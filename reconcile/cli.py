"""The command line: its commands in one program. It holds no rules of the trade."""

import gc
import sys
from contextlib import suppress
from typing import Annotated

import typer

from reconcile import __version__
from reconcile.commands.blank import blank
from reconcile.commands.chair import chair
from reconcile.commands.check import check
from reconcile.commands.close import close
from reconcile.commands.count import count
from reconcile.commands.demo import demo
from reconcile.commands.frames import frames
from reconcile.commands.ledger import ledger
from reconcile.commands.levels import levels
from reconcile.commands.problems import problems
from reconcile.commands.read_description import read_description
from reconcile.commands.shell.terminal import Status, discard, say
from reconcile.commands.week import week
from reconcile.commands.why import why

app = typer.Typer(
    name="reconcile",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    rich_markup_mode=None,
)


@app.callback(invoke_without_command=True)
def common(
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False,
) -> None:
    """What each planned adjustment needs, what is short on which day, and what to order.

    \b
    For example:
      reconcile demo demo-workshop        an invented workshop to try things on
      reconcile week demo-workshop --today 2026-11-27 --force
      reconcile check J-4109 --in demo-workshop --today 2026-11-27
    """  # noqa: D301
    if version:
        say(f"reconcile {__version__}")
        raise typer.Exit


for command in (
    week,
    check,
    close,
    count,
    levels,
    ledger,
    chair,
    demo,
    why,
    blank,
    frames,
    problems,
    read_description,
):
    app.command()(command)


def main() -> None:
    """The console command."""
    gc.disable()  # a run is short and keeps nearly all it makes; looking for garbage costs a third of it
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    try:
        app(prog_name="reconcile")  # however it was started: usage and completion go by this name
    except KeyboardInterrupt:
        raise SystemExit(Status.STOPPED) from None
    finally:
        for stream in filter(None, (sys.stdout, sys.stderr)):
            try:
                stream.flush()
            except OSError:
                discard(stream)
        gc.freeze()  # nor does the end of the process look through what it is about to give back


if __name__ == "__main__":
    main()
