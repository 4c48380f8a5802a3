"""Placing, answering and receiving, killed at any call that writes, are whole or were never there.

As for closings: every such call of the process counts, SQLite's own as well. After each kill the next command
finds sheet, ledger and lines of orders in agreement; what was done once is refused or has nothing to do, what
was not can be done.
"""

from pathlib import Path

import pytest
from killed_at import CAN_WATCH
from order_response import line, response
from order_shop import FRIDAY_BEFORE, REFERENCE, call, fine, lines, placed, planned, shop, to_come
from test_closing_killed import agrees, book_of, killed_states, litter, typed

from reconcile.ledger.files import digest

pytestmark = [
    pytest.mark.skipif(not CAN_WATCH, reason="watching system calls needs Linux on x86-64"),
    pytest.mark.slow,
]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    shop(tmp_path / "shop")
    planned(tmp_path / "shop")
    return tmp_path / "shop"


def after_each_kill(folder: Path, tmp_path: Path, done: dict, *words: object) -> tuple[int, int]:
    """How often it was killed, and how often it was done all the same; ``done``: what is then to come."""
    old, before = digest(folder / "stock.xlsx"), to_come(folder)
    name, count, was = "", 0, 0
    for copy in killed_states(folder, tmp_path, words):
        if not name:
            with book_of(tmp_path / "whole") as ledger:
                name = ledger.last().name
        count += 1
        call(FRIDAY_BEFORE, "ledger", "--in", copy)  # the next start, whatever it is
        there = agrees(copy, name, "stock.xlsx", old)
        was += there
        assert to_come(copy) == (done if there else before)
        if not there:
            fine(FRIDAY_BEFORE, *typed(words, folder, copy))
        assert to_come(copy) == done
        booked = {key: each.to_come for key, each in lines(copy).items() if each.to_come}
        assert booked == done
        assert litter(copy) == []
    return count, was


def test_placing(folder: Path, tmp_path: Path) -> None:
    done = {("PO-1", "PAN-14"): 4, (REFERENCE, "CLIP"): 20}
    words = ("orders", folder, "--placed", REFERENCE, "--replace")
    count, was = after_each_kill(folder, tmp_path, done, *words)
    assert 0 < was < count


def test_receiving(folder: Path, tmp_path: Path) -> None:
    placed(folder)
    done = {("PO-1", "PAN-14"): 4, (REFERENCE, "CLIP"): 13}
    words = ("orders", folder, "--received", REFERENCE, "--quantity", 7, "--replace")
    count, was = after_each_kill(folder, tmp_path, done, *words)
    assert 0 < was < count


def test_answering(folder: Path, tmp_path: Path) -> None:
    placed(folder)
    path = tmp_path / "answer.xml"
    path.write_bytes(response(line(1, 15, status=3, due="2026-12-04")))
    done = {("PO-1", "PAN-14"): 4, (REFERENCE, "CLIP"): 15}
    words = ("orders", folder, "--answer", path, "--post", "--replace")
    count, was = after_each_kill(folder, tmp_path, done, *words)
    assert 0 < was < count
