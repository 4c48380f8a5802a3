"""The plan is kept for as long as no file changed, and is never shown as new when it is not."""

import os
import shutil
import threading
from dataclasses import replace

import pytest
from open_page import DEMO, LONG_ENOUGH, TODAY, Opened, opened_demo

from reconcile.page import kept
from reconcile.page.asked import with_accepted
from reconcile.page.kept import KeptPlan, plan_made
from reconcile.sheets.request import Request
from reconcile.work.watching import files_seen


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(DEMO, tmp_path / "workshop")


@pytest.fixture
def plan(folder):
    return KeptPlan(Request(folder, today=TODAY), with_accepted)


def touch(path) -> None:
    found = path.stat()
    os.utime(path, ns=(found.st_atime_ns, found.st_mtime_ns + 1_000_000_000))


def counted(monkeypatch) -> list[int]:
    made: list[int] = []

    def counts(request, seen):
        made.append(1)
        return plan_made(request, seen)

    monkeypatch.setattr(kept, "plan_made", counts)
    return made


def test_the_plan_is_made_once_while_no_file_changes(plan, monkeypatch):
    made = counted(monkeypatch)
    first = plan.shown(LONG_ENOUGH)
    again = [plan.shown(LONG_ENOUGH) for _ in range(5)]
    assert len(made) == 1
    assert all(each.fresh and each.week is first.week for each in again)


@pytest.mark.parametrize(
    "name", ["jobs.xlsx", "stock.xlsx", "reconcile.toml", "frames/NQ-T1.toml", "stock-ledger.sqlite"]
)
def test_a_file_that_changed_is_seen(plan, folder, name):
    first = plan.shown(LONG_ENOUGH)
    touch(folder / name)
    later = plan.shown(LONG_ENOUGH)
    assert later.fresh
    assert later.week is not first.week


def test_a_file_that_is_new_or_gone_is_seen(plan, folder):
    first = plan.shown(LONG_ENOUGH)
    (folder / "accept.csv").write_text("where,found,use\nstock.xlsx!Stock!E329,2026-03-08,3/8 in\n", "utf-8")
    second = plan.shown(LONG_ENOUGH)
    (folder / "frames" / "NQ-T1.toml").unlink()
    third = plan.shown(LONG_ENOUGH)
    faults = [sum(fault.code == "length-is-date" for fault in each.week.problems) for each in (first, second)]
    assert faults == [2, 1]
    assert "nq-t1" not in third.week.frames


def test_the_next_day_is_another_plan(folder, monkeypatch):
    from datetime import date

    plan = KeptPlan(Request(folder))
    first = plan.shown(LONG_ENOUGH)
    later = replace(first.made.seen, today=date(2030, 1, 1))
    monkeypatch.setattr(kept, "files_seen", lambda request: later)
    shown = plan.shown(0)
    assert not shown.fresh
    assert shown.changed == ("the day",)


def test_the_old_answer_is_marked_while_the_new_one_is_made(plan, folder, monkeypatch):
    first = plan.shown(LONG_ENOUGH)
    goes_on = threading.Event()

    def slowly(request, seen):
        goes_on.wait(LONG_ENOUGH)
        return plan_made(request, seen)

    monkeypatch.setattr(kept, "plan_made", slowly)
    touch(folder / "stock.xlsx")
    shown = plan.shown(0.05)
    assert (shown.changed, shown.fresh) == (("stock.xlsx",), False)
    assert shown.week is first.week
    goes_on.set()
    assert plan.shown(LONG_ENOUGH).fresh


def test_a_change_while_a_plan_is_made_is_not_missed(plan, folder, monkeypatch):
    """What is read is looked at before it is read: what changes in between is another plan."""

    def with_a_change(request, seen):
        made = plan_made(request, seen)
        touch(folder / "jobs.xlsx")
        monkeypatch.setattr(kept, "plan_made", plan_made)
        return made

    monkeypatch.setattr(kept, "plan_made", with_a_change)
    plan.shown(LONG_ENOUGH)
    assert plan.shown(0).changed == ("jobs.xlsx",)
    assert plan.shown(LONG_ENOUGH).fresh


def test_the_bar_stands_on_every_page_while_the_answer_is_old(tmp_path, monkeypatch):
    page = opened_demo(tmp_path / "workshop")
    goes_on = threading.Event()
    monkeypatch.setattr(kept, "PATIENCE", 0)
    monkeypatch.setattr(
        kept, "plan_made", lambda request, seen: goes_on.wait(LONG_ENOUGH) and plan_made(request, seen)
    )
    monkeypatch.setattr(KeptPlan.shown, "__defaults__", (0.05,))
    touch(page.folder / "stock.xlsx")
    try:
        for path in ("/today", "/jobs", "/parts", "/job?n=J-4110", "/mend", "/orders", "/ask"):
            seen = page.get(path)
            assert "Changed since: stock.xlsx." in seen.text
            assert "What stands here is the answer of" in seen.text
        assert page.get("/state").html == '{"ready":false}'
    finally:
        goes_on.set()
    page.wait()
    assert "Changed since" not in page.get("/today").text
    assert page.get("/state").html == '{"ready":true}'


def test_what_forbids_a_plan_is_shown_and_mended_without_starting_again(tmp_path):
    page = opened_demo(tmp_path / "workshop")
    kept_aside = page.folder / "jobs.xlsx"
    kept_aside.rename(tmp_path / "jobs.xlsx")
    page.wait()
    seen = page.get("/today")
    assert seen.verdict == "No week can be planned yet."
    assert "jobs.xlsx" in seen.text
    for path in ("/jobs", "/parts", "/ask", "/orders", "/count"):
        assert page.get(path).status == 422
    for path in ("/mend", "/begin", "/undo", "/close"):
        assert page.get(path).status == 200
    (tmp_path / "jobs.xlsx").rename(kept_aside)
    page.wait()
    assert page.get("/today").verdict.startswith("Not every job can be done")


def test_files_that_only_mark_or_hide_are_not_looked_at(folder):
    request = Request(folder, today=TODAY)
    before = files_seen(request)
    (folder / "~$stock.xlsx").write_bytes(b"x")
    (folder / ".hidden").write_bytes(b"x")
    assert files_seen(request) == before


def test_who_takes_a_part_is_worked_out_once_a_plan(tmp_path, monkeypatch):
    page: Opened = opened_demo(tmp_path / "workshop")
    asked: list[int] = []
    own = kept.taking_book

    def counts(inputs):
        asked.append(1)
        return own(inputs)

    monkeypatch.setattr(kept, "taking_book", counts)
    for part in ("B14-250", "SP-050", "B14-250"):
        assert "Who takes it" in page.get("/part", n=part).text
    assert len(asked) == 1


def test_our_own_fault_while_planning_is_told_and_no_reason_to_wait_for_ever(plan, monkeypatch):
    def fails(_request):
        raise ZeroDivisionError("our own")

    monkeypatch.setattr(kept, "read_all", fails)
    shown = plan.shown(LONG_ENOUGH)
    assert shown.fresh
    assert [fault.code for fault in shown.made.refused] == ["own-fault"]


def test_while_the_first_plan_is_made_every_page_says_so(folder, monkeypatch):
    goes_on = threading.Event()
    monkeypatch.setattr(
        kept, "plan_made", lambda request, seen: goes_on.wait(LONG_ENOUGH) and plan_made(request, seen)
    )
    monkeypatch.setattr(KeptPlan.shown, "__defaults__", (0.05,))
    monkeypatch.setattr(Opened, "wait", lambda self: None)
    page = Opened(folder)
    try:
        for path in ("/today", "/jobs", "/parts", "/part?n=B14-250", "/ask", "/orders", "/count"):
            seen = page.get(path)
            assert (seen.status, seen.verdict) == (
                200,
                "The sheets are being read, and the first plan is made.",
            )
    finally:
        goes_on.set()
    page.desk.plan.shown(LONG_ENOUGH)
    assert "of 39 kits" in page.get("/jobs").verdict
