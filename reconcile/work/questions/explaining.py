"""Explain: where a job's lines or a part's numbers come from."""

from collections.abc import Sequence

from reconcile.sheets.finding import call_fault, located
from reconcile.sheets.inputs import faults_of_job, knows
from reconcile.sheets.jobs.question import Question
from reconcile.sheets.request import Request
from reconcile.values.problem import Problem, Unusable
from reconcile.values.week.explained import Explained
from reconcile.values.week.results import Inputs, Week
from reconcile.values.words import called, nearest
from reconcile.week import on_proposed_levels, taking_book, takings
from reconcile.work.book import inputs_by, read_book
from reconcile.work.chair import with_chairs
from reconcile.work.planning import planned_week
from reconcile.work.questions.asking import is_known, of_known
from reconcile.work.stages import PLANNING, READING, Stage, unwatched

__all__ = ["explain", "explained", "taking_book"]


def explain(
    name: str,
    request: Request,
    stage: Stage = unwatched,
    *,
    proposed_levels: bool = False,
    even_for: Sequence[str] = (),
) -> Explained:
    """A job, in whatever week it is planned, or a part, over all jobs that count.

    Inputs are read once for a job that counts and for a part of the stock sheet; only a job beyond the
    look-ahead has them read for its week. Raises Unusable for any other name, with the nearest ones.
    """
    stage(READING)
    places = located(request)
    says = read_book(places)
    inputs = inputs_by(places, says)
    name = called(name, (*inputs.stock.parts, *inputs.stock.aside)) or name
    if is_known(name, inputs, says) and name not in inputs.stock.parts:
        answer = of_known(Question(number=name), places, says, inputs, stage)
        return Explained(answer.week, job=answer.result)
    inputs = with_chairs(inputs, places)
    stage(PLANNING)
    if proposed_levels:
        inputs = on_proposed_levels(inputs, even_for)
    return explained(name, inputs, planned_week(inputs))


def explained(name: str, inputs: Inputs, planned: Week) -> Explained:
    """A job or a part of a week that is planned. Raises Unusable for any other name, with the nearest."""
    jobs = {result.job.number: result for result in (*planned.jobs, *planned.others)}
    if (number := called(name, jobs)) is not None:
        return Explained(planned, job=jobs[number])
    parts = {part.part.number: part for part in planned.parts}
    number = called(name, {**planned.stock.parts, **planned.stock.aside, **parts})
    if number is not None and number in parts:
        return Explained(planned, part=parts[number], takings=takings(inputs, number))
    if knows(name, inputs):
        raise Unusable(*faults_of_job(name, inputs, planned.problems))
    raise Unusable(nothing_to_explain(name, planned))


def nothing_to_explain(name: str, planned: Week) -> Problem:
    """Why nothing can be said of a name."""
    if name in planned.stock.parts:
        says = (
            f"{name} is neither needed by a job that counts nor to be ordered; there is nothing to explain."
        )
        return call_fault("the name", says)
    if (aside := planned.stock.aside.get(name)) is not None:
        rows = "; ".join(
            f"{name}, row {row.row}, is set aside (cell {row.place.cell})" for row in aside.aside
        )
        return call_fault("the name", f"{rows}. Mend it, then ask again.")
    known = [*(job.job.number for job in (*planned.jobs, *planned.others)), *planned.stock.parts]
    like = nearest(name, known)
    says = f"{name!r} is neither a job nor a part." + (f" Nearest: {', '.join(like)}." if like else "")
    return call_fault("the name", says)
