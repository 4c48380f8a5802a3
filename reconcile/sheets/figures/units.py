"""Units, and lengths and quantities in them; the only user of pint.

Raw text never reaches pint, which reads ``12 pcs`` as parsecs and ``1/4-20`` as -19.75: a strict
grammar takes the number and a table of our own the unit; pint only converts between units we named.
"""

import re
from datetime import date
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from reconcile.sheets.figures.numbers import negative, no_number, read_number
from reconcile.sheets.figures.text import CellValue, Unreadable, clean, shown
from reconcile.sheets.figures.turned_dates import fractions_behind_cell, fractions_in_cell, fractions_said
from reconcile.values.measure import MM_PER_INCH, Amount, quantity_text

if TYPE_CHECKING:
    import pint

_SPELLINGS = {
    "each": "each ea pc pcs pce pces piece pieces off no nos number count unit units"
    " stk stck stück stueck pièce pièces pieza piezas ud uds unidad unidades un pezzo pezzi pz stuk stuks"
    " st szt",
    "pack": "pack packs pk pks pkt pkts packet packets pkg pkgs package packages",
    "dozen": "dozen dozens doz dz dzn",
    "gross": "gross gro",
    "pair": "pair pairs pr prs paar paire paires par pares paio",
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
def _registry() -> "pint.UnitRegistry[Fraction]":
    """A pint registry of our own few units: exact, and a hundred times quicker than the full one."""
    import pint

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction)
    for definition in ("mL = [volume]", "L = 1000 * mL", "g = [mass]", "kg = 1000 * g"):
        registry.define(definition)
    return registry


# Lengths and quantities.

_NUMBER_THEN_UNIT = re.compile(r"([-+]?[0-9.,](?:[0-9.,/ -]*[0-9])?)(?: ?([^0-9.,/ +-][^0-9]*))?")


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
        raise negative(value)
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
        raise negative(value)
    given = canonical_unit(written) if written else canonical_unit(unit)
    return convert(Amount(number, given), result_unit(canonical_unit(unit)), pack)


def read_amount(value: CellValue, decimal: str | None = None) -> Amount:
    """A quantity with its unit, as a frame file gives it: ``0.1 mL``, ``4 each``, ``4`` for 4 each.

    Raises ``Unreadable``: as ``read_quantity``.
    """
    number, written = _measured(value, decimal, "number-unreadable", "quantity")
    if number < 0:
        raise negative(value)
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
            raise no_number(text)
        return read_number(found[1], decimal), found[2] or ""
    except Unreadable as fault:
        if fault.code == "number-unreadable":
            raise Unreadable(code, f"{shown(value)} is not a {kind}{_declared(fault)}.") from None
        raise


def _declared(fault: Unreadable) -> str:
    """The part of a number's fault that names the declared decimal mark, if it does."""
    _, mark, rest = fault.says.partition(" with ")
    return mark + rest.rstrip(".")


def _length_is_date(value: str | date, behind: tuple[Fraction, ...]) -> Unreadable:
    holds = f"{shown(value)} is a date" if isinstance(value, str) else f"The cell holds {shown(value)}"
    return Unreadable("length-is-date", f"{holds}, not a length; {fractions_said(behind)}.")
