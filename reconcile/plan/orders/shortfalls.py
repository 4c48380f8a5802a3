"""From demands to parts: what comes and goes of each, what runs short, and what to order."""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from itertools import chain

from reconcile.plan.flows.reach import open_from, reach_of
from reconcile.plan.flows.supply import Arrival, Demand, Supply, delivered_on, recovered_from
from reconcile.plan.flows.timeline import (
    ZERO,
    Flow,
    Netted,
    later_days,
    net,
    on_its_way,
    shelf_days,
    short_units,
    up_to,
)
from reconcile.plan.kits.bundles import Bundles, Serving
from reconcile.plan.needs.demands import Planner
from reconcile.plan.ordering.standing import placed_rows
from reconcile.plan.orders.orders import order_for, wanted
from reconcile.plan.solver.packing import Resource
from reconcile.plan.solver.packing_solver import least
from reconcile.values.days import monday_of
from reconcile.values.stock.parts import Part
from reconcile.values.week.results import AtRisk, Inputs, PartResult, Source, ToCome


def supplies_for(demands: Iterable[Demand], inputs: Inputs) -> dict[str, Supply]:
    """What there is of every part that some choice of some line names, stock parts in the sheet's order."""
    kinds = {demand.kind: demand for demand in demands}
    named = {number for demand in kinds.values() for line in demand.lines for number in line.named}
    arrivals: dict[str, list[Arrival]] = {}
    for due in inputs.stock.due:
        arrival = Arrival(due.day, due.quantity, delivered_on(due))
        arrivals.setdefault(due.part, []).append(arrival)
    listed = inputs.stock.parts
    return {
        **{
            number: Supply(
                max(part.on_hand - part.allocated, ZERO), tuple(arrivals.get(number, ())), opens(part, inputs)
            )
            for number, part in listed.items()
            if number in named
        },
        **{number: Supply(ZERO) for number in sorted(named - listed.keys())},
    }


def opens(part: Part, inputs: Inputs) -> date | None:
    """The first day for which a part can still be ordered in time."""
    return open_from(part, inputs.settings.lead_time_days, inputs.today, inputs.settings.days)


def serve_all(bundles: Bundles, chosen: Mapping[int, Serving], patience: float) -> tuple[list[Serving], bool]:
    """Every job served on its day, and whether that is proven the least to buy.

    The ``chosen``, by place, keep the parts they have. The others take what is least to buy beside them, then
    what costs least, then first choices.
    """
    places = range(len(bundles.demands))
    rest = [place for place in places if place not in chosen]
    packed = least(bundles.bundles(rest), what_is_left(bundles, chosen), patience)
    servings = [
        chosen[place]
        if place in chosen
        else bundles.serving(bundles.demands[place], packed.taken[bundles.marks[place]])
        for place in places
    ]
    return servings, packed.proven


def what_is_left(bundles: Bundles, chosen: Mapping[int, Serving]) -> list[Resource]:
    """Each part as a resource once the chosen jobs have taken and given; below nothing where they lack."""
    moves: dict[int, dict[int, Fraction]] = {}

    def move(number: str, day: date, quantity: Fraction) -> None:
        own = moves.setdefault(bundles.numbers[number], {})
        own[day.toordinal()] = own.get(day.toordinal(), ZERO) + quantity * bundles.scales[number]

    for place, serving in chosen.items():
        demand = bundles.demands[place]
        for number, quantity in serving.takes.items():
            move(number, demand.when, -quantity)
        for number, quantity in demand.gives.items():
            move(number, demand.usable, quantity)
    return [
        replace(resource, supply=added(resource.supply, moves[place])) if place in moves else resource
        for place, resource in enumerate(bundles.resources)
    ]


def added(supply: Mapping[int, int], moves: Mapping[int, Fraction]) -> dict[int, int]:
    """What comes in by period, with what else comes and goes."""
    return {
        period: supply.get(period, 0) + int(moves.get(period, ZERO)) for period in sorted({*supply, *moves})
    }


def flows_of(demands: list[Demand], servings: list[Serving], inputs: Inputs) -> dict[str, Flow]:
    """Every part's flow if all jobs are done on their days; equal jobs of one day are counted together."""
    flows = {number: Flow(part.on_hand - part.allocated) for number, part in inputs.stock.parts.items()}
    for due in inputs.stock.due:
        flows[due.part].received[due.day] += due.quantity
        flows[due.part].sources.setdefault(due.day, []).append(delivered_on(due))
    for due in placed_rows(inputs):
        flows[due.part].placed[due.day] += due.quantity
    pairs = list(zip(demands, servings, strict=True))
    alike = Counter((serving.number, demand.when) for demand, serving in pairs)
    distinct = {(serving.number, demand.when): (demand, serving) for demand, serving in pairs}
    for key, (demand, serving) in distinct.items():
        for number, quantity in serving.takes.items():
            flows.setdefault(number, Flow()).needed[demand.when] += alike[key] * quantity
        for number, quantity in demand.gives.items():
            flows[number].recovered[demand.usable] += alike[key] * quantity
            flows[number].given[demand.when] += alike[key] * quantity
    name_recoveries(demands, flows)
    return flows


def name_recoveries(demands: list[Demand], flows: dict[str, Flow]) -> None:
    """Says of each recovered quantity which jobs it comes from; equal jobs are named together."""
    names: dict[tuple[tuple[int, int], date], list[Source]] = {}
    given = {demand.alike: demand.gives for demand in demands if demand.gives}
    for demand in demands:
        if demand.gives:
            names.setdefault((demand.alike, demand.usable), []).append(recovered_from(demand.job))
    for (alike, usable), sources in names.items():
        for number in given[alike]:
            flows[number].sources.setdefault(usable, []).extend(sources)


def part_results(
    inputs: Inputs,
    planner: Planner,
    demands: list[Demand],
    servings: list[Serving],
    chosen: Collection[int] | None = None,
) -> Iterator[PartResult]:
    """Every part that is needed or to be ordered: in the order of the sheet, then the new ones.

    ``chosen``: the places of the jobs that have a kit; None: all have.
    """
    from reconcile.plan.orders.buying import Buyer  # an answer about one job needs none

    flows = flows_of(demands, servings, inputs)
    users = Users(demands, servings)
    sure = SureFlows(demands, servings, chosen, inputs)
    buyer = Buyer(inputs)
    new = sorted(flows.keys() - inputs.stock.parts.keys())
    for number in (*inputs.stock.parts, *new):
        part, flow = planner.part(number), flows[number]
        if flow.idle and not wanted(part, Netted(ZERO, None, flow.book, flow.book)):
            continue
        told = [Lacking(flow, users.of(number)), *sure.of(number)]
        result = part_result(part, told, inputs)
        if result.order:
            yield buyer.sized(result)
        elif result.needed or result.needed_later or result.beyond:
            yield result


class Users:
    """For each part the jobs that need it, in order of day, priority and row, and how much each needs."""

    def __init__(self, demands: list[Demand], servings: list[Serving]) -> None:
        self._turns = sorted(range(len(demands)), key=lambda each: demands[each].order)
        self._demands, self._servings = demands, servings
        served: dict[int, list[int]] = {}
        for turn, place in enumerate(self._turns):
            served.setdefault(servings[place].number, []).append(turn)
        self._by_part: dict[str, list[list[int]]] = {}
        for serving in {serving.number: serving for serving in servings}.values():
            for number in serving.takes:
                self._by_part.setdefault(number, []).append(served[serving.number])

    def of(self, number: str) -> list[tuple[Demand, Fraction]]:
        places = [self._turns[turn] for turn in sorted(chain(*self._by_part.get(number, ())))]
        return [(self._demands[place], self._servings[place].takes[number]) for place in places]


@dataclass(frozen=True, slots=True)
class Lacking:
    """A part's flow, and who needs it in turn."""

    flow: Flow
    users: list[tuple[Demand, Fraction]]


class SureFlows:
    """The flows if only jobs that have a kit are done, of parts that the others would give back.

    What those give back is there only once they have what they lack themselves. So a job with a kit does not
    count on it, and what it lacks is to be bought all the same.
    """

    def __init__(
        self, demands: list[Demand], servings: list[Serving], chosen: Collection[int] | None, inputs: Inputs
    ) -> None:
        own = range(len(demands)) if chosen is None else sorted(chosen)
        others = set(range(len(demands))) - set(own)
        self._given = {number for place in others for number in demands[place].gives}
        if self._given:
            sure, served = [demands[each] for each in own], [servings[each] for each in own]
            self._flows, self._users = flows_of(sure, served, inputs), Users(sure, served)

    def of(self, number: str) -> list[Lacking]:
        """Nothing where nobody else gives the part back: then all jobs together lack no less."""
        if number not in self._given:
            return []
        return [Lacking(self._flows[number], self._users.of(number))]


def part_result(part: Part, told: list[Lacking], inputs: Inputs) -> PartResult:
    """``told``: if all jobs are done; and, if need be, if only those that have a kit are."""
    period, days, otherwise = inputs.period, inputs.settings.days, inputs.settings.lead_time_days
    reach = reach_of(part, otherwise, period.last, inputs.look_ahead, days)
    flow, users = told[0].flow, told[0].users
    found = [net(each.flow, period.last, reach) for each in told]
    netted = worse_of(found)
    lacking = max(zip(found, told, strict=True), key=lambda each: each[0].shortfall)[1]
    in_all = max(zip(found, told, strict=True), key=lambda each: each[0].in_all)[1]
    order = order_for(part, on_its_way(netted, flow, reach), period, inputs.today, days, otherwise)
    now = up_to(flow.needed, period.last)
    return PartResult(
        part=part,
        on_order=sum(flow.received.values(), ZERO),
        needed=now,
        needed_later=up_to(flow.needed, reach) - now,
        recovered=up_to(flow.given, reach),
        shortfall=netted.shortfall,
        first_short=netted.first_short,
        end=netted.end,
        position=netted.position,
        reach=reach,
        beyond=netted.beyond,
        want=order.want,
        order=order.quantity,
        packs=order.packs,
        required_by=order.required_by,
        order_by=order.order_by,
        late=order.late,
        jobs=tuple(demand.job.number for demand, _ in users),
        at_risk=tuple(peg(lacking, reach)) if netted.shortfall else (),
        days=shelf_days(flow, period.last),
        later=later_days(flow, period.last),
        to_come=by_week(in_all, netted.shortfall) if netted.beyond else (),
    )


def worse_of(found: list[Netted]) -> Netted:
    """The end and position of the first, and what lacks in whichever lacks more."""
    shortfall = max(each.shortfall for each in found)
    first_short = min((each.first_short for each in found if each.first_short), default=None)
    beyond = max(each.in_all for each in found) - shortfall
    return replace(found[0], shortfall=shortfall, first_short=first_short, beyond=beyond)


def peg(lacking: Lacking, reach: date) -> Iterator[AtRisk]:
    """Every unit short up to the reach with the job that goes without it, when jobs take in order of day."""
    users = lacking.users
    short = short_units(lacking.flow, [(demand.when, quantity) for demand, quantity in users])
    for (demand, _), quantity in zip(users, short, strict=True):
        if quantity and demand.when <= reach:
            yield AtRisk(demand.job.number, demand.job.day, quantity)


def by_week(lacking: Lacking, bought: Fraction) -> tuple[ToCome, ...]:
    """What lacks beside what is ``bought`` now, by the week of the jobs that go without it."""
    users = lacking.users
    short = short_units(lacking.flow, [(demand.when, quantity) for demand, quantity in users], bought)
    weeks: dict[date, list[tuple[str, Fraction]]] = {}
    for (demand, _), quantity in zip(users, short, strict=True):
        if quantity:
            weeks.setdefault(monday_of(demand.when), []).append((demand.job.number, quantity))
    return tuple(
        ToCome(monday, sum((quantity for _, quantity in own), ZERO), tuple(number for number, _ in own))
        for monday, own in weeks.items()
    )


def parts_named(supplies: Mapping[str, Supply], planner: Planner) -> dict[str, Part]:
    return {number: planner.part(number) for number in supplies}
