"""Rows of totals among the stock, what is used up in plain words, and stacks of one job that are unlike."""

import json
import re
from pathlib import Path

import pytest
from misread_shop import FRAME, HEADINGS, JOBS, ONE_JOB, STOCK, TUESDAY, call, flowing, shop
from openpyxl import load_workbook

WITH_VALUE = (*HEADINGS, "Total value")


def told(folder: Path) -> tuple[list[tuple[str, str]], dict[str, int]]:
    """Cells and codes of what is said of the stock sheet, and what became of its rows."""
    answer = json.loads(call("week", folder, "--json", status=0))
    faults = [
        (fault["where"].rpartition("!")[2], fault["code"])
        for fault in answer["problems"]
        if fault["where"].startswith("stock.xlsx")
    ]
    return faults, answer["rows"]["stock"]


@pytest.mark.parametrize(
    ("row", "cell"),
    [
        (("Total value", None, None, None, 1234.5), "A8"),
        (("Total stock value", None, None, None, 1234.5), "A8"),
        (("Value total:", None, None, None, 1234.5), "A8"),
        (("Stock value", None, None, None, 1234.5), "A8"),
        ((None, "Total value", None, None, 1234.5), "B8"),
        ((None, "Value of stock", None, None, 1234.5), "B8"),
    ],
)
def test_a_row_that_says_total_value_is_a_row_of_totals(tmp_path: Path, row: tuple, cell: str) -> None:
    folder = shop(tmp_path / "shop", stock=(HEADINGS, *STOCK, row))
    faults, rows = told(folder)
    assert faults == [(cell, "row-is-total")]
    assert rows == {"read": 7, "used": 6, "set_aside": 1}


@pytest.mark.parametrize(
    "row",
    [
        (None, None, None, None, None, None, None, None, 5021.75),
        (None, None, None, None, 140, None, None, None, 5021.75),
        (None, None, None, None, 139, None, None, None, 5021.75),
    ],
)
def test_a_number_under_total_value_in_a_row_of_numbers_alone_is_one_too(tmp_path: Path, row: tuple) -> None:
    """Alone under a column that is not read; beside the sum of what is on hand; beside any other number."""
    rows = [(*own, 10.5) for own in STOCK]
    folder = shop(tmp_path / "shop", stock=(WITH_VALUE, *rows[:3], row, *rows[3:]))
    faults, _ = told(folder)
    assert [code for _, code in faults] in ([], ["row-is-total"])
    assert "cell-blank" not in {code for _, code in faults}


def test_a_label_in_a_column_that_is_not_read_tells_it_as_well(tmp_path: Path) -> None:
    rows = [(*own, None) for own in STOCK]
    label = (None, None, None, None, 1234.5, None, None, None, "Total value")
    folder = shop(tmp_path / "shop", stock=((*HEADINGS, "Remark of ours"), *rows, label))
    faults, _ = told(folder)
    assert [code for _, code in faults] == ["row-is-total"]


@pytest.mark.parametrize("number", ["TOTAL-3", "Total lock 5", "SUM-VALUE-1", "TV-2"])
def test_a_part_that_is_only_called_so_stays_a_part(tmp_path: Path, number: str) -> None:
    part = (number, "Lock for tyres", None, "Z-1", 5, "each", "ARDEN", 3)
    folder = shop(tmp_path / "shop", stock=(HEADINGS, *STOCK, part))
    faults, rows = told(folder)
    assert (faults, rows["used"]) == ([], 7)


def test_a_part_with_a_number_and_a_unit_is_never_a_total(tmp_path: Path) -> None:
    """Value locks are parts: a row with a unit says what is counted."""
    part = ("Stock value", "Valve", None, "Z-1", 5, "each", "ARDEN", 3)
    folder = shop(tmp_path / "shop", stock=(HEADINGS, *STOCK, part))
    faults, rows = told(folder)
    assert (faults, rows["used"]) == ([], 7)


# --- used up ---------------------------------------------------------------------------------------------

LOCKER = FRAME.replace("spacer_reuse", 'extras = [{ part = "TL-MED", quantity = "0.1 mL" }]\nspacer_reuse')
WITH_LOCKER = (HEADINGS, *STOCK, ("TL-MED", "Thread locker", None, "F-1", 25, "mL", "ARDEN", 3))


def card_text(folder: Path) -> str:
    page = (folder / "reports" / "bench-2026-W49.html").read_text("utf-8")
    return flowing(re.sub(r"<[^>]+>", " ", page))


def test_what_is_used_up_is_said_to_be_used(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", frame=LOCKER, stock=WITH_LOCKER)
    assert "use 0.1 mL TL-MED, bin F-1 (25)" in flowing(call("check", "J-4109", "--in", folder, status=0))
    assert "left, upper front: use 0.1 mL TL-MED" in flowing(call("why", "J-4109", "--in", folder, status=0))
    call("week", folder, status=0)
    assert "use 0.1 mL TL-MED" in card_text(folder)
    cells = [
        str(cell)
        for sheet in load_workbook(folder / "reports" / "bench-2026-W49.xlsx")
        for row in sheet.iter_rows(values_only=True)
        for cell in row
    ]
    assert any(cell.startswith("use TL-MED") for cell in cells)


# --- stacks that are not alike --------------------------------------------------------------------------


WITH_LONG = (HEADINGS, *STOCK, ("B14-300", "SHCS 1/4-20 x 3", "ASTM A574", "B-22", 20, "each", "ARDEN", 3))


def mixed(folder: Path) -> Path:
    """1 in is one spacer on the left and two on the right; each side gets a step more."""
    now = "left: SP-100; right: 2 x SP-050"
    jobs = ((*JOBS, "spacers now"), ("J-4109", TUESDAY, "NQ-T1", "16 in", "17 in", now))
    return shop(folder, jobs, WITH_LONG)


MIXED = (
    "upper front: stacks of 1 1/2 in are not alike: left SP-050 + SP-100, right 3 x SP-050;"
    " check that they are as thick."
)


def test_stacks_of_one_job_that_are_not_alike_are_remarked_on(tmp_path: Path) -> None:
    folder = mixed(tmp_path / "shop")
    assert MIXED in flowing(call("check", "J-4109", "--in", folder, status=0))
    answer = json.loads(call("week", folder, "--json", status=0))
    (fault,) = [fault for fault in answer["problems"] if fault["code"] == "stacks-differ"]
    assert (fault["where"], fault["says"]) == ("jobs.xlsx!Jobs!C2", MIXED)
    call("week", folder, status=0)
    assert MIXED in card_text(folder)


def test_chairs_of_one_job_with_unlike_stacks_too(tmp_path: Path) -> None:
    """Two chairs, two spacers of 1 in and four of 1/2 in: one chair gets these, the other those."""
    jobs = ((*JOBS, "chairs"), (*ONE_JOB[0], 2))
    few = {"SP-100": 2, "SP-050": 4}
    stock = (HEADINGS, *((*row[:4], few.get(row[0], row[4]), *row[5:]) for row in STOCK))
    said = flowing(call("check", "J-4109", "--in", shop(tmp_path / "shop", jobs, stock), status=0))
    assert "upper front: stacks of 1 in are not alike: left and right" in said


def test_of_stacks_that_are_alike_nothing_is_said(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    assert "not alike" not in call("check", "J-4109", "--in", folder, status=0)


def test_of_stacks_that_are_not_as_thick_nothing_is_said(tmp_path: Path) -> None:
    """A step more on the right: SP-100 on the left, SP-100 and SP-050 on the right."""
    jobs = (JOBS, ("J-4109", TUESDAY, "NQ-T1", "14 in", "16 1/2 in"))
    folder = shop(tmp_path / "shop", jobs, WITH_LONG)
    assert "not alike" not in call("check", "J-4109", "--in", folder, status=0)
