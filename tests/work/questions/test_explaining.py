"""An explanation is a value; inputs are read once for a job of the week, and for a part."""

from datetime import date
from pathlib import Path

import pytest
from closing_shop import shop

from reconcile.sheets import inputs as reading
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.work import book
from reconcile.work.questions.explaining import explain

FRIDAY = date(2026, 11, 27)


@pytest.fixture
def request_(tmp_path: Path) -> Request:
    return Request(shop(tmp_path / "shop"), today=FRIDAY)


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[Request]:
    """Every reading of all inputs."""
    seen: list[Request] = []
    read = reading.read_inputs

    def noted(places, says):
        seen.append(places)
        return read(places, says)

    monkeypatch.setattr(book, "read_inputs", noted)
    return seen


def test_a_job_of_the_week_is_explained_of_one_reading(request_: Request, reads: list[Request]) -> None:
    found = explain("J-100", request_)
    assert (found.job.job.number, found.part) == ("J-100", None)
    assert found.week.period.name == "2026-W49"
    assert len(reads) == 1


def test_a_part_is_explained_of_one_reading(request_: Request, reads: list[Request]) -> None:
    found = explain("CLIP", request_)
    # Two jobs of each of four weeks take 4 clips each.
    assert (found.part.part.number, found.job) == ("CLIP", None)
    assert [(taking.job, int(taking.quantity)) for taking in found.takings] == [
        (f"J-{week}0{number}", 4) for week in (1, 2, 3, 4) for number in (0, 1)
    ]
    assert len(reads) == 1


def test_a_job_of_a_later_week_is_explained_beside_all_that_count(
    request_: Request, reads: list[Request]
) -> None:
    found = explain("J-300", request_)
    assert (found.job.job.number, found.week.period.name) == ("J-300", "2026-W49")
    assert len(reads) == 1


def test_any_other_name_is_refused_with_the_nearest(request_: Request) -> None:
    with pytest.raises(Unusable) as refused:
        explain("CLIPS", request_)
    assert "Nearest: CLIP" in refused.value.problems[0].says
