"""Units of a stock sheet, also those that say how many pieces a pack holds: ``Pack of 250``, ``box (50)``."""

import re
from dataclasses import dataclass
from fractions import Fraction

from reconcile.sheets.figures.text import clean
from reconcile.sheets.figures.units import canonical_unit

_HOLDERS = (
    "pack|packs|pk|pks|pkt|packet|packets|pkg|pkgs|package|packages|box|boxes|bx|bag|bags|carton|cartons|ctn|"
    "packung|pckg|schachtel|beutel|karton|ve|boite|boîte|paquet|sachet|caja|paquete|bolsa|scatola|"
    "confezione|busta|doos|zak|verpakking|opak|opakowanie|förp|ask"
)
_OF = "of|à|a|de|da|di|von|van|zu|per|mit|qty|x"
_PIECES = r"(?:\s*(?:pcs?|pieces?|ea|each|stk|stck|stück|pz|ud|uds|szt|st)\.?)?"
_NUMBER = r"([1-9][0-9]{0,6})"
_HOLDER_THEN_NUMBER = re.compile(
    rf"(?:{_HOLDERS})\.?\s*(?:(?:{_OF})\s+|[/:(\[=-]\s*)?{_NUMBER}{_PIECES}\s*[)\]]?", re.IGNORECASE
)
_NUMBER_THEN_HOLDER = re.compile(rf"{_NUMBER}{_PIECES}\s*(?:/|per|a|-|\s)\s*(?:{_HOLDERS})\.?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class UnitRead:
    """A unit by our name, and the pieces of a pack where its words give them."""

    name: str
    pack: Fraction | None = None
    written: str = ""
    """As it stands in the cell, where it gives the pieces of a pack."""


def read_unit(text: str) -> UnitRead:
    """A unit, or a pack of a size. Raises Unreadable (unit-unknown).

    >>> read_unit("Pkg/100").pack, read_unit("box (50)").name, read_unit("ea").pack
    (Fraction(100, 1), 'pack', None)
    """
    plain = clean(text)
    found = _HOLDER_THEN_NUMBER.fullmatch(plain) or _NUMBER_THEN_HOLDER.fullmatch(plain)
    if found is not None:
        return UnitRead("pack", Fraction(int(found[1])), plain)
    return UnitRead(canonical_unit(text))
