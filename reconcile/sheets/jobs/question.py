"""A job that only asks: the words of a command line as a Job, with every fault at once."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import TypeVar

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.values.problem import Place, Problem, RowPlace, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import Job
from reconcile.values.words import fold

COMMAND_LINE = "command line"
ASKED = "this job"
"""What a job that has no number yet is called."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Question:
    """The words as typed; "" where nothing was said."""

    frame: str
    size_from: str
    size_to: str
    day: str
    adjustment: str = ""
    options: str = ""
    side: str = "both"
    left_now: str = ""
    right_now: str = ""
    chairs: str = "1"
    priority: str = "3"
    number: str = ""


def read_day(text: str, option: str) -> date:
    """An ISO date from the command line, or Unusable."""
    try:
        return read_date(text, None)
    except Unreadable as fault:
        raise Unusable(call_problem(option, fault)) from None


def call_problem(option: str, fault: Unreadable) -> Problem:
    return problem("call-unusable", Place(COMMAND_LINE, "", option), fault.says, do=fault.do)


def read_asked(question: Question, settings: Settings) -> Job:
    """The job asked about. Its problems, and those found later, name the option instead of a cell."""
    faults: list[Problem] = []

    def read(option: str, text: str, reader: Callable[[str], T], default: T) -> T:
        try:
            return reader(text)
        except Unreadable as fault:
            faults.append(call_problem(option, fault))
            return default

    def length(text: str) -> Fraction:
        return read_length(text, settings.length_unit, settings.decimal)[0]

    def whole(text: str) -> int | None:
        return read_whole(text) if text else None

    side = fold(question.side) or "both"
    if side not in ("both", "left", "right"):
        says = f"--side {question.side!r} is none of both, left and right."
        faults.append(problem("call-unusable", Place(COMMAND_LINE, "", "--side"), says))
    job = Job(
        number=question.number.strip() or ASKED,
        day=read("--date", question.day, lambda text: read_date(text, settings.date_order), date.min),
        frame=question.frame,
        size_from=read("--from", question.size_from, length, Fraction(0)),
        size_to=read("--to", question.size_to, length, Fraction(0)),
        adjustment=question.adjustment,
        options=tuple(word.strip() for word in question.options.replace(";", ",").split(",") if word.strip()),
        side=side,
        left_now=read("--left-now", question.left_now, whole, None),
        right_now=read("--right-now", question.right_now, whole, None),
        chairs=read("--chairs", question.chairs, lambda text: read_whole(text, 1), 1),
        priority=read("--priority", question.priority, lambda text: read_whole(text, 1), 3),
        place=RowPlace(COMMAND_LINE, "", 0),
    )
    if faults:
        raise Unusable(*faults)
    return job
