"""Rows added to a sheet: inside its table, above its totals, never under merged cells, or refused.

ECMA-376 part 1, 18.5.1 (tables), 18.3.1.55 (merged cells), 18.6 (order of calculation); read back with two
readers that are not ours.
"""

import re
import zipfile
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from books import altered
from python_calamine import CalamineWorkbook
from raw_book import Xml, raw_book

from reconcile.sheets.edits.workbook import SheetChange, change_workbook
from reconcile.values.problem import Unusable

DAY = date(2026, 12, 1)
HEAD = ["date", "part", "quantity", "job", "value"]
ROWS = [[DAY, "CLIP", 4, "J-1"], [DAY, "TIE", 2, "J-2"]]
NEW = [
    {"A": DAY, "B": "GLUE", "C": Fraction(1), "D": "J-3"},
    {"A": DAY, "B": "NUT", "C": Fraction(5), "D": "J-4"},
]


def formula(text: str, result: object) -> Xml:
    return Xml("", f"<f>{text}</f><v>{result}</v>")


def made(path: Path, like: int = 3, rows=NEW, sheet: str = "Usage"):
    found = change_workbook(path.read_bytes(), path.name, [SheetChange(sheet, rows=rows, like=like)])
    path.with_name("new.xlsx").write_bytes(found.data)
    return found


def read(path: Path, sheet: str = "Usage") -> list[list[object]]:
    return CalamineWorkbook.from_path(path.with_name("new.xlsx")).get_sheet_by_name(sheet).to_python()


def formulas(path: Path, sheet: str = "Usage") -> dict[str, str]:
    import openpyxl

    page = openpyxl.load_workbook(path.with_name("new.xlsx"))[sheet]
    return {cell.coordinate: cell.value for row in page.iter_rows() for cell in row if cell.data_type == "f"}


def test_above_a_row_of_totals_which_moves_down_and_takes_them_in(tmp_path: Path) -> None:
    total = ["Total", None, formula("SUM(C2:C3)", 6), None, formula("C4*2", 12)]
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS, total]})
    found = made(path)
    assert [row[1] for row in read(path)] == ["part", "CLIP", "TIE", "GLUE", "NUT", ""]
    assert formulas(path) == {"C6": "=SUM(C2:C5)", "E6": "=C6*2"}
    assert {each.code for each in found.remarks} == {"totals-moved", "formulas-to-recalculate"}


def test_blank_rows_above_a_total_are_filled_first(tmp_path: Path) -> None:
    total = ["Total", None, formula("SUM(C2:C3)", 6)]
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS, [None], total]})
    made(path)
    assert [row[0] for row in read(path)] == ["date", DAY, DAY, DAY, DAY, "Total"]
    assert formulas(path) == {"C6": "=SUM(C2:C5)"}


def test_a_note_below_the_rows_stays_where_it_is(tmp_path: Path) -> None:
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS, ["counted by the clerk"]]})
    made(path)
    assert [row[0] for row in read(path)] == ["date", DAY, DAY, "counted by the clerk", DAY, DAY]


def with_table(
    path: Path, ref: str, *, totals: bool = False, calculated: str = "", chain: bool = True
) -> Path:
    """The book with a table over its sheet Usage, and a part that keeps the order of calculation."""
    columns = "".join(
        f'<tableColumn id="{n}" name="{name}"'
        + (
            f"><calculatedColumnFormula>{calculated}</calculatedColumnFormula></tableColumn>"
            if calculated and name == "value"
            else "/>"
        )
        for n, name in enumerate(HEAD, 1)
    )
    last = int(re.search(r"(\d+)$", ref)[1])
    filtered = ref if not totals else ref.replace(str(last), str(last - 1))
    table = (
        f'<table xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" id="1" name="Used"'
        f' displayName="Used" ref="{ref}"{" totalsRowCount=" + chr(34) + "1" + chr(34) if totals else ""}>'
        f'<autoFilter ref="{filtered}"/><tableColumns count="5">{columns}</tableColumns></table>'
    )
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    space = "http://schemas.openxmlformats.org/package/2006/relationships"
    altered(path, lambda xml: xml.replace(
        b"</sheetData>", f'</sheetData><tableParts xmlns:r="{office}" count="1"><tablePart r:id="rId1"/></tableParts>'.encode()))  # fmt: skip  # noqa: E501
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    override = f'<Override PartName="/xl/tables/table1.xml" ContentType="{kind}.table+xml"/>'
    if chain:
        override += f'<Override PartName="/xl/calcChain.xml" ContentType="{kind}.calcChain+xml"/>'
        altered(path, lambda xml: xml.replace(b"</Relationships>", f'<Relationship Id="rId99" Type="{office}/calcChain" Target="calcChain.xml"/></Relationships>'.encode()), "xl/_rels/workbook.xml.rels")  # fmt: skip  # noqa: E501
    altered(path, lambda xml: xml.replace(b"</Types>", f"{override}</Types>".encode()), "[Content_Types].xml")
    with zipfile.ZipFile(path, "a") as packed:
        packed.writestr("xl/tables/table1.xml", table)
        packed.writestr("xl/worksheets/_rels/sheet1.xml.rels", f'<Relationships xmlns="{space}"><Relationship Id="rId1" Type="{office}/table" Target="../tables/table1.xml"/></Relationships>')  # fmt: skip  # noqa: E501
        if chain:
            packed.writestr("xl/calcChain.xml", '<calcChain xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><c r="E2" i="1"/></calcChain>')  # fmt: skip  # noqa: E501
    return path


def table_of(path: Path) -> tuple[str, str]:
    import openpyxl

    table = openpyxl.load_workbook(path.with_name("new.xlsx"))["Usage"].tables["Used"]
    return table.ref, table.autoFilter.ref


def test_inside_a_table_with_totals_and_a_calculated_column(tmp_path: Path) -> None:
    rows = [[*row, formula("Used[[#This Row],[quantity]]*3", 3)] for row in ROWS]
    total = ["Total", None, formula("SUBTOTAL(109,Used[quantity])", 6), None, formula("SUM(E2:E3)", 18)]
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *rows, total]})
    with_table(path, "A1:E4", totals=True, calculated="Used[[#This Row],[quantity]]*3")
    found = made(path)
    assert [row[1] for row in read(path)] == ["part", "CLIP", "TIE", "GLUE", "NUT", ""]
    assert table_of(path) == ("A1:E6", "A1:E5")
    told = formulas(path)
    assert {told[cell] for cell in ("E2", "E3", "E4", "E5")} == {"=Used[[#This Row],[quantity]]*3"}
    assert told["C6"] == "=SUBTOTAL(109,Used[quantity])"
    assert told["E6"] == "=SUM(E2:E5)"
    with zipfile.ZipFile(path.with_name("new.xlsx")) as packed:
        assert "xl/calcChain.xml" not in packed.namelist()
        assert b"calcChain" not in packed.read("[Content_Types].xml")
        assert b"calcChain" not in packed.read("xl/_rels/workbook.xml.rels")
    assert "table-lengthened" in {each.code for each in found.remarks}


def test_a_calculated_column_of_relative_cells_counts_from_its_own_row(tmp_path: Path) -> None:
    rows = [[*row, formula(f"C{at}*2+$C$1", 3)] for at, row in enumerate(ROWS, 2)]
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *rows]})
    with_table(path, "A1:E3", calculated="C2*2+$C$1")
    made(path)
    assert {cell: formulas(path)[cell] for cell in ("E4", "E5")} == {"E4": "=C4*2+$C$1", "E5": "=C5*2+$C$1"}
    assert table_of(path) == ("A1:E5", "A1:E5")


def test_inside_a_table_that_has_a_note_below(tmp_path: Path) -> None:
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS, ["a note"]]})
    with_table(path, "A1:E3", chain=False)
    made(path)
    assert [row[0] for row in read(path)] == ["date", DAY, DAY, DAY, DAY, "a note"]
    assert table_of(path) == ("A1:E5", "A1:E5")


def test_blank_rows_of_a_table_are_filled_and_it_stays_as_long(tmp_path: Path) -> None:
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS]})
    with_table(path, "A1:E9", chain=False)
    made(path)
    assert [row[1] for row in read(path)] == ["part", "CLIP", "TIE", "GLUE", "NUT"]
    assert table_of(path) == ("A1:E9", "A1:E9")


def test_a_column_that_is_calculated_and_ours_is_refused(tmp_path: Path) -> None:
    path = raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS]})
    with_table(path, "A1:E3", calculated="1+1", chain=False)
    with pytest.raises(Unusable) as refused:
        made(path, rows=[{"A": DAY, "E": Fraction(1)}])
    assert [each.code for each in refused.value.problems] == ["cell-is-formula"]


def merged(path: Path, area: str) -> Path:
    tag = f'</sheetData><mergeCells count="1"><mergeCell ref="{area}"/></mergeCells>'
    return altered(path, lambda xml: xml.replace(b"</sheetData>", tag.encode()))


def test_never_under_merged_cells(tmp_path: Path) -> None:
    path = merged(
        raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS, ["a note over three rows"]]}), "A4:E6"
    )
    made(path)
    rows = read(path)
    assert [row[1] for row in rows[6:]] == ["GLUE", "NUT"]
    assert [row[1] for row in rows[3:6]] == ["", "", ""]


def test_merged_cells_of_a_total_move_with_it(tmp_path: Path) -> None:
    total = ["Total of all", None, formula("SUM(C2:C3)", 6)]
    path = merged(raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS, total]}), "A4:B4")
    made(path)
    import openpyxl

    page = openpyxl.load_workbook(path.with_name("new.xlsx"))["Usage"]
    assert [str(each) for each in page.merged_cells.ranges] == ["A6:B6"]
    assert page["A4"].value is not None


@pytest.mark.parametrize(
    "others",
    [
        {"Notes": [[formula("Usage!C4+1", 7)]]},
        {"Notes": [[formula("SUM('Usage'!C2:C4)", 7)]]},
        {"Usage": [[*HEAD, formula("C4", 6)], *ROWS, ["Total", None, formula("SUM(C2:C3)", 6)]]},
    ],
)
def test_a_total_that_other_cells_use_is_not_moved(tmp_path: Path, others: dict) -> None:
    usage = [HEAD, *ROWS, ["Total", None, formula("SUM(C2:C3)", 6)]]
    path = raw_book(tmp_path / "a.xlsx", {"Usage": usage} | others)
    with pytest.raises(Unusable) as refused:
        made(path)
    assert [each.code for each in refused.value.problems] == ["rows-cannot-be-added"]
    made(path, rows=[])


def test_what_refers_to_the_rows_above_is_no_hindrance(tmp_path: Path) -> None:
    usage = [HEAD, *ROWS, ["Total", None, formula("SUM(C2:C3)", 6)]]
    path = raw_book(tmp_path / "a.xlsx", {"Usage": usage, "Notes": [[formula("Usage!C3*2", 4), "Usage!C4"]]})
    made(path)
    assert formulas(path, "Notes") == {"A1": "=Usage!C3*2"}


# --- XML that contradicts itself, and names of parts -----------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [
        lambda xml: re.sub(rb'<row r="\d+">', b"<row>", xml).replace(b'r="A2"', b'r="A7"'),
        lambda xml: xml.replace(b'<row r="2">', b'<row r="3">'),
        lambda xml: xml.replace(b'<row r="3">', b'<row r="2">'),
        lambda xml: xml.replace(b'r="B2"', b'r="A2"'),
        lambda xml: xml.replace(b'r="A2"', b'r="Z2"'),
        lambda xml: xml.replace(b'<row r="2">', b'<row r="x">'),
        lambda xml: xml.replace(b'r="B2"', b'r="B"'),
    ],
)
def test_a_sheet_that_contradicts_itself_is_refused(tmp_path: Path, change) -> None:
    path = altered(raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS]}), change)
    with pytest.raises(Unusable) as refused:
        made(path)
    assert [each.code for each in refused.value.problems] == ["sheet-contradicts-itself"]


def renamed(path: Path, names: dict[str, str]) -> Path:
    """The package with other names of parts, in all that names them."""
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    for old, new in names.items():
        parts = {
            (new if name == old else name): (
                data.replace(old.encode(), new.encode()).replace(old.removeprefix("xl/").encode(), new.removeprefix("xl/").encode())  # noqa: E501
                if name.endswith(".rels") or name == "[Content_Types].xml" else data
            )
            for name, data in parts.items()
        }  # fmt: skip
    with zipfile.ZipFile(path, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    return path


@pytest.mark.parametrize(
    "names",
    [
        {"xl/workbook.xml": "xl/book.xml", "xl/_rels/workbook.xml.rels": "xl/_rels/book.xml.rels"},
        {"xl/workbook.xml": "xl/Workbook.xml"},
        {"xl/worksheets/sheet1.xml": "xl/worksheets/Usage.XML"},
        {"xl/styles.xml": "xl/looks.xml"},
    ],
)
def test_parts_of_other_names_are_found(tmp_path: Path, names: dict) -> None:
    from reconcile.sheets.files.books import open_book

    path = renamed(raw_book(tmp_path / "a.xlsx", {"Usage": [HEAD, *ROWS]}), names)
    assert open_book(path).grid("Usage").rows[1][1] == "CLIP"
    found = made(path)
    grid = open_book(path.with_name("new.xlsx")).grid("Usage")
    assert [row[1] for row in grid.rows] == ["part", "CLIP", "TIE", "GLUE", "NUT"]
    assert all(isinstance(row[0], date) for row in grid.rows[1:])
    assert found.parts
