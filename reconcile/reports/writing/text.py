"""Text for a terminal 80 columns wide. Plain ASCII of our own; a part number is never broken."""

import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path

from reconcile.values.problem import Problem

WIDTH = 80


def wrapped(text: str, indent: str = "", hang: str | None = None) -> str:
    """Wrapped at blanks alone: a long word overhangs rather than being cut."""
    return textwrap.fill(
        text, WIDTH, initial_indent=indent, subsequent_indent=indent if hang is None else hang,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def problem_screen(problems: Iterable[Problem]) -> str:
    return "\n".join(line for fault in problems for line in problem_lines(fault))


def problem_lines(found: Problem) -> Iterator[str]:
    yield wrapped(f"{found.severity} {found.code} at {found.place}", "", "  ")
    yield wrapped(" ".join(part for part in (found.says, found.did, found.do) if part), "  ")


def written_lines(paths: Iterable[Path]) -> str:
    return "\n".join(f"Written: {path}" for path in paths)
