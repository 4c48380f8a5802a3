"""Files to grids: what is read, and why a file cannot be."""

import hashlib
import zipfile
from datetime import date, datetime

import pytest
from books import altered, csv_file, flat, workbook

from reconcile.sheets.files import archive
from reconcile.sheets.files.books import column_letters, open_book
from reconcile.sheets.unseen.workbooks import CellFault, cell_fault, hidden_cells
from reconcile.values.problem import Unusable
from reconcile.values.settings import DEFAULT_LIMITS, Limits

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def refusal(path, sheet=None, limits=DEFAULT_LIMITS):
    """The code of the one problem with which a file (or its sheet) is refused."""
    with pytest.raises(Unusable) as refused:
        book = open_book(path, limits)
        book.grid(sheet or book.sheet_names[0])
    (problem,) = refused.value.problems
    assert problem.place.file == path.name
    return problem.code


# workbooks


@pytest.mark.slow
def test_cells_keep_their_kind_and_their_address(tmp_path):
    path = workbook(
        tmp_path / "a.xlsx",
        Jobs=[
            [],
            [],
            [None, None, "job", "date"],
            [None, None, 417, date(2026, 12, 1)],
            [None, None, True, "NA"],
        ],
    )
    grid = open_book(path).grid("Jobs")
    assert grid.rows == [["job", "date"], [417.0, date(2026, 12, 1)], [True, "NA"]]
    assert (grid.file, grid.sheet) == ("a.xlsx", "Jobs")
    assert [grid.address(0, 0), grid.address(1, 1)] == ["C3", "D4"]


def test_a_day_with_a_time_and_an_empty_text(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Jobs=[["x", "y", "z"], [datetime(2026, 12, 1, 7, 30), "", 0.1]])
    assert open_book(path).grid("Jobs").rows[1] == [datetime(2026, 12, 1, 7, 30), None, 0.1]


def test_a_blank_sheet_has_no_rows(tmp_path):
    book = open_book(workbook(tmp_path / "a.xlsx", Jobs=[], Other=[["x"]]))
    assert book.sheet_names == ["Jobs", "Other"]
    assert book.grid("Jobs").rows == []


def test_the_hash_is_that_of_the_bytes(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Jobs=[["x"]])
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    assert open_book(path).sha256 == digest
    assert open_book(path).digests == (("a.xlsx", digest),)


@pytest.mark.parametrize(
    ("number", "letters"), [(1, "A"), (26, "Z"), (27, "AA"), (702, "ZZ"), (16384, "XFD")]
)
def test_columns_have_letters(number, letters):
    assert column_letters(number) == letters
    assert archive.column_number(letters) == number


# files that cannot be used


def test_a_missing_file_names_those_like_it(tmp_path):
    workbook(tmp_path / "stock.xlsx", Stock=[["x"]])
    with pytest.raises(Unusable) as refused:
        open_book(tmp_path / "stok.xlsx")
    (problem,) = refused.value.problems
    assert (problem.code, "stock.xlsx" in problem.says) == ("file-missing", True)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "data", "code"),
    [
        ("empty.xlsx", b"", "file-kind"),
        ("page.xls", b"<html><table></table></html>", "file-kind"),
        ("text.xls", b"part,on hand\nB-1,3\n", "file-kind"),
        ("picture.png", b"\x89PNG", "file-kind"),
        ("picture.xlsx", b"\x89PNG\0\0", "file-kind"),
        ("other.xls", OLE + b"\0" * 2000, "file-kind"),
        ("locked.xlsx", OLE + b"\0" * 500 + "EncryptedPackage".encode("utf-16-le"), "file-protected"),
        ("old.xls", OLE + "Workbook".encode("utf-16-le") + b"\0" * 2000, "file-broken"),
        (
            "oldlocked.xls",
            OLE + b"\x09\x08\x10\0\0\x06" + b"\0" * 14 + b"\x2f\0\x04\0" + b"\0" * 500,
            "file-protected",
        ),
        ("~$stock.xlsx", b"x", "file-is-lock"),
        ("empty.csv", b"  \n", "file-kind"),
        ("book.csv", b"PK\x03\x04\0\0", "file-kind"),
        ("bytes.csv", b"a,b\n\0\0", "file-kind"),
        ("neither.csv", b"a,b\n\x81,\xff", "text-undecodable"),
    ],
)
def test_a_file_of_another_kind_is_refused(tmp_path, name, data, code):
    (tmp_path / name).write_bytes(data)
    assert refusal(tmp_path / name) == code


def test_an_archive_without_a_workbook_is_refused(tmp_path):
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as packed:
        packed.writestr("letter.txt", "x")
    assert refusal(tmp_path / "a.xlsx") == "file-kind"


def test_a_file_cut_short_is_broken(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Jobs=[["x", 1]] * 50)
    path.write_bytes(path.read_bytes()[:-400])
    assert refusal(path) == "file-broken"


def test_a_sheet_cut_short_is_broken(tmp_path):
    path = altered(workbook(tmp_path / "a.xlsx", Jobs=[["x", 1]] * 50), lambda xml: xml[: len(xml) // 2])
    assert refusal(path) == "file-broken"


def test_a_panic_of_the_reader_is_a_problem(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Jobs=[["x"], ["y"]])
    altered(path, lambda xml: xml.replace(b'r="A1"', b'r="ZZZZZZZZZ99999999999"'))
    assert refusal(path, limits=Limits(cells=10**18)) == "file-broken"


def test_a_document_type_is_refused(tmp_path):
    path = altered(
        workbook(tmp_path / "a.xlsx", Jobs=[["x"]]), lambda xml: b'<!DOCTYPE x [<!ENTITY a "b">]>' + xml
    )
    assert refusal(path) == "file-suspect"


@pytest.mark.parametrize(
    "far",
    [
        b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>',
        b'<row r="90000"><c r="ZZZ90000"><v>1</v></c></row>',
        b"<row r='1048576'><c r='XFD1048576'><v>1</v></c></row>",
        b'<row r="1048576"><c\n s="0" r="XFD1048576"><v>1</v></c></row>',
        b'<row r="2">' + b"<c/>" * 16384 + b'</row><row r="1048576"><c><v>1</v></c></row>',
    ],
)
def test_two_cells_far_apart_are_refused(tmp_path, far):
    path = workbook(tmp_path / "a.xlsx", Jobs=[["x"]])
    altered(path, lambda xml: xml.replace(b"</sheetData>", far + b"</sheetData>"))
    assert refusal(path) == "file-too-large"


@pytest.mark.slow
def test_formatted_blank_rows_cost_nothing(tmp_path):
    blank = b"".join(b'<row r="%d"><c r="A%d" s="0"/></row>' % (row, row) for row in range(2, 1_048_577, 4))
    path = workbook(tmp_path / "a.xlsx", Jobs=[["x"]])
    altered(path, lambda xml: xml.replace(b"</sheetData>", blank + b"</sheetData>"))
    assert open_book(path).grid("Jobs").rows == [["x"]]


@pytest.mark.slow
def test_what_expands_too_far_is_refused(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Jobs=[["x" * 100, number] for number in range(20_000)])
    assert path.stat().st_size < 1_000_000
    assert refusal(path, limits=Limits(expanded_mb=1)) == "file-too-large"


# csv


def test_csv_is_all_text(tmp_path):
    book = open_book(csv_file(tmp_path / "Stock.csv", "part,on hand\n00417,1E5\nNA,\n"))
    assert book.sheet_names == ["Stock"]
    assert book.grid("Stock").rows == [["part", "on hand"], ["00417", "1E5"], ["NA", None]]
    assert book.problems == []


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_delimiter_and_encoding_are_found(tmp_path, mark, encoding):
    text = mark.join(["part", "größe", "on hand"]) + "\n" + mark.join(["B-1", '"1,5;2"', "3"]) + "\n"
    grid = open_book(csv_file(tmp_path / "Stock.csv", text, encoding)).grid("Stock")
    assert grid.rows == [["part", "größe", "on hand"], ["B-1", "1,5;2", "3"]]


def test_cp1252_is_remarked(tmp_path):
    book = open_book(csv_file(tmp_path / "Stock.csv", "part,größe\nB-1,3\n", "cp1252"))
    assert book.grid("Stock").rows[0] == ["part", "größe"]
    assert [each.code for each in book.problems] == ["text-encoding"]


def test_an_open_quote_names_its_line(tmp_path):
    path = csv_file(tmp_path / "Stock.csv", 'part,on hand\nB-1,3\nB-2,"4\nB-3,5\n')
    with pytest.raises(Unusable) as refused:
        open_book(path).grid("Stock")
    assert flat(refused.value.problems) == [("line 3", "csv-quote")]


def test_a_quote_inside_a_quoted_field_names_its_line(tmp_path):
    path = csv_file(tmp_path / "Stock.csv", 'part,note\nB-1,"8" castor"\n')
    with pytest.raises(Unusable) as refused:
        open_book(path).grid("Stock")
    assert flat(refused.value.problems) == [("line 2", "csv-quote")]


def test_an_inch_mark_in_an_unquoted_field_is_fine(tmp_path):
    grid = open_book(csv_file(tmp_path / "Stock.csv", 'part,note\nB-1,8" castor\n')).grid("Stock")
    assert grid.rows[1] == ["B-1", '8" castor']


def test_a_folder_of_csv_is_a_book(tmp_path):
    csv_file(tmp_path / "Stock.csv", "part\nB-1\n")
    csv_file(tmp_path / "On order.csv", "order\nP-1\n")
    book = open_book(tmp_path)
    assert book.sheet_names == ["On order", "Stock"]
    assert book.grid("Stock").file == "Stock.csv"
    assert [name for name, _ in book.sha256] == ["On order.csv", "Stock.csv"]


def test_a_folder_without_csv_is_missing(tmp_path):
    with pytest.raises(Unusable) as refused:
        open_book(tmp_path)
    assert [each.code for each in refused.value.problems] == ["file-missing"]


# what the fast reader hides


def test_hidden_cells_are_told_from_blank_ones(tmp_path):
    path = workbook(
        tmp_path / "a.xlsx", Stock=[["part", "on hand"], ["a", "#N/A"], ["b", "=1+1"], ["c", None]]
    )
    book = open_book(path)
    assert hidden_cells(book, "Stock") == {
        "B2": CellFault("cell-error", "#N/A"),
        "B3": CellFault("formula-not-calculated", "=1+1"),
    }
    assert cell_fault(book, "Stock", "B3") == CellFault("formula-not-calculated", "=1+1")
    assert cell_fault(book, "Stock", "B4") is None


def test_a_formula_whose_result_is_no_text_is_blank(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Stock=[["part", "on hand"], ["a", "=1+1"]])
    altered(path, lambda xml: xml.replace(b'<c r="B2">', b'<c r="B2" t="str">'))
    assert hidden_cells(open_book(path), "Stock") == {}


def test_a_calculated_formula_is_its_result(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Stock=[["part", "on hand"], ["a", "=1+1"]])
    altered(path, lambda xml: xml.replace(b"<v></v>", b"<v>2</v>").replace(b"<v />", b"<v>2</v>"))
    book = open_book(path)
    assert (book.grid("Stock").rows[1], hidden_cells(book, "Stock")) == (["a", 2.0], {})


def test_csv_hides_nothing(tmp_path):
    assert hidden_cells(open_book(csv_file(tmp_path / "Stock.csv", "part\na\n")), "Stock") == {}
