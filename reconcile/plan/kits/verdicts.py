"""Which jobs get a complete kit, what the others miss, and when they could be done."""

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from reconcile.plan.flows.supply import FROM_THE_START, Arrival, Demand, Supply, recovered_from
from reconcile.plan.kits.bundles import Bundles, Serving
from reconcile.plan.solver.packing import (
    Ask,
    Balance,
    Bundle,
    Memory,
    Resource,
    Served,
    cannot_serve,
    heaviest_uses,
    serve_in_turn,
)
from reconcile.plan.solver.packing_solver import least, most_remembered
from reconcile.values.days import NoWorkingDay, WorkDays
from reconcile.values.stock.parts import Part
from reconcile.values.week.results import COMPLETE, SHORT, WAITS, Awaited, Missing

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


@dataclass(frozen=True, slots=True)
class Verdict:
    """What becomes of one job, and the parts that serve its lines."""

    kit: str
    serving: Serving
    missing: tuple[Missing, ...] = ()
    awaited: tuple[Awaited, ...] = ()
    earliest: date | None = None
    gives_way: str = ""
    """Of a job that only asks: the less urgent job whose kit would have to be taken for it."""


@dataclass(frozen=True, slots=True)
class Kits:
    """A verdict for each demand, in the order given, and how good the choice is known to be."""

    verdicts: tuple[Verdict, ...]
    by_hand: tuple[int, int]
    """Jobs and chairs that first come, first served would have given a kit."""
    proven: bool
    gap: int


def give_kits(
    bundles: Bundles,
    shop: Shop,
    patience: float,
    guest: int | None = None,
    told: Container[int] | None = None,
) -> Kits:
    """The most jobs of each priority in turn, proven; then the fewest substitutes, the earliest days, rows.

    ``guest`` is the place of a job that only asks: it is judged by what the chosen jobs leave. Of the jobs
    that get no kit only those ``told`` (None: all) are looked into: what they miss, when they could be done.
    """
    demands = bundles.demands
    planned = [place for place in range(len(demands)) if place != guest]
    packed = most_remembered(bundles.bundles(planned), bundles.resources, patience, shop.memory)
    servings: dict[int, Serving] = {}
    for mark, served in packed.taken.items():
        place = bundles.at[mark]
        servings[place] = bundles.serving(demands[place], served)
    leavings = Leavings(bundles, [(demands[place], serving) for place, serving in servings.items()])
    refusals = Refusals(bundles, leavings, shop)
    verdicts: dict[int, Verdict] = {
        place: refusals.of(demands[place])
        if told is None or place in told
        else Verdict(SHORT, bundles.serving(demands[place]))
        for place in planned
        if place not in servings
    }
    if guest is not None:
        verdict = judge_guest(
            demands[guest], bundles, leavings, shop, [(demands[p], s) for p, s in servings.items()]
        )
        if verdict.kit == SHORT:
            verdicts[guest] = verdict
        else:
            servings[guest] = verdict.serving
    waits = waiting({place: demands[place] for place in servings}, servings, shop)
    for place, serving in servings.items():
        awaited = waits.get(place, ())
        verdicts[place] = Verdict(WAITS if awaited else COMPLETE, serving, awaited=awaited)
    by_hand = [demands[bundles.at[mark]].job.chairs for mark in packed.by_hand]
    return Kits(
        tuple(verdicts[place] for place in range(len(demands))),
        (len(by_hand), sum(by_hand)), packed.proven, packed.gap,
    )  # fmt: skip


# --- what the chosen jobs leave ----------------------------------------------------------------------


class Leavings:
    """What is left of each part on each day once the chosen jobs have taken and given; built as asked."""

    def __init__(self, bundles: Bundles, chosen: Iterable[tuple[Demand, Serving]]) -> None:
        self._bundles = bundles
        self._moves: dict[str, dict[int, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
        alike: Counter[tuple[int, date]] = Counter()
        kinds: dict[tuple[int, date], tuple[Demand, Serving]] = {}
        for demand, serving in chosen:
            key = (serving.number, demand.job.day)
            alike[key] += 1
            kinds[key] = (demand, serving)
        for key, (demand, serving) in kinds.items():
            for number, quantity in serving.takes.items():
                self._moves[number][demand.job.day.toordinal()] -= alike[key] * quantity
            for number, quantity in demand.gives.items():
                self._moves[number][demand.usable.toordinal()] += alike[key] * quantity
        self._balances: dict[str, Balance] = {}

    def balance(self, number: str) -> Balance:
        found = self._balances.get(number)
        if found is None:
            place, scale = self._bundles.numbers[number], self._bundles.scales[number]
            moves = self._moves.get(number, {})
            found = Balance.of(self._bundles.resources[place].supply, moves)
            for period, quantity in moves.items():
                found.add(period, int(quantity * scale))
            self._balances[number] = found
        return found

    def without(self, demand: Demand, takes: Mapping[str, Fraction]) -> "Leavings":
        """What is left if this chosen job gave its kit back."""
        other = Leavings(self._bundles, ())
        for number, moves in self._moves.items():
            other._moves[number].update(moves)
        for number, quantity in takes.items():
            other._moves[number][demand.job.day.toordinal()] += quantity
        for number, quantity in demand.gives.items():
            other._moves[number][demand.usable.toordinal()] -= quantity
        return other

    def covers(self, numbers: Iterable[str]) -> bool:
        """Whether no part of these is ever taken before it is there."""
        return all(min(self.balance(number).left) >= 0 for number in numbers)


class Refusals:
    """What becomes of jobs that get no kit; worked out once for equal jobs of one day."""

    def __init__(self, bundles: Bundles, leavings: Leavings, shop: Shop) -> None:
        self._from = (bundles, leavings, shop)
        self._kept: dict[tuple[object, ...], Verdict] = {}

    def of(self, demand: Demand) -> Verdict:
        key = (demand.alike, demand.job.day)
        if key not in self._kept:
            self._kept[key] = refuse(demand, *self._from)
        return self._kept[key]


def refuse(demand: Demand, bundles: Bundles, leavings: Leavings, shop: Shop) -> Verdict:
    serving = bundles.serving(demand)
    return Verdict(
        SHORT, serving,
        missing=tuple(missing(demand, serving, bundles, leavings)),
        earliest=earliest(demand, bundles, leavings, shop),
    )  # fmt: skip


def missing(demand: Demand, serving: Serving, bundles: Bundles, leavings: Leavings) -> Iterator[Missing]:
    """The least to buy, by first choice and part by part, so that chosen jobs and this one can be done."""
    period = demand.job.day.toordinal()
    for number, quantity in serving.takes.items():
        scale = bundles.scales[number]
        lack = int(quantity * scale) - leavings.balance(number).least_from(period)
        if lack > 0:
            yield Missing(number, Fraction(lack, scale))


# --- when it could be done ----------------------------------------------------------------------------


def earliest(demand: Demand, bundles: Bundles, leavings: Leavings, shop: Shop) -> date | None:
    """The first working day on which the job could be done without taking from a chosen one.

    By what is on order and recovered; failing that, what never suffices is bought, and is there after its
    lead time from today. None where that is not known.
    """
    asks, numbers = bundles.asks(demand), list(bundles.numbers)
    parts = {resource: numbers[resource] for ask in asks for o in ask.options for resource, _ in o.uses}
    wanted = Wanted(asks, {resource: leavings.balance(number) for resource, number in parts.items()})
    first = max(demand.job.day, shop.today)
    try:
        found = first_day(wanted, {}, first, shop.days)
        if found is None:
            found = first_day(wanted, deliveries(wanted, parts, shop), first, shop.days)
    except NoWorkingDay:
        return None
    return found


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one job asks for, and what is left of each part that may serve it."""

    asks: tuple[Ask, ...]
    balances: Mapping[int, Balance]

    def enough(self, period: int, bought: Mapping[int, int]) -> bool:
        caps = {
            resource: UNLIMITED if bought.get(resource, period + 1) <= period else balance.least_from(period)
            for resource, balance in self.balances.items()
        }
        return serve_exactly(self.asks, caps) is not None


def first_day(wanted: Wanted, bought: Mapping[int, int], first: date, days: WorkDays) -> date | None:
    """The first working day from ``first`` on that has enough; there is never less on a later one."""
    start = first.toordinal()
    periods = {
        start,
        *bought.values(),
        *(axi for balance in wanted.balances.values() for axi in balance.axis),
    }
    worked = {days.on_or_after(date.fromordinal(max(start, period))) for period in periods if period < NEVER}
    in_turn = sorted(worked)
    place = bisect_left(in_turn, True, key=lambda day: wanted.enough(day.toordinal(), bought))
    return in_turn[place] if place < len(in_turn) else None


UNLIMITED = 10**12
"""Units of a part that can be bought in time."""


NEVER = date.max.toordinal()
"""The period of what is never usable."""


def deliveries(wanted: Wanted, parts: Mapping[int, str], shop: Shop) -> dict[int, int]:
    """The period from which each part that never suffices could be there if it were bought today."""
    most_used: dict[int, int] = defaultdict(int)
    for ask in wanted.asks:
        for resource, units in heaviest_uses(ask).items():
            most_used[resource] += units
    arrivals = {}
    for resource, units in most_used.items():
        lead_time = shop.parts[parts[resource]].lead_time
        if lead_time is not None and wanted.balances[resource].left[-1] < units:
            arrivals[resource] = shop.days.after(shop.today, lead_time).toordinal()
    return arrivals


def serve_exactly(asks: tuple[Ask, ...], caps: Mapping[int, int]) -> Served | None:
    """The asks served within the caps, or None where that cannot be; by hand first, else by programme."""
    if cannot_serve(asks, caps):
        return None
    served = serve_in_turn(asks, caps)
    if served is not None or not any(len(ask.options) > 1 for ask in asks):
        return served
    places = {resource: place for place, resource in enumerate(caps)}
    resources = [Resource({FROM_THE_START: max(units, 0)}) for units in caps.values()]
    own = tuple(
        Ask(
            ask.units,
            tuple(type(o)(tuple((places[r], n) for r, n in o.uses), o.penalty) for o in ask.options),
        )
        for ask in asks
    )
    packed = least([Bundle(1, 1, own, (0,))], resources)
    return None if packed.bought else packed.taken[0]


# --- a job that only asks ---------------------------------------------------------------------------------


def judge_guest(
    demand: Demand, bundles: Bundles, leavings: Leavings, shop: Shop, chosen: list[tuple[Demand, Serving]]
) -> Verdict:
    served = guest_served(demand, bundles, leavings)
    if served is not None:
        return Verdict(COMPLETE, bundles.serving(demand, served))
    refused = refuse(demand, bundles, leavings, shop)
    less_urgent = [each for each in chosen if each[0].job.priority > demand.job.priority]
    less_urgent.sort(
        key=lambda each: (-each[0].job.priority, -each[0].job.day.toordinal(), -each[0].job.place.row)
    )
    for other, serving in less_urgent:
        rest = leavings.without(other, serving.takes)
        # What the other gives back may be what a third job rests on, and that one keeps its kit.
        if rest.covers(other.gives) and guest_served(demand, bundles, rest) is not None:
            return Verdict(SHORT, refused.serving, refused.missing, (), refused.earliest, other.job.number)
    return refused


def guest_served(demand: Demand, bundles: Bundles, leavings: Leavings) -> Served | None:
    asks, numbers = bundles.asks(demand), list(bundles.numbers)
    period = demand.job.day.toordinal()
    used = {resource for ask in asks for option in ask.options for resource, _ in option.uses}
    return serve_exactly(
        asks, {each: leavings.balance(numbers[each]).least_from(period) for each in sorted(used)}
    )


# --- complete, or waiting for something ------------------------------------------------------------------


def waiting(
    chosen: Mapping[int, Demand], servings: Mapping[int, Serving], shop: Shop
) -> dict[int, tuple[Awaited, ...]]:
    """The chosen jobs that the shelf alone does not serve, and what each of them relies on.

    In order of day, priority and row they take from the shelf, and after it from what has come in by their
    day, the earliest first.
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
    awaited: dict[int, tuple[Awaited, ...]] = {}
    for place in sorted(chosen, key=lambda each: chosen[each].job.order):
        relies: list[Awaited] = []
        for number, quantity in wanted[servings[place].number]:
            there = shelf[number]
            if there >= quantity:
                shelf[number] = there - quantity
            else:
                shelf[number] = ZERO
                relies += take_arrivals(number, quantity - there, arrivals[number])
        if relies:
            awaited[place] = tuple(sorted(relies, key=lambda each: (each.part, each.day, each.source.turn)))
    return awaited


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


def take_arrivals(number: str, wanted: Fraction, arrivals: list[Arrival]) -> Iterator[Awaited]:
    while wanted > 0:
        arrival = arrivals.pop()
        taken = min(arrival.quantity, wanted)
        wanted -= taken
        yield Awaited(number, taken, arrival.day, arrival.source)
        if taken < arrival.quantity:
            arrivals.append(Arrival(arrival.day, arrival.quantity - taken, arrival.source))
