"""Columns that are not read: what can put a wrong bolt on a chair stops, the rest is named on the screen."""

from pathlib import Path

import pytest
from misread_shop import HEADINGS, JOBS, ONE_JOB, STOCK, call, flowing, shop

FITTED = ((*JOBS, "Fitted"), (*ONE_JOB[0], "front rigging"))


@pytest.mark.parametrize("words", [("check", "J-4109", "--in"), ("week",), ("why", "J-4109", "--in")])
def test_a_column_of_options_that_is_not_read_stops_the_run(tmp_path: Path, words: tuple[str, ...]) -> None:
    """With the option the bolt is 2 3/4 in, without it 2 1/2 in: nobody may be told yes by the wrong one."""
    folder = shop(tmp_path / "shop", FITTED)
    said = flowing(call(*words, folder, status=2))
    assert "options-unread at jobs.xlsx!Jobs!F1" in said
    assert '"Fitted" is not read, and its cells name options of a frame: front rigging (F2)' in said
    assert 'options = ["Fitted"]' in said
    assert 'ignore = ["Fitted"]' in said
    assert not (folder / "reports").exists()


def test_the_lines_to_paste_stand_whole_on_the_screen(tmp_path: Path) -> None:
    heading = "What is fitted to the chair, by our own list of options"
    folder = shop(tmp_path / "shop", ((*JOBS, heading), (*ONE_JOB[0], "front rigging")))
    lines = call("check", "J-4109", "--in", folder, status=2).splitlines()
    for key in ("options", "ignore"):
        assert [line for line in lines if f'{key} = ["{heading}"]' in line] != []


def test_named_in_the_settings_it_is_read(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", FITTED, settings='[headings]\noptions = ["Fitted"]\n')
    said = call("check", "J-4109", "--in", folder, status=0)
    assert "B14-275" in said
    assert "Fitted" not in said


def test_left_out_on_purpose_it_is_not_read_and_not_named(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", FITTED, settings='[headings]\nignore = ["fitted"]\n')
    said = call("check", "J-4109", "--in", folder, status=0)
    assert "B14-250" in said
    assert "Fitted" not in said
    assert "Fitted" not in call("week", folder, "--dry-run", status=0)


@pytest.mark.parametrize(
    ("heading", "cell"),
    [
        ("Fitted", "anti-tippers, Front  Rigging"),
        ("Fitted", "front riging"),
        ("Extras 2", "arm pads / front rigging"),
        ("Front rigging", "yes"),
        ("front rigging?", "x"),
    ],
)
def test_options_are_known_however_they_are_told(tmp_path: Path, heading: str, cell: str) -> None:
    folder = shop(tmp_path / "shop", ((*JOBS, heading), (*ONE_JOB[0], cell)))
    assert "options-unread at jobs.xlsx!Jobs!F1" in flowing(call("check", "J-4109", "--in", folder, status=2))


@pytest.mark.parametrize("cell", ["no", None, 0, "-"])
def test_a_column_named_like_an_option_that_nobody_has_stops_nothing(tmp_path: Path, cell: object) -> None:
    folder = shop(tmp_path / "shop", ((*JOBS, "Front rigging"), (*ONE_JOB[0], cell)))
    call("check", "J-4109", "--in", folder, status=0)


def test_beside_a_column_of_options_that_is_read_it_is_to_be_moved(tmp_path: Path) -> None:
    rows = ((*JOBS, "options", "Fitted"), (*ONE_JOB[0], None, "front rigging"))
    said = flowing(call("check", "J-4109", "--in", shop(tmp_path / "shop", rows), status=2))
    assert "options-unread at jobs.xlsx!Jobs!G1" in said
    assert "Write them into the column options" in said
    assert 'options = ["Fitted"]' not in said


@pytest.mark.parametrize(
    ("heading", "cell", "looks"),
    [
        ("Width after", "17 in", "sizes"),
        ("Width after", 17, "sizes"),
        ("Which", "left", "sides"),
        ("Which", "RH", "sides"),
        ("Screw", "1/4-20 UNC", "threads"),
        ("Screw", "2 3/4 in", "lengths"),
        ("Take from", "B-20", "bins"),
    ],
)
def test_cells_of_jobs_that_look_like_ours_are_told_first(
    tmp_path: Path, heading: str, cell: object, looks: str
) -> None:
    folder = shop(tmp_path / "shop", ((*JOBS, heading), (*ONE_JOB[0], cell)))
    for words in (("week", folder), ("check", "J-4109", "--in", folder)):
        said = flowing(call(*words, status=0))
        assert f'Jobs!F1: The column "{heading}" is not read, and its cells look like {looks}' in said
        assert f'ignore = ["{heading}"]' in said


@pytest.mark.parametrize(
    ("heading", "cells", "looks"),
    [
        ("Size 2", ["1/4-20 UNC"] * 6, "threads"),
        ("Long", ['2"', '2 1/4"', '2 1/2"', '2 3/4"', '1/2"', '1"'], "lengths"),
        ("Overflow", ["D-40", "D-41", None, None, None, None], "bins"),
    ],
)
def test_cells_of_stock_that_look_like_ours_are_told_first(
    tmp_path: Path, heading: str, cells: list, looks: str
) -> None:
    rows = ((*HEADINGS, heading), *((*row, cell) for row, cell in zip(STOCK, cells, strict=True)))
    said = flowing(call("week", shop(tmp_path / "shop", stock=rows), status=0))
    assert f'Stock!I1: The column "{heading}" is not read, and its cells look like {looks}' in said


def test_every_column_that_is_not_read_is_named_with_a_line_to_paste(tmp_path: Path) -> None:
    """Whatever it holds; the line stands whole on the screen, and with it the columns are not named again."""
    jobs = ((*JOBS, "Colour", "Customer's phone"), (*ONE_JOB[0], "red", "ask at the desk"))
    stock = ((*HEADINGS, "Last counted by"), *((*row, "me") for row in STOCK))
    folder = shop(tmp_path / "shop", jobs, stock)
    line = 'ignore = ["Colour", "Customer\'s phone", "Last counted by"]'
    for words in (("week", folder, "--dry-run"), ("check", "J-4109", "--in", folder)):
        said = call(*words, status=0)
        told = flowing(said)
        assert 'Jobs (jobs.xlsx): F "Colour" (1 cell), G "Customer\'s phone" (1 cell)' in told
        assert 'Stock (stock.xlsx): I "Last counted by" (6 cells)' in told
        assert line in said
    (folder / "reconcile.toml").write_text(f"[headings]\n{line}\n", "utf-8")
    assert "Not read" not in call("week", folder, "--dry-run", status=0)


def test_a_heading_that_is_known_can_be_left_out_on_purpose(tmp_path: Path) -> None:
    """Two columns match one heading; the settings say which of them is none."""
    jobs = ((*JOBS, "options", "fitted options"), (*ONE_JOB[0], "front rigging", "old"))
    folder = shop(tmp_path / "shop", jobs)
    assert "heading-doubled" in call("check", "J-4109", "--in", folder, status=2)
    (folder / "reconcile.toml").write_text('[headings]\nignore = "Fitted options"\n', "utf-8")
    assert "B14-275" in call("check", "J-4109", "--in", folder, status=0)


def test_a_needed_heading_that_is_left_out_is_said_to_be_missing(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", settings='[headings]\nignore = ["to"]\n')
    assert "heading-missing" in call("check", "J-4109", "--in", folder, status=2)
