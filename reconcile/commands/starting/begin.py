"""``reconcile begin``: one's own sheets looked at, settings and a frame to start from, and the week tried."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import Debug, Today
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status, say
from reconcile.values.problem import Unusable

if TYPE_CHECKING:
    from reconcile.values.beginning import Begun, OpenQuestion

ATTEMPTS = 20
"""Answers that are none of the choices before the question is left open."""


def begin(
    folder: Annotated[Path, typer.Argument(help="The folder in which your own sheets lie.")] = Path(),
    yes: Annotated[bool, typer.Option("--yes", help="Ask nothing; take only what is beyond doubt.")] = False,
    today: Today = "",
    debug: Debug = False,
) -> None:
    """Look at your own sheets, ask what is open, and write settings for them.

    \b
    For example:
      reconcile begin workshop            shows what it finds, and asks
      reconcile begin workshop --yes      asks nothing
    Exit status: 0 a week can be planned; 2 something stands in the way.
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.beginning.screen import begun_screen, looked_screen
        from reconcile.sheets.jobs.question import read_day
        from reconcile.work import beginning

        day = read_day(today, "--today") if today else date.today()
        refuse_no_folder(folder)
        looked = beginning.look(folder)
        say(looked_screen(looked))
        try:
            with stages(quiet=not yes) as stage:
                answer = beginning.take_what_is_sure if yes else ask
                begun = beginning.begin(looked, day, answer, stage)
        except EOFError:
            from reconcile.sheets.finding import call_fault

            do = "The answers ended before all was asked; nothing was written. Or give --yes."
            raise Unusable(call_fault("begin", do)) from None
        say(f"\n{begun_screen(begun)}")
        return status_of(begun, folder)

    terminal.guarded(run, debug, json=False)


def refuse_no_folder(folder: Path) -> None:
    """Raises Unusable where there is no such folder."""
    from reconcile.sheets.finding import call_fault

    if not folder.is_dir():
        raise Unusable(call_fault("the folder", f"{folder} is no folder."))


def ask(question: "OpenQuestion") -> str:
    """Puts a question until the answer is one of the choices; Enter takes what is offered.

    Raises EOFError at the end of the input.
    """
    from reconcile.reports.beginning.screen import question_text

    known = {answer.casefold(): answer for answer, _ in question.choices}
    say(f"\n{question_text(question)}")
    for _ in range(ATTEMPTS):
        line = terminal.read_line()
        if not line:
            raise EOFError
        if not (said := line.strip()):
            return question.offered
        if (answer := known.get(said.casefold())) is not None:
            return answer
        say(f"Answer one of {', '.join(known.values())}, or press Enter.")
    return ""


def status_of(begun: "Begun", folder: Path) -> int:
    """The exit status, with what to type next."""
    if begun.dry is None or begun.dry.refused:
        return Status.UNUSABLE
    say(f"\nTry next:\n  reconcile week {folder}")
    return Status.FINE
