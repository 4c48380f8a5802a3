"""Explain: where a job's lines or a part's numbers come from."""

from reconcile.sheets.finding import call_fault
from reconcile.sheets.inputs import faults_of_job, has_job, knows, read_inputs
from reconcile.sheets.request import Request
from reconcile.values.problem import Problem, Unusable
from reconcile.values.week.explained import Explained
from reconcile.values.week.results import Inputs, Week
from reconcile.values.words import nearest
from reconcile.week import on_proposed_levels, takings
from reconcile.work.asking import answer_of, ask_by_number
from reconcile.work.planning import planned_week
from reconcile.work.stages import PLANNING, READING, Stage, unwatched


def explain(
    name: str, request: Request, stage: Stage = unwatched, *, proposed_levels: bool = False
) -> Explained:
    """A job, in whatever week it is planned, or a part of the period asked for.

    Inputs are read once for a job of the period and for a part of the stock sheet; only a job of another
    week has them read for that week. Raises Unusable for any other name, with the nearest ones.
    """
    stage(READING)
    inputs = read_inputs(request)
    if knows(name, inputs):
        stage(PLANNING)
        answer = answer_of(name, inputs)
        return Explained(answer.week, job=answer.result)
    if name not in inputs.stock.parts and has_job(name, request):
        answer = ask_by_number(name, request, stage)
        return Explained(answer.week, job=answer.result)
    stage(PLANNING)
    if proposed_levels:
        inputs = on_proposed_levels(inputs)
    return explained(name, inputs, planned_week(inputs))


def explained(name: str, inputs: Inputs, planned: Week) -> Explained:
    """A job or a part of a week that is planned. Raises Unusable for any other name, with the nearest."""
    for result in planned.jobs:
        if result.job.number == name:
            return Explained(planned, job=result)
    for part in planned.parts:
        if part.part.number == name:
            return Explained(planned, part=part, takings=takings(inputs, name))
    if knows(name, inputs):
        raise Unusable(*faults_of_job(name, inputs, planned.problems))
    raise Unusable(nothing_to_explain(name, planned))


def nothing_to_explain(name: str, planned: Week) -> Problem:
    """Why nothing can be said of a name."""
    if name in planned.stock.parts:
        says = (
            f"{name} is neither needed by a job of the period nor to be ordered; there is nothing to explain."
        )
        return call_fault("NAME", says)
    known = [*(job.job.number for job in planned.jobs), *planned.stock.parts]
    like = nearest(name, known)
    says = f"{name!r} is neither a job nor a part." + (f" Nearest: {', '.join(like)}." if like else "")
    return call_fault("NAME", says)
