"""A ledger of the former format, a damaged one, another workshop's, one in use: a sentence, and nothing lost.

For every command that plans, and from Python.
"""

import json
import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from books import workbook
from closing_shop import FRAME, fill
from typer.testing import CliRunner

import reconcile
from reconcile.cli import app
from reconcile.ledger.book import open_ledger

OLD = (Path(__file__).parents[1] / "cases" / "ledgers" / "format_1.sql").read_text("utf-8")
LEDGER = "stock-ledger.sqlite"
TODAY = "2026-12-04"
JOBS = [
    ("job", "date", "frame", "from", "to"),
    ("J-1", date(2026, 12, 1), "ZB-1", "10 in", "11 in"),
    ("J-2", date(2026, 12, 8), "ZB-1", "10 in", "11 in"),
]
STOCK = [
    ("part", "bin", "on hand", "unit"),
    ("CLIP", "A1", 26, "each"),
    ("GLUE", None, "24.9 mL", "mL"),
    ("PAN-14", "C1", 9, "each"),
    ("PAN-10", "C2", 1, "each"),
]
"""As the closing of week 49 in the old ledger left it: 30 less 4 clips, 25 less 0.1 mL."""
SIZES = ("--frame", "ZB-1", "--from", "10 in", "--to", "11 in", "--date", "2026-12-09")

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A shop with a ledger of the first format, in which week 49 is closed and J-1 is done."""
    folder = tmp_path / "shop"
    (folder / "frames").mkdir(parents=True)
    (folder / "frames" / "ZB-1.toml").write_text(FRAME, "utf-8")
    workbook(folder / "jobs.xlsx", Jobs=JOBS)
    workbook(folder / "stock.xlsx", Stock=STOCK)
    with closing(sqlite3.connect(folder / LEDGER)) as connection:
        connection.executescript(OLD)
    return folder


PLANNING = {
    "week": ("week", "{}", "--week", "2026-W50", "--force"),
    "check": ("check", "J-2", "--in", "{}"),
    "check, described": ("check", *SIZES, "--in", "{}"),
    "hold": ("check", "J-9", *SIZES, "--hold", "--in", "{}"),
    "why a job": ("why", "J-2", "--in", "{}"),
    "why a part": ("why", "CLIP", "--in", "{}"),
    "count": ("count", "{}", "--week", "2026-W50", "--force"),
}
every_plan = pytest.mark.parametrize("command", PLANNING)


def call(command: str, folder: Path, *more: str):
    words = [folder.as_posix() if word == "{}" else word for word in PLANNING[command]]
    return CliRunner().invoke(app, [*words, *more, "--today", TODAY])


def run(*words: object, status: tuple[int, ...] = (0, 1)):
    answer = CliRunner().invoke(app, [*map(str, words), "--today", TODAY])
    assert answer.exit_code in status, answer.output
    return answer


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def refused(command: str, folder: Path, code: str) -> str:
    """What is said; nothing is written, and the code is named once."""
    before = files(folder)
    answer = call(command, folder)
    assert answer.exit_code == 2, answer.output
    assert answer.stderr.count(f"error {code} at {LEDGER}") == 1, answer.stderr
    assert files(folder) == before
    with pytest.raises(reconcile.Unusable) as unusable:
        reconcile.read_week(folder, week="2026-W50", today=TODAY)
    assert [each.code for each in unusable.value.problems] == [code]
    return " ".join(answer.stderr.split())


# --- of the former format --------------------------------------------------------------------------------


@every_plan
def test_a_ledger_of_the_former_format_is_planned_by(folder: Path, command: str) -> None:
    before = files(folder)[LEDGER]
    answer = call(command, folder)
    assert answer.exit_code in (0, 1), answer.output
    assert "ledger" not in answer.stderr
    assert (files(folder)[LEDGER] == before) == (command != "hold"), "a run that only plans leaves it alone"
    found = json.loads(run("week", folder, "--week", "2026-W49", "--json", "--dry-run").stdout)
    assert [(job["job"], job["kit"]) for job in found["jobs"]] == [("J-1", "done")]


def test_a_ledger_of_the_former_format_is_brought_up_by_a_hold_with_a_copy_kept(folder: Path) -> None:
    before = files(folder)[LEDGER]
    assert call("hold", folder).exit_code == 0
    kept = folder / "stock-ledger-format-1.sqlite"
    with closing(sqlite3.connect(kept)) as old, closing(sqlite3.connect(":memory:")) as same:
        same.deserialize(before)
        assert list(old.iterdump()) == list(same.iterdump())
    with open_ledger(folder / LEDGER) as ledger:
        assert ledger.audit() == []
        assert [(each.movement.part, each.movement.quantity) for each in ledger.card("CLIP")] == [
            ("CLIP", 30), ("CLIP", -4),
        ]  # fmt: skip
        assert ledger.done() == {"J-1": "2026-W49"}
        assert [hold.row.job for hold in ledger.holds()] == ["J-9"]


# --- damaged ---------------------------------------------------------------------------------------------


@every_plan
def test_what_is_no_database_stops_the_plan(folder: Path, command: str) -> None:
    (folder / LEDGER).write_bytes(b"no database at all, but long enough to be looked at" * 40)
    assert "Take the last good copy of it." in refused(command, folder, "ledger-broken")


@every_plan
def test_a_ledger_that_ends_in_the_middle_stops_the_plan(folder: Path, command: str) -> None:
    whole = (folder / LEDGER).read_bytes()
    (folder / LEDGER).write_bytes(whole[: len(whole) // 2])
    refused(command, folder, "ledger-broken")


@every_plan
def test_a_ledger_of_a_later_version_stops_the_plan(folder: Path, command: str) -> None:
    with closing(sqlite3.connect(folder / LEDGER)) as connection:
        connection.execute("PRAGMA user_version = 99")
    assert "made by another version of this program (99)" in refused(command, folder, "ledger-broken")


@every_plan
def test_an_entry_that_cannot_be_read_stops_the_plan(folder: Path, command: str) -> None:
    with closing(sqlite3.connect(folder / LEDGER)) as connection:
        connection.execute(
            "INSERT INTO closings SELECT 3, '2026-W48', kind, day, who, posted, old_workbook, new_workbook,"
            " target, aside, kept, undoes, '{' FROM closings WHERE id = 2"
        )
        connection.execute("INSERT INTO finished VALUES (3, 'stock.xlsx')")
        connection.commit()
    refused(command, folder, "ledger-broken")


# --- another workshop's ----------------------------------------------------------------------------------


@pytest.fixture
def elsewhere(folder: Path, tmp_path: Path) -> Path:
    """A shop with the same part numbers in bins of its own, and the other shop's ledger beside its stock."""
    other = tmp_path / "elsewhere"
    shutil.copytree(folder, other)
    renamed(other, more=14)
    return other


def renamed(folder: Path, more: int = 0) -> None:
    """Every bin has another name; and every part, but glue, so much more in it."""
    rows = [(row[0], f"Z-{place}", row[2] + more if isinstance(row[2], int) else "12 mL", *row[3:])
            for place, row in enumerate(STOCK[1:])]  # fmt: skip
    workbook(folder / "stock.xlsx", Stock=[STOCK[0], *rows])


@every_plan
def test_the_ledger_of_another_workshop_stops_the_plan(elsewhere: Path, command: str) -> None:
    # Else J-1 would be taken as done, for the other workshop has done a job of that number.
    told = refused(command, elsewhere, "ledger-other")
    assert f"The stock sheet has none of the bins that {LEDGER} keeps, and of no part as much." in told
    assert "Put the workshop's own ledger beside the workbook" in told


def test_nothing_is_booked_into_the_ledger_of_another_workshop(elsewhere: Path) -> None:
    (elsewhere / LEDGER).rename(elsewhere / "aside")
    run("week", elsewhere, "--week", "2026-W50", "--force")
    (elsewhere / "aside").rename(elsewhere / LEDGER)
    fill(
        elsewhere / "reports" / "returns-2026-W50.xlsx",
        "Done",
        lambda row: {"done": "yes"} if row["job"] == "J-2" else {},
    )
    before = files(elsewhere)
    assert "ledger-differs" in run("close", elsewhere, "--week", "2026-W50", status=(2,)).stderr
    assert files(elsewhere) == before


def test_a_workshop_that_renamed_all_its_bins_is_told_bin_by_bin(folder: Path) -> None:
    renamed(folder)
    found = json.loads(run("week", folder, "--week", "2026-W50", "--json", "--dry-run").stdout)
    told = [each["says"] for each in found["problems"] if each["code"] == "ledger-differs-noticed"]
    assert "The sheet has 26 each of CLIP in Z-0; the ledger has 0." in told
    assert "The sheet has 0 each of CLIP in A1; the ledger has 26." in told


# --- in use ----------------------------------------------------------------------------------------------


@every_plan
def test_a_ledger_in_use_for_longer_than_a_moment_stops_the_plan(
    folder: Path, command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("reconcile.ledger.book.PATIENCE", 0.1)
    monkeypatch.setattr("reconcile.ledger.book.open_ledger.__kwdefaults__", {"create": True, "patience": 0.1})
    other = sqlite3.connect(folder / LEDGER, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        told = refused(command, folder, "ledger-busy")
    finally:
        other.close()
    assert "Wait until it is done" in told
    assert call(command, folder).exit_code in (0, 1), "nothing is left behind"


# --- a sheet that says otherwise -------------------------------------------------------------------------


@pytest.fixture
def edited(folder: Path) -> Path:
    """Somebody has written 20 clips into the sheet; the ledger has 26."""
    book = openpyxl.load_workbook(folder / "stock.xlsx")
    book["Stock"]["C2"] = 20
    book.save(folder / "stock.xlsx")
    return folder


@pytest.mark.parametrize("command", ["check", "check, described", "hold", "why a job", "why a part"])
def test_an_answer_names_the_parts_on_which_sheet_and_ledger_differ(edited: Path, command: str) -> None:
    answer = call(command, edited)
    assert answer.exit_code in (0, 1), answer.output
    told = " ".join(answer.stderr.split())
    assert "ledger-differs-noticed at stock.xlsx!Stock!C2" in told
    assert "The sheet has 20 each of CLIP in A1; the ledger has 26." in told
    assert call(command, edited, "--quiet").stderr == "" or command == "hold"


def test_as_values_too(edited: Path) -> None:
    found = json.loads(call("check", edited, "--json").stdout)
    assert [(each["code"], each["where"]) for each in found["problems"]] == [
        ("ledger-differs-noticed", "stock.xlsx!Stock!C2")
    ]
    inputs = reconcile.read_week(edited, week="2026-W50", today=TODAY)
    assert list(inputs.problems["code"]) == ["ledger-differs-noticed"]


def test_from_python_jobs_that_are_done_are_not_planned_again(folder: Path) -> None:
    jobs = reconcile.read_week(folder, week="2026-W49", today=TODAY).run().jobs
    assert list(zip(jobs["job"], jobs["kit"], strict=True)) == [("J-1", "done")]


def test_many_differences_are_counted_beside_the_first(folder: Path) -> None:
    rows = [("part", "bin", "on hand", "unit"), *((f"P-{n}", "A1", 5, "each") for n in range(9)), *STOCK[1:]]
    workbook(folder / "stock.xlsx", Stock=rows)
    with closing(sqlite3.connect(folder / LEDGER)) as connection:
        for number in range(9):
            connection.execute("INSERT INTO balances VALUES (?, 'A1', 'each', 1, 7)", (f"P-{number}",))
        connection.commit()
    told = call("check", folder).stderr
    assert told.count("ledger-differs-noticed") == 6
    assert "And 3 more: reconcile ledger --check names them all." in told
