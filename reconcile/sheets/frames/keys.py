"""What a frame file may hold: every key, how its value is read, and what stands in where it is absent."""

import re
from fractions import Fraction

from reconcile.sheets.fasteners.spellings import canonical_head, read_thread
from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.figures.toml import (
    Key,
    Spot,
    Wrong,
    flag,
    folded_text,
    list_of,
    one_of,
    read_with,
    shown,
    table_of,
    text,
    walk,
    whole,
)
from reconcile.sheets.figures.units import read_amount, read_length
from reconcile.sheets.frames.checks import Measured, Pitches
from reconcile.values.frames.frame import ENGAGEMENT_IN_DIAMETERS, Handed
from reconcile.values.measure import Amount
from reconcile.values.stock.parts import Thread

# How single values are read.


def _written_length(raw: object, spot: Spot) -> Measured:
    """A length with its unit, at least 0; a bare number has neither heading nor setting to lean on here."""
    do = 'Write it in quotes with its unit, like "1 1/2 in" or "12.7 mm".'
    if not isinstance(raw, str):
        raise Wrong(f"{shown(raw)} is not a length with a unit.", do)
    try:
        return Measured(*read_length(text(raw, spot), None))
    except Unreadable as fault:
        raise Wrong(fault.says, do) from None


def _length(raw: object, spot: Spot) -> Fraction:
    return _written_length(raw, spot).mm


def _length_above_zero(raw: object, spot: Spot) -> Fraction:
    mm = _length(raw, spot)
    if mm == 0:
        raise Wrong(f"The length {shown(raw)} is not more than nothing.")
    return mm


def _amount(raw: object, spot: Spot) -> Amount:
    """A quantity above 0 with its unit; a bare number counts pieces."""
    bare = isinstance(raw, int | float) and not isinstance(raw, bool)
    try:
        amount = read_amount(str(raw) if bare else text(raw, spot))
    except Unreadable as fault:
        raise Wrong(fault.says, 'Write it in quotes with its unit, like "0.1 mL" or "4 each".') from None
    if amount.value == 0:
        raise Wrong(f"The quantity {shown(raw)} is not more than nothing.")
    return amount


def _thread(raw: object, spot: Spot) -> Thread:
    try:
        return read_thread(text(raw, spot))
    except Unreadable as fault:
        raise Wrong(fault.says, fault.do, "frame-thread") from None


def _head(raw: object, spot: Spot) -> str:
    """A head in our one spelling; one that we have no name for stays as it is, and matches stock's own."""
    return canonical_head(text(raw, spot))


def _protrusion(raw: object, spot: Spot) -> Pitches | Fraction:
    """``1 pitch`` or ``2 pitches``, which need the thread to become a length; or a length."""
    if isinstance(raw, str) and (found := re.fullmatch(r"\s*(\d{1,3})\s+pitch(?:es)?\s*", raw.lower())):
        return Pitches(int(found[1]))
    try:
        return _length(raw, spot)
    except Wrong as fault:
        raise Wrong(fault.says, 'Write it like "1 pitch", "2 pitches" or "1/8 in".') from None


def _either_hand(raw: object, spot: Spot) -> str | Handed | None:
    """A part number, or one for each side; None where one of these is missing, which is said at its key."""
    if not isinstance(raw, dict):
        return text(raw, spot)
    table = walk(raw, HANDS, spot)
    left, right = table["left"], table["right"]
    return None if left is None or right is None else Handed(left, right)


def _figure(raw: object, spot: Spot) -> str:
    """A torque's text; ``N*m``, which is easy to type, is N·m."""
    return _NEWTON_METRES.sub("N·m", text(raw, spot))


def _torque(raw: object, spot: Spot) -> str | dict[str, str]:
    """One torque, or one by grade: word for word from the build sheet, its unit as SI writes it."""
    if not isinstance(raw, dict):
        return _figure(raw, spot)
    if not raw:
        raise Wrong("The table of torques is empty.", "Fill it in, or remove the key.")
    read = {grade: read_with(_figure, torque, spot.at(grade)) for grade, torque in raw.items()}
    return {grade: torque for grade, torque in read.items() if torque is not None}


_NEWTON_METRES = re.compile(r"\bN\s*[*.⋅]\s*m\b")

# The tables. `per_step` and `stacks` default to the adjustment's step and to `bolts`.

_REUSE = Key(one_of({"after inspection": True, "never": False}), default=False)
_NEEDED_TEXT = Key(text, needed=True)
_NEEDED_LENGTH = Key(_length, needed=True)
_STEPS = Key(whole(0), needed=True)
_WHEN = Key(folded_text, default="")
_QUANTITY = Key(_amount, needed=True)

HANDS = {"left": _NEEDED_TEXT, "right": _NEEDED_TEXT}
ENGAGEMENT = {"minimum": Key(_length), "maximum": Key(_length), "depth": Key(_length_above_zero)}
NUT = {
    "part": _NEEDED_TEXT,
    "height": Key(_length_above_zero, needed=True),
    "protrusion": Key(_protrusion, default=Pitches(1)),
    "most": Key(_length),
}
WASHER = {
    "part": _NEEDED_TEXT,
    "thickness": Key(_length_above_zero, needed=True),
    "count": Key(whole(1), default=1),
    "renew": Key(flag, default=False),
}
LENGTHEN = {"option": Key(folded_text, needed=True), "by": _NEEDED_LENGTH}
SPACER = {"part": _NEEDED_TEXT, "thickness": Key(_length_above_zero, needed=True)}
EXTRA = {"part": _NEEDED_TEXT, "quantity": _QUANTITY}
COVER_RANGE = {"from": _STEPS, "to": _STEPS, "part": Key(_either_hand, needed=True)}
SIZE_RANGE = {"from": _NEEDED_LENGTH, "to": _NEEDED_LENGTH, "part": _NEEDED_TEXT}
_MEMBERS = {material: material for material in ENGAGEMENT_IN_DIAMETERS}

JOINT = {
    "name": _NEEDED_TEXT,
    "bolts": Key(whole(1), needed=True),
    "stacks": Key(whole(0)),
    "thread": Key(_thread, needed=True),
    "head": Key(_head, needed=True),
    "grades": Key(list_of(text, at_least=1), default=()),
    "finishes": Key(list_of(text, at_least=1), default=()),
    "length": Key(_length_above_zero, needed=True),
    "per_step": Key(_length),
    "lengthen": Key(list_of(table_of(LENGTHEN)), default=()),
    "grip": Key(_length),
    "engagement": Key(table_of(ENGAGEMENT)),
    "into": Key(one_of(_MEMBERS, {"aluminum": "aluminium"}), default=""),
    "nut": Key(table_of(NUT)),
    "washers": Key(list_of(table_of(WASHER)), default=()),
    "spacers": Key(list_of(table_of(SPACER)), default=()),
    "most_pieces": Key(whole(1)),
    "reuse": _REUSE,
    "spacer_reuse": _REUSE,
    "torque": Key(_torque, default=""),
    "note": Key(text, default=""),
    "extras": Key(list_of(table_of(EXTRA)), default=()),
}
COVER = {
    "name": _NEEDED_TEXT,
    "steps": Key(list_of(table_of(COVER_RANGE)), needed=True),
    "reuse": _REUSE,
}
SIZED = {
    "name": _NEEDED_TEXT,
    "when": _WHEN,
    "sizes": Key(list_of(table_of(SIZE_RANGE)), needed=True),
    "reuse": _REUSE,
}
DISTURBED = {"part": _NEEDED_TEXT, "quantity": _QUANTITY, "when": _WHEN}
AFTER = {"check": _NEEDED_TEXT, "when": _WHEN, "reading": Key(text, default="")}
ADJUSTMENT = {
    "name": _NEEDED_TEXT,
    "minimum": Key(_written_length, needed=True),
    "maximum": _NEEDED_LENGTH,
    "step": _NEEDED_LENGTH,
    "sides": Key(one_of({1: 1, 2: 2}), default=2),
    "joint": Key(list_of(table_of(JOINT)), default=()),
    "cover": Key(list_of(table_of(COVER)), default=()),
    "sized": Key(list_of(table_of(SIZED)), default=()),
    "disturbed": Key(list_of(table_of(DISTURBED)), default=()),
    "after": Key(list_of(table_of(AFTER)), default=()),
}
FRAME = {
    "code": _NEEDED_TEXT,
    "name": Key(text, default=""),
    "source": Key(text, default=""),
    "adjustment": Key(list_of(table_of(ADJUSTMENT), at_least=1), needed=True),
}
