"""Values in, a planned week out: the whole pipeline on one screen."""

from datetime import datetime

from reconcile.plan.demands import Planned, Planner
from reconcile.plan.kits import Verdict, give_kits
from reconcile.plan.shelf import open_store, part_results
from reconcile.values.jobs import Job
from reconcile.values.results import SHORT, Inputs, JobResult, Solution, Week


def plan_week(inputs: Inputs, as_of: datetime, guest: Job | None = None) -> Week:
    """Needs, plan in time, choice of kits and orders for all jobs of the period.

    ``guest`` is a job that only asks whether it could be done: it comes last and takes from no other;
    its result is the last of the week's jobs, and neither shelf nor orders count it.
    """
    planner = Planner(inputs)
    planned = list(planner.planned(inputs.jobs))
    asking = list(planner.planned(() if guest is None else (guest,)))
    store = open_store(inputs, planner, planned + asking)
    everyone = planned + asking
    verdicts = give_kits([each.demand for each in everyone], store, len(planned) if asking else None)
    if asking:
        store = open_store(inputs, planner, planned)
    return Week(
        period=inputs.period,
        today=inputs.today,
        as_of=as_of,
        jobs=tuple(job_result(each, verdict) for each, verdict in zip(everyone, verdicts, strict=True)),
        parts=tuple(part_results(inputs, planner, planned, store)),
        solution=greedy_solution(verdicts),
        problems=(*inputs.problems, *planner.problems),
        rows=planner.tallies(len(planned)),
        settings=inputs.settings,
        stock=inputs.stock,
        frames=inputs.frames,
        files=inputs.files,
    )


def job_result(planned: Planned, verdict: Verdict) -> JobResult:
    steps = planned.explosion.steps
    assert steps is not None  # a job without steps was set aside
    return JobResult(
        planned.job, verdict.kit, steps, planned.lines,
        verdict.missing, verdict.awaited, verdict.earliest, planned.notices,
    )  # fmt: skip


def greedy_solution(verdicts: list[Verdict]) -> Solution:
    """Kits given out in turn are proven the most only where none is short."""
    short = sum(each.kit == SHORT for each in verdicts)
    return Solution(proven=not short, gap=short)
