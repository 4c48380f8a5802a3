"""A run that is killed at any call leaves whole files, and can be run again: counts, the demo, blanks.

Every call that writes, syncs, renames or removes, as for what is closed and held.
"""

import contextlib
import io
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from closing_shop import WEEKS, call, copied, fine, on_hand, shop
from killed_at import CAN_WATCH, laid_out, lying_in, states_of
from quick_disk import quick_folder
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.work.workshop.blanks import write_blank
from reconcile.work.workshop.demo import copy_demo

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CAN_WATCH, reason="watching system calls needs Linux on x86-64"),
]
SHEET = f"count-{WEEKS[0]}.xlsx"


@pytest.fixture
def tmp_path() -> Iterator[Path]:
    with quick_folder() as made:
        yield made


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


def killed(do: Callable[[], object], run: Path, tmp_path: Path) -> Iterator[Path]:
    """The folder of a run as a kill at each call leaves it."""
    run.mkdir(exist_ok=True)

    def work() -> None:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            do()

    states, calls = states_of(work, run)
    assert calls >= len(states) > 5
    for files in states:
        yield laid_out(files, tmp_path / "copy")


def count_one_clip_less(sheet: Path) -> None:
    book = openpyxl.load_workbook(sheet)
    page = book["Count"]
    column = {cell.value: cell.column for cell in page[8]}
    for row in range(9, page.max_row + 1):
        if page.cell(row, column["bin"]).value == "A2":  # 40 in the book; within the tolerance of class C
            page.cell(row, column["counted"]).value = 39
            page.cell(row, column["counted by"]).value = "KM"
    book.save(sheet)


def test_a_count(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    with (folder / "reconcile.toml").open("a") as settings:
        settings.write("[counting]\ntimes = { A = 53, B = 53, C = 53 }\n")
    fine("count", folder, "--week", WEEKS[0])
    count_one_clip_less(folder / "reports" / SHEET)
    before, run = on_hand(folder / "stock.xlsx"), copied(folder, tmp_path / "run")

    def words(place: Path) -> list[str]:
        sheet = str(place / "reports" / SHEET)
        return ["count", str(place), "--read", sheet, "--post", "--replace", "--today", "2026-11-27"]

    assert typed(*words(copied(folder, tmp_path / "whole"))).exit_code == 0
    after = on_hand(tmp_path / "whole" / "stock.xlsx")
    assert after != before
    found = set()
    for copy in killed(lambda: app(words(run), standalone_mode=False), run, tmp_path):
        call("ledger", "--in", copy)  # the next start, whatever it is
        posted = on_hand(copy / "stock.xlsx") == after
        found.add(posted)
        assert posted or on_hand(copy / "stock.xlsx") == before
        answer = typed(*words(copy))
        assert answer.exit_code in (0, 1), answer.output
        assert on_hand(copy / "stock.xlsx") == after
        with open_ledger(copy / "stock-ledger.sqlite") as ledger:
            assert ledger.audit() == []
            assert len([closing for closing in ledger.closings() if closing.kind == "count"]) == 1
    assert found == {False, True}


def make_demo(folder: Path, *, force: bool = False) -> None:
    copy_demo(folder, force)


def make_blanks(folder: Path, *, force: bool = False) -> None:
    write_blank(folder, None, date(2026, 11, 27), force)


@pytest.mark.parametrize("make", [make_demo, make_blanks])
def test_new_files_are_whole_or_not_there_and_the_same_work_makes_them_all(
    make: Callable[..., None], tmp_path: Path
) -> None:
    run, whole = tmp_path / "run", tmp_path / "whole" / "shop"
    whole.parent.mkdir()
    make(whole)
    good = lying_in(whole)
    for copy in killed(lambda: make(run / "shop"), run, tmp_path):
        there = lying_in(copy / "shop") if (copy / "shop").exists() else {}
        named = {name for name in there if not Path(name).name.startswith(".")}
        assert named <= good.keys()
        assert [name for name in named if not same(there[name], good[name], name)] == []
        make(copy / "shop", force=True)
        assert lying_in(copy / "shop").keys() == good.keys()
        assert [path.name for path in copy.iterdir()] == ["shop"]


def typed(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


def same(data: bytes, good: bytes, name: str) -> bool:
    """Workbooks carry the time at which they were made: those are held by what is in their cells."""
    if not name.endswith(".xlsx") or data == good:
        return data == good
    return cells(data) == cells(good)


def cells(data: bytes) -> list[list[list[object]]]:
    book = openpyxl.load_workbook(io.BytesIO(data))
    return [[[cell.value for cell in row] for row in page] for page in book]
