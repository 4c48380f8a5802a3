"""What a row says each stack of spacers consists of now: ``left: SP-100 + 2 x SP-050; right: none``."""

import re
from fractions import Fraction

from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.tables.rows import as_text
from reconcile.values.frames.stacks import SaidPieces, SpacersNow
from reconcile.values.words import fold

SINGLE, NONE = "single", "none"
SIDES = ("left", "right")
_SIDE = re.compile(r"([a-z]+)\s*:\s*(.*)", re.IGNORECASE)
_COUNTED = re.compile(r"(\d+)(?:\s*×\s*|\s+[x*]\s*|\s*[x*]\s+)(.+)", re.IGNORECASE)
"""A part number may hold an x, so a blank stands beside it; × is in none."""
_MEASURED = ("length-unit-missing", "length-is-date", "number-ambiguous", "number-negative")
"""Faults of what is meant as a thickness; anything else that is no length is a part number."""


def read_spacers_now(value: CellValue, unit: str | None, decimal: str | None = None) -> SpacersNow:
    """The cell's stacks; a bare number is a thickness in ``unit``.

    Raises ``Unreadable``: spacers-now-unread; of a thickness as ``read_length`` does.
    """
    if not isinstance(value, str):
        thickness, _ = read_length(value, unit, decimal)
        return SpacersNow(as_text(value), sides=(("", (SaidPieces(1, thickness=thickness),)),))
    text = as_text(value)
    if fold(text) == SINGLE:
        return SpacersNow(text, single=True)
    stacks = tuple(_stack(part.strip(), unit, decimal) for part in text.split(";") if part.strip())
    sides = [side for side, _ in stacks]
    if not stacks or len(set(sides)) != len(sides) or ("" in sides and len(sides) > 1):
        raise _unread(f"{text!r} names no stack, or one twice.")
    return SpacersNow(text, sides=stacks)


def _stack(text: str, unit: str | None, decimal: str | None) -> tuple[str, tuple[SaidPieces, ...]]:
    """A side, "" for every one, and the pieces of one of its stacks."""
    side, pieces = "", text
    if found := _SIDE.fullmatch(text):
        side, pieces = fold(found[1]), found[2]
        if side not in SIDES:
            raise _unread(f"{found[1]!r} is neither left nor right.")
    if fold(pieces) == NONE:
        return side, ()
    return side, tuple(_pieces(piece.strip(), unit, decimal) for piece in pieces.split("+"))


def _pieces(text: str, unit: str | None, decimal: str | None) -> SaidPieces:
    """``SP-100``, ``2 x SP-050``, ``1/2 in``, ``2 × 1/2"``."""
    found = _COUNTED.fullmatch(text)
    count, name = (int(found[1]), found[2].strip()) if found else (1, text)
    if not name or fold(name) == SINGLE or count < 1:
        raise _unread(f"{text!r} names no pieces." if text else "A piece is missing beside a +.")
    thickness = _thickness(name, unit, decimal)
    return SaidPieces(count, "" if thickness else name, thickness)


def _thickness(name: str, unit: str | None, decimal: str | None) -> Fraction | None:
    """In mm; None for a part number."""
    try:
        thickness, _ = read_length(name, unit, decimal)
    except Unreadable as fault:
        if fault.code in _MEASURED:
            raise
        return None
    if not thickness:
        raise _unread("A piece of no thickness is none: write none for an empty stack.")
    return thickness


def _unread(says: str) -> Unreadable:
    return Unreadable("spacers-now-unread", says)
