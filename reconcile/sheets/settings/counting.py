"""The table [counting] of the settings: shares of value, times a year and tolerances, class by class."""

import re
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import TypeVar

from reconcile.sheets.figures.toml import Key, KeyTable, Reader, Spot, Wrong, shown, table_of, whole
from reconcile.values.measure import quantity_text
from reconcile.values.rules import CLASSES, Counting

T = TypeVar("T")


def share(raw: object, _: Spot) -> Fraction:
    """A share of a whole, from nothing to all of it: ``"2 %"``, ``"0"``, or 0.02."""
    value = _percent(raw) if isinstance(raw, str) else _number(raw)
    if value is None or not 0 <= value <= 1:
        raise Wrong(f"{shown(raw)} is no share from 0 to 100 %.", 'Write it like "2 %".')
    return value


def _percent(raw: str) -> Fraction | None:
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*%", raw.strip())
    if found:
        return Fraction(found[1]) / 100
    return Fraction(0) if raw.strip() == "0" else None


def _number(raw: object) -> Fraction | None:
    """A bare number; nan and inf are floats of TOML too, and true is a kind of int."""
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        return None
    try:
        return Fraction(Decimal(repr(raw)))
    except (InvalidOperation, ValueError, OverflowError):
        return None


def _by_class(read: Reader) -> Key:
    return Key(table_of({name: Key(read) for name in CLASSES}))


COUNTING = {"shares": _by_class(share), "times": _by_class(whole(0, 366)), "tolerance": _by_class(share)}


def counting_of(table: KeyTable | None) -> Counting:
    """The rules of a table as read. Classes that are not given keep their usual figures.

    Reports at its spot where the shares do not add up to the whole.
    """
    usual = Counting()
    if table is None:
        return usual
    shares = _merged(usual.shares, table["shares"])
    if (total := sum(shares.values(), Fraction(0))) != 1 and table.at("shares").sound:
        says = f"The shares of the classes add up to {quantity_text(100 * total)} %, not to 100 %."
        spot = table.at("shares")
        spot.report(spot.codes.value, says, "Give all three, so that they make up the whole.")
    return Counting(
        shares, _merged(usual.times, table["times"]), _merged(usual.tolerance, table["tolerance"])
    )


def _merged(usual: Mapping[str, T], table: KeyTable | None) -> dict[str, T]:
    """The usual figures with those given; a faulty one has been reported."""
    given = {} if table is None else {name: each for name, each in table.values.items() if each is not None}
    return {**usual, **given}
