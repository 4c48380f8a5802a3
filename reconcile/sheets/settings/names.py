"""The shop's own names: of its sheets, of its columns, and the unit that its parts are counted in."""

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations

from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.figures.toml import Spot, Wrong, read_with, shown, text
from reconcile.sheets.figures.units import canonical_unit
from reconcile.sheets.tables.headings import SheetKind, key_of
from reconcile.values.words import fold, nearest

UNKNOWN = "settings-key"
NUMBERS = frozenset(
    (
        "quantity", "from quantity", "on hand", "allocated", "pack", "minimum order", "lead time days",
        "price", "safety stock", "reorder point", "order up to", "chairs", "left now", "right now",
        "priority", "minimum order value", "delivery charge", "free delivery from",
    )
)  # fmt: skip
"""Headings of columns of numbers: no column can be two of them."""


def sheet_names(kinds: Sequence[SheetKind]) -> Callable[[object, Spot], dict[str, str]]:
    """A reader of ``[sheets]``: our names, folded, to the shop's; one that is none of ours is a fault."""
    ours = {key_of(kind.name): fold(kind.name) for kind in kinds}

    def read(raw: object, spot: Spot) -> dict[str, str]:
        if not isinstance(raw, dict):
            raise Wrong(f"{shown(raw)} is not a table of sheets.", 'Write [sheets], then stock = "…".')
        found: dict[str, str] = {}
        for name, own in raw.items():
            at = spot.at(name)
            if (kind := ours.get(key_of(name))) is None:
                near = nearest(name, ours.values(), 1)
                hint = f'; the nearest is "{near[0]}"' if near else ""
                known = ", ".join(ours.values())
                at.report(UNKNOWN, f"{shown(name)} is no sheet that is read{hint}.", f"Known are {known}.")
            elif (given := read_with(text, own, at)) is not None:
                found[kind] = given
        return found

    return read


def refuse_two_numbers(said: Mapping[str, Sequence[str]], kinds: Sequence[SheetKind], spot: Spot) -> None:
    """Reports a word that is named under two headings of numbers of one sheet: it would count twice."""
    for (first, words), (second, others) in combinations(said.items(), 2):
        one_sheet = any(first in kind.headings and second in kind.headings for kind in kinds)
        if not (one_sheet and first in NUMBERS and second in NUMBERS):
            continue
        for word in set(map(key_of, words)) & set(map(key_of, others)):
            own = next(each for each in words if key_of(each) == word)
            says = f'{shown(own)} is named under "{first}" and under "{second}"; no column can be both.'
            spot.at(second).report(UNKNOWN, says, "Keep it under the one that it means.")


def unit_of_parts(raw: object, spot: Spot) -> str:
    """The unit of parts whose row names none."""
    try:
        return canonical_unit(text(raw, spot))
    except Unreadable as why:
        do = "Write one that is known: each, pair, dozen, gross, mm, cm, m, in, ft, mL, L, g or kg."
        raise Wrong(why.says, do) from why
