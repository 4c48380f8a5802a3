"""A run that is killed at any call that writes, syncs, renames or removes has booked all of it, or nothing.

Every such call of the process counts, SQLite's own as well, for every command that writes into the ledger.
What lies on the disk at each call is kept (each different state once). From there the next command must find
workbook, ledger and the record of the closing in agreement, and the work can be done, or is done, once.
"""

import contextlib
import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from closing_shop import WEEKS, all_done, call, copied, fine, on_hand, returns_of, shop
from killed_at import CAN_WATCH, laid_out, states_of
from quick_disk import quick_folder

from reconcile.cli import app
from reconcile.ledger.book import Ledger, open_ledger
from reconcile.ledger.files import digest

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CAN_WATCH, reason="watching system calls needs Linux on x86-64"),
]
W49 = WEEKS[0]
LEDGER = "stock-ledger.sqlite"
Words = tuple[object, ...]


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


def typed(words: Words, folder: Path, copy: Path) -> list[str]:
    return [str(copy if word == folder else word) for word in words]


def killed_states(folder: Path, tmp_path: Path, words: Words) -> Iterator[Path]:
    """The folder as a kill at each call leaves it; a run in which nothing is killed came before."""
    fine(*typed(words, folder, copied(folder, tmp_path / "whole")))
    run = copied(folder, tmp_path / "run")

    def work() -> None:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            app([*typed(words, folder, run), "--today", "2026-11-27"], standalone_mode=False)

    states, calls = states_of(work, run)
    assert calls >= len(states) > 5
    for files in states:
        yield laid_out(files, tmp_path / "copy")


def book_of(folder: Path) -> Ledger | None:
    return open_ledger(folder / LEDGER, create=False)


def litter(folder: Path) -> list[str]:
    return [each.name for each in folder.iterdir() if each.name.startswith(".reconcile")]


def content_of(folder: Path) -> tuple[tuple[str, str], ...]:
    """Every file, with the digest of its bytes."""
    return tuple((str(path), digest(path)) for path in sorted(folder.rglob("*")) if path.is_file())


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
        booked = ledger.balances()
        assert {key: value for key, value in on_hand(folder / target).items() if key in booked} == booked
    return True


def finished_after_each_kill(folder: Path, tmp_path: Path, target: str, words: Words, again: int = 2) -> None:
    """From each state the next start finishes it or finds nothing of it; ``again``: the status if it is done."""  # noqa: E501
    old, count, done, whole, name = digest(folder / "stock.xlsx"), 0, 0, {}, ""
    settled: dict[tuple[tuple[str, str], ...], bool] = {}
    for copy in killed_states(folder, tmp_path, words):
        if not name:
            with book_of(tmp_path / "whole") as ledger:
                name, whole = ledger.last().name, ledger.balances()
        count += 1
        call("ledger", "--in", copy)  # the next start, whatever it is
        # Most states come to the same, byte for byte, and from there all goes as it went before.
        if (content := content_of(copy)) in settled:
            done += settled[content]
            continue
        was_done = settled[content] = agrees(copy, name, target, old)
        done += was_done
        answer = call(*typed(words, folder, copy))
        assert answer.exit_code == (again if was_done else 0), answer.output
        assert agrees(copy, name, target, old)
        with book_of(copy) as ledger:
            assert ledger.balances() == whole
        assert litter(copy) == []
    assert 0 < done < count


@pytest.mark.parametrize(
    ("target", "more"),
    [(f"stock-after-{W49}.xlsx", ()), ("stock.xlsx", ("--replace",))],
    ids=["beside", "in place"],
)
def test_a_first_closing(folder: Path, tmp_path: Path, target: str, more: tuple) -> None:
    finished_after_each_kill(folder, tmp_path, target, ("close", folder, "--week", W49, *more))


def test_a_second_closing(folder: Path, tmp_path: Path) -> None:
    fine("close", folder, "--week", W49, "--replace")
    all_done(returns_of(folder, WEEKS[1]))
    finished_after_each_kill(
        folder, tmp_path, "stock.xlsx", ("close", folder, "--week", WEEKS[1], "--replace")
    )


def test_a_closing_written_back(folder: Path, tmp_path: Path) -> None:
    fine("close", folder, "--week", W49, "--replace")
    words = ("ledger", "--in", folder, "--undo", W49, "--replace")
    finished_after_each_kill(folder, tmp_path, "stock.xlsx", words)


@pytest.mark.parametrize("lost", ["gone", "empty", "older"])
def test_a_ledger_begun_anew(folder: Path, tmp_path: Path, lost: str) -> None:
    """Before the new ledger is in its place nothing is begun; after it, it is finished by whoever comes."""
    fine("close", folder, "--week", W49, "--replace")
    if lost == "older":
        first = (folder / LEDGER).read_bytes()
        all_done(returns_of(folder, WEEKS[1]))
        fine("close", folder, "--week", WEEKS[1], "--replace")
        (folder / LEDGER).write_bytes(first)
    elif lost == "empty":
        (folder / LEDGER).write_bytes(b"")
    else:
        (folder / LEDGER).unlink()
    week = WEEKS[1] if lost == "older" else W49
    finished_after_each_kill(folder, tmp_path, "stock.xlsx", ("begin-ledger", "--in", folder, "--replace"))
    assert "week-closed" in call("close", tmp_path / "copy", "--week", week, "--replace").stderr


HOLD = (
    "check",
    "J-900",
    "--frame",
    "ZB-1",
    "--from",
    "10 in",
    "--to",
    "11 in",
    "--date",
    "2026-12-03",
    "--hold",
)


@pytest.mark.parametrize("more", [(), ("--into-jobs",)], ids=["held", "into the jobs workbook"])
def test_a_hold(folder: Path, tmp_path: Path, more: tuple) -> None:
    before = (folder / "jobs.xlsx").read_bytes()
    for copy in killed_states(folder, tmp_path, (*HOLD, "--in", folder, *more)):
        jobs = (copy / "jobs.xlsx").read_bytes()
        assert jobs == before or "J-900" in fine("week", copy, "--week", W49, "--dry-run", "--json")
        answer = call(*HOLD, "--in", copy, *more)
        assert answer.exit_code in (0, 2), answer.output  # held already, or planned already
        assert "J-900" in fine("week", copy, "--week", W49, "--dry-run", "--json")
        ledger = book_of(copy)
        assert ledger is not None
        with ledger:
            held = sum(hold.row.job == "J-900" for hold in ledger.holds())
            # Stopped when the row was written and the hold was not yet: then the row alone counts.
            assert held == 1 or (held == 0 and (copy / "jobs.xlsx").read_bytes() != before)
            assert ledger.audit() == []


def test_a_release(folder: Path, tmp_path: Path) -> None:
    fine(*HOLD, "--in", folder)
    for copy in killed_states(folder, tmp_path, ("ledger", "--in", folder, "--release", "J-900")):
        call("ledger", "--in", copy, "--release", "J-900")
        with book_of(copy) as ledger:
            assert [hold.stands for hold in ledger.holds()] == [False]
            assert ledger.audit() == []
