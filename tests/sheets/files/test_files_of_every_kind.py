"""One real file of every kind, all of one stock table; and one that asks for a password.

The workbooks were written by LibreOffice, the xlsb by ``xlsb_book``, the csv files by hand.
"""

from pathlib import Path

import pytest

from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable
from reconcile.values.settings import CsvForm

FILES = Path(__file__).parents[2] / "cases" / "files"
STOCK = [
    ["part", "description", "on hand", "unit", "price", "bin"],
    ["00417", 'Castor 8"', 4, "each", 1.25, "A1"],
    ["B14-250", "SHCS 1/4-20 x 2-1/2", 12, "each", 0.45, "größe 2"],
    ["TL-MED", "thread lock, medium", 25.5, "mL", None, "C3"],
]
AS_TEXT = [[None if cell is None else str(cell) for cell in row] for row in STOCK]
CSV = {
    "utf-8": 'UTF-8, delimiter comma, quote "',
    "utf-8-mark": 'UTF-8 with a mark, delimiter semicolon, quote "',
    "utf-16-mark": 'UTF-16 with a mark, delimiter tab, quote "',
    "utf-16-le": 'UTF-16 without a mark, delimiter semicolon, quote "',
    "utf-16-be": 'UTF-16 without a mark, delimiter bar, quote "',
    "cp1252": 'cp1252 as a guess, delimiter semicolon, quote "',
}


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["xlsx", "xlsm", "xlsb", "xls", "ods"])
def test_every_kind_of_workbook_gives_the_same_table(kind):
    book = open_book(FILES / f"stock.{kind}")
    grid = book.grid("Stock")
    assert (grid.rows, grid.address(0, 0), book.problems) == (STOCK, "A1", [])
    assert book.read_as == {}


@pytest.mark.parametrize("name", CSV)
def test_every_csv_gives_the_same_table_and_says_how_it_was_read(name):
    book = open_book(FILES / f"stock-{name}.csv")
    assert book.grid(f"stock-{name}").rows == AS_TEXT
    assert book.read_as == {f"stock-{name}.csv": CSV[name]}
    assert [each.code for each in book.problems] == (["text-encoding"] if name == "cp1252" else [])


@pytest.mark.parametrize(
    ("name", "delimiter", "encoding"),
    [("cp1252", ";", "cp1252"), ("utf-8-mark", None, "utf-8"), ("utf-16-le", ";", "utf-16-le")],
)
def test_what_is_declared_is_not_guessed(name, delimiter, encoding):
    book = open_book(FILES / f"stock-{name}.csv", csv_form=CsvForm(delimiter, encoding))
    assert (book.grid(f"stock-{name}").rows, book.problems) == (AS_TEXT, [])
    assert "as declared" in book.read_as[f"stock-{name}.csv"]


def test_a_protected_workbook_says_so():
    with pytest.raises(Unusable) as refused:
        open_book(FILES / "locked.xlsx")
    assert [each.code for each in refused.value.problems] == ["file-protected"]
