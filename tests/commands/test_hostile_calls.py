"""Calls and inputs beyond all reason: each ends soon, with a sentence, and never as a fault of our own."""

import os
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from books import workbook
from closing_shop import ON_ORDER, STOCK, USAGE, WEEKS, all_done, jobs_of, returns_of, shop
from typer.testing import CliRunner

from reconcile.cli import app

W49 = WEEKS[0]
NINES = "9" * 400
SOON = 20.0
"""Seconds; nothing here takes one, where nobody else uses the machine."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    return shop(tmp_path / "shop")


def told(*words: object, today: str = "2026-11-27") -> tuple[int, str]:
    """Exit status and everything said, on one line; fails for a fault of our own, and for a long wait."""
    began = time.process_time()
    typed = [*map(str, words), *(("--today", today) if "--today" not in words else ())]
    answer = CliRunner().invoke(app, typed)
    said = " ".join(answer.output.split())
    assert answer.exit_code in (0, 1, 2), said
    assert "Traceback" not in said
    assert time.process_time() - began < SOON
    return answer.exit_code, said


# --- a settings file that is there -------------------------------------------------------------------------


def as_link(path: Path) -> None:
    path.symlink_to(path.with_name("nowhere.toml"))


def as_itself(path: Path) -> None:
    path.symlink_to(path)


def as_pipe(path: Path) -> None:
    os.mkfifo(path)


def as_device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def as_large(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(3_000_000_000)


THERE = pytest.mark.parametrize("make", [as_link, as_itself, Path.mkdir, as_pipe, as_device, as_large])


@THERE
@pytest.mark.parametrize(
    "words", [("week", "{}", "--dry-run"), ("close", "{}", "--week", W49), ("ledger", "--in", "{}")]
)
def test_a_settings_file_that_cannot_be_read_is_no_absent_one(folder: Path, make, words: tuple) -> None:
    path = folder / "reconcile.toml"
    path.unlink()
    make(path)
    status, said = told(*(word.format(folder) for word in words))
    assert status == 2
    assert "at reconcile.toml" in said
    assert any(code in said for code in ("file-unreadable", "file-too-large"))


@THERE
@pytest.mark.parametrize("name", ["jobs.xlsx", "stock.xlsx", "frames/ZB-1.toml"])
def test_no_input_is_opened_that_is_no_plain_file(folder: Path, make, name: str) -> None:
    (folder / name).unlink()
    make(folder / name)
    status, said = told("week", folder, "--dry-run", "--json")
    assert status == 2 or name.startswith("frames")
    assert any(code in said for code in ("file-unreadable", "file-too-large", "file-missing"))


def test_a_settings_file_that_is_named_must_be_there(folder: Path) -> None:
    status, said = told("week", folder, "--settings", folder / "other.toml", "--dry-run")
    assert (status, "file-missing" in said) == (2, True)


@pytest.mark.parametrize(
    "text",
    [
        "a." * 300_000 + "a = 1", "[" + "a." * 300_000 + "a]", "a = " + "[" * 400_000, "a = " + "{a = " * 150_000,  # noqa: E501
        "a" * 900_000 + " = 1", '"' + "b" * 900_000 + '" = 1', "\n".join(f"k{n} = 1" for n in range(50_000)),
        "holidays = [" + "1, " * 200_000 + "]", f"look_ahead_weeks = {'9' * 5000}", "\n" * 900_000 + "a.a.a = [[",  # noqa: E501
    ],
    ids=["parts", "parts of a table", "lists", "tables", "long key", "long quoted key", "many keys", "many days",  # noqa: E501
         "digits", "lines"],
)  # fmt: skip
def test_toml_beyond_all_use_ends_at_once(folder: Path, text: str) -> None:
    for path in (folder / "reconcile.toml", folder / "frames" / "ZB-1.toml"):
        kept = path.read_text("utf-8")
        path.write_text(text, "utf-8")
        status, said = told("week", folder, "--dry-run", "--json")
        assert status == 2 or "frame-unreadable" in said or "frame-key" in said
        path.write_text(kept, "utf-8")


# --- words and days ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["week", "close", "count"])
@pytest.mark.parametrize(
    "week",
    [
        "../../evil",
        "/etc/passwd",
        "9999-W52",
        "0001-W01",
        "2026-W54",
        NINES,
        "2026-W49\x00",
        "",
        "..",
        "2026-W49/../x",
    ],
)
def test_a_week_that_is_none(folder: Path, command: str, week: str) -> None:
    before = {str(each) for each in folder.rglob("*")}
    status, said = told(command, folder, "--week", week, *(("--dry-run",) if command != "count" else ()))
    assert (
        status in (0, 1)
        or "--week" in said
        or "file-missing" in said
        or "calendar" in said
        or "count" in said
    ), said
    assert {str(each) for each in folder.rglob("*") if "reports" not in str(each)} <= before


DAYS = ["9999-12-31", "0001-01-01", "9999-12-24", "0001-01-08"]


@pytest.mark.parametrize("day", DAYS)
def test_the_ends_of_the_calendar(folder: Path, day: str) -> None:
    told("week", folder, "--today", day, "--dry-run")
    told("week", folder, "--from", day, "--to", day, "--dry-run")
    told("check", "J-100", "--in", folder, "--today", day)
    told("check", "J-1", "--frame", "ZB-1", "--from", "10 in", "--to", "11 in", "--date", day, "--in", folder)
    told("count", folder, "--today", day, "--out", folder / "counts")
    told("levels", folder, "--today", day)
    rows = [list(row) for row in jobs_of()]
    rows[1][1] = day
    workbook(folder / "jobs.xlsx", Jobs=rows)
    workbook(folder / "stock.xlsx", Stock=STOCK, On_order=[*ON_ORDER, ("PO-9", "CLIP", 1, day)],
             Usage=[*USAGE, (day, "CLIP", 1, "J-9")])  # fmt: skip
    told("week", folder, "--dry-run")
    told("week", folder, "--today", day, "--dry-run")
    told("why", "CLIP", "--in", folder)
    told("levels", folder)


def test_the_whole_calendar(folder: Path) -> None:
    told("week", folder, "--from", "0001-01-01", "--to", "9999-12-31", "--dry-run")


# --- numbers -----------------------------------------------------------------------------------------------

NUMBERS = [
    NINES,
    f"-{NINES}",
    f"0.{NINES}",
    f"1/{NINES}",
    f"1e{NINES}",
    "1e308",
    "-0",
    "nan",
    "inf",
    "٣",
    1e308,
    -1e308,
    2**63,
]


@pytest.mark.parametrize("number", NUMBERS, ids=lambda each: str(each)[:12])
def test_a_number_beyond_all_use(folder: Path, number: object) -> None:
    for heading in ("--chairs", "--to", "--from", "--priority", "--left-now"):
        told("check", "J-100", heading, number, "--in", folder)
    for row, column in ((1, 2), (1, 3), (1, 5)):
        rows = [list(each) for each in STOCK]
        rows[row][column] = number
        workbook(
            folder / "stock.xlsx",
            Stock=rows,
            On_order=[*ON_ORDER, ("PO-9", "CLIP", number, date(2026, 12, 3))],
        )
        told("week", folder, "--dry-run")
        told("why", "CLIP", "--in", folder)


@pytest.mark.parametrize("number", NUMBERS, ids=lambda each: str(each)[:12])
def test_a_number_beyond_all_use_in_the_returns(folder: Path, number: object) -> None:
    from closing_shop import fill

    path = all_done(returns_of(folder, W49))
    fill(path, "Lines", lambda row: {"used": number, "reason": "so it was"} if row["part"] == "CLIP" else {})
    told("close", folder, "--week", W49)


def settings_beyond() -> Iterator[str]:
    for digits in ("9" * 18, NINES):
        for key in ("inspection_days", "look_ahead_weeks", "lead_time_days", "patience"):
            yield f"{key} = {digits}"
        for key in ("expanded_mb", "cells"):
            yield f"[limits]\n{key} = {digits}"
        yield f"[buying]\nhorizon_weeks = {digits}\nholding_cost = 0.2"
        yield f"[buying]\nhorizon_weeks = 4\nholding_cost = {digits}"
        yield f"[buying]\norder_cost = {digits}"
        yield f"[counting]\ntimes = {{ A = {digits}, B = 4, C = 1 }}"
        yield f"[levels]\nservice = {digits}"
    yield "patience = 1e308"
    yield "holidays = [9999-12-31, 0001-01-01]"


@pytest.mark.parametrize("setting", list(settings_beyond()), ids=lambda each: each[:40].replace("\n", " "))
def test_a_setting_beyond_all_use(folder: Path, setting: str) -> None:
    (folder / "reconcile.toml").write_text(f"{setting}\n", "utf-8")
    told("week", folder, "--dry-run")
    told("why", "CLIP", "--in", folder)
    told("count", folder, "--out", folder / "counts")
    told("levels", folder)


def test_a_part_that_cannot_be_had_before_the_calendar_ends(folder: Path) -> None:
    rows = [[*row, "lead time days" if number == 0 else 10**7] for number, row in enumerate(STOCK)]
    workbook(folder / "stock.xlsx", Stock=rows)
    told("week", folder, "--dry-run")
    told("week", folder, "--today", "9999-12-01", "--dry-run")
