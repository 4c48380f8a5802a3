"""Untidy sheets: rows that are no data, numbers that look alike, texts in every dress, turned dates."""

import csv
import io
import time
from datetime import date
from fractions import Fraction

import pytest
from books import csv_file, workbook
from hypothesis import given, settings
from hypothesis import strategies as st
from untidy_cases import CASES, INCHES, STOCK, TUESDAY, Case, bin_

from reconcile.sheets.figures.turned_dates import fractions_in_cell, fractions_in_text, fractions_said
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.files.books import Grid, open_book
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.stock.headings import STOCK as STOCK_SHEET
from reconcile.sheets.stock.part_rows import read_parts
from reconcile.sheets.stock.workbook import read_stock
from reconcile.sheets.tables.headings import find_header
from reconcile.sheets.tables.non_data import Sorter
from reconcile.sheets.tables.part_numbers import Alike, difference, twin_groups
from reconcile.sheets.tables.rows import SheetTable
from reconcile.values.days import Period
from reconcile.values.settings import Settings

TODAY = date(2026, 11, 27)
WEEK = Period(date(2026, 11, 30), date(2026, 12, 4))
EVERY = [pytest.param(case, id=f"{group}: {case.name}") for group, cases in CASES.items() for case in cases]
IN_CSV = [each for each in EVERY if each.values[0].csv]


def sheets_of(case: Case):
    """The case's sheet; what is no stock has a stock beside it that lists the part it names."""
    beside = {} if case.sheet in ("Stock", "Jobs") else {"Stock": [STOCK, bin_("B-1")]}
    return {**beside, case.sheet: [case.headings, *case.rows]}


def outcome(book, case):
    """Problems of the case's sheet as (cell, code), sorted; what is used; what became of the rows."""
    if case.sheet == "Jobs":
        read = read_jobs(book, case.settings, lambda days: WEEK, WEEK.first)
        used, tally = [each.number for each in read.jobs], read.tally
    else:
        read = read_stock(book, case.settings, TODAY)
        stock, tally = read.stock, read.tallies[case.sheet.lower()]
        used = {
            "Stock": list(stock.parts),
            "On order": [each.order for each in stock.due],
            "Usage": [each.part for each in stock.usage],
        }[case.sheet]
    found = [(each.place.cell, each.code) for each in read.problems if each.place.sheet == case.sheet]
    assert tally.read == tally.used + tally.set_aside + tally.outside_period
    return sorted(found), used


@pytest.mark.slow
@pytest.mark.parametrize("case", EVERY)
def test_as_a_workbook(tmp_path, case):
    names = {name.replace(" ", "_"): rows for name, rows in sheets_of(case).items()}
    book = open_book(workbook(tmp_path / "book.xlsx", **names))
    assert outcome(book, case) == (sorted(case.expected), case.used)


@pytest.mark.parametrize("case", IN_CSV)
def test_as_csv(tmp_path, case):
    for name, rows in sheets_of(case).items():
        width = max(map(len, rows))
        text = io.StringIO()
        csv.writer(text, delimiter=";").writerows([*row, *[None] * (width - len(row))] for row in rows)
        csv_file(tmp_path / f"{name}.csv", text.getvalue())
    assert outcome(open_book(tmp_path), case) == (sorted(case.expected), case.used)


# what is said


def said(tmp_path, *rows, headings=STOCK):
    book = open_book(workbook(tmp_path / "stock.xlsx", Stock=[headings, *rows]))
    return [each.says for each in read_stock(book, Settings(length_unit="in"), TODAY).problems]


def test_a_total_and_a_note_say_what_they_show(tmp_path):
    assert said(tmp_path, bin_("B-1", 3), bin_("B-2", 4), [None, 7], ["Total:", 7], ["--- Nuts ---"]) == [
        "The row has no part, and its on hand is the sum of rows 2 to 3.",
        'The row says "Total:" where the part should stand.',
        'The row holds only the text "--- Nuts ---".',
    ]


def test_a_second_table_names_both_rows_of_headings(tmp_path):
    (says,) = said(tmp_path, bin_("B-1"), ["unit", "part", "on hand"], ["each", "B-2", 4])
    assert says == "Row 3 has headings of a second table (unit, part, on hand), row 1 those of the first."


def test_rows_below_a_second_table_are_counted(tmp_path):
    rows = [bin_("B-1"), ["unit", "part", "on hand"], ["each", "B-2", 4], [], ["each", "B-3", 4]]
    book = open_book(workbook(tmp_path / "stock.xlsx", Stock=[STOCK, *rows]))
    tally = read_stock(book, Settings(), TODAY).tallies["stock"]
    assert (tally.read, tally.used, tally.set_aside) == (3, 1, 2)


def test_a_part_that_became_a_date_is_named_as_it_is_shown(tmp_path):
    (says,) = said(tmp_path, bin_(date(2026, 9, 2)))
    assert says == 'The cell holds the date 2026-09-02, which a sheet shows as "2-Sep", not a part number.'


def test_twins_name_both_cells_and_how_they_are_counted(tmp_path):
    assert said(tmp_path, bin_("SP-050"), bin_("SP-O50"), bin_("b-1"), bin_("B-1")) == [
        "SP-O50 here and SP-050 in A2 look alike; they are counted as 2 parts.",
        "B-1 here and b-1 in A4 differ only in case; they are counted as 2 parts.",
    ]


def test_an_order_for_a_twin_is_told_of_the_part_that_there_is(tmp_path):
    orders = [["order", "part", "quantity", "due"], ["PO-1", "SP-O50", 4, TUESDAY]]
    book = open_book(workbook(tmp_path / "stock.xlsx", Stock=[STOCK, bin_("SP-050")], On_order=orders))
    (problem,) = read_stock(book, Settings(), TODAY).problems
    assert problem.says == "Stock does not list the part SP-O50; there is SP-050."


def test_an_error_as_text_where_mere_text_stands_counts_as_blank(tmp_path):
    rows = ["part,on hand,unit,bin", "B-1,3,each,#N/A", "B-2,3,each,A1", "B-3,3,each,#N/A"]
    csv_file(tmp_path / "Stock.csv", "\n".join(rows))
    book = open_book(tmp_path)
    stock = read_stock(book, Settings(), TODAY).stock
    assert [each.bins[0].name for each in stock.parts.values()] == ["", "A1", ""]
    assert [(each.place.cell, each.code, each.says) for each in book.problems] == [
        ("D2", "cell-left-blank", "bin holds the error value #N/A; likewise in row 4.")
    ]


# fractions behind dates


@pytest.mark.parametrize(
    ("day", "fractions"),
    [
        (date(2026, 3, 8), ["3/8"]),
        (date(2026, 8, 3), ["3/8"]),
        (date(2026, 1, 2), ["1/2"]),
        (date(2026, 11, 16), ["11/16"]),
        (date(2002, 1, 1), ["3/2"]),
        (date(2016, 3, 1), ["3/16", "19/16", "49/16"]),
        (date(1932, 1, 1), ["1/32", "33/32"]),
        (date(2032, 1, 1), ["1/32", "33/32"]),
        (date(2016, 3, 8), ["3/8", "131/16"]),
        (date(2026, 4, 8), []),  # 4/8 is not in lowest terms
        (date(2026, 3, 31), []),
    ],
)
def test_every_fraction_that_can_have_become_a_date_is_named(day, fractions):
    assert fractions_in_cell(day) == tuple(map(Fraction, fractions))


def test_one_fraction_is_the_one_and_several_are_none():
    assert fractions_said(fractions_in_cell(date(2026, 3, 8))) == "it can only have been 3/8"
    assert fractions_said(fractions_in_cell(date(2016, 3, 1))) == "it can have been 3/16, 1 3/16 or 3 1/16"
    assert fractions_said(()) == "no fraction becomes that date"


def test_every_typed_fraction_is_among_those_named():
    """Each proper or mixed fraction, turned as spreadsheet programs turn it, is found again."""
    for below in (2, 4, 8, 16, 32, 64):
        for above in range(1, below, 2):
            if above <= 12 and below <= 31:
                assert Fraction(above, below) in fractions_in_cell(date(2026, above, below))
            elif above <= 12:
                assert Fraction(above, below) in fractions_in_cell(date(1900 + below, above, 1))
            for whole in range(1, 13):
                if above <= 28:
                    year = 2000 + below if below < 30 else 1900 + below
                    assert whole + Fraction(above, below) in fractions_in_cell(date(year, whole, above))


@pytest.mark.parametrize(
    ("text", "fractions"),
    [("8-Mar", ["3/8"]), ("08-Mar-26", ["3/8"]), ("8 March", ["3/8"]), ("2026-03-08 00:00:00", ["3/8"]),
     ("08/03/2026", ["3/8"]), ("Jan-32", ["1/32", "33/32"]), ("1/1/02", ["3/2"])],
)  # fmt: skip
def test_a_date_in_text_is_one_too(text, fractions):
    assert fractions_in_text(text) == tuple(map(Fraction, fractions))


@pytest.mark.parametrize("text", ["1/2/4", "31/31/2026", "Marble-16", "3/8", "12.7", "30-Feb"])
def test_what_shows_no_date_is_none(text):
    assert fractions_in_text(text) is None


def test_lengths_in_every_dress_are_the_same_length():
    dresses = ("1½", "1 1/2", "1–1/2", "1\u00a01/2″", "38,1 mm", "１½″", "1½\u00ad in\u200b", "1 1⁄2 in")
    assert {read_length(text, "in")[0] for text in dresses} == {Fraction("38.1")}


# many part numbers


def test_twins_among_very_many_numbers_are_found_at_once():
    numbers = [f"B{kind}-{size:04d}" for kind in range(20) for size in range(1000)]
    assert twin_groups(numbers) == []
    began = time.process_time()
    assert twin_groups([*numbers, "B7-O042"]) == [["B7-0042", "B7-O042"]]
    # Comparing each with each would take minutes.
    assert time.process_time() - began < 5


def test_a_third_number_joins_two_that_share_nothing():
    assert [sorted(group) for group in twin_groups(["FTP-L", "FTP-1", "ftp-l"])] == [
        ["FTP-1", "FTP-L", "ftp-l"]
    ]


def test_the_known_number_that_another_looks_like():
    alike = Alike(["SP-050", "SP-100", "B14-250"])
    assert [alike.to(number) for number in ("SP-O50", "sp 100", "B14-260")] == ["SP-050", "SP-100", ""]


def test_in_what_numbers_differ():
    assert difference(["b-1", "B-1"]) == "differ only in case"
    assert difference(["SP 050", "sp-050"]) == "differ only in case, blanks or dashes"
    assert difference(["SP-050", "SP-O50"]) == "look alike"


def test_two_tables_side_by_side_are_called_so(tmp_path):
    from reconcile.values.problem import Unusable

    rows = [
        ["part", "on hand", "unit", None, "part", "on hand", "unit"],
        ["B-1", 3, "each", None, "C-1", 4, "each"],
    ]
    with pytest.raises(Unusable) as refused:
        read_stock(open_book(workbook(tmp_path / "stock.xlsx", Stock=rows)), Settings(), TODAY)
    problems = refused.value.problems
    assert [(each.place.cell, each.code) for each in problems] == [
        ("E1", "heading-doubled"), ("F1", "heading-doubled"), ("G1", "heading-doubled")
    ]  # fmt: skip
    assert problems[0].says.endswith('"part" and "part"; a second table seems to begin in column E.')
    assert "sheet of its own" in problems[0].do


# a law


KINDS_OF_ROWS = {
    "part": lambda n: bin_(f"P-{n:03d}", n + 1),
    "faulty": lambda n: bin_(f"P-{n:03d}", "about 20"),
    "no part": lambda n: bin_(None, 1000 + n),
    "total": lambda n: ["Total:", n],
    "note": lambda n: ["--- Screws ---"],
    "heading": lambda n: STOCK,
    "blank": lambda n: [],
    "second": lambda n: ["unit", "part", "on hand"],
}


@pytest.mark.slow
@settings(max_examples=150, derandomize=True)
@given(st.lists(st.sampled_from(sorted(KINDS_OF_ROWS)), min_size=1, max_size=12))
def test_no_row_is_lost_and_none_is_used_that_is_no_part(kinds):
    rows = [KINDS_OF_ROWS[kind](n) for n, kind in enumerate(kinds)]
    grid = [[*row, *[None] * (len(STOCK) - len(row))] for row in [STOCK, *rows]]
    header, _ = find_header(Grid("stock.xlsx", "Stock", grid), STOCK_SHEET, INCHES)
    sheet = Grid("stock.xlsx", "Stock", grid)
    table = SheetTable(sheet, header, {}, Sorter(STOCK_SHEET, header, sheet, INCHES))
    read = read_parts(table, INCHES)
    above = kinds[: kinds.index("second")] if "second" in kinds else kinds
    below = kinds[len(above) + 1 :]
    assert list(read.parts) == [f"P-{n:03d}" for n, kind in enumerate(above) if kind == "part"]
    counted = sum(kind not in ("heading", "blank") for kind in above) + sum(kind != "blank" for kind in below)
    assert (read.tally.read, read.tally.used) == (counted, len(read.parts))
    told = {int(each.place.cell.lstrip("ABCDEF")) for each in read.problems}
    expected = {n + 2 for n, kind in enumerate(kinds[: len(above) + 1]) if kind not in ("part", "blank")}
    assert told == expected
