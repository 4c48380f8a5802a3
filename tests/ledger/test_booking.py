"""A closing on the disk, step by step: what is refused, and what a stop between the steps leaves to do."""

import os
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from reconcile.ledger import booking as steps
from reconcile.ledger.book import Ledger, open_ledger
from reconcile.ledger.booking import Booking, book, settle
from reconcile.ledger.files import digest, free_path
from reconcile.values.problem import Unusable
from reconcile.values.stock.movements import ISSUED, WEEK, Closing, Movement

DAY = date(2026, 12, 1)
MOVE = Movement("CLIP", "A1", Fraction(-4), "each", ISSUED, DAY, "clerk", "J-1")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "stock.xlsx").write_bytes(b"old")
    return tmp_path


@pytest.fixture
def ledger(folder: Path):
    with open_ledger(folder / "stock-ledger.sqlite") as opened:
        yield opened


def a_booking(folder: Path, *, in_place: bool = False, **given) -> Booking:
    workbook = folder / "stock.xlsx"
    plain = {
        "closing": Closing("2026-W49", WEEK, DAY, "clerk"),
        "movements": [MOVE],
        "workbook": workbook,
        "read": digest(workbook),
        "seen": 0,
        "target": workbook if in_place else folder / "after.xlsx",
        "kept": folder / "before.xlsx" if in_place else None,
        "change": lambda data: data + b" and new",
    }
    return Booking(**(plain | given))


def stopped(folder: Path, ledger: Ledger, monkeypatch: pytest.MonkeyPatch, **given) -> None:
    """Booked, but for the workbook."""

    class Stop(BaseException):
        pass

    def stop(*_words: object, **_named: object) -> None:
        raise Stop

    with monkeypatch.context() as patch:
        patch.setattr(steps, "settle", stop)
        with pytest.raises(Stop):
            book(ledger, a_booking(folder, **given))
    assert ledger.unfinished() is not None


def contents(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir() if each.suffix != ".sqlite"}


OLD, NEW = b"old", b"old and new"


@pytest.mark.parametrize("in_place", [False, True])
def test_what_was_stopped_is_finished_by_the_next_run(
    folder: Path, ledger: Ledger, monkeypatch: pytest.MonkeyPatch, in_place: bool
) -> None:
    stopped(folder, ledger, monkeypatch, in_place=in_place)
    (remark,) = settle(ledger, folder)
    assert remark.code == "closing-finished-late"
    there = {"stock.xlsx": NEW, "before.xlsx": OLD} if in_place else {"stock.xlsx": OLD, "after.xlsx": NEW}
    assert contents(folder) == there
    assert settle(ledger, folder) == []


def test_a_workbook_that_somebody_changed_meanwhile_is_left_as_it_is(
    folder: Path, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    stopped(folder, ledger, monkeypatch, in_place=True)
    (folder / "stock.xlsx").write_bytes(b"theirs")
    (remark,) = settle(ledger, folder)
    assert "stock.xlsx was changed while 2026-W49 was being closed." in remark.says
    assert contents(folder) == {"stock.xlsx": b"theirs", "stock-after-2026-W49.xlsx": NEW}


def test_a_workbook_that_is_lost_is_told(
    folder: Path, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    stopped(folder, ledger, monkeypatch)
    for each in folder.glob(".reconcile-closing-*"):
        each.unlink()
    (remark,) = settle(ledger, folder)
    assert remark.code == "closing-workbook-lost"
    assert ledger.unfinished() is None


def test_a_place_that_cannot_be_written_is_tried_again(
    folder: Path, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_self: Path, _target: Path) -> None:
        raise PermissionError(13, "open elsewhere")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", refuse)
        with pytest.raises(Unusable) as refused:
            book(ledger, a_booking(folder))
    (found,) = refused.value.problems
    assert found.code == "output-locked"
    assert found.did == "The closing is booked; the next run puts its workbook in place."
    settle(ledger, folder)
    assert contents(folder) == {"stock.xlsx": OLD, "after.xlsx": NEW}


def test_what_a_stop_before_the_booking_left_is_cleared(folder: Path, ledger: Ledger) -> None:
    (folder / f".reconcile-closing-{'0' * 16}.new").write_bytes(b"half")
    assert settle(ledger, folder) == []
    assert contents(folder) == {"stock.xlsx": OLD}


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"read": "0" * 64}, "stock-changed-meanwhile"),
        ({"seen": 1}, "stock-changed-meanwhile"),
    ],
)
def test_what_changed_since_it_was_read_is_refused(
    folder: Path, ledger: Ledger, given: dict, code: str
) -> None:
    with pytest.raises(Unusable) as refused:
        book(ledger, a_booking(folder, **given))
    assert [each.code for each in refused.value.problems] == [code]
    assert contents(folder) == {"stock.xlsx": OLD}
    assert ledger.count() == 0


def test_a_file_that_is_there_is_not_written_over(folder: Path, ledger: Ledger) -> None:
    (folder / "after.xlsx").write_bytes(b"theirs")
    with pytest.raises(Unusable) as refused:
        book(ledger, a_booking(folder))
    assert refused.value.problems[0].code == "output-exists"
    assert (folder / "after.xlsx").read_bytes() == b"theirs"


def test_a_change_that_is_refused_leaves_nothing(folder: Path, ledger: Ledger) -> None:
    def refuse(_data: bytes) -> bytes:
        raise KeyError

    with pytest.raises(KeyError):
        book(ledger, a_booking(folder, change=refuse))
    assert contents(folder) == {"stock.xlsx": OLD}
    assert ledger.count() == 0


def test_a_full_disk_leaves_nothing(folder: Path, ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(Unusable) as refused:
            book(ledger, a_booking(folder))
    assert refused.value.problems[0].code == "output-locked"
    assert contents(folder) == {"stock.xlsx": OLD}
    assert ledger.count() == 0


def test_the_old_workbook_never_replaces_another(folder: Path, ledger: Ledger) -> None:
    (folder / "before.xlsx").write_bytes(b"theirs")
    book(ledger, a_booking(folder, in_place=True))
    assert contents(folder) == {"stock.xlsx": NEW, "before.xlsx": b"theirs", "before (2).xlsx": OLD}


def test_a_free_name(folder: Path) -> None:
    assert free_path(folder / "new.xlsx") == folder / "new.xlsx"
    assert free_path(folder / "stock.xlsx") == folder / "stock (2).xlsx"
