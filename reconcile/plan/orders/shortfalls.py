"""From demands to parts: what comes and goes of each, what runs short, and what to order."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from itertools import chain

from reconcile.plan.flows.supply import Arrival, Demand, Supply, delivered_on, recovered_from
from reconcile.plan.flows.timeline import ZERO, Flow, Netted, net, shelf_days, short_units
from reconcile.plan.kits.bundles import Bundles, Serving
from reconcile.plan.needs.demands import Planner
from reconcile.plan.orders.orders import order_for, wanted
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
            number: Supply(max(part.on_hand - part.allocated, ZERO), tuple(arrivals.get(number, ())))
            for number, part in listed.items()
            if number in named
        },
        **{number: Supply(ZERO) for number in sorted(named - listed.keys())},
    }


def serve_all(bundles: Bundles, places: Iterable[int], patience: float) -> tuple[list[Serving], bool]:
    """Every job served on its day: least to buy, then least cost, then first choices; and whether proven."""
    own = list(places)
    packed = least(bundles.bundles(own), bundles.resources, patience)
    servings = [bundles.serving(bundles.demands[place], packed.taken[bundles.marks[place]]) for place in own]
    return servings, packed.proven


def flows_of(demands: list[Demand], servings: list[Serving], inputs: Inputs) -> dict[str, Flow]:
    """Every part's flow if all jobs are done on their days; equal jobs of one day are counted together."""
    flows = {number: Flow(part.on_hand - part.allocated) for number, part in inputs.stock.parts.items()}
    for due in inputs.stock.due:
        flows[due.part].received[due.day] += due.quantity
        flows[due.part].sources.setdefault(due.day, []).append(delivered_on(due))
    pairs = list(zip(demands, servings, strict=True))
    alike = Counter((serving.number, demand.job.day) for demand, serving in pairs)
    distinct = {(serving.number, demand.job.day): (demand, serving) for demand, serving in pairs}
    for key, (demand, serving) in distinct.items():
        for number, quantity in serving.takes.items():
            flows.setdefault(number, Flow()).needed[demand.job.day] += alike[key] * quantity
        for number, quantity in demand.gives.items():
            flows[number].recovered[demand.usable] += alike[key] * quantity
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
        if flow.idle and not wanted(part, Netted(ZERO, None, flow.book, ZERO)):
            continue
        result = part_result(part, flow, users.of(number), inputs)
        if result.order:
            yield buyer.sized(result)
        elif result.needed:
            yield result


class Users:
    """For each part the jobs that need it, in order of day, priority and row, and how much each needs."""

    def __init__(self, demands: list[Demand], servings: list[Serving]) -> None:
        self._turns = sorted(range(len(demands)), key=lambda each: demands[each].job.order)
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
    period, days = inputs.period, inputs.settings.days
    netted = net(flow, period.last)
    order = order_for(part, netted, period, inputs.today, days)
    return PartResult(
        part=part,
        on_order=sum(flow.received.values(), ZERO),
        needed=sum(flow.needed.values(), ZERO),
        recovered=sum(flow.recovered.values(), ZERO),
        shortfall=netted.shortfall,
        first_short=netted.first_short,
        end=netted.end,
        still_to_come=netted.still_to_come,
        want=order.want,
        order=order.quantity,
        packs=order.packs,
        required_by=order.required_by,
        order_by=order.order_by,
        late=order.late,
        jobs=tuple(demand.job.number for demand, _ in users),
        at_risk=tuple(peg(flow, users)) if netted.shortfall else (),
        days=shelf_days(flow, period.last),
    )


def peg(flow: Flow, users: list[tuple[Demand, Fraction]]) -> Iterator[AtRisk]:
    """Every short unit with the job that goes without it, when jobs take in order of day."""
    short = short_units(flow, [(demand.job.day, quantity) for demand, quantity in users])
    for (demand, _), quantity in zip(users, short, strict=True):
        if quantity:
            yield AtRisk(demand.job.number, demand.job.day, quantity)


def parts_named(supplies: Mapping[str, Supply], planner: Planner) -> dict[str, Part]:
    return {number: planner.part(number) for number in supplies}
