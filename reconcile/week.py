"""Values in, a planned week out: the whole pipeline on one screen."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from reconcile.plan.flows.supply import Demand
from reconcile.plan.joints.sections import Cuts
from reconcile.plan.kits.bundles import Bundles, Serving
from reconcile.plan.kits.turns import Shop
from reconcile.plan.kits.verdicts import Kits, Verdict, give_kits
from reconcile.plan.needs.demands import Planned, Planner
from reconcile.plan.needs.grades import differing, grades_told
from reconcile.plan.needs.left import together
from reconcile.plan.needs.mixed import unlike_stacks
from reconcile.plan.orders.shortfalls import Users, part_results, parts_named, serve_all, supplies_for
from reconcile.plan.solver.packing import Memory
from reconcile.values.problem import Problem, problem
from reconcile.values.week.jobs import SaidJob, Steps
from reconcile.values.week.picks import PartPick
from reconcile.values.week.results import DONE, SHORT, Inputs, JobResult, PartResult, Solution, Taking, Week


def plan_week(inputs: Inputs, as_of: datetime, memory: Memory | None = None) -> Week:
    """Needs, plan in time, choice of kits and orders for all jobs of the period."""
    # Not needed for an answer about one job, which has to be quick.
    from reconcile.plan.flows.picks import pick_list
    from reconcile.plan.ordering.hanging import open_orders, placed_references
    from reconcile.plan.orders.buying import ordered_together
    from reconcile.plan.orders.price_checks import price_problems, unpriced
    from reconcile.plan.orders.supplier_orders import supplier_orders

    placed = placed_references((line.key for line in inputs.order_lines), inputs.stock.due)
    planner = Planner(inputs)
    planned = list(planner.planned(inputs.jobs))
    settled = settle([each.demand for each in planned], planner, memory)
    cuts = Cuts(planner)
    late = out_of_turn(planned, settled.kits.verdicts)
    results = tuple(
        job_result(each, verdict, cuts, late.get(place))
        for place, (each, verdict) in enumerate(zip(planned, settled.kits.verdicts, strict=True))
    )
    planner.problems += [*late.values(), *differing(results), *unlike_stacks(results)]
    alone = tuple(part_results(inputs, planner, settled.demands, settled.servings, settled.chosen))
    parts, rounds = ordered_together(alone, inputs)
    week = whole_week(planner, as_of, results, parts, settled.solution)
    set_aside = {job.place.row for job in inputs.jobs} - {each.job.place.row for each in planned}
    sized = parts if inputs.settings.buying.asked else ()
    prices = (*price_problems(inputs.stock, inputs.today), *unpriced(sized))
    orders = supplier_orders(
        parts, inputs.stock, inputs.settings.currency, inputs.period, placed, inputs.settings.workshop
    )
    week = replace(week, open_orders=open_orders(week, inputs), placed_orders=placed)
    to_pick = [result for result in results if result.job.day <= inputs.period.last]
    return replace(
        week,
        problems=(
            *week.problems,
            *prices,
            *dict.fromkeys(fault for order in orders for fault in order.faults),
        ),
        cells=tuple(cell.setting_aside(set_aside) for cell in inputs.cells),
        rounds=rounds,
        orders=orders,
        picks=pick_list(to_pick, {**inputs.stock.parts, **{part.part.number: part.part for part in parts}}),
    )


@dataclass(frozen=True, slots=True)
class SettledKits:
    """All jobs that count with their kits, and with what serves them if every one is done on its day."""

    demands: list[Demand]
    kits: Kits
    servings: list[Serving]
    proven: bool

    @property
    def chosen(self) -> set[int]:
        """The places of the jobs that have a kit."""
        return {place for place, each in enumerate(self.kits.verdicts) if each.kit != SHORT}

    @property
    def solution(self) -> Solution:
        return Solution(self.kits.proven and self.proven, self.kits.gap, *self.kits.by_hand)


def settle(demands: list[Demand], planner: Planner, memory: Memory | None = None) -> SettledKits:
    """Kits first: the chosen jobs keep their parts when all the others are served beside them."""
    patience = planner.inputs.settings.patience
    shop, bundles = set_out(demands, planner, memory)
    kits = give_kits(bundles, shop, patience)
    chosen = {place: each.serving for place, each in enumerate(kits.verdicts) if each.kit != SHORT}
    return SettledKits(demands, kits, *serve_all(bundles, chosen, patience))


def on_proposed_levels(inputs: Inputs, even_for: Sequence[str] = ()) -> Inputs:
    """The inputs with the shelf levels that recorded use proposes, for those of the sheet.

    Only for who asks. Parts without a proposal keep what the sheet says, and so does all safety stock. So do
    parts whose proposal is to be looked at first, each with a notice, but for those in ``even_for``.
    """
    # Few ask, and it takes its time.
    from reconcile.plan.levels.proposals import propose, with_levels
    from reconcile.plan.levels.studies import with_lead_times
    from reconcile.plan.levels.usage_checks import levels_to_look_at

    settings = inputs.settings
    stock = with_lead_times(inputs.stock, settings.lead_time_days)
    found = propose(stock, inputs.today, settings.days, settings.levels)
    doubtful = tuple(levels_to_look_at(found, even_for))
    refused = {fault.found for fault in doubtful}
    proposals = tuple(levels for levels in found if levels.part.number not in refused)
    applied = with_levels(inputs.stock, proposals, even_for)
    return replace(inputs, stock=applied, proposals=proposals, problems=(*inputs.problems, *doubtful))


def promise(  # noqa: PLR0913, PLR0917  (one question, and all that may be known of it beforehand)
    inputs: Inputs,
    as_of: datetime,
    number: str = "",
    guest: SaidJob | None = None,
    memory: Memory | None = None,
    like: "BeforeAsking | None" = None,
) -> Week:
    """The week with one job alone in it: a planned one by its number, or one that only asks.

    It is judged beside all others that count; a job that only asks comes after them and takes from none.
    No orders are worked out, so that the answer is there at once. A week without jobs where the job cannot
    be planned: then the problems say why. ``like``: of the same inputs.
    """
    planner = Planner(inputs, like.planner if like else None)
    planned = list(like.planned) if like else list(planner.planned(inputs.jobs))
    asking = list(planner.planned(() if guest is None else (guest,)))
    everyone = planned + asking
    own = [
        place
        for place, each in enumerate(everyone)
        if (place >= len(planned) if guest else each.job.number == number)
    ]
    demands = [each.demand for each in everyone]
    shop, bundles = set_out(demands, planner, memory, len(planned), like.bundles if like else None)
    kits = give_kits(bundles, shop, inputs.settings.patience, len(planned) if asking else None, own)
    cuts = Cuts(planner)
    late = out_of_turn(everyone, kits.verdicts)
    jobs = tuple(job_result(everyone[place], kits.verdicts[place], cuts, late.get(place)) for place in own)
    planner.problems += [
        *(late[place] for place in own if place in late),
        *differing(jobs),
        *unlike_stacks(jobs),
    ]
    week = whole_week(planner, as_of, (), (), Solution(kits.proven, kits.gap, *kits.by_hand))
    return replace(week, jobs=jobs, picks=picks_beside(jobs, everyone, kits, own, shop))


def picks_beside(
    jobs: Sequence[JobResult], everyone: Sequence[Planned], kits: Kits, own: Sequence[int], shop: Shop
) -> tuple[PartPick, ...]:
    """What the one job that is asked about takes from which bin, the others having taken in their turn."""
    from reconcile.plan.flows.picks import Takes, picks_of

    others = (
        Takes(planned.job.order, verdict.serving.takes, verdict.awaited, verdict.missing)
        for place, (planned, verdict) in enumerate(zip(everyone, kits.verdicts, strict=True))
        if place not in own and verdict.kit != SHORT
    )
    return picks_of(jobs[0], others, shop.parts) if len(jobs) == 1 else ()


@dataclass(frozen=True, slots=True)
class BeforeAsking:
    """What is worked out once for many questions about the same inputs, of jobs without a chair's record."""

    planner: Planner
    planned: tuple[Planned, ...]
    bundles: Bundles


def before_asking(inputs: Inputs, memory: Memory | None = None) -> BeforeAsking:
    """Every kind of job exploded, all that count in numbers, and what serves them."""
    planner = Planner(inputs)
    planned = tuple(planner.planned(inputs.jobs))
    shop, bundles = set_out([each.demand for each in planned], planner, memory)
    give_kits(bundles, shop, inputs.settings.patience, told=())
    return BeforeAsking(planner, planned, bundles)


def whole_week(
    planner: Planner,
    as_of: datetime,
    results: tuple[JobResult, ...],
    parts: tuple[PartResult, ...],
    solution: Solution,
) -> Week:
    """The answer: jobs of the period, done ones among them, and those that count beside."""
    inputs = planner.inputs
    done = [JobResult(job, DONE, Steps(())) for job in inputs.done]
    jobs = (*(result for result in results if not result.job.beside), *done)
    others = (result for result in results if result.job.beside)
    return Week(
        period=inputs.period,
        today=inputs.today,
        as_of=as_of,
        jobs=tuple(sorted(jobs, key=lambda result: result.job.place.row)) if done else jobs,
        taken_as_done=inputs.taken_as_done,
        later=inputs.later,
        look_ahead=inputs.look_ahead,
        others=tuple(sorted(others, key=lambda result: result.job.order)),
        parts=parts,
        solution=solution,
        problems=(*inputs.problems, *planner.problems),
        rows=planner.tallies(),
        settings=inputs.settings,
        stock=inputs.stock,
        frames=inputs.frames,
        order_lines=inputs.order_lines,
        files=inputs.files,
        proposals=inputs.proposals,
        unread_columns=inputs.unread_columns,
        unlisted={**planner.unlisted, **planner.racks.wanted},
    )


def set_out(
    demands: list[Demand],
    planner: Planner,
    memory: Memory | None = None,
    own: int | None = None,
    like: Bundles | None = None,
) -> tuple[Shop, Bundles]:
    """What kits are given out from, and the jobs in numbers.

    Parts that only a job beyond the first ``own`` names stand last: without it the numbers are the same, and
    so is what was remembered of them.
    """
    inputs = planner.inputs
    supplies = supplies_for(demands[:own], inputs)
    if own is not None:
        supplies = {**supplies, **supplies_for(demands[own:], inputs)}
    parts = parts_named(supplies, planner)
    shop = Shop(
        supplies, parts, inputs.today, inputs.settings.days, memory,
        inputs.settings.lead_time_days, inputs.period.last,
    )  # fmt: skip
    return shop, Bundles(demands, supplies, parts, like)


def takings(inputs: Inputs, number: str) -> tuple[Taking, ...]:
    """Who takes a part on which day if every job is done, in order of day, priority and row."""
    return taking_book(inputs)(number)


def taking_book(inputs: Inputs) -> Callable[[str], tuple[Taking, ...]]:
    """The same of any part by its number, worked out once for all of them."""
    planner = Planner(inputs)
    settled = settle([planned_job.demand for planned_job in planner.planned(inputs.jobs)], planner)
    users = Users(settled.demands, settled.servings)

    def of(number: str) -> tuple[Taking, ...]:
        return tuple(
            Taking(demand.job.number, demand.when, quantity) for demand, quantity in users.of(number)
        )

    return of


def out_of_turn(everyone: list[Planned], verdicts: Sequence[Verdict]) -> dict[int, Problem]:
    """By place: jobs that start from what an earlier one of their chair leaves, which gets no kit."""
    short = {
        each.job.number for each, verdict in zip(everyone, verdicts, strict=True) if verdict.kit == SHORT
    }
    return {
        place: problem(
            "chair-job-before", each.job.place.cell("from"),
            f"{each.job.number} starts from the size that {each.follows} leaves, and that has no kit.",
            found=each.job.shown("from"),
        )
        for place, each in enumerate(everyone)
        if each.follows in short
    }  # fmt: skip


def job_result(planned: Planned, verdict: Verdict, cuts: Cuts, *apart: Problem | None) -> JobResult:
    """``apart``: what is to be said of it beside what its row says."""
    steps = planned.explosion.steps
    assert steps is not None  # a job without steps was set aside
    looked = cuts.of(planned, verdict.serving)
    return JobResult(
        planned.job,
        verdict.kit,
        steps,
        together(looked.lines) if planned.explosion.whole_job else looked.lines,
        verdict.missing,
        verdict.awaited,
        earliest=verdict.earliest,
        order_by=verdict.order_by,
        look_first=planned.explosion.look_first,
        notices=(
            *planned.notices,
            *(each.says for each in apart if each),
            *grades_told(verdict.serving.lines),
            *looked.unlike,
        ),
        gives_way=verdict.gives_way,
        cuts=looked.cuts,
        found=planned.explosion.found,
        unlike=looked.unlike,
        after=planned.explosion.after,
        planned_for=planned.demand.when,
    )
