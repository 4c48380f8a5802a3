"""csv text: what parts the cells, what is refused with its line, and that no fault shifts a column."""

import pytest
from books import csv_file, flat

from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable
from reconcile.values.settings import CsvForm, Limits


def grid_of(folder, text, encoding="utf-8", **given):
    """The grid of a csv text."""
    return open_book(csv_file(folder / "Stock.csv", text, encoding), **given).grid("Stock")


def refusal(folder, text, encoding="utf-8", **given):
    """Why it is refused, as flat (place, code) pairs."""
    with pytest.raises(Unusable) as refused:
        grid_of(folder, text, encoding, **given)
    return flat(refused.value.problems)


# the delimiter


@pytest.mark.parametrize(
    ("text", "second_row"),
    [
        ("part;on hand\nB-1;1,5\nB-2;2,5\n", ["B-1", "1,5"]),
        ("Stock, week 49, shelf\npart;on hand;unit\nB-1;3;each\n", ["part", "on hand", "unit"]),
        ('part,notes\nB-1,"a; b; c"\nB-2,"d; e; f"\n', ["B-1", "a; b; c"]),
        ("part,options,bin\nB-1,a; b,x\nB-2,c; d,y\n", ["B-1", "a; b", "x"]),
        ("part\ton hand\nB-1, long\t3\n", ["B-1, long", "3"]),
        ("part|on hand\nB-1|3\n", ["B-1", "3"]),
        ("sep=;\npart;price\nB-1;1,25\n", ["part", "price"]),
        ('"a\t\n\t\x0b\x0c\r end\t\n",b,c\nd,e,f\n', ["d", "e", "f"]),
        ("part\nB-1\n", ["B-1"]),
    ],
)
def test_the_delimiter_is_found(tmp_path, text, second_row):
    assert grid_of(tmp_path, text).rows[1] == second_row


def test_a_declared_delimiter_wins(tmp_path):
    text = "part;on hand,unit\nB-1;3,each\n"
    assert grid_of(tmp_path, text, csv_form=CsvForm(",")).rows[1] == ["B-1;3", "each"]


# quotes


def test_a_stray_quote_in_each_of_two_rows_does_not_swallow_one(tmp_path):
    text = 'part,description,on hand\nB-1,"8 castor,3\nB-2,castor 8",4\n'
    assert refusal(tmp_path, text) == [("line 2", "csv-quote")]


def test_a_line_break_in_a_cell_is_kept(tmp_path):
    grid = grid_of(tmp_path, 'part,notes,bin\nB-1,"two\nlines, no more",x\nB-2,,y\n')
    assert grid.rows[1:] == [["B-1", "two\nlines, no more", "x"], ["B-2", None, "y"]]
    assert [grid.line(row) for row in range(3)] == [1, 2, 4]


def test_a_doubled_quote_is_one(tmp_path):
    assert grid_of(tmp_path, 'part,notes\nB-1,"8"" castor"\n').rows[1] == ["B-1", '8" castor']


# encoding


def test_text_in_another_encoding_than_declared_is_refused(tmp_path):
    text = "part,größe\nB-1,3\n"
    assert refusal(tmp_path, text, "cp1252", csv_form=CsvForm(encoding="utf-8")) == [
        ("line 1", "text-undecodable")
    ]


def test_a_cut_utf_16_file_is_never_read_as_another_encoding(tmp_path):
    (tmp_path / "Stock.csv").write_bytes("part,on hand\nB-1,3\n".encode("utf-16")[:-1])
    with pytest.raises(Unusable) as refused:
        open_book(tmp_path / "Stock.csv").grid("Stock")
    assert [each.code for each in refused.value.problems] == ["text-undecodable"]


@pytest.mark.parametrize(
    "data",
    [
        b"<html><table><tr><td>part</td></tr></table></html>",
        b'<?xml version="1.0"?><Workbook/>',
        "part,on hand\n".encode("utf-32-le"),
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
    ],
)
def test_what_is_no_csv_is_refused(tmp_path, data):
    (tmp_path / "Stock.csv").write_bytes(data)
    with pytest.raises(Unusable) as refused:
        open_book(tmp_path / "Stock.csv")
    assert [each.code for each in refused.value.problems] == ["file-kind"]


# limits


def test_a_long_csv_is_refused_by_its_cells(tmp_path):
    assert refusal(tmp_path, "a,b\n" * 60, limits=Limits(cells=100)) == [("line 51", "file-too-large")]


def test_a_large_csv_is_refused_by_its_bytes(tmp_path):
    assert refusal(tmp_path, "a" * 1_000_001, limits=Limits(expanded_mb=1)) == [("", "file-too-large")]


def test_blank_rows_at_the_end_cost_nothing(tmp_path):
    assert grid_of(tmp_path, "part,on hand\nB-1,3\n" + ",\n" * 5000, limits=Limits(cells=100)).rows == [
        ["part", "on hand"],
        ["B-1", "3"],
    ]


def test_a_blank_row_between_keeps_the_rows_below_in_place(tmp_path):
    grid = grid_of(tmp_path, "part,on hand\n\n,\nB-1,3\n")
    assert (grid.rows[3], grid.address(3, 0), grid.line(3)) == (["B-1", "3"], "A4", 4)
