"""The ledger's file: exact, append-only, one writer at a time, whole or not at all."""

import sqlite3
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from reconcile.ledger.book import GREATEST, Ledger, open_ledger, reversed_movements
from reconcile.values.problem import Place, Unusable
from reconcile.values.stock.movements import ISSUED, OPENING, UNDO, WEEK, Closing, Movement, PlannedUse

DAY = date(2026, 12, 1)
W49 = Closing("2026-W49", WEEK, DAY, "clerk", details={"done": ["J-1"]})
CLIPS = Movement(
    "CLIP", "A1", Fraction(30), "each", OPENING, DAY, "clerk", source=Place("stock.xlsx", "Stock", "C2")
)
GLUE = Movement("GLUE", "", Fraction("0.1"), "mL", ISSUED, DAY, "bench 1", "J-1", note="café")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "stock-ledger.sqlite"


@pytest.fixture
def ledger(path: Path):
    with open_ledger(path) as opened:
        yield opened


def posted(ledger: Ledger, *movements: Movement, closing: Closing = W49, **more) -> None:
    with ledger.held():
        ledger.post(movements, closing, **more)


def code(refused) -> str:
    return refused.value.problems[0].code


@pytest.mark.parametrize(
    "place",
    [
        Place("stock.xlsx", "Stock", "C2"),
        Place("stock.csv", "", "AB120"),
        Place("stock! new.xlsx", "Shelf!Left", "J5"),
        Place("stock.xlsx"),
        Place("a list of ours"),
        None,
    ],
)
def test_where_a_movement_is_from_comes_back_as_it_was(ledger: Ledger, place: Place | None):
    posted(ledger, replace(CLIPS, source=place))
    (entry,) = ledger.card("CLIP")
    assert entry.movement.source == place


def test_a_movement_comes_back_as_it_went_in(ledger: Ledger) -> None:
    posted(ledger, CLIPS, GLUE)
    (entry,) = ledger.card("GLUE")
    assert entry.movement == GLUE
    assert (entry.closing, entry.balance, entry.reverses) == ("2026-W49", Fraction(1, 10), None)
    assert ledger.balances() == {("CLIP", "A1"): 30, ("GLUE", ""): Fraction(1, 10)}
    assert ledger.standing("2026-W49") == W49
    assert ledger.card("NUT") == ()


@pytest.mark.parametrize("quantity", ["1/3", "0.1", "-2.5", "7/64", "1000000"])
def test_sums_are_exact(ledger: Ledger, quantity: str) -> None:
    posted(
        ledger, *[replace(GLUE, quantity=Fraction(quantity))] * 300, replace(GLUE, quantity=Fraction(1, 7))
    )
    assert ledger.balances()["GLUE", ""] == 300 * Fraction(quantity) + Fraction(1, 7)
    assert ledger.card("GLUE")[-1].balance == 300 * Fraction(quantity) + Fraction(1, 7)
    assert ledger.audit() == []


def test_a_quantity_that_no_column_holds_is_refused(ledger: Ledger) -> None:
    with pytest.raises(Unusable) as refused:
        posted(ledger, replace(GLUE, quantity=Fraction(1, GREATEST + 1)))
    assert code(refused) == "movement-too-fine"


@pytest.mark.parametrize("table", ["closings", "finished", "movements", "uses"])
@pytest.mark.parametrize("words", ["DELETE FROM {}", "UPDATE {} SET rowid = rowid + 100"])
def test_nothing_is_changed_or_deleted(ledger: Ledger, path: Path, table: str, words: str) -> None:
    use = PlannedUse("J-1", DAY, "ZB-1", "joint[1].bolts", "front", "CLIP", "each", Fraction(1), Fraction(2))
    posted(ledger, CLIPS, uses=[use])
    with ledger.held():
        ledger.finish("2026-W49", "stock.xlsx")
    with sqlite3.connect(path) as other, pytest.raises(sqlite3.IntegrityError, match="nothing in the ledger"):
        other.execute(words.format(table))
    assert ledger.uses() == (("2026-W49", use),)


def test_what_fails_midway_leaves_nothing(ledger: Ledger) -> None:
    with pytest.raises(KeyError), ledger.held():
        ledger.post([CLIPS], W49)
        raise KeyError
    assert ledger.balances() == {}
    assert ledger.closings() == ()
    posted(ledger, CLIPS)
    assert ledger.count() == 1


def test_a_name_that_stands_is_refused(ledger: Ledger) -> None:
    posted(ledger, CLIPS)
    with pytest.raises(Unusable) as refused:
        posted(ledger, GLUE)
    assert code(refused) == "week-closed"
    assert "2026-W49 was closed already, on 2026-12-01 by clerk." in str(refused.value)


def undone(ledger: Ledger, name: str) -> None:
    entries = ledger.movements_of(name)
    back = Closing(f"undo of {name}", UNDO, DAY, "clerk", undoes=name)
    movements = reversed_movements(entries, DAY, "clerk")
    posted(ledger, *movements, closing=back, reverses=[each.number for each in entries])


def test_a_closing_written_back_can_be_posted_again_and_each_movement_is_reversed_once(
    ledger: Ledger,
) -> None:
    posted(ledger, CLIPS, GLUE)
    numbers = [each.number for each in ledger.movements_of("2026-W49")]
    undone(ledger, "2026-W49")
    assert set(ledger.balances().values()) == {0}
    assert [each.reverses for each in ledger.card("CLIP")] == [None, numbers[0]]
    assert ledger.standing("2026-W49") is None
    with pytest.raises(Unusable) as refused:
        undone(ledger, "2026-W49")
    assert code(refused) == "closing-unknown"
    posted(ledger, CLIPS)
    assert [each.name for each in ledger.standing_closings()] == ["2026-W49"]
    with pytest.raises(sqlite3.IntegrityError, match="reverses"):
        posted(ledger, CLIPS, closing=replace(W49, name="2026-W50"), reverses=numbers[:1])


def test_another_unit_is_refused(ledger: Ledger) -> None:
    posted(ledger, CLIPS)
    with pytest.raises(Unusable) as refused:
        posted(ledger, replace(CLIPS, unit="pair"), closing=replace(W49, name="2026-W50"))
    assert code(refused) == "ledger-unit"
    assert str(refused.value.problems[0].place) == "stock.xlsx!Stock!C2"


def test_one_writes_and_the_other_is_told(ledger: Ledger, path: Path) -> None:
    with open_ledger(path, patience=0.05) as other:
        with ledger.held():
            ledger.post([CLIPS], W49)
            assert other.balances() == {}, "whoever reads meanwhile sees what was there before"
            with pytest.raises(Unusable) as refused, other.held():
                pass
        assert code(refused) == "ledger-busy"
        assert other.balances() == {("CLIP", "A1"): 30}


@pytest.mark.parametrize("content", [b"not a database at all, but some text that is long enough" * 20])
def test_what_is_no_ledger_is_refused(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    with pytest.raises(Unusable) as refused:
        open_ledger(path)
    assert code(refused) == "ledger-broken"
    assert path.read_bytes() == content


def test_another_database_is_left_alone(path: Path) -> None:
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE birds (name TEXT)")
    before = path.read_bytes()
    with pytest.raises(Unusable) as refused:
        open_ledger(path)
    assert code(refused) == "ledger-broken"
    assert path.read_bytes() == before


def test_a_ledger_of_a_later_version_is_refused(path: Path) -> None:
    open_ledger(path).close()
    with sqlite3.connect(path) as other:
        other.execute("PRAGMA user_version = 99")
    with pytest.raises(Unusable) as refused:
        open_ledger(path)
    assert code(refused) == "ledger-broken"


def test_none_is_made_where_none_is_asked_for(path: Path) -> None:
    assert open_ledger(path, create=False) is None
    assert not path.exists()


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    with pytest.raises(Unusable) as refused:
        open_ledger(tmp_path / "nowhere" / "stock-ledger.sqlite")
    assert code(refused) == "output-locked"


def test_the_audit_finds_a_balance_that_is_not_the_sum(ledger: Ledger, path: Path) -> None:
    posted(ledger, CLIPS, GLUE)
    with sqlite3.connect(path) as other:
        other.execute("UPDATE balances SET amount = 29 WHERE part = 'CLIP'")
    (found,) = ledger.audit()
    assert found.code == "ledger-broken"
    assert "CLIP in 'A1'" in found.says


def test_the_audit_finds_a_damaged_file(ledger: Ledger, path: Path) -> None:
    posted(ledger, *[replace(CLIPS, note="x" * 300)] * 200)
    ledger.close()
    data = bytearray(path.read_bytes())
    data[5 * 4096 + 8 : 5 * 4096 + 60] = b"\xff" * 52
    path.write_bytes(data)
    with open_ledger(path) as damaged:
        try:
            problems = damaged.audit()
        except Unusable as unusable:
            problems = list(unusable.problems)
    assert {each.code for each in problems} == {"ledger-broken"}


def test_how_the_file_is_kept(ledger: Ledger, path: Path) -> None:
    """A rollback journal, which a shared folder bears; every commit waits for the disk."""
    run = ledger._run.execute
    assert run("PRAGMA journal_mode").fetchone() == ("delete",)
    assert run("PRAGMA synchronous").fetchone() == (3,)
    assert run("PRAGMA foreign_keys").fetchone() == (1,)
