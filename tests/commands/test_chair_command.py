"""A chair's record, from the closing of a week to the screen; an undo takes it back."""

import json
from datetime import date
from pathlib import Path

import pytest
from books import workbook
from closing_shop import MONDAY, add, all_done, fill, fine, refused, returns_of

W49 = "2026-W49"
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
bolts = 1
thread = "1/4-20 UNC"
head = "socket cap"
length = "1 1/2 in"
spacers = [{ part = "SP-050", thickness = "1/2 in" }]
reuse = "after inspection"
spacer_reuse = "after inspection"
"""
STOCK = [
    ("part", "thread", "length", "head", "bin", "on hand", "unit", "lead time days"),
    ("SP-050", None, None, None, "A1", 50, "each", 5),
    ("B14-150", "1/4-20 UNC", "1 1/2 in", "socket cap", "B1", 20, "each", 5),
    ("B14-200", "1/4-20 UNC", "2 in", "socket cap", "B2", 20, "each", 5),
    ("B14-250", "1/4-20 UNC", "2 1/2 in", "socket cap", "B3", 20, "each", 5),
]
JOBS = [
    ("job", "date", "frame", "from", "to", "asset", "options", "technician"),
    ("J-1", MONDAY, "NQ-T1", "14 in", "15 in", "WC-0443", "front rigging", "bench 1"),
    ("J-2", MONDAY, "NQ-T1", "14 in", "16 in", "WC-0450", None, None),
]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "shop"
    (folder / "frames").mkdir(parents=True)
    (folder / "frames" / "NQ-T1.toml").write_text(FRAME, "utf-8")
    workbook(folder / "jobs.xlsx", Jobs=JOBS)
    workbook(folder / "stock.xlsx", Stock=STOCK)
    return folder


def closed(folder: Path) -> str:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace", "--who", "stores")
    return folder.name


def shown(folder: Path, asset: str = "WC-0443", *words: str) -> str:
    from typer.testing import CliRunner

    from reconcile.cli import app

    answer = CliRunner().invoke(app, ["chair", asset, "--in", str(folder), *words])
    assert answer.exit_code == 0, answer.output
    return answer.stdout


def test_a_closed_week_tells_of_the_chair(folder: Path) -> None:
    """14 to 15 in are two half-inch steps, one a side: one SP-050 and a bolt half an inch longer, 2 in."""
    closed(folder)
    assert shown(folder).splitlines() == [
        "Chair WC-0443, frame NQ-T1, seat width",
        "  size 15 in; steps: left 1, right 1",
        "  options: front rigging",
        "  upper front, left: bolt B14-200, 2 in; spacers 1 SP-050",
        "  upper front, right: bolt B14-200, 2 in; spacers 1 SP-050",
        "  2026-11-30 J-1, 14 in to 15 in, done, by bench 1; closed with 2026-W49 on",
        "    2026-11-27 by stores",
    ]


def test_as_json(folder: Path) -> None:
    closed(folder)
    told = json.loads(shown(folder, "wc-0443", "--json"))
    (record,) = told["records"]
    assert (told["asset"], record["size"], record["steps"]) == ("WC-0443", "15 in", {"left": 1, "right": 1})
    assert record["joints"][0] == {
        "joint": "upper front", "side": "left", "bolt": {"part": "B14-200", "length": "2 in"},
        "spacers": {"SP-050": 1},
    }  # fmt: skip
    assert record["jobs"][0]["date"] == "2026-11-30"


def test_an_undo_takes_it_back_and_a_chair_nobody_knows_is_told(folder: Path) -> None:
    assert "There is no ledger yet" in refused_chair(folder, "WC-0443")
    closed(folder)
    assert "Nearest: WC-0443, WC-0450." in refused_chair(folder, "WC-0444")
    fine("ledger", "--in", folder, "--undo", W49, "--replace")
    assert "The ledger has no chair 'WC-0443'." in refused_chair(folder, "WC-0443")


def refused_chair(folder: Path, asset: str) -> str:
    from typer.testing import CliRunner

    from reconcile.cli import app

    answer = CliRunner().invoke(app, ["chair", asset, "--in", str(folder)])
    assert answer.exit_code == 2, answer.output
    return " ".join(answer.stderr.split())


def test_a_job_that_is_half_booked_tells_of_its_whole_joints(folder: Path) -> None:
    def left_side(row: dict) -> dict | None:
        if (row["job"], row["side"]) != ("J-1", "left"):
            return None
        return {"used" if row["do"] == "fit" else "returned": row["planned"]}

    fill(returns_of(folder, W49), "Lines", left_side)
    fine("close", folder, "--week", W49, "--replace")
    lines = shown(folder).splitlines()
    assert lines[1] == "  size not known"
    assert lines[3:4] == ["  upper front, left: bolt B14-200, 2 in; spacers 1 SP-050"]
    assert "part done" in lines[4]


def checks_added(path: Path, *rows: tuple) -> Path:
    """A sheet of checks, as the weekly run writes it where a frame asks for them."""
    import openpyxl

    book = openpyxl.load_workbook(path)
    page = book.create_sheet("Checks")
    for row in (
        ("job", "asset", "check", "ok", "reading", "unit", "second person", "tried by the user on"),
        *rows,
    ):
        page.append(row)
    book.save(path)
    return path


def test_checks_and_readings_are_kept(folder: Path) -> None:
    checks_added(
        all_done(returns_of(folder, W49)),
        ("J-1", "WC-0443", "wheel locks hold", "yes", None, None, "bench 2", date(2026, 12, 1)),
        ("J-1", "WC-0443", "overall width", "yes", 640, "mm", None, None),
    )
    fine("close", folder, "--week", W49, "--replace")
    assert shown(folder).splitlines()[-2:] == [
        "    wheel locks hold: ok, second person bench 2, tried by the user on 2026-12-01",
        "    overall width: ok, 640 mm",
    ]


def test_a_check_that_was_not_passed_is_told_and_one_of_no_job_refused(folder: Path) -> None:
    from closing_shop import call

    path = checks_added(
        all_done(returns_of(folder, W49)), ("J-1", None, "wheel locks hold", "no", None, None, None, None)
    )
    assert "returns-check-open" in call("close", folder, "--week", W49, "--dry-run").stderr
    add(path, "Checks", job="J-9", check="wheel locks hold", ok="yes")
    assert "returns-line-unclear" in refused("close", folder, "--week", W49)


def test_a_check_of_a_job_of_which_nothing_is_booked_is_told(folder: Path) -> None:
    from closing_shop import call

    path = returns_of(folder, W49)
    fill(path, "Done", lambda row: {"done": "yes"} if row["job"] == "J-2" else None)
    checks_added(path, ("J-1", None, "wheel locks hold", "yes", None, None, None, None))
    assert "returns-check-unkept" in call("close", folder, "--week", W49, "--dry-run").stderr


def test_returns_from_before_they_told_of_the_chair_still_close(folder: Path) -> None:
    import openpyxl

    path = all_done(returns_of(folder, W49))
    book = openpyxl.load_workbook(path)
    for name in ("As planned", "Joints"):
        del book[name]
    book["Lines"].delete_cols(15, 3)
    book.save(path)
    fine("close", folder, "--week", W49, "--replace")
    assert "The ledger has no chair 'WC-0443'." in refused_chair(folder, "WC-0443")
