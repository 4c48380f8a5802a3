"""The command line: its commands in one program. It holds no rules of the trade."""

import gc
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from typing import Annotated

import typer

from reconcile import __version__
from reconcile.commands.chair import chair
from reconcile.commands.check import check
from reconcile.commands.entries.begin_ledger import begin_ledger
from reconcile.commands.entries.close import close
from reconcile.commands.entries.count import count
from reconcile.commands.entries.ledger import ledger
from reconcile.commands.entries.orders import orders
from reconcile.commands.frames import frames
from reconcile.commands.levels import levels
from reconcile.commands.open import open_page
from reconcile.commands.problems import problems
from reconcile.commands.read_description import read_description
from reconcile.commands.shell.terminal import Status, discard, say
from reconcile.commands.starting.begin import begin
from reconcile.commands.starting.blank import blank
from reconcile.commands.starting.demo import demo
from reconcile.commands.week import week
from reconcile.commands.why import why

app = typer.Typer(
    name="reconcile",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 120},
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


COMMANDS: dict[Callable[..., None], str] = {
    week: "Plan a week: every kit, what is short, what to order.",
    check: "Ask whether the kit of one job can be had.",
    close: "Close a week: book what was used and delivered.",
    count: "Write a count sheet, or read one back and book it.",
    orders: "List what is on order; place, answer, receive, cancel.",
    levels: "Propose reorder points and levels from recorded use.",
    ledger: "Show a part's card, closings and holds; check; undo.",
    begin_ledger: "Begin a new ledger where the old one is gone.",
    chair: "Show a chair as the closed weeks left it.",
    demo: "Write the demo workshop into a new folder, and plan it.",
    why: "Explain a job's lines or a part's numbers.",
    begin: "Look at your own sheets, and write settings for them.",
    blank: "Write blank workbooks to fill in.",
    frames: "List, show, check or ask for frames.",
    problems: "Explain a problem code.",
    read_description: "Show what is read of a fastener's description.",
    open_page: "Open the workshop as a page in the browser.",
}
"""Each command with its line in the list of all: no longer than its place there, so that none is cut."""

for command, line in COMMANDS.items():
    app.command(name="open" if command is open_page else None, short_help=line)(command)


def stopped(number: int, _frame: object) -> None:
    """Ends as by Ctrl-C: files aside and copies of inputs are cleared away on the way out."""
    raise SystemExit(128 + number)


def main() -> None:
    """The console command."""
    gc.disable()  # a run is short and keeps nearly all it makes; looking for garbage costs a third of it
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    for name in ("SIGTERM", "SIGHUP"):
        with suppress(AttributeError, ValueError, OSError):  # not every system has them
            signal.signal(getattr(signal, name), stopped)
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
