"""The table [levels] of the settings: the service that proposed shelf levels aim at, and its measure."""

from fractions import Fraction
from typing import Any

from reconcile.sheets.figures.toml import Key, KeyTable, Spot, Wrong, one_of, shown
from reconcile.sheets.settings.counting import share
from reconcile.values.rules import CYCLE, FILL, LevelRules

LEAST, MOST = Fraction(1, 2), Fraction(999, 1000)
"""Below the first nobody would speak of service; above the second a year of weeks tells nothing of the
difference. Common practice, no source."""


def service(raw: Any, spot: Spot) -> Fraction:
    """A service as a share: ``0.95``, taken as 19/20 exactly, or ``"95 %"``."""
    value = share(raw, spot)
    if not LEAST <= value <= MOST:
        raise Wrong(f"{shown(raw)} is no service from 50 to 99.9 %.", 'Write it like 0.95 or "95 %".')
    return value


LEVELS = {"service": Key(service), "measure": Key(one_of({kind: kind for kind in (CYCLE, FILL)}))}


def levels_of(table: KeyTable | None) -> LevelRules:
    """The rules of a table as read; what it leaves out, or has faulty and so reported, is as usual."""
    if table is None:
        return LevelRules()
    return LevelRules(**{name: value for name, value in table.values.items() if value is not None})
