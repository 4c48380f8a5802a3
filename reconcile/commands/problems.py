"""``reconcile problems``: what a code means."""

from typing import Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.completion import offering, problem_codes
from reconcile.commands.shell.options import Debug
from reconcile.commands.shell.terminal import Status, say
from reconcile.values.problem import Unusable


def problems(
    code: Annotated[
        str,
        typer.Argument(
            help="A code, as the report prints it; none lists them all.",
            autocompletion=offering(problem_codes),
        ),
    ] = "",
    debug: Debug = False,
) -> None:
    """Explain a problem code: what it means, what was done about it, what you can do.

    \b
    For example:
      reconcile problems job-doubled
    """  # noqa: D301

    def run() -> int:
        from reconcile.reports.week.screen import catalogue_screen
        from reconcile.sheets.finding import call_fault
        from reconcile.values.catalogue import CODES
        from reconcile.values.words import called, nearest

        meant = called(code, CODES) if code else ""
        if meant is None:
            like = ", ".join(nearest(code, CODES)) or "none"
            raise Unusable(call_fault("the code", f"There is no code {code!r}. Nearest: {like}."))
        say(catalogue_screen(meant))
        return Status.FINE

    terminal.guarded(run, debug, json=False)
