"""A job that is asked about: the words of a command line as a Job, or as what its row might say instead."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import TypeVar

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.jobs.rows import says_none
from reconcile.sheets.jobs.spacers import read_spacers_now
from reconcile.values.frames.stacks import SpacersNow
from reconcile.values.problem import COMMAND_LINE, Place, Problem, RowPlace, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import SaidJob
from reconcile.values.week.results import AsIf
from reconcile.values.words import fold

ASKED = "this job"
"""What a job that has no number yet is called."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class OptionPlace(RowPlace):
    """Where a fault of a job that is only described stands: in an option, not in a cell."""

    def cell(self, heading: str = "") -> Place:
        return Place(self.file, "", f"--{heading.replace(' ', '-')}" if heading else "")


@dataclass(frozen=True, slots=True)
class AskedPlace(RowPlace):
    """Where a fault of a planned job that is asked about otherwise stands: in the option, else in its row."""

    asked: frozenset[str] = frozenset()
    """Headings that an option stands for."""

    def cell(self, heading: str = "") -> Place:
        if heading in self.asked:
            return Place(COMMAND_LINE, "", f"--{heading.replace(' ', '-')}")
        return RowPlace.cell(self, heading)


@dataclass(frozen=True, slots=True)
class Question:
    """The words as typed; "" where nothing was said. A chair's record may tell the size and the options."""

    frame: str = ""
    size_from: str = ""
    size_to: str = ""
    day: str = ""
    adjustment: str = ""
    options: str = ""
    side: str = ""
    left_now: str = ""
    right_now: str = ""
    chairs: str = ""
    priority: str = ""
    number: str = ""
    asset: str = ""
    spacers_now: str = ""

    @property
    def describes(self) -> bool:
        """It says all that a job needs; a chair's record may tell the size now."""
        return bool(self.frame and (self.size_from or self.asset) and self.size_to and self.day)

    @property
    def says_something(self) -> bool:
        """It says more than a number."""
        return self != Question(number=self.number)


@dataclass(frozen=True, slots=True)
class Said:
    """What a question says, by value; None where it says nothing."""

    day: date | None
    size_from: Fraction | None
    size_to: Fraction | None
    options: tuple[str, ...] | None
    """As typed; ``none`` says that there are none."""
    side: str | None
    left_now: int | None
    right_now: int | None
    spacers_now: SpacersNow | None
    chairs: int | None
    priority: int | None


def read_day(text: str, option: str) -> date:
    """An ISO date from the command line, or Unusable."""
    try:
        return read_date(text, None)
    except Unreadable as fault:
        raise Unusable(call_problem(option, fault)) from None


def call_problem(option: str, fault: Unreadable) -> Problem:
    return problem("call-unusable", Place(COMMAND_LINE, "", option), fault.says, do=fault.do)


def read_question(question: Question, settings: Settings) -> Said:
    """Every option by value. Raises Unusable with every one that cannot be read."""
    faults: list[Problem] = []

    def read(option: str, text: str, reader: Callable[[str], T]) -> T | None:
        try:
            return reader(text) if text else None
        except Unreadable as fault:
            faults.append(call_problem(option, fault))
            return None

    def length(text: str) -> Fraction:
        return read_length(text, settings.length_unit, settings.decimal)[0]

    def stacks(text: str) -> SpacersNow:
        return read_spacers_now(text, settings.length_unit, settings.decimal)

    side = fold(question.side) or None
    if side not in (None, "both", "left", "right"):
        says = f"--side {question.side!r} is none of both, left and right."
        faults.append(problem("call-unusable", Place(COMMAND_LINE, "", "--side"), says))
    said = Said(
        read("--date", question.day, lambda text: read_date(text, settings.date_order)),
        read("--from", question.size_from, length),
        read("--to", question.size_to, length),
        read_options(question.options),
        side,
        read("--left-now", question.left_now, read_whole),
        read("--right-now", question.right_now, read_whole),
        read("--spacers-now", question.spacers_now, stacks),
        read("--chairs", question.chairs, lambda text: read_whole(text, 1)),
        read("--priority", question.priority, lambda text: read_whole(text, 1)),
    )
    if faults:
        raise Unusable(*faults)
    return said


def read_options(text: str) -> tuple[str, ...] | None:
    """Fitted options; None where nothing is said."""
    return tuple(word.strip() for word in text.replace(";", ",").split(",") if word.strip()) or None


def read_asked(question: Question, settings: Settings, row: int = 0) -> SaidJob:
    """The job asked about, below the ``row`` of the last one that counts. Its faults name the option."""
    said = read_question(question, settings)
    options = said.options or ()
    return SaidJob(
        number=question.number.strip() or ASKED,
        day=said.day or date.min,
        frame=question.frame,
        size_from=said.size_from,
        size_to=said.size_to or Fraction(0),
        adjustment=question.adjustment,
        options=() if says_none(options) else options,
        no_options=says_none(options),
        side=said.side or "both",
        left_now=said.left_now,
        right_now=said.right_now,
        chairs=said.chairs or 1,
        priority=said.priority or 3,
        asset=question.asset.strip(),
        spacers_now=said.spacers_now,
        place=OptionPlace(COMMAND_LINE, "", row + 1),
    )


def as_if(job: SaidJob, question: Question, settings: Settings) -> SaidJob:
    """A planned job as it were if its row said what is asked."""
    said = read_question(question, settings)
    asked = replace(
        job,
        day=said.day or job.day,
        frame=question.frame or job.frame,
        size_from=job.size_from if said.size_from is None else said.size_from,
        size_to=job.size_to if said.size_to is None else said.size_to,
        adjustment=question.adjustment or job.adjustment,
        asset=question.asset.strip() or job.asset,
        spacers_now=said.spacers_now or job.spacers_now,
        side=said.side or job.side,
        left_now=job.left_now if said.left_now is None else said.left_now,
        right_now=job.right_now if said.right_now is None else said.right_now,
        chairs=said.chairs or job.chairs,
        priority=said.priority or job.priority,
    )
    if said.options is not None:
        none = says_none(said.options)
        asked = replace(asked, options=() if none else said.options, no_options=none)
    row = job.place
    place = AskedPlace(row.file, row.sheet, row.row, row.columns, frozenset(headings_said(question)))
    if said.spacers_now is None and starts_from(asked) != starts_from(job):
        asked = replace(asked, spacers_now=None)  # what the row says is said of another start
    return replace(asked, place=place)


def headings_said(question: Question) -> Iterator[str]:
    """The headings that an option stands for."""
    own = {
        "date": question.day, "from": question.size_from, "to": question.size_to,
        "left now": question.left_now, "right now": question.right_now, "spacers now": question.spacers_now,
        "frame": question.frame, "adjustment": question.adjustment, "options": question.options,
        "side": question.side, "asset": question.asset, "chairs": question.chairs,
        "priority": question.priority,
    }  # fmt: skip
    return (heading for heading, text in own.items() if text)


def starts_from(job: SaidJob) -> tuple[object, ...]:
    """What is said of the chair before the work, but for its spacers."""
    sides = (job.left_now, job.right_now)
    return fold(job.frame), fold(job.adjustment), job.size_from, *sides, fold(job.asset)


def differences(job: SaidJob, asked: SaidJob, unit: str) -> Iterator[AsIf]:
    """Heading by heading what is asked otherwise than the row says; sizes in ``unit``."""
    for heading in HEADINGS:
        row, now = words_of(job, heading, unit), words_of(asked, heading, unit)
        if row != now:
            yield AsIf(heading, row, now)


def words_of(job: SaidJob, heading: str, unit: str) -> str:
    whole = {"side": job.side, "chairs": str(job.chairs), "priority": str(job.priority)}
    return whole.get(heading) or job.shown(heading, unit)


HEADINGS = (
    "date", "frame", "adjustment", "from", "to", "options", "side", "left now", "right now",
    "spacers now", "asset", "chairs", "priority",
)  # fmt: skip
