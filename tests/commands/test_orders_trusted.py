"""Bookings of orders bear the ledger's mark, are read back, and stop beside a ledger not their own."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from order_response import line, response
from order_shop import FRIDAY_BEFORE, REFERENCE, TUE, fine, placed, planned, refused, shop, to_come

from reconcile.ledger.book import open_ledger
from reconcile.work.marks import mark_on

LEDGER = "stock-ledger.sqlite"
CLIP = (REFERENCE, "CLIP")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    made = shop(tmp_path / "shop")
    planned(made)
    (tmp_path / "answer.xml").write_bytes(response(line(1, 15, status=3, due="2026-12-04")))
    return made


WORDS: dict[str, tuple[object, ...]] = {
    "placed": ("--placed", REFERENCE),
    "answered": ("--answer", "answer.xml", "--post"),
    "received": ("--received", REFERENCE, "--quantity", 7),
    "cancelled": ("--cancel", REFERENCE, "--quantity", 5),
    "given up": ("--cancel", REFERENCE),
}


def booking(folder: Path, kind: str) -> tuple[object, ...]:
    words = [folder.parent / word if word == "answer.xml" else word for word in WORDS[kind]]
    if kind not in ("placed", "given up"):
        placed(folder)
    return ("orders", folder, *words, "--replace")


@pytest.mark.parametrize("kind", WORDS)
def test_a_booking_of_orders_leaves_its_mark_on_the_workbook(folder: Path, kind: str) -> None:
    words = booking(folder, kind)
    fine(TUE if kind == "received" else FRIDAY_BEFORE, *words)
    with open_ledger(folder / LEDGER, create=False) as ledger:
        own, last = ledger.mark(), ledger.last()
    mark = mark_on(folder / "stock.xlsx")
    assert mark is not None
    assert (mark.identity, mark.counter) == (own.identity, own.counter)
    assert str(mark) == last.details["mark"]
    assert fine(FRIDAY_BEFORE, "ledger", "--in", folder, "--check")


def lost(folder: Path) -> None:
    (folder / LEDGER).unlink()


def emptied(folder: Path) -> None:
    (folder / LEDGER).write_bytes(b"")


def older(folder: Path) -> None:
    kept = (folder / LEDGER).read_bytes()
    fine(FRIDAY_BEFORE, "orders", folder, "--cancel", REFERENCE, "--quantity", 1, "--replace")
    (folder / LEDGER).write_bytes(kept)


def foreign(folder: Path) -> None:
    other = shop(folder.parent / "other")
    planned(other)
    placed(other)
    shutil.copy2(other / LEDGER, folder / LEDGER)


AFTER = {lost: "ledger-lost", emptied: "ledger-lost", older: "ledger-older", foreign: "ledger-foreign"}


@pytest.mark.parametrize("happened", AFTER)
def test_nothing_of_orders_is_booked_beside_a_ledger_that_is_not_its_own(
    folder: Path, happened: Callable[[Path], None]
) -> None:
    placed(folder)
    happened(folder)
    sheet, reports = (folder / "stock.xlsx").read_bytes(), sorted((folder / "reports").iterdir())
    answer = folder.parent / "answer.xml"
    for words in (
        ("--placed", "all"), ("--answer", answer, "--post"), ("--received", REFERENCE),
        ("--cancel", REFERENCE), ("--send-back", f"{REFERENCE}/1", "--quantity", 1, "--reason", "bent"),
    ):  # fmt: skip
        assert AFTER[happened] in refused(FRIDAY_BEFORE, "orders", folder, *words, "--replace")
    assert (folder / "stock.xlsx").read_bytes() == sheet
    assert sorted((folder / "reports").iterdir()) == reports


@pytest.mark.parametrize("happened", [lost, foreign])
def test_who_lists_orders_is_told(folder: Path, happened: Callable[[Path], None]) -> None:
    from order_shop import call

    placed(folder)
    happened(folder)
    for words in ((), ("--record",)):
        answer = call(FRIDAY_BEFORE, "orders", folder, *words)
        assert AFTER[happened] in answer.output + answer.stderr


def test_a_ledger_begun_anew_opens_the_lines_of_the_sheet(folder: Path) -> None:
    placed(folder)
    lost(folder)
    fine(FRIDAY_BEFORE, "begin-ledger", "--in", folder, "--replace")
    assert to_come(folder)[CLIP] == 20
    fine(TUE, "orders", folder, "--received", REFERENCE, "--quantity", 7, "--replace")
    assert to_come(folder)[CLIP] == 13
    assert "order-placed-already" in refused(TUE, "orders", folder, "--placed", REFERENCE, "--replace")
