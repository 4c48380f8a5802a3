"""The chosen jobs take their parts in turn: from the shelf, from what has come in, and what they lack."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction

from reconcile.plan.flows.reach import lead_time_of
from reconcile.plan.flows.supply import Arrival, Demand, Supply, recovered_from
from reconcile.plan.kits.bundles import Serving
from reconcile.plan.solver.packing import Memory
from reconcile.values.days import WorkDays
from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Part
from reconcile.values.week.results import Awaited

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Shop:
    """What kits are given out from."""

    supplies: Mapping[str, Supply]
    parts: Mapping[str, Part]
    today: date
    days: WorkDays
    memory: Memory | None = None
    """Where the choice of an earlier run on the same inputs may be found."""
    lead_time: int | None = None
    """Working days from order to delivery of parts that name none."""
    last: date | None = None
    """The period's last day: substitutes and orders of jobs up to it weigh before all others."""

    @property
    def early(self) -> int | None:
        return None if self.last is None else self.last.toordinal()

    def in_time(self, number: str, day: date) -> bool:
        """Whether the part can still be ordered for that day."""
        open_from = self.supplies[number].open_from
        return open_from is not None and day >= open_from

    def order_day(self, number: str, day: date) -> date | None:
        """By when a part has to be ordered for a day; None where that can no longer be, or never."""
        lead_time = lead_time_of(self.parts[number], self.lead_time)
        if lead_time is None or not self.in_time(number, day):
            return None
        return self.days.before(day, lead_time)

    def order_by(self, day: date, lacks: Iterable[tuple[str, Fraction]]) -> date | None:
        """The earliest of the days by which what lacks on a day must be ordered."""
        days = []
        for number, _ in lacks:
            lead_time = lead_time_of(self.parts[number], self.lead_time)
            if lead_time is not None:
                days.append(self.days.before(day, lead_time))
        return min(days, default=None)


@dataclass(frozen=True, slots=True)
class Turn:
    """What a job relies on beside the shelf, and what it lacks of each part."""

    awaited: tuple[Awaited, ...] = ()
    lacks: tuple[tuple[str, Fraction], ...] = ()


NOTHING_ELSE = Turn()
"""The shelf alone serves it."""


def walked(chosen: Mapping[int, Demand], servings: Mapping[int, Serving], shop: Shop) -> dict[int, Turn]:
    """What the chosen jobs that the shelf alone does not serve find beside it, or lack.

    In order of day, priority, own date and row they take from the shelf, and after it from what has come in
    by their day, the earliest first. One that finds only part of a quantity takes that part.
    """
    thin = thin_parts(servings.values(), shop)
    if not thin:
        return {}
    shelf = {number: shop.supplies[number].shelf for number in thin}
    arrivals = arrivals_of(thin, chosen.values(), shop)
    wanted = {
        serving.number: [(n, serving.takes[n]) for n in serving.takes.keys() & thin]
        for serving in servings.values()
    }
    turns: dict[int, Turn] = {}
    for place in sorted(chosen, key=lambda at: chosen[at].order):
        relies: list[Awaited] = []
        lacks: list[tuple[str, Fraction]] = []
        for number, quantity in wanted[servings[place].number]:
            there = shelf[number]
            shelf[number] = max(there - quantity, ZERO)
            if there < quantity:
                found = list(take_arrivals(number, quantity - there, arrivals[number], chosen[place].when))
                relies += found
                lack = quantity - there - sum((arrival.quantity for arrival in found), ZERO)
                lacks += [(number, lack)] if lack else []
        if relies or lacks:
            awaited = tuple(
                sorted(relies, key=lambda arrival: (arrival.part, arrival.day, arrival.source.turn))
            )
            turns[place] = Turn(awaited, tuple(sorted(lacks)))
    return turns


def thin_parts(servings: Iterable[Serving], shop: Shop) -> set[str]:
    """Parts of which the chosen jobs take more than lies on the shelf."""
    distinct = {serving.number: serving for serving in servings}
    alike = Counter(serving.number for serving in servings)
    taken: dict[str, Fraction] = {}
    for serving in distinct.values():
        for number, quantity in serving.takes.items():
            taken[number] = taken.get(number, ZERO) + alike[serving.number] * quantity
    return {number for number, quantity in taken.items() if quantity > shop.supplies[number].shelf}


def arrivals_of(thin: set[str], chosen: Iterable[Demand], shop: Shop) -> dict[str, list[Arrival]]:
    """What comes in of each thin part, latest first, so that the earliest is taken from the end."""
    found = {number: list(shop.supplies[number].arrivals) for number in thin}
    for demand in chosen:
        for number in demand.gives.keys() & thin:
            found[number].append(Arrival(demand.usable, demand.gives[number], recovered_from(demand.job)))
    for arrivals in found.values():
        arrivals.sort(key=lambda arrival: (arrival.day, arrival.source.turn), reverse=True)
    return found


def take_arrivals(number: str, wanted: Fraction, arrivals: list[Arrival], by: date) -> Iterator[Awaited]:
    """What is there by a day of what comes in, the earliest first."""
    while wanted > 0 and arrivals and arrivals[-1].day <= by:
        arrival = arrivals.pop()
        taken = min(arrival.quantity, wanted)
        wanted -= taken
        yield Awaited(number, taken, arrival.day, arrival.source)
        if taken < arrival.quantity:
            arrivals.append(Arrival(arrival.day, arrival.quantity - taken, arrival.source))
