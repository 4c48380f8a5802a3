"""Sheets by any name: by the settings, by being the only one, by their headings; one word for two columns."""

import pytest
from books import csv_file, flat, workbook

from reconcile.sheets.files.books import open_book
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import ON_ORDER, STOCK
from reconcile.sheets.tables.choosing import sheet_for
from reconcile.sheets.tables.headings import headings_in, spellings_of
from reconcile.sheets.tables.rows import open_table
from reconcile.values.settings import Settings

WHOLE = [["part", "description", "bin", "on hand", "unit"], ["B", "x", "A1", 1, "each"]]
HALF = [["part", "qty"], ["B", 1]]


def chosen(path, kind=STOCK, *, needed=True, **given):
    return sheet_for(open_book(path), kind, Settings(**given), needed=needed)


def test_the_settings_name_a_sheet(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Inventory_2026=HALF, Inventory_2025=WHOLE)
    found = chosen(path, sheets={"stock": "inventory 2026"})
    assert (found.name, found.faults, found.notices) == ("Inventory 2026", (), ())


def test_a_sheet_that_the_settings_name_and_that_is_not_there(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Inventory=WHOLE)
    (fault,) = chosen(path, sheets={"stock": "Inventry"}).faults
    assert fault.code == "sheet-missing"
    assert "which [sheets] of the settings names for Stock; there: Inventory." in fault.says
    assert 'under [sheets]: stock = "Inventory"' in fault.do


def test_the_name_of_a_sheet_wins_over_what_fits(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Stock=HALF, Inventory=WHOLE)
    assert chosen(path).name == "Stock"


def test_the_only_sheet_is_taken_and_named(tmp_path):
    found = chosen(workbook(tmp_path / "a.xlsx", Inventory_2026=WHOLE))
    assert found.name == "Inventory 2026"
    (notice,) = found.notices
    assert (notice.code, notice.severity) == ("sheet-taken", "notice")
    assert notice.says == (
        "No sheet is called Stock; the sheet Inventory 2026 is taken for it, since it is the only sheet."
    )
    assert notice.do == 'To settle it, write into reconcile.toml, under [sheets]: stock = "Inventory 2026"'


def test_the_sheet_whose_headings_fit_best_is_taken_and_named(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Notes=[["what"], ["x"]], Old=HALF, Shelf=WHOLE)
    found = chosen(path)
    assert found.name == "Shelf"
    assert [notice.code for notice in found.notices] == ["sheet-taken"]


def test_where_two_fit_alike_each_is_told_of(tmp_path):
    found = chosen(
        workbook(tmp_path / "a.xlsx", Shelf_A=WHOLE, Shelf_B=[*WHOLE[:1], ["C", "y", "A2", 1, "ea"]])
    )
    assert found.name is None
    (fault,) = found.faults
    assert fault.code == "sheet-unclear"
    assert "Shelf A: found part, description, bin, on hand, unit; missing none" in fault.says
    assert "Shelf B: found part" in fault.says
    assert 'stock = "Shelf A"' in fault.do


def test_a_sheet_that_is_another_of_ours_is_never_taken(tmp_path):
    orders = [["part", "quantity", "due", "unit", "description"], ["B", 1, "2026-12-01", "each", "x"]]
    path = workbook(tmp_path / "a.xlsx", On_order=orders, Lager=HALF)
    assert chosen(path, unit="each").name == "Lager"


def test_a_sheet_that_is_not_needed_is_found_by_its_name_or_the_settings_alone(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Stock=WHOLE, Orders=[["part", "quantity", "due"], ["B", 1, None]])
    assert chosen(path, ON_ORDER, needed=False).name is None
    assert chosen(path, ON_ORDER, needed=False, sheets={"on order": "Orders"}).name == "Orders"


def test_jobs_and_stock_of_one_workbook_are_told_apart(tmp_path):
    jobs = [["job", "date", "frame", "from", "to"], ["J-1", "2026-12-01", "F", "1 in", "2 in"]]
    path = workbook(tmp_path / "a.xlsx", Plan=jobs, Shelf=WHOLE)
    assert (chosen(path, JOBS).name, chosen(path).name) == ("Plan", "Shelf")


def test_a_folder_of_csv_is_chosen_from_likewise(tmp_path):
    csv_file(tmp_path / "Lager.csv", "part,on hand,unit\nB,1,each\n")
    csv_file(tmp_path / "Notes.csv", "who,what\nx,y\n")
    assert chosen(tmp_path).name == "Lager"


# --- headings ---------------------------------------------------------------------------------------


def test_one_heading_serves_two_columns_of_ours():
    own = Settings(headings={"part": ("Screw",), "description": ("screw",)})
    matched = headings_in(["Screw", "Qty"], spellings_of(STOCK, own))
    assert {name: [each.column for each in found] for name, found in matched.items()} == {
        "part": [0], "description": [0], "on hand": [1],
    }  # fmt: skip


def test_a_heading_of_ours_may_serve_a_second_one():
    own = Settings(headings={"description": ("part",)})
    matched = headings_in(["Part"], spellings_of(STOCK, own))
    assert set(matched) == {"part", "description"}


def missing(tmp_path, *rows, **given):
    _, problems = open_table(
        open_book(workbook(tmp_path / "a.xlsx", Stock=rows)), STOCK, Settings(**given), needed=True
    )
    return problems


def test_all_that_is_missing_is_said_once_with_the_first_twenty_headings(tmp_path):
    headings = [f"column {number}" for number in range(1, 51)]
    (fault,) = missing(tmp_path, headings, [1] * 50)
    assert fault.code == "heading-missing"
    assert fault.says.startswith('The columns "part", "on hand" and "unit" are not there; found: column 1, ')
    assert "column 20, and 30 more." in fault.says
    assert "column 21" not in fault.says


@pytest.mark.parametrize(("heading", "near"), [("type of thing", False), ("on hnad", True)])
def test_a_heading_is_named_as_near_only_where_it_is(tmp_path, heading, near):
    (fault,) = missing(tmp_path, ["part", heading, "unit"], ["B", 1, "each"])
    assert ("is near" in fault.says) is near
    assert ('"on hand" = ["on hnad"]' in fault.do) is near


def test_a_word_that_is_named_under_another_key_is_told_of(tmp_path):
    (fault,) = missing(
        tmp_path, ["Item", "on hand", "unit"], ["B", 1, "each"], headings={"description": ("Item",)}
    )
    assert '"Item" is named under "description" in [headings] of the settings' in fault.do
    assert "If a column is only called otherwise" not in fault.do


def test_without_a_unit_column_the_line_of_the_settings_is_told(tmp_path):
    (fault,) = missing(tmp_path, ["part", "on hand"], ["B", 1])
    assert flat([fault]) == [("A1", "heading-missing")]
    assert 'unit = "each"' in fault.do
    assert missing(tmp_path, ["part", "on hand"], ["B", 1], unit="each") == []
