"""Shelf levels as they are proposed: what use they rest on, what each point of service costs, and why.

Quantities and levels are exact, in the part's unit. Statistics (means, chances, shares) are floats: they are
estimates, and no part is ever counted with them.
"""

from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from reconcile.values.days import ONE_DAY, WorkDays, week_of
from reconcile.values.problem import Problem
from reconcile.values.records import dataclass
from reconcile.values.rules import LevelRules
from reconcile.values.stock.parts import Part
from reconcile.values.week.page_foot import PageFoot

SMOOTH, ERRATIC, INTERMITTENT, LUMPY = "smooth", "erratic", "intermittent", "lumpy"
"""Kinds of demand by interval and variability of sizes."""

POISSON, NEGATIVE_BINOMIAL, OWN_SIZES = "Poisson", "negative binomial", "own sizes"
"""How a week's use is spread about its mean."""

SMOOTHING = "simple exponential smoothing"
CROSTON = "Croston"
SYNTETOS_BOYLAN = "Syntetos-Boylan"
TEUNTER = "Teunter-Syntetos-Babai"
"""Methods of forecasting."""


@dataclass(frozen=True, slots=True)
class WeeklyUsage:
    """A part's use week by week, zeros included, in the part's unit."""

    part: str
    first: date
    """Monday of the first week counted."""
    weeks: tuple[Fraction, ...]
    left_out: int = 0
    """Weeks of the sheet before the first use that are not counted, the part being taken for new."""
    idle_end: bool = False
    """It has not been used for so long that its use may have ended."""

    @property
    def uses(self) -> int:
        """Weeks in which it was used."""
        return sum(1 for week in self.weeks if week)

    @property
    def total(self) -> Fraction:
        return sum((week for week in self.weeks if week), Fraction(0))

    @property
    def end(self) -> date:
        """The Monday after the last week counted."""
        return self.first + timedelta(weeks=len(self.weeks))


@dataclass(frozen=True, slots=True)
class DemandPattern:
    """The kind of demand, with the two figures that make it so."""

    kind: str
    interval: Fraction
    """Weeks counted for each week with use."""
    variability: Fraction
    """Variance of the used quantities over their squared mean."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A method with the constants that did best, and its error: see ``Forecast``."""

    method: str
    constant: float
    chance_constant: float | None
    error: float


@dataclass(frozen=True, slots=True)
class Forecast:
    """The forecast of a week's use (part's unit), by the method that missed least in hindsight."""

    method: str
    constant: float
    chance_constant: float | None
    """The second constant of the method that has two."""
    per_week: float
    error: float
    """Root mean squared miss of the use over ``horizon`` weeks, as a share of the mean use over as many."""
    horizon: int
    origins: int
    """How often, from one week to the next, it was put to the test."""
    tried: tuple[Tried, ...] = ()


@dataclass(frozen=True, slots=True)
class WeekLaw:
    """How a week's use is spread: a law of whole numbers of ``lot`` (part's unit)."""

    kind: str
    lot: Fraction
    mean: float
    variance: float
    """Of a week, in lots, with what the forecast itself may miss."""


@dataclass(frozen=True, slots=True)
class ServicePoint:
    """A pair of levels and what it gives."""

    wanted: Fraction | None
    """The service asked for; None for levels that were given."""
    reorder_point: Fraction
    order_up_to: Fraction
    cycle: float
    fill: float
    shelf: float
    """Mean on the shelf, in the part's unit."""
    orders_a_year: float
    value: Decimal | None
    """The mean shelf in money; None where no price is known."""
    per_point: Decimal | None = None
    """More money on the shelf for each further point of service, against the row before."""


@dataclass(frozen=True, slots=True)
class PartLevels:
    """A part's proposal with its working; without one, ``why_none`` says why."""

    part: Part
    usage: WeeklyUsage
    pattern: DemandPattern | None = None
    forecast: Forecast | None = None
    law: WeekLaw | None = None
    lead_weeks: int | None = None
    """Lead time in whole weeks, rounded up."""
    proposed: ServicePoint | None = None
    current: ServicePoint | None = None
    """What the given levels give; None where stock gives none."""
    table: tuple[ServicePoint, ...] = ()
    reasons: tuple[str, ...] = ()
    why_none: str = ""


@dataclass(frozen=True, slots=True)
class Idle:
    """Stock that did not move."""

    part: Part
    last_used: date | None
    """None where the usage sheet names no use of it."""
    value: Decimal | None


@dataclass(frozen=True, slots=True)
class Above:
    """Stock above its order-up-to level."""

    part: Part
    excess: Fraction
    value: Decimal | None


@dataclass(frozen=True, slots=True)
class SinglePoint:
    """A part that many jobs hang on, from one supplier, with a long lead time."""

    part: Part
    jobs: int
    of_jobs: int


@dataclass(frozen=True, slots=True)
class DeadAndDear:
    """Stock that does not move, stock above its levels, and single points of failure; dearest first."""

    since: date
    """Idle means not used since this day."""
    covered_from: date | None
    """First day of the usage sheet; None where there is none. After ``since``, it tells less than asked."""
    idle: tuple[Idle, ...]
    above: tuple[Above, ...]
    single_points: tuple[SinglePoint, ...]


@dataclass(frozen=True, slots=True)
class Spread:
    """A mean over seeds with its standard error."""

    mean: float
    error: float


@dataclass(frozen=True, slots=True)
class Replayed:
    """What one policy gave in the replayed year."""

    policy: str
    fill: Spread
    """Share of a week's need met from the shelf, the mean over all part-weeks with a need."""
    value: Spread
    """Mean shelf in money, of the parts with a price, or in units where none has one."""
    orders: Spread
    """Order lines placed."""


@dataclass(frozen=True, slots=True)
class Gain:
    """What the proposal buys against another policy: paired over seeds, negative where it loses."""

    against: str
    fill_at_equal_value: Spread
    value_at_equal_fill: Spread
    """Shelf value saved."""
    beyond_curve: int
    """Seeds at which the other lay outside the proposal's curve; its nearest end was taken."""


@dataclass(frozen=True, slots=True)
class ReplayResult:
    """What a year drawn again gives, for each policy of levels."""

    weeks: int
    seeds: tuple[int, ...]
    parts: tuple[str, ...]
    left_out: int
    """Parts with use that not every policy has levels for."""
    drawn_from: str
    policies: tuple[Replayed, ...]
    curve: tuple[Replayed, ...]
    """The proposal at several services, from low to high."""
    gains: tuple[Gain, ...]


@dataclass(frozen=True, slots=True)
class Survey:
    """What recorded use says of the whole shelf. Nothing of it is applied."""

    stock: str
    """The name of the stock workbook."""
    today: date
    rules: LevelRules
    levels: tuple[PartLevels, ...]
    """Every part: those of the stock sheet in its order, then those that only the usage sheet names."""
    dead: DeadAndDear
    problems: tuple[Problem, ...] = ()
    """What was found when stock was read."""

    def foot(self, days: WorkDays, as_of: datetime, country: str | None) -> PageFoot:
        """What stands at the foot of its workbook's pages: the week of today, and the time."""
        monday = self.today - self.today.weekday() * ONE_DAY
        return PageFoot(week_of(monday, days, []), as_of, country or "")


def about(figure: float) -> str:
    """A statistic for a person: three figures that count."""
    return f"{figure:.0f}" if abs(figure) >= 100 else f"{figure:.3g}"
