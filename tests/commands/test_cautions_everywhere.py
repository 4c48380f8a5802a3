"""What is to be cautioned of a bolt is said wherever the bolt is named: screen, why, report, card, result."""

import json
import re
from pathlib import Path

import pytest
from misread_shop import FRAME, call, flowing, shop
from openpyxl import load_workbook

DEPTH = 'engagement = { minimum = "3/8 in", depth = "5/8 in" }'
AT_MOST = FRAME.replace(DEPTH, 'engagement = { minimum = "3/8 in", maximum = "1/2 in" }')
"""Two steps: grip 1 + 1 in = 2 in, bolt 2 1/2 in: 1/2 in goes in, the most that may."""
AT_LEAST = FRAME.replace(DEPTH, 'engagement = { minimum = "1/2 in", depth = "5/8 in" }')
"""The same bolt, where 1/2 in is the least that must go in."""
TOLD = {
    "most": "The bolt goes in as far as the frame maker allows; if that is the depth of the thread, it"
    " reaches the bottom.",
    "least": "The bolt holds barely: its thread engages by the least and no more.",
    "torque": "torque not given in the frame file: ask before you tighten",
}


def outputs(folder: Path) -> dict[str, str]:
    """The text of every output that names the bolt, on one line."""
    told = {
        "check": call("check", "J-4109", "--in", folder, status=0),
        "why": call("why", "J-4109", "--in", folder, status=0),
        "json": json.dumps(json.loads(call("check", "J-4109", "--json", "--in", folder, status=0))),
    }
    call("week", folder, status=0)
    reports = folder / "reports"
    told["card"] = re.sub(r"<[^>]+>", " ", (reports / "bench-2026-W49.html").read_text("utf-8"))
    for name, sheet in (("report", "Kit lines"), ("bench", None)):
        book = load_workbook(reports / f"{name}-2026-W49.xlsx")
        sheets = [book[sheet]] if sheet else list(book)
        cells = (cell for one in sheets for row in one.iter_rows(values_only=True) for cell in row)
        told[name] = " ".join(str(cell) for cell in cells if cell is not None)
    return {name: flowing(text) for name, text in told.items()}


@pytest.mark.parametrize(("frame", "caution"), [(AT_MOST, "most"), (AT_LEAST, "least")])
def test_how_a_bolt_sits_is_said_by_every_output(tmp_path: Path, frame: str, caution: str) -> None:
    folder = shop(tmp_path / "shop", frame=frame)
    silent = [name for name, text in outputs(folder).items() if TOLD[caution] not in text]
    assert silent == []


def test_a_torque_that_is_not_given_is_asked_for_by_every_output(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    silent = [name for name, text in outputs(folder).items() if TOLD["torque"] not in text]
    assert silent == []


def test_a_torque_of_another_grade_is_none(tmp_path: Path) -> None:
    """A plain torque is that of the first grade listed; the bolt that serves is of the second."""
    frame = FRAME.replace('grades = ["ASTM A574"]', 'grades = ["SAE 8", "ASTM A574"]\ntorque = "9 N*m"')
    folder = shop(tmp_path / "shop", frame=frame)
    silent = [
        name for name, text in outputs(folder).items() if "not given" not in text and "no torque" not in text
    ]
    assert silent == []


def test_of_a_bolt_that_sits_well_nothing_is_said(tmp_path: Path) -> None:
    frame = FRAME.replace('into = "aluminium"', 'into = "aluminium"\ntorque = "9 N*m"')
    folder = shop(tmp_path / "shop", frame=frame)
    told = outputs(folder)
    said = [(name, caution) for name, text in told.items() for caution in TOLD.values() if caution in text]
    assert said == []
    assert "Caution:" not in told["check"] + told["why"]


def test_the_bolt_that_is_in_the_chair_is_cautioned_too(tmp_path: Path) -> None:
    """Before the work: 1 1/2 in of bolt in a grip of 1 in, by the least."""
    folder = shop(tmp_path / "shop", frame=AT_LEAST)
    told = f"As it is now: {TOLD['least']}"
    assert told in flowing(call("check", "J-4109", "--in", folder, status=0))
    assert told in flowing(call("why", "J-4109", "--in", folder, status=0))
