"""Every workbook as the printer gets it: LibreOffice's PDF read back, each text with its points on paper."""

from dataclasses import replace
from pathlib import Path

import pytest
from bench_week import planned_demo, workshop_week
from printed import PrintedPage, needs_soffice, paper_of, printed_pages
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.reports.bench.book import write_bench
from reconcile.reports.closing.returns_book import write_returns_book
from reconcile.reports.orders.book import write_orders
from reconcile.reports.week.book import write_report
from reconcile.values.week.results import Week
from reconcile.work.workshop.demo import copy_demo

pytestmark = needs_soffice

LEAST_POINTS = 8
SIZES = {"": (595, 842), "US": (612, 792)}
"""A4 and Letter upright, in points, by the country of the settings."""


def in_country(week: Week, country: str) -> Week:
    return replace(week, settings=replace(week.settings, country=country))


def read_paper(book: Path) -> list[PrintedPage]:
    return printed_pages(paper_of(book, book.parent))


def held_to_paper(pages: list[PrintedPage], country: str) -> None:
    """Nothing below 8 points, no page with a line alone, on the paper of the country."""
    assert pages
    for number, page in enumerate(pages, 1):
        least = page.smallest
        assert least.points >= LEAST_POINTS, f"page {number}: {least.text!r} has {least.points} points"
        assert page.lines() > 2, f"page {number} has nothing but headings and a line"
        assert tuple(sorted((round(page.width), round(page.height)))) == SIZES[country]


@pytest.fixture(params=["", pytest.param("US", marks=pytest.mark.slow)])
def country(request) -> str:
    return request.param


def test_a_report_of_forty_jobs_is_six_pages_at_most(tmp_path, country):
    write_report(in_country(planned_demo(), country), tmp_path / "report.xlsx")
    pages = read_paper(tmp_path / "report.xlsx")
    held_to_paper(pages, country)
    assert len(planned_demo().jobs) == 39
    assert len(pages) <= 6
    assert sum("At a glance" in page.words for page in pages) == 1


@pytest.mark.slow
def test_so_is_one_of_forty_jobs_that_have_other_faults(tmp_path):
    write_report(workshop_week(40), tmp_path / "report.xlsx")
    pages = read_paper(tmp_path / "report.xlsx")
    held_to_paper(pages, "")
    assert len(pages) <= 6


LONGER = {"J-4125": 2}
"""Cards of more than a page: sides that differ at four joints, and stacks that are not alike."""


def test_each_jobs_card_is_one_page_of_the_workbook(tmp_path, country):
    week = in_country(planned_demo(), country)
    write_bench(week, tmp_path / "bench.xlsx")
    pages = read_paper(tmp_path / "bench.xlsx")
    held_to_paper(pages, country)
    for result in sorted(week.jobs, key=lambda each: each.job.order):
        card = [pages.pop(0) for _ in range(LONGER.get(result.job.number, 1))]
        assert f"{result.job.number}, " in card[0].words
        assert "second check by" in card[-1].words
        assert "Local rules come first." in card[-1].words
    assert all("take" in page.words for page in pages), "then comes the pick list"


@pytest.mark.slow
def test_orders_and_the_close_out_are_read_on_paper(tmp_path, country):
    for name, write in (("order", write_orders), ("returns", write_returns_book)):
        write(in_country(planned_demo(), country), tmp_path / f"{name}.xlsx")
        held_to_paper(read_paper(tmp_path / f"{name}.xlsx"), country)


@pytest.mark.slow
def test_levels_and_count_sheets_are_read_on_paper(tmp_path, country):
    shop = tmp_path / "shop"
    copy_demo(shop, force=False)
    if country:
        settings = shop / "reconcile.toml"
        settings.write_text(f'country = "{country}"\n' + settings.read_text("utf-8"), "utf-8")
    today = ("--today", "2026-11-27", "--quiet")
    run("levels", shop, "--out", shop / "levels.xlsx", *today)
    run("count", shop, "--out", shop / "blind", *today)
    run("count", shop, "--out", shop / "open", "--show-book", *today)
    books = [shop / "levels.xlsx", *(shop / "blind").glob("*.xlsx"), *(shop / "open").glob("*.xlsx")]
    assert len(books) == 3
    for book in books:
        held_to_paper(read_paper(book), country)


@pytest.mark.slow
def test_blank_workbooks_are_read_on_paper(tmp_path):
    run("blank", tmp_path / "blank")
    for book in sorted((tmp_path / "blank").glob("*.xlsx")):
        pages = read_paper(book)
        assert min(page.smallest.points for page in pages) >= LEAST_POINTS
        assert len(pages) <= 8
        headed = [page for page in pages if page.words.split()[0] in {"Jobs", "Stock"}]
        assert headed
        assert all("EXAMPLE" in page.words for page in headed), "each with its first column"


def run(*words) -> None:
    result = CliRunner().invoke(app, list(map(str, words)))
    assert result.exit_code in {0, 1}, result.output
