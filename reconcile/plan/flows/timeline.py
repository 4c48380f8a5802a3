"""Supply and demand of one part, day by day, and what is short of it.

A job needs its parts at the start of its day. What lies on the shelf is there from the start; an order
due on a day, and a recovered part usable from a day, serve jobs of that day and later.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import field
from datetime import date
from fractions import Fraction

from reconcile.values.records import dataclass
from reconcile.values.week.results import ShelfDay, Source

ZERO = Fraction(0)
ByDay = Mapping[date, Fraction]


@dataclass(slots=True)
class Flow:
    """All that comes and goes of one part. ``book`` is on hand less allocated, and may be negative."""

    book: Fraction = ZERO
    received: dict[date, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    recovered: dict[date, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    needed: dict[date, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    given: dict[date, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    """What is recovered, by the day of the job that gives it."""
    sources: dict[date, list[Source]] = field(default_factory=dict)
    """Where what comes in on a day is from."""

    @property
    def idle(self) -> bool:
        """Nothing comes and nothing goes."""
        return not (self.received or self.recovered or self.needed)

    @property
    def shelf(self) -> Fraction:
        """What is there for kits at the start: never less than nothing."""
        return max(self.book, ZERO)


@dataclass(frozen=True, slots=True)
class Netted:
    """What netting finds over the days up to the reach, and what lacks beyond it."""

    shortfall: Fraction
    """The least to buy up to the reach."""
    first_short: date | None
    end: Fraction
    """Left at the end of the period."""
    position: Fraction
    """The end, less what is taken later up to the reach, and all that is still to come."""
    beyond: Fraction = ZERO


def total(by_day: ByDay) -> Fraction:
    return sum(by_day.values(), ZERO)


def up_to(by_day: ByDay, last: date) -> Fraction:
    return sum((quantity for day, quantity in by_day.items() if day <= last), ZERO)


def net(flow: Flow, last: date, reach: date) -> Netted:
    """Net one part over a period that ends with ``last``, and on until ``reach``, lot for lot.

    The shortfall is the greatest excess, over the days up to the reach, of what is needed up to the day over
    what is there up to it: time-phased netting with an empty lot rule (any textbook of materials planning).
    """
    by_day = excesses(flow)
    short = [(day, excess) for day, excess in by_day if day <= reach and excess > 0]
    shortfall = max((excess for _, excess in short), default=ZERO)
    everything = max((excess for _, excess in by_day), default=ZERO)
    end = flow.book + up_to(flow.received, last) + up_to(flow.recovered, last) - up_to(flow.needed, last)
    later = up_to(flow.needed, reach) - up_to(flow.needed, last)
    to_come = total(flow.received) - up_to(flow.received, last)
    given = up_to(flow.given, reach) - up_to(flow.recovered, last)
    return Netted(
        shortfall, short[0][0] if short else None, end, end - later + to_come + max(given, ZERO),
        max(everything, ZERO) - shortfall if everything > shortfall else ZERO,
    )  # fmt: skip


def excesses(flow: Flow) -> list[tuple[date, Fraction]]:
    """For each day on which anything comes or goes, what is needed up to it over what is there up to it."""
    there, gone, found = flow.shelf, ZERO, []
    for day in sorted({*flow.received, *flow.recovered, *flow.needed}):
        there += flow.received.get(day, ZERO) + flow.recovered.get(day, ZERO)
        gone += flow.needed.get(day, ZERO)
        found.append((day, gone - there))
    return found


def shelf_days(flow: Flow, last: date) -> tuple[ShelfDay, ...]:
    """The part's shelf on every day on which something comes or goes, and on the period's last day."""
    days = sorted({day for day in (*flow.received, *flow.recovered, *flow.needed, last) if day <= last})
    left, story = flow.book, []
    for day in days:
        received, recovered = flow.received.get(day, ZERO), flow.recovered.get(day, ZERO)
        taken = flow.needed.get(day, ZERO)
        left += received + recovered - taken
        sources = tuple(flow.sources.get(day, ()))
        story.append(ShelfDay(day, received, recovered, taken, left, sources))
    return tuple(story)


def short_units(flow: Flow, needs: Iterable[tuple[date, Fraction]]) -> list[Fraction]:
    """How much of each need goes without, when ``needs`` (in order of day) take what is there in turn.

    Together these are the shortfall: a unit that is missing is bought and leaves later days alone.
    """
    arrivals = sorted([*flow.received.items(), *flow.recovered.items()])
    there, next_arrival, short = flow.shelf, 0, []
    for day, quantity in needs:
        while next_arrival < len(arrivals) and arrivals[next_arrival][0] <= day:
            there += arrivals[next_arrival][1]
            next_arrival += 1
        served = min(there, quantity)
        there -= served
        short.append(quantity - served)
    return short
