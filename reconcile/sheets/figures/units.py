"""Text and cell values to numbers, lengths, quantities, dates and money; the only user of pint.

Raw text never reaches pint, which reads ``12 pcs`` as parsecs and ``1/4-20`` as -19.75: a strict
grammar takes the number and a table of our own the unit; pint only converts between units we named.
"""

import re
import unicodedata
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from reconcile.sheets.figures.turned_dates import fractions_in_cell, fractions_in_text, fractions_said
from reconcile.values.measure import MM_PER_INCH, Amount, decimal_text, quantity_text

CellValue = str | float | bool | date | time | timedelta | Fraction | Decimal | None
"""What a cell or a TOML key may hold; a datetime is a date."""

LONGEST_NUMBER = 40
"""Characters; a longer number is a mistake, and very long ones are slow to read."""
LONGEST_SHOWN = 60
"""Characters of a cell's text that a message repeats."""


class Unreadable(Exception):
    """A cell cannot be read: the catalogue's code, what is wrong, what to do ("" for the catalogue's)."""

    def __init__(self, code: str, says: str, do: str = "") -> None:
        super().__init__(says)
        self.code = code
        self.says = says
        self.do = do


# Cleaning: the same text in plain characters, each knowing the character it came from.

_PLAIN = {
    **dict.fromkeys("′’‘‛´`ʹʼ‵＇", "'"),
    **dict.fromkeys("″”“„‟ʺ˝‶＂", '"'),
    **dict.fromkeys("−⁃", "-"),
    **dict.fromkeys("⁄∕", "/"),
}
_RAISED = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789", strict=True))
_LOWERED = dict(zip("₀₁₂₃₄₅₆₇₈₉", "0123456789", strict=True))
_BY_KIND = {"Pd": "-", "Zs": " ", "Zl": " ", "Zp": " ", "Cf": "", "Cc": ""}
"""By Unicode's general category: dashes, blanks, and what has no width."""
_BLANKS = frozenset(" \t\n\v\f\r")
"""Of plain characters; all other control characters show nothing."""
_FULL_WIDTH = range(0xFF01, 0xFF5F)
_DIGITS = frozenset("0123456789")

_Mapped = list[tuple[str, int]]


def clean(text: str) -> str:
    """The text in plain characters, blanks collapsed, ends stripped.

    No-break and thin spaces become spaces, what has no width goes (soft hyphens, marks of direction, control
    characters), full-width letters and digits become ASCII, a letter and its accent one, every dash ``-``,
    every prime ``'`` or ``"``, two primes ``"``, ½ `` 1/2``.

    >>> clean("1½″")
    '1 1/2"'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.replace("''", '"').split())
    return "".join(char for char, _ in _cleaned(text))


def is_blank(text: str) -> bool:
    """Whether nothing is left of the text when it is cleaned."""
    return not text.strip() or (not (text.isascii() and text.isprintable()) and not clean(text))


def clean_with_places(text: str) -> tuple[str, Sequence[int]]:
    """The clean text, and for each of its characters the index in ``text`` that it came from."""
    if text.isascii() and clean(text) == text:
        return text, range(len(text))  # nothing moved, as in nearly every cell
    mapped = _cleaned(text)
    return "".join(char for char, _ in mapped), tuple(index for _, index in mapped)


def _cleaned(text: str) -> _Mapped:
    mapped: _Mapped = []
    last = _AS_TYPED
    for index, char in enumerate(text):
        if mapped and unicodedata.combining(char):
            _put_mark(mapped, char, index)
            continue
        plain = _plain(text, index, char)
        if not plain:
            continue  # what has no width parts nothing: a 1 before it still stands beside a ½ after it
        kind = _written(char, plain)
        if _run_together(mapped, plain) and (kind != last or kind == _AS_ONE):
            plain = " " + plain  # ½ is kept apart from digits beside it: 1½ is never 11/2
        mapped.extend((each, index) for each in plain)
        last = kind
    return _single_blanks(_double_primes(mapped))


_AS_TYPED, _AS_ONE, _AS_RAISED, _AS_LOWERED = range(4)


def _written(char: str, plain: str) -> int:
    """How digits are written: plainly, as one character for a fraction, raised or lowered."""
    if char in _RAISED:
        return _AS_RAISED
    return _AS_LOWERED if char in _LOWERED else _AS_ONE if len(plain) > 1 else _AS_TYPED


def _run_together(mapped: _Mapped, plain: str) -> bool:
    """Whether a digit would come to stand beside a digit."""
    return bool(mapped) and mapped[-1][0] in _DIGITS and plain[0] in _DIGITS


def _put_mark(mapped: _Mapped, mark: str, index: int) -> None:
    """Joins an accent to the letter before it, where the two make one (normal form C)."""
    letter, came_from = mapped[-1]
    joined = unicodedata.normalize("NFC", letter + mark)
    if len(joined) == 1:
        mapped[-1] = joined, came_from
    else:
        mapped.append((mark, index))


def _plain(text: str, index: int, char: str) -> str:
    """The plain characters for one character of the text."""
    if char in _BLANKS:
        return " "
    if char.isascii() and char.isprintable():
        return char
    if char in _PLAIN:
        return _PLAIN[char]
    if ord(char) in _FULL_WIDTH:
        return chr(ord(char) - 0xFEE0)
    kind = unicodedata.category(char)
    return _plain_fraction(text, index, char) if kind == "No" else _BY_KIND.get(kind, char)


def _plain_fraction(text: str, index: int, char: str) -> str:
    """``½`` as ``1/2``, and the digits of ``¹⁄₂`` as plain ones; ``²`` alone stays what it is."""
    before = text[index - 1 : index]
    if char in _RAISED and _starts_raised_fraction(text, index):
        return _RAISED[char]
    if char in _LOWERED and before and (before in _LOWERED or before in "⁄∕/"):
        return _LOWERED[char]
    parts = unicodedata.normalize("NFKC", char).split("⁄")
    return "/".join(parts) if len(parts) == 2 else char


def _starts_raised_fraction(text: str, index: int) -> bool:
    """Whether raised digits from here on end in a fraction stroke: ``¹⁄₂``, not ``mm²``."""
    rest = text[index:].lstrip("".join(_RAISED))
    return rest[:1] in ("⁄", "∕", "/") and rest[1:2] in _LOWERED


def _double_primes(mapped: _Mapped) -> _Mapped:
    """Two single primes in a row are one double prime."""
    done: _Mapped = []
    open_prime = False
    for char, index in mapped:
        if char == "'" and open_prime:
            done[-1] = ('"', done[-1][1])
            open_prime = False
            continue
        open_prime = char == "'"
        done.append((char, index))
    return done


def _single_blanks(mapped: _Mapped) -> _Mapped:
    done: _Mapped = []
    for char, index in mapped:
        if char != " " or (done and done[-1][0] != " "):
            done.append((char, index))
    if done and done[-1][0] == " ":
        done.pop()
    return done


def shown(value: CellValue) -> str:
    """A cell's value as a message names it: text in quotes, dates in ISO, numbers bare."""
    if isinstance(value, str):
        text = clean(value)
        return f'"{text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "..."}"'
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date | time):
        kind = "date" if isinstance(value, date) else "time"
        return f"the {kind} {value.isoformat()}"
    if isinstance(value, float):
        return format(value, ".15g")
    return "nothing" if value is None else str(value)


# Numbers.

_MIXED = re.compile(r"(?:([0-9]+)[ -])?([0-9]+) ?/ ?([0-9]+)")
_WITH_POINT = re.compile(
    r"(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[1-9][0-9]{0,2}(?: [0-9]{3})+|[0-9]*)(?:\.[0-9]+)?"
)
_SWAPPED = str.maketrans(".,", ",.")
_NUMBER_THEN_UNIT = re.compile(r"([-+]?[0-9.,](?:[0-9.,/ -]*[0-9])?)(?: ?([^0-9.,/ +-][^0-9]*))?")


def read_number(value: CellValue, decimal: str | None = None) -> Fraction:
    """An exact number from a cell: ``12``, ``-3``, ``.5``, ``1/2``, ``1 1/2``, ``1-1/2``, ``1½``, ``1 000``.

    ``decimal`` is the declared decimal mark, "." or ",", and the other then parts thousands. With none
    declared a point is the decimal mark, a comma is where it cannot part thousands (``12,7``), and
    ``1,234`` is an error. Raises ``Unreadable``: cell-blank, number-unreadable, number-ambiguous.
    """
    if isinstance(value, str):
        return _number_in_text(clean(value), decimal)
    if value is None:
        raise Unreadable("cell-blank", "The cell is blank.")
    if isinstance(value, bool | date | time | timedelta):
        raise _no_number(value)
    return _number_in_cell(value)


def _number_in_cell(value: float | Fraction | Decimal) -> Fraction:
    """A spreadsheet keeps fifteen digits: 0.30000000000000004 in a cell is 0.3."""
    if isinstance(value, float):
        value = Decimal(format(value, ".15g"))
    if isinstance(value, Decimal) and not value.is_finite():
        raise _no_number(float(value))
    return Fraction(value)


def _number_in_text(text: str, decimal: str | None) -> Fraction:
    if not text:
        raise Unreadable("cell-blank", "The cell is blank.")
    unsigned = text[1:] if text[0] in "+-" else text
    if not unsigned or len(unsigned) > LONGEST_NUMBER:
        raise _no_number(text)
    size = _mixed_fraction(unsigned)
    if size is None:
        size = _decimal_number(unsigned, decimal, text)
    return -size if text[0] == "-" else size


def _mixed_fraction(text: str) -> Fraction | None:
    """``1/2``, ``1 1/2`` or ``1-1/2``; in a mixed number the fraction must be a proper one."""
    found = _MIXED.fullmatch(text)
    if not found:
        return None
    whole, above, below = (int(part or 0) for part in found.groups())
    if below == 0 or (found[1] and above >= below):
        return None
    return whole + Fraction(above, below)


def _decimal_number(text: str, decimal: str | None, whole_text: str) -> Fraction:
    readings = {mark: number for mark in ".," if (number := _with_mark(text, mark)) is not None}
    if decimal is not None or "," not in text:
        mark = decimal or "."
        if mark not in readings:
            raise _no_number(whole_text, mark if readings else "")
        return readings[mark]
    if not readings:
        raise _no_number(whole_text)
    if len(readings) == 1 and text.count(",") + text.count(".") == 1:
        return next(iter(readings.values()))
    raise Unreadable("number-ambiguous", _two_readings(text, readings))


def _with_mark(text: str, mark: str) -> Fraction | None:
    """The number with this decimal mark, or None where that makes no number."""
    pointed = text if mark == "." else text.translate(_SWAPPED)
    if not _WITH_POINT.fullmatch(pointed):
        return None
    return Fraction(pointed.replace(",", "").replace(" ", ""))


def _two_readings(text: str, readings: dict[str, Fraction]) -> str:
    meant = " or ".join(quantity_text(number) for number in readings.values())
    if len(readings) == 2:
        return f'"{text}" can be {meant}, and no decimal mark is declared.'
    return f'"{text}" is {meant} only if "{next(iter(readings))}" is the decimal mark, and none is declared.'


def _no_number(value: CellValue, mark: str = "") -> Unreadable:
    if isinstance(value, str):
        declared = f' with "{mark}" as the decimal mark' if mark else ""
        return Unreadable("number-unreadable", f"{shown(value)} is not a number{declared}.")
    return Unreadable("number-unreadable", f"The cell holds {shown(value)}, not a number.")


def read_whole(value: CellValue, least: int = 0, decimal: str | None = None) -> int:
    """A whole number of at least ``least``.

    Raises ``Unreadable``: as ``read_number``, and number-not-whole, number-negative, number-too-small.
    """
    number = read_number(value, decimal)
    if number.denominator != 1:
        raise Unreadable("number-not-whole", f"{shown(value)} is not a whole number.")
    if number < min(least, 0):
        raise _negative(value)
    if number < least:
        raise Unreadable("number-too-small", f"{shown(value)} is less than {least}.")
    return int(number)


def read_money(value: CellValue, decimal: str | None = None) -> Decimal:
    """An exact sum of money, never less than nothing, without a currency beside it.

    Raises ``Unreadable``: as ``read_number``, and number-negative.
    """
    number = read_number(value, decimal)
    if number < 0:
        raise _negative(value)
    text = decimal_text(number)
    if text is None:
        raise Unreadable("number-unreadable", f"{shown(value)} has no exact decimals, as money must.")
    return Decimal(text)


def _negative(value: CellValue) -> Unreadable:
    return Unreadable("number-negative", f"{shown(value)} is less than nothing.")


# Units.

_SPELLINGS = {
    "each": "each ea pc pcs pce pces piece pieces off no nos number count unit units",
    "pack": "pack packs pk pks pkt pkts packet packets pkg pkgs package packages",
    "dozen": "dozen dozens doz dz dzn",
    "gross": "gross gro",
    "pair": "pair pairs pr prs",
    "mm": "mm mms millimetre millimetres millimeter millimeters",
    "cm": "cm cms centimetre centimetres centimeter centimeters",
    "m": "m mtr mtrs metre metres meter meters",
    "in": 'in ins inch inches "',
    "ft": "ft foot feet '",
    "mL": "ml mls millilitre millilitres milliliter milliliters",
    "L": "l ltr ltrs litre litres liter liters",
    "g": "g gm gms gram grams gramme grammes",
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
}
_UNITS = {spelling: unit for unit, spellings in _SPELLINGS.items() for spelling in spellings.split()}

PIECES = {"each": 1, "pair": 2, "dozen": 12, "gross": 144}
"""Pieces in one of each counting unit; a pack's are the part's own."""

MILLIMETRES = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
}
"""Millimetres in one of each unit of length (NIST SP 811: 1 in = 25.4 mm, 1 ft = 12 in)."""

_IN_MILLIMETRES = ("mm", "cm", "m")


def canonical_unit(text: str) -> str:
    """Our name for a unit: each, pack, dozen, gross, pair, mm, cm, m, in, ft, mL, L, g or kg.

    Raises ``Unreadable`` (unit-unknown). Case does not matter, save that a bare ``M`` is refused: among
    fasteners it means a thousand as often as a metre.
    """
    plain = clean(text)
    bare = plain.casefold().replace("(s)", "").rstrip(". ")
    unit = _UNITS.get(bare)
    if unit is None or plain == "M":
        raise Unreadable("unit-unknown", f'"{plain}" is not a unit that is known.')
    return unit


def result_unit(unit: str) -> str:
    """The unit that ``read_quantity`` answers in for a part's unit: packs are counted in each."""
    return "each" if unit == "pack" else unit


def convert(amount: Amount, to_unit: str, pack: Fraction | None = None) -> Fraction:
    """The amount in another unit, exactly; ``pack`` is the number of pieces in a pack, where known.

    Raises ``Unreadable`` (unit-mismatch) where the one cannot become the other.
    """
    if amount.unit == to_unit:
        return amount.value
    pieces: dict[str, Fraction | int] = {**PIECES, **({} if pack is None else {"pack": pack})}
    if amount.unit in pieces and to_unit in pieces:
        return amount.value * Fraction(pieces[amount.unit]) / Fraction(pieces[to_unit])
    if amount.unit in MILLIMETRES and to_unit in MILLIMETRES:
        return amount.value * MILLIMETRES[amount.unit] / MILLIMETRES[to_unit]
    if {amount.unit, to_unit} in ({"mL", "L"}, {"g", "kg"}):
        registry = _registry()
        return Fraction(registry.Quantity(amount.value, amount.unit).to(to_unit).magnitude)
    given = f"{quantity_text(amount.value)} {amount.unit}"
    raise Unreadable("unit-mismatch", f"{given} cannot be given in {to_unit}.")


@cache
def _registry() -> Any:
    """A pint registry of our own few units: exact, and a hundred times quicker than the full one."""
    import pint

    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    for definition in ("mL = [volume]", "L = 1000 * mL", "g = [mass]", "kg = 1000 * g"):
        registry.define(definition)
    return registry


# Lengths and quantities.


def read_length(value: CellValue, unit: str | None, decimal: str | None = None) -> tuple[Fraction, str]:
    """A length in mm, and "in" or "mm" as it was written; a bare number takes ``unit``.

    Feet count as inches, centimetres and metres as millimetres. Raises ``Unreadable``: cell-blank,
    length-unreadable, length-unit-missing, length-is-date, number-ambiguous, number-negative,
    unit-unknown.
    """
    number, measure = split_length(value, unit, decimal)
    return number * MILLIMETRES[measure], "mm" if measure in _IN_MILLIMETRES else "in"


def split_length(value: CellValue, unit: str | None, decimal: str | None = None) -> tuple[Fraction, str]:
    """The number of a length and its unit of length, as they were written; a bare number takes ``unit``.

    Raises ``Unreadable``: as ``read_length``.
    """
    if isinstance(value, date):
        raise _length_is_date(value, fractions_in_cell(value))
    try:
        number, written = _measured(value, decimal, "length-unreadable", "length")
        measure = canonical_unit(written) if written else unit and canonical_unit(unit)
    except Unreadable as fault:
        if isinstance(value, str) and (behind := fractions_behind_cell(value)) is not None:
            raise _length_is_date(value, behind) from fault
        raise
    if not measure:
        raise Unreadable("length-unit-missing", f"{shown(value)} has no unit.")
    if measure not in MILLIMETRES:
        raise Unreadable("length-unreadable", f"{shown(value)} is not a length: {measure} measures none.")
    if number < 0:
        raise _negative(value)
    return number, measure


def read_quantity(
    value: CellValue,
    unit: str,
    pack: Fraction = Fraction(1),
    decimal: str | None = None,
    *,
    signed: bool = False,
) -> Fraction:
    """A quantity in the part's unit; a bare number is in ``unit`` already.

    For the unit ``pack`` the answer is in each: a bare 3 of packs of 50 is 150, ``3 pcs`` is 3. Raises
    ``Unreadable``: cell-blank, number-unreadable, number-ambiguous, unit-unknown, unit-mismatch, and
    number-negative unless ``signed``.
    """
    number, written = _measured(value, decimal, "number-unreadable", "quantity")
    if number < 0 and not signed:
        raise _negative(value)
    given = canonical_unit(written) if written else canonical_unit(unit)
    return convert(Amount(number, given), result_unit(canonical_unit(unit)), pack)


def read_amount(value: CellValue, decimal: str | None = None) -> Amount:
    """A quantity with its unit, as a frame file gives it: ``0.1 mL``, ``4 each``, ``4`` for 4 each.

    Raises ``Unreadable``: as ``read_quantity``.
    """
    number, written = _measured(value, decimal, "number-unreadable", "quantity")
    if number < 0:
        raise _negative(value)
    return Amount(number, canonical_unit(written) if written else "each")


def _measured(value: CellValue, decimal: str | None, code: str, kind: str) -> tuple[Fraction, str]:
    """The number in a cell and the unit written beside it, "" for none."""
    if not isinstance(value, str):
        try:
            return read_number(value, decimal), ""
        except Unreadable as fault:
            if fault.code == "number-unreadable":
                raise Unreadable(code, f"The cell holds {shown(value)}, not a {kind}.") from None
            raise
    text = clean(value)
    if not text:
        raise Unreadable("cell-blank", "The cell is blank.")
    found = _NUMBER_THEN_UNIT.fullmatch(text)
    try:
        if not found:
            raise _no_number(text)
        return read_number(found[1], decimal), found[2] or ""
    except Unreadable as fault:
        if fault.code == "number-unreadable":
            raise Unreadable(code, f"{shown(value)} is not a {kind}{_declared(fault)}.") from None
        raise


def _declared(fault: Unreadable) -> str:
    """The part of a number's fault that names the declared decimal mark, if it does."""
    _, mark, rest = fault.says.partition(" with ")
    return mark + rest.rstrip(".")


# Dates where something else was typed.


def fractions_behind_cell(value: object) -> tuple[Fraction, ...] | None:
    """What a spreadsheet program may have turned into the date that a cell holds or shows; None for none."""
    if isinstance(value, date):
        return fractions_in_cell(value)
    return fractions_in_text(clean(value)) if isinstance(value, str) else None


def _length_is_date(value: str | date, behind: tuple[Fraction, ...]) -> Unreadable:
    holds = f"{shown(value)} is a date" if isinstance(value, str) else f"The cell holds {shown(value)}"
    return Unreadable("length-is-date", f"{holds}, not a length; {fractions_said(behind)}.")


# Dates.

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
