"""What was typed before a spreadsheet program silently made a date of it: fractions, and part numbers.

Typed into a cell that is not formatted as text, ``3/8`` becomes a day of March or of August, ``1/32`` the
first of January 1932 or 2032, ``1-1/2`` the first of January 2002, and the name ``SEPT2`` 2-Sep. That last is
told of names of genes in M. Ziemann, Y. Eren and A. El-Osta, "Gene name errors are widespread in the
scientific literature", Genome Biology 17:177 (2016).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from math import gcd

from reconcile.sheets.figures.text import clean
from reconcile.values.measure import fraction_text

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
DENOMINATORS = (2, 4, 8, 16, 32, 64)
TOO_LATE_FOR_A_DAY = 12
"""Of two numbers one may be the month, so that up to here they are a day of some month in every country."""
YEARS = {year: year % 100 for year in (2002, 2004, 2008, 2016, 1932, 2032, 1964, 2064)}
"""The years that a typed 2, 4, 8, 16, 32 or 64 is taken for. Where the century turns (29 or 49, as a rule) is
a setting of the program, so 32 and 64 may be of either."""


@dataclass(frozen=True, slots=True)
class Turned:
    """A date as a cell shows it; year 0 where it does not show one."""

    day: int
    month: int
    year: int = 0


def turned_from(day: date) -> Turned:
    """A date cell as a date that something may have been turned into."""
    return Turned(day.day, day.month, day.year)


def fractions_behind(turned: Turned) -> tuple[Fraction, ...]:
    """Every fraction, least first, that a spreadsheet program may have turned into this date.

    Proper or mixed, in lowest terms, in halves to sixty-fourths. ``n/d`` may have been month and day, day and
    month, or month and year; ``w-n/d`` month, day and year, or day, month and year. Which it was depends on
    the country that the program was set to, and the cell does not tell.
    """
    found = {
        whole + Fraction(above, below)
        for whole, above, below in _texts_behind(turned)
        if 0 < above < below and below in DENOMINATORS and gcd(above, below) == 1
    }
    return tuple(sorted(found))


def _texts_behind(turned: Turned) -> Iterator[tuple[int, int, int]]:
    """Whole, numerator and denominator of each text that can have become the date, sound or not."""
    yield 0, turned.month, turned.day
    yield 0, turned.day, turned.month
    below = YEARS.get(turned.year, 0)
    yield turned.month, turned.day, below
    yield turned.day, turned.month, below
    # 3/8 is always taken for a day before it is taken for a month of 2008.
    if turned.day == 1 and below > TOO_LATE_FOR_A_DAY:
        yield 0, turned.month, below


def fractions_said(fractions: tuple[Fraction, ...]) -> str:
    """The end of a sentence: the one fraction that it was, or all that it may have been, or none."""
    texts = [fraction_text(fraction) for fraction in fractions]
    if not texts:
        return "no fraction becomes that date"
    if len(texts) == 1:
        return f"it can only have been {texts[0]}"
    return f"it can have been {', '.join(texts[:-1])} or {texts[-1]}"


def day_as_shown(day: date) -> str:
    """As a spreadsheet program shows a date that it made itself: ``2-Sep``."""
    return f"{day.day}-{MONTHS[day.month - 1]}"


# A date in a csv file is text, in the form that the cell was shown in.

_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})(?:[T ]00:00(?::00)?)?")
_NUMBERS = re.compile(r"([0-9]{1,2})([/.-])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})")
_NAMES = (
    "Jan(?:uary)?|Feb(?:ruary)?|Mar(?:ch)?|Apr(?:il)?|May|June?|July?|Aug(?:ust)?|Sep(?:t|tember)?|Oct(?:ober)?"
    "|Nov(?:ember)?|Dec(?:ember)?"
)
_DAY_MONTH = re.compile(rf"([0-9]{{1,2}})[- ]({_NAMES})(?:[- ]([0-9]{{4}}|[0-9]{{2}}))?", re.IGNORECASE)
_MONTH_YEAR = re.compile(rf"({_NAMES})[- ]([0-9]{{4}}|[0-9]{{2}})", re.IGNORECASE)


def dates_shown(text: str) -> tuple[Turned, ...]:
    """The dates that a text shows, in every order that it can be read; none where it shows no date.

    >>> dates_shown("8-Mar")
    (Turned(day=8, month=3, year=0),)
    """
    if found := _ISO.fullmatch(text):
        year, month, day = map(int, found.groups())
        return _real(Turned(day, month, year))
    if found := _NUMBERS.fullmatch(text):
        first, second, year = int(found[1]), int(found[3]), _year(found[4])
        return _real(Turned(first, second, year), Turned(second, first, year))
    if found := _DAY_MONTH.fullmatch(text):
        return _real(Turned(int(found[1]), _month(found[2]), _year(found[3] or "")))
    if found := _MONTH_YEAR.fullmatch(text):
        return _real(Turned(1, _month(found[1]), _year(found[2])))
    return ()


def fractions_in_text(text: str) -> tuple[Fraction, ...] | None:
    """What may have been typed where a text shows a date; None where it shows none."""
    dates = dates_shown(text)
    return tuple(sorted({each for day in dates for each in fractions_behind(day)})) if dates else None


def fractions_in_cell(value: date) -> tuple[Fraction, ...]:
    """What may have been typed where a cell holds a date; nothing becomes a time of day."""
    if isinstance(value, datetime) and (value.hour or value.minute or value.second):
        return ()
    return fractions_behind(turned_from(value))


def _month(name: str) -> int:
    return MONTHS.index(name[:3].capitalize()) + 1


def _year(text: str) -> int:
    """The year that two figures are shown for: 1930 to 2029, as most programs are set."""
    if len(text) != 2:
        return int(text or 0)
    return int(text) + (1900 if int(text) >= 30 else 2000)


def _real(*dates: Turned) -> tuple[Turned, ...]:
    """Those that are days of the calendar; 29 February where no year is shown."""
    real = []
    for day in dates:
        try:
            date(day.year or 2000, day.month, day.day)
        except ValueError:
            continue
        if day not in real:
            real.append(day)
    return tuple(real)


def fractions_behind_cell(value: object) -> tuple[Fraction, ...] | None:
    """What a spreadsheet program may have turned into the date that a cell holds or shows; None for none."""
    if isinstance(value, date):
        return fractions_in_cell(value)
    return fractions_in_text(clean(value)) if isinstance(value, str) else None
