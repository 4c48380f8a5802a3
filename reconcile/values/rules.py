"""How a workshop buys, counts and fills its shelf, as its settings say.

Apart from the values that are worked out by them: a command that only reads settings need not load those.
"""

from collections.abc import Mapping
from dataclasses import field
from fractions import Fraction

from reconcile.values.records import dataclass

ZERO = Fraction(0)

ALL_UNITS, INCREMENTAL = "all units", "incremental"
"""Whether a break's price holds for the whole order, or for the units from the break on."""

CLASSES = ("A", "B", "C")
"""By yearly value, the highest first."""

CYCLE, FILL = "cycle", "fill"
"""Measures of service: the chance that nothing lacks until an order arrives; the share of use met at once."""


@dataclass(frozen=True, slots=True)
class Buying:
    """How the workshop buys, as its settings say; None or nothing where they do not say."""

    horizon_weeks: int | None = None
    """Weeks looked at, the planned one included; None: the planned period alone, by the reorder rule."""
    holding_cost: Fraction | None = None
    """Share of the price that keeping stock costs a year: 1/5 is a fifth of it."""
    order_cost: Fraction = ZERO
    """What placing one order costs."""
    price_breaks: str = ALL_UNITS

    @property
    def seeks_cheapest(self) -> bool:
        """Whether orders are to be the cheapest over a horizon."""
        return self.horizon_weeks is not None and self.holding_cost is not None


@dataclass(frozen=True, slots=True)
class Counting:
    """How the shelf is counted, as the settings say. All defaults are common practice, no source."""

    shares: Mapping[str, Fraction] = field(
        default_factory=lambda: {"A": Fraction(80, 100), "B": Fraction(15, 100), "C": Fraction(5, 100)}
    )
    """Of the yearly value, class by class; they add up to 1."""
    times: Mapping[str, int] = field(default_factory=lambda: {"A": 12, "B": 4, "C": 1})
    """How often a part is counted in a cycle, which is a year of ISO weeks."""
    tolerance: Mapping[str, Fraction] = field(
        default_factory=lambda: {"A": ZERO, "B": Fraction(2, 100), "C": Fraction(5, 100)}
    )
    """Share of the book quantity by which a count may differ without being repeated."""


@dataclass(frozen=True, slots=True)
class LevelRules:
    """What is wanted of the shelf."""

    service: Fraction = Fraction(19, 20)
    measure: str = CYCLE
    cover_weeks: int = 4
    """Weeks of use in one order of a part for which the shop gives no levels: common practice, no source."""
    table: tuple[Fraction, ...] = tuple(Fraction(percent, 100) for percent in (90, 95, 98, 99))
    """The services whose cost is shown."""
    batches: Mapping[str, Fraction] = field(default_factory=dict)
    """By part: how much an order should hold at least, where a better rule than ``cover_weeks`` gave it."""


def measured(measure: str) -> str:
    """The measure of service in words, after its share."""
    return "of order cycles without a shortage" if measure == CYCLE else "of use met at once"
