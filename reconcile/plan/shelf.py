"""From demands to parts: what comes and goes of each, what runs short, and what to order."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from reconcile.plan.demands import Planned, Planner
from reconcile.plan.kits import Arrival, Demand, Store
from reconcile.plan.orders import order_for, unit_price
from reconcile.plan.timeline import ZERO, Flow, net, shelf_days, short_units
from reconcile.values.parts import Part, PriceBreak
from reconcile.values.results import AtRisk, Inputs, PartResult


def open_store(inputs: Inputs, planner: Planner, planned: list[Planned]) -> Store:
    """Every part's flow if all jobs are done on their days; equal jobs of one day are counted together."""
    flows = {number: Flow(part.on_hand - part.allocated) for number, part in inputs.stock.parts.items()}
    receipts: dict[str, tuple[Arrival, ...]] = {}
    for due in inputs.stock.due:
        flows[due.part].received[due.day] += due.quantity
        arrival = Arrival(due.day, due.quantity, f"order {due.order}".strip())
        receipts[due.part] = (*receipts.get(due.part, ()), arrival)
    alike = Counter((id(each.lines), each.job.day) for each in planned)
    for each in {(id(each.lines), each.job.day): each for each in planned}.values():
        count, demand = alike[id(each.lines), each.job.day], each.demand
        for number, quantity in demand.takes.items():
            flows.setdefault(number, Flow()).needed[each.job.day] += count * quantity
        for number, quantity in demand.gives.items():
            flows[number].recovered[demand.usable] += count * quantity
    lead_times = {number: planner.part(number).lead_time for number in flows}
    return Store(flows, receipts, lead_times, inputs.today, inputs.settings.days)


def part_results(
    inputs: Inputs, planner: Planner, planned: list[Planned], store: Store
) -> Iterator[PartResult]:
    """Every part that is needed or to be ordered: in the order of the sheet, then the new ones."""
    in_turn = sorted((each.demand for each in planned), key=lambda each: each.job.order)
    users: dict[str, list[Demand]] = {}
    for demand in in_turn:
        for number in demand.takes:
            users.setdefault(number, []).append(demand)
    new = sorted(store.flows.keys() - inputs.stock.parts.keys())
    breaks: dict[str, list[PriceBreak]] = {}
    for each in inputs.stock.breaks:
        breaks.setdefault(each.part, []).append(each)
    for number in (*inputs.stock.parts, *new):
        result = part_result(planner.part(number), store.flows[number], users.get(number, []), inputs)
        price = unit_price(result.part, result.order, breaks.get(number, ()))
        result = replace(result, unit_price=price) if result.order else result
        if result.needed or result.order:
            yield result


def part_result(part: Part, flow: Flow, users: list[Demand], inputs: Inputs) -> PartResult:
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
        jobs=tuple(demand.job.number for demand in users),
        at_risk=tuple(peg(part.number, flow, users)) if netted.shortfall else (),
        days=shelf_days(flow, period.last) if users or order.quantity else (),
    )


def peg(number: str, flow: Flow, users: list[Demand]) -> Iterator[AtRisk]:
    """Every short unit with the job that goes without it, when jobs take in order of day."""
    short = short_units(flow, [(demand.job.day, demand.takes[number]) for demand in users])
    for demand, quantity in zip(users, short, strict=True):
        if quantity:
            yield AtRisk(demand.job.number, demand.job.day, quantity)
