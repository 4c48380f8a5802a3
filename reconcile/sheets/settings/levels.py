"""The table [levels] of the settings: the service that proposed levels aim at, its measure, a budget."""

from fractions import Fraction

from reconcile.sheets.figures.toml import Key, KeyTable, Spot, Wrong, one_of, shown
from reconcile.sheets.settings.counting import share
from reconcile.values.rules import CYCLE, FILL, KITS, LevelRules

LEAST, MOST = Fraction(1, 2), Fraction(999, 1000)
"""Below the first nobody would speak of service; above the second a year of weeks tells nothing of the
difference. Common practice, no source."""


def service(raw: object, spot: Spot) -> Fraction:
    """A service as a share: ``0.95``, taken as 19/20 exactly, or ``"95 %"``."""
    value = share(raw, spot)
    if not LEAST <= value <= MOST:
        raise Wrong(f"{shown(raw)} is no service from 50 to 99.9 %.", 'Write it like 0.95 or "95 %".')
    return value


def budget(raw: object, _: Spot) -> Fraction:
    """A sum of money above nothing, as it is written: 2500 or 2500.50."""
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0 < raw < float("inf"):
        raise Wrong(f"{shown(raw)} is no sum for the shelf.", "Write a number above 0, without quotes.")
    return Fraction(repr(raw))


LEVELS = {
    "service": Key(service),
    "measure": Key(one_of({kind: kind for kind in (CYCLE, FILL, KITS)})),
    "budget": Key(budget),
}


def levels_of(table: KeyTable | None) -> LevelRules:
    """The rules of a table as read; what it leaves out, or has faulty and so reported, is as usual."""
    if table is None:
        return LevelRules()
    return LevelRules(**{name: value for name, value in table.values.items() if value is not None})
