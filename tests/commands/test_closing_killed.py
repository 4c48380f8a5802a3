"""A closing that is killed at any call that writes, syncs, renames or removes is whole or was never there.

Every such call of the process counts, SQLite's own as well. After each kill the next command must find
workbook, ledger and the record of the closing in agreement, and the closing can be done, or is done, once.
"""

import contextlib
import io
from pathlib import Path

import pytest
from closing_shop import WEEKS, all_done, call, copied, fine, on_hand, returns_of, shop
from killed_at import CAN_WATCH, run_killed

from reconcile.cli import app
from reconcile.ledger.book import Ledger, open_ledger
from reconcile.ledger.files import digest

pytestmark = pytest.mark.skipif(not CAN_WATCH, reason="watching system calls needs Linux on x86-64")
W49 = WEEKS[0]
LEDGER = "stock-ledger.sqlite"
MOST = 1000


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    shop(tmp_path / "shop")
    all_done(returns_of(tmp_path / "shop", W49))
    return tmp_path / "shop"


def killed(folder: Path, at: int, *words: object) -> list[str] | None:
    typed = [*map(str, words), "--today", "2026-11-27"]

    def work() -> None:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            app(typed, standalone_mode=False)

    return run_killed(work, at)


def kill_points(folder: Path, tmp_path: Path, *words: object):
    """A copy of the folder for each call at which the command was killed, just after it."""
    for at in range(1, MOST):
        copy = copied(folder, tmp_path / "copy")
        typed = [copy if word == folder else word for word in words]
        if killed(copy, at, *typed) is not None:
            return
        yield at, copy, typed


def book_of(folder: Path) -> Ledger | None:
    return open_ledger(folder / LEDGER, create=False)


def litter(folder: Path) -> list[str]:
    return [each.name for each in folder.iterdir() if each.name.startswith(".reconcile")]


def agrees(folder: Path, name: str, target: str, old: str) -> bool:
    """Whether the closing is there; fails unless workbook, ledger and record say the same."""
    ledger = book_of(folder)
    closing = ledger.last() if ledger else None
    if ledger is None or closing is None or closing.name != name:
        assert digest(folder / "stock.xlsx") == old
        assert target == "stock.xlsx" or not (folder / target).exists()
        return False
    with ledger:
        assert ledger.unfinished() is None
        assert ledger.audit() == []
        assert digest(folder / target) == closing.new_workbook
        assert target != "stock.xlsx" or digest(folder / closing.kept) == old
        assert on_hand(folder / target) == ledger.balances()
    return True


def finished_after_each_kill(folder: Path, tmp_path: Path, target: str, *words: object) -> tuple[int, int]:
    """How often the command was killed, and how often it turned out to have been done."""
    old, count, done = digest(folder / "stock.xlsx"), 0, 0
    copy = copied(folder, tmp_path / "whole")
    fine(*(copy if word == folder else word for word in words))
    name = book_of(copy).last().name  # type: ignore[union-attr]
    whole = book_of(copy).balances()  # type: ignore[union-attr]
    for _, copy, typed in kill_points(folder, tmp_path, *words):
        count += 1
        call("ledger", "--in", copy)  # the next start, whatever it is
        was_done = agrees(copy, name, target, old)
        done += was_done
        again = call(*typed)
        assert again.exit_code == (2 if was_done else 0), again.output
        assert agrees(copy, name, target, old)
        with book_of(copy) as ledger:
            assert ledger.balances() == whole
        assert litter(copy) == []
    return count, done


KILLS: dict[str, int] = {}


@pytest.mark.slow
@pytest.mark.parametrize(
    ("how", "target", "more"),
    [("beside", f"stock-after-{W49}.xlsx", ()), ("in place", "stock.xlsx", ("--replace",))],
)
def test_a_first_closing(folder: Path, tmp_path: Path, how: str, target: str, more: tuple) -> None:
    count, done = finished_after_each_kill(folder, tmp_path, target, "close", folder, "--week", W49, *more)
    KILLS[how] = count
    assert 0 < done < count


@pytest.mark.slow
def test_a_closing_written_back(folder: Path, tmp_path: Path) -> None:
    fine("close", folder, "--week", W49, "--replace")
    words = ("ledger", "--in", folder, "--undo", W49, "--replace")
    count, done = finished_after_each_kill(folder, tmp_path, "stock.xlsx", *words)
    KILLS["undo"] = count
    assert 0 < done < count
    assert sum(KILLS.values()) >= 200 or len(KILLS) < 3, KILLS
