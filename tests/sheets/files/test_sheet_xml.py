"""Sheet XML that no sheet can have is refused at its place; what is only written otherwise is read."""

import zipfile
from pathlib import Path

import pytest
from raw_book import HEAD, MAIN, OFFICE, raw_book

from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable
from reconcile.values.settings import DEFAULT_LIMITS, Limits

SHEET, LINKS, TEXTS = "xl/worksheets/sheet1.xml", "xl/_rels/workbook.xml.rels", "xl/sharedStrings.xml"
TWO = f'{HEAD}<sst xmlns="{MAIN}" count="2" uniqueCount="2"><si><t>none</t></si><si><t>one</t></si></sst>'


def rows_xml(inner: str) -> str:
    return f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>{inner}</sheetData></worksheet>'


def row(number: object, *cells: str) -> str:
    return f'<row r="{number}">{"".join(cells)}</row>'


def cell(place: str, value: object, said: str = "") -> str:
    return f'<c r="{place}"{said}><v>{value}</v></c>'


FIRST = row(1, cell("A1", 1), cell("B1", 2))


def book(path: Path, sheet: str, texts: str = TWO) -> Path:
    """A workbook of this sheet and of these shared texts."""
    raw_book(path, {"Stock": [["x"]]})
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name).decode() for name in packed.namelist()}
    link = (
        f'<Relationship Id="rId9" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/></Relationships>'
    )
    parts |= {SHEET: sheet, TEXTS: texts, LINKS: parts[LINKS].replace("</Relationships>", link)}
    with zipfile.ZipFile(path, "w") as packed:
        for name, text in parts.items():
            packed.writestr(name, text)
    return path


def refused(path: Path, limits: Limits = DEFAULT_LIMITS) -> tuple[str, str, str]:
    with pytest.raises(Unusable) as stopped:
        open_book(path, limits).grid("Stock")
    (fault,) = stopped.value.problems
    return fault.code, fault.place.cell, fault.says


def rows_of(path: Path) -> list[list[object]]:
    return open_book(path).grid("Stock").rows


@pytest.mark.parametrize(
    ("place", "at"),
    [("ZZZZZZ2", "ZZZZZZ2"), ("XFE2", "XFE2"), ("AAAAAAAAAAAAAAAAAAAAAAAA2", "AAAAAAAAAAAAAAAAAAAA")],
)
def test_a_cell_beyond_the_last_column_is_refused_by_its_name(tmp_path, place, at):
    code, where, says = refused(book(tmp_path / "a.xlsx", rows_xml(FIRST + row(2, cell(place, 1)))))
    assert (code, where) == ("sheet-broken", at)
    assert "beyond the last column, XFD" in says


@pytest.mark.parametrize("number", [1_048_577, 0, -3, "x", "1.5", "99999999999999"])
def test_a_row_beyond_the_last_is_refused(tmp_path, number):
    sheet = rows_xml(FIRST + row(number, cell(f"A{number}", 1)))
    code, where, says = refused(book(tmp_path / "a.xlsx", sheet))
    assert (code, where) == ("sheet-broken", f"A{number}" if str(number).isdecimal() else "B1")
    assert f'has a row "{str(number)[:20]}"; rows go from 1 to 1,048,576.' in says


def test_the_last_cell_that_there_is_may_be_filled(tmp_path):
    sheet = rows_xml(row(1_048_576, cell("XFD1048576", 7)))
    assert rows_of(book(tmp_path / "a.xlsx", sheet)) == [[7.0]]


BROKEN = {
    "a cell twice": (row(1, cell("A1", 1), cell("B1", 2), cell("A1", 3)), "A1", "has the cell A1 twice"),
    "a row twice": (FIRST + row(1, cell("C1", 3)), "A1", "has row 1 twice"),
    "a cell of another row": (FIRST + row(2, cell("A7", 1)), "A2", 'has a cell "A7" in row 2'),
    "a place that is none": (row(1, cell("$A$1", 1)), "A1", 'place, "$A$1", is none'),
    "no row": (cell("A1", 1) + row(2, cell("A2", 2)), "", "a cell that stands in no row"),
    "two values": (row(1, '<c r="A1"><v>1</v><v>2</v></c>'), "A1", "has two values in the cell A1"),
    "words between": (row(1, cell("A1", 1), "left over", cell("B1", 1)), "A1", 'outside its cells, "left'),
    "a kind that is none": (row(1, cell("A1", 1, ' t="z"')), "A1", 'a kind that there is not, "z"'),
    "a truth of 7": (row(1, cell("A1", 7, ' t="b"')), "A1", "a value that its kind cannot have"),
    "an error that is none": (row(1, cell("A1", 7, ' t="e"')), "A1", "a value that its kind cannot have"),
    "words for a number": (row(1, cell("A1", "4x7")), "A1", "a value that its kind cannot have"),
    "a number for words": (row(1, cell("A1", 7, ' t="inlineStr"')), "A1", "where a text should stand"),
    "no end of a row": ('<row r="1">' + cell("A1", 1) + row(2, cell("A2", 1)), "A1", "a row where none can"),
    "no end of a cell": (row(1, '<c r="A1"><v>1</v>', cell("B1", 2)), "A1", "a cell that stands in no row"),
    "two places": (FIRST + "</sheetData><sheetData>" + row(2, cell("A2", 1)), "B1", "its rows in two places"),
    "a place twice": (row(1, '<c r="A1" r="B1"><v>1</v></c>'), "A1", "no whole XML: duplicate attribute"),
    "text that is passed over": (
        row(1, '<c r="A1" t="str"><v><![CDATA[B-1]]></v></c>'), "A1", "what is no plain text in the cell A1",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("inner", "at", "says"), BROKEN.values(), ids=BROKEN)
def test_what_no_sheet_can_have_is_refused_at_its_place(tmp_path, inner, at, says):
    code, where, said = refused(book(tmp_path / "a.xlsx", rows_xml(inner)))
    assert (code, where) == ("sheet-broken", at)
    assert says in said


@pytest.mark.parametrize("number", ["abc", "-1", "1.5", "1e1", "", " 1 ", "2", "99999999999"])
def test_the_number_of_a_text_that_is_none_is_refused(tmp_path, number):
    inner = row(1, cell("A1", 1, ' t="s"'), cell("B1", number, ' t="s"'))
    code, where, says = refused(book(tmp_path / "a.xlsx", rows_xml(inner)))
    assert (code, where) == ("sheet-broken", "B1")
    assert f'shows in B1 the text number "{number}"' in says


def test_the_end_of_the_file_must_be_there(tmp_path):
    sheet = rows_xml(FIRST)
    assert refused(book(tmp_path / "a.xlsx", sheet[:-20]))[0] == "sheet-broken"


READ = {
    "rows upside down": row(2, cell("A2", 3)) + FIRST,
    "cells upside down": row(1, cell("B1", 2), cell("A1", 1)) + row(2, cell("A2", 3)),
    "no places": "<row><c><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c></row>",
    "single quotes": (FIRST + row(2, cell("A2", 3))).replace('"', "'"),
    "small letters": (FIRST + row(2, cell("A2", 3))).replace('"A', '"a'),
    "blanks between": f"\n {FIRST} \n{row(2, ' ', cell('A2', 3), ' ')}\n",
    "a formula, a style, more": row(
        1, '<c r="A1" s="0" cm="1"><f aca="false">1</f><v>1</v></c>', '<c r="B1" t="n" s="0"><v>2</v></c>'
    ) + row(2, cell("A2", 3), '<c r="B2" t="str"><f>""</f><v></v></c>', '<c r="C2" s="0"/>'),
    "a remark between": FIRST + "<!-- remark -->" + row(2, cell("A2", 3)),
}  # fmt: skip


@pytest.mark.parametrize("inner", READ.values(), ids=READ)
def test_what_is_only_written_otherwise_is_read(tmp_path, inner):
    assert [each[:2] for each in rows_of(book(tmp_path / "a.xlsx", rows_xml(inner)))] == [
        [1.0, 2.0],
        [3.0, None],
    ]


def test_another_prefix_is_read(tmp_path):
    sheet = rows_xml(FIRST).replace("<", "<x:").replace("<x:/", "</x:").replace("<x:?", "<?")
    assert rows_of(book(tmp_path / "a.xlsx", sheet.replace("xmlns=", "xmlns:x="))) == [[1.0, 2.0]]


def test_very_many_cells_in_a_form_that_is_seldom_used_are_too_many(tmp_path):
    inner = "".join("<row>" + "<c/>" * 300 + "</row>" for _ in range(20))
    code, _, says = refused(book(tmp_path / "a.xlsx", rows_xml(inner)), Limits(cells=10_000))
    assert (code, "more than 2500 cells" in says) == ("file-too-large", True)


# --- texts that cells share -------------------------------------------------------------------------

SHOWN = rows_xml(row(1, cell("A1", 0, ' t="s"'), cell("B1", 1, ' t="s"')))


@pytest.mark.parametrize(
    "texts",
    [
        TWO,
        TWO.replace("<si><t>none</t></si>", "<si><r><rPr><b/></rPr><t>no</t></r><r><t>ne</t></r></si>"),
        TWO.replace("<t>", '<t xml:space="preserve">'),
        TWO.replace("<si>", "\n<si>"),
    ],
)
def test_shared_texts_are_read(tmp_path, texts):
    opened = open_book(book(tmp_path / "a.xlsx", SHOWN, texts))
    assert opened.grid("Stock").rows == [["none", "one"]]
    assert opened.problems == []


@pytest.mark.parametrize(
    "texts",
    [
        TWO.replace("</sst>", ""),
        TWO.replace("</si><si>", "<si>"),
        TWO.replace("none", "<![CDATA[none]]>"),
        TWO.replace("none", "no<!-- x -->ne"),
        TWO.replace("<t>none</t>", "none"),
    ],
)
def test_shared_texts_that_cannot_be_are_refused(tmp_path, texts):
    code, where, _ = refused(book(tmp_path / "a.xlsx", SHOWN, texts))
    assert (code, where) == ("sheet-broken", TEXTS)


def test_a_text_that_is_lost_is_told_of(tmp_path):
    three = TWO.replace("<si><t>none", "<si><t>less</t></si><si><t>none")
    opened = open_book(book(tmp_path / "a.xlsx", SHOWN, three))
    (notice,) = opened.problems
    assert (notice.code, notice.place.cell) == ("texts-miscounted", TEXTS)
    assert notice.says == "a.xlsx says that it holds 2 texts, and it holds 3."
