"""A file of which no row can be used says so first, and nothing is planned by it or ordered."""

import json
from pathlib import Path

import pytest
from books import workbook
from typer.testing import CliRunner

from reconcile.cli import app

FRAMES = Path(__file__).parents[1] / "cases" / "hand_week" / "frames"
JOBS = [["job", "date", "frame", "from", "to"], ["J-1", "2026-12-01", "HW-A", "14 in", "15 in"]]
STOCK = [["part", "on hand", "unit"], ["B-1", 3, "each"]]


def call(folder: Path, *words: str):
    request = ["week", str(folder), "--frames", str(FRAMES), "--today", "2026-11-27", *words]
    return CliRunner().invoke(app, request)


def test_a_stock_of_names_for_numbers_is_refused_in_one_sentence(tmp_path: Path) -> None:
    workbook(tmp_path / "jobs.xlsx", Jobs=JOBS)
    rows = [[f"B-{n}", "Smith", "blips" if n % 2 else "each"] for n in range(30)]
    workbook(tmp_path / "stock.xlsx", Stock=[STOCK[0], *rows])
    answer = call(tmp_path)
    assert (answer.exit_code, answer.stdout) == (2, "")
    first, *rest = answer.stderr.split("\nerror ")
    flowing = " ".join(first.split())
    assert flowing.startswith(
        "error sheet-unusable at stock.xlsx!Stock None of the 30 rows of stock can be used."
    )
    assert "The commonest faults: number-unreadable 30, unit-unknown 15." in flowing
    assert len(rest) == 2
    assert "Likewise 29 more." in " ".join(rest[0].split())
    assert not (tmp_path / "reports").exists()


def test_jobs_that_are_none_are_refused_too(tmp_path: Path) -> None:
    workbook(
        tmp_path / "jobs.xlsx", Jobs=[JOBS[0], *[[f"J-{n}", "soon", "HW-A", "a", "b"] for n in range(5)]]
    )
    workbook(tmp_path / "stock.xlsx", Stock=STOCK)
    answer = call(tmp_path, "--json")
    assert answer.exit_code == 2
    told = json.loads(answer.stdout)["problems"]
    assert (told[0]["code"], told[0]["where"]) == ("sheet-unusable", "jobs.xlsx!Jobs")
    assert told[0]["says"].startswith("None of the 5 rows of jobs can be used.")
    assert [each["code"] for each in told[1:]] == ["length-unreadable", "date-unreadable"]


def test_jobs_whose_frames_nobody_knows_are_refused_too(tmp_path: Path) -> None:
    rows = [["J-1", "2026-12-01", "ZZ", "14 in", "15 in"], ["J-2", "2026-12-01", "YY", "14 in", "15 in"]]
    workbook(tmp_path / "jobs.xlsx", Jobs=[JOBS[0], *rows])
    workbook(tmp_path / "stock.xlsx", Stock=STOCK)
    answer = call(tmp_path)
    assert (answer.exit_code, answer.stdout) == (2, "")
    assert "None of the 2 rows of jobs can be used. The commonest faults: frame-unknown 2." in " ".join(
        answer.stderr.split()
    )


@pytest.mark.parametrize("other", ["2026-12-01", "2027-12-01"], ids=["one is sound", "one lies elsewhere"])
def test_one_row_that_is_no_fault_is_enough(tmp_path: Path, other: str) -> None:
    rows = [["J-1", "soon", "HW-A", "a", "b"], ["J-2", other, "HW-A", "14 in", "15 in"]]
    workbook(tmp_path / "jobs.xlsx", Jobs=[JOBS[0], *rows])
    workbook(tmp_path / "stock.xlsx", Stock=STOCK)
    assert call(tmp_path, "--dry-run").exit_code in (0, 1)
