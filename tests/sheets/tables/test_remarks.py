"""What is said of a sheet as a whole, and of cells that are not what they read as, once each."""

from datetime import date, datetime, time
from pathlib import Path

import openpyxl
import pytest
import xlsb_book as xlsb
from books import csv_file, flat

from reconcile.sheets.files.books import open_book
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.stock.workbook import read_stock
from reconcile.sheets.tables.remarks import rows_text
from reconcile.values.days import Period
from reconcile.values.problem import Problem
from reconcile.values.settings import Settings

TODAY = date(2026, 11, 27)
WORKBOOKS = Path(__file__).resolve().parents[2] / "cases" / "workbooks"
HEADINGS = ("part", "on hand", "unit", "bin")
JOB_HEADINGS = ("job", "date", "frame", "from", "to", "adjustment", "notes")


def sheet_of(*rows, headings=HEADINGS, title=()):
    """An openpyxl workbook with a sheet Stock, for a test to spoil."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Stock"
    for row in (*title, headings, *rows):
        sheet.append(list(row))
    return book, sheet


def read(path: Path):
    """The stock of a workbook and everything that is said of it."""
    book = open_book(path)
    found = read_stock(book, Settings(currency="EUR"), TODAY)
    return found, [*book.problems, *found.problems]


def saved(book, tmp_path) -> list[Problem]:
    book.save(tmp_path / "stock.xlsx")
    return read(tmp_path / "stock.xlsx")[1]


def says(problems: list[Problem]) -> list[str]:
    return [each.says for each in problems]


# --- hidden -----------------------------------------------------------------------------------------


def test_hidden_rows_that_hold_data_are_named_once_and_used(tmp_path):
    book, sheet = sheet_of(*((f"B-{n}", n, "each") for n in range(2, 8)), (), ("B-9", 9, "each"))
    for row in (3, 4, 5, 7, 8):
        sheet.row_dimensions[row].hidden = True
    book.save(tmp_path / "stock.xlsx")
    found, problems = read(tmp_path / "stock.xlsx")
    assert flat(problems) == [("A3", "rows-hidden")]
    assert says(problems) == ["Rows 3 to 5 and 7 are hidden or filtered out; they are used."]
    assert found.tallies["stock"].used == 7


def test_a_filter_hides_rows_and_one_row_is_named_as_one(tmp_path):
    book, sheet = sheet_of((None, None), ("B-1", 1, "each"), title=[("Stock of the week",)])
    sheet.auto_filter.ref = "A2:D4"
    sheet.row_dimensions[4].hidden = True
    assert says(saved(book, tmp_path)) == ["Row 4 is hidden or filtered out; it is used."]


@pytest.mark.parametrize("row", [1, 4])
def test_a_hidden_row_without_data_is_no_news(tmp_path, row):
    book, sheet = sheet_of(("B-1", 1, "each"), title=[("a title",)])
    sheet.row_dimensions[row].hidden = True
    assert saved(book, tmp_path) == []


def test_hidden_columns_that_are_read_are_named_once(tmp_path):
    book, sheet = sheet_of(("B-1", 1, "each", "A1", "x"), headings=(*HEADINGS, "our own"))
    for letters in "BDE":
        sheet.column_dimensions[letters].hidden = True
    problems = saved(book, tmp_path)
    assert flat(problems) == [("B1", "columns-hidden")]
    assert says(problems) == ["Columns B (on hand) and D (bin) are hidden; they are used."]


def test_a_hidden_column_without_data_is_no_news(tmp_path):
    book, sheet = sheet_of(("B-1", 1, "each"))
    sheet.column_dimensions["D"].hidden = True
    assert saved(book, tmp_path) == []


def test_a_hidden_sheet_is_used_and_said(tmp_path):
    book, sheet = sheet_of(("B-1", 1, "each"))
    book.create_sheet("Front")
    book.active = 1
    sheet.sheet_state = "hidden"
    assert flat(saved(book, tmp_path)) == [("Stock", "sheet-hidden")]


def test_many_hidden_rows_are_counted():
    assert rows_text(range(2, 60, 2)) == "rows 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24 and 17 more"
    assert rows_text([5]) == "row 5"
    assert rows_text([5, 6]) == "rows 5 and 6"


# --- merged -----------------------------------------------------------------------------------------


def test_a_merged_part_is_never_filled_in(tmp_path):
    book, sheet = sheet_of(("B-1", 10, "each"), (None, 11, "each"), (None, 12, "each"), ("B-2", 13, "each"))
    sheet.merge_cells("A2:A4")
    book.save(tmp_path / "stock.xlsx")
    found, problems = read(tmp_path / "stock.xlsx")
    assert flat(problems) == [("A2", "cells-merged"), ("A3", "cell-merged"), ("A4", "cell-merged")]
    assert says(problems)[0] == "The cells A2 to A4 are merged; what A2 holds counts for that cell alone."
    assert says(problems)[1] == 'part is blank; its cell is merged with A2, which holds "B-1".'
    assert list(found.stock.parts) == ["B-1", "B-2"]


def test_a_merged_cell_that_may_be_blank_is_only_said(tmp_path):
    book, sheet = sheet_of(("B-1", 10, "each", "A1"), ("B-2", 11, "each", None))
    sheet.merge_cells("D2:D3")
    book.save(tmp_path / "stock.xlsx")
    found, problems = read(tmp_path / "stock.xlsx")
    assert flat(problems) == [("D2", "cells-merged")]
    assert [each.bins[0].name for each in found.stock.parts.values()] == ["A1", ""]


def test_a_merged_title_and_merged_blank_cells_are_harmless(tmp_path):
    book, sheet = sheet_of(("B-1", 10, "each"), title=[("Stock of the week",)])
    sheet.merge_cells("A1:D1")
    sheet.merge_cells("D3:D4")
    sheet.merge_cells("F3:G3")
    assert saved(book, tmp_path) == []


def test_a_merged_row_of_nothing_else_is_no_row(tmp_path):
    book, sheet = sheet_of(("B-1", 10, "each"), ("B-2", 10, "each"))
    sheet.merge_cells("A3:A4")
    assert saved(book, tmp_path) == []


def test_a_merged_due_date_is_told_apart_from_a_blank_one(tmp_path):
    book, _ = sheet_of(("B-1", 1, "each"))
    orders = book.create_sheet("On order")
    for row in (
        ("order", "part", "quantity", "due"),
        ("PO-1", "B-1", 5, date(2026, 12, 3)),
        ("PO-1", "B-1", 6, None),
        ("PO-2", "B-1", 6, None),
    ):
        orders.append(row)
    orders.merge_cells("D2:D3")
    problems = saved(book, tmp_path)
    assert flat(problems) == [("D2", "cells-merged"), ("D3", "cell-merged"), ("D4", "due-blank")]


def test_a_value_beneath_a_merged_cell_is_named(tmp_path):
    book, sheet = sheet_of(("B-1", 10, "each", "A1"), ("B-2", 11, "each", "A2"))
    sheet.merged_cells.add("D2:D3")
    (remark,) = saved(book, tmp_path)
    assert remark.says.endswith('and D3 holds "A2" beneath it, which is used.')


# --- numbers that are names -----------------------------------------------------------------------------


def test_a_number_that_is_shown_otherwise_is_said_with_both_readings(tmp_path):
    book, sheet = sheet_of(*((n, 50, "each") for n in (417, 12345678901234, 90001, 5, 6)))
    for row in (2, 5, 6):
        sheet.cell(row, 1).number_format = "00000"
    book.save(tmp_path / "stock.xlsx")
    found, problems = read(tmp_path / "stock.xlsx")
    assert flat(problems) == [("A2", "number-formatted")]
    assert says(problems) == [
        "part is the number 417, shown as 00417; in row 3 12345678901234, shown as 1.23457E+13; "
        "in row 5 5, shown as 00005; likewise in row 6."
    ]
    assert list(found.stock.parts) == ["417", "12345678901234", "90001", "5", "6"]


def test_each_column_of_names_is_looked_at_and_no_other(tmp_path):
    book, sheet = sheet_of(("B-1", 3, "each", 7), headings=("part", "on hand", "unit", "supplier part"))
    sheet["B2"].number_format = "000"
    sheet["D2"].number_format = "# ?/?"
    assert says(saved(book, tmp_path)) == ["supplier part is the number 7, shown as the number format # ?/?."]


def test_text_and_plain_numbers_are_no_news(tmp_path):
    book, sheet = sheet_of(("00417", 3, "each"), (417, 3, "each"), (418, 3, "each"), ("1E5", 3, "each"))
    sheet["A4"].number_format = "0"
    sheet["C2"].number_format = "00000"
    assert saved(book, tmp_path) == []


def test_a_number_that_lost_digits_sets_its_row_aside(tmp_path):
    book, _ = sheet_of((1234567890123456, 3, "each"), ("1.23E+15", 3, "each"), ("NA", 3, "each"))
    assert flat(saved(book, tmp_path)) == [("A2", "code-rounded"), ("A3", "code-rounded")]


def test_csv_keeps_every_digit_but_cannot_bring_back_lost_ones(tmp_path):
    text = "part,on hand,unit\n1234567890123456,3,each\n1.23E+15,3,each\n1E5,3,each\n"
    found, problems = read(csv_file(tmp_path / "stock.csv", text))
    assert flat(problems) == [("A3", "code-rounded")]
    assert list(found.stock.parts) == ["1234567890123456", "1E5"]


def jobs_said(tmp_path, *rows) -> list[Problem]:
    book = openpyxl.Workbook()
    book.active.title = "Jobs"
    for row in (JOB_HEADINGS, *rows):
        book.active.append(list(row))
    book.save(tmp_path / "jobs.xlsx")
    opened = open_book(tmp_path / "jobs.xlsx")
    period = Period(date(2026, 11, 30), date(2026, 12, 4))
    found = read_jobs(opened, Settings(length_unit="in"), lambda _: period, period.first)
    return [*opened.problems, *found.problems]


DAY = date(2026, 12, 1)


def test_a_job_number_that_became_a_date_sets_its_row_aside(tmp_path):
    problems = jobs_said(
        tmp_path,
        (date(2026, 4, 3), DAY, "NQ-T1", 16, 17),
        (time(7, 30), DAY, "NQ-T1", 16, 17),
        ("J-1", DAY, date(2026, 4, 3), 16, 17),
        ("J-2", DAY, "NQ-T1", 16, 17),
    )
    assert flat(problems) == [("A2", "code-is-date"), ("A3", "code-is-date"), ("C4", "code-is-date")]


def test_an_adjustment_that_is_an_error_never_becomes_the_first_one(tmp_path):
    problems = jobs_said(tmp_path, ("J-1", DAY, "NQ-T1", 16, 17, "#REF!", None))
    assert flat(problems) == [("F2", "cell-error")]


# --- days, and mere text -----------------------------------------------------------------------------


def test_a_time_of_day_is_left_out_and_said_once(tmp_path):
    problems = jobs_said(
        tmp_path,
        ("J-1", datetime(2026, 12, 1, 7, 30), "NQ-T1", 16, 17),
        ("J-2", datetime(2026, 12, 1), "NQ-T1", 16, 17),
        ("J-3", "2026-12-02 08:15", "NQ-T1", 16, 17),
        ("J-4", "2026-12-02 00:00:00", "NQ-T1", 16, 17),
    )
    assert flat(problems) == [("B2", "date-with-time")]
    assert says(problems) == ["date is 2026-12-01 07:30, a day with a time; likewise in row 4."]


def test_an_error_in_mere_text_is_said_once_for_a_column(tmp_path):
    problems = jobs_said(
        tmp_path,
        ("J-1", DAY, "NQ-T1", 16, 17, None, "#N/A"),
        ("J-2", DAY, "NQ-T1", 16, 17, None, "#N/A"),
        ("J-3", DAY, "NQ-T1", 16, 17, None, "=A1"),
    )
    assert flat(problems) == [("G2", "cell-left-blank"), ("G4", "cell-left-blank")]
    assert says(problems)[0] == "notes holds the error value #N/A; likewise in row 3."
    assert problems[0].did == "It counts as blank."


# --- other kinds ------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("name", ["marked.ods", "marked.xls"])
def test_a_real_file_of_another_kind_is_told_as_an_xlsx_is(name):
    found, problems = read(WORKBOOKS / name)
    assert flat(problems) == [
        ("E2", "columns-hidden"),
        ("A4", "rows-hidden"),
        ("A7", "cells-merged"),
        ("A3", "number-formatted"),
        ("E6", "cell-left-blank"),
        ("B4", "cell-error"),
        ("A8", "cell-merged"),
    ]
    tally = found.tallies["stock"]
    assert (tally.read, tally.used, tally.set_aside) == (8, 6, 2)


def test_formulas_that_nobody_calculated_are_not_blank():
    found, problems = read(WORKBOOKS / "never_calculated.xls")
    assert flat(problems) == [("B2", "formula-not-calculated"), ("B3", "formula-not-calculated")]
    assert (
        says(problems)[0] == "on hand holds a formula that gives nothing; it may never have been calculated."
    )
    assert list(found.stock.parts) == ["SP-3"]


def test_what_an_xlsb_does_not_say_is_said_once_for_the_file(tmp_path):
    heads = xlsb.row(1) + b"".join(map(xlsb.written, (1, 2, 3, 4), HEADINGS))
    rows = [
        xlsb.row(n) + xlsb.written(1, f"B-{n}") + xlsb.formula_number(2, 0) + xlsb.written(3, "each")
        for n in (2, 3)
    ]
    found, problems = read(xlsb.xlsb(tmp_path / "stock.xlsb", [heads, *rows]))
    assert flat(problems) == [("B2", "formula-untold")]
    assert says(problems) == [
        "The formula in B2 gives zero or nothing, and the file does not say if it was calculated; "
        "likewise in row 3."
    ]
    assert found.tallies["stock"].used == 2


def test_what_cannot_be_told_of_a_file_is_said_once(tmp_path, monkeypatch):
    book, _ = sheet_of(("B-1", 1, "each"))
    suppliers = book.create_sheet("Suppliers")
    suppliers.append(["supplier"])
    suppliers.append(["S-1"])
    book.save(tmp_path / "stock.xlsx")

    def lost(*_, **__):
        raise LookupError

    monkeypatch.setattr("reconcile.sheets.unseen.xlsx.read_facts", lost)
    _, problems = read(tmp_path / "stock.xlsx")
    assert flat(problems) == [("Stock", "marks-untold")]
