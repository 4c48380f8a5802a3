"""Codes that traders share: units of measure, and how many decimals a currency has."""

import math
from decimal import Decimal
from fractions import Fraction

UNIT_CODES = {
    "each": "EA",
    "pair": "PR",
    "dozen": "DZN",
    "gross": "GRO",
    "mm": "MMT",
    "cm": "CMT",
    "m": "MTR",
    "in": "INH",
    "ft": "FOT",
    "mL": "MLT",
    "L": "LTR",
    "g": "GRM",
    "kg": "KGM",
}
"""Our units to the common codes of UN/ECE Recommendation 20 (from memory).

Packs have none: their codes are those of UN/ECE Recommendation 21, and what is kept in packs is ordered
in each.
"""

USUAL_PLACES = 2
_BY_PLACES = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
OTHER_PLACES = {code: places for places, codes in _BY_PLACES.items() for code in codes.split()}
"""Decimals of the currencies that have not two (ISO 4217, list one, minor unit; from memory)."""


def minor_places(currency: str) -> int:
    """Decimals of a currency's smallest unit, by its ISO 4217 code; two where the code is not known.

    >>> minor_places("EUR"), minor_places("JPY"), minor_places("KWD")
    (2, 0, 3)
    """
    return OTHER_PLACES.get(currency, USUAL_PLACES)


def rounded(amount: Fraction | Decimal, currency: str) -> Decimal:
    """An amount, nothing or more, to the smallest unit of its currency; exactly half goes up.

    Half up is common practice among traders (no source); half to the even digit would surprise a buyer
    who works the line out again.

    >>> rounded(Fraction("2.345"), "EUR")
    Decimal('2.35')
    """
    places = minor_places(currency)
    return Decimal(f"{math.floor(Fraction(amount) * 10**places + Fraction(1, 2))}E-{places}")
