"""A large week's cards: by day and by batch, each card once, and the same card wherever it stands."""

import re
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import numpy
import pytest
import zxingcpp
from bench_week import UPPER, workshop_week
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import html as lxml_html
from openpyxl import load_workbook
from workshop import MON, frame, job, part, planned, screw, seat_width, stock

from reconcile.reports.bench.batches import Batch, batches
from reconcile.reports.bench.cards import bench_cards
from reconcile.reports.bench.desk import BenchDesk
from reconcile.reports.bench.outputs import bench_outputs
from reconcile.reports.bench.page import ONE_MASK, page_text, qr_code
from reconcile.reports.writing.files import write_all
from reconcile.reports.writing.large import MOST_CARDS, WHOLE_PAGE
from reconcile.values.week.results import COMPLETE

JOBS = WHOLE_PAGE + 5


@pytest.fixture(scope="module")
def week():
    return workshop_week(JOBS)


@pytest.fixture(scope="module")
def written(week, tmp_path_factory):
    folder = tmp_path_factory.mktemp("large")
    outputs = bench_outputs(week, folder)
    write_all(outputs)
    return [path for path, _ in outputs]


def page_of(path):
    return lxml_html.document_fromstring(path.read_text("utf-8"))


def shown_jobs(page):
    return [each.text_content() for each in page.xpath("//article//h2/bdi")]


def test_a_week_that_a_browser_opens_at_once_is_one_page():
    (whole,) = batches(workshop_week(7), 3)
    assert (whole.ending, whole.several, len(whole.jobs)) == ("", False, 7)


def test_more_jobs_are_by_day_and_a_day_of_too_many_by_part(week):
    """405 jobs over five days are 81 a day: by 40 that is 40, 40 and 1."""
    found = batches(week, 40)
    assert [(each.ending, len(each.jobs)) for each in found[:4]] == [
        ("-2026-11-30-1", 40), ("-2026-11-30-2", 40), ("-2026-11-30-3", 1), ("-2026-12-01-1", 40),
    ]  # fmt: skip
    assert [each.first for each in found] == [True] + [False] * 14
    assert [job.job.number for each in found for job in each.jobs] == [
        job.job.number for job in sorted(week.jobs, key=lambda result: result.job.order)
    ]
    assert [each.ending for each in batches(week, 81)][:2] == ["-2026-11-30", "-2026-12-01"]


def test_beyond_what_anybody_prints_there_are_no_cards(week):
    many = replace(week, jobs=week.jobs[:1] * (MOST_CARDS + 1))
    assert batches(many, 500) == []


def test_a_page_and_a_workbook_hold_the_same_cards_and_each_job_is_in_one(week, written):
    pages, books = written[::2], written[1::2]
    assert [each.stem for each in pages] == [each.stem for each in books]
    jobs = [shown_jobs(page_of(each)) for each in pages]
    assert sorted(number for each in jobs for number in each) == sorted(each.job.number for each in week.jobs)
    for path, numbers in zip(books, jobs, strict=True):
        sheet = load_workbook(path, read_only=True)["Bench"]
        rows = sheet.iter_rows(min_row=2, min_col=9, max_col=9, values_only=True)
        assert list(dict.fromkeys(job for (job,) in rows if job)) == numbers


def test_the_pick_list_of_the_whole_week_stands_in_the_first(written):
    lists = [bool(page_of(each).xpath("//*[@id='pick-list']")) for each in written[::2]]
    sheets = [load_workbook(each, read_only=True).sheetnames for each in written[1::2]]
    assert lists == [True] + [False] * 4
    assert [("Pick list" in each) for each in sheets] == lists


def test_every_id_of_a_page_is_its_own_and_all_that_is_referred_to_is_there(written):
    for path in written[::2]:
        page = page_of(path)
        ids = page.xpath("//@id")
        assert len(ids) == len(set(ids))
        assert {each.removeprefix("#") for each in page.xpath("//@href")} <= set(ids)
        boxes = page.xpath("//article//input/@id")
        assert all(re.fullmatch(r"job-J-\d+\.(?:box|check)-\d+", each) for each in boxes)


def test_of_many_cards_only_those_in_sight_are_laid_out_on_a_screen(week, written):
    """In print all are: the rule is for screens alone."""
    rule = "@media screen { article { content-visibility: auto;"
    assert all(rule in each.read_text("utf-8") for each in written[::2])
    assert rule not in page_text(workshop_week(40))


def test_a_card_is_the_same_alone_as_among_others_that_share_its_joints(week, written):
    def told(page, number):
        (article,) = page.xpath(f"//article[@id='job-{number}']")
        boxes = [(each.get("id"), each.getparent().text_content()) for each in article.xpath(".//input")]
        drawn = [
            page.get_element_by_id(each[1:]) for each in article.xpath(".//*[@href]/@href") if each != "#jobs"
        ]
        return article.text_content().replace("Back to the jobs by day", "").split(), boxes, [
            lxml_html.tostring(each).split(b">", 1)[1] for each in drawn
        ]  # fmt: skip

    jobs = {each.job.number: each for each in week.jobs}
    page = page_of(written[2])
    for number in shown_jobs(page)[:25]:
        alone = lxml_html.document_fromstring(
            page_text(week, Batch((jobs[number],), first=False, alone=True))
        )
        assert told(page, number) == told(alone, number)


def test_jobs_that_share_their_lines_have_bins_and_days_of_their_own(week):
    """What is served alike is laid out once, but not where the bins, or the day to order by, differ."""
    complete = [each for each in week.jobs if each.kit == COMPLETE]
    same = [each for each in complete if each.lines is complete[-1].lines][:2]
    cards = bench_cards(week, same)
    assert cards[0].joints is cards[1].joints
    picked = [
        replace(pick, days=tuple(
            replace(day, jobs=tuple(
                replace(job, bins=(("ELSEWHERE", job.quantity),)) if job.job == same[1].job.number else job
                for job in day.jobs
            ))
            for day in pick.days
        ))
        for pick in week.picks
    ]  # fmt: skip
    moved = bench_cards(replace(week, picks=tuple(picked)), same)
    bins = [[item.bins for joint in card.joints for item in joint.goes_in] for card in moved]
    assert "ELSEWHERE" not in "".join(bins[0])
    assert all("ELSEWHERE" in each for each in bins[1])


def test_two_that_lack_the_same_are_each_told_their_own_day_to_order_by():
    """A bolt that takes a working day to come is ordered on the day before."""
    days = (MON + timedelta(days=2), MON + timedelta(days=3))
    jobs = [job(f"J-{number}", day, "16", "17") for number, day in enumerate(days, 1)]
    shelf = stock(part("SP-050", 9), screw("B-200", "2", 9), screw("B-250", "2 1/2", 0, lead_time=1))
    found = bench_cards(planned(jobs, [frame(seat_width(UPPER))], shelf))
    relied = [[item.relies_on for item in each.joints[0].goes_in if item.part == "B-250"] for each in found]
    assert relied == [
        ["2 of B-250: not ordered yet, to be ordered by Tue 2026-12-01"],
        ["2 of B-250: not ordered yet, to be ordered by Wed 2026-12-02"],
    ]


@pytest.mark.parametrize("mask", [None, ONE_MASK])
@given(number=st.text(st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1, max_size=30))
@settings(max_examples=60, deadline=None)
def test_a_reader_finds_the_job_number_in_a_code_of_either_mask(mask, number):
    """Read by zxing-cpp, a general-purpose reader, as ISO/IEC 18004 has it."""
    svg = lxml_html.fragment_fromstring(qr_code(number, mask))
    side = int(svg.get("viewbox").split()[2])
    assert read(drawn(svg.find("path").get("d"), side)) == number


def drawn(path: str, side: int) -> numpy.ndarray:
    """The dark modules of a path of strokes, four pixels each: ``M4 4.5h7m4 0h2m-21 1h1``."""
    light = numpy.full((side, side), 255, dtype=numpy.uint8)
    x, y = Fraction(0), Fraction(0)
    for way, first, second in re.findall(r"([Mmh])(-?[\d.]+)(?: (-?[\d.]+))?", path):
        if way == "h":
            light[int(y), int(x) : int(x + Fraction(first))] = 0
            x += Fraction(first)
        else:
            x, y = (
                (Fraction(first), Fraction(second))
                if way == "M"
                else (x + Fraction(first), y + Fraction(second))
            )
    return numpy.kron(light, numpy.ones((4, 4), dtype=numpy.uint8))


def read(picture: numpy.ndarray) -> str:
    (found,) = zxingcpp.read_barcodes(picture)
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    return found.text


def test_cards_asked_for_again_are_not_made_again(week):
    desk = BenchDesk(week)
    first, second = batches(week, 81)[:2]
    made = desk.cards(first)
    assert desk.cards(first) is made
    assert desk.cards(second) is not made
