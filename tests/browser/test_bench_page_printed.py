"""The bench page of the demonstration printed: one job a page, on A4 and on Letter."""

import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: extra browser")

from bench_week import planned_demo  # noqa: E402
from printed import printed_pages  # noqa: E402

from reconcile.reports.bench.cards import BenchCard, bench_cards  # noqa: E402
from reconcile.reports.bench.page import write_page  # noqa: E402

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PDFTOTEXT = shutil.which("pdftotext")
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed"),
    pytest.mark.skipif(PDFTOTEXT is None, reason="no pdftotext is installed"),
]

PAPERS = {"A4": (210, 297), "Letter": (215.9, 279.4)}
MARGINS = 20
"""Left and right, in millimetres."""

LONGER = {
    "A4": {"J-4109": 2, "J-4125": 2, "J-4134": 2},
    "Letter": {"J-4106": 2, "J-4109": 2, "J-4110": 2, "J-4112": 2, "J-4125": 3, "J-4134": 2},
}
"""How many pages: sides that differ, so that each joint is drawn twice; stacks that are not alike; three
sorts of part to go in at four joints; or a kit that is not complete, with what it lacks.
"""

LENGTHS = """() => [...document.querySelectorAll("article svg[data-scale]")].map(each =>
    [each.getBoundingClientRect().width / 96 * 25.4, parseFloat(each.getAttribute("width"))])"""

LETTERS = """() => [...document.querySelectorAll("article *:not(svg *)")]
    .filter(each => !each.closest(".hid") && each.getClientRects().length)
    .filter(each => [...each.childNodes].some(one => one.nodeType === 3 && one.data.trim()))
    .map(each => parseFloat(getComputedStyle(each).fontSize) * 0.75)"""


@pytest.fixture(scope="module")
def page(tmp_path_factory) -> Iterator[object]:
    path = tmp_path_factory.mktemp("printed") / "bench.html"
    write_page(planned_demo(), path)
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        shown = browser.new_page()
        shown.goto(path.as_uri())
        yield shown
        browser.close()


def pages_of(page, paper: str, folder: Path) -> list[str]:
    """The text of each printed page."""
    path = folder / f"{paper}.pdf"
    page.pdf(path=str(path), format=paper)
    told = subprocess.run([PDFTOTEXT, "-layout", path, "-"], capture_output=True, text=True, check=True)
    return told.stdout.split("\f")[:-1]


def job_of(text: str) -> str:
    found = re.search(r"^\s*Job (?!cards,)(\S+)", text, re.MULTILINE)
    return found[1] if found else ""


def is_usual(card: BenchCard) -> bool:
    """Complete or waiting, both sides alike, one kind of spacer to go in; at many joints, nothing to be
    agreed or looked at first.
    """
    alike = all(len(joint.views) < 2 for joint in card.joints)
    restacked = any(sum(item.kind == "spacer" for item in joint.goes_in) > 1 for joint in card.joints)
    short = card.kit == "short" or ((card.agreements or card.look_first) and len(card.joints) > 2)
    return alike and not restacked and not short


@pytest.mark.slow
@pytest.mark.parametrize("paper", PAPERS)
def test_a_usual_job_takes_one_page_with_its_checks(page, paper, tmp_path):
    printed = pages_of(page, paper, tmp_path)
    pages = Counter(map(job_of, printed))
    usual = [each for each in bench_cards(planned_demo()) if is_usual(each)]
    assert len(usual) >= 25
    assert {each.frame for each in usual} == {"NQ-T1", "KD-W5", "VL-M2", "BD-A4", "OS-X3"}
    assert max(len(each.joints) for each in usual) == 4
    assert sum(bool(each.checks) for each in usual) >= 25
    assert {number: count for number, count in pages.items() if number and count != 1} == LONGER[paper]
    assert len(pages) == 40, "39 jobs, and pages that are none of a job"
    usual = [each for each in usual if each.number not in LONGER[paper]]
    for each in usual:
        (own,) = [text for text in printed if job_of(text) == each.number]
        assert each.checks == () or "Before the chair goes back" in own
        assert "tried by the user, day" in own


@pytest.mark.slow
@pytest.mark.parametrize("paper", PAPERS)
def test_a_longer_job_repeats_its_number_and_no_joint_is_torn(page, paper, tmp_path):
    printed = pages_of(page, paper, tmp_path)
    cards = {each.number: each for each in bench_cards(planned_demo())}
    longer = {number for number, count in Counter(map(job_of, printed)).items() if number and count > 1}
    assert longer
    for number in longer:
        own = [each for each in printed if job_of(each) == number]
        for joint in cards[number].joints:
            (where,) = [each for each in own if f"{joint.number}. {joint.name}" in each]
            for item in joint.items:
                assert item.part in where, "a joint's lists are on the page of its heading"
        assert len(own) == LONGER[paper][number]


@pytest.mark.slow
@pytest.mark.parametrize("paper", PAPERS)
def test_printed_drawings_are_as_wide_as_their_scale_says_and_no_text_is_under_eight_points(page, paper):
    width, _ = PAPERS[paper]
    page.emulate_media(media="print")
    page.set_viewport_size({"width": int((width - MARGINS) / 25.4 * 96), "height": 1000})
    wide = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1], "a browser shrinks a page that is too wide, and its scales with it"
    lengths = page.evaluate(LENGTHS)
    assert len(lengths) > 80
    assert [(drawn, said) for drawn, said in lengths if abs(drawn - said) > 0.1] == []
    assert min(page.evaluate(LETTERS)) >= 8 - 0.01


@pytest.mark.slow
@pytest.mark.parametrize("paper", PAPERS)
def test_on_paper_every_text_has_eight_points_drawings_and_pictures_too(page, paper, tmp_path):
    page.pdf(path=str(tmp_path / "cards.pdf"), format=paper)
    texts = [text for each in printed_pages(tmp_path / "cards.pdf") for text in each.texts]
    assert len(texts) > 4000
    least = min((text for text in texts if text.text.strip()), key=lambda text: text.points)
    assert least.points >= 8, least.text
