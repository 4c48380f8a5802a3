"""Closing, looking into the ledger and undoing, as values: nothing is printed, all is there to tell."""

from datetime import date
from pathlib import Path

import pytest
from closing_shop import all_done, on_hand, returns_of, shop

from reconcile.sheets.finding import located
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.work.entries.closing import book_closing, prepare_closing
from reconcile.work.entries.undoing import undo
from reconcile.work.ledger import card_of, check_ledger, closings_of, open_there


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A shop whose first week is planned, with a returns workbook that has all its jobs as done."""
    folder = shop(tmp_path / "shop")
    all_done(returns_of(folder, "2026-W49"))
    return folder


def request_of(folder: Path) -> Request:
    return Request(folder, today=date(2026, 12, 4))


def test_preparing_books_nothing_and_says_what_would_be(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(folder.iterdir())
    prepared = prepare_closing(request_of(folder), who="clerk")
    assert (prepared.posting.closing.name, prepared.posting.closing.who) == ("2026-W49", "clerk")
    assert sorted(folder.iterdir()) == before
    assert capsys.readouterr() == ("", "")


def test_a_closing_is_booked_looked_up_checked_and_written_back(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = on_hand(folder / "stock.xlsx")
    closed = book_closing(prepare_closing(request_of(folder), who="clerk"), in_place=True)
    assert closed.posting.closing.name == "2026-W49"
    assert (closed.posted.changed, closed.posted.workbook) == (True, folder / "stock.xlsx")
    assert on_hand(folder / "stock.xlsx") != before
    places = located(request_of(folder))
    there = open_there(places)
    with there.book as book:
        assert "2026-W49" in [closing.name for closing in closings_of(book)]
        assert card_of("CLIP", book)
        with pytest.raises(Unusable) as refused:
            card_of("CLIPS", book)
    assert "Nearest: CLIP" in refused.value.problems[0].says
    assert check_ledger(places).found == ()
    undone = undo("2026-W49", places, "clerk", in_place=True)
    assert undone.posting.closing.undoes == "2026-W49"
    assert on_hand(folder / "stock.xlsx") == before
    assert check_ledger(places).found == ()
    assert capsys.readouterr() == ("", "")


def test_without_a_ledger_there_is_nothing_to_open(folder: Path) -> None:
    with pytest.raises(Unusable) as refused:
        open_there(located(request_of(folder)))
    assert [fault.code for fault in refused.value.problems] == ["file-missing"]
