"""Values in, a planned week out: the whole pipeline on one screen."""

from datetime import datetime

from reconcile.plan.bundles import Bundles
from reconcile.plan.demands import Planned, Planner
from reconcile.plan.kits import Shop, Verdict, give_kits
from reconcile.plan.shelf import part_results, parts_named, serve_all, supplies_for, users_of
from reconcile.values.jobs import Job
from reconcile.values.results import Inputs, JobResult, Solution, Taking, Week


def plan_week(inputs: Inputs, as_of: datetime, guest: Job | None = None) -> Week:
    """Needs, plan in time, choice of kits and orders for all jobs of the period.

    ``guest`` is a job that only asks whether it could be done: it comes last and takes from no other;
    its result is the last of the week's jobs, and neither shelf nor orders count it.
    """
    planner, patience = Planner(inputs), inputs.settings.patience
    planned = list(planner.planned(inputs.jobs))
    asking = list(planner.planned(() if guest is None else (guest,)))
    everyone, demands = planned + asking, [each.demand for each in planned + asking]
    supplies = supplies_for(demands, inputs)
    parts = parts_named(supplies, planner)
    bundles = Bundles(demands, supplies, parts)
    servings, proven = serve_all(bundles, range(len(planned)), patience)
    shop = Shop(supplies, parts, inputs.today, inputs.settings.days)
    kits = give_kits(bundles, shop, patience, len(planned) if asking else None)
    return Week(
        period=inputs.period,
        today=inputs.today,
        as_of=as_of,
        jobs=tuple(job_result(each, verdict) for each, verdict in zip(everyone, kits.verdicts, strict=True)),
        parts=tuple(part_results(inputs, planner, demands[: len(planned)], servings)),
        solution=Solution(kits.proven and proven, kits.gap, *kits.by_hand),
        problems=(*inputs.problems, *planner.problems),
        rows=planner.tallies(len(planned)),
        settings=inputs.settings,
        stock=inputs.stock,
        frames=inputs.frames,
        files=inputs.files,
    )


def takings(inputs: Inputs, number: str) -> tuple[Taking, ...]:
    """Who takes a part on which day if every job is done, in order of day, priority and row."""
    planner = Planner(inputs)
    demands = [each.demand for each in planner.planned(inputs.jobs)]
    supplies = supplies_for(demands, inputs)
    bundles = Bundles(demands, supplies, parts_named(supplies, planner))
    servings, _ = serve_all(bundles, range(len(demands)), inputs.settings.patience)
    users = users_of(demands, servings).get(number, [])
    return tuple(Taking(demand.job.number, demand.job.day, quantity) for demand, quantity in users)


def job_result(planned: Planned, verdict: Verdict) -> JobResult:
    steps = planned.explosion.steps
    assert steps is not None  # a job without steps was set aside
    return JobResult(
        planned.job, verdict.kit, steps, verdict.serving.lines, verdict.missing, verdict.awaited,
        verdict.earliest, planned.notices, verdict.gives_way,
    )  # fmt: skip
