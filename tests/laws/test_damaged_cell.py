"""One damaged cell gives the same result, or a problem that names the cell; and no row or cell is lost.

Only where the damage is another value that may be meant (``damages.KINDS``) may the result differ unsaid. A
damaged heading is told of at its cell or its sheet, or its column is among those that the account ignores.
"""

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from cells_counted import counted
from damages import (
    BUYER,
    DAMAGES,
    DRESSES,
    HEADING_DAMAGES,
    KINDS,
    NAMES,
    SOUND,
    Damage,
    Spared,
    sound_sheets,
)
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from raw_book import raw_book
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.sheets.files.books import column_letters

FRAMES = Path(__file__).parent.parent / "cases" / "hand_week" / "frames"
ANSWER = ("period", "today", "jobs", "parts", "first_come", "solution", "problems", "rows")


def as_xml(value: Any) -> Any:
    """Control characters as a workbook keeps them."""
    if not isinstance(value, str):
        return value
    return "".join(f"_x{ord(mark):04X}_" if mark < " " and mark != "\n" else mark for mark in value)


def write(folder: Path, form: str, sheets: dict[str, list[list[Any]]]) -> tuple[Path, Path]:
    """The paths of jobs and stock."""
    if form == "xlsx":
        made = {name: [[as_xml(cell) for cell in row] for row in rows] for name, rows in sheets.items()}
        jobs = raw_book(folder / "jobs.xlsx", {"Jobs": made.pop("Jobs")})
        return jobs, raw_book(folder / "stock.xlsx", made)
    (folder / "stock").mkdir(exist_ok=True)
    for name, rows in sheets.items():
        path = folder / "Jobs.csv" if name == "Jobs" else folder / "stock" / f"{name}.csv"
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return folder / "Jobs.csv", folder / "stock"


def answer(folder: Path, form: str, sheets: dict[str, list[list[Any]]]) -> tuple[int, dict[str, Any]]:
    """The exit status and the JSON of the week; its cells are as many as the files hold."""
    jobs, stock = write(folder, form, sheets)
    words = ["week", str(folder), "--jobs", str(jobs), "--stock", str(stock), "--frames", str(FRAMES)]
    said = CliRunner().invoke(app, [*words, "--today", "2026-11-27", "--json", "--dry-run"])
    told = json.loads(said.stdout)
    if "cells" in told:
        assert {each["sheet"]: each["filled"] for each in told["cells"]} == counted(jobs) | counted(stock)
    return said.exit_code, told


def place_of(form: str, sheet: str, row: int, column: int) -> str:
    file = f"{sheet}.csv" if form == "csv" else "jobs.xlsx" if sheet == "Jobs" else "stock.xlsx"
    return f"{file}!{sheet}!{column_letters(column + 1)}{row + 1}"


# what is compared


def is_told(told: dict[str, Any], place: str) -> bool:
    return any(each["where"] == place for each in told["problems"])


def may_be_meant(form: str, damage: Damage, value: Any, kind: str, needed: bool) -> bool:
    """Whether somebody may have put just this into the cell. What shows nothing is a blank."""
    if value is None or damage.name in ("blanks alone", "formula that gives nothing"):
        return not needed
    return kind in damage.meant_in or (form == "csv" and kind in damage.meant_in_csv)


def counts_add_up(told: dict[str, Any]) -> bool:
    """Whether every row and every filled cell is somewhere, where a result was given."""
    rows = (
        each["read"] == each["used"] + each["set_aside"] + each.get("outside_period", 0)
        for each in told.get("rows", {}).values()
    )
    cells = (
        each["filled"] == each["used"] + each["in_error"] + sum(one["cells"] for one in each["ignored"])
        for each in told.get("cells", ())
    )
    return all(rows) and all(cells)


def result_of(told: dict[str, Any]) -> dict[str, Any]:
    return {key: told.get(key) for key in ANSWER}


@pytest.fixture(scope="module", params=["xlsx", "csv"])
def shop(request, tmp_path_factory) -> tuple[str, Path, dict[str, Any]]:
    """A form of file, a folder for it, and what the sound workshop gives in it."""
    form, folder = request.param, tmp_path_factory.mktemp(request.param)
    (folder / "reconcile.toml").write_text(BUYER, "utf-8")
    status, told = answer(folder, form, sound_sheets())
    assert (status, told["problems"]) == (1, [])
    assert counts_add_up(told)
    return form, folder, result_of(told)


CELLS = [
    (sheet, row, column)
    for sheet, rows in SOUND.items()
    for row, cells in enumerate(rows, 1)
    for column in range(len(cells))
]
HEADINGS = [(sheet, column) for sheet, kinds in KINDS.items() for column in range(len(kinds))]
NAME_LIKE = dict.fromkeys(NAMES, "name")
MANY = settings(max_examples=300, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
FEW = settings(MANY, max_examples=90)


@pytest.mark.slow
@MANY
@given(where=st.sampled_from(CELLS), damage=st.sampled_from(DAMAGES))
def test_a_damaged_cell_changes_nothing_or_is_named(shop, where, damage) -> None:
    form, folder, sound = shop
    sheet, row, column = where
    sheets = sound_sheets()
    try:
        value = damage.change(sheets[sheet][row][column])
    except Spared:
        assume(False)
    assume(damage.csv or form == "xlsx")
    sheets[sheet][row][column] = value
    status, told = answer(folder, form, sheets)
    assert status in (0, 1, 2)
    assert counts_add_up(told)
    kind, needed = list(KINDS[sheet].values())[column]
    assert (
        result_of(told) == sound
        or is_told(told, place_of(form, sheet, row, column))
        or may_be_meant(form, damage, value, kind, needed)
    )


def is_told_of_heading(told: dict[str, Any], file: str, sheet: str, column: int) -> bool:
    """At a cell of the sheet, or among the columns that the account says are not read."""
    letters = column_letters(column + 1)
    return any(each["where"].startswith(f"{file}!{sheet}!") for each in told["problems"]) or any(
        one["where"].split(" ")[:2] == ["column", letters]
        for each in told.get("cells", ())
        if each["sheet"] == sheet
        for one in each["ignored"]
    )


@pytest.mark.slow
@FEW
@given(where=st.sampled_from(HEADINGS), damage=st.sampled_from(HEADING_DAMAGES))
def test_a_damaged_heading_changes_nothing_or_is_told_of(shop, where, damage) -> None:
    form, folder, sound = shop
    assume(damage.csv or form == "xlsx")
    sheet, column = where
    sheets = sound_sheets()
    sheets[sheet][0][column] = damage.change(sheets[sheet][0][column])
    status, told = answer(folder, form, sheets)
    assert status in (0, 1, 2)
    assert counts_add_up(told)
    file = place_of(form, sheet, 0, column).partition("!")[0]
    unchanged = result_of(told) == sound
    assert unchanged or (damage.name not in DRESSES and is_told_of_heading(told, file, sheet, column))


@pytest.mark.slow
@FEW
@given(where=st.sampled_from(CELLS), beside=st.booleans())
def test_a_cell_put_in_the_place_of_its_neighbour_is_named(shop, where, beside) -> None:
    """Swapped with the cell to its right, or with the one above."""
    form, folder, sound = shop
    sheet, row, column = where
    sheets = sound_sheets()
    other = (row, column + 1) if beside else (row - 1, column)
    assume(other[0] > 0 and other[1] < len(sheets[sheet][0]))
    rows = sheets[sheet]
    rows[row][column], rows[other[0]][other[1]] = rows[other[0]][other[1]], rows[row][column]
    status, told = answer(folder, form, sheets)
    assert status in (0, 1, 2)
    assert counts_add_up(told)
    kinds = list(KINDS[sheet].values())
    pair = {NAME_LIKE.get(kinds[each][0], kinds[each][0]) for each in (column, other[1])}
    both_fit = all(fits(rows[at][across], *kinds[across]) for at, across in ((row, column), other))
    told_of = any(is_told(told, place_of(form, sheet, *each)) for each in ((row, column), other))
    assert len(pair) == 1 or both_fit or told_of or result_of(told) == sound


def fits(value: Any, kind: str, needed: bool) -> bool:
    """Whether any text, or nothing, may stand there."""
    return not needed if value is None else kind in NAMES


@pytest.mark.slow
@FEW
@given(where=st.sampled_from([each for each in CELLS if each[1] > 1]))
def test_a_cell_that_repeats_the_one_above_is_another_value_or_a_doubled_name(shop, where) -> None:
    form, folder, _ = shop
    sheet, row, column = where
    sheets = sound_sheets()
    sheets[sheet][row][column] = sheets[sheet][row - 1][column]
    status, told = answer(folder, form, sheets)
    assert status in (0, 1, 2)
    assert counts_add_up(told)
    if (sheet, column) in (("Jobs", 0), ("Suppliers", 0)):
        places = [place_of(form, sheet, each, column) for each in (row - 1, row)]
        assert any(is_told(told, place) for place in places)
