"""From demands to parts: what comes and goes of each, what runs short, and what to order."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
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
    later_needs,
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
from reconcile.values.stock.parts import Part
from reconcile.values.week.results import AtRisk, Inputs, PartResult, Source


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
    inputs: Inputs, planner: Planner, demands: list[Demand], servings: list[Serving]
) -> Iterator[PartResult]:
    """Every part that is needed or to be ordered: in the order of the sheet, then the new ones."""
    from reconcile.plan.orders.buying import Buyer  # an answer about one job needs none

    flows = flows_of(demands, servings, inputs)
    users = Users(demands, servings)
    buyer = Buyer(inputs)
    new = sorted(flows.keys() - inputs.stock.parts.keys())
    for number in (*inputs.stock.parts, *new):
        part, flow = planner.part(number), flows[number]
        if flow.idle and not wanted(part, Netted(ZERO, None, flow.book, flow.book)):
            continue
        result = part_result(part, flow, users.of(number), inputs)
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


def part_result(part: Part, flow: Flow, users: list[tuple[Demand, Fraction]], inputs: Inputs) -> PartResult:
    period, days, otherwise = inputs.period, inputs.settings.days, inputs.settings.lead_time_days
    reach = reach_of(part, otherwise, period.last, inputs.look_ahead, days)
    netted = net(flow, period.last, reach)
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
        at_risk=tuple(peg(flow, users, reach)) if netted.shortfall else (),
        days=shelf_days(flow, period.last),
        later=later_days(flow, period.last),
        to_come=later_needs(flow, reach) if netted.beyond else (),
    )


def peg(flow: Flow, users: list[tuple[Demand, Fraction]], reach: date) -> Iterator[AtRisk]:
    """Every unit short up to the reach with the job that goes without it, when jobs take in order of day."""
    short = short_units(flow, [(demand.when, quantity) for demand, quantity in users])
    for (demand, _), quantity in zip(users, short, strict=True):
        if quantity and demand.when <= reach:
            yield AtRisk(demand.job.number, demand.job.day, quantity)


def parts_named(supplies: Mapping[str, Supply], planner: Planner) -> dict[str, Part]:
    return {number: planner.part(number) for number in supplies}
