"""How names are compared: without regard to case and to how many blanks were typed."""

import difflib
import re
from collections.abc import Iterable


def fold(text: str) -> str:
    """The form in which two spellings of a name are compared.

    >>> fold("  Front   Rigging ")
    'front rigging'
    """
    return " ".join(text.split()).casefold()


def called(name: str, known: Iterable[str]) -> str | None:
    """The known name that is meant: the one typed, else the only one that differs in case and blanks alone.

    >>> called("b14-250", ["B14-250", "B14-275"])
    'B14-250'
    """
    folded = fold(name)
    alike = []
    for text in known:
        if text == name:
            return text
        if fold(text) == folded:
            alike.append(text)
    return alike[0] if len(alike) == 1 else None


def nearest(name: str, known: Iterable[str], count: int = 3, likeness: float = 0.5) -> list[str]:
    """The known names most like ``name``, best first, in their own spelling.

    Only ever shown to a person: a name is never replaced by one that merely looks like it.
    """
    own_spelling = {fold(text): text for text in known}
    close = difflib.get_close_matches(fold(name), list(own_spelling), count, likeness)
    return [own_spelling[text] for text in close]


def natural(name: str) -> tuple[bool, list[tuple[int, int, str]]]:
    """A key by which names sort as a person reads them, B-2 before B-10, and an empty one last."""
    pieces = re.findall(r"\d+|\D+", name.casefold())
    return not name, [_figures(piece) if piece.isdecimal() else (1, 0, piece) for piece in pieces]


def _figures(piece: str) -> tuple[int, int, str]:
    """A number as it sorts, however many figures it has: the longer one is larger, noughts in front aside."""
    figures = piece.lstrip("0")
    return 0, len(figures), figures
