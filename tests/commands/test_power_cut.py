"""After a power cut at any moment the books agree: the week is closed in both workbook and ledger, or in neither.

Writes that were not waited for are dropped, or come to the disk in another order; see ``power_cut.py``.
"""  # noqa: E501

import contextlib
import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from closing_shop import WEEKS, all_done, call, copied, fine, on_hand, returns_of, shop
from killed_at import CAN_WATCH, laid_out
from power_cut import cut_states
from quick_disk import quick_folder

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.ledger.files import digest

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CAN_WATCH, reason="watching system calls needs Linux on x86-64"),
]
W49 = WEEKS[0]
TRIED_AGAIN = 8
"""After every cut the books agree; after each eighth the work is done again as well."""
LEDGER = "stock-ledger.sqlite"


@pytest.fixture
def tmp_path() -> Iterator[Path]:
    with quick_folder() as made:
        yield made


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    shop(tmp_path / "shop")
    all_done(returns_of(tmp_path / "shop", W49))
    return tmp_path / "shop"


def states(folder: Path, tmp_path: Path, *words: object) -> Iterator[Path]:
    fine(*(copied(folder, tmp_path / "whole") if word == folder else word for word in words))
    run = copied(folder, tmp_path / "run")

    def work() -> None:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            typed = [str(run if word == folder else word) for word in words]
            app([*typed, "--today", "2026-11-27"], standalone_mode=False)

    found = cut_states(work, run)
    assert len(found) > 20
    for files in found:
        yield laid_out(files, tmp_path / "copy")


def books_agree(folder: Path, old: str) -> bool:
    """Whether anything is booked; fails unless workbook and ledger say the same."""
    ledger = open_ledger(folder / LEDGER, create=False)
    last = ledger.last() if ledger else None
    if ledger is None or last is None:
        assert digest(folder / "stock.xlsx") == old
        return False
    with ledger:
        assert ledger.audit() == []
        booked = ledger.balances()
        assert digest(folder / "stock.xlsx") in (old, last.new_workbook)
    if digest(folder / "stock.xlsx") == last.new_workbook:
        there = on_hand(folder / "stock.xlsx")
        assert {key: there[key] for key in booked} == booked
    return True


def test_a_closing(folder: Path, tmp_path: Path) -> None:
    old, count, done = digest(folder / "stock.xlsx"), 0, 0
    for copy in states(folder, tmp_path, "close", folder, "--week", W49, "--replace"):
        count += 1
        call("ledger", "--in", copy)
        booked = books_agree(copy, old)
        done += booked
        if count % TRIED_AGAIN:
            continue
        again = call("close", copy, "--week", W49, "--replace")
        assert again.exit_code == (2 if booked else 0), again.output
        fine("ledger", "--in", copy, "--check")
        assert any(digest(each) == old for each in (copy / "stock-kept").iterdir())
    assert 0 < done < count


def test_a_closing_written_back(folder: Path, tmp_path: Path) -> None:
    fine("close", folder, "--week", W49, "--replace")
    old = digest(folder / "stock.xlsx")
    for count, copy in enumerate(
        states(folder, tmp_path, "ledger", "--in", folder, "--undo", W49, "--replace")
    ):
        call("ledger", "--in", copy)
        assert books_agree(copy, old)
        if count % TRIED_AGAIN:
            continue
        again = call("ledger", "--in", copy, "--undo", W49, "--replace")
        assert again.exit_code in (0, 2), again.output
        fine("ledger", "--in", copy, "--check")
        fine("close", copy, "--week", W49, "--replace")


def test_a_ledger_begun_anew(folder: Path, tmp_path: Path) -> None:
    fine("close", folder, "--week", W49, "--replace")
    (folder / LEDGER).write_bytes(b"")
    old = digest(folder / "stock.xlsx")
    for count, copy in enumerate(states(folder, tmp_path, "begin-ledger", "--in", folder, "--replace")):
        call("ledger", "--in", copy)
        books_agree(copy, old)
        if count % TRIED_AGAIN:
            continue
        again = call("begin-ledger", "--in", copy, "--replace")
        assert again.exit_code in (0, 2), again.output
        fine("ledger", "--in", copy, "--check")
        assert "week-closed" in call("close", copy, "--week", W49, "--replace").stderr
