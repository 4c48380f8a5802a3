"""A week too large for one page, one sheet or one workbook: what is written otherwise, and that it is said.

The demo's 39 jobs are many once the bounds are low; the week of 10,000 jobs is measured in tests/bench.
"""

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from order_shop import MON, call, placed, planned, shop
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.reports import outputs
from reconcile.reports.bench import batches
from reconcile.reports.bench import outputs as bench
from reconcile.work.workshop.demo import copy_demo

TODAY = ("--today", "2026-11-27")
REPORT, ORDER, RETURNS = "report-2026-W49.xlsx", "order-2026-W49.xlsx", "returns-2026-W49.xlsx"


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    copy_demo(tmp_path / "workshop", False)
    return tmp_path / "workshop"


@pytest.fixture
def bound(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """More than 10 jobs come by the day, by 4 in a file; more than 100 rows of a table as csv."""
    for room, name, most in (
        (outputs, "WHOLE_PAGE", 10), (batches, "WHOLE_PAGE", 10), (bench, "BATCH_CARDS", 4),
        (outputs, "BATCH_CARDS", 4), (outputs, "LARGE_TABLE", 100),
    ):  # fmt: skip
        monkeypatch.setattr(room, name, most)


def week(folder: Path, *words: str):
    answer = CliRunner().invoke(app, ["week", str(folder), *TODAY, *words])
    assert answer.exit_code in (0, 1), answer.output
    return answer


def written(folder: Path, pattern: str) -> list[str]:
    return sorted(each.name for each in (folder / "reports").glob(pattern))


def jobs_on(page: Path) -> list[str]:
    return re.findall(r"<h2 [^>]*>Job <bdi>([^<]+)</bdi>", page.read_text("utf-8"))


@pytest.mark.slow
def test_each_job_is_on_one_page_of_its_day_and_in_the_workbook_of_that_name(demo, bound):
    answer = week(demo)
    pages = written(demo, "bench-*.html")
    assert [each.replace(".html", ".xlsx") for each in pages] == written(demo, "bench-*.xlsx")
    assert all(re.fullmatch(r"bench-2026-W49-2026-\d\d-\d\d(-\d)?\.html", each) for each in pages)
    found = [jobs_on(demo / "reports" / each) for each in pages]
    assert max(map(len, found)) <= 4
    book = openpyxl.load_workbook(demo / "reports" / REPORT, read_only=True)
    planned = {row[0] for row in book["Jobs"].iter_rows(min_row=2, values_only=True) if row[1] is not None}
    assert sorted(number for each in found for number in each) == sorted(planned)
    assert len(planned) == 39
    assert "The job cards are by day, up to 4 on a page and in a workbook." in " ".join(answer.stderr.split())


@pytest.mark.slow
def test_a_long_table_is_a_csv_beside_the_report_which_says_where(demo, bound):
    answer = week(demo)
    rows = list(csv.reader((demo / "reports" / "report-2026-W49-kit-lines.csv").open(encoding="utf-8-sig")))
    sheet = openpyxl.load_workbook(demo / "reports" / REPORT)["Kit lines"]
    told = " ".join(str(cell.value) for row in sheet for cell in row if cell.value)
    assert f"{len(rows) - 1} rows are more than a sheet is good for" in told
    assert "report-2026-W49-kit-lines.csv" in told
    assert f"Kit lines: {len(rows) - 1} rows, written as csv" in " ".join(answer.stderr.split())


@pytest.mark.slow
def test_beyond_what_anybody_prints_or_a_sheet_holds_there_are_no_cards_and_no_close_out(demo, monkeypatch):
    for room in (outputs, batches):
        monkeypatch.setattr(room, "MOST_CARDS", 20)
    monkeypatch.setattr(outputs, "MOST_LINES", 50)
    said = " ".join(week(demo).stderr.split())
    assert written(demo, "*") == sorted([REPORT, ORDER, *written(demo, "order-*.xml")])
    assert (
        "No job cards: 39 are more than anybody prints. Single days are planned with --from and --to." in said
    )
    assert "No returns workbook: its lines do not fit a sheet." in said
    day = week(demo, "--from", "2026-12-01", "--to", "2026-12-01", "--out", str(demo / "tuesday"))
    assert "No job cards" not in day.stderr
    assert (demo / "tuesday" / "bench-2026-12-01-to-2026-12-01.html").is_file()


@pytest.mark.slow
def test_the_page_of_the_whole_week_is_named_as_old_once_the_cards_are_by_the_day(demo, monkeypatch):
    assert "Of an earlier run" not in week(demo).stderr
    assert "Of an earlier run" not in week(demo, "--force").stderr
    for room in (outputs, batches):
        monkeypatch.setattr(room, "WHOLE_PAGE", 10)
    said = " ".join(week(demo, "--force").stderr.split())
    told = "Of an earlier run, and no longer right: bench-2026-W49.html, bench-2026-W49.xlsx. Do not work or"
    assert told in said
    assert (demo / "reports" / "bench-2026-W49.html").is_file()


def test_the_order_of_a_supplier_of_whom_nothing_is_wanted_any_more_is_named_as_old(tmp_path, monkeypatch):
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = shop(tmp_path / "shop")
    reports = planned(folder).parent
    old = (reports / "order-2026-W49-NORD.xml").rename(reports / "order-2026-W49-OSTW-2.xml")
    (reports / "order-2026-W49-NORD-answer.xml").write_text("not ours", "utf-8")
    said = " ".join(call(MON, "week", folder, "--week", "2026-W49", "--force").stderr.split())
    assert f"no longer right: {old.name}. Do not work or order by it." in said


def test_csv_files_of_an_earlier_run_are_named_too(tmp_path, monkeypatch):
    """All as their folder where this run wrote none; else those that it did not write anew."""
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = shop(tmp_path / "shop")
    words = ("week", folder, "--week", "2026-W49", "--force")
    assert "Of an earlier run" not in call(MON, *words, "--csv").stderr
    said = " ".join(call(MON, *words).stderr.split())
    assert "no longer right: csv-2026-W49. Do not" in said
    (folder / "reports" / "csv-2026-W49" / "Gone Supplier.csv").write_text("part", "utf-8")
    said = " ".join(call(MON, *words, "--csv").stderr.split())
    assert "no longer right: csv-2026-W49/Gone Supplier.csv. Do not" in said


def test_cards_of_days_that_a_monday_alone_does_not_plan_are_not_called_old(tmp_path, monkeypatch):
    """A Monday alone has its week's name, and says nothing of Tuesday's cards."""
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = shop(tmp_path / "shop")
    reports = planned(folder).parent
    for day in ("2026-11-30", "2026-12-01-2", "2026-13-99"):
        (reports / f"bench-2026-W49-{day}.html").write_text("cards", "utf-8")
    monday = ("--from", "2026-11-30", "--to", "2026-11-30")
    said = " ".join(call(MON, "week", folder, *monday, "--force").stderr.split())
    assert "no longer right: bench-2026-W49-2026-11-30.html. Do not" in said


def test_the_order_that_was_placed_is_not_called_old(tmp_path, monkeypatch):
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = shop(tmp_path / "shop")
    reports = planned(folder).parent
    there = sorted(reports.glob("order-2026-W49-*.xml"))
    placed(folder)
    said = call(MON, "week", folder, "--week", "2026-W49", "--force").stderr
    assert sorted(reports.glob("order-2026-W49-*.xml")) == there
    assert "Of an earlier run" not in said
