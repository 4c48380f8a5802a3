"""The fast reader in a child process: the same answers, and its end is a plain refusal."""

import pickle

import pytest
from hostile import FILES, packed, parts_of

from reconcile.sheets.files import child_reader
from reconcile.sheets.files.child_reader import ChildBook
from reconcile.sheets.files.fast_reader import FastBook, ReaderFailed, TooManyCells
from reconcile.values.settings import Limits

LIMITS = Limits()


def data_of(kind):
    return (FILES / f"stock.{kind}").read_bytes()


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["xlsx", "xlsb", "xls", "ods"])
def test_a_child_reads_what_this_process_reads(kind):
    child, here = ChildBook(data_of(kind), f".{kind}", LIMITS), FastBook(data_of(kind))
    assert child.sheets == here.sheets
    for name, _ in here.sheets:
        assert child.read(name, LIMITS.cells) == here.read(name, LIMITS.cells)


@pytest.mark.slow
def test_rows_below_blank_ones_come_with_their_place(tmp_path):
    parts = parts_of()
    sheet = parts["xl/worksheets/sheet1.xml"]
    start, end = sheet.index(b"<row "), sheet.index(b"</sheetData>")
    rows = b"".join(b'<row r="%d"><c r="C%d"><v>%d</v></c></row>' % (row, row, row) for row in range(5, 2600))
    parts["xl/worksheets/sheet1.xml"] = sheet[:start] + rows + sheet[end:]
    data = packed(tmp_path / "a.xlsx", parts).read_bytes()
    extent, found = ChildBook(data, ".xlsx", LIMITS).read("Stock", LIMITS.cells)
    assert (extent.first_row, extent.first_column) == (5, 3)
    assert [row[0] for row in found] == list(range(5, 2600))


def test_too_many_cells_are_counted_by_the_child_too():
    book = ChildBook(data_of("ods"), ".ods", LIMITS)
    with pytest.raises(TooManyCells) as stopped:
        book.read("Stock", 10)
    assert (stopped.value.rows, stopped.value.columns) == (4, 6)
    assert len(book.read("Stock", 24)[1]) == 4


def test_what_takes_too_long_is_ended():
    with pytest.raises(ReaderFailed) as stopped:
        ChildBook(data_of("ods"), ".ods", LIMITS, seconds=0.001)
    assert (stopped.value.code, "longer to read than" in stopped.value.says) == ("file-too-large", True)


@pytest.mark.slow
def test_a_child_that_ended_is_started_anew():
    book = ChildBook(data_of("ods"), ".ods", LIMITS)
    book._child._process.kill()
    with pytest.raises(ReaderFailed) as stopped:
        book.read("Stock", LIMITS.cells)
    assert stopped.value.code == "file-broken"
    assert len(book.read("Stock", LIMITS.cells)[1]) == 4


def test_a_child_that_cannot_be_started_is_no_crash(monkeypatch):
    monkeypatch.setattr("sys.executable", "/nowhere/python")
    with pytest.raises(ReaderFailed) as stopped:
        ChildBook(data_of("ods"), ".ods", LIMITS)
    assert stopped.value.code == "file-unreadable"


def test_no_child_is_left_when_the_book_is_gone():
    book = ChildBook(data_of("ods"), ".ods", LIMITS)
    process, copy = book._child._process, book._copy
    assert (process.poll(), copy.exists()) == (None, True)
    del book
    assert (process.poll() is None, copy.exists()) == (False, False)


def test_only_plain_values_are_taken_from_a_child(tmp_path):
    (tmp_path / "said").write_bytes(pickle.dumps((child_reader._BATCH, print)))
    with (tmp_path / "said").open("rb") as said, pytest.raises(pickle.UnpicklingError):
        child_reader._Plain(said).load()
