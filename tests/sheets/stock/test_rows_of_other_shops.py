"""Rows as other shops write them: no unit, packs in words, prices with signs, bolts in the number, twice."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from books import flat, workbook

from reconcile.sheets.figures.packs import read_unit
from reconcile.sheets.figures.prices import read_price
from reconcile.sheets.files.books import open_book
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.settings import Settings
from reconcile.values.week.results import Tally

TODAY = date(2026, 11, 27)


def read(tmp_path, columns, *rows, **given):
    path = workbook(tmp_path / "stock.xlsx", Stock=[columns, *rows])
    return read_stock(open_book(path), Settings(**given), TODAY)


# --- units ------------------------------------------------------------------------------------------


def test_without_a_unit_column_the_settings_say_what_is_counted(tmp_path):
    found = read(tmp_path, ["part", "on hand"], ["B", 3], ["C", "2 dozen"], unit="each")
    assert [(each.unit, each.on_hand) for each in found.stock.parts.values()] == [("each", 3), ("each", 24)]
    assert found.problems == ()


def test_a_blank_unit_is_that_of_the_settings(tmp_path):
    found = read(tmp_path, ["part", "on hand", "unit"], ["B", 3, None], ["C", 3, "mL"], unit="each")
    assert [each.unit for each in found.stock.parts.values()] == ["each", "mL"]


@pytest.mark.parametrize(
    ("written", "pack"),
    [
        ("Pack of 250", 250),
        ("Pkg/100", 100),
        ("box (50)", 50),
        ("100/pk", 100),
        ("bag of 50 pcs", 50),
        ("Packung à 200", 200),
        ("Caja 25", 25),
        ("pack", None),
    ],
)
def test_packs_in_words(written, pack):
    said = read_unit(written)
    assert (said.name, said.pack) == ("pack", pack and Fraction(pack))


@pytest.mark.parametrize("word", ["Stk.", "Stück", "pièce", "ud.", "pz", "stuks", "szt."])
def test_a_piece_in_other_tongues(word):
    assert read_unit(word).name == "each"


def test_a_pack_in_the_unit_counts_where_the_column_pack_is_blank(tmp_path):
    rows = (["B", 3, "Pack of 250", None], ["C", 2, "box (50)", 50], ["D", 2, "box (50)", 20])
    found = read(tmp_path, ["part", "on hand", "unit", "pack"], *rows)
    assert [(each.on_hand, each.pack, each.unit) for each in found.stock.parts.values()] == [
        (750, 250, "each"),
        (100, 50, "each"),
    ]
    assert flat(found.problems) == [("C2", "pack-from-unit"), ("C4", "pack-contradicted")]
    assert found.problems[0].says == 'The unit "Pack of 250" of B is read as packs of 250.'


def test_two_sizes_of_pack_of_one_part_are_not_mixed(tmp_path):
    rows = (["B", 3, "Pack of 250", "A1"], ["B", 2, "Pack of 100", "A2"])
    found = read(tmp_path, ["part", "on hand", "unit", "bin"], *rows)
    assert found.stock.parts["B"].on_hand == 750
    assert ("C3", "part-unit-differs") in flat(found.problems)


# --- prices -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "amount", "currency"),
    [
        ("£12.50", "12.5", "GBP"),
        ("5.99 EUR", "5.99", "EUR"),
        ("EUR 5.99", "5.99", "EUR"),
        ("5,99 €", "5.99", "EUR"),
        ("US$ 4", "4", "USD"),
        ("5.99/100", "0.0599", ""),
        ("£3.20 per 100 pcs", "0.032", "GBP"),
        ("0.45/ea", "0.45", ""),
        (5.5, "5.5", ""),
        ("$5.99", "5.99", "$"),
    ],
)
def test_prices_that_are_sure(written, amount, currency):
    assert read_price(written) == read_price(written).__class__(Decimal(amount), currency)


@pytest.mark.parametrize(
    "written",
    ["n/a", "-", "tbd", "dear", "about 5", -3.0, True, date(2026, 3, 8), "1,234", "5.99/3", "12.50 / pack",
     "5 EUR USD", "£5 $", "5.99/", "#5"],
)  # fmt: skip
def test_all_else_is_no_price_and_is_told(written):
    found = read_price(written)
    assert (found.amount, found.currency) == (None, "")
    assert found.why.endswith(".")


PRICED = ["part", "on hand", "unit", "price", "currency"]


@pytest.mark.parametrize(
    "written", ["n/a", "-", "dear", -3, "1,234", "$5.99", date(2026, 3, 8), True, "5.99/3"]
)
def test_a_price_never_sets_a_row_aside(tmp_path, written):
    found = read(tmp_path, PRICED, ["B", 3, "each", written, None])
    assert found.tallies["stock"] == Tally(1, 1, 0)
    assert (found.stock.parts["B"].price, found.stock.parts["B"].on_hand) == (None, 3)
    assert [(each.place.cell, each.severity) for each in found.problems] == [("D2", "notice")]


def test_an_error_value_for_a_price_counts_as_blank(tmp_path):
    book = open_book(workbook(tmp_path / "stock.xlsx", Stock=[PRICED, ["B", 3, "each", "#N/A", None]]))
    assert read_stock(book, Settings(), TODAY).stock.parts["B"].price is None
    assert flat(book.problems) == [("D2", "cell-left-blank")]


@pytest.mark.parametrize(
    ("written", "beside", "settings", "expected"),
    [
        ("$5.99", None, "USD", ("5.99", "USD")),
        ("$5.99", "CAD", "USD", ("5.99", "CAD")),
        ("$5.99", None, "EUR", None),
        ("£5.99", None, "EUR", ("5.99", "GBP")),
        ("£5.99", "EUR", "EUR", None),
        ("5.99", "€", "", ("5.99", "EUR")),
        ("5.99", "$", "AUD", ("5.99", "AUD")),
        ("5.99", None, "EUR", ("5.99", "EUR")),
        ("5.99", None, "", None),
    ],
)
def test_the_currency_of_a_price(tmp_path, written, beside, settings, expected):
    found = read(tmp_path, PRICED, ["B", 3, "each", written, beside], currency=settings)
    part = found.stock.parts["B"]
    assert (part.price and (str(part.price), part.currency)) == expected
    codes = [each.code for each in found.problems]
    assert codes == ([] if expected else ["price-unread" if written != "5.99" else "currency-unknown"])


@pytest.mark.parametrize("heading", ["Price (£)", "unit price [GBP]", "Price (GBP)"])
def test_the_currency_of_a_heading(tmp_path, heading):
    found = read(tmp_path, ["part", "on hand", "unit", heading], ["B", 3, "each", 5.99])
    assert found.stock.parts["B"].currency == "GBP"


def test_prices_of_a_part_that_differ_are_still_told(tmp_path):
    rows = (["B", 3, "each", "£5", None], ["B", 4, "each", "£6", None])
    found = read(tmp_path, PRICED, *rows)
    assert [each.says for each in found.problems if each.code == "part-differs"] == [
        "price of B is 6 GBP here and 5 GBP in row 2."
    ]


# --- a bolt in the number ---------------------------------------------------------------------------


def test_a_number_that_reads_as_a_bolt_is_read_where_there_is_no_description(tmp_path):
    found = read(tmp_path, ["part", "on hand"], ["DIN 912 - M3x8 Screw", 12], ["SP-050", 3], unit="each")
    bolt = found.stock.parts["DIN 912 - M3x8 Screw"].bolt
    assert bolt is not None
    assert (bolt.thread.unit, bolt.length, bolt.head) == ("mm", 8, "socket cap")
    assert flat(found.problems) == [("A2", "bolt-from-number")]
    assert found.stock.parts["SP-050"].bolt is None


def test_one_column_that_is_named_for_both_is_read_and_a_nought_in_front_is_told(tmp_path):
    own = {"part": ("screw",), "description": ("screw",)}
    rows = (["DIN 912 - M3x08 Screw", 12], ["DIN 912 - M3x10 Screw", 12])
    found = read(tmp_path, ["Screw", "on hand"], *rows, unit="each", headings=own)
    assert [found.stock.parts[row[0]].bolt.length for row in rows] == [8, 10]
    # M3x80 with its figures swapped would look the same.
    assert flat(found.problems) == [("A2", "description-unread")]


def test_a_number_that_looks_like_a_bolt_and_cannot_be_read_is_told(tmp_path):
    found = read(tmp_path, ["part", "on hand"], ["DIN 912 - M3x008 Screw", 12], unit="each")
    assert found.stock.parts["DIN 912 - M3x008 Screw"].bolt is None
    (notice,) = found.problems
    assert (notice.place.cell, notice.code) == ("A2", "bolt-unread")
    assert "it begins with a nought" in notice.says


def test_a_number_is_not_read_where_a_description_stands_or_the_columns_say_all(tmp_path):
    headings = ["part", "on hand", "description", "thread", "length", "head"]
    rows = (
        ["DIN 912 M3x8", 1, "spare", None, None, None],
        ["DIN 912 M3x10", 1, None, "M4", "12 mm", "hex"],
    )
    found = read(tmp_path, headings, *rows, unit="each")
    assert found.stock.parts["DIN 912 M3x8"].bolt is None
    bolt = found.stock.parts["DIN 912 M3x10"].bolt
    assert bolt is not None and bolt.length == 12
    assert found.problems == ()


# --- pasted twice -----------------------------------------------------------------------------------

BINS = ["part", "on hand", "unit", "bin", "own remark"]


def test_a_row_pasted_twice_counts_once_and_is_asked_about(tmp_path):
    row = ["B", 40, "each", "A2", "x"]
    found = read(tmp_path, BINS, row, ["C", 1, "each", "A3", None], row)
    assert found.stock.parts["B"].on_hand == 40
    (fault,) = found.problems
    assert (fault.place.cell, fault.code, fault.severity) == ("D4", "bin-doubled", "error")
    assert fault.says == "B in bin A2 stands in row 2 already, every cell alike."
    assert found.tallies["stock"] == Tally(3, 2, 1)


@pytest.mark.parametrize("other", [["B", 7, "each", "a2", "x"], ["B", 40, "each", "A2", "y"]])
def test_rows_of_one_bin_that_differ_add_up_with_a_notice(tmp_path, other):
    found = read(tmp_path, BINS, ["B", 40, "each", "A2", "x"], other)
    assert found.stock.parts["B"].on_hand == 40 + other[1]
    (notice,) = found.problems
    assert (notice.place.cell, notice.code, notice.severity) == ("D3", "bin-doubled", "notice")


def test_a_row_without_a_bin_pasted_twice_is_asked_about_too(tmp_path):
    found = read(tmp_path, ["part", "on hand", "unit"], ["B", 4, "each"], ["B", 4, "each"], ["B", 5, "each"])
    assert found.stock.parts["B"].on_hand == 9
    assert [(each.place.cell, each.code, each.severity) for each in found.problems] == [
        ("A3", "bin-doubled", "error")
    ]
