"""What to do today, by whom, and how many chairs hang on it: a list with a next step for each."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from reconcile.reports.orders.chase import sentence, to_chase
from reconcile.reports.week.tables import runs_low
from reconcile.reports.writing.wording import amount_of, count_text, day_text, some_of
from reconcile.values.catalogue import ERROR
from reconcile.values.days import week_text
from reconcile.values.orders.lines import UNPLACED
from reconcile.values.orders.listed import OpenLine
from reconcile.values.week.jobs import LEFT_OVER, NOT_CLOSED
from reconcile.values.week.results import DONE, SHORT, JobResult, PartResult, Week

BUYER, CLERK, TECHNICIAN = "Buyer", "Clerk", "Technician"
ORDERS, MEND, JOB, CLOSE, COUNT = "orders", "mend", "job", "close", "count"
"""Where a thing is done."""
MOST = 10
DOUBTFUL = ("on-hand-negative", "allocated-above-on-hand", "on-hand-unlikely")
"""What says that a bin should be counted."""


@dataclass(frozen=True, slots=True)
class ToDo:
    """One thing to do. ``go``: where, and ``what_of``: the job it is about."""

    what: str
    why: str
    who: str
    chairs: int
    go: str
    what_of: str = ""


def to_do(week: Week, most: int = MOST) -> tuple[list[ToDo], int]:
    """The first things, most chairs first, and how many more there are."""
    found = [
        *_orders(week), *_mending(week), *_chasing(week), *_short(week), *_left_over(week), *_closing(week),
        *_looking(week), *_counting(week),
    ]  # fmt: skip
    ordered = sorted(found, key=lambda step: -step.chairs)
    return ordered[:most], max(0, len(ordered) - most)


def to_place(part: PartResult, week: Week) -> bool:
    """Whether a part is to be ordered today, or should have been."""
    return bool(part.order) and (part.order_by is None or part.order_by <= week.today)


def _orders(week: Week) -> Iterator[ToDo]:
    chairs = _chairs(week)
    now = [part for part in week.parts if to_place(part, week)]
    for part in now:
        if part.at_risk:
            risked = dict.fromkeys(risk.job for risk in part.at_risk)
            by = part.order_by
            late = f" Late: it was to be ordered by {day_text(by)}." if part.late and by else ""
            wanted = f" Wanted on {day_text(part.required_by)}." if part.required_by else ""
            yield ToDo(
                f"Order {amount_of(part.order, part.part)} today",
                f"{part.part.designation or 'No description'}.{wanted}{late} For {some_of(list(risked), 6)}.",
                BUYER, sum(chairs.get(job, 0) for job in risked), ORDERS,
            )  # fmt: skip
    if levels := [part for part in now if not part.at_risk]:
        yield ToDo(
            f"Order {count_text(len(levels), 'part')} to keep the shelf filled",
            f"No job hangs on them: {some_of([part.part.number for part in levels], 6)}.", BUYER, 0, ORDERS,
        )  # fmt: skip


def _chairs(week: Week) -> dict[str, int]:
    return {result.job.number: result.job.chairs for result in (*week.jobs, *week.others)}


def _mending(week: Week) -> Iterator[ToDo]:
    """Rows that are set aside, sheet by sheet; of jobs so many chairs at least are not in the plan."""
    first = {fault.place.sheet: fault for fault in reversed(week.problems) if fault.severity == ERROR}
    for sheet, tally in week.rows.items():
        if tally.set_aside:
            fault = next((each for name, each in first.items() if name.casefold() == sheet), None)
            says = f" The first: {fault.says}" if fault else ""
            yield ToDo(
                f"Mend {count_text(tally.set_aside, 'row')} of {sheet}",
                f"Until then they are not in the plan.{says}", CLERK,
                tally.set_aside if sheet == "jobs" else 0, MEND,
            )  # fmt: skip


def _chasing(week: Week) -> Iterator[ToDo]:
    for line in week.open_orders.lines:
        if not to_chase(line):
            continue
        chairs = sum(hanging.chairs for hanging in line.late or line.hanging)
        place = line.standing == UNPLACED
        what = "Place or give up" if place else "Ask for"
        yield ToDo(f"{what} {_line_named(line)}", sentence(line), BUYER, chairs, ORDERS)


def _line_named(line: OpenLine) -> str:
    return f"{line.part} on {line.order}" if line.order else line.part


def _short(week: Week) -> Iterator[ToDo]:
    for result in week.jobs:
        if result.kit == SHORT:
            lacks = count_text(len(result.missing), "part")
            when = f" It could be done from {day_text(result.earliest)}." if result.earliest else ""
            day = day_text(result.planned_for or result.job.day)
            yield ToDo(
                f"Give {result.job.number} another day", f"Lacks {lacks} on {day}.{when}", CLERK,
                result.job.chairs, JOB, result.job.number,
            )  # fmt: skip


def left_over(week: Week) -> list[JobResult]:
    """Jobs that were not done when their week was closed."""
    return [result for result in week.others if result.job.beside == LEFT_OVER]


def _left_over(week: Week) -> Iterator[ToDo]:
    for result in left_over(week):
        does = "Give it a row with a new day, or release it" if result.job.held else "or delete its row"
        what = f"{result.job.number} is held and left over" if result.job.held else (
            f"Give {result.job.number} a new day, {does}"
        )  # fmt: skip
        why = "Left over from a week that is closed; it keeps its parts."
        yield ToDo(what, f"{does}. {why}" if result.job.held else why, CLERK, result.job.chairs, JOB,
                   result.job.number)  # fmt: skip


def _closing(week: Week) -> Iterator[ToDo]:
    """Weeks that are over and not closed."""
    open_weeks = Counter[str]()
    for result in week.others:
        if result.job.beside == NOT_CLOSED:
            open_weeks[week_text(result.job.day)] += result.job.chairs
    for name, chairs in open_weeks.items():
        yield ToDo(f"Close {name}", "Until then its jobs count as still to do.", TECHNICIAN, chairs, CLOSE)


def _looking(week: Week) -> Iterator[ToDo]:
    looks = [result for result in week.jobs if result.look_first and result.kit not in (SHORT, DONE)]
    for result in looks:
        yield ToDo(
            f"Look at the chair of {result.job.number} first", "Nothing says which spacers come off.",
            TECHNICIAN, result.job.chairs, JOB, result.job.number,
        )  # fmt: skip


def _counting(week: Week) -> Iterator[ToDo]:
    bins = list(dict.fromkeys(fault.place for fault in week.problems if fault.code in DOUBTFUL))
    if bins:
        says = " ".join(fault.says for fault in week.problems if fault.code in DOUBTFUL[:2])
        yield ToDo(f"Count {count_text(len(bins), 'bin')}", says or "Its figure is unlikely.", TECHNICIAN, 0,
                   COUNT)  # fmt: skip


def low_first(week: Week) -> list[PartResult]:
    """Parts that run short or low, the first to run short first."""
    return [part for part in week.parts if runs_low(part)]
