"""Text for a terminal, as wide as it is; 80 columns where there is none. A part number is never broken."""

import re
import shutil
import sys
import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path

from reconcile.values.problem import Problem

WIDTH = 80
"""Columns where nobody looks on, in a pipe or a file."""
NARROWEST, WIDEST = 40, 120
"""Lines are no shorter than can hold a part with its quantity, and no longer than can be read."""


def width() -> int:
    """How wide the terminal is in which the text will stand."""
    try:
        seen = sys.stdout.isatty()
    except (AttributeError, ValueError):  # there is none, or it is closed
        seen = False
    if not seen:
        return WIDTH
    with_default = shutil.get_terminal_size((WIDTH, 24))
    return min(max(with_default.columns, NARROWEST), WIDEST)


_TO_PASTE = re.compile(r'(?:"[^"\n]+"|[\w-]+) = \[[^\]\n]*\]')
"""A line of the settings, which has to stay on one line to be copied: ``"on hand" = ["shelf count"]``."""
_WITHIN_LENGTH = re.compile(r"(?<=\d) (?=\d+/\d|in\b|mm\b)")
"""The blanks of ``2 1/2 in``: half of it at the end of a line is read as another length."""
NO_BREAK = "\N{NO-BREAK SPACE}"
_KEPT = "\0"


def unbroken(text: str, blank: str = NO_BREAK) -> str:
    """With lengths that no line ends within: ``17 1/2 in`` stays in one piece."""
    return _WITHIN_LENGTH.sub(blank, text)


def wrapped(text: str, indent: str = "", hang: str | None = None) -> str:
    """Wrapped at blanks alone, and at none within a length or a line of the settings: a long word overhangs
    rather than being cut.
    """
    whole = _TO_PASTE.sub(lambda line: line[0].replace(" ", _KEPT), text) if " = [" in text else text
    whole = unbroken(whole, _KEPT).replace(NO_BREAK, _KEPT)
    return textwrap.fill(
        whole, width(), initial_indent=indent, subsequent_indent=indent if hang is None else hang,
        break_long_words=False, break_on_hyphens=False,
    ).replace(_KEPT, " ")  # fmt: skip


def problem_screen(problems: Iterable[Problem]) -> str:
    return "\n".join(line for fault in problems for line in problem_lines(fault))


def problem_lines(found: Problem) -> Iterator[str]:
    yield wrapped(f"{found.severity} {found.code} at {found.place}", "", "  ")
    yield wrapped(" ".join(part for part in (found.says, found.did, found.do) if part), "  ")


def written_lines(paths: Iterable[Path]) -> str:
    return "\n".join(f"Written: {path}" for path in paths)
