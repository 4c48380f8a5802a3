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
AFTER, KEPT = "stock-after-2026-W49.xlsx", "stock-kept/stock-before-2026-W49.xlsx"
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
        "target": workbook if in_place else folder / AFTER,
        "kept": folder / KEPT if in_place else None,
        "change": lambda data, _mark: data + b" and new",
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
    return {
        each.relative_to(folder).as_posix(): each.read_bytes()
        for each in folder.rglob("*")
        if each.is_file() and each.suffix != ".sqlite"
    }


OLD, NEW = b"old", b"old and new"


@pytest.mark.parametrize("in_place", [False, True])
def test_what_was_stopped_is_finished_by_the_next_run(
    folder: Path, ledger: Ledger, monkeypatch: pytest.MonkeyPatch, in_place: bool
) -> None:
    stopped(folder, ledger, monkeypatch, in_place=in_place)
    (remark,) = settle(ledger, folder)
    assert remark.code == "closing-finished-late"
    there = {"stock.xlsx": NEW, KEPT: OLD} if in_place else {"stock.xlsx": OLD, AFTER: NEW}
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
        _, (found,) = book(ledger, a_booking(folder))
    assert found.code == "booked-unfinished"
    assert found.says.startswith("2026-W49 is booked.")
    assert found.did == "What is left is finished by the next run."
    settle(ledger, folder)
    assert contents(folder) == {"stock.xlsx": OLD, AFTER: NEW}


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
    (folder / AFTER).write_bytes(b"theirs")
    with pytest.raises(Unusable) as refused:
        book(ledger, a_booking(folder))
    assert refused.value.problems[0].code == "output-exists"
    assert (folder / AFTER).read_bytes() == b"theirs"


def test_a_change_that_is_refused_leaves_nothing(folder: Path, ledger: Ledger) -> None:
    def refuse(_data: bytes, _mark: object) -> bytes:
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
    (folder / KEPT).parent.mkdir()
    (folder / KEPT).write_bytes(b"theirs")
    book(ledger, a_booking(folder, in_place=True))
    assert contents(folder) == {
        "stock.xlsx": NEW,
        KEPT: b"theirs",
        "stock-kept/stock-before-2026-W49 (2).xlsx": OLD,
    }


def test_a_free_name(folder: Path) -> None:
    assert free_path(folder / "new.xlsx") == folder / "new.xlsx"
    assert free_path(folder / "stock.xlsx") == folder / "stock (2).xlsx"
