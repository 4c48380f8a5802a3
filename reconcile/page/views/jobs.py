"""Jobs and a job: its card, why of every line down to the cell, and the card to print."""

from starlette.responses import Response

from reconcile.page.asked import Asked, call_unusable
from reconcile.page.shown import page, planned
from reconcile.page.views.cards import card_of
from reconcile.page.views.spoken import bold_first
from reconcile.page.views.today import days_of
from reconcile.reports.week.screen import answer_line, opening_line
from reconcile.reports.week.why import why_job
from reconcile.reports.writing.wording import verdict
from reconcile.values.problem import Unusable
from reconcile.values.week.results import DONE, Answer, JobResult, Week
from reconcile.values.words import fold, nearest
from reconcile.work.questions.asking import ask_by_number


def jobs(asked: Asked) -> Response:
    """Every job that counts, by day; or those that a search finds."""
    week = planned(asked)
    words = asked.typed("q")
    every = sorted((*week.jobs, *week.others), key=lambda result: result.job.order)
    found = [result for result in every if matches(result, words)] if words else every
    return page(asked, "jobs.html", "jobs", {
        "week": week, "verdict": bold_first(verdict(week)), "days": days_of(week), "found": found,
        "words": words, "most": MOST_ROWS,
    })  # fmt: skip


MOST_ROWS = 500


def matches(result: JobResult, words: str) -> bool:
    """Whether number, frame, chair or technician hold every word."""
    job = result.job
    text = fold(" ".join((job.number, job.frame, job.asset, job.technician, job.day.isoformat())))
    return all(word in text for word in fold(words).split())


def job(asked: Asked) -> Response:
    """One job: of the plan that is shown, else of the week it lies in."""
    number = asked.typed("n")
    week = planned(asked)
    result, week = found_job(number, asked, week)
    return page(asked, "job.html", "jobs", {
        "result": result, "week": week, "card": card_of(result, week), "answer": answered(result, week),
        "why": why_job(result, week) if result.kit != DONE else "",
    })  # fmt: skip


def answered(result: JobResult, week: Week) -> object:
    return bold_first(answer_line(result) if result.kit == DONE else opening_line(Answer(result, week)))


def found_job(number: str, asked: Asked, week: Week) -> tuple[JobResult, Week]:
    """Raises Unusable with the faults of its row, or the nearest numbers."""
    for result in (*week.jobs, *week.others):
        if fold(result.job.number) == fold(number):
            return result, week
    if not number:
        raise Unusable(call_unusable("job", f"Which job? There are {named(number, week)}."))
    answer = ask_by_number(number, asked.desk.asking)
    return answer.result, answer.week


def named(number: str, week: Week) -> str:
    numbers = [result.job.number for result in week.jobs]
    return ", ".join(nearest(number, numbers) or numbers[:5])
