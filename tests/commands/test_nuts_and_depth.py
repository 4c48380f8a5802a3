"""Four stories on workbooks, from the command to what it prints: nut, bottom, mixed grades, hands."""

import json
import re
from datetime import date
from pathlib import Path

import pytest
from books import workbook
from closing_shop import all_done, call, fill, fine, on_hand, returns_of
from typer.testing import CliRunner

from reconcile.cli import app

WEEK = "2026-W49"
NUT = 'nut = { part = "NUT-LK", height = "0.22 in", most = "1/4 in" }'
WASHER = 'washers = [{ part = "WSH", thickness = "1/16 in", renew = true }]'
BLIND = 'engagement = { minimum = "3/8 in", depth = "5/8 in" }'
FRAME = """
code = "ZB-1"
source = "build sheet Z"
[[adjustment]]
name = "back height"
minimum = "10 in"
maximum = "12 in"
step = "1/2 in"
[[adjustment.joint]]
name = "post"
bolts = 1
thread = "1/4-20 UNC"
head = "socket cap"
grades = ["ASTM A574", "SAE 8"]
length = "{length}"
grip = "1 in"
{ends}
spacers = [{{ part = "SP-050", thickness = "1/2 in" }}]
torque = {torque}
reuse = "after inspection"
[[adjustment.cover]]
name = "bracket"
reuse = "after inspection"
steps = [
    {{ from = 0, to = 1, part = {{ left = "BR-1L", right = "BR-1R" }} }},
    {{ from = 2, to = 2, part = {{ left = "BR-2L", right = "BR-2R" }} }},
]
"""
HEADINGS = ("part", "description", "grade", "bin", "on hand", "unit")
OTHERS = [
    ("SP-050", "Spacer 1/2 in", None, "C1", 20, "each"),
    ("NUT-LK", "Lock nut 1/4-20", None, "D1", 20, "each"),
    ("WSH", "Washer", None, "D2", 20, "each"),
    ("BR-1L", "Bracket, left", None, "E1", 5, "each"),
    ("BR-1R", "Bracket, right", None, "E2", 5, "each"),
    ("BR-2L", "Long bracket, left", None, "E3", 5, "each"),
    ("BR-2R", "Long bracket, right", None, "E4", 5, "each"),
]


def shop(
    folder: Path, ends: str, bolts: list[tuple], length: str = "1 1/2 in", torque: str = '"9 N*m"'
) -> Path:
    """A shop with one job that takes a chair from no step to two on each side, and these bolts."""
    (folder / "frames").mkdir(parents=True)
    text = FRAME.format(ends=ends, length=length, torque=torque)
    (folder / "frames" / "ZB-1.toml").write_text(text, "utf-8")
    (folder / "reconcile.toml").write_text('currency = "EUR"\n', "utf-8")
    jobs = [("job", "date", "frame", "from", "to"), ("J-1", date(2026, 12, 1), "ZB-1", "10 in", "12 in")]
    workbook(folder / "jobs.xlsx", Jobs=jobs)
    rows = [(number, f"1/4-20 x {size} SHCS", grade, "A1", 9, "each") for number, size, grade in bolts]
    workbook(folder / "stock.xlsx", Stock=[HEADINGS, *rows, *OTHERS])
    return folder


def answered(folder: Path) -> dict:
    (job,) = json.loads(call("week", folder, "--week", WEEK, "--json", "--force").stdout)["jobs"]
    return job


def parts_in(job: dict, what: str) -> dict[str, dict[str, int]]:
    """By side, the parts that go in."""
    return {
        line["side"]: line["parts"] for line in job["lines"] if (line["do"], line["what"]) == ("fit", what)
    }


A574 = "ASTM A574"


# --- the nut ----------------------------------------------------------------------------------------------


def test_a_bolt_that_ends_inside_its_lock_nut_does_not_count_as_engaged(tmp_path: Path) -> None:
    """Two steps: grip 1 + 2 x 1/2 + 1/16 = 2 1/16 in; nut 0.22 and a pitch of 0.05 in: from 2.3325 in.

    2 1/4 in ends 0.0325 in inside the nut. 2 1/2 in stands 0.2175 in past it, and is what is asked for.
    """
    folder = shop(tmp_path / "shop", f"{NUT}\n{WASHER}", [("B-225", "2-1/4", A574)])
    short = answered(folder)
    assert short["kit"] == "short"
    assert [each["part"] for each in short["missing"]] == ["1/4-20 UNC x 2 1/2 in, socket cap, ASTM A574"]
    bolts = [("B-225", "2-1/4", A574), ("B-250", "2-1/2", A574)]
    good = answered(shop(tmp_path / "good", f"{NUT}\n{WASHER}", bolts))
    assert good["kit"] == "complete"
    assert parts_in(good, "bolt") == {"left": {"B-250": 1}, "right": {"B-250": 1}}
    nuts_and_washers = [(line["side"], line["parts"]) for line in good["lines"] if line["what"] == "extra"]
    assert nuts_and_washers == [(side, {part: 1}) for side in ("left", "right") for part in ("NUT-LK", "WSH")]


def test_the_card_says_what_stands_past_the_nut_and_draws_it(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", f"{NUT}\n{WASHER}", [("B-250", "2-1/2", A574)])
    fine("week", folder, "--week", WEEK)
    page = (folder / "reports" / f"bench-{WEEK}.html").read_text("utf-8")
    words = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    assert "The bolt holds: it stands past the nut as it must." in words
    assert "nut 0.22 in" in words
    assert "washers" in words
    why = " ".join(fine("why", "J-1", "--in", folder).split())
    assert "0.218 in past the nut" in why


# --- the bottom -------------------------------------------------------------------------------------------


def test_a_bolt_that_reaches_the_bottom_of_its_hole_is_not_offered_as_fit(tmp_path: Path) -> None:
    """Two steps: grip 2 in, depth 5/8 in less a pitch: 2 3/8 to 2.575 in. 2 5/8 in stands on the bottom."""
    folder = shop(tmp_path / "shop", BLIND, [("B-2625", "2-5/8", A574)])
    assert answered(folder)["kit"] == "short"
    bolts = [("B-2625", "2-5/8", A574), ("B-2375", "2-3/8", A574)]
    good = answered(shop(tmp_path / "good", BLIND, bolts))
    assert good["kit"] == "complete"
    assert parts_in(good, "bolt") == {"left": {"B-2375": 1}, "right": {"B-2375": 1}}


def test_where_a_most_is_really_a_depth_the_check_asks_and_the_file_stays_valid(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", BLIND.replace("depth", "maximum"), [("B-2625", "2-5/8", A574)])
    assert answered(folder)["kit"] == "complete"
    answer = CliRunner().invoke(app, ["frames", "--check", str(folder / "frames")])
    assert answer.exit_code == 0
    said = " ".join(answer.stdout.split())
    assert "ZB-1.toml: fine." in said
    assert (
        "line 17, adjustment[1].joint[1].engagement.maximum: frame-most-or-depth (back height, post)" in said
    )
    assert "The most engagement of post is 5/8 in: is that really the depth of the thread?" in said
    assert "write depth for maximum" in said


# --- another grade ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("torque", "said"),
    [
        ('"9 N*m"', "no torque is given for it: ask before you tighten"),
        ('{ "ASTM A574" = "9 N*m", "SAE 8" = "7 N*m" }', "torque 7 N·m"),
    ],
)
def test_another_grade_is_named_everywhere_with_its_own_torque_or_none(
    tmp_path: Path, torque: str, said: str
) -> None:
    import openpyxl

    folder = shop(tmp_path / "shop", BLIND, [("B-250", "2-1/2", "SAE 8")], torque=torque)
    job = answered(folder)
    notice = f"post: B-250 is SAE 8, not ASTM A574; {said}."
    assert job["notices"] == [notice]
    fine("week", folder, "--week", WEEK, "--force")
    for name in (f"bench-{WEEK}.html", f"bench-{WEEK}.xlsx"):
        path = folder / "reports" / name
        text = path.read_text("utf-8") if path.suffix == ".html" else str(cells_of(openpyxl, path))
        assert notice in text, name
        assert "9 N·m" not in text, name
    assert "9 N·m" not in fine("why", "J-1", "--in", folder)
    problems = json.loads(call("week", folder, "--week", WEEK, "--json", "--force").stdout)["problems"]
    assert [each["code"] for each in problems if "grade" in each["code"]] == ["grade-differs"]


def cells_of(openpyxl, path: Path) -> list[object]:
    return [cell for sheet in openpyxl.load_workbook(path) for row in sheet.values for cell in row if cell]


def test_the_first_grade_listed_needs_no_words_and_has_the_plain_torque(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", BLIND, [("B-250", "2-1/2", A574)])
    assert answered(folder)["notices"] == []
    fine("week", folder, "--week", WEEK, "--force")
    assert "torque 9 N·m" in (folder / "reports" / f"bench-{WEEK}.html").read_text("utf-8")


# --- left and right ---------------------------------------------------------------------------------------


def test_left_and_right_brackets_are_told_apart_from_the_kit_to_the_closing(tmp_path: Path) -> None:
    import openpyxl

    folder = shop(tmp_path / "shop", BLIND, [("B-250", "2-1/2", A574), ("B-150", "1-1/2", A574)])
    job = answered(folder)
    brackets = [(line["do"], line["side"], line["parts"]) for line in job["lines"] if line["what"] == "cover"]
    assert brackets == [
        ("remove", "left", {"BR-1L": 1}),
        ("fit", "left", {"BR-2L": 1}),
        ("remove", "right", {"BR-1R": 1}),
        ("fit", "right", {"BR-2R": 1}),
    ]
    returns = returns_of(folder, WEEK)
    picked = [str(cell) for cell in cells_of(openpyxl, folder / "reports" / f"bench-{WEEK}.xlsx")]
    assert any("BR-2L" in cell for cell in picked)
    assert any("BR-2R" in cell for cell in picked)
    fine("close", folder, "--returns", all_done(returns))
    shelf = {part: quantity for (part, _), quantity in on_hand(newest(folder)).items()}
    assert [shelf[part] for part in ("BR-1L", "BR-1R", "BR-2L", "BR-2R")] == [6, 6, 4, 4]


def newest(folder: Path) -> Path:
    """The stock workbook that the closing wrote."""
    return max(folder.glob("stock*.xlsx"), key=lambda path: path.stat().st_mtime_ns)


def test_of_one_side_short_of_its_bracket_the_right_part_is_ordered(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", BLIND, [("B-250", "2-1/2", A574)])
    path = folder / "stock.xlsx"
    fill(path, "Stock", lambda row: {"on hand": 0} if row["part"] == "BR-2R" else None)
    week = json.loads(call("week", folder, "--week", WEEK, "--json", "--force").stdout)
    assert week["jobs"][0]["missing"] == [{"part": "BR-2R", "quantity": 1, "in_time": False}]
    assert {part["part"]: part["order"] for part in week["parts"] if part["order"]} == {"BR-2R": 1}


def test_a_nut_that_stock_keeps_by_measure_is_a_fault_of_the_frame(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", NUT, [("B-250", "2-1/2", A574)])
    fill(folder / "stock.xlsx", "Stock", lambda row: {"unit": "m"} if row["part"] == "NUT-LK" else None)
    problems = json.loads(call("week", folder, "--week", WEEK, "--json", "--force").stdout)["problems"]
    placed = [(each["code"], each["where"]) for each in problems if each["code"] == "unit-mismatch"]
    assert placed == [("unit-mismatch", "ZB-1.toml!adjustment[1].joint[1].nut.part")]
