"""Ask about one job: a planned one by its number, or one that is only described."""

from dataclasses import dataclass
from datetime import datetime

from reconcile.memory import KeptChoices
from reconcile.sheets.inputs import faults_of_job, inputs_for_question, inputs_with_job
from reconcile.sheets.jobs.question import Question
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.values.week.results import Inputs, JobResult, Week
from reconcile.week import promise
from reconcile.work.stages import PLANNING, READING, Stage, unwatched


@dataclass(frozen=True, slots=True)
class Answer:
    """A job's kit, judged beside all others of its week, and that week with the job alone in it."""

    result: JobResult
    week: Week


def ask_by_number(number: str, request: Request, stage: Stage = unwatched) -> Answer:
    """Of a planned job, in whatever week it is. Raises Unusable for a faulty row, or a number no row has."""
    stage(READING)
    inputs = inputs_with_job(number, request)
    stage(PLANNING)
    return answer_of(number, inputs)


def answer_of(number: str, inputs: Inputs) -> Answer:
    """Of a job of inputs that were read. Raises Unusable with the faults for which it was set aside."""
    planned = promise(inputs, datetime.now(), number, memory=KeptChoices())
    if not planned.jobs:
        raise Unusable(*faults_of_job(number, inputs, planned.problems))
    return Answer(planned.jobs[0], planned)


def ask_by_words(question: Question, request: Request, stage: Stage = unwatched) -> Answer:
    """Of a job that is only described. Raises Unusable with the faults of the description."""
    stage(READING)
    inputs, job = inputs_for_question(question, request)
    stage(PLANNING)
    planned = promise(inputs, datetime.now(), guest=job, memory=KeptChoices())
    if not planned.jobs:
        raise Unusable(*(fault for fault in planned.problems if fault.place.file == job.place.file))
    return Answer(planned.jobs[0], planned)
