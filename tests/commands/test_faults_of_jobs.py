"""Faults that show when a job meets its frame and the stock: code, cell, what was found, what is like it."""

import json
from datetime import date
from pathlib import Path

import pytest
from books import workbook
from typer.testing import CliRunner

from reconcile.cli import app

HEADINGS = (
    "job", "date", "frame", "from", "to", "adjustment", "options", "side", "left now", "right now",
)  # fmt: skip
WIDE = """
code = "NQ-T1"
source = "build sheet 1"
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
lengthen = [{ option = "front rigging", by = "1/4 in" }]
spacers = [{ part = "SP-100", thickness = "1 in" }]
spacer_reuse = "after inspection"
[[adjustment.cover]]
name = "cover plate"
steps = [{ from = 0, to = 6, part = "CP-6" }]
[[adjustment]]
name = "back height"
minimum = "10 in"
maximum = "12 in"
step = "1/2 in"
sides = 1
"""
FAULTY = 'code = "NQ-F1"\nsource = "build sheet 2"\n[[adjustment]]\nname = "seat width"\n'
PARTS = ["SP-101", "SP-110", "SP-010", "QX-77", "B-7"]


def job(**given: object) -> tuple[object, ...]:
    """A row of the jobs sheet that changes one inch, unless it says otherwise."""
    plain = {"job": "J-1", "date": date(2026, 12, 1), "frame": "NQ-T1", "from": "14 in", "to": "16 in"}
    row = plain | {name.replace("_", " ").strip(): value for name, value in given.items()}
    return tuple(row.get(heading) for heading in HEADINGS)


def told(
    folder: Path, *jobs: tuple[object, ...], frames: dict[str, str] | None = None
) -> list[dict[str, str]]:
    """The problems that the week of these jobs has."""
    (folder / "frames").mkdir()
    for name, text in (frames or {"wide.toml": WIDE, "faulty.toml": FAULTY}).items():
        (folder / "frames" / name).write_text(text, "utf-8")
    workbook(folder / "jobs.xlsx", Jobs=[HEADINGS, *jobs])
    workbook(
        folder / "stock.xlsx",
        Stock=[("part", "on hand", "unit"), ("CP-6", 9, "each"), *((each, 1, "each") for each in PARTS)],
    )
    answer = CliRunner().invoke(
        app, ["week", str(folder), "--week", "2026-W49", "--today", "2026-11-27", "--json"]
    )
    assert answer.exit_code in (0, 1, 2), answer.output
    return json.loads(answer.stdout)["problems"]


def of_jobs(problems: list[dict[str, str]]) -> list[tuple[str, str, str]]:
    return [
        (each["code"], each["where"].removeprefix("jobs.xlsx!Jobs!"), each.get("found", ""))
        for each in problems
        if each["where"].startswith("jobs.xlsx")
    ]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("row", "code", "cell", "found"),
    [
        (job(adjustment="seat widht"), "adjustment-unknown", "F2", "seat widht"),
        (job(frame="NQ-F1"), "frame-faulty", "C2", "NQ-F1"),
        (job(frame="NQ-T9"), "frame-unknown", "C2", "NQ-T9"),
        (job(options="front riging"), "option-misspelt", "G2", "front riging"),
        (job(side="port"), "side-unknown", "H2", "port"),
        (
            job(adjustment="back height", side="left", **{"from": "10 in", "to": "11 in"}),
            "side-on-single",
            "H2",
            "left",
        ),
        (job(left_now=0), "sides-half-given", "I2", "0"),
        (job(left_now=3, right_now=0), "sides-do-not-add-up", "I2", "3"),
        (job(side="left"), "sides-uneven", "H2", "left"),
        (job(to="14 1/2 in"), "sides-differ", "E2", "14 1/2 in"),
        (job(to="15 in"), "spacers-do-not-fit", "E2", "15 in"),
        (job(**{"from": "15 in", "to": "14 in"}), "stack-unknown", "D2", "15 in"),
        (
            job(left_now=7, right_now=1, **{"from": "18 in", "to": "18 1/2 in"}),
            "cover-unknown",
            "D2",
            "18 in",
        ),
        (job(to="22 in"), "size-outside", "E2", "22 in"),
        (job(to="1/2/4 in"), "length-unreadable", "E2", "1/2/4 in"),
        (job(date="3/12/2026"), "date-ambiguous", "B2", "3/12/2026"),
        (job(date=date(2026, 12, 5)), "day-not-worked", "B2", "2026-12-05"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_fault_names_its_cell_and_what_stands_there(tmp_path: Path, row, code, cell, found) -> None:
    sound = job(job="J-9", to="16 in")  # of a sheet without any sound row only the errors are told
    assert (code, cell, found) in of_jobs(told(tmp_path, row, sound))


def test_a_fault_of_no_single_cell_has_nothing_found(tmp_path: Path) -> None:
    problems = told(tmp_path, job(), frames={"wide.toml": WIDE, "again.toml": WIDE})
    doubled = [each for each in problems if each["code"] == "frame-doubled"]
    assert doubled
    assert all("found" not in each for each in doubled)


# --- what is like it: shown, never taken --------------------------------------------------------------------


def says(problems: list[dict[str, str]], code: str) -> str:
    (found,) = [each["says"] for each in problems if each["code"] == code]
    return found


def test_a_frame_that_is_not_there_gets_the_three_most_like_it_and_none_is_taken(tmp_path: Path) -> None:
    codes = ("NQ-T1", "NQ-T2", "NQ-T3", "ZZ-88")
    frames = {f"{code}.toml": WIDE.replace("NQ-T1", code) for code in codes}
    problems = told(tmp_path, job(frame="NQ-T9"), frames=frames)
    message = says(problems, "frame-unknown")
    _, _, nearest = message.partition("Nearest: ")
    assert sorted(nearest.rstrip(".").split(", ")) == ["NQ-T1", "NQ-T2", "NQ-T3"]
    assert "ZZ-88" not in message


def test_a_frame_like_none_still_gets_three_to_look_at(tmp_path: Path) -> None:
    frames = {f"{code}.toml": WIDE.replace("NQ-T1", code) for code in ("NQ-T1", "NQ-T2", "NQ-T3", "NQ-T4")}
    message = says(told(tmp_path, job(frame="XXXX"), frames=frames), "frame-unknown")
    assert message.count("NQ-T") == 3


def test_an_option_gets_the_three_most_like_it_and_none_is_taken(tmp_path: Path) -> None:
    options = ("front rigging", "rear rigging", "side rigging", "tray")
    lengthen = ", ".join(f'{{ option = "{each}", by = "1/4 in" }}' for each in options)
    wide = WIDE.replace('{ option = "front rigging", by = "1/4 in" }', lengthen)
    problems = told(tmp_path, job(options="front riging"), frames={"wide.toml": wide})
    _, _, nearest = says(problems, "option-misspelt").partition("Nearest: ")
    assert nearest.split(", ")[0] == "front rigging"
    assert set(nearest.rstrip(".").split(", ")) == set(options[:3])
    assert [each["severity"] for each in problems if each["code"] == "option-misspelt"] == ["error"]


def test_a_part_that_stock_lacks_gets_the_three_most_like_it_and_none_is_taken(tmp_path: Path) -> None:
    problems = told(tmp_path, job())
    _, _, nearest = says(problems, "part-not-listed").partition("Nearest: ")
    assert set(nearest.rstrip(".").split(", ")) == {"SP-101", "SP-110", "SP-010"}
    (found,) = [each for each in problems if each["code"] == "part-not-listed"]
    assert (found["found"], found["severity"]) == ("SP-100", "notice")
