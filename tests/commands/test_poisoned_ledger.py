"""What lies in the ledger is checked like any input: whatever stands in it, no file is moved and nobody sees a crash.

A ledger may have been prepared by somebody, or its bytes may have rotted. Each column of each table in turn
holds what it never does; names of files lead out of the folder; triggers and tables are not ours.
"""  # noqa: E501

import hashlib
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from closing_shop import WEEKS, all_done, call, copied, fine, refused, returns_of, shop
from quick_disk import quick_folder
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.ledger.schema import GREATEST
from reconcile.values.problem import Unusable

W49, W50 = WEEKS[:2]
LEDGER = "stock-ledger.sqlite"
HOLD = (
    "check",
    "J-900",
    "--frame",
    "ZB-1",
    "--from",
    "10 in",
    "--to",
    "10 in",
    "--date",
    "2026-12-03",
    "--hold",
)


@pytest.fixture
def tmp_path() -> Iterator[Path]:
    with quick_folder() as made:
        yield made


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture(scope="module")
def booked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with a closing, a hold that stands, one that ended, and rows in every table."""
    folder = shop(tmp_path_factory.mktemp("booked") / "shop")
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    fine(*HOLD, "--in", folder)
    fine("ledger", "--in", folder, "--release", "J-900")
    fine(*HOLD, "--in", folder)
    all_done(returns_of(folder, W50))
    return folder


@pytest.fixture
def folder(booked: Path, tmp_path: Path) -> Path:
    return copied(booked, tmp_path / "shop")


def poisoned(folder: Path, change: Callable[[sqlite3.Connection], None]) -> None:
    """Changes the ledger as nobody may: its checks are off, and its triggers are put back afterwards."""
    with closing(sqlite3.connect(folder / LEDGER, isolation_level=None)) as run:
        for pragma in ("synchronous = OFF", "journal_mode = MEMORY", "foreign_keys = OFF"):
            run.execute(f"PRAGMA {pragma}")
        run.execute("PRAGMA ignore_check_constraints = ON")
        run.execute("BEGIN")
        triggers = run.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            run.execute(f"DROP TRIGGER {name}")
        change(run)
        for _, sql in triggers:
            run.execute(sql)
        run.execute("COMMIT")


def all_files(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != LEDGER
    }


# --- names of files ---------------------------------------------------------------------------------------

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("close", "{}", "--week", W50, "--dry-run"),
    ("close", "{}", "--week", W50, "--replace"),
    ("week", "{}", "--week", W50, "--dry-run"),
    ("ledger", "--in", "{}"),
    ("ledger", "--in", "{}", "--check"),
    ("ledger", "--in", "{}", "--undo", W49, "--replace"),
)
ASIDE = f".reconcile-closing-{'0' * 16}.new"


@pytest.mark.parametrize(
    ("target", "aside", "kept"),
    [
        ("moved.xlsx", "jobs.xlsx", ""),
        ("stock.xlsx", "../outside.xlsx", "stock-kept/stock-before-x.xlsx"),
        ("jobs.xlsx", ASIDE, "stock-kept/stock-before-x.xlsx"),
        ("../outside.xlsx", ASIDE, ""),
        ("reconcile.toml", ASIDE, ""),
        ("stock.xlsx", ASIDE, "../stock-before-x.xlsx"),
        ("stock.xlsx", ASIDE, "frames/ZB-1.toml"),
        ("/etc/passwd.xlsx", ASIDE, ""),
        ("stock-after-\x00.xlsx", ASIDE, ""),
        ("C:stock.xlsx", ASIDE, ""),
        ("..\\stock.xlsx", ASIDE, ""),
    ],
)
def test_a_prepared_ledger_moves_no_file(folder: Path, target: str, aside: str, kept: str) -> None:
    (folder.parent / "outside.xlsx").write_bytes(b"theirs")
    (folder / ASIDE).write_bytes(b"poison")
    digest = hashlib.sha256((folder / "jobs.xlsx").read_bytes()).hexdigest()
    poison = hashlib.sha256(b"poison").hexdigest()

    def prepared(run: sqlite3.Connection) -> None:
        run.execute(
            "INSERT INTO closings VALUES (99, 'x', 'week', '2026-12-01', 'me', '2026-12-01T00:00:00', ?, ?, ?, ?, ?,"  # noqa: E501
            " NULL, '{}')", (digest, poison, target, aside, kept),
        )  # fmt: skip

    poisoned(folder, prepared)
    before = all_files(folder.parent)
    for words in COMMANDS:
        answer = call(*(word.format(folder) for word in words))
        assert answer.exit_code == (1 if "--check" in words else 2), answer.output
        assert "ledger-broken" in answer.output, answer.output
    assert all_files(folder.parent) == before


def test_a_dry_run_finishes_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from reconcile.ledger import booking

    def stop(*_words: object, **_named: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(booking, "settle", stop)
        assert call("close", folder, "--week", W50, "--replace").exit_code == 130
    before = all_files(folder)
    assert "closing-unfinished" in refused("close", folder, "--week", WEEKS[2], "--dry-run")
    assert "closing-unfinished" in fine("week", folder, "--week", WEEKS[2], "--dry-run", "--json")
    assert all_files(folder) == before
    fine("ledger", "--in", folder, "--check")
    assert all_files(folder) != before


def test_a_workbook_aside_that_is_another_is_not_put_in_place(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from reconcile.ledger import booking

    def stop(*_words: object, **_named: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(booking, "settle", stop)
        call("close", folder, "--week", W50, "--replace")
    before = (folder / "stock.xlsx").read_bytes()
    (aside,) = folder.glob(".reconcile-closing-*.new")
    aside.write_bytes(b"another")
    answer = call("ledger", "--in", folder)
    assert "closing-workbook-lost" in answer.stderr
    assert (folder / "stock.xlsx").read_bytes() == before


# --- columns ----------------------------------------------------------------------------------------------

WRONG: tuple[object, ...] = (
    "x", -1, b"\xff\xfe", "", 9.5, "9999-99-99", "1/0", "[[", "9" * 400, 2**62, "9999-12-31", "0001-01-01",
    '{"from": "0001-01-01", "to": "9999-12-31", "done": [[]], "usage": [[1]], "mark": 7}', "[" * 5000,
)  # fmt: skip
TABLES = ("closings", "finished", "movements", "uses", "balances", "job_rows", "job_lines", "job_joints", "checks",  # noqa: E501
          "holds", "hold_ends", "order_events", "identity")  # fmt: skip


def columns(folder: Path) -> Iterator[tuple[str, str]]:
    with closing(sqlite3.connect(folder / LEDGER)) as run:
        for table in TABLES:
            for _, name, *_ in run.execute(f"PRAGMA table_info({table})"):
                yield table, name


FURTHER = (
    "INSERT INTO order_events VALUES (9001, NULL, 'PO-9', '1', 'placed', '2026-11-27', 'me', 'CLIP', 'each', '5',"  # noqa: E501
    " '2026-12-03', '1.5', 'EUR', 'ALFA', '', '', '')",
    "INSERT INTO job_joints VALUES (1, 1, 'upper', '', 'k', 1, 1, '{\"SP\": \"1\"}', 'B', '10')",
    "INSERT INTO checks VALUES (1, 1, 'locks hold', 1, '', '', '2026-12-01')",
)


@pytest.mark.slow
@pytest.mark.parametrize("table", TABLES)
def test_whatever_a_column_holds_is_told_and_no_crash(booked: Path, tmp_path: Path, table: str) -> None:
    base = copied(booked, tmp_path / "base")
    poisoned(base, lambda run: [run.execute(each) for each in FURTHER])
    fine("ledger", "--in", base, "--check")
    copy = copied(base, tmp_path / "copy")
    whole = (base / LEDGER).read_bytes()
    count = 0
    for at, (_, name) in enumerate(each for each in columns(base) if each[0] == table):
        for number, value in enumerate(WRONG):
            (copy / LEDGER).write_bytes(whole)
            try:
                poisoned(copy, setting(table, name, value))
            except sqlite3.Error:
                continue  # the column's kind forbids it
            count += 1
            audited(copy)
            if number == at % len(WRONG):
                for words in (COMMANDS[2], COMMANDS[3 + at % 3]):
                    answer = call(*(word.format(copy) for word in words))
                    said = f"{table}.{name} = {str(value)[:50]!r}, {words[0]}: {answer.output[-600:]}"
                    assert answer.exit_code in (0, 1, 2), said
                    assert "Traceback" not in answer.output, said
    assert count or table == "identity"


def setting(table: str, name: str, value: object) -> Callable[[sqlite3.Connection], None]:
    return lambda run: run.execute(f"UPDATE {table} SET {name} = ?", (value,))


def audited(folder: Path) -> None:
    """Whatever is booked is audited first: the audit itself ends in problems and in nothing else."""
    try:
        ledger = open_ledger(folder / LEDGER, create=False)
        assert ledger is not None
        with ledger:
            assert all(each.code == "ledger-broken" for each in ledger.audit())
    except Unusable as unusable:
        assert {each.code for each in unusable.problems} == {"ledger-broken"}


@pytest.mark.slow
def test_a_table_that_is_not_there_is_told(folder: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(folder / LEDGER)) as run:
        names = [
            name
            for (name,) in run.execute("SELECT name FROM sqlite_master WHERE type IN ('table', 'trigger')")
        ]
        kinds = dict(run.execute("SELECT name, type FROM sqlite_master"))
    for name in names:
        copy = copied(folder, tmp_path / "copy")
        with closing(sqlite3.connect(copy / LEDGER, isolation_level=None)) as run:
            run.execute("PRAGMA foreign_keys = OFF")
            run.execute(f"DROP {kinds[name].upper()} {name}")
        for words in (COMMANDS[1], COMMANDS[2], COMMANDS[3]):
            assert "ledger-broken" in refused(*(word.format(copy) for word in words)), (name, words)


def test_a_trigger_that_is_none_of_ours_is_refused(folder: Path) -> None:
    with closing(sqlite3.connect(folder / LEDGER, isolation_level=None)) as run:
        run.execute(
            "CREATE TRIGGER helpful AFTER INSERT ON closings BEGIN INSERT INTO identity VALUES (2, ''); END"
        )
    assert "a trigger 'helpful' of its own" in refused("close", folder, "--week", W50, "--replace")


def test_a_trigger_of_ours_that_says_something_else_is_refused(folder: Path) -> None:
    with closing(sqlite3.connect(folder / LEDGER, isolation_level=None)) as run:
        run.execute("DROP TRIGGER movements_counted")
        run.execute("CREATE TRIGGER movements_counted AFTER INSERT ON movements BEGIN SELECT 1; END")
    assert "ledger-broken" in refused("close", folder, "--week", W50, "--replace")


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE balances SET amount = amount + 1",
        f"UPDATE movements SET amount = {GREATEST * 4}",
        "DELETE FROM movements WHERE id = 2",
        "UPDATE job_lines SET job_row = 77",
        "UPDATE closings SET kind = 'party'",
        "UPDATE movements SET day = '2026-02-30'",
    ],
)
@pytest.mark.parametrize(
    "words", [COMMANDS[1], COMMANDS[5], (*HOLD, "--in", "{}"), ("ledger", "--in", "{}", "--release", "J-900")]
)
def test_a_ledger_is_audited_before_anything_is_booked_into_it(
    folder: Path, statement: str, words: tuple
) -> None:
    poisoned(folder, lambda run: run.execute(statement))
    before = (folder / LEDGER).read_bytes()
    words = tuple(word.replace("J-900", "J-901") if "--hold" in words else word for word in words)
    assert "ledger-broken" in refused(*(word.format(folder) for word in words))
    assert (folder / LEDGER).read_bytes() == before


@pytest.mark.parametrize("what", ["folder", "pipe", "link into nothing", "text"])
def test_what_is_no_file_is_no_ledger(folder: Path, what: str) -> None:
    import os

    path = folder / LEDGER
    path.unlink()
    if what == "folder":
        path.mkdir()
    elif what == "pipe":
        os.mkfifo(path)
    elif what == "text":
        path.write_text("a text that is longer than the head of a database, and is none" * 20)
    else:
        path.symlink_to(folder / "nowhere")
    for words in (COMMANDS[0], COMMANDS[2], COMMANDS[3]):
        assert "ledger-broken" in refused(*(word.format(folder) for word in words))


def test_a_chair_of_a_poisoned_ledger(folder: Path) -> None:
    poisoned(folder, lambda run: run.execute("UPDATE job_rows SET day = 'soon'"))
    answer = CliRunner().invoke(app, ["chair", "WC-1", "--in", str(folder)])
    assert answer.exit_code == 2
    assert "ledger-broken" in answer.stderr
