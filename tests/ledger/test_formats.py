"""A ledger of an earlier format: read as it is, brought up by who writes, a copy kept; and damaged ones."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from reconcile.ledger import migrations
from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.ledger.files import digest
from reconcile.ledger.schema import APPENDED_2, FORMAT
from reconcile.values.problem import Unusable
from reconcile.values.stock.movements import ISSUED, UNDO, WEEK, Closing, Movement

OLD = (Path(__file__).parents[1] / "cases" / "ledgers" / "format_1.sql").read_text("utf-8")
DAY = date(2026, 12, 8)
W50 = Closing("2026-W50", WEEK, DAY, "clerk")
MOVE = Movement("CLIP", "A1", Fraction(-2), "each", ISSUED, DAY, "clerk", "J-2")
KEPT = "stock-ledger-format-1.sqlite"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A ledger of format 1 with one closed week."""
    path = ledger_path(tmp_path / "stock.xlsx")
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(OLD)
    return path


def format_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])


def opened(path: Path) -> Ledger:
    ledger = open_ledger(path, create=False)
    assert ledger is not None
    return ledger


def names(path: Path) -> list[str]:
    return sorted(each.name for each in path.parent.iterdir())


def test_who_only_reads_an_old_ledger_leaves_it_as_it_is(path: Path) -> None:
    before = digest(path)
    with opened(path) as ledger:
        assert ledger.balances() == {("CLIP", "A1"): 26, ("GLUE", ""): Fraction(249, 10)}
        assert [entry.balance for entry in ledger.card("CLIP")] == [30, 26]
        assert [entry.movement.quantity for entry in ledger.movements_of("2026-W49")] == [
            -4,
            Fraction(-1, 10),
        ]
        assert [use.job for _, use in ledger.uses()] == ["J-1"]
        assert ledger.done() == {"J-1": "2026-W49"}
        assert (ledger.booked_jobs(), ledger.holds(), ledger.order_entries()) == ((), (), ())
        assert (ledger.mark().identity, ledger.mark().counter) == ("", 2)
        assert ledger.audit() == []
    assert digest(path) == before
    assert names(path) == [path.name]


def posted(path: Path, *movements: Movement, closing: Closing = W50) -> None:
    with opened(path) as ledger, ledger.held():
        ledger.post(movements, closing)


def test_who_writes_brings_it_up_and_keeps_a_copy_of_what_it_was(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        was = list(connection.iterdump())
    posted(path, MOVE)
    assert format_of(path) == FORMAT
    with closing(sqlite3.connect(path.with_name(KEPT))) as connection:
        assert list(connection.iterdump()) == was
    assert format_of(path.with_name(KEPT)) == 1
    with opened(path) as ledger:
        assert [entry.balance for entry in ledger.card("CLIP")] == [30, 26, 24]
        assert len(ledger.mark().identity) == 36
        assert ledger.audit() == []
        assert ledger.done() == {"J-1": "2026-W49"}
    assert names(path) == sorted([path.name, KEPT])


def test_a_ledger_brought_up_is_laid_out_as_a_new_one(path: Path, tmp_path: Path) -> None:
    posted(path, MOVE)
    new = tmp_path / "new-ledger.sqlite"
    with open_ledger(new) as ledger:
        assert len(ledger.mark().identity) == 36
    layouts = []
    for each in (path, new):
        with closing(sqlite3.connect(each)) as connection:
            layouts.append(set(connection.execute("SELECT type, name, sql FROM sqlite_master")))
    assert layouts[0] == layouts[1]


def test_a_closing_of_the_old_format_can_be_written_back(path: Path) -> None:
    with opened(path) as ledger:
        entries = ledger.movements_of("2026-W49")
        back = [replace(entry.movement, quantity=-entry.movement.quantity) for entry in entries]
        with ledger.held():
            ledger.post(
                back,
                Closing("undo of 2026-W49", UNDO, DAY, "clerk", undoes="2026-W49"),
                reverses=[entry.number for entry in entries],
            )
        assert ledger.balances()["CLIP", "A1"] == 30
        assert ledger.done() == {}


def test_where_the_booking_is_refused_the_ledger_stays_of_the_old_format(path: Path) -> None:
    before = digest(path)
    with pytest.raises(Unusable):
        posted(path, replace(MOVE, unit="kg"))
    assert (format_of(path), digest(path)) == (1, before)
    posted(path, MOVE)  # the copy of the first attempt is the same: there is one
    assert names(path) == sorted([path.name, KEPT])


def test_a_step_that_fails_leaves_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def halfway(connection: sqlite3.Connection) -> None:
        migrations.to_2(connection)
        raise KeyError

    monkeypatch.setitem(migrations.STEPS, 1, halfway)
    before = digest(path)
    with pytest.raises(KeyError):
        posted(path, MOVE)
    assert digest(path) == before


def test_no_file_of_the_copys_name_is_written_over(path: Path) -> None:
    path.with_name(KEPT).write_bytes(b"mine")
    posted(path, MOVE)
    assert path.with_name(KEPT).read_bytes() == b"mine"
    assert format_of(path.with_name("stock-ledger-format-1 (2).sqlite")) == 1


def test_two_runs_opened_before_either_wrote_bring_it_up_once(path: Path) -> None:
    with opened(path) as one, opened(path) as other:
        with one.held():
            one.post([MOVE], W50)
        with other.held():
            other.post([MOVE], replace(W50, name="2026-W51"))
        assert other.balances()["CLIP", "A1"] == 22
        assert other.mark() == replace(one.mark(), counter=4)
    assert names(path) == sorted([path.name, KEPT])


@pytest.mark.parametrize("table", APPENDED_2)
def test_nothing_of_the_second_format_is_changed_or_deleted(path: Path, table: str) -> None:
    posted(path, MOVE)
    with closing(sqlite3.connect(path)) as connection:
        triggers = connection.execute(
            "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?", (table,)
        ).fetchone()
    assert triggers == (2,)


# --- what cannot be read ------------------------------------------------------------------------------


def spoilt(path: Path, *words: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for statement in words:
            connection.execute(statement)
        connection.commit()


NO_TRIGGERS = (
    "DROP TRIGGER closings_not_update",
    "DROP TRIGGER movements_not_update",
    "DROP TRIGGER uses_not_update",
)
TRIGGERS = tuple(
    f"CREATE TRIGGER {table}_not_update BEFORE UPDATE ON {table} BEGIN"
    " SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted'); END"
    for table in ("closings", "movements", "uses")
)


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ("UPDATE closings SET day = 'Tuesday'", "day"),
        ("UPDATE closings SET details = '{\"done\": '", "details"),
        ("UPDATE closings SET details = '[1]'", "details"),
        ("UPDATE closings SET name = x'ff00'", "name"),
        ("UPDATE movements SET day = '2026-13-01'", "day"),
        ("UPDATE movements SET per = 0", "per"),
        ("UPDATE movements SET part = 7.5 || x'00'", "part"),
        ("UPDATE uses SET planned = '1/0'", "planned"),
        ("UPDATE uses SET used = '1e999999999'", "used"),
        ("UPDATE uses SET used = 'four'", "used"),
        ("UPDATE balances SET amount = 'many'", "amount"),
    ],
)
def test_what_is_no_value_of_its_column_is_told_by_row_and_column(
    path: Path, change: str, column: str
) -> None:
    spoilt(path, *NO_TRIGGERS, change, *TRIGGERS)
    reads = ("closings", "uses", "balances", "standing_closings", "booked_jobs")
    told: list[str] = []
    with opened(path) as ledger:
        for read in (*(getattr(ledger, name) for name in reads), lambda: ledger.card("CLIP"),
                     lambda: ledger.movements_of("2026-W49")):  # fmt: skip
            try:
                read()
            except Unusable as unusable:
                told += [fault.says for fault in unusable.problems]
                assert {fault.code for fault in unusable.problems} == {"ledger-broken"}
    if "part = 7.5" not in change:  # text, if a strange one
        assert any(f"{column} cannot be" in says for says in told), told


def test_text_that_is_no_text_is_told(path: Path) -> None:
    spoilt(path, NO_TRIGGERS[1], "UPDATE movements SET note = CAST(x'fffe' AS TEXT)", TRIGGERS[1])
    with opened(path) as ledger, pytest.raises(Unusable) as refused:
        ledger.card("CLIP")
    assert refused.value.problems[0].code == "ledger-broken"


@pytest.mark.parametrize(
    "words", ["DROP TRIGGER closings_not_delete", "DROP TABLE uses", "PRAGMA user_version = -1"]
)
def test_a_file_that_lacks_what_its_format_has_is_no_ledger(path: Path, words: str) -> None:
    spoilt(path, words)
    with pytest.raises(Unusable) as refused:
        opened(path)
    assert refused.value.problems[0].code == "ledger-broken"


def test_details_of_another_shape_are_told(path: Path) -> None:
    spoilt(path, NO_TRIGGERS[0], "UPDATE closings SET details = '{\"done\": 3}'", TRIGGERS[0])
    with opened(path) as ledger, pytest.raises(Unusable) as refused:
        ledger.done()
    assert "keeps as 'done'" in refused.value.problems[0].says
