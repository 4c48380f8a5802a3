"""Ask about one job: a planned one, one as if its row said otherwise, or one that is only described.

Every answer is given over all jobs that count from today to the end of the look-ahead, whatever week the
job's day lies in. What a job leaves out is told by its chair's record.
"""

from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction

from reconcile.memory import ChoicesAtHand, KeptChoices
from reconcile.plan.solver.packing import Memory
from reconcile.sheets.finding import Located, call_fault, located, located_by
from reconcile.sheets.inputs import faults_of_job, is_unread, read_all_jobs
from reconcile.sheets.jobs.question import Question, as_if, differences, read_asked
from reconcile.sheets.jobs.rows import JobsRead
from reconcile.sheets.request import Request
from reconcile.values.days import week_text
from reconcile.values.ledger.standing import BookSays
from reconcile.values.problem import Problem, Unusable
from reconcile.values.week.jobs import DONE_ALREADY, Job, SaidJob, Steps, completed
from reconcile.values.week.results import DONE, Answer, AsIf, Inputs, JobResult
from reconcile.values.words import fold, nearest
from reconcile.week import BeforeAsking, before_asking, promise
from reconcile.work.book import inputs_by, read_book
from reconcile.work.chair import chairs_on_record, with_chairs
from reconcile.work.stages import PLANNING, READING, Stage, unwatched

NO_SIZE = Fraction(0)


def ask(question: Question, request: Request, stage: Stage = unwatched) -> Answer:
    """The answer by the sheets and the book. Raises Unusable as ``ask_of_book`` does."""
    stage(READING)
    places = located(request)
    return ask_of_book(question, places, read_book(places), stage)


class AskingDesk:
    """Answers many questions by inputs that were read before, of files that did not change since."""

    def __init__(self, inputs: Inputs, request: Request) -> None:
        """Raises Unusable as ``read_book`` does."""
        self._inputs, self._places = inputs, located_by(inputs.settings, request)
        self._says = read_book(self._places)
        self._memory = ChoicesAtHand()
        self._before = before_asking(inputs, self._memory)

    def ask(self, question: Question) -> Answer:
        """Raises Unusable as ``ask_of_book`` does."""
        job = described_job(question, self._places, self._says, self._inputs)
        if job is None or job.record_asset or not counts(job.day, self._inputs):
            return ask_of_inputs(question, self._places, self._says, self._inputs)
        return answer_described(job, self._inputs, self._memory, self._before)


def ask_by_number(number: str, request: Request, stage: Stage = unwatched) -> Answer:
    """Of a planned job, in whatever week it is."""
    return ask(Question(number=number), request, stage)


def ask_of_book(question: Question, places: Located, says: BookSays, stage: Stage = unwatched) -> Answer:
    """The answer by the sheets, what the book says and the chairs' records.

    Raises Unusable: the faults of a row or of a description; call-unusable for a number that no row has
    where the job is not described either.
    """
    return ask_of_inputs(question, places, says, inputs_by(places, says), stage)


def ask_of_inputs(
    question: Question, places: Located, says: BookSays, inputs: Inputs, stage: Stage = unwatched
) -> Answer:
    """The same by inputs that were read already; only a day beyond has them read."""
    job = described_job(question, places, says, inputs)
    if job is None:
        return of_known(question, places, says, inputs, stage)
    if not counts(job.day, inputs):
        inputs = inputs_by(places.in_week(week_text(job.day)), says)
        job = replace(job, place=replace(job.place, row=below(inputs) + 1))
    inputs = with_chairs(inputs, places, job)
    stage(PLANNING)
    return answer_described(job, inputs, KeptChoices())


def described_job(question: Question, places: Located, says: BookSays, inputs: Inputs) -> SaidJob | None:
    """The job that a question describes; None where it asks about one that is known. Raises Unusable."""
    number = question.number
    if number and is_known(number, inputs, says):
        return None
    described = of_some_day(of_chair(question, places), inputs)
    if not described.describes:
        raise Unusable(*unknown(question, places, says))
    return read_asked(described, inputs.settings, below(inputs))


def answer_described(
    job: SaidJob, inputs: Inputs, memory: Memory, like: BeforeAsking | None = None
) -> Answer:
    """Judged beside all that count. Raises Unusable with the faults of what was described."""
    planned = promise(inputs, datetime.now(), guest=job, memory=memory, like=like)
    if not planned.jobs:
        raise Unusable(
            *(
                fault
                for fault in planned.problems
                if fault.place.file == job.place.file and fault.severity == "error"
            )
        )
    return Answer(planned.jobs[0], planned)


def is_known(number: str, inputs: Inputs, says: BookSays) -> bool:
    """Whether a row, a hold or the book has a job of that number."""
    return (
        any(is_named(job, number) for job in inputs.jobs)
        or fold(number) in inputs.job_rows
        or is_unread(number, inputs)
        or says.of(number) is not None
    )


def of_known(
    question: Question, places: Located, says: BookSays, inputs: Inputs, stage: Stage = unwatched
) -> Answer:
    """Of a job that is planned, held or done."""
    number = question.number
    job = next((said for said in inputs.jobs if is_named(said, number)), None)
    if job is None:
        if is_unread(number, inputs):
            raise Unusable(*faults_of_job(number, inputs, inputs.problems))
        found = beside_the_plan(number, places, says, inputs)
        if isinstance(found, Answer):
            return found
        job, inputs = found, inputs_by(places.in_week(week_text(found.day)), says)
    told: tuple[AsIf, ...] = ()
    if question.says_something:
        job, inputs, told = asked_otherwise(job, question, places, says, inputs)
    inputs = with_chairs(inputs, places)
    stage(PLANNING)
    return replace(answer_of(job.number, inputs), as_if=told)


def asked_otherwise(
    job: SaidJob, question: Question, places: Located, says: BookSays, inputs: Inputs
) -> tuple[SaidJob, Inputs, tuple[AsIf, ...]]:
    """The inputs as they were if the job's row said what is asked, in the row's own place."""
    asked = as_if(job, question, inputs.settings)
    frame = inputs.frames.get(fold(job.frame))
    told = tuple(differences(job, asked, frame.unit if frame else "mm"))
    if not counts(asked.day, inputs):
        inputs = inputs_by(places.in_week(week_text(asked.day)), says)
    others = tuple(said for said in inputs.jobs if not is_named(said, job.number))
    rows = (*(said for said in others if said.place.row < job.place.row), asked)
    later = tuple(said for said in others if said.place.row >= job.place.row)
    return asked, replace(inputs, jobs=(*rows, *later)), told


def answer_of(number: str, inputs: Inputs) -> Answer:
    """Of a job of inputs that were read. Raises Unusable with the faults for which it was set aside."""
    planned = promise(inputs, datetime.now(), number, memory=KeptChoices())
    if not planned.jobs:
        raise Unusable(*faults_of_job(number, inputs, planned.problems))
    return Answer(planned.jobs[0], planned)


def of_chair(question: Question, places: Located) -> Question:
    """The question with the frame that the chair's record names, if none is asked and it names only one."""
    if question.frame or not question.asset:
        return question
    asset = fold(question.asset)
    frames = {
        fold(record.frame): record.frame for record in chairs_on_record(places) if fold(record.asset) == asset
    }
    return question if len(frames) != 1 else replace(question, frame=next(iter(frames.values())))


def of_some_day(question: Question, inputs: Inputs) -> Question:
    """The question with the first working day from today on, if it names neither a day nor a job: the answer
    says which day it is for.
    """
    if question.day or question.number:
        return question
    return replace(question, day=inputs.settings.days.on_or_after(inputs.today).isoformat())


# --- jobs that the plan leaves alone ------------------------------------------------------------------


def beside_the_plan(number: str, places: Located, says: BookSays, inputs: Inputs) -> SaidJob | Answer:
    """Of a job that does not count: that it is done, or is taken as done; or a later job, to be read.

    Raises Unusable with the faults of its row.
    """
    standing, every = says.of(number), read_all_jobs(places, says)
    job = next((said for said in (*every.done, *every.jobs) if is_named(said, number)), None)
    if standing is not None and standing.done:
        found = job or Job(number, standing.last_day, "", NO_SIZE, NO_SIZE, standing=DONE_ALREADY)
        return done_answer(found, standing.closing, inputs)
    if job is None:
        raise Unusable(*faults_in(every, number, inputs))
    return job if job.day >= inputs.today else done_answer(job, "", inputs)


def done_answer(job: SaidJob, closing: str, inputs: Inputs) -> Answer:
    """Done with a closing; or taken as done, for its day has passed and the book knows nothing of it."""
    planned = promise(replace(inputs, jobs=()), datetime.now())
    done = job if isinstance(job, Job) else completed(job, NO_SIZE)
    result = JobResult(done, DONE, Steps(()), done_with=closing)
    return Answer(result, replace(planned, jobs=(result,)))


def faults_in(every: JobsRead, number: str, inputs: Inputs) -> list[Problem]:
    """The errors for which its rows were set aside."""
    told = replace(inputs, unread_jobs=every.unread, jobs=())
    return faults_of_job(number, told, every.problems) or [no_such_job(number, every)]


def unknown(question: Question, places: Located, says: BookSays) -> list[Problem]:
    """Why nothing can be answered."""
    if question.number:
        return [no_such_job(question.number, read_all_jobs(places, says))]
    says_how = "A job is named by its number, or described by --frame, --from (or --asset) and --to."
    return [call_fault("the job's number", says_how)]


def no_such_job(number: str, every: JobsRead) -> Problem:
    like = nearest(number, (job.number for job in (*every.jobs, *every.done)))
    says = f"The jobs sheet has no job {number!r}." + (f" Nearest: {', '.join(like)}." if like else "")
    return call_fault("the job's number", says)


def is_named(job: SaidJob, number: str) -> bool:
    return fold(job.number) == fold(number)


def counts(day: date, inputs: Inputs) -> bool:
    """Whether a job of that day is judged in the period that was read."""
    return day <= inputs.look_ahead


def below(inputs: Inputs) -> int:
    """The row below which a job that only asks stands."""
    return max((job.place.row for job in inputs.jobs), default=0)
