"""The demonstration workshop: true to its tables, faulty only where it says so, scarce as it says."""

import re
from collections import Counter
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import make_demo_data as script
import pytest
from demo.jobs import job_rows
from demo.sheets import jobs_book, saved
from demo.stock import stock_rows
from python_calamine import CalamineWorkbook

from reconcile.sheets.finding import located
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.request import Request
from reconcile.values.week.results import COMPLETE, SHORT, WAITS, Inputs, Week
from reconcile.week import plan_week
from reconcile.work.book import read_book
from reconcile.work.planning import plan

DEMO = Path(__file__).resolve().parent.parent / "data_demo"
TODAY = date(2026, 11, 27)
NOW = datetime(2026, 11, 27, 8, 0)


@pytest.fixture(scope="module")
def inputs() -> Inputs:
    places = located(Request(folder=DEMO, today=TODAY, week="2026-W49"))
    return read_inputs(places, read_book(places))


@pytest.fixture(scope="module")
def week() -> Week:
    return plan(Request(folder=DEMO, today=TODAY, week="2026-W49"), remember=False)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    for name, content in script.made().items():
        (folder / name).write_bytes(content)
    return folder


def cells(path: Path) -> dict[str, list[list[object]]]:
    with CalamineWorkbook.from_path(path) as book:
        return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


@pytest.mark.parametrize("name", ["jobs.xlsx", "stock.xlsx"])
def test_the_workbooks_are_what_the_tables_make(made: Path, name: str) -> None:
    assert cells(made / name) == cells(DEMO / name)


def test_the_list_of_what_is_planted_is_what_the_tables_make(made: Path) -> None:
    assert (made / "README.md").read_text("utf-8") == (DEMO / "README.md").read_text("utf-8")


def test_two_runs_give_the_same_bytes(made: Path) -> None:
    book, _ = jobs_book()
    assert (made / "jobs.xlsx").read_bytes() == saved(book)


def planted() -> list[tuple[str, str]]:
    listed = re.findall(
        r"^\| \w+ \| `([^`]+)` \| `([^`]+)` \| .*?(?: \((\d+) times\))? \|$",
        (DEMO / "README.md").read_text("utf-8"),
        re.M,
    )
    return sorted((code, where) for where, code, times in listed for _ in range(int(times or 1)))


def test_every_planted_fault_is_found_and_no_other(week: Week) -> None:
    assert sorted((each.code, str(each.place)) for each in week.problems) == planted()


def test_rows_add_up(week: Week) -> None:
    for tally in week.rows.values():
        counted = tally.used + tally.beside + tally.done
        assert tally.read == counted + tally.set_aside + tally.outside_period
    assert week.rows["jobs"].read == len(job_rows()) == 65
    assert week.rows["stock"].read == sum(row is not None for row in stock_rows())


def test_most_jobs_have_a_complete_kit_some_wait_and_some_are_short(week: Week) -> None:
    kits = Counter(job.kit for job in week.jobs)
    assert kits[COMPLETE] > len(week.jobs) / 2
    assert kits[WAITS] >= 4
    assert kits[SHORT] >= 6


def served_in_turn(inputs: Inputs) -> list[str]:
    """Jobs served when each in turn has its kit if all that were served before it can still have theirs."""
    served: list[str] = []
    for job in sorted(inputs.jobs, key=lambda job: (job.priority, job.day, job.place.row)):
        trial = tuple(each for each in inputs.jobs if each.number in {*served, job.number})
        week = plan_week(replace(inputs, jobs=trial), NOW)
        planned = (*week.jobs, *week.others)
        if len(planned) == len(served) + 1 and all(each.kit != SHORT for each in planned):
            served.append(job.number)
    return served


@pytest.mark.slow
def test_the_best_choice_serves_at_least_three_jobs_more_than_first_come_first_served(
    week: Week, inputs: Inputs
) -> None:
    pytest.importorskip("reconcile.plan.solver.programme")
    counted = (*week.jobs, *week.others)
    chosen = {job.job.number: job.job.chairs for job in counted if job.kit != SHORT}
    served = served_in_turn(inputs)
    chairs = {job.number: job.chairs for job in inputs.jobs}
    assert len(served) <= len(counted) - 10
    assert len(chosen) >= len(served) + 3
    # Two pairs of chairs make way for single ones.
    assert sum(chosen.values()) >= sum(chairs[number] for number in served) + 2
