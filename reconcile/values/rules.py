"""How a workshop buys, counts and fills its shelf, as its settings say.

Apart from the values that are worked out by them: a command that only reads settings need not load those.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

ZERO = Fraction(0)

ALL_UNITS, INCREMENTAL = "all units", "incremental"
"""Whether a break's price holds for the whole order, or for the units from the break on."""

CLASSES = ("A", "B", "C")
"""By yearly value, the highest first."""

CYCLE, FILL, KITS = "cycle", "fill", "kits"
"""Measures of service: for each part by itself, the chance that nothing lacks until an order arrives; for all
parts together, the share of need met at once; for all parts together, the share of jobs with a whole kit."""


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
    def asked(self) -> bool:
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
    budget: Fraction | None = None
    """A sum for the mean shelf, in the workshop's currency: as much service as it buys, in place of
    ``service``."""
    cover_weeks: int = 4
    """Weeks of use in one order of a part for which the shop gives no levels: common practice, no source."""
    table: tuple[Fraction, ...] = tuple(Fraction(percent, 100) for percent in (90, 95, 98, 99))
    """The services whose cost is shown."""
    batches: Mapping[str, Fraction] = field(default_factory=dict)
    """By part: how much an order should hold at least, where a better rule than ``cover_weeks`` gave it."""
    pooling: bool = True
    """Whether a part with a short record is told more by parts of its kind."""

    @property
    def together(self) -> bool:
        """Whether the levels of all parts are set together."""
        return self.measure != CYCLE or self.budget is not None

    @property
    def aim(self) -> str:
        """The measure that levels set together serve: a budget alone buys as much need met as it can."""
        return FILL if self.measure == CYCLE and self.together else self.measure


def measured(measure: str) -> str:
    """The measure of service in words, after its share."""
    return {
        CYCLE: "of order cycles without a shortage",
        FILL: "of use met at once",
        KITS: "of jobs with a whole kit",
    }[measure]
