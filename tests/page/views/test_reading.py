"""What every page shows of the demo: the answers of the commands, and nothing that a sheet hides in it."""

import json
import re

import openpyxl
import pytest
from lxml import html
from open_page import Opened, opened_demo
from page_week import FRAME
from typer.testing import CliRunner

from reconcile.cli import app

SCRIPT = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&"
TODAY = ("--today", "2026-11-27")


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Opened:
    page = opened_demo(tmp_path_factory.mktemp("reading") / "workshop")
    page.send("/orders", "/orders/write")
    page.send("/count", "/count/write")
    return page


PAGES = (
    "/today",
    "/ask",
    "/ask?frame=NQ-T1&measure=seat+width&from=16+in&to=17+in&day=2026-12-03&go=1",
    "/ask?number=J-4110",
    "/ask?number=J-4110&go=1&frame=NQ-T1&from=16+in&to=17+in",
    "/jobs",
    "/jobs?q=bench+2",
    "/job?n=J-4110",
    "/job?n=J-4094",
    "/parts",
    "/parts?q=spacer",
    "/part?n=B14-250",
    "/part?n=TL-MED",
    "/orders",
    "/order?n=2026-W49-QUIL",
    "/orders/answer",
    "/receive",
    "/mend",
    "/mend?columns=yes",
    "/begin",
    "/undo",
    "/undo?n=2026-W48",
    "/release",
    "/close",
    "/close/deliveries?week=2026-W49",
    "/close/week?week=2026-W49",
    "/count",
    "/count?q=B14",
    "/count/judge",
    "/state",
)


@pytest.mark.parametrize("path", PAGES)
def test_every_page_is_there(demo, path):
    seen = demo.get(path)
    nothing_filled_in = path.startswith("/close/week")
    assert seen.status == (422 if nothing_filled_in else 200), seen.text
    assert "own-fault" not in seen.html


def test_today_says_what_the_week_says(demo):
    week = json.loads(
        CliRunner().invoke(app, ["week", str(demo.folder), *TODAY, "--json", "--dry-run"]).stdout
    )
    seen = demo.get("/today")
    assert seen.verdict == (
        "Not every job can be done: 23 of 39 kits complete, 8 rely on parts that have yet to come,"
        " 1 to be ordered for in time, 7 short of parts."
    )
    kits = [job["kit"] for job in week["jobs"]]
    for kind, word in (("complete", "Complete"), ("waits", "Wait"), ("order", "Order"), ("short", "Short")):
        assert re.search(rf"{word} {kits.count(kind)} ", seen.text)
    for job in week["jobs"]:
        assert f'class="tick k-{job["kit"]}" href="/job?n={job["job"]}"' in seen.html


def test_what_is_to_be_done_comes_by_how_many_chairs_hang_on_it(demo):
    chairs = re.findall(r'<p class="stake"><b>(\d+)</b>', demo.get("/today").html)
    assert len(chairs) == 10
    assert list(map(int, chairs)) == sorted(map(int, chairs), reverse=True)


@pytest.mark.parametrize("job", ["J-4101", "J-4110", "J-4126", "J-4162", "J-4170", "J-4094"])
def test_a_job_is_answered_as_by_check(demo, job):
    said = CliRunner().invoke(app, ["check", job, "--in", str(demo.folder), *TODAY])
    first = " ".join(said.stdout.split())
    assert first.startswith(demo.get("/job", n=job).verdict)


@pytest.mark.parametrize("size", ["17 in", "18 in", "15 in", "16 1/2 in"])
def test_what_is_asked_is_answered_as_by_check(demo, size):
    words = ["--frame", "NQ-T1", "--from", "16 in", "--to", size, "--date", "2026-12-03"]
    said = CliRunner().invoke(app, ["check", "--in", str(demo.folder), *words, *TODAY])
    asked = {
        "frame": "NQ-T1",
        "measure": "seat width",
        "from": "16 in",
        "to": size,
        "day": "2026-12-03",
        "go": "1",
    }
    seen = demo.get("/ask", **asked)
    assert " ".join(said.stdout.split()).startswith(seen.verdict)


def test_a_planned_job_is_asked_about_as_if_its_row_said_otherwise(demo):
    filled = demo.client.get("/ask", params={"number": "J-4101"}).text
    assert re.search(r'name="day"[^>]* value="2026-11-30"', filled)
    seen = demo.get(
        "/ask",
        number="J-4101",
        frame="NQ-T1",
        measure="seat width",
        chairs="50",
        go="1",
        **{"from": "16 in", "to": "17 in"},
    )
    assert seen.verdict.startswith("As if J-4101 said")
    assert "chairs 50, not 1" in seen.verdict
    assert "/ask/hold" not in seen.html


def test_only_sizes_and_options_that_exist_are_offered(demo):
    text = demo.client.get("/ask", params={"frame": "NQ-T1", "measure": "seat width"}).text
    sizes = re.search(r'<select class="fill" id="to".*?</select>', text, re.DOTALL)
    offered = re.findall(r"<option[^>]*>([^<]+)</option>", sizes[0])
    assert offered == [
        "14 in",
        "14 1/2 in",
        "15 in",
        "15 1/2 in",
        "16 in",
        "16 1/2 in",
        "17 in",
        "17 1/2 in",
        "18 in",
        "18 1/2 in",
        "19 in",
        "19 1/2 in",
        "20 in",
    ]
    assert set(re.findall(r'name="option" value="([^"]+)"', text)) == {
        "anti-tippers",
        "fixed axle",
        "front rigging",
        "push bar",
        "solid seat",
    }


def test_a_part_shows_what_why_says(demo):
    said = CliRunner().invoke(app, ["why", "B14-250", "--in", str(demo.folder), *TODAY]).stdout
    seen = demo.get("/part", n="B14-250")
    assert " ".join(said.split()) in seen.text
    assert seen.verdict == "Short from Tue 2026-12-01: 40 lack if every job is done on its day. Order 200."


@pytest.mark.parametrize("words", ["B14-250", "b14-250"])
def test_a_part_that_is_named_or_scanned_is_opened_at_once(demo, words):
    assert demo.get("/parts", q=words).path == "/part"


@pytest.mark.parametrize(
    ("words", "part"), [("B-18", "B14-250"), ("spacer 1/2", "SP-050"), ("Q41094", "B14-062")]
)
def test_a_part_is_found_by_its_bin_its_words_and_its_suppliers_number(demo, words, part):
    assert f'href="/part?n={part}"' in demo.get("/parts", q=words).html


def test_a_card_has_its_drawings_its_torque_and_the_usual_cautions(demo):
    seen = demo.get("/job", n="J-4110")
    assert seen.html.count('role="img"') >= 3
    assert "torque 9 N·m" in seen.text
    for caution in (
        "Follow the frame maker's instructions.",
        "A qualified technician does the work.",
        "Local rules come first.",
    ):
        assert caution in seen.text
    assert "[jobs.xlsx!Jobs!" in seen.text  # why, down to the cell


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("/job?n=J-9999", "The jobs sheet has no job 'J-9999'."),
        ("/job", "Which job?"),
        ("/part?n=B14-251", "There is no part 'B14-251'. Nearest: B14-"),
        ("/order?n=X", "No order workbook has an order 'X'"),
        ("/undo?n=2026-W01", "No closing '2026-W01' stands"),
        ("/close?week=2026-W40", "There is no week '2026-W40'."),
    ],
)
def test_what_is_not_there_is_said(demo, path, says):
    seen = demo.get(path)
    assert seen.status == 422
    assert says in seen.text
    assert "own-fault" not in seen.html


def test_of_a_job_whose_row_is_faulty_its_fault_is_shown(demo):
    seen = demo.get("/job?n=J-4115")
    assert seen.status == 422
    assert 'B18 "3/12/2026" is 2026-12-03 with the day first or 2026-03-12 with the month first' in seen.text
    assert 'Set date_order = "dmy" or "mdy" in the settings, or write 2026-12-03.' in seen.text


def test_every_fault_is_listed_with_its_cell_and_what_to_do(demo):
    week = json.loads(
        CliRunner().invoke(app, ["week", str(demo.folder), *TODAY, "--json", "--dry-run"]).stdout
    )
    seen = demo.get("/mend")
    for problem in week["problems"]:
        assert problem["code"] in seen.html or (
            problem["code"] == "length-is-date" and "What was typed?" in seen.text
        )


# --- a sheet that is out to harm --------------------------------------------------------------------------


@pytest.fixture(scope="module")
def hostile(tmp_path_factory) -> Opened:
    """Script in every text cell there is, and in the names of things."""
    folder = tmp_path_factory.mktemp("hostile") / "workshop"
    (folder / "frames").mkdir(parents=True)
    code = FRAME.replace('"ZB-1"', json.dumps(f"ZB {SCRIPT}")).replace('"build sheet Z"', json.dumps(SCRIPT))
    code = code.replace('"back height"', json.dumps(f"back {SCRIPT}")).replace(
        '"CLIP"', json.dumps(f"CLIP {SCRIPT}")
    )
    code = code.replace('"back panel"', json.dumps(f"panel {SCRIPT}"))
    (folder / "frames" / "z.toml").write_text(code, "utf-8")
    (folder / "reconcile.toml").write_text(f"[workshop]\nname = {json.dumps(f'Shop {SCRIPT}')}\n", "utf-8")
    write_books(folder)
    page = Opened(folder)
    page.send("/orders", "/orders/write")
    page.send("/count", "/count/write")
    return page


def write_books(folder) -> None:
    book = openpyxl.Workbook()
    jobs = book.active
    jobs.title = "Jobs"
    jobs.append(
        ["job", "date", "frame", "from", "to", "technician", "asset", "notes", "adjustment", f"own {SCRIPT}"]
    )
    for number in range(3):
        jobs.append(
            [
                f"J{number} {SCRIPT}",
                "2026-11-30",
                f"ZB {SCRIPT}",
                "10 in",
                "11 in",
                SCRIPT,
                f"WC {SCRIPT}",
                SCRIPT,
                f"back {SCRIPT}",
                SCRIPT,
            ]
        )
    jobs.append([f"J9 {SCRIPT}", SCRIPT, SCRIPT, SCRIPT, SCRIPT])
    book.save(folder / "jobs.xlsx")
    book = openpyxl.Workbook()
    stock = book.active
    stock.title = "Stock"
    stock.append(
        [
            "part",
            "description",
            "bin",
            "on hand",
            "allocated",
            "unit",
            "supplier",
            "supplier part",
            "lead time days",
        ]
    )
    for part, on_hand in ((f"CLIP {SCRIPT}", 3), ("PAN-14", 1), ("PAN-10", 1), ("GLUE", 5)):
        unit = "mL" if part == "GLUE" else "each"
        stock.append(
            [
                part,
                SCRIPT,
                f"A {SCRIPT}",
                on_hand,
                9 if part == "GLUE" else None,
                unit,
                f"N {SCRIPT}",
                SCRIPT,
                2,
            ]
        )
    stock.append([f"X {SCRIPT}", SCRIPT, SCRIPT, SCRIPT, SCRIPT, SCRIPT])
    due = book.create_sheet("On order")
    due.append(["order", "part", "quantity", "due", "note"])
    due.append([f"PO {SCRIPT}", f"CLIP {SCRIPT}", 5, "2026-12-02", SCRIPT])
    book.save(folder / "stock.xlsx")


def test_the_hostile_workshop_is_planned(hostile):
    assert "of 3 kits" in hostile.get("/today").verdict


@pytest.mark.parametrize(
    "path",
    [
        "/today",
        "/jobs",
        "/parts",
        "/parts?q=clip",
        "/orders",
        "/mend",
        "/mend?columns=yes",
        "/begin",
        "/close",
        "/count",
        "/count?q=a",
        "/count/judge",
        "/receive",
        "/orders/answer",
        "/undo",
        "/release",
        "/ask",
        "/close/deliveries?week=2026-W49",
        "/close/week?week=2026-W49",
    ],
)
def test_script_in_a_sheet_is_only_ever_text(hostile, path):
    is_text(hostile.get(path))


def test_script_in_a_name_is_only_ever_text(hostile):
    job, part, frame = f"J0 {SCRIPT}", f"CLIP {SCRIPT}", f"ZB {SCRIPT}"
    is_text(hostile.get("/job", n=job))
    is_text(hostile.get("/part", n=part))
    asked = {
        "frame": frame,
        "measure": f"back {SCRIPT}",
        "from": "10 in",
        "to": "12 in",
        "day": "2026-12-01",
        "go": "1",
    }
    seen = hostile.get("/ask", **asked)
    assert "The kit" in seen.text
    is_text(seen)
    orders = re.findall(r'href="(/order\?n=[^"]+)"', hostile.get("/orders").html)
    assert orders
    is_text(hostile.get(orders[0].replace("&amp;", "&")))


def is_text(seen) -> None:
    assert seen.status in (200, 422)
    assert "own-fault" not in seen.html, seen.text
    page = html.fromstring(seen.html)
    assert [each.get("src") for each in page.iter("script")] == ["/page.js"]
    assert list(page.iter("img")) == []
    assert [name for each in page.iter() for name in each.attrib if name.startswith("on")] == []


@pytest.mark.parametrize(
    "path",
    ["/ask", "/jobs", "/parts", "/job", "/part", "/orders/answer", "/undo", "/release", "/count", "/mend"],
)
def test_script_in_an_address_is_only_ever_text(demo, path):
    fields = (
        "q",
        "n",
        "said",
        "saved",
        "after",
        "row",
        "number",
        "frame",
        "measure",
        "from",
        "to",
        "day",
        "file",
        "week",
    )
    is_text(demo.get(path, **dict.fromkeys(fields, SCRIPT)))
