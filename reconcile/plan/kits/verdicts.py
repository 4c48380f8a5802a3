"""Which jobs get a complete kit, what the others miss, and when they could be done."""

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction

from reconcile.plan.flows.supply import FROM_THE_START, Demand
from reconcile.plan.kits.bundles import Bundles, Serving
from reconcile.plan.kits.reasons import Reasons
from reconcile.plan.kits.turns import NOTHING_ELSE, Shop, Turn, walked
from reconcile.plan.solver.packing import (
    Ask,
    Balance,
    Bundle,
    Resource,
    Served,
    cannot_serve,
    serve_in_turn,
)
from reconcile.plan.solver.packing_solver import least, most_remembered
from reconcile.values.days import NoWorkingDay, WorkDays
from reconcile.values.records import dataclass
from reconcile.values.week.results import COMPLETE, SHORT, TO_ORDER, WAITS, Awaited, Missing

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What becomes of one job, and the parts that serve its lines."""

    kit: str
    serving: Serving
    missing: tuple[Missing, ...] = ()
    awaited: tuple[Awaited, ...] = ()
    earliest: date | None = None
    order_by: date | None = None
    """Of a job that hangs on an order not placed yet: by when that must be placed."""
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
    packed = most_remembered(bundles.bundles(planned), bundles.resources, patience, shop.memory, shop.early)
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
    taken = walked({place: demands[place] for place in servings}, servings, shop)
    for place, serving in servings.items():
        verdicts[place] = served_verdict(demands[place], serving, taken.get(place, NOTHING_ELSE), shop)
    reasons = Reasons(((demands[place], serving) for place, serving in servings.items()), shop)
    verdicts = {
        place: replace(verdict, missing=reasons.told(verdict.missing, demands[place].when))
        if verdict.missing
        else verdict
        for place, verdict in verdicts.items()
    }
    by_hand = [demands[bundles.at[mark]].job.chairs for mark in packed.by_hand]
    return Kits(
        tuple(verdicts[place] for place in range(len(demands))),
        (len(by_hand), sum(by_hand)), packed.proven, packed.gap,
    )  # fmt: skip


def served_verdict(demand: Demand, serving: Serving, turn: Turn, shop: Shop) -> Verdict:
    """What becomes of a chosen job, by what it found when the chosen jobs took their parts in turn."""
    if not turn.lacks:
        return Verdict(WAITS if turn.awaited else COMPLETE, serving, awaited=turn.awaited)
    missed = tuple(
        Missing(number, quantity, shop.in_time(number, demand.when)) for number, quantity in turn.lacks
    )
    return Verdict(TO_ORDER, serving, missed, turn.awaited, order_by=shop.order_by(demand.when, turn.lacks))


# --- what the chosen jobs leave ----------------------------------------------------------------------


class Leavings:
    """What is left of each part on each day once the chosen jobs have taken and given; built as asked."""

    def __init__(self, bundles: Bundles, chosen: Iterable[tuple[Demand, Serving]]) -> None:
        self._bundles = bundles
        self._moves: dict[str, dict[int, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
        alike: Counter[tuple[int, date]] = Counter()
        kinds: dict[tuple[int, date], tuple[Demand, Serving]] = {}
        for demand, serving in chosen:
            key = (serving.number, demand.when)
            alike[key] += 1
            kinds[key] = (demand, serving)
        for key, (demand, serving) in kinds.items():
            for number, quantity in serving.takes.items():
                self._moves[number][demand.when.toordinal()] -= alike[key] * quantity
            for number, quantity in demand.gives.items():
                self._moves[number][demand.usable.toordinal()] += alike[key] * quantity
        self._balances: dict[str, Balance] = {}

    def balance(self, number: str) -> Balance:
        found = self._balances.get(number)
        if found is None:
            place, scale = self._bundles.numbers[number], self._bundles.scales[number]
            moves = self._moves.get(number, {})
            resource = self._bundles.resources[place]
            found = Balance.of(resource.supply, moves, resource.open_from)
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
            other._moves[number][demand.when.toordinal()] += quantity
        for number, quantity in demand.gives.items():
            other._moves[number][demand.usable.toordinal()] -= quantity
        return other

    def covers(self, numbers: Iterable[str]) -> bool:
        """Whether no part of these is ever taken before it is there, or can be."""
        return all(self.balance(number).least_from(FROM_THE_START) >= 0 for number in numbers)


class Refusals:
    """What becomes of jobs that get no kit; worked out once for equal jobs of one day."""

    def __init__(self, bundles: Bundles, leavings: Leavings, shop: Shop) -> None:
        self._from = (bundles, leavings, shop)
        self._kept: dict[tuple[object, ...], Verdict] = {}

    def of(self, demand: Demand) -> Verdict:
        key = (demand.alike, demand.when)
        if key not in self._kept:
            self._kept[key] = refuse(demand, *self._from)
        return self._kept[key]


def refuse(demand: Demand, bundles: Bundles, leavings: Leavings, shop: Shop) -> Verdict:
    serving = bundles.serving(demand)
    return Verdict(
        SHORT, serving,
        missing=tuple(missing(demand, serving, bundles, leavings, shop)),
        earliest=earliest(demand, bundles, leavings, shop),
    )  # fmt: skip


def missing(
    demand: Demand, serving: Serving, bundles: Bundles, leavings: Leavings, shop: Shop
) -> Iterator[Missing]:
    """The least to buy, by first choice and part by part, so that chosen jobs and this one can be done.

    That is the greatest excess with this job, which recovers nothing, less that without it: what the chosen
    jobs still have to order is not told again.
    """
    period = demand.when.toordinal()
    for number, quantity in serving.takes.items():
        scale, balance = bundles.scales[number], leavings.balance(number)
        without = max(0, -min(balance.left))
        lack = max(0, int(quantity * scale) - balance.least_ever_from(period)) - without
        if lack > 0:
            yield Missing(number, Fraction(lack, scale), shop.in_time(number, demand.when))


# --- when it could be done ----------------------------------------------------------------------------


def earliest(demand: Demand, bundles: Bundles, leavings: Leavings, shop: Shop) -> date | None:
    """The first working day, from its own or today on, on which the job could be done.

    Without taking from a chosen one, by what is on order, recovered, and can be ordered in time. None where
    there is no such day.
    """
    asks, numbers = bundles.asks(demand), list(bundles.numbers)
    resources = {resource for ask in asks for option in ask.options for resource, _ in option.uses}
    wanted = Wanted(asks, {resource: leavings.balance(numbers[resource]) for resource in sorted(resources)})
    try:
        return first_day(wanted, max(demand.when, shop.today), shop.days)
    except NoWorkingDay:
        return None


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one job asks for, and what is left of each part that may serve it."""

    asks: tuple[Ask, ...]
    balances: Mapping[int, Balance]

    def enough(self, period: int) -> bool:
        caps = {resource: balance.least_from(period) for resource, balance in self.balances.items()}
        return serve_exactly(self.asks, caps) is not None


def first_day(wanted: Wanted, first: date, days: WorkDays) -> date | None:
    """The first working day from ``first`` on that has enough; there is never less on a later one."""
    start = first.toordinal()
    balances = wanted.balances.values()
    periods = {
        start,
        *(balance.open_from for balance in balances if balance.open_from is not None),
        *(period for balance in balances for period in balance.axis),
    }
    worked = {days.on_or_after(date.fromordinal(max(start, period))) for period in periods if period < NEVER}
    in_turn = sorted(worked)
    place = bisect_left(in_turn, True, key=lambda day: wanted.enough(day.toordinal()))
    return in_turn[place] if place < len(in_turn) else None


NEVER = date.max.toordinal()
"""The period of what is never usable."""


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
    packed = least([Bundle(1, 1, own, (0,), kind=0)], resources)
    return None if packed.bought else packed.taken[0]


# --- a job that only asks ---------------------------------------------------------------------------------


def judge_guest(
    demand: Demand, bundles: Bundles, leavings: Leavings, shop: Shop, chosen: list[tuple[Demand, Serving]]
) -> Verdict:
    served = guest_served(demand, bundles, leavings)
    if served is not None:
        return Verdict(COMPLETE, bundles.serving(demand, served))
    refused = refuse(demand, bundles, leavings, shop)
    wanted = {number for line in demand.lines for number in line.named}
    less_urgent = [
        pair
        for pair in chosen
        if pair[0].job.priority > demand.job.priority and not wanted.isdisjoint(pair[1].takes)
    ]
    less_urgent.sort(
        key=lambda pair: (-pair[0].job.priority, -pair[0].when.toordinal(), -pair[0].job.place.row)
    )
    for other, serving in less_urgent:
        rest = leavings.without(other, serving.takes)
        # What the other gives back may be what a third job rests on, and that one keeps its kit.
        if rest.covers(other.gives) and guest_served(demand, bundles, rest) is not None:
            return replace(refused, gives_way=other.job.number)
    return refused


def guest_served(demand: Demand, bundles: Bundles, leavings: Leavings) -> Served | None:
    asks, numbers = bundles.asks(demand), list(bundles.numbers)
    period = demand.when.toordinal()
    used = {resource for ask in asks for option in ask.options for resource, _ in option.uses}
    return serve_exactly(
        asks, {number: leavings.balance(numbers[number]).least_from(period) for number in sorted(used)}
    )
