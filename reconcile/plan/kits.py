"""Which jobs get a complete kit, what the others miss, and when they could be done.

Kits are given out one job after another, by priority, then day, then row: a job is chosen if it and all
that were chosen before it can be done on their days. Quantities are counted here in whole numbers of a
small unit of each part, which is exact and quick.
"""

import math
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from reconcile.plan.timeline import ZERO, Flow
from reconcile.values.days import NoWorkingDay, WorkDays
from reconcile.values.jobs import Job
from reconcile.values.results import COMPLETE, SHORT, WAITS, Awaited, Missing

Quantities = Mapping[str, Fraction]


@dataclass(frozen=True, slots=True)
class Demand:
    """One job's kit by part: what it takes on its day, and what it gives back from ``usable`` on.

    Jobs of one kind share their ``takes`` and ``gives``.
    """

    job: Job
    takes: Quantities
    gives: Quantities
    usable: date


@dataclass(frozen=True, slots=True)
class Verdict:
    """What becomes of one job."""

    kit: str
    missing: tuple[Missing, ...] = ()
    awaited: tuple[Awaited, ...] = ()
    earliest: date | None = None


@dataclass(frozen=True, slots=True)
class Arrival:
    """What comes in after the start: from an order, or from a job after inspection."""

    day: date
    quantity: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class Store:
    """What kits are given out from: each part's flow over all jobs, its receipts and its lead time."""

    flows: Mapping[str, Flow]
    receipts: Mapping[str, tuple[Arrival, ...]]
    lead_times: Mapping[str, int | None]
    today: date
    days: WorkDays


# --- the ledger of scarce parts ---------------------------------------------------------------------


@dataclass(slots=True)
class Balance:
    """One part while kits are given out: what is left up to each day of ``axis``, in 1/scale units."""

    axis: list[date]
    left: list[int]
    scale: int

    def least_from(self, day: date) -> int:
        """The least that is left on any day from ``day`` on."""
        return min(self.left[max(bisect_right(self.axis, day) - 1, 0) :])

    def add(self, day: date, units: int) -> None:
        for place in range(bisect_left(self.axis, day), len(self.axis)):
            self.left[place] += units

    def first_day_with(self, units: int) -> date | None:
        """The first day from which on ``units`` are always left; None if they never are."""
        for place in range(len(self.axis) - 1, -1, -1):
            if self.left[place] < units:
                return self.axis[place + 1] if place + 1 < len(self.axis) else None
        return date.min


@dataclass(slots=True)
class Ledger:
    """The scarce parts; one that no choice of jobs can bring short is not in it."""

    balances: dict[str, Balance]
    _units: dict[int, tuple[Quantities, list[tuple[str, Balance, int]]]] = field(default_factory=dict)

    def units(self, quantities: Quantities) -> list[tuple[str, Balance, int]]:
        """The scarce parts among ``quantities``, in small units; worked out once for equal jobs."""
        kept = self._units.get(id(quantities))
        if kept is None:
            found = [
                (number, balance, int(quantity * balance.scale))
                for number, quantity in quantities.items()
                if (balance := self.balances.get(number)) is not None
            ]
            self._units[id(quantities)] = kept = (quantities, found)
        return kept[1]

    def can_do(self, demand: Demand) -> bool:
        day = demand.job.day
        return all(balance.least_from(day) >= units for _, balance, units in self.units(demand.takes))

    def choose(self, demand: Demand) -> None:
        for _, balance, units in self.units(demand.takes):
            balance.add(demand.job.day, -units)
        for _, balance, units in self.units(demand.gives):
            balance.add(demand.usable, units)

    def missing(self, demand: Demand) -> tuple[Missing, ...]:
        """The least to buy, part by part, so that the chosen jobs and this one can be done."""
        day = demand.job.day
        return tuple(
            Missing(number, Fraction(lack, balance.scale))
            for number, balance, units in self.units(demand.takes)
            if (lack := units - balance.least_from(day)) > 0
        )

    def earliest(self, demand: Demand, store: Store) -> date | None:
        """The first working day on which the job could be done without taking from a chosen one.

        By what is on order and recovered; for a part of which that never leaves enough, by its lead
        time from today; None where that is not known.
        """
        day = max(demand.job.day, store.today)
        try:
            for number, balance, units in self.units(demand.takes):
                enough = balance.first_day_with(units)
                if enough is None:
                    lead_time = store.lead_times.get(number)
                    if lead_time is None:
                        return None
                    enough = store.days.after(store.today, lead_time)
                day = max(day, enough)
            return store.days.on_or_after(day)
        except NoWorkingDay:
            return None


def open_ledger(store: Store, demands: Iterable[Demand]) -> Ledger:
    """The ledger before any kit is given out.

    The flows count every job as done. Where even without what jobs give back all needs are met on
    their days, no choice of jobs can bring the part short, and it is left out.
    """
    kits = {id(each): each for demand in demands for each in (demand.takes, demand.gives)}
    scales: dict[str, int] = {}
    for kit in kits.values():
        for number, quantity in kit.items():
            scales[number] = math.lcm(scales.get(number, 1), quantity.denominator)
    return Ledger(
        {
            number: open_balance(flow, scales.get(number, 1))
            for number, flow in store.flows.items()
            if can_run_short(flow)
        }
    )


def open_balance(flow: Flow, scale: int) -> Balance:
    supply = (flow.shelf, *flow.received.values())
    scale = math.lcm(scale, *(quantity.denominator for quantity in supply))
    axis = sorted({date.min, *flow.received, *flow.recovered, *flow.needed})
    balance = Balance(axis, [int(flow.shelf * scale)] * len(axis), scale)
    for day, quantity in flow.received.items():
        balance.add(day, int(quantity * scale))
    return balance


def can_run_short(flow: Flow) -> bool:
    there = flow.shelf
    for day in sorted({*flow.received, *flow.needed}):
        there += flow.received.get(day, ZERO) - flow.needed.get(day, ZERO)
        if there < 0:
            return True
    return False


# --- giving out the kits ------------------------------------------------------------------------------


def give_kits(demands: list[Demand], store: Store, guest: int | None = None) -> list[Verdict]:
    """A verdict for each demand, in the order given.

    ``guest`` is the place of a job that only asks: it comes after all others and takes from none.
    """
    ledger = open_ledger(store, demands)
    verdicts = [Verdict(COMPLETE)] * len(demands)
    planned = [place for place in range(len(demands)) if place != guest]
    planned.sort(key=lambda place: first_come(demands[place].job))
    asking = [] if guest is None else [guest]
    chosen: list[int] = []
    for group in (planned, asking):
        short = [place for place in group if not choose_if_possible(demands[place], ledger)]
        chosen += set(group).difference(short)
        for place in short:
            verdicts[place] = refuse(demands[place], ledger, store)
    chosen.sort(key=lambda place: demands[place].job.order)
    for place, awaited in waiting(demands, chosen, store).items():
        verdicts[place] = Verdict(WAITS, awaited=awaited)
    return verdicts


def choose_if_possible(demand: Demand, ledger: Ledger) -> bool:
    possible = ledger.can_do(demand)
    if possible:
        ledger.choose(demand)
    return possible


def first_come(job: Job) -> tuple[int, date, int]:
    return (job.priority, job.day, job.place.row)


def refuse(demand: Demand, ledger: Ledger, store: Store) -> Verdict:
    return Verdict(SHORT, missing=ledger.missing(demand), earliest=ledger.earliest(demand, store))


def waiting(demands: list[Demand], chosen: list[int], store: Store) -> dict[int, tuple[Awaited, ...]]:
    """The chosen jobs that the shelf alone does not serve, and what each of them relies on.

    ``chosen`` are places in ``demands``, in order of day, priority and row: the order in which they take
    from the shelf, and after it from what has come in by their day, earliest first.
    """
    thin = thin_parts([demands[place] for place in chosen], store)
    if not thin:
        return {}
    shelf = {number: store.flows[number].shelf for number in thin}
    arrivals = arrivals_of(thin, [demands[place] for place in chosen], store)
    awaited: dict[int, tuple[Awaited, ...]] = {}
    for place in chosen:
        relies: list[Awaited] = []
        for number in demands[place].takes.keys() & thin:
            wanted = demands[place].takes[number]
            taken = min(shelf[number], wanted)
            shelf[number] -= taken
            relies += take_arrivals(number, wanted - taken, arrivals[number])
        if relies:
            awaited[place] = tuple(sorted(relies, key=lambda each: (each.part, each.day, each.source)))
    return awaited


def thin_parts(chosen: list[Demand], store: Store) -> set[str]:
    """Parts of which the chosen jobs take more than lies on the shelf."""
    alike = Counter(id(demand.takes) for demand in chosen)
    kits = {id(demand.takes): demand.takes for demand in chosen}
    taken: dict[str, Fraction] = {}
    for key, count in alike.items():
        for number, quantity in kits[key].items():
            taken[number] = taken.get(number, ZERO) + count * quantity
    return {number for number, quantity in taken.items() if quantity > store.flows[number].shelf}


def arrivals_of(thin: set[str], chosen: list[Demand], store: Store) -> dict[str, list[Arrival]]:
    """What comes in of each thin part, latest first, so that the earliest is taken from the end."""
    found = {number: list(store.receipts.get(number, ())) for number in thin}
    for demand in chosen:
        for number in demand.gives.keys() & thin:
            source = f"{demand.job.number}, after inspection"
            found[number].append(Arrival(demand.usable, demand.gives[number], source))
    for arrivals in found.values():
        arrivals.sort(key=lambda each: (each.day, each.source), reverse=True)
    return found


def take_arrivals(number: str, wanted: Fraction, arrivals: list[Arrival]) -> list[Awaited]:
    relies = []
    while wanted > 0:
        arrival = arrivals.pop()
        taken = min(arrival.quantity, wanted)
        wanted -= taken
        relies.append(Awaited(number, taken, arrival.day, arrival.source))
        if taken < arrival.quantity:
            arrivals.append(Arrival(arrival.day, arrival.quantity - taken, arrival.source))
    return relies
