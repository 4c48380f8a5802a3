"""Begin: own sheets looked at, what is open asked, and settings written for them."""

from datetime import date

from starlette.responses import Response

from reconcile.page.asked import Asked, note_sent
from reconcile.page.shown import page
from reconcile.values.beginning import Looked, OpenQuestion
from reconcile.work.beginning import begin_with, look, put_questions


def begin(asked: Asked) -> Response:
    """What lies in the folder, and what is open."""
    return questions_page(asked, look(asked.desk.folder), {})


def questions_page(asked: Asked, looked: Looked, answers: dict[str, str]) -> Response:
    put, settled = put_questions(looked, answers)
    return page(asked, "begin.html", "today", {
        "looked": looked, "questions": [shown(question, answer) for question, answer in put],
        "settled": settled, "again": bool(answers),
    })  # fmt: skip


def shown(question: OpenQuestion, answer: str) -> dict[str, object]:
    return {"question": question, "answer": answer}


def answers_of(asked: Asked) -> dict[str, str]:
    """What was answered, by what was asked: an answer to one question may lead to others."""
    found, number = {}, 0
    while asked.has(f"asks-{number}"):
        found[asked.typed(f"asks-{number}")] = asked.typed(f"answer-{number}")
        number += 1
    return found


def settle(asked: Asked) -> Response:
    """Writes settings and a frame to start from; first shows questions that the answers led to."""
    looked, answers = look(asked.desk.folder), answers_of(asked)
    put, _ = put_questions(looked, answers)
    if any(question.asks not in answers for question, _ in put):
        return questions_page(asked, looked, answers)
    begun = begin_with(looked, asked.desk.request.today or date.today(), answers)
    note_sent(asked)
    return page(asked, "begun.html", "today", {"begun": begun})
