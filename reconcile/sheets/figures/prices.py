"""Prices as people write them: with a sign or a code, for each or for a hundred, or as words for none.

A price is never a reason to set a row aside. What is sure is read; the rest is no price, and is told.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.text import CellValue, Unreadable, clean, shown
from reconcile.sheets.figures.units import canonical_unit
from reconcile.values.measure import decimal_text

SIGNS = {
    "€": "EUR", "£": "GBP", "₹": "INR", "₩": "KRW", "₪": "ILS", "₺": "TRY", "₴": "UAH", "₫": "VND",
    "₱": "PHP", "zł": "PLN", "kč": "CZK", "us$": "USD", "a$": "AUD", "au$": "AUD", "c$": "CAD", "ca$": "CAD",
    "nz$": "NZD", "s$": "SGD", "hk$": "HKD", "r$": "BRL",
}  # fmt: skip
"""Signs that stand for one currency (from memory). A bare $, ¥ or kr stands for several."""
SHARED_SIGNS = {
    "$": frozenset(("USD", "CAD", "AUD", "NZD", "SGD", "HKD", "TWD", "MXN", "CLP", "COP", "ARS")),
    "¥": frozenset(("JPY", "CNY")),
    "kr": frozenset(("SEK", "NOK", "DKK", "ISK")),
    "fr": frozenset(("CHF",)),
}
"""Signs of several currencies, read only where the sheet or the settings name one of these (from memory)."""
CODES = frozenset(
    (
        "AED", "ARS", "AUD", "BGN", "BHD", "BRL", "CAD", "CHF", "CLP", "CNY", "COP", "CZK", "DKK", "EGP",
        "EUR", "GBP", "HKD", "HUF", "IDR", "ILS", "INR", "ISK", "JOD", "JPY", "KRW", "KWD", "MAD", "MXN",
        "MYR", "NOK", "NZD", "OMR", "PEN", "PHP", "PLN", "QAR", "RON", "RSD", "SAR", "SEK", "SGD", "THB",
        "TND", "TRY", "TWD", "UAH", "USD", "VND", "XTS", "ZAR",
    )
)  # fmt: skip
"""Codes of ISO 4217 that are read beside a price (a choice, from memory)."""
NONE = frozenset(
    (
        "n/a",
        "na",
        "n.a.",
        "n.a",
        "-",
        "--",
        "---",
        "none",
        "nil",
        "tbd",
        "tba",
        "tbc",
        "?",
        "??",
        "x",
        "poa",
        "k.a.",
    )
)
"""How it is written that there is no price."""
_PER = re.compile(r"(.*?)\s*(?:/|\bper\b|\bje\b|\bpro\b|\bpour\b|\bpor\b)\s*([^/]*)", re.IGNORECASE)
_SIGN = "|".join(re.escape(sign) for sign in sorted((*SIGNS, *SHARED_SIGNS), key=len, reverse=True))
_WITH_CURRENCY = re.compile(
    rf"(?:({_SIGN}|[A-Za-z]{{3}})\.?\s*)?([-+0-9.,][0-9., ]*?)\s*(?:({_SIGN}|[A-Za-z]{{3}})\.?)?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class PriceRead:
    """A price of one piece, and its currency: a code, a sign of several, or ""; or why there is none."""

    amount: Decimal | None = None
    currency: str = ""
    why: str = ""
    """A sentence that says why there is no price; "" where there is one."""
    none: bool = False
    """The cell says in one of the usual ways that there is none."""


def read_price(value: CellValue, decimal: str | None = None) -> PriceRead:
    """The price in a cell; never raises. The cell is not blank.

    >>> read_price("£12.50").currency, str(read_price("5.99/100").amount), read_price("n/a").amount
    ('GBP', '0.0599', None)
    """
    return _read(value, type(value).__name__, decimal)


@lru_cache(maxsize=4096)
def _read(value: CellValue, _kind: str, decimal: str | None) -> PriceRead:
    """``_kind`` keeps True and 1.0, which are equal, apart."""
    if not isinstance(value, str):
        return _amount(value, "", Fraction(1), value, decimal)
    text = clean(value)
    if text.casefold() in NONE:
        return PriceRead(why=f"{shown(value)} says that there is no price.", none=True)
    pieces = Fraction(1)
    if (per := _PER.fullmatch(text)) is not None:
        counted = _pieces(per[2])
        if counted is None:
            return PriceRead(why=f"It is not sure for how many {shown(value)} is the price.")
        text, pieces = per[1], counted
    found = _WITH_CURRENCY.fullmatch(text)
    if found is None:
        return PriceRead(why=f"{shown(value)} is not a price.")
    currencies = {currency_of(each) for each in (found[1], found[3]) if each}
    if "" in currencies or len(currencies) > 1:
        return PriceRead(why=f"{shown(value)} is not a price in one known currency.")
    return _amount(found[2].strip(), next(iter(currencies), ""), pieces, value, decimal)


def _pieces(text: str) -> Fraction | None:
    """For how many pieces a price is: ``100``, ``100 pcs``, ``ea``; None where that is not sure."""
    plain = text.strip().casefold()
    number = re.fullmatch(r"([1-9][0-9]{0,6})\s*(\D*)", plain)
    unit = number[2] if number else plain
    try:
        if unit and canonical_unit(unit) != "each":
            return None
    except Unreadable:
        return None
    return Fraction(int(number[1])) if number else Fraction(1) if unit else None


def _amount(
    raw: CellValue, currency: str, pieces: Fraction, written: CellValue, decimal: str | None
) -> PriceRead:
    try:
        number = read_number(raw, decimal)
    except Unreadable as why:
        said = f"{shown(written)} is not a price." if why.code == "number-unreadable" else why.says
        return PriceRead(why=said)
    if number < 0:
        return PriceRead(why=f"{shown(written)} is less than nothing.")
    text = decimal_text(number / pieces)
    if text is None:
        return PriceRead(why=f"{shown(written)} has no exact decimals for one piece, as money must.")
    return PriceRead(Decimal(text), currency)


def currency_of(text: str) -> str:
    """A currency by its code or sign: ``EUR``; a sign of several currencies as itself; "" for none known.

    >>> currency_of("€"), currency_of("eur"), currency_of("$"), currency_of("xyz")
    ('EUR', 'EUR', '$', '')
    """
    plain = clean(text).casefold().rstrip(".")
    if plain.upper() in CODES:
        return plain.upper()
    if plain in SHARED_SIGNS:
        return plain
    return {"euro": "EUR", "euros": "EUR"}.get(plain) or SIGNS.get(plain, "")


def settled(sign: str, named: str) -> str:
    """A currency that a price names, with what sheet or settings name; "" where they do not fit.

    >>> settled("$", "CAD"), settled("GBP", "GBP"), settled("$", ""), settled("GBP", "EUR")
    ('CAD', 'GBP', '', '')
    """
    if sign in SHARED_SIGNS:
        return named if named in SHARED_SIGNS[sign] else ""
    return sign if not named or sign == named else named if not sign else ""
