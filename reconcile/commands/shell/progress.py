"""What a long run is doing, told on standard error where someone watches a terminal."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Lock, Timer
from typing import TYPE_CHECKING

from reconcile.work.stages import Stage

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

SOON = 1.0
"""Seconds after which people wonder what a program does: common practice, no source."""


@contextmanager
def stages(quiet: bool = False) -> Iterator[Stage]:
    """Shows the stage named last, and the time, once the work has taken longer than ``SOON``.

    Leaves nothing on the terminal. A pipe, a file, a terminal that cannot rub out and whoever wants no colour
    (NO_COLOR, no-color.org) get nothing at all: the line is written over by codes as colours are.
    """
    if quiet or not watched():
        yield lambda _name: None
        return
    line = _StageLine()
    timer = Timer(SOON, line.begin)
    timer.daemon = True
    timer.start()
    try:
        yield line.stage
    finally:
        timer.cancel()
        line.end()


def watched() -> bool:
    """Whether standard error is a terminal on which a line can be written over, and may be."""
    if os.environ.get("TERM") == "dumb" or os.environ.get("NO_COLOR"):
        return False
    try:
        return sys.stderr.isatty()
    except (AttributeError, ValueError):  # no such stream, or a closed one
        return False


class _StageLine:
    """The line on the terminal; begun by the timer's thread, named and ended by the run's own."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._name = ""
        self._over = False
        self._shown: tuple[Progress, TaskID] | None = None

    def begin(self) -> None:
        """Shows the line, unless the run is over."""
        with suppress(Exception):  # the run is what matters; that nobody can be told about it stops nothing
            shown = _progress()
            with self._lock:
                if not self._over:
                    self._shown = shown, shown.add_task(self._name, total=None)
                    shown.start()

    def stage(self, name: str) -> None:
        """Names what the run does from now on."""
        with self._lock:
            self._name = name
            if self._shown is not None:
                shown, task = self._shown
                shown.update(task, description=name)

    def end(self) -> None:
        """Takes the line away."""
        with self._lock:
            self._over = True
            if self._shown is not None:
                with suppress(OSError, ValueError):  # a terminal that has gone away
                    self._shown[0].stop()


def _progress() -> "Progress":
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    return Progress(
        SpinnerColumn("line"),  # plain characters: any console has them
        TextColumn("{task.description}", markup=False),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
        redirect_stdout=False,
        redirect_stderr=False,
    )
