"""Use of parts week by week, and what kind of demand that is."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from fractions import Fraction
from math import comb

from reconcile.values.stock.parts import Usage
from reconcile.values.week.levels import ERRATIC, INTERMITTENT, LUMPY, SMOOTH, DemandPattern, WeeklyUsage

ZERO = Fraction(0)
WEEK = timedelta(weeks=1)

INTERVAL_CUT = Fraction(132, 100)
VARIABILITY_CUT = Fraction(49, 100)
"""Syntetos, Boylan and Croston, *On the categorization of demand patterns*, J. Operational Research Society
56 (2005), 495-503: 1.32 and 0.49 (from memory)."""

BY_CHANCE = Fraction(1, 20)
"""A wait that is rarer than this by chance is taken to mean something: common practice, no source."""


def weekly_usage(usage: Iterable[Usage], today: date) -> tuple[WeeklyUsage, ...]:
    """Every used part's use by ISO week, from the sheet's first week to the last full week before today.

    Weeks without use are zeros. All parts are counted from the sheet's first week: to count each from its
    first use would start every series with a use, and so make seldom used parts look busier than they are.
    A part is taken for new, and counted from its first use, only where so long a wait for it would come by
    chance less than once in twenty (see ``rare_wait``). What was used in the week of today is not counted,
    that week not being over. In the order of the part numbers' first appearance.
    """
    rows = list(usage)
    end = monday(today)
    first = min((monday(row.day) for row in rows), default=end)
    length = max((end - first) // WEEK, 0)
    by_part: dict[str, dict[int, Fraction]] = defaultdict(dict)
    for row in rows:
        week, weeks = (row.day - first) // WEEK, by_part[row.part]
        if week < length:
            weeks[week] = weeks[week] + row.quantity if week in weeks else row.quantity
    return tuple(_series(part, weeks, first, length) for part, weeks in by_part.items())


def monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _series(part: str, by_week: dict[int, Fraction], first: date, length: int) -> WeeklyUsage:
    used = sorted(week for week, quantity in by_week.items() if quantity)
    if not used:
        return WeeklyUsage(part, first, (ZERO,) * length)
    left_out = used[0] if rare_wait(used[0], len(used), length) else 0
    idle_end = rare_wait(length - 1 - used[-1], len(used), length - left_out)
    weeks = tuple(by_week.get(week, ZERO) for week in range(left_out, length))
    return WeeklyUsage(part, first + left_out * WEEK, weeks, left_out, idle_end)


def rare_wait(wait: int, uses: int, weeks: int) -> bool:
    """Whether the first ``wait`` (or the last) of the weeks are without use less than once in twenty.

    If any choice of the weeks with use is as likely as any other, the chance is
    C(weeks - wait, uses) / C(weeks, uses).
    """
    return Fraction(comb(weeks - wait, uses), comb(weeks, uses)) < BY_CHANCE


def pattern_of(lots: Sequence[int]) -> DemandPattern | None:
    """The kind of demand of a use week by week, in any unit; None where it was used in fewer than two weeks.

    The interval is the number of weeks over the number of weeks with use. The variability is the variance of
    the quantities of those weeks (n - 1 in the denominator) over their squared mean.
    """
    uses, total, squares = sum(1 for lot in lots if lot), sum(lots), sum(lot * lot for lot in lots)
    if uses < 2:
        return None
    interval = Fraction(len(lots), uses)
    variability = Fraction(uses * (uses * squares - total**2), (uses - 1) * total**2)
    return DemandPattern(kind_of_demand(interval, variability), interval, variability)


def in_lots(quantities: Sequence[Fraction]) -> tuple[Fraction, tuple[int, ...]]:
    """The largest quantity of which all of these are whole numbers, and how many of it each is.

    1 and noughts where all are nought.
    """
    below = math.lcm(*{quantity.denominator for quantity in quantities})
    counted = [quantity.numerator * (below // quantity.denominator) for quantity in quantities]
    step = math.gcd(*counted) or below
    return Fraction(step, below), tuple(each // step for each in counted)


def common_step(quantities: Sequence[Fraction]) -> Fraction:
    """The largest quantity of which all of these are whole numbers; 1 where all are nought."""
    return in_lots(quantities)[0]


def kind_of_demand(interval: Fraction, variability: Fraction) -> str:
    """Smooth, erratic, intermittent or lumpy, by the cuts of Syntetos, Boylan and Croston (2005)."""
    if interval < INTERVAL_CUT:
        return SMOOTH if variability < VARIABILITY_CUT else ERRATIC
    return INTERMITTENT if variability < VARIABILITY_CUT else LUMPY
