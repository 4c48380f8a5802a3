"""Headings: which row they stand in, which spelling is which, and what is wrong with them."""

import pytest
from books import csv_file, flat, workbook

from reconcile.sheets.files.books import Grid, open_book
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import ON_ORDER, STOCK
from reconcile.sheets.tables import headings
from reconcile.sheets.tables.choosing import sheet_for
from reconcile.sheets.tables.headings import SheetKind, find_header, sheet_named
from reconcile.values.settings import Settings

NEEDED = ["part", "on hand", "unit"]


def header_of(*rows, kind=STOCK, settings=None):
    """The header found in a grid of these rows, and its problems."""
    width = max(map(len, rows))
    grid = Grid("stock.xlsx", kind.name, [[*row, *[None] * (width - len(row))] for row in rows], 3, 2)
    return find_header(grid, kind, settings or Settings())


def columns_of(*rows, kind=STOCK, settings=None):
    header, problems = header_of(*rows, kind=kind, settings=settings)
    assert problems == []
    return {heading: found.column for heading, found in header.found.items()}


@pytest.mark.parametrize(
    ("written", "heading"),
    [
        ("On Hand", "on hand"),
        ("ON_HAND", "on hand"),
        (" on-hand. ", "on hand"),
        ("Qty on hand", "on hand"),
        ("Part no.", "part"),
        ("P/N", "part"),
        ("LeadTime", "lead time days"),
        ("lead time (days)", "lead time days"),
        ("Lead-time (working days)", "lead time days"),
        ("U.o.M.", "unit"),
        ("MOQ", "minimum order"),
    ],
)
def test_spellings(written, heading):
    others = [each for each in NEEDED if each != heading]
    assert columns_of([written, *others])[heading] == 0


@pytest.mark.parametrize(
    ("written", "unit"),
    [("length (mm)", "mm"), ("Length mm", "mm"), ("LENGTH [in]", "in"), ("length, in", "in"), ("length", "")],
)
def test_a_unit_in_the_heading_is_remembered(written, unit):
    header, problems = header_of([*NEEDED, written])
    assert (header.found["length"].unit, header.letters["length"], problems) == (unit, "E", [])


def test_a_shops_own_word():
    own = Settings(headings={"on hand": ("shelf count",), "Part": ("Teil",)})
    assert columns_of(["teil", "Shelf_Count", "unit"], settings=own) == {"part": 0, "on hand": 1, "unit": 2}


def test_a_shops_own_word_wins_over_a_synonym():
    own = Settings(headings={"allocated": ("qty",)})
    assert columns_of([*NEEDED, "Qty"], settings=own)["allocated"] == 3


def test_titles_above_and_columns_beside_are_fine():
    header, problems = header_of(
        ["Stock of the workshop"], [], ["counted", "on Monday"], ["who", *NEEDED, "x"], ["a"]
    )
    assert (header.row, header.width, problems) == (3, 5, [])


def test_a_missing_heading_lists_what_is_there_and_the_nearest():
    _, problems = header_of(["part", "onn hand", "bin"])
    assert flat(problems) == [("B3", "heading-missing")]
    assert problems[0].says == (
        'The columns "on hand" and "unit" are not there; found: part, onn hand, bin; '
        '"onn hand" is near "on hand".'
    )
    assert 'under [headings]: "on hand" = ["onn hand"]' in problems[0].do
    assert 'unit = "each"' in problems[0].do


def test_doubled_and_missing_come_together():
    _, problems = header_of(["part", "p/n", "qty", "on hand", "price"])
    assert flat(problems) == [("B3", "heading-missing"), ("C3", "heading-doubled"), ("E3", "heading-doubled")]
    assert problems[2].says == '2 columns match the heading "on hand": "qty" and "on hand".'


def test_a_blank_sheet_has_no_header():
    assert header_of([None]) == (None, [])


@pytest.mark.parametrize("kind", [each for each in vars(headings).values() if isinstance(each, SheetKind)])
def test_no_spelling_means_two_things(kind):
    meanings: dict[str, set[str]] = {}
    for heading, known in kind.headings.items():
        for word in (heading, *known):
            meanings.setdefault(headings.key_of(word), set()).add(heading)
    assert {word: found for word, found in meanings.items() if len(found) > 1} == {}
    assert set(kind.needed) <= set(kind.headings)


def test_sheets_are_found_by_folded_name(tmp_path):
    book = open_book(workbook(tmp_path / "a.xlsx", STOCK=[["x"]], On_Order=[["x"]]))
    assert (sheet_named(book, STOCK), sheet_named(book, ON_ORDER), sheet_named(book, JOBS)) == (
        "STOCK",
        "On Order",
        None,
    )


def test_a_missing_sheet_lists_those_there_and_suggests_one(tmp_path):
    book = open_book(workbook(tmp_path / "a.xlsx", Stok=[["x"]], Notes=[["x"]]))
    (problem,) = sheet_for(book, STOCK, Settings(), needed=True).faults
    assert problem.code == "sheet-missing"
    assert problem.says == "There is no sheet Stock, and none has its columns; there: Stok, Notes."
    assert "Rename the sheet Stok to Stock" in problem.do


def test_a_single_csv_needs_no_name(tmp_path):
    book = open_book(csv_file(tmp_path / "week 49.csv", "job\n"))
    assert sheet_named(book, JOBS) == "week 49"


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("reorder pont", 'The heading "reorder pont" is not read; it is much like "reorder point".'),
        ("lead tmie", 'The heading "lead tmie" is not read; it is much like "lead time".'),
        ("shelf life", None),
        ("checked by", None),
        ("parts", None),  # the part is there already
        (417.0, None),
    ],
)
def test_a_heading_with_a_slip_of_the_pen_is_told_of(written, says):
    rows = [[*NEEDED, "bin", written]]
    grid = Grid("stock.xlsx", "Stock", rows)
    header, _ = find_header(grid, STOCK, Settings())
    found = headings.unread_headings(grid, header, STOCK, Settings())
    assert [(each.place.cell, each.code, each.says) for each in found] == (
        [("E1", "heading-unread", says)] if says else []
    )
