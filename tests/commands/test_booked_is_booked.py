"""From the end of the ledger's transaction on a closing is booked, and whatever then fails is told as that.

Each call of the disk fails in turn. What the ledger has afterwards and what was said must agree: either
nothing was written, or *booked; what is left is finished by the next run*.
"""

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from closing_shop import WEEKS, all_done, call, copied, fine, on_hand, returns_of, shop
from faulty_disk import BROKEN, FORBIDDEN, FULL, Disk, faulty
from quick_disk import quick_folder

from reconcile.ledger.book import open_ledger

W49 = WEEKS[0]
LEDGER = "stock-ledger.sqlite"
FAULTS = (FULL, BROKEN, FORBIDDEN)


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


def closings(folder: Path) -> list[str]:
    ledger = open_ledger(folder / LEDGER, create=False)
    if ledger is None:
        return []
    with ledger:
        return [each.name for each in ledger.closings()]


def tried(folder: Path, tmp_path: Path, words: tuple[object, ...], *, lasting: bool) -> tuple[int, int]:
    """Every call of the disk fails once, or all from one on; how often it was tried, and was booked."""
    before = closings(folder)

    def typed(copy: Path) -> list[object]:
        return [copy if word == folder else word for word in words]

    with faulty(Disk(sys.maxsize, FULL)) as disk:
        assert call(*typed(copied(folder, tmp_path / "whole"))).exit_code == 0
    booked = 0
    for number in range(1, len(disk.calls) + 1):
        copy = copied(folder, tmp_path / "copy")
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)):
            answer = call(*typed(copy))
        said = f"call {number}, {disk.calls[number - 1]}: {answer.output}"
        told = " ".join(answer.output.split())
        assert answer.exit_code in (0, 2), said
        if closings(copy) == before:
            assert answer.exit_code == 2, said
            assert "is booked" not in told, said
        else:
            booked += 1
            assert answer.exit_code == 0, said
            assert "is booked" in told, said
            assert "Nothing was written" not in told, said
            if not on_hand_is_booked(copy):
                assert "inished by the next run" in told, said
            fine("ledger", "--in", copy, "--check")
            assert on_hand_is_booked(copy), said
    return len(disk.calls), booked


def on_hand_is_booked(folder: Path) -> bool:
    with open_ledger(folder / LEDGER, create=False) as ledger:
        balances = ledger.balances()
    return {
        key: value for key, value in on_hand(folder / "stock.xlsx").items() if key in balances
    } == balances


LASTING = pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])


@pytest.mark.slow
@LASTING
def test_a_closing(folder: Path, tmp_path: Path, lasting: bool) -> None:
    calls, booked = tried(folder, tmp_path, ("close", folder, "--week", W49, "--replace"), lasting=lasting)
    assert calls > booked > 5


@pytest.mark.slow
@LASTING
def test_a_closing_written_back(folder: Path, tmp_path: Path, lasting: bool) -> None:
    fine("close", folder, "--week", W49, "--replace")
    calls, booked = tried(
        folder, tmp_path, ("ledger", "--in", folder, "--undo", W49, "--replace"), lasting=lasting
    )
    assert calls > booked > 5


@pytest.mark.slow
@LASTING
def test_a_ledger_begun_anew(folder: Path, tmp_path: Path, lasting: bool) -> None:
    """Here it is the rename of the new ledger that counts; before it there is none."""
    fine("close", folder, "--week", W49, "--replace")
    (folder / LEDGER).unlink()
    with faulty(Disk(sys.maxsize, FULL)) as disk:
        assert call("begin-ledger", "--in", copied(folder, tmp_path / "whole"), "--replace").exit_code == 0
    begun = 0
    for number in range(1, len(disk.calls) + 1):
        copy = copied(folder, tmp_path / "copy")
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)):
            answer = call("begin-ledger", "--in", copy, "--replace")
        said = f"call {number}, {disk.calls[number - 1]}: {answer.output}"
        there = closings(copy)
        begun += bool(there)
        assert answer.exit_code == (0 if there else 2), said
        assert ("Nothing was written" in " ".join(answer.output.split())) == (not there), said
        if there:
            fine("ledger", "--in", copy, "--check")
        else:
            fine("begin-ledger", "--in", copy, "--replace")
        assert [each.name for each in copy.iterdir() if each.name.startswith(".reconcile")] == [], said
    assert len(disk.calls) > begun > 5


def test_a_fault_of_the_ledger_at_its_very_end_is_looked_into(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The transaction ends and the disk complains all the same: the file says whether it is booked."""
    from reconcile.ledger import book
    from reconcile.values.problem import Place, Unusable, problem

    real = book.Ledger.held

    def complaining(ledger):
        from contextlib import contextmanager

        @contextmanager
        def held():
            with real(ledger):
                yield
            raise Unusable(problem("output-locked", Place("stock-ledger.sqlite"), "disk I/O error."))

        return held()

    with monkeypatch.context() as patch:
        patch.setattr(book.Ledger, "held", complaining)
        answer = call("close", folder, "--week", W49, "--replace")
    assert answer.exit_code == 0, answer.output
    assert "2026-W49 is booked" in " ".join(answer.output.split())
    fine("ledger", "--in", folder, "--check")
