"""The page in a real browser: a whole week without a command, by keyboard, without script, at any width."""

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: extra browser")
axe = pytest.importorskip(
    "axe_playwright_python.sync_playwright", reason="axe is not installed: extra browser"
)

from open_page import DEMO  # noqa: E402
from page_week import ANSWER, COUNTED, HELD, by_commands, call, foreign_shop, state_of  # noqa: E402

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = [pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed"), pytest.mark.slow]

RUN = "from reconcile.cli import main; main()"
RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    },
    # Of what is well one element is handed over, not each: pages have thousands.
    "resultTypes": ["violations"],
}
ORDER = "2026-W49-NORD"
PAGES = (
    "today",
    "ask",
    "ask?frame=NQ-T1&measure=seat+width&from=16+in&to=17+in&day=2026-12-03&go=1",
    "ask?frame=NQ-T1&measure=seat+width&from=14+in&to=15+in&day=2026-12-10&go=1",
    "jobs",
    "job?n=J-4110",
    "job?n=J-9999",
    "parts",
    "parts?q=spacer",
    "part?n=B14-250",
    "orders",
    "order?n=2026-W49-QUIL",
    "orders/answer",
    "receive",
    "mend",
    "mend?columns=yes",
    "begin",
    "undo?n=2026-W48",
    "release",
    "close",
    "close/deliveries?week=2026-W49",
    "close/week?week=2026-W49",
    "count",
    "count/judge",
)


class Served:
    """The program running on a folder, and the address that it said."""

    def __init__(self, folder: Path) -> None:
        words = (sys.executable, "-c", RUN, "open", str(folder), "--no-browser", "--today", "2026-11-27")
        self.running = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
        self.address = re.search(r"http://\S+", self.running.stdout.readline())[0]
        self.base = self.address.partition("/?")[0]

    def stop(self) -> None:
        self.running.kill()
        self.running.communicate()


@pytest.fixture(scope="module")
def chromium() -> Iterator:
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Iterator[Served]:
    folder = shutil.copytree(DEMO, tmp_path_factory.mktemp("open") / "workshop")
    call("week", folder, "--force", "--quiet")
    call("count", folder, "--quiet")
    served = Served(folder)
    yield served
    served.stop()


def opened(chromium, served: Served, **given):
    """A window that was let in; what it asks for elsewhere and what it complains of is kept."""
    page = chromium.new_context(**given).new_page()
    page.said, page.asked = [], []
    page.on("console", lambda each: page.said.append(each.text))
    page.on("pageerror", lambda each: page.said.append(str(each)))
    page.on("request", lambda each: page.asked.append(each.url))
    page.goto(served.address)
    for _ in range(100):
        if page.title() != "Reading":
            break
        page.wait_for_timeout(200)
    return page


def go(page, served: Served, path: str) -> None:
    page.goto(f"{served.base}/{path}")


# --- a whole week ---------------------------------------------------------------------------------------


def press(page, name: str) -> None:
    page.get_by_role("button", name=name).first.click()
    page.wait_for_load_state()


def begin_and_mend(page) -> None:
    assert page.locator("h1").inner_text() == "No week can be planned yet."
    page.get_by_role("link", name="Begin with these sheets").click()
    press(page, "Write the settings")
    assert page.locator("h1").inner_text() == "Begun. A week can be planned."
    page.get_by_role("link", name=re.compile("^Mend")).first.click()
    page.get_by_label("3/8 in").check()
    press(page, "Mend Lagerliste.xlsx!Bestand!I9")
    assert "is read as 3/8 in." in page.get_by_role("status").inner_text()


def ask_and_hold(page) -> None:
    page.get_by_role("link", name="Ask", exact=True).click()
    page.get_by_label("Size now").select_option(HELD["from"])
    page.get_by_label("Size wanted").select_option(HELD["to"])
    page.get_by_label("Day", exact=True).fill(HELD["day"])
    page.get_by_role("button", name="Ask").click()
    assert page.locator("h1").inner_text().startswith("Yes, if 4 CLIP are ordered by")
    page.get_by_label("Number for the job").fill(HELD["number"])
    page.get_by_label("Your name").fill("Ada")
    press(page, "Hold it for")
    assert page.locator("h1").inner_text().startswith("H-1 is held.")


def order_and_receive(page, folder: Path) -> None:
    page.get_by_role("link", name="Orders").click()
    press(page, "Write the week’s workbooks")
    page.get_by_role("link", name="To the orders").click()
    page.get_by_role("link", name=f"Read and place {ORDER}").click()
    page.get_by_label("Quantity of CLIP").fill("30")
    press(page, "Save the changes")
    assert "Saved in" in page.get_by_role("status").inner_text()
    press(page, f"Place {ORDER}")
    assert page.locator("h1").inner_text() == f"{ORDER} is placed."
    page.get_by_role("link", name="Read an answer").click()
    (folder.parent / "answer.csv").write_text(ANSWER.format(order=ORDER, quantity=24), "utf-8")
    page.get_by_label("File").set_input_files(folder.parent / "answer.csv")
    press(page, "Read it")
    assert "24 each to come, not 30" in page.locator("main").inner_text()
    press(page, "Book this answer")
    page.get_by_role("link", name="To the orders").click()
    page.get_by_role("link", name=f"Receive {ORDER} CLIP").click()
    page.get_by_label("How many came").fill("24")
    press(page, "Book it as received")
    assert page.locator("h1").inner_text() == "It is booked as received."


def count(page) -> None:
    page.get_by_role("link", name="Count", exact=True).click()
    press(page, "Write the count sheet")
    page.get_by_label("How many lie there?").fill(COUNTED)
    page.get_by_label("Your name").fill("Ada")
    press(page, "Save, next bin")
    page.get_by_role("link", name="See what the counts come to").click()
    page.get_by_label("take it as counted").check()
    press(page, "Book what is settled")
    assert page.locator("h1").inner_text() == "The count is booked."


def close(page) -> None:
    page.get_by_role("link", name="Close", exact=True).click()
    page.get_by_label("Done", exact=True).check()
    press(page, "Save, next job")
    assert "A-102: was it done?" in page.locator("h1").inner_text()
    page.get_by_label("Done", exact=True).check()
    page.get_by_label(re.compile("^used: CLIP ")).fill("5")
    page.get_by_label(re.compile("^reason: CLIP ")).fill("one broke")
    press(page, "Save, next job")
    page.get_by_label("Part done").check()
    page.get_by_label(re.compile("^used: PAN-10 .*fit")).fill("1")
    press(page, "Save, next job")
    page.get_by_label("Not done").check()
    press(page, "Save, next job")
    page.get_by_role("link", name="Close the week").click()
    press(page, "Close 2026-W49")
    assert page.locator("h1").inner_text() == "2026-W49 is closed."


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_a_whole_week_without_a_command_line_comes_to_the_same(tmp_path, chromium, script):
    typed, clicked = foreign_shop(tmp_path / "typed"), foreign_shop(tmp_path / "clicked")
    by_commands(typed)
    served = Served(clicked)
    try:
        page = opened_plainly(chromium, served, java_script_enabled=script)
        begin_and_mend(page)
        ask_and_hold(page)
        order_and_receive(page, clicked)
        count(page)
        close(page)
        page.get_by_role("button", name="Stop the page").click()
        assert page.locator("h1").inner_text().startswith("Stopped.")
        assert served.running.wait(20) == 0
    finally:
        served.stop()
    said, seen = state_of(typed), state_of(clicked)
    assert seen.keys() == said.keys()
    for name, each in said.items():
        assert seen[name] == each, name


def opened_plainly(chromium, served: Served, **given):
    page = chromium.new_context(**given).new_page()
    page.goto(served.address)
    for _ in range(100):
        if page.title() != "Reading":
            return page
        page.wait_for_timeout(200)
        page.goto(f"{served.base}/today")
    raise AssertionError("the first plan was never made")


# --- for everyone ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (390, "dark"), (820, "dark"), (1600, "light")])
def test_every_page_can_be_read_by_everyone(chromium, demo, width, scheme):
    page = opened(chromium, demo, viewport={"width": width, "height": 900}, color_scheme=scheme)
    for path in PAGES:
        go(page, demo, path)
        found = axe.Axe().run(page, options=RULES).response
        assert found["passes"], path
        assert [(path, each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []
        wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, (path, width)
    assert {url.partition("/")[2].partition("/")[2].partition("/")[0] for url in page.asked} == {
        demo.base[7:]
    }
    assert [each for each in page.said if "Failed to load resource" not in each] == []


@pytest.mark.parametrize("path", ["today", "orders", "close", "count", "ask", "mend"])
def test_everything_is_reached_by_the_keyboard_alone(chromium, demo, path):
    page = opened(chromium, demo, viewport={"width": 1280, "height": 900})
    go(page, demo, path)
    page.evaluate("document.activeElement.blur()")
    there = page.evaluate(
        "[...document.querySelectorAll("
        "'a[href], button, input:not([type=hidden]), select, textarea, summary')]"
        ".filter(e => e.offsetParent && e.type != 'radio'"
        " && (e.matches('summary') || !e.closest('details:not([open])'))).length"
    )
    reached = set()
    for _ in range(there + 40):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "(() => { const e = document.activeElement; if (e == document.body) return null;"
                " e.dataset.seen ??= Math.random(); const s = getComputedStyle(e);"
                " const shown = s.outlineStyle != 'none' || s.position == 'absolute';"
                " return [e.dataset.seen, shown, e.type == 'radio'].join() })()"
            )
        )
    seen = {each for each in reached if each}
    assert all(each.split(",")[1] == "true" for each in seen)  # where one is can be seen
    assert len([each for each in seen if each.endswith("false")]) >= there


def test_the_first_tab_leads_past_the_index(chromium, demo):
    page = opened(chromium, demo)
    go(page, demo, "today")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.innerText") == "To the answer"
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")


def test_a_card_prints_its_drawings_at_half_size_and_nothing_to_press(chromium, demo):
    page = opened(chromium, demo, viewport={"width": 820, "height": 1180})
    go(page, demo, "job?n=J-4110")
    page.emulate_media(media="print")
    assert page.locator("nav.index").is_hidden()
    assert page.get_by_role("button", name="Print this card").is_hidden()
    assert page.locator(".noprint").first.is_hidden()
    width = page.locator(".whole svg").first.evaluate(
        "e => [e.getBoundingClientRect().width, parseFloat(e.getAttribute('width'))]"
    )
    assert abs(width[0] - width[1] * 96 / 25.4) < 2
    assert len(page.pdf(format="A4")) > 1000


def test_a_change_beside_the_page_is_shown_without_loading_it_anew(chromium, demo, tmp_path):
    folder = shutil.copytree(DEMO, tmp_path / "workshop")
    served = Served(folder)
    try:
        page = opened(chromium, served)
        page.get_by_role("heading", name=re.compile("23 of 39 kits")).wait_for()
        frame = folder / "frames" / "NQ-T1.toml"
        frame.rename(folder / "frames" / "NQ-T1.txt")
        go(page, served, "today")
        page.get_by_role("heading", name="Every kit is complete: 15 jobs").wait_for()
    finally:
        served.stop()


def test_what_is_refused_is_read_out_and_stands_there(chromium, demo):
    page = opened(chromium, demo)
    go(page, demo, "receive")
    page.get_by_label("How many came").fill("a lot")
    press(page, "Book it as received")
    alert = page.get_by_role("alert")
    assert "is not a number" in alert.inner_text()
    assert page.evaluate("document.activeElement.id") == "refused"
    assert page.get_by_label("How many came").input_value() == "a lot"


def test_another_site_in_the_same_browser_can_neither_read_nor_write(chromium, demo, tmp_path):
    """A page of another origin: it cannot frame, fetch or post, even in the window that was let in."""
    page = opened(chromium, demo)
    evil = tmp_path / "evil.html"
    evil.write_text(
        f'<iframe src="{demo.base}/today"></iframe><form method="post" action="{demo.base}/stop">'
        '<input name="token" value="x">'
        "<button>Win a chair</button></form>",
        "utf-8",
    )
    page.goto(evil.as_uri())
    read = page.evaluate(
        f"fetch('{demo.base}/today', {{credentials: 'include'}}).then(a => a.text(), () => 'kept out')"
    )
    assert read == "kept out"
    assert all(
        "kits" not in (frame.content() if frame.url.startswith("http") else "") for frame in page.frames[1:]
    )
    page.get_by_role("button", name="Win a chair").click()
    page.wait_for_load_state()
    assert "Not let in" in page.content()
    assert demo.running.poll() is None
