"""The bench page in a real browser, opened from a file as on a tablet."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: extra browser")
axe = pytest.importorskip(
    "axe_playwright_python.sync_playwright", reason="axe is not installed: extra browser"
)

from bench_week import workshop_week  # noqa: E402
from typer.testing import CliRunner  # noqa: E402

from reconcile.cli import app  # noqa: E402
from reconcile.plan.joints.sections import Opening, cut  # noqa: E402
from reconcile.reports.bench.page import write_page  # noqa: E402
from reconcile.reports.drawings.joint import drawing_defs, drawing_style, joint_drawing  # noqa: E402
from reconcile.sheets.frames.files import read_frames  # noqa: E402

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed")

RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"]}}


@pytest.fixture(scope="module")
def file(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("bench") / "bench.html"
    write_page(workshop_week(9, notes="נא לבדוק <b>"), path)
    return path


class Watched:
    """A page with all that it asked for and all that it complained of."""

    def __init__(self, page) -> None:
        self.page = page
        self.asked: list[str] = []
        self.said: list[str] = []
        page.on("request", lambda each: self.asked.append(each.url))
        page.on("console", lambda each: self.said.append(f"{each.type}: {each.text}"))
        page.on("pageerror", lambda each: self.said.append(str(each)))


@pytest.fixture(scope="module")
def watched(file) -> Iterator[Watched]:
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        seen = Watched(browser.new_page(viewport={"width": 820, "height": 1180}))
        seen.page.goto(file.as_uri())
        yield seen
        browser.close()


@pytest.mark.slow
def test_a_job_is_found_by_its_number_and_its_anchor_leads_to_it(watched):
    page = watched.page
    page.get_by_role("link", name="J-4001", exact=True).click()
    assert page.url.endswith("#job-J-4001")
    heading = page.get_by_role("heading", name="Job J-4001")
    assert heading.is_visible()
    assert 0 <= heading.bounding_box()["y"] < 200
    page.locator("#job-J-4001").get_by_role("link", name="Back to the jobs by day").click()
    assert page.url.endswith("#jobs")


@pytest.mark.slow
def test_every_anchor_of_the_page_can_be_followed(watched):
    page = watched.page
    leads = page.eval_on_selector_all("a", "links => links.map(each => each.hash.slice(1))")
    assert len(leads) > 10
    missing = [each for each in leads if not page.evaluate("name => !!document.getElementById(name)", each)]
    assert missing == []


@pytest.mark.slow
def test_a_box_can_be_ticked_by_its_label(watched):
    box = watched.page.get_by_role("checkbox", name=re.compile("upper front, left: comes out")).first
    box.check()
    assert box.is_checked()
    box.uncheck()


@pytest.mark.slow
def test_the_drawings_are_drawn(watched):
    sizes = watched.page.eval_on_selector_all(
        "svg[role=img] use", "all => all.map(each => each.getBoundingClientRect().width)"
    )
    assert sizes
    assert min(sizes) > 100


@pytest.mark.slow
def test_nothing_is_wider_than_the_window(watched):
    for width in (820, 1280, 768, 390):
        watched.page.set_viewport_size({"width": width, "height": 1180})
        assert watched.page.evaluate("document.documentElement.scrollWidth") <= width
    watched.page.set_viewport_size({"width": 820, "height": 1180})


@pytest.mark.slow
def test_printed_nothing_is_wider_than_the_narrower_paper(watched):
    """A4 less its margins is 190 mm; a CSS inch has 96 px."""
    page, wide = watched.page, int(190 / 25.4 * 96)
    page.emulate_media(media="print")
    page.set_viewport_size({"width": wide, "height": 1180})
    try:
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
        breaks = page.eval_on_selector_all(
            "article", "all => all.map(each => getComputedStyle(each).breakBefore)"
        )
        assert set(breaks) == {"page"}
    finally:
        page.emulate_media(media="screen")
        page.set_viewport_size({"width": 820, "height": 1180})


@pytest.mark.slow
def test_it_is_readable_for_everyone(watched):
    found = axe.Axe().run(watched.page, options=RULES)
    told = [(each["id"], each["nodes"][0]["html"][:200]) for each in found.response["violations"]]
    assert told == []


FRAMES = Path(__file__).resolve().parents[2] / "data_demo" / "frames"

MEETING_TEXTS = """() => {
    const faults = [];
    const meet = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 0.5
        && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4;
    for (const svg of document.querySelectorAll("svg.joint")) {
        const edge = svg.getBoundingClientRect();
        const texts = [...svg.querySelectorAll("text")]
            .map(each => [each.textContent, each.getBoundingClientRect()]);
        texts.forEach(([words, box], place) => {
            const out = box.left < edge.left - 1 || box.right > edge.right + 1;
            if (out) faults.push([svg.dataset.what, words]);
            for (const [other, its] of texts.slice(place + 1))
                if (meet(box, its)) faults.push([svg.dataset.what, words, other]);
        });
    }
    return faults;
}"""


def drawings_of_the_demo() -> Iterator[str]:
    """Every joint of the demo frames, each step to those beside it and to both ends."""
    for frame in read_frames(FRAMES).frames.values():
        for adjustment in frame.adjustments:
            most = adjustment.most_steps_a_side
            for joint in adjustment.joints:
                for now in range(most + 1):
                    for then in {0, max(now - 1, 0), now, min(now + 1, most), most}:
                        drawing = joint_drawing(cut(joint, Opening("left", now, then), [], None), frame.unit)
                        drawing.frame.set("data-what", f"{frame.code} {joint.name} {now} to {then}")
                        yield drawing.svg


@pytest.mark.slow
def test_no_words_of_a_drawing_meet_or_leave_it(watched, tmp_path):
    drawn = list(drawings_of_the_demo())
    assert len(drawn) > 100
    path = tmp_path / "drawings.html"
    style = f"<style>{drawing_style()}</style>"
    path.write_text(f'<meta charset="utf-8">{style}{drawing_defs()}{"".join(drawn)}', "utf-8")
    page = watched.page.context.browser.new_page()
    page.goto(path.as_uri())
    assert page.evaluate(MEETING_TEXTS) == []
    page.close()


@pytest.mark.slow
def test_it_asked_for_nothing_but_itself_and_complained_of_nothing(watched, file):
    assert {each.partition("#")[0] for each in watched.asked} == {file.as_uri()}
    assert watched.said == []


LETTERING = """() => [...document.querySelectorAll(".halves svg, .whole svg")]
    .filter(each => each.getBoundingClientRect().width > 5)
    .map(each => {
        const by = each.getScreenCTM(), size = parseFloat(getComputedStyle(each).fontSize)
        return [size * Math.hypot(by.a, by.b), each.parentElement.className]
    })"""


@pytest.fixture(scope="module")
def frame_file(tmp_path_factory) -> Path:
    folder = Path(__file__).resolve().parents[2] / "data_demo"
    path = tmp_path_factory.mktemp("frame") / "frame.html"
    result = CliRunner().invoke(app, ["frames", "KD-W5", "--in", str(folder), "--out", str(path)])
    assert result.exit_code == 0, result.output
    return path


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("which", ["file", "frame_file"])
def test_on_a_phone_before_and_after_stand_under_each_other_and_can_be_read(watched, which, scheme, request):
    path = request.getfixturevalue(which)
    found = {}
    for width in (390, 820, 1400):
        page = watched.page.context.browser.new_page(
            viewport={"width": width, "height": 844}, color_scheme=scheme
        )
        page.goto(path.as_uri())
        found[width] = page.evaluate(LETTERING)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), "nothing is cut off"
        page.close()
    assert {where for _, where in found[390]} == {"halves"}
    assert {where for _, where in found[820] + found[1400]} == {"whole"}
    assert len(found[390]) == 2 * len(found[820]) > 0
    assert min(points for points, _ in found[390]) >= 11.5, "CSS pixels"
    assert min(points for width in (820, 1400) for points, _ in found[width]) >= 10.7, "8 points, as on paper"
