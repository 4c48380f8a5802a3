"""The settings file: all keys optional; whatever is wrong with it is found in one go.

Settings decide how everything else is read, so a run does not start on half of them: any fault stops it.
"""

import re
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

from reconcile.sheets.figures.toml import (
    LONGEST_LIKE,
    MOST_TOLD,
    Codes,
    Key,
    KeyTable,
    NotToml,
    Spot,
    Wrong,
    day,
    flag,
    list_of,
    one_of,
    parse,
    read_bytes,
    read_with,
    shown,
    table_of,
    text,
    walk,
    whole,
)
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.settings.counting import COUNTING, counting_of, share
from reconcile.sheets.settings.levels import LEVELS, levels_of
from reconcile.sheets.settings.names import refuse_two_numbers, sheet_names, unit_of_parts
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.values.days import DAY_NAMES, FURTHEST, WorkDays
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.rules import ALL_UNITS, INCREMENTAL, Buying
from reconcile.values.settings import DEFAULT_PATIENCE, Limits, Settings, Workshop
from reconcile.values.words import fold, nearest

CODES = Codes(unknown="settings-key", missing="settings-key", value="settings-key")
FULL_DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
WEEKDAYS = {fold(name): number for names in (DAY_NAMES, FULL_DAY_NAMES) for number, name in enumerate(names)}
SHEETS = (JOBS, STOCK, ON_ORDER, SUPPLIERS, PRICE_BREAKS, USAGE)


def _bare(heading: str) -> str:
    """A heading as it is compared: letters and digits alone."""
    return "".join(letter for letter in fold(heading) if letter.isalnum())


OUR_HEADINGS = {_bare(heading): heading for sheet in SHEETS for heading in sheet.headings}
IGNORE = "ignore"
"""The key beside our headings whose words name columns that are left out."""
YEARS_BEFORE, YEARS_AFTER = 1, 3
"""Years around today whose public holidays are taken: lead times and order dates reach no further."""


def read_settings(path: Path | None, today: date | None = None) -> Settings:
    """The settings of a file; the defaults where there is no file. One that is there is read, or refused.

    ``today`` (default: the real one) says around which year a country's public holidays are taken.
    Raises ``Unusable`` with settings-unreadable, or with every settings-key fault there is.
    """
    if path is None:
        return Settings()
    content = read_bytes(path, "settings file")
    if isinstance(content, Problem):
        if content.code == "file-missing":
            return Settings()
        raise Unusable(content)
    try:
        raw = parse(content)
    except NotToml as fault:
        line = f"line {fault.line}" if fault.line else ""
        raise Unusable(problem("settings-unreadable", Place(path.name, "", line), fault.says)) from None
    spot = Spot(path.name, CODES)
    settings = _settings(walk(raw, SETTINGS, spot), today or date.today())
    if spot.found:
        raise Unusable(*spot.found)
    return settings


def _settings(table: KeyTable, today: date) -> Settings:
    """Settings from the table; what is faulty in it has been, or is here, reported at its spot."""
    values = dict(table.values)
    weekdays = values.pop("working_days") or ()
    values["headings"], values["ignored"] = _left_out(values["headings"] or {})
    values["limits"] = Limits(**_given(values["limits"]))
    values["workshop"] = Workshop(**_given(values["workshop"]))
    values["buying"] = _buying(values["buying"])
    values["counting"] = counting_of(values["counting"])
    values["levels"] = levels_of(values["levels"])
    holidays = frozenset(values.pop("holidays") or ()) | _public_holidays(table, today)
    return Settings(days=WorkDays(frozenset(weekdays), holidays), **values)


def _given(table: KeyTable | None) -> dict[str, Any]:
    """The keys given; a faulty one has been reported, and counts as not given."""
    return {name: value for name, value in table.values.items() if value is not None} if table else {}


def _buying(table: KeyTable | None) -> Buying:
    """How the workshop buys. Half of what a horizon needs would leave orders as they are without a word."""
    given = _given(table)
    if table is None:
        return Buying()
    for key, other in (("horizon_weeks", "holding_cost"), ("holding_cost", "horizon_weeks")):
        if key in given and other not in given and table.spot.sound:
            says = f"{key} is given without {other}."
            table.at(key).report(CODES.value, says, f"Give {other} too: neither says anything alone.")
    return Buying(**given)


# How single values are read.


def _weekday(raw: object, _: Spot) -> int:
    number = WEEKDAYS.get(fold(raw)) if isinstance(raw, str) else None
    if number is None:
        raise Wrong(f"{shown(raw)} is not a day of the week.", f"Write one of {', '.join(DAY_NAMES)}.")
    return number


def _currency(raw: object, spot: Spot) -> str:
    code = text(raw, spot)
    if not re.fullmatch("[A-Z]{3}", code):
        raise Wrong(
            f"{shown(raw)} is not a currency code.", "Write its three capitals, as ISO 4217 lists them."
        )
    return code


def _left_out(said: dict[str, tuple[str, ...]]) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    """The headings that are read, and those that are left out on purpose."""
    return {heading: words for heading, words in said.items() if heading != IGNORE}, said.get(IGNORE, ())


def _headings(raw: object, spot: Spot) -> dict[str, tuple[str, ...]]:
    """Our heading to one of the shop's spellings of it, or to several; IGNORE to those that are none."""
    if not isinstance(raw, dict):
        raise Wrong(f"{shown(raw)} is not a table of headings.", 'Write [headings], then "on hand" = ["…"].')
    if len(raw) > len(OUR_HEADINGS) + MOST_TOLD:
        raise Wrong(f"{len(raw)} headings are named, and there are {len(OUR_HEADINGS)}.", "Name ours alone.")
    said = {_our_heading(name, spot.at(name)): _spellings(own, spot.at(name)) for name, own in raw.items()}
    refuse_two_numbers(said, SHEETS, spot)
    return said


def _our_heading(name: str, spot: Spot) -> str:
    """The heading meant; a misspelt one would leave the shop's column unread without a word."""
    if fold(name) == IGNORE:
        return IGNORE
    if (heading := OUR_HEADINGS.get(_bare(name))) is not None:
        return heading
    near = nearest(name, OUR_HEADINGS.values(), 1) if len(name) <= LONGEST_LIKE else []
    hint = f'; the nearest is "{near[0]}"' if near else ""
    do = f'Write "{near[0]}", or remove the key.' if near else ""
    spot.report(CODES.unknown, f"{shown(name)} is none of our headings{hint}.", do)
    return fold(name)


def _spellings(own: object, spot: Spot) -> tuple[str, ...]:
    if isinstance(own, list):
        return read_with(list_of(text, at_least=1), own, spot) or ()
    spelling = read_with(text, own, spot)
    return () if spelling is None else (spelling,)


def _delimiter(raw: object, _: Spot) -> str:
    """The mark between the cells of a csv file: one character, or the word tab."""
    mark = "\t" if raw == "tab" else raw
    if not isinstance(mark, str) or len(mark) != 1 or mark.isalnum() or mark in "\"'\r\n\0. ":
        raise Wrong(f"{shown(raw)} cannot part the cells of a csv file.", 'Write ";", ",", "|" or "tab".')
    return mark


def _lines(raw: object, spot: Spot) -> tuple[str, ...]:
    """An address: one line of text, or a list of lines."""
    return tuple(list_of(text, at_least=1)(raw if isinstance(raw, list) else [text(raw, spot)], spot))


def _seconds(raw: object, _: Spot) -> float:
    """A time in seconds, 0 or more; TOML's nan and inf are floats too."""
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0 <= raw <= LONGEST_TIME:
        raise Wrong(f"{shown(raw)} is no time in seconds.", "Write a number, 0 or more, without quotes.")
    return float(raw)


def _amount(raw: object) -> Fraction:
    """A number, 0 or more, as it is written: 0.2 is a fifth, not the nearest binary fraction."""
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0 <= raw < float("inf"):
        raise Wrong(f"{shown(raw)} is no amount.", "Write a number, 0 or more, without quotes.")
    return Fraction(repr(raw))


def _money(raw: object, _: Spot) -> Fraction:
    return _amount(raw)


def _land(raw: object, spot: Spot) -> str:
    code = text(raw, spot).upper()
    if not re.fullmatch("[A-Z]{2}", code):
        raise Wrong(
            f"{shown(raw)} is not a country code.", "Write its two capitals, as ISO 3166-1 lists them."
        )
    return code


LONGEST_TIME = 10**9
MOST_WEEKS = 520
"""Ten years."""
LIMITS = {"expanded_mb": Key(whole(1, 10**6)), "cells": Key(whole(1))}
WORKSHOP = {
    "name": Key(text),
    "address": Key(_lines),
    "city": Key(text),
    "postal_code": Key(text),
    "country": Key(_land),
    "contact": Key(text),
    "phone": Key(text),
    "email": Key(text),
    "vat_id": Key(text),
    "tax_id": Key(text),
    "deliver_to": Key(_lines),
}
BUYING = {
    "horizon_weeks": Key(whole(1, MOST_WEEKS)),
    "holding_cost": Key(share),
    "order_cost": Key(_money),
    "price_breaks": Key(one_of({kind: kind for kind in (ALL_UNITS, INCREMENTAL)})),
}
ENCODINGS = {name: name for name in ("utf-8", "utf-16", "cp1252")}
FURTHER_ENCODINGS = {
    **{name: name for name in ("utf-16-le", "utf-16-be", "cp1250", "cp850", "cp437", "mac-roman")},
    **{name: name for name in ("iso-8859-1", "iso-8859-2", "iso-8859-15", "ascii", "utf-8-sig")},
    "utf8": "utf-8",
    "utf16": "utf-16",
    "windows-1252": "cp1252",
    "latin-1": "iso-8859-1",
}

SETTINGS = {
    "length_unit": Key(one_of({"in": "in", "mm": "mm"})),
    "date_order": Key(one_of({"dmy": "dmy", "mdy": "mdy"})),
    "decimal": Key(one_of({".": ".", ",": ","})),
    "currency": Key(_currency, default=""),
    "working_days": Key(list_of(_weekday, at_least=1), default=tuple(range(5))),
    "holidays": Key(list_of(day), default=()),
    "inspection_days": Key(whole(1, FURTHEST), default=1),
    "look_ahead_weeks": Key(whole(0, MOST_WEEKS), default=8),
    "lead_time_days": Key(whole(0, FURTHEST)),
    "closing": Key(flag, default=True),
    "use_recovered": Key(flag, default=True),
    "exact_only": Key(flag, default=False),
    "patience": Key(_seconds, default=DEFAULT_PATIENCE),
    "unit": Key(unit_of_parts, default=""),
    "sheets": Key(sheet_names(SHEETS), default={}),
    "headings": Key(_headings, default={}),
    "jobs": Key(text),
    "stock": Key(text),
    "frames": Key(text),
    "country": Key(text),
    "subdivision": Key(text),
    "csv_delimiter": Key(_delimiter),
    "csv_encoding": Key(one_of(ENCODINGS, FURTHER_ENCODINGS)),
    "limits": Key(table_of(LIMITS)),
    "workshop": Key(table_of(WORKSHOP)),
    "buying": Key(table_of(BUYING)),
    "counting": Key(table_of(COUNTING)),
    "levels": Key(table_of(LEVELS)),
}
"""What a settings file may hold. Paths are relative to the file; who opens them resolves them."""


# Public holidays.


def _public_holidays(table: KeyTable, today: date) -> frozenset[date]:
    """The public holidays of the country named, for the years around today."""
    country, subdivision = table["country"], table["subdivision"]
    if subdivision and not country and table.at("country").sound:
        says = f"The subdivision {shown(subdivision)} is given without a country."
        table.at("subdivision").report(CODES.value, says, "Give the country too.")
    if not country:
        return frozenset()
    # Slow to import, and few shops ask for it.
    import holidays

    known = holidays.list_supported_countries(include_aliases=True)
    if (code := country.upper()) not in known:
        do = "Write the code that ISO 3166 lists, such as CH, or list the days under holidays."
        table.at("country").report(
            CODES.value, f"No public holidays are known for the country {shown(country)}.", do
        )
        return frozenset()
    if subdivision and subdivision not in known[code]:
        near = nearest(subdivision, known[code], 5, 0.1) or known[code][:5]
        hint = f"Known are {', '.join(near)}." if near else "Remove the key."
        says = f"No public holidays are known for the subdivision {shown(subdivision)} of {code}."
        table.at("subdivision").report(CODES.value, says, hint)
        return frozenset()
    years = range(max(today.year - YEARS_BEFORE, 1), min(today.year + YEARS_AFTER, date.max.year) + 1)
    return frozenset(holidays.country_holidays(code, subdiv=subdivision, years=years))
