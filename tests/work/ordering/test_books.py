"""Order workbooks found and read back: the same whoever saved them, and what a buyer changed of them."""

import shutil
import subprocess
from fractions import Fraction
from pathlib import Path

import pytest
from order_shop import FRIDAY_BEFORE, REFERENCE, edited, order_sheet, placed, planned, quantity, shop

from reconcile.sheets.orders.written import read_order_book
from reconcile.values.orders.seals import seal_of, told
from reconcile.values.orders.written import QUANTITY, STRUCK
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Stock
from reconcile.work.ordering.books import earlier_unplaced, kept_back, order_books


@pytest.fixture(scope="module")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = shop(tmp_path_factory.mktemp("books") / "shop")
    planned(folder)
    return folder


@pytest.fixture
def folder(made_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made_once, tmp_path / "shop"))


def book_of(folder: Path) -> Path:
    return folder / "reports" / "order-2026-W49.xlsx"


def read(folder: Path):
    return read_order_book(book_of(folder), Settings(), Stock())


def test_a_workbook_that_nobody_touched_says_what_was_written(folder: Path) -> None:
    (order,) = read(folder).orders
    assert (order.reference, order.supplier, order.currency, order.written) == (
        REFERENCE, "NORD", "EUR", FRIDAY_BEFORE,
    )  # fmt: skip
    assert (order.edited, order.changes) == (False, ())
    (line,) = order.lines
    assert (line.line, line.part, line.quantity, str(line.price)) == ("1", "CLIP", 20, "0.1")


def test_a_workbook_that_was_only_saved_again_is_not_edited(folder: Path) -> None:
    opened, *_ = order_sheet(book_of(folder))
    opened.save(book_of(folder))
    assert not read(folder).edited


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("soffice") is None, reason="no spreadsheet program is there")
def test_a_workbook_that_a_spreadsheet_program_saved_is_read_the_same(folder: Path, tmp_path: Path) -> None:
    edited(book_of(folder), quantity("CLIP", 40))
    before = read(folder)
    subprocess.run(
        ["soffice", "--headless", f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}",
         "--convert-to", "xlsx", "--outdir", str(tmp_path), str(book_of(folder))],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    shutil.copy(tmp_path / "order-2026-W49.xlsx", book_of(folder))
    assert read(folder) == before
    assert [(each.what, each.before, each.after) for each in before.orders[0].changes] == [(QUANTITY, 20, 40)]


def test_a_remark_in_any_cell_is_an_edit(folder: Path) -> None:
    edited(book_of(folder), lambda page, columns, rows: page.cell(rows["CLIP"], 16, "ask for red ones"))
    assert read(folder).edited
    assert kept_back(book_of(folder), frozenset(), Settings(), Stock())
    assert not kept_back(book_of(folder), frozenset({REFERENCE.casefold()}), Settings(), Stock())


def test_a_row_that_is_gone_is_struck_out(folder: Path) -> None:
    edited(book_of(folder), lambda page, columns, rows: page.delete_rows(rows["CLIP"]))
    (order,) = read(folder).orders
    assert [(each.what, each.before) for each in order.changes] == [(STRUCK, 20)]


def test_workbooks_are_told_from_what_is_sent(folder: Path) -> None:
    placed(folder)
    assert [each.path.name for each in order_books(folder / "reports")] == ["order-2026-W49.xlsx"]


def test_orders_of_earlier_weeks_are_found_until_they_are_old(folder: Path) -> None:
    def found(day: str) -> list[str]:
        from datetime import date

        today = date.fromisoformat(day)
        orders = earlier_unplaced(folder / "reports", "2026-W50", today, frozenset(), Settings(), Stock())
        return [order.reference for order in orders]

    assert found("2026-12-07") == [REFERENCE]
    assert found("2027-03-01") == []


@pytest.mark.parametrize(
    ("one", "other"),
    [(Fraction(1, 10), 0.1), (FRIDAY_BEFORE, "2026-11-27"), (" a  b ", "a b"), (None, ""), (20, 20.0)],
)
def test_a_seal_knows_values_and_not_how_they_are_kept(one: object, other: object) -> None:
    assert told(one) == told(other)
    assert seal_of([one, "x"]) == seal_of(["x"] if one is None else [other, "x"])
