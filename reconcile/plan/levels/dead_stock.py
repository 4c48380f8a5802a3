"""Dead and dear: stock that does not move, stock above its levels, and parts that many jobs hang on."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from reconcile.values.stock.parts import Part, Stock
from reconcile.values.trade_codes import rounded
from reconcile.values.week.levels import Above, DeadAndDear, Idle, PartLevels, SinglePoint
from reconcile.values.words import fold

YEAR = timedelta(days=365)

LONG_LEAD = 10
"""Working days from which on a lead time counts as long: common practice, no source."""

MOST_JOBS = Fraction(9, 10)
"""Share of the jobs from which on a part counts as used in all of them: common practice, no source. A part is
now and then forgotten in the usage sheet, so that one in really every job is never found."""


def dead_and_dear(stock: Stock, today: date, levels: Iterable[PartLevels] = ()) -> DeadAndDear:
    """What lies there for nothing, and what must not run out; dearest first, then in order of part number.

    ``levels`` are proposals: where one is given, stock is held against it, else against the sheet's own order
    up to. Values are on hand times price, in the part's currency, None without a price. A part bought in two
    currencies is not compared: each value stands in its own.
    """
    last_used: dict[str, date] = {}
    for each in stock.usage:
        if each.day <= today:  # a use to come is a slip, and moves nothing
            last_used[each.part] = max(each.day, last_used.get(each.part, each.day))
    since = today - YEAR
    idle = (
        Idle(part, last_used.get(number), worth(part, part.on_hand))
        for number, part in stock.parts.items()
        if part.on_hand > 0 and last_used.get(number, date.min) < since
    )
    return DeadAndDear(
        since=since,
        covered_from=min((use.day for use in stock.usage if use.day <= today), default=None),
        idle=tuple(sorted(idle, key=lambda each: dearest(each.part, each.value))),
        above=tuple(sorted(_above(stock, levels), key=lambda each: dearest(each.part, each.value))),
        single_points=tuple(single_points(stock)),
    )


def worth(part: Part, quantity: Fraction) -> Decimal | None:
    return None if part.price is None else rounded(quantity * Fraction(part.price), part.currency)


def dearest(part: Part, value: Decimal | None) -> tuple[bool, Decimal, str]:
    return (value is None, -(value or Decimal(0)), part.number)


def _above(stock: Stock, levels: Iterable[PartLevels]) -> Iterator[Above]:
    """Free stock above the order-up-to level and a pack: so much may lie there after a regular order."""
    proposed = {level.part.number: level.proposed for level in levels if level.proposed is not None}
    for number, part in stock.parts.items():
        own = proposed.get(number)
        most = part.order_up_to if own is None else own.order_up_to
        if most is None:
            continue
        excess = part.on_hand - part.allocated - most
        if excess > 0 and excess >= part.pack:
            yield Above(part, excess, worth(part, excess))


def single_points(stock: Stock) -> Iterator[SinglePoint]:
    """Parts from one supplier, with a long lead time, that (nearly) all jobs of the usage sheet used.

    The stock sheet names one supplier for a part, so a part with a supplier has only that one. Use without a
    job does not count. In order of the share of jobs, then of the lead time, the most and longest first.
    """
    jobs: dict[str, set[str]] = defaultdict(set)
    for each in stock.usage:
        if each.job:
            jobs[each.part].add(fold(each.job))
    every = len(set().union(*jobs.values()))
    found = [
        SinglePoint(part, len(jobs[number]), every)
        for number, part in stock.parts.items()
        if number in jobs
        and part.supplier
        and part.lead_time is not None
        and part.lead_time >= LONG_LEAD
        and len(jobs[number]) >= MOST_JOBS * every
    ]
    yield from sorted(found, key=lambda each: (-each.jobs, -(each.part.lead_time or 0), each.part.number))
