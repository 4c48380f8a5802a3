"""How every command runs and talks: exit statuses, streams, and what becomes of whatever goes wrong."""

import os
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from enum import IntEnum
from typing import IO

import typer

from reconcile import __version__
from reconcile.values.problem import Place, Problem, Unusable, problem

Say = Callable[[str], None]


class Status(IntEnum):
    """Exit statuses."""

    FINE = 0
    SHORT = 1  # something is short, or a description is not read whole
    UNUSABLE = 2
    OWN_FAULT = 70
    STOPPED = 130
    """By Ctrl-C: 128 and the number of the signal, as shells have it."""


def say(text: str, stream: str = "stdout") -> None:
    """Prints at once. A reader that has seen enough stops nothing; a full disk is a fault to be told."""
    out = getattr(sys, stream)
    try:
        if text:
            print(text, file=out, flush=True)
    except BrokenPipeError:
        discard(out)
    except OSError as fault:
        discard(out)
        if stream == "stdout":
            says = f"Standard output cannot be written: {fault.strerror or fault}."
            did = "The answer is cut short; files that were written are whole."
            raise Unusable(problem("output-locked", Place("standard output"), says, did=did)) from fault


def sayer(quiet: bool) -> Say:
    """What a command tells people with: ``say``, or nothing at all where --quiet is given."""
    return (lambda _text: None) if quiet else say


def read_line() -> str:
    """A line from standard input; "" at its end. Bytes that are no text become a mark that is refused."""
    with suppress(AttributeError, ValueError):
        sys.stdin.reconfigure(errors="replace")  # type: ignore[union-attr]
    return sys.stdin.readline()


def report(problems: Iterable[Problem]) -> None:
    """Notices go to standard error, before anything is written and after."""
    from reconcile.reports.writing.text import problem_screen

    say(problem_screen(problems), "stderr")


def discard(stream: IO[str]) -> None:
    """Sends the rest of a stream nowhere, so that nothing fails again when the program ends."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def guarded(run: Callable[[], int | None], debug: bool, json: bool) -> None:
    """Runs a command; whatever goes wrong ends in a message and an exit status, never in a traceback."""
    try:
        status = run() or Status.FINE
    except Unusable as unusable:
        status = refuse(unusable.problems, json)
    except KeyboardInterrupt:
        say("Stopped.", "stderr")
        status = Status.STOPPED
    except Exception as crash:
        if debug:
            import traceback

            traceback.print_exc()
        says = f"The program failed: {type(crash).__name__}: {crash}."
        refuse((problem("own-fault", Place("reconcile", "", __version__), says),), json)
        status = Status.OWN_FAULT
    raise typer.Exit(int(status))


def refuse(problems: tuple[Problem, ...], json: bool) -> Status:
    """Says what cannot be used, on standard error; with ``json`` as an object on standard output too."""
    from reconcile.reports.writing.text import problem_screen

    if json:
        from reconcile.reports.writing.json_text import problems_json

        with suppress(Unusable):  # standard output is full: standard error still says what is wrong
            say(problems_json(problems))
    say(problem_screen(problems), "stderr")
    return Status.UNUSABLE
