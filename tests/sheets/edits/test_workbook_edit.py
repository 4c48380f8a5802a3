"""Cells changed in a workbook's own XML: what was to change did, and nothing else."""

import zipfile
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from books import altered, workbook
from lxml import etree
from python_calamine import CalamineWorkbook
from raw_book import Xml, raw_book
from rich_book import MACROS, rich_book

from reconcile.sheets.edits.workbook import SheetChange, asks_to_recalculate, change_workbook
from reconcile.values.problem import Unusable

STOCK, USAGE = "xl/worksheets/sheet1.xml", "xl/worksheets/sheet3.xml"


def changed(path: Path, *changes: SheetChange, name: str = "new.xlsx"):
    """The change of the file, written beside it."""
    found = change_workbook(path.read_bytes(), path.name, changes)
    path.with_name(name).write_bytes(found.data)
    return found


def parts(data: bytes | Path) -> dict[str, bytes]:
    import io

    with zipfile.ZipFile(io.BytesIO(data) if isinstance(data, bytes) else data) as packed:
        return {each.filename: packed.read(each) for each in packed.infolist()}


def canonical(xml: bytes) -> list[str]:
    """A part in its canonical form, a line for each tag (W3C, Canonical XML 1.1)."""
    return etree.tostring(etree.fromstring(xml), method="c14n").decode().replace("><", ">\n<").split("\n")


def without_cells(xml: bytes, *addresses: str) -> list[str]:
    """The part in its canonical form but for the insides of these cells, and rows that they alone make."""
    root = etree.fromstring(xml)
    for cell in root.iter("{*}c"):
        if cell.get("r") in addresses:
            for child in list(cell):
                cell.remove(child)
            cell.attrib.pop("t", None)
    return etree.tostring(root, method="c14n").decode().replace("><", ">\n<").split("\n")


@pytest.fixture(params=["stock.xlsx", "stock.xlsm"])
def book(tmp_path: Path, request) -> Path:
    return rich_book(tmp_path / request.param)


CHANGES = (
    SheetChange("Stock", {"D4": Fraction(37), "D5": "22.5 mL", "D7": Fraction(5, 2)}),
    SheetChange(
        "Usage",
        rows=[
            {"A": date(2026, 12, 1), "B": "CLIP", "C": Fraction(3), "D": "J-7"},
            {"A": date(2026, 12, 2), "B": "=1+1 & <b>", "C": Fraction(1, 8), "D": "J-8"},
        ],
        like=2,
    ),
)


def test_every_other_part_is_as_it_was(book: Path) -> None:
    before, found = parts(book), changed(book, *CHANGES)
    after = parts(found.data)
    assert list(after) == list(before)
    differ = {name for name in before if before[name] != after[name]}
    assert differ == set(found.parts)
    assert differ == {STOCK, USAGE, "xl/tables/table1.xml", "xl/workbook.xml"}
    assert any(name.startswith("xl/charts/") for name in before)
    assert any(name.startswith("xl/media/") for name in before)
    assert any("comment" in name.lower() for name in before)
    assert before.get("xl/vbaProject.bin", MACROS) == after.get("xl/vbaProject.bin", MACROS)


def test_in_a_changed_sheet_only_the_cells_meant_differ(book: Path) -> None:
    before, after = parts(book), parts(changed(book, *CHANGES).data)
    cells = ("D4", "D5", "D7")
    assert without_cells(before[STOCK], *cells) == without_cells(after[STOCK], *cells)
    assert canonical(before[STOCK]) != canonical(after[STOCK])
    assert b"x14:sparkline" in after[STOCK]
    assert b"conditionalFormatting" in after[STOCK]
    assert b"dataValidation" in after[STOCK]
    assert b"<v>7</v>" in after[STOCK]  # results of formulas stay until they are worked out anew


def test_the_flag_is_all_that_changes_of_the_workbook(book: Path) -> None:
    before, after = parts(book)["xl/workbook.xml"], parts(changed(book, *CHANGES).data)["xl/workbook.xml"]
    assert after.replace(b' fullCalcOnLoad="1"', b"", 1) == before


def test_the_cells_say_what_they_were_given(book: Path) -> None:
    found = changed(book, *CHANGES)
    read = CalamineWorkbook.from_path(book.with_name("new.xlsx"))
    stock = read.get_sheet_by_name("Stock").to_python(skip_empty_area=False)
    assert [row[3] for row in stock[3:]] == [37.0, "22.5 mL", 12.0, 2.5]
    usage = read.get_sheet_by_name("Usage").to_python(skip_empty_area=False)
    assert usage[2:] == [
        [date(2026, 12, 1), "CLIP", 3.0, "J-7"],
        [date(2026, 12, 2), "=1+1 & <b>", 0.125, "J-8"],
    ]
    assert {each.code for each in found.remarks} == {"formulas-to-recalculate", "table-lengthened"}
    assert 'ref="A1:D4"' in parts(found.data)["xl/tables/table1.xml"].decode()


def test_formats_stay_and_added_rows_have_those_of_the_last(book: Path) -> None:
    import openpyxl

    changed(book, *CHANGES)
    read = openpyxl.load_workbook(book.with_name("new.xlsx"))
    assert read["Stock"]["D4"].font.bold
    assert read["Stock"]["D4"].fill.fgColor.rgb == "00FFEEDD"
    assert read["Usage"]["A4"].number_format == "yyyy-mm-dd"
    assert read["Stock"].column_dimensions["C"].width == 31.5


def test_nothing_to_change_changes_nothing(book: Path) -> None:
    found = changed(book)
    assert found.parts == ()
    assert parts(found.data) == parts(book)


def test_an_emptied_cell_keeps_its_format_and_moves_no_row(book: Path) -> None:
    import openpyxl

    changed(book, SheetChange("On order", {"A2": None, "B2": None, "C2": None, "D2": None}))
    read = openpyxl.load_workbook(book.with_name("new.xlsx"))["On order"]
    assert [cell.value for cell in read[2]] == [None, None, None, None, "ring first"]
    assert read["D2"].number_format == "yyyy-mm-dd"
    assert read["A3"].value == "PO-2"


def test_a_formula_is_never_written_over(book: Path) -> None:
    with pytest.raises(Unusable) as refused:
        changed(book, SheetChange("Stock", {"D4": Fraction(1), "G4": Fraction(2), "G5": Fraction(3)}))
    assert [(each.code, each.place.cell, each.found) for each in refused.value.problems] == [
        ("cell-is-formula", "G4", "=D4*2"),
        ("cell-is-formula", "G5", "=E5+1"),
    ]


def test_a_cell_of_an_array_formula_is_never_written_over(tmp_path: Path) -> None:
    array = Xml("", '<f t="array" ref="A1:A3">B1:B3*2</f><v>2</v>')
    path = raw_book(tmp_path / "a.xlsx", {"Stock": [[array, 1], [2, 1], [2, 1], [4, 2]]})
    with pytest.raises(Unusable) as refused:
        change_workbook(path.read_bytes(), path.name, [SheetChange("Stock", {"A3": Fraction(1)})])
    assert [each.code for each in refused.value.problems] == ["cell-is-formula"]


def test_a_signed_workbook_is_refused(book: Path) -> None:
    with zipfile.ZipFile(book, "a") as packed:
        packed.writestr("_xmlsignatures/sig1.xml", b"<Signature/>")
    with pytest.raises(Unusable) as refused:
        changed(book, *CHANGES)
    assert refused.value.problems[0].code == "workbook-signed"


def test_a_sheet_that_cannot_be_told_is_refused(book: Path) -> None:
    with pytest.raises(Unusable) as refused:
        changed(book, SheetChange("Stok", {"A1": Fraction(1)}))
    assert refused.value.problems[0].code == "sheet-missing"


def test_another_kind_of_workbook_is_refused(tmp_path: Path) -> None:
    from hostile import ods_with

    path = ods_with(tmp_path / "stock.ods", b"")
    with pytest.raises(Unusable) as refused:
        change_workbook(path.read_bytes(), path.name, [SheetChange("Stock", {"A1": Fraction(1)})])
    assert refused.value.problems[0].code == "stock-not-closable"


def test_a_workbook_without_formulas_asks_for_nothing(tmp_path: Path) -> None:
    path = workbook(tmp_path / "plain.xlsx", Stock=[("part", "on hand"), ("CLIP", 4)])
    altered(path, lambda xml: xml.replace(b' fullCalcOnLoad="1"', b""), "xl/workbook.xml")
    found = changed(path, SheetChange("Stock", {"B2": Fraction(3)}))
    assert found.parts == ("xl/worksheets/sheet1.xml",)
    assert found.remarks == ()


def test_a_cell_that_is_not_there_is_made_in_its_place(tmp_path: Path) -> None:
    rows = [["part", None, "on hand"], ["CLIP", None, 4], [None], ["TIE", None, 2]]
    path = raw_book(tmp_path / "gaps.xlsx", {"Stock": rows})
    changed(path, SheetChange("Stock", {"B2": "A1", "D2": Fraction(1), "C3": Fraction(9), "A9": "last"}))
    read = CalamineWorkbook.from_path(path.with_name("new.xlsx")).get_sheet_by_name("Stock")
    assert read.to_python(skip_empty_area=False) == [
        ["part", "", "on hand", ""],
        ["CLIP", "A1", 4.0, 1.0],
        ["", "", 9.0, ""],
        ["TIE", "", 2.0, ""],
        *[["", "", "", ""]] * 4,
        ["last", "", "", ""],
    ]


def test_rows_and_cells_that_do_not_state_their_place_stay_in_theirs(tmp_path: Path) -> None:
    path = raw_book(tmp_path / "bare.xlsx", {"Stock": [["part", "on hand"], ["CLIP", 4], ["TIE", 2]]})
    import re

    altered(path, lambda xml: re.sub(rb' r="[A-Z]*\d+"', b"", xml))
    changed(path, SheetChange("Stock", {"B2": Fraction(3)}))
    read = CalamineWorkbook.from_path(path.with_name("new.xlsx")).get_sheet_by_name("Stock")
    assert read.to_python() == [["part", "on hand"], ["CLIP", 3.0], ["TIE", 2.0]]


def test_a_row_is_added_in_the_blank_one_above_a_total(tmp_path: Path) -> None:
    """A total below the rows is neither moved nor written over."""
    rows = [["date", "part", "quantity"], [date(2026, 12, 1), "CLIP", 4], [None], ["Total", None, 4]]
    path = raw_book(tmp_path / "total.xlsx", {"Usage": rows})
    row = {"A": date(2026, 12, 2), "B": "TIE", "C": Fraction(1)}
    changed(path, SheetChange("Usage", rows=[row], like=2))
    read = CalamineWorkbook.from_path(path.with_name("new.xlsx")).get_sheet_by_name("Usage").to_python()
    assert read[2:] == [[date(2026, 12, 2), "TIE", 1.0], ["Total", "", 4.0]]


def test_a_day_is_counted_from_1904_where_the_workbook_does(tmp_path: Path) -> None:
    path = raw_book(tmp_path / "old.xlsx", {"Usage": [["date"], [date(2026, 12, 1)]]})
    altered(
        path,
        lambda xml: xml.replace(b"<sheets>", b'<workbookPr date1904="1"/><sheets>'),
        "xl/workbook.xml",
    )
    changed(path, SheetChange("Usage", rows=[{"A": date(2026, 12, 2)}], like=2))
    read = CalamineWorkbook.from_path(path.with_name("new.xlsx")).get_sheet_by_name("Usage").to_python()
    assert read[2] == [date(2026, 12, 2)]


@pytest.mark.parametrize(
    ("book", "asks"),
    [
        ("<sheets/>", '<sheets/><calcPr fullCalcOnLoad="1"/>'),
        ("<sheets/><extLst/>", '<sheets/><calcPr fullCalcOnLoad="1"/><extLst/>'),
        ('<calcPr calcId="1"/>', '<calcPr calcId="1" fullCalcOnLoad="1"/>'),
        ("<calcPr fullCalcOnLoad='0'/>", "<calcPr fullCalcOnLoad='1'/>"),
        ('<calcPr fullCalcOnLoad="1"/>', '<calcPr fullCalcOnLoad="1"/>'),
    ],
)  # fmt: skip
@pytest.mark.parametrize("prefix", ["", "x:"])
def test_the_flag(book: str, asks: str, prefix: str) -> None:
    def whole(inside: str) -> str:
        return (
            f"<workbook>{inside}</workbook>".replace("</", f"</{prefix}")
            .replace("<", f"<{prefix}")
            .replace(f"<{prefix}/{prefix}", f"</{prefix}")
        )

    assert asks_to_recalculate(whole(book).encode()).decode() == whole(asks)
