"""What all tables of the demonstration share: its days, and how a table written with bars is read."""

import random
import re
from datetime import date, datetime
from fractions import Fraction
from typing import Any

SEED = 20261127
TODAY = date(2026, 11, 27)
MADE = datetime(2026, 11, 27, 7, 30)
WORKSHOP = "Tern Lane Frame Workshop"
NBSP = "\u00a0"

Row = dict[str, Any]

DAYS = {
    "Mon0": date(2026, 11, 23),
    "Tue0": date(2026, 11, 24),
    "Wed0": date(2026, 11, 25),
    "Thu0": date(2026, 11, 26),
    "Mon": date(2026, 11, 30),
    "Tue": date(2026, 12, 1),
    "Wed": date(2026, 12, 2),
    "Thu": date(2026, 12, 3),
    "Fri": date(2026, 12, 4),
    "Sat": date(2026, 12, 5),
    "Mon2": date(2026, 12, 7),
    "Wed2": date(2026, 12, 9),
    "Thu2": date(2026, 12, 10),
    "Fri2": date(2026, 12, 11),
}


def table(text: str) -> list[list[str]]:
    """The cells of a table written with bars, one list a line."""
    return [[cell.strip() for cell in line.split("|")] for line in text.strip().splitlines()]


def number(text: str) -> Any:
    """A number where the text is one, the text itself where it is not, None where it is blank."""
    if re.fullmatch(r"-?\d+", text):
        return int(text)
    return float(text) if re.fullmatch(r"\d+\.\d+", text) else text or None


def inches(text: str) -> Fraction:
    return sum((Fraction(piece) for piece in text.split()), Fraction(0))


def day(text: str) -> Any:
    """A day by its name in ``DAYS`` or in ISO form; other text stays as it was typed."""
    if text in DAYS:
        return DAYS[text]
    return date.fromisoformat(text) if re.fullmatch(r"\d{4}-\d\d-\d\d", text) else text or None


def typed(heads: tuple[str, ...], cells: list[str]) -> Row:
    """A table's cells by heading, numbers as numbers; the part number stays text."""
    padded = cells + [""] * (len(heads) - len(cells))
    return {**dict(zip(heads, map(number, padded), strict=True)), "part": cells[0]}


def supplier_part(supplier: str, luck: random.Random) -> str:
    return f"{supplier[0]}{luck.randint(10000, 99999)}"
