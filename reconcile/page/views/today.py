"""Today: the verdict, what to do and by whom, the days, deliveries, and jobs that are left over."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from starlette.responses import JSONResponse, Response

from reconcile.page.asked import Asked, see_other
from reconcile.page.shown import page, planned
from reconcile.page.views.spoken import bold_first
from reconcile.reports.glance.todo import CLOSE, COUNT, JOB, MEND, MOST_TO_DO, ORDERS, to_do
from reconcile.reports.week.screen import held_text
from reconcile.reports.writing.style import LEFT_OVER
from reconcile.reports.writing.wording import after_a_look, choice_text, count_text, verdict
from reconcile.values.days import ONE_DAY
from reconcile.values.week.results import COMPLETE, DONE, SHORT, TO_ORDER, WAITS, JobResult, Week

KINDS = (COMPLETE, WAITS, TO_ORDER, SHORT)
MOST_DELIVERIES = 12
GO = {
    ORDERS: ("/orders", "Orders"), MEND: ("/mend", "Mend"), JOB: ("/job", "See the job"),
    CLOSE: ("/close", "Close"), COUNT: ("/count", "Count"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class JobTick:
    """A job as a cell of a day."""

    number: str
    mark: str
    chairs: int
    path: str = "/job"
    here: bool = False


@dataclass(frozen=True, slots=True)
class DayStrip:
    """A day of the period with its jobs."""

    day: date
    jobs: tuple[JobTick, ...]
    said: str
    """``6 complete, 2 short``."""


def today(asked: Asked) -> Response:
    """The first page. While the first plan is made, or where none can be made, it says so."""
    if asked.shown.made is None:
        return page(asked, "reading.html", "today", {})
    if asked.shown.week is None:
        return page(asked, "no_plan.html", "today", {"faults": asked.shown.made.refused})
    week = planned(asked)
    steps = to_do(week)
    deliveries = week.open_orders.lines
    return page(asked, "today.html", "today", {
        "week": week, "verdict": bold_first(verdict(week)), "under": under(week), "figures": figures(week),
        "days": days_of(week), "steps": steps[:MOST_TO_DO], "more": len(steps) - MOST_TO_DO, "go": GO,
        "deliveries": deliveries[:MOST_DELIVERIES], "deliveries_more": len(deliveries) - MOST_DELIVERIES,
        "left": week.left_over, "held": held_text(week),
    })  # fmt: skip


def state_of(asked: Asked) -> Response:
    """For the script: whether the plan is that of the files as they are."""
    return JSONResponse({"ready": asked.desk.plan.shown(0).fresh})


def stop(asked: Asked) -> Response:
    """The button that ends the page."""
    asked.desk.stop()
    return page(asked, "stopped.html", "", {})


def home(_asked: Asked) -> Response:
    return see_other("/today")


def under(week: Week) -> str:
    """What the verdict rests on."""
    told = [f"{choice_text(week)}" if week.jobs else "", f"{looks}." if (looks := after_a_look(week)) else ""]
    if aside := {sheet: tally.set_aside for sheet, tally in week.rows.items() if tally.set_aside}:
        rows = ", ".join(f"{count_text(count, 'row')} of {sheet}" for sheet, count in aside.items())
        told.append(f"Set aside and not in this answer: {rows}.")
    return " ".join(filter(None, told))


def figures(week: Week) -> list[tuple[str, str, int, str]]:
    """Kind, word, jobs, and what is said of them."""
    jobs = Counter(result.kit for result in week.jobs)
    chairs = Counter[str]()
    for result in week.jobs:
        chairs[result.kit] += result.job.chairs
    left = week.left_over
    words = (
        (COMPLETE, "Complete", "from the shelf"), (WAITS, "Wait", "for what is coming"),
        (TO_ORDER, "Order", "if ordered in time"), (SHORT, "Short", "not on their day"),
    )  # fmt: skip
    found = [
        (kind, word, jobs[kind], f"{count_text(chairs[kind], 'chair')}, {said}") for kind, word, said in words
    ]
    last = (LEFT_OVER, "Left over", len(left),
            f"{count_text(sum(found.job.chairs for found in left), 'chair')}, of weeks before")  # fmt: skip
    return [*found, last]


def tick_of(result: JobResult, path: str = "/job") -> JobTick:
    return JobTick(result.job.number, result.kit, result.job.chairs, path)


def days_of(week: Week) -> list[DayStrip]:
    """Every day of the period that is worked or has a job."""
    by_day: dict[date, list[JobResult]] = {}
    for result in sorted(week.jobs, key=lambda result: result.job.order):
        by_day.setdefault(result.job.day, []).append(result)
    days, day = set(by_day), week.period.first
    while day <= week.period.last and len(days) < 400:
        if week.settings.days.worked(day):
            days.add(day)
        day += ONE_DAY
    return [strip(day, by_day.get(day, [])) for day in sorted(days)]


def strip(day: date, jobs: list[JobResult]) -> DayStrip:
    counts = Counter(result.kit for result in jobs)
    said = ", ".join(f"{counts[kind]} {kind}" for kind in (*KINDS, DONE) if counts[kind])
    return DayStrip(day, tuple(map(tick_of, jobs)), said or "no job")
