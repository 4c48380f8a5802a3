"""Whoever asks many questions about the same files is answered as by asking each of them alone."""

import shutil
from pathlib import Path

import pytest
from open_page import DEMO, TODAY

from reconcile.sheets.jobs.question import Question
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.work.planning import read_all
from reconcile.work.questions.asking import AskingDesk, ask

QUESTIONS = [
    *(
        Question(frame="NQ-T1", size_from=now, size_to=wanted, day=day, options=options, chairs=chairs)
        for now, wanted in (("16 in", "17 in"), ("14 in", "18 in"), ("16 in", "15 1/2 in"))
        for day in ("2026-11-30", "2026-12-03", "2026-12-21")
        for options, chairs in (("", ""), ("front rigging", "2"))
    ),
    Question(frame="BD-A4", size_from="15 in", size_to="16 in", day="2026-12-02", adjustment="seat depth"),
    Question(frame="VL-M2", size_from="400 mm", size_to="425 mm", day="2026-12-02", side="left"),
    Question(frame="OS-X3", size_from="15 in", size_to="17 in", day="2027-06-01"),
    Question(frame="NQ-T1", size_from="16 in", size_to="17 in", priority="1"),
    Question(asset="WC-0443", size_to="17 in"),
    Question(number="J-4110"),
    Question(number="J-4101", chairs="50"),
    Question(number="J-4091"),
]


@pytest.fixture(scope="module")
def request_(tmp_path_factory) -> Request:
    folder: Path = shutil.copytree(DEMO, tmp_path_factory.mktemp("desk") / "workshop")
    return Request(folder, today=TODAY)


@pytest.fixture(scope="module")
def desk(request_) -> AskingDesk:
    return AskingDesk(read_all(request_), request_)


def answered(asks, question):
    """The result, or why there is none."""
    try:
        found = asks(question)
    except Unusable as unusable:
        return unusable.problems
    return found.result, found.as_if


@pytest.mark.parametrize("question", QUESTIONS, ids=range(len(QUESTIONS)))
def test_each_is_answered_as_if_it_were_asked_alone(desk, request_, question):
    alone = answered(lambda asked: ask(asked, request_), question)
    for _ in range(2):
        assert answered(desk.ask, question) == alone


@pytest.mark.parametrize(
    "question",
    [
        Question(frame="NQ-T1", size_from="16 in", size_to="16 1/4 in", day="2026-12-03"),
        Question(frame="NOPE", size_from="16 in", size_to="17 in", day="2026-12-03"),
        Question(frame="NQ-T1", size_to="17 in"),
        Question(number="J-9999"),
        Question(frame="NQ-T1", size_from="16 in", size_to="17 in", day="3/12/2026"),
    ],
    ids=range(5),
)
def test_what_cannot_be_answered_is_refused_alike(desk, request_, question):
    alone = answered(lambda asked: ask(asked, request_), question)
    assert isinstance(alone[0], type(answered(desk.ask, question)[0]))
    assert answered(desk.ask, question) == alone
