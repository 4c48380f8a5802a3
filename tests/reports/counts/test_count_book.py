"""Count sheets as workbooks: what stands on them, what a blind one hides, and that they come back whole."""

from fractions import Fraction

import openpyxl
import pytest
from count_cases import RULES, TODAY, part, stock

from reconcile.plan.counting.sheets import check_code, classes, count_sheet, lines_of
from reconcile.reports.counts.book import FIRST_ROW, HEADING_ROW, count_name, write_count_book
from reconcile.sheets.counts.rows import read_count
from reconcile.sheets.files.books import open_book
from reconcile.values.settings import Settings
from reconcile.values.stock.counting import TURN, UNLIKELY, Pick, Reason

WHY = (Reason(UNLIKELY, "the book says 2.5 each, no whole number"),)
SHELVES = stock(
    part("00417", ("B-10", 7), description="=1+1"),
    part("1E5", ("B-2", "2.5"), ("", 4)),
    part("TL-MED", ("C1", 30), unit="mL"),
)


def of_shelves(**given):
    known = classes(SHELVES, RULES, TODAY)
    chosen = [
        Pick(each, known[each.number].name, WHY if each.number == "1E5" else (Reason(TURN, "its turn"),))
        for each in SHELVES.parts.values()
    ]
    return count_sheet(lines_of(chosen), "2026-W49", "d" * 64, **given)


def written(tmp_path, country="", **given):
    path = tmp_path / "count-2026-W49.xlsx"
    write_count_book(of_shelves(**given), country, path)
    return path


def rows_of(path):
    """Heading to cell, line by line."""
    page = openpyxl.load_workbook(path)["Count"]
    headings = [cell.value for cell in page[HEADING_ROW]]
    return [
        {name: cell.value for name, cell in zip(headings, row, strict=True)}
        for row in page.iter_rows(min_row=FIRST_ROW)
    ]


def test_lines_stand_along_the_shelves_and_what_is_first_at_the_top(tmp_path):
    rows = rows_of(written(tmp_path))
    assert [(each["first"], each["bin"], each["part"]) for each in rows] == [
        ("first", "B-2", "1E5"),
        ("first", None, "1E5"),
        (None, "B-10", "00417"),
        (None, "C1", "TL-MED"),
    ]
    assert [each["unit"] for each in rows] == ["each", "each", "each", "mL"]


def test_a_blind_sheet_tells_neither_book_nor_reason(tmp_path):
    rows = rows_of(written(tmp_path))
    assert not {"book", "why", "class"} & set(rows[0])
    assert all(str(value) not in ("2.5", "7", "30") for each in rows for value in each.values())
    assert rows[0]["check"] == check_code("1E5", "B-2", Fraction("2.5"))


def test_an_open_sheet_tells_both(tmp_path):
    rows = rows_of(written(tmp_path, blind=False))
    assert [each["book"] for each in rows] == [2.5, 4, 7, 30]
    assert rows[0]["why"] == WHY[0].says
    assert rows[0]["class"] == "C"


def test_text_stays_text_and_what_is_filled_in_will(tmp_path):
    page = openpyxl.load_workbook(written(tmp_path))["Count"]
    row = next(each for each in page.iter_rows(min_row=FIRST_ROW) if each[2].value == "00417")
    assert (row[3].value, row[3].data_type) == ("=1+1", "s")
    assert [cell.number_format for cell in row] == ["@"] * len(row)


@pytest.mark.parametrize(("country", "paper"), [("", 9), ("CH", 9), ("us", 1)])
def test_it_prints_one_page_wide_with_its_headings(tmp_path, country, paper):
    page = openpyxl.load_workbook(written(tmp_path, country))["Count"]
    assert page.page_setup.paperSize == paper
    assert 81 <= page.page_setup.scale <= 100, "of letters of 10 points"
    assert page.print_title_rows == f"${HEADING_ROW}:${HEADING_ROW}"
    assert min(page.row_dimensions[row].height for row in range(FIRST_ROW, FIRST_ROW + 4)) >= 30


def test_an_empty_bin_is_ticked_from_a_drop_down(tmp_path):
    page = openpyxl.load_workbook(written(tmp_path))["Count"]
    (check,) = page.data_validations.dataValidation
    assert str(check.sqref) == "G9:G12"
    assert page[f"G{HEADING_ROW}"].value == "empty bin seen"


@pytest.mark.parametrize("blind", [True, False])
def test_it_comes_back_as_it_went_out(tmp_path, blind):
    sheet = of_shelves(blind=blind)
    path = written(tmp_path, blind=blind)
    read = read_count(open_book(path), SHELVES, Settings(), "2026-W49")
    assert read.back.mark == sheet.mark
    assert [(each.part, each.bin, each.check) for each in read.back.rows] == [
        (*each.key, each.check) for each in sheet.lines
    ]
    assert {each.code for each in read.problems} == {"count-blank"}


def test_names_of_sheets():
    names = [count_name("2026-W49", again) for again in range(3)]
    assert names == ["count-2026-W49.xlsx", "recount-2026-W49.xlsx", "recount-2026-W49-3.xlsx"]


def test_a_sheet_without_lines_is_written_whole(tmp_path):
    path = tmp_path / "count.xlsx"
    write_count_book(count_sheet([], "2026-W49", "d" * 64), "", path)
    page = openpyxl.load_workbook(path)["Count"]
    assert page["A1"].value == "Count sheet, week 2026-W49: 0 lines"
