"""How jobs and weeks stand in the book, seen from the weekly run: done, part done, left over, not closed."""

import sqlite3
from datetime import date
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from books import workbook
from closing_shop import WEEKS, add, all_done, fill, jobs_of, shop
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.sheets.request import Request
from reconcile.values.week.results import JobResult, Week
from reconcile.work.book import read_book
from reconcile.work.planning import plan

W49, W50, W51 = WEEKS[:3]
FRIDAY, MONDAY, FRIDAY_AFTER = date(2026, 11, 27), date(2026, 12, 7), date(2026, 12, 11)
LEDGER = "stock-ledger.sqlite"
KIT = {"CLIP": Fraction(4), "GLUE": Fraction(1, 10), "PAN-14": Fraction(1)}
"""What every job of the shop takes: see its frame file."""

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shop(tmp_path / "shop")


def run(*words: object, on: date, status: tuple[int, ...] = (0, 1)):
    answer = CliRunner().invoke(app, [*map(str, words), "--today", on.isoformat()])
    assert answer.exit_code in status, answer.output
    return answer


def week(folder: Path, name: str, on: date) -> str:
    """The screen of a week, on one line; its workbooks are written."""
    return " ".join(run("week", folder, "--week", name, "--force", on=on).stdout.split())


def returns(folder: Path, name: str, on: date) -> Path:
    week(folder, name, on)
    return folder / "reports" / f"returns-{name}.xlsx"


def close(folder: Path, name: str, on: date = FRIDAY) -> str:
    return " ".join(run("close", folder, "--week", name, "--replace", on=on).output.split())


def planned(folder: Path, name: str, on: date) -> Week:
    return plan(Request(folder, week=name, today=on), remember=False)


def codes(found: Week) -> list[tuple[str, str]]:
    return [(each.code, each.found) for each in found.problems if each.code.startswith(("job-", "week-"))]


def numbers(results: tuple[JobResult, ...]) -> list[str]:
    return [each.job.number for each in results]


def takes(result: JobResult) -> dict[str, Fraction]:
    return {
        part: quantity
        for served in result.lines
        if served.line.do == "fit"
        for part, quantity in served.parts
    }


def only(found: Week, number: str) -> JobResult:
    (result,) = [each for each in (*found.jobs, *found.others) if each.job.number == number]
    return result


def rows(path: Path, sheet: str) -> list[dict[str, object]]:
    lines = list(openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True))
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


def half_done(folder: Path, **used: object) -> None:
    """W49 is closed: J-101 is done, and of J-100 only these parts are fitted."""
    path = returns(folder, W49, FRIDAY)
    fill(path, "Done", lambda row: {"done": "yes" if row["job"] == "J-101" else "part"})
    fill(
        path,
        "Lines",
        lambda row: {"used": used[row["part"]]} if row["job"] == "J-100" and row["part"] in used else {},
    )
    answer = close(folder, W49)
    assert "Booked as part done: J-100." in answer


# --- done ------------------------------------------------------------------------------------------------


def test_jobs_that_are_done_are_not_planned_again(folder: Path) -> None:
    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    found = planned(folder, W50, MONDAY)
    assert numbers(found.jobs) == ["J-200", "J-201"]
    assert all(each.job.beside == "after the period" for each in found.others)
    again = planned(folder, W49, date(2026, 12, 4))
    assert [(each.job.number, each.kit, each.lines) for each in again.jobs] == [
        ("J-100", "done", ()), ("J-101", "done", ()),
    ]  # fmt: skip


def test_an_undone_closing_counts_for_nothing(folder: Path) -> None:
    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    run("ledger", "--in", folder, "--undo", W49, "--replace", on=FRIDAY)
    found = planned(folder, W49, FRIDAY)
    assert [each.kit for each in found.jobs] == ["complete", "complete"]
    assert takes(found.jobs[0]) == KIT


def test_a_done_job_whose_row_was_moved_is_named_and_not_planned(folder: Path) -> None:
    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    moved = [row if row[0] != "J-100" else (row[0], FRIDAY_AFTER, *row[2:]) for row in jobs_of()]
    workbook(folder / "jobs.xlsx", Jobs=moved)
    found = planned(folder, W50, MONDAY)
    assert codes(found) == [("job-done-already", "2026-12-11")]
    assert only(found, "J-100").kit == "done"


# --- part done -------------------------------------------------------------------------------------------


def test_what_is_booked_of_a_job_that_is_half_done_is_not_asked_for_again(folder: Path) -> None:
    half_done(folder, CLIP=3)
    found = planned(folder, W50, MONDAY)
    left = only(found, "J-100")
    # By hand: 4 - 3 clips; glue and panel whole, since nothing of them is booked.
    assert takes(left) == {**KIT, "CLIP": Fraction(1)}
    assert (left.job.beside, left.job.standing) == ("left over", "part done")
    assert "job-left-over" in dict(codes(found))


def test_a_second_closing_adds_up_and_may_mark_the_job_as_done(folder: Path) -> None:
    half_done(folder, CLIP=3)
    path = returns(folder, W50, MONDAY)
    assert [row["job"] for row in rows(path, "Done")] == ["J-100", "J-200", "J-201"]
    planned_clips = [row["planned"] for row in rows(path, "Lines") if row["part"] == "CLIP"]
    assert planned_clips == [1, 4, 4]
    all_done(path)
    close(folder, W50, FRIDAY_AFTER)
    with open_ledger(folder / LEDGER) as ledger:
        clips = sum(-each.movement.quantity for each in ledger.card("CLIP") if each.movement.job == "J-100")
    assert clips == 4
    assert numbers(planned(folder, W51, date(2026, 12, 14)).jobs) == ["J-300", "J-301"]
    assert planned(folder, W51, date(2026, 12, 14)).others[:0] == ()


def test_a_half_done_job_whose_row_now_says_otherwise_is_planned_whole(folder: Path) -> None:
    half_done(folder, CLIP=3)
    anew = [row if row[0] != "J-100" else (*row[:4], "12 in") for row in jobs_of()]
    workbook(folder / "jobs.xlsx", Jobs=anew)
    found = planned(folder, W50, MONDAY)
    assert takes(only(found, "J-100")) == KIT
    assert "job-described-anew" in dict(codes(found))


def test_a_job_all_of_whose_lines_are_booked_is_asked_about(folder: Path) -> None:
    path = returns(folder, W49, FRIDAY)
    fill(path, "Done", lambda row: {"done": "yes"} if row["job"] == "J-101" else {})
    fill(
        path,
        "Lines",
        lambda row: (
            {"used" if row["do"] == "fit" else "returned": row["planned"]} if row["job"] == "J-100" else {}
        ),
    )
    close(folder, W49)
    found = planned(folder, W50, MONDAY)
    assert only(found, "J-100").lines == ()
    assert "job-booked-whole" in dict(codes(found))
    path = returns(folder, W50, MONDAY)
    assert "J-100" in [row["job"] for row in rows(path, "Done")], "so that it can be marked as done"
    all_done(path)
    close(folder, W50, FRIDAY_AFTER)
    assert "J-100" not in numbers(planned(folder, W51, date(2026, 12, 14)).others)


def test_a_row_that_belongs_to_no_line_counts_for_none(folder: Path) -> None:
    path = returns(folder, W49, FRIDAY)
    fill(path, "Done", lambda row: {"done": "yes"} if row["job"] == "J-101" else {})
    add(path, "Lines", job="J-100", do="fit", part="TIE", used=2, reason="cable was loose")
    close(folder, W49)
    found = planned(folder, W50, MONDAY)
    assert takes(only(found, "J-100")) == KIT
    assert "job-row-unmatched" in dict(codes(found))


# --- which jobs count ------------------------------------------------------------------------------------


def test_a_job_that_is_left_over_keeps_its_parts_and_is_named(folder: Path) -> None:
    path = returns(folder, W49, FRIDAY)
    fill(path, "Done", lambda row: {"done": "yes"} if row["job"] == "J-100" else {})
    close(folder, W49)
    told = week(folder, W50, MONDAY)
    assert "J-101; give it a new day or delete its row." in told
    assert takes(only(planned(folder, W50, MONDAY), "J-101")) == KIT


def test_a_week_that_nobody_closed_is_named_once(folder: Path) -> None:
    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    found = planned(folder, W51, date(2026, 12, 14))
    assert codes(found) == [("week-not-closed", W50)]
    assert [each.job.number for each in found.others if each.job.beside == "not closed"] == ["J-200", "J-201"]
    assert "Not closed: 2026-W50; its jobs count as still to do." in week(folder, W51, date(2026, 12, 14))
    listed = [row["job"] for row in rows(folder / "reports" / f"returns-{W51}.xlsx", "Done")]
    assert listed == ["J-200", "J-201", "J-300", "J-301"]


def test_days_before_the_first_closed_week_are_taken_as_done(folder: Path) -> None:
    all_done(returns(folder, W50, FRIDAY))
    close(folder, W50)
    found = planned(folder, W51, date(2026, 12, 14))
    assert (found.taken_as_done, codes(found)) == (2, [])
    assert "Taken as done, their day being past: 2 jobs." in week(folder, W51, date(2026, 12, 14))


def test_a_workshop_that_closes_no_weeks(folder: Path) -> None:
    """Wednesday of the first week: Monday's and Tuesday's jobs are done, or not closed."""
    wednesday = date(2026, 12, 2)
    assert codes(planned(folder, W50, wednesday)) == [("week-not-closed", W49)]
    (folder / "reconcile.toml").write_text('currency = "EUR"\nclosing = false\n', "utf-8")
    found = planned(folder, W50, wednesday)
    assert (codes(found), found.taken_as_done) == ([], 2)


def test_jobs_beyond_the_look_ahead_are_counted_on_the_screen(folder: Path) -> None:
    (folder / "reconcile.toml").write_text('currency = "EUR"\nlook_ahead_weeks = 1\n', "utf-8")
    # One week after Friday 27 November is Friday 4 December: the jobs of three weeks lie beyond.
    assert "Beyond the look-ahead, after Fri 2026-12-04: 6 jobs." in week(folder, W49, FRIDAY)


def test_an_earlier_row_of_a_job_that_has_a_later_one_is_history(folder: Path) -> None:
    path = returns(folder, W49, FRIDAY)
    fill(path, "Done", lambda row: {"done": "yes"} if row["job"] == "J-100" else {})
    close(folder, W49)
    workbook(folder / "jobs.xlsx", Jobs=[*jobs_of(), ("J-101", FRIDAY_AFTER, "ZB-1", "10 in", "11 in")])
    found = planned(folder, W50, MONDAY)
    assert codes(found) == [("job-history", "2026-12-01")]
    assert numbers(found.jobs) == ["J-200", "J-201", "J-101"]


def hold(folder: Path, number: str, day: str, on: date) -> None:
    words = ("--frame", "ZB-1", "--from", "10 in", "--to", "11 in", "--date", day)
    run("check", number, *words, "--hold", "--in", folder, on=on, status=(0,))


def test_a_held_job_is_left_over_as_one_of_the_sheet_is(folder: Path) -> None:
    hold(folder, "J-900", "2026-12-02", FRIDAY)
    path = returns(folder, W49, FRIDAY)
    fill(path, "Done", lambda row: {"done": "yes"} if row["job"] != "J-900" else {})
    close(folder, W49)
    found = planned(folder, W50, MONDAY)
    assert codes(found) == [("job-left-over", "2026-12-02")]
    assert only(found, "J-900").job.beside == "left over"
    told = week(folder, W50, MONDAY)
    assert "Left over and held: J-900; give it a row with a new day, or release it." in told
    assert "Left over, not done" not in told


def test_a_held_job_of_a_week_that_nobody_closed_names_that_week_once(folder: Path) -> None:
    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    hold(folder, "J-900", "2026-12-08", MONDAY)
    assert codes(planned(folder, W51, date(2026, 12, 14))) == [("week-not-closed", W50)]
    workbook(folder / "jobs.xlsx", Jobs=[row for row in jobs_of() if row[0] not in {"J-200", "J-201"}])
    assert codes(planned(folder, W51, date(2026, 12, 14))) == [("week-not-closed", W50)]


def test_the_next_planned_week_may_be_that_of_a_held_job(folder: Path) -> None:
    hold(folder, "J-900", "2026-12-12", FRIDAY)  # a Saturday, which is the period's last day then
    workbook(folder / "jobs.xlsx", Jobs=[row for row in jobs_of() if row[0][2] not in "12"])
    found = plan(Request(folder, today=FRIDAY), remember=False)
    assert (found.period.first, found.period.last) == (MONDAY, date(2026, 12, 12))
    assert numbers(found.jobs) == ["J-900"]


# --- the book itself -------------------------------------------------------------------------------------


def test_a_closing_keeps_the_days_of_its_period(folder: Path) -> None:
    from reconcile.sheets.finding import located

    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    with open_ledger(folder / LEDGER) as ledger:
        details = ledger.standing(W49).details
    assert (details["from"], details["to"]) == ("2026-11-30", "2026-12-06")
    (period,) = read_book(located(Request(folder))).closed
    assert (period.first, period.last) == (date(2026, 11, 30), date(2026, 12, 6))


def test_a_week_closed_anew_after_an_undo_is_said_to_stand(folder: Path) -> None:
    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    run("ledger", "--in", folder, "--undo", W49, "--replace", on=FRIDAY)
    close(folder, W49)
    told = run("ledger", "--in", folder, on=FRIDAY).stdout
    lines = [" ".join(line.split()) for line in told.splitlines() if f" {W49}" in line and "undo" not in line]
    assert [("written back" in line, "stands" in line) for line in lines[-2:]] == [
        (True, False), (False, True),
    ]  # fmt: skip


@pytest.mark.parametrize("command", ["week", "count"])
def test_a_ledger_that_cannot_be_read_stops_a_run_that_plans(folder: Path, command: str) -> None:
    (folder / LEDGER).write_bytes(b"no database at all, but long enough to be looked at" * 40)
    before = sorted(folder.rglob("*"))
    assert "ledger-broken" in run(command, folder, "--force", on=FRIDAY, status=(2,)).stderr
    assert sorted(folder.rglob("*")) == before


@pytest.mark.parametrize("command", ["week", "count"])
def test_a_ledger_that_another_run_holds_stops_a_run_that_plans(folder: Path, command: str) -> None:
    all_done(returns(folder, W49, FRIDAY))
    close(folder, W49)
    other = sqlite3.connect(folder / LEDGER, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        answer = run(command, folder, "--force", on=FRIDAY, status=(2,))
    finally:
        other.close()
    assert "ledger-busy" in answer.stderr
