"""What is about to be put in place is written as this workshop reads it, and is read back before it counts.

A decimal comma, a quantity that no cell holds, an editor that writes something else: the week is closed with
what was meant, or nothing is written; with optimised Python as well.
"""

import subprocess
import sys
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from books import workbook
from closing_shop import (
    ON_ORDER,
    STOCK,
    USAGE,
    WEEKS,
    all_done,
    fill,
    fine,
    on_hand,
    refused,
    returns_of,
    shop,
)

from reconcile.sheets.edits import workbook as editor

W49, W50 = WEEKS[:2]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    return shop(tmp_path / "shop")


def with_glue(folder: Path, cell: object, settings: str) -> None:
    """The shop with another quantity of thread locker on hand, and these settings."""
    rows = [list(row) for row in STOCK]
    rows[2][2] = cell
    workbook(folder / "stock.xlsx", Stock=rows, On_order=ON_ORDER, Usage=USAGE)
    (folder / "reconcile.toml").write_text(f'currency = "EUR"\n{settings}\n', "utf-8")


COMMA, POINT, NONE = 'decimal = ","', 'decimal = "."', ""


@pytest.mark.parametrize("settings", [COMMA, POINT, NONE])
@pytest.mark.parametrize(
    ("cell", "there"),
    [
        ("46 mL", "46"),
        ("1 L", "1000"),
        (46, "46"),
        ("1/2 L", "500"),
        ("46,5 mL", "46.5"),
        ("46.5 mL", "46.5"),
    ],
)
def test_a_quantity_is_written_as_it_is_read(folder: Path, cell: object, there: str, settings: str) -> None:
    if (settings, cell) in ((COMMA, "46.5 mL"), (POINT, "46,5 mL")):
        return  # is none there
    with_glue(folder, cell, settings)
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    assert on_hand(folder / "stock.xlsx")["GLUE", "B1"] == Fraction(there) - Fraction("0.2")
    fine("ledger", "--in", folder, "--check")
    all_done(returns_of(folder, W50))
    fine("close", folder, "--week", W50, "--replace")
    assert on_hand(folder / "stock.xlsx")["GLUE", "B1"] == Fraction(there) - Fraction("0.4")
    fine("ledger", "--in", folder, "--undo", W50, "--replace")
    fine("ledger", "--in", folder, "--check")


def test_a_thousandth_beside_its_unit_is_no_thousand(folder: Path) -> None:
    """``1.234 L`` is 1234 L where a comma parts decimals."""
    with_glue(folder, "2 L", COMMA)
    path = all_done(returns_of(folder, W49))
    why = "spilt"
    fill(path, "Lines", lambda row: {"used": "0,617 mL", "reason": why} if row["part"] == "GLUE" else {})
    fine("close", folder, "--week", W49, "--replace")
    assert on_hand(folder / "stock.xlsx")["GLUE", "B1"] == 2000 - 2 * Fraction("0.617")


def test_optimised_python_writes_the_same(folder: Path) -> None:
    with_glue(folder, "46 mL", COMMA)
    all_done(returns_of(folder, W49))
    words = (
        "-OO",
        "-m",
        "reconcile.cli",
        "close",
        folder,
        "--week",
        W49,
        "--replace",
        "--today",
        "2026-11-27",
    )
    done = subprocess.run([sys.executable, *map(str, words)], capture_output=True, check=False, text=True)
    assert done.returncode == 0, done.stderr
    assert on_hand(folder / "stock.xlsx")["GLUE", "B1"] == Fraction("45.8")


def test_more_digits_than_a_cell_keeps_are_written_so_that_they_are_read(folder: Path) -> None:
    digits = "0.1234567890123456"
    with_glue(folder, f"{digits} mL", POINT)
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    assert on_hand(folder / "stock.xlsx")["GLUE", "B1"] == Fraction(digits) - Fraction("0.2")
    fine("ledger", "--in", folder, "--check")


# --- an editor that goes wrong ----------------------------------------------------------------------------


def spoilt(monkeypatch: pytest.MonkeyPatch, wrong) -> None:
    """An editor that puts something else than it is told."""
    fill_cell = editor.Page._fill
    monkeypatch.setattr(editor.Page, "_fill", lambda page, cell, value: fill_cell(page, cell, wrong(value)))


@pytest.mark.parametrize(
    ("wrong", "sheet"),
    [
        (lambda value: value + 1 if isinstance(value, Fraction) and value > 20 else value, "Stock"),
        (lambda value: value * 10 if isinstance(value, Fraction) and value < 1 else value, "Usage"),
        (lambda value: date(2026, 1, 1) if isinstance(value, date) else value, "Usage"),
        (lambda value: "J-999" if value == "J-100" else value, "Usage"),
        (lambda value: None, "Stock"),
    ],
)
@pytest.mark.parametrize("how", [(), ("--replace",)])
def test_a_workbook_that_does_not_read_as_it_was_meant_is_never_put_in_place(
    folder: Path, monkeypatch: pytest.MonkeyPatch, wrong, sheet: str, how: tuple
) -> None:
    all_done(returns_of(folder, W49))
    before = {path.name: path.read_bytes() for path in folder.glob("*.xlsx")}
    with monkeypatch.context() as patch:
        spoilt(patch, wrong)
        told = refused("close", folder, "--week", W49, *how)
    assert f"error workbook-reads-otherwise at stock.xlsx!{sheet}" in told
    assert "Nothing was written." in told
    assert {path.name: path.read_bytes() for path in folder.glob("*.xlsx")} == before
    assert [each.name for each in folder.iterdir() if each.name.startswith(".reconcile")] == []
    fine("close", folder, "--week", W49, *how)


def test_a_disk_that_keeps_other_bytes_is_found_out(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from reconcile.ledger import booking

    all_done(returns_of(folder, W49))
    whole = booking.write_aside

    def cut(path: Path, data: bytes, like: Path) -> None:
        whole(path, data[:-100], like)

    with monkeypatch.context() as patch:
        patch.setattr(booking, "write_aside", cut)
        assert "workbook-reads-otherwise" in refused("close", folder, "--week", W49, "--replace")
    fine("close", folder, "--week", W49, "--replace")


# --- the row of a held job --------------------------------------------------------------------------------

HOLD = ("check", "J-900", "--frame", "ZB-1", "--from", "10 1/2 in", "--to", "11 in", "--date", "2026-12-03",
        "--hold", "--into-jobs")  # fmt: skip


@pytest.mark.parametrize("settings", [COMMA, POINT, NONE])
def test_a_held_job_is_read_back_from_the_jobs_workbook(folder: Path, settings: str) -> None:
    (folder / "reconcile.toml").write_text(f'currency = "EUR"\n{settings}\n', "utf-8")
    fine(*HOLD, "--in", folder)
    assert "J-900" in fine("week", folder, "--week", W49, "--dry-run", "--json")


def test_a_row_that_does_not_read_as_the_job_is_never_put_in_place(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (folder / "jobs.xlsx").read_bytes()
    with monkeypatch.context() as patch:
        spoilt(patch, lambda value: "12 in" if value == "11 in" else value)
        told = refused(*HOLD, "--in", folder)
    assert "error workbook-reads-otherwise at jobs.xlsx" in told
    assert (folder / "jobs.xlsx").read_bytes() == before
    assert "hold-unknown" in refused("ledger", "--in", folder, "--release", "J-900")


def test_a_length_in_millimetres_gets_the_mark_that_the_sheet_is_read_by(folder: Path) -> None:
    (folder / "reconcile.toml").write_text('decimal = ","\n', "utf-8")
    metric = (folder / "frames" / "ZB-1.toml").read_text("utf-8").replace("10 1/2 in", "266.7 mm")
    for inches, mm in (("10 in", "254 mm"), ("14 in", "355.6 mm"), ("1/2 in", "12.7 mm")):
        metric = metric.replace(inches, mm)
    (folder / "frames" / "ZB-1.toml").write_text(metric, "utf-8")
    words = [
        word if word not in ("10 1/2 in", "11 in") else {"11 in": "279.4 mm"}.get(word, "266.7 mm")
        for word in HOLD
    ]
    words = [word.replace(".", ",") if word.endswith(" mm") else word for word in words]
    fine(*words, "--in", folder)
    assert "J-900" in fine("week", folder, "--week", W49, "--dry-run", "--json")
