"""A chair is planned as it is: by its row, by its record, or after a look. From command to card."""

import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from books import workbook
from closing_shop import MONDAY, all_done, call, fill, fine, on_hand, refused, returns_of

W49, W50 = "2026-W49", "2026-W50"
NEXT_MONDAY = MONDAY + timedelta(days=7)
FRAME = """
code = "NQ-T1"
source = "build sheet 12 rev C"
[[adjustment]]
name = "seat width"
minimum = "14 in"
maximum = "20 in"
step = "1/2 in"
sides = 2
[[adjustment.joint]]
name = "upper front"
bolts = {bolts}
stacks = 1
thread = "1/4-20 UNC"
head = "socket cap"
length = "1 1/2 in"
{grades}
spacers = [{{ part = "SP-050", thickness = "1/2 in" }}, {{ part = "SP-100", thickness = "1 in" }}]
reuse = "after inspection"
spacer_reuse = "{spacer_reuse}"
[[adjustment.joint.lengthen]]
option = "front rigging"
by = "1/2 in"
"""
AFTER = """
[[adjustment.after]]
check = "wheel locks hold, both sides"
[[adjustment.after]]
check = "rigging swings free"
when = "front rigging"
"""
HEADINGS = ("part", "thread", "length", "head", "grade", "bin", "on hand", "unit", "lead time days")
STOCK = [
    HEADINGS,
    ("SP-050", None, None, None, None, "A1", 50, "each", 5),
    ("SP-100", None, None, None, None, "A2", 50, "each", 5),
    *(
        (f"B14-{length}", "1/4-20 UNC", words, "socket cap", None, f"B{length}", 20, "each", 5)
        for length, words in ((150, "1 1/2 in"), (200, "2 in"), (250, "2 1/2 in"), (300, "3 in"),
                              (350, "3 1/2 in"), (400, "4 in"))
    ),
]  # fmt: skip
ROW = ("job", "date", "frame", "from", "to", "asset", "options", "spacers now")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """A folder with these jobs, and a stock of everything."""
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))

    def made(
        *jobs: tuple, stock=STOCK, grades="", bolts=1, spacer_reuse="after inspection", after=AFTER
    ) -> Path:
        folder = tmp_path / "shop"
        (folder / "frames").mkdir(parents=True)
        frame = FRAME.format(grades=grades, bolts=bolts, spacer_reuse=spacer_reuse)
        (folder / "frames" / "NQ-T1.toml").write_text(frame + after, "utf-8")
        workbook(folder / "jobs.xlsx", Jobs=[ROW, *jobs])
        workbook(folder / "stock.xlsx", Stock=stock)
        return folder

    return made


def close(folder: Path, week: str) -> None:
    all_done(returns_of(folder, week))
    fine("close", folder, "--week", week, "--replace", "--who", "stores")


def planned(folder: Path, week: str) -> dict:
    return json.loads(fine("week", folder, "--week", week, "--json"))


def job_of(told: dict, number: str) -> dict:
    return next(job for job in told["jobs"] if job["job"] == number)


def spacers(job: dict) -> list[tuple]:
    """(do, side, quantity, parts) of its spacer lines."""
    lines = (line for line in job["lines"] if line["what"] == "spacer")
    return [(line["do"], line["side"], line["quantity"], line["parts"]) for line in lines]


def codes(told: dict) -> set[str]:
    return {fault["code"] for fault in told["problems"]}


def card(folder: Path, week: str) -> str:
    fine("week", folder, "--week", week, "--force")
    return (folder / "reports" / f"bench-{week}.html").read_text("utf-8")


# --- the stories ----------------------------------------------------------------------------------


def test_a_chair_widened_with_whole_inch_spacers_gives_those_back(shop) -> None:
    """14 to 18 in: four half-inch steps a side, of fewest pieces 2 x SP-100. Narrowed again they come off.

    Before, the card had eight SP-050 pulled, and the closing booked eight that never were in the chair.
    """
    folder = shop(
        ("J-1", MONDAY, "NQ-T1", "14 in", "18 in", "WC-0443", None, None),
        ("J-2", NEXT_MONDAY, "NQ-T1", "18 in", "14 in", "WC-0443", None, None),
        after="",
    )
    assert "in   1 stack of spacers 2 in: 2 x SP-100" in fine("check", "J-1", "--in", folder)
    close(folder, W49)
    told = planned(folder, W50)
    assert spacers(job_of(told, "J-2")) == [
        ("remove", "left", 2, {"SP-100": 2}),
        ("remove", "right", 2, {"SP-100": 2}),
    ]
    assert not job_of(told, "J-2")["look_first"]
    asked = fine("check", "J-2", "--in", folder)
    assert "out  2 spacers, together 2 in: back to stock after inspection: 2 x SP-100" in asked
    page = card(folder, W50)
    assert "SP-100" in page
    assert "SP-050" not in page
    close(folder, W50)
    shelf = on_hand(folder / "stock.xlsx")
    assert (shelf["SP-050", "A1"], shelf["SP-100", "A2"]) == (50, 50)


def test_one_joint_gets_one_kind_of_bolt(shop) -> None:
    """Two bolts a side; three A574 and four SAE 8 lie there: all four are SAE 8, and the card says so.

    Before, three A574 and one SAE 8 went in: one joint had both, with one torque.
    """
    stock = [
        HEADINGS,
        STOCK[1],
        ("B-BLACK", "1/4-20 UNC", "2 in", "socket cap", "ASTM A574", "B1", 3, "each", 5),
        ("B-ZINC", "1/4-20 UNC", "2 in", "socket cap", "SAE 8", "B2", 4, "each", 5),
    ]
    folder = shop(
        ("J-1", MONDAY, "NQ-T1", "14 in", "15 in", None, None, None),
        stock=stock, grades='grades = ["ASTM A574", "SAE 8"]\ntorque = "11 N*m"', bolts=2, after="",
    )  # fmt: skip
    told = planned(folder, W49)
    job = job_of(told, "J-1")
    into = [line["parts"] for line in job["lines"] if (line["do"], line["what"]) == ("fit", "bolt")]
    assert into == [{"B-ZINC": 2}, {"B-ZINC": 2}]
    assert "grade-differs" in codes(told)
    page = card(folder, W49)
    assert "B-ZINC" in page
    assert "B-BLACK" not in page


# --- after a look ---------------------------------------------------------------------------------


def test_what_nobody_knows_is_looked_at_first(shop) -> None:
    """15 in to 14 in: a step a side comes off; of 1/2 in it can only be SP-050. 16 to 15: two may be one."""
    folder = shop(("J-1", MONDAY, "NQ-T1", "16 in", "15 in", "WC-1", None, None), spacer_reuse="never")
    told = planned(folder, W49)
    job = job_of(told, "J-1")
    assert (job["look_first"], job["asset"]) == (True, "WC-1")
    assert job["after"] == ["wheel locks hold, both sides"]
    assert spacers(job) == [("remove", "left", 1, {}), ("remove", "right", 1, {})]
    assert "stack-unknown" in codes(told)
    answer = fine("check", "J-1", "--in", folder)
    assert answer.startswith("Yes, after a look: the kit for J-1 is on the shelf for Mon 2026-11-30.")
    assert "out  1 step of the stack: look first, and write down what comes off" in answer
    assert fine("why", "J-1", "--in", folder).startswith("Yes, after a look:")
    notes = " ".join(card(folder, W49).split())
    assert "2 steps" not in notes
    assert "1 step of the stack" in notes
    assert "needed if a piece has to be split:</strong>" in notes
    assert "J-1, upper front, left and right: 1 x SP-050 for each stack" in notes
    assert "Of these 1 job only after a look at the chair: J-1." in fine("week", folder, "--dry-run")
    # Written down at the closing, though it is not used again.
    import openpyxl

    book = openpyxl.load_workbook(returns_of(folder, W49))
    how = {row[0]: row[1] for row in book["How to"].values}
    assert how["J-1, look first"] == "Write down what came off: upper front, left; upper front, right."
    assert how["J-1, if a piece was split"].endswith(
        "upper front, left and right: 1 x SP-050 for each stack."
    )
    lines = book["Lines"]
    rows = [[cell.value for cell in row] for row in lines.iter_rows(min_row=2)]
    assert [row[:5] for row in rows if row[2] == "spacer"] == [
        ["J-1", "remove", "spacer", "upper front", "left"],
        ["J-1", "remove", "spacer", "upper front", "right"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("said", "off", "fitted"),
    [
        ("single", {"SP-050": 1}, None),
        ("SP-100", {"SP-100": 1}, {"SP-050": 1}),
        ('2 × 1/2"', {"SP-050": 1}, None),
        ("left: 1 in; right: 1/2 in + 1/2 in", {"SP-100": 1}, {"SP-050": 1}),
    ],
)
def test_the_row_says_what_the_stacks_are(shop, said, off, fitted) -> None:
    """16 to 15 in: two steps a side become one; a whole-inch piece comes off and half an inch goes in."""
    folder = shop(("J-1", MONDAY, "NQ-T1", "16 in", "15 in", None, None, said))
    lines = [line for line in spacers(job_of(planned(folder, W49), "J-1")) if line[1] == "left"]
    expected = [("remove", "left", 1, off), *([("fit", "left", 1, fitted)] if fitted else [])]
    assert lines == expected


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("SP-100 + ", "spacers-now-unread"),
        ("up: SP-100", "spacers-now-unread"),
        ("left: none; left: none", "spacers-now-unread"),
        ("0 x SP-100", "spacers-now-unread"),
        (1, "length-unit-missing"),
        ("SP-075", "spacers-now-unknown"),
        ("none", "spacers-now-height"),
    ],
)
def test_faults_of_spacers_now_name_their_cell(shop, said, code) -> None:
    sound = ("J-2", MONDAY, "NQ-T1", "16 in", "15 in", None, None, None)
    folder = shop(("J-1", MONDAY, "NQ-T1", "16 in", "15 in", None, None, said), sound)
    told = planned(folder, W49)
    assert [job["job"] for job in told["jobs"]] == ["J-2"]
    assert (code, "jobs.xlsx!Jobs!H2") in {(fault["code"], fault["where"]) for fault in told["problems"]}


# --- the record, over two weeks -------------------------------------------------------------------


def test_the_record_tells_what_the_row_leaves_out(shop) -> None:
    """Widened to 16 in with front rigging; the next week's row names the chair and the size wanted alone."""
    folder = shop(
        ("J-1", MONDAY, "NQ-T1", "14 in", "16 in", "WC-0443", "front rigging", None),
        ("J-2", NEXT_MONDAY, "NQ-T1", None, "15 in", "WC-0443", None, None),
        ("J-3", NEXT_MONDAY, "NQ-T1", None, "15 in", "WC-0450", None, None),
    )
    close(folder, W49)
    told = planned(folder, W50)
    job = job_of(told, "J-2")
    assert job["steps"] == {"left": [2, 1], "right": [2, 1]}
    assert job["after"] == ["wheel locks hold, both sides", "rigging swings free"]
    out = next(line for line in job["lines"] if line["what"] == "bolt")
    assert (out["do"], out["length"], out["parts"]) == ("remove", "3 in", {"B14-300": 1})
    assert [each["where"] for each in told["problems"] if each["code"] == "from-missing"] == [
        "jobs.xlsx!Jobs!D4"
    ]
    assert "[the record of WC-0443]" in " ".join(fine("why", "J-2", "--in", folder).split())
    asked = fine("check", "--asset", "WC-0443", "--to", "15 in", "--date", str(NEXT_MONDAY - timedelta(3)),
                 "--in", folder)  # fmt: skip
    assert "NQ-T1, seat width: 16 in to 15 in, with front rigging." in asked
    today = fine("check", "--asset", "WC-0443", "--to", "15 in", "--in", folder)
    assert today.startswith("Yes: the kit for this job is on the shelf for Fri 2026-11-27.")
    close(folder, W50)
    record = json.loads(fine_chair(folder))["records"][0]
    assert (record["size"], record["joints"][0]["spacers"]) == ("15 in", {"SP-050": 1})


def fine_chair(folder: Path) -> str:
    from typer.testing import CliRunner

    from reconcile.cli import app

    answer = CliRunner().invoke(app, ["chair", "WC-0443", "--in", str(folder), "--json"])
    assert answer.exit_code == 0, answer.output
    return answer.stdout


def test_a_row_that_says_otherwise_counts_and_the_card_says_measure(shop) -> None:
    folder = shop(
        ("J-1", MONDAY, "NQ-T1", "14 in", "16 in", "WC-0443", "front rigging", None),
        ("J-2", NEXT_MONDAY, "NQ-T1", "15 in", "14 in", "WC-0443", None, None),
        ("J-3", NEXT_MONDAY, "NQ-T1", "16 in", "15 in", "WC-0443", "none", None),
    )
    close(folder, W49)
    told = planned(folder, W50)
    assert "the record says 16 in, left 2, right 2: measure first" in job_of(told, "J-2")["notices"]
    assert job_of(told, "J-2")["steps"] == {"left": [1, 0], "right": [1, 0]}
    # The later row of the chair starts from what J-2 leaves.
    assert "after J-2 it has 14 in, left 0, right 0: measure first" in job_of(told, "J-3")["notices"]
    assert "the record says 16 in, left 2, right 2: measure first" in card(folder, W50)


def test_later_rows_of_a_chair_start_from_what_earlier_ones_leave(shop) -> None:
    """Rows may stand in any order; J-2 is done a day after J-1, and leaves from out."""
    folder = shop(
        ("J-2", MONDAY + timedelta(1), "NQ-T1", None, "17 in", "WC-1", None, None),
        ("J-1", MONDAY, "NQ-T1", "14 in", "16 in", "WC-1", "front rigging", None),
    )
    told = planned(folder, W49)
    assert [job["job"] for job in told["jobs"]] == ["J-2", "J-1"]
    job = job_of(told, "J-2")
    assert job["steps"] == {"left": [2, 3], "right": [2, 3]}
    assert job["lines"][0]["length"] == "3 in"  # with the front rigging that J-1's row tells


def test_an_asset_of_two_frames_and_one_of_several_chairs_are_told(shop) -> None:
    folder = shop(("J-1", MONDAY, "NQ-T1", "14 in", "15 in", "WC-1", None, None))
    other = FRAME.format(grades="", bolts=1, spacer_reuse="never").replace("NQ-T1", "BD-A4")
    (folder / "frames" / "BD-A4.toml").write_text(other, "utf-8")
    rows = [
        (*ROW, "chairs"),
        ("J-1", MONDAY, "NQ-T1", "14 in", "15 in", "WC-1", None, None, None),
        ("J-2", MONDAY, "BD-A4", "14 in", "15 in", "WC-1", None, None, None),
        ("J-3", MONDAY, "BD-A4", "14 in", "15 in", "WC-2", None, None, 2),
    ]
    workbook(folder / "jobs.xlsx", Jobs=rows)
    told = {(fault["code"], fault["where"].rpartition("!")[2]) for fault in planned(folder, W49)["problems"]}
    assert {("asset-frames", "F2"), ("asset-frames", "F3"), ("asset-chairs", "I4")} <= told


def test_a_frame_file_that_changed_since_the_closing_is_told(shop) -> None:
    """The step is 1/4 in now, and SP-100 is gone: 16 in are eight steps, of nobody knows what."""
    folder = shop(
        ("J-1", MONDAY, "NQ-T1", "14 in", "16 in", "WC-0443", None, None),
        ("J-2", NEXT_MONDAY, "NQ-T1", None, "15 in", "WC-0443", None, None),
    )
    close(folder, W49)
    path = folder / "frames" / "NQ-T1.toml"
    text = path.read_text("utf-8").replace('step = "1/2 in"', 'step = "1/4 in"')
    spacer = '{ part = "SP-100", thickness = "1 in" }'
    path.write_text(text.replace(spacer, '{ part = "SP-025", thickness = "1/4 in" }'), "utf-8")
    told = planned(folder, W50)
    assert ("asset-frame-changed", "jobs.xlsx!Jobs!F3") in {
        (each["code"], each["where"]) for each in told["problems"]
    }
    job = job_of(told, "J-2")
    assert job["steps"] == {"left": [4, 2], "right": [4, 2]}
    assert job["look_first"]


def test_a_ledger_that_cannot_be_read_stops_the_run_of_a_chair_on_record(shop) -> None:
    folder = shop(("J-1", MONDAY, "NQ-T1", "14 in", "16 in", "WC-0443", None, None))
    (folder / "stock-ledger.sqlite").write_bytes(b"no ledger" * 200)
    assert "ledger-broken" in refused("week", folder, "--week", W49)


def test_a_question_about_a_chair_that_nobody_knows(shop) -> None:
    folder = shop(("J-1", MONDAY, "NQ-T1", "14 in", "16 in", "WC-0443", None, None))
    words = ("check", "--asset", "WC-9", "--frame", "NQ-T1", "--to", "15 in", "--date", date(2026, 12, 1))
    assert "from-missing" in refused(*words, "--in", folder)
    assert call(*words, "--from", "16 in", "--spacers-now", "SP-100", "--in", folder).exit_code == 0


def test_a_part_done_job_is_planned_by_the_record_before_its_own_bookings(shop) -> None:
    """J-1 narrows 16 to 15 in; its left side is booked. The right still starts from 2 steps, one SP-100."""
    folder = shop(
        ("J-0", MONDAY, "NQ-T1", "14 in", "16 in", "WC-0443", None, None),
        ("J-1", NEXT_MONDAY, "NQ-T1", None, "15 in", "WC-0443", None, None),
    )
    close(folder, W49)

    def left_side(row: dict) -> dict | None:
        done = row["side"] == "left"
        return {"used" if row["do"] == "fit" else "returned": row["planned"]} if done else None

    fill(returns_of(folder, W50), "Lines", left_side)
    fine("close", folder, "--week", W50, "--replace")
    assert spacers(job_of(planned(folder, W50), "J-1")) == [
        (do, "right", 1, parts) for do, parts in (("remove", {"SP-100": 1}), ("fit", {"SP-050": 1}))
    ]


def test_the_card_of_a_job_that_is_half_done_says_what_is_in_a_joint(shop) -> None:
    """Two bolts a side; one is in on the left. What goes in beside it is chosen anew."""
    folder = shop(("J-1", NEXT_MONDAY, "NQ-T1", "14 in", "16 in", "WC-0443", None, None), bolts=2, after="")

    def one_bolt(row: dict) -> dict | None:
        first = (row["do"], row["what"], row["side"]) == ("fit", "bolt", "left")
        return {"used": 1, "reason": "begun"} if first else None

    fill(returns_of(folder, W50), "Lines", one_bolt)
    fine("close", folder, "--week", W50, "--replace")
    told = planned(folder, W50)
    assert "job-joint-begun" in codes(told)
    into = {
        line["side"]: line["quantity"]
        for line in job_of(told, "J-1")["lines"]
        if (line["do"], line["what"]) == ("fit", "bolt")
    }
    assert into == {"left": 1, "right": 2}
    said = "in upper front already: left 1 x B14-250; compare it with what goes in beside."
    assert said in job_of(told, "J-1")["notices"]
    assert said in card(folder, W50)
