"""Numbers of parts, jobs, frames and orders that a spreadsheet program has spoilt past recognition."""

import re
from datetime import date, time, timedelta

from reconcile.sheets.figures.text import CellValue, Unreadable, clean, shown
from reconcile.sheets.figures.turned_dates import dates_shown, day_as_shown

CODES = frozenset(("part", "job", "frame", "supplier part", "order", "asset"))
"""The headings under which a number is a name: every digit of it counts, and none is reckoned with."""
DIGITS_KEPT = 15
"""Digits of a number that a spreadsheet program keeps; it makes the later ones zero."""

_POWER = re.compile(r"[1-9](?:[.,][0-9]+)?E\+[0-9]{2,3}", re.ASCII)
"""How such a program writes a long number short. What people type, ``1E5``, has no sign before the power."""


def refuse_spoilt(heading: str, value: object) -> None:
    """Raises Unreadable for a cell that cannot hold the code that was typed: code-rounded, code-is-date,
    text-spoilt.

    A part's own reader says what else a date in its column may have been.
    """
    if isinstance(value, timedelta) or (isinstance(value, date | time) and heading != "part"):
        raise Unreadable("code-is-date", _date_says(heading, value))
    if isinstance(value, bool):
        raise Unreadable("text-spoilt", f"The cell holds {shown(value)}, not a {heading} number.")
    if isinstance(value, int | float) and abs(value) >= 10**DIGITS_KEPT:
        says = f"The cell holds the number {value:.0f}; only its first {DIGITS_KEPT} digits are sure."
        raise Unreadable("code-rounded", says)
    if isinstance(value, str) and _POWER.fullmatch(clean(value)):
        says = f"{shown(value)} is a long number that was cut short; its last digits are lost."
        raise Unreadable("code-rounded", says)


def refuse_no_text(heading: str, value: CellValue) -> None:
    """Raises Unreadable (text-spoilt) for a date, a time or a truth value in the place of words.

    The property class 8.8 is 8 August where the point parts day and month.
    """
    if isinstance(value, bool):
        raise Unreadable("text-spoilt", f"The cell holds {shown(value)}, not the {heading}.")
    shows_date = isinstance(value, str) and dates_shown(clean(value))
    if isinstance(value, date | time | timedelta) or shows_date:
        seen = value if isinstance(value, timedelta) else shown(value)
        raise Unreadable("text-spoilt", f"The cell holds {seen}, not the {heading}.")


def _date_says(heading: str, value: date | time | timedelta) -> str:
    if isinstance(value, timedelta):
        return f"The cell holds the duration {value}, not a {heading} number."
    seen = f', which a sheet shows as "{day_as_shown(value)}"' if isinstance(value, date) else ""
    return f"The cell holds {shown(value)}{seen}, not a {heading} number."
