"""Cells to days of the calendar: date cells, ISO text, and local order where it is declared."""

import re
from datetime import date, datetime

from reconcile.sheets.figures.text import CellValue, Unreadable, clean, shown

_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})(?:[T ][0-9:.]+)?")
_LOCAL = re.compile(r"([0-9]{1,2})([/.-])([0-9]{1,2})\2([0-9]{4})")


def read_date(value: CellValue, date_order: str | None = None) -> date:
    """A day from a date cell, ISO text, or text like ``3/12/2026`` where "dmy" or "mdy" is declared.

    Raises ``Unreadable``: cell-blank, date-unreadable, date-ambiguous.
    """
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if value is None or (isinstance(value, str) and not clean(value)):
        raise Unreadable("cell-blank", "The cell is blank.")
    if not isinstance(value, str):
        raise Unreadable("date-unreadable", f"The cell holds {shown(value)}, not a date.")
    return _date_in_text(clean(value), date_order)


def _date_in_text(text: str, date_order: str | None) -> date:
    if iso := _ISO.fullmatch(text):
        day = _day(*iso.groups())
        if day is None:
            raise Unreadable("date-unreadable", f'"{text}" is not a day of the calendar.')
        return day
    local = _LOCAL.fullmatch(text)
    if not local:
        raise Unreadable("date-unreadable", f'"{text}" is not a date that can be read.')
    first, _, second, year = local.groups()
    return _ordered(text, {"dmy": _day(year, second, first), "mdy": _day(year, first, second)}, date_order)


_ORDERS = {"dmy": "the day", "mdy": "the month"}


def _ordered(text: str, readings: dict[str, date | None], date_order: str | None) -> date:
    """The reading in the declared order; with none declared, an error that names every reading."""
    possible = {order: day for order, day in readings.items() if day is not None}
    if date_order is not None:
        if date_order not in possible:
            raise Unreadable(
                "date-unreadable", f'"{text}" is not a date with {_ORDERS[date_order]} first, as declared.'
            )
        return possible[date_order]
    if not possible:
        raise Unreadable("date-unreadable", f'"{text}" is not a day of the calendar.')
    meant = " or ".join(f"{day.isoformat()} with {_ORDERS[order]} first" for order, day in possible.items())
    raise Unreadable("date-ambiguous", f'"{text}" is {meant}, and no order is declared.')


def _day(year: str, month: str, day: str) -> date | None:
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None
