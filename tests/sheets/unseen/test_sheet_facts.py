"""What the fast reader hides, in workbooks of every kind."""

import zipfile
from datetime import date
from pathlib import Path

import openpyxl
import pytest
import xlsb_book as xlsb
from books import altered, workbook

from reconcile.sheets.files import archive
from reconcile.sheets.files.books import open_book
from reconcile.sheets.unseen import xls as xls_truth
from reconcile.sheets.unseen.sheet_facts import Block, CellFault, OtherVersion, ranges_of
from reconcile.sheets.unseen.workbooks import cell_truth, hidden_cells, sheet_marks, shown_numbers

WORKBOOKS = Path(__file__).resolve().parents[2] / "cases" / "workbooks"
NEVER = "formula-not-calculated"


def stock(path: Path, cells: str, *, rows: str = "", columns: str = "", after: str = "") -> Path:
    """An xlsx whose sheet Stock holds row 1 of headings and, in row 2, the cells given as XML."""
    workbook(path, Stock=[["part", "on hand", "unit"], ["B-1", None, "each"]])
    xml = (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f"{columns}<sheetData>"
        '<row r="1"><c r="A1" t="inlineStr"><is><t>part</t></is></c>'
        '<c r="B1" t="inlineStr"><is><t>on hand</t></is></c></row>'
        f'<row r="2">{cells}</row>{rows}</sheetData>{after}</worksheet>'
    )
    altered(path, lambda book: book.replace(b'fullCalcOnLoad="1"', b""), "xl/workbook.xml")
    return altered(path, lambda _: xml.encode())


def faults(path: Path) -> dict[str, tuple[str, str]]:
    return {at: (each.code, each.holds) for at, each in hidden_cells(open_book(path), "Stock").items()}


# --- xlsx: errors and formulas, however they are written ----------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize(
    "cell",
    [
        '<c r="B2" t="e"><v>#N/A</v></c>',
        "<c r=\"B2\" t='e'><v>#N/A</v></c>",
        "<c r='B2' t='e'><v>#N/A</v></c>",
        '<c t="e" r="B2"><v>#N/A</v></c>',
        '<c r="B2"  t = "e" ><v>#N/A</v></c>',
        '<c r="B2"\n\tt="e"><v>#N/A</v></c>',
        '<c r="B2" s="0" t="e"><f>NA()</f><v>#N/A</v></c>',
        '<c r="A2"/><c t="e"><v>#N/A</v></c>',
        '<!-- checked --><c r="B2" t="e"><v>#N/A</v></c>',
    ],
)
def test_an_error_is_found_however_it_is_written(tmp_path, cell):
    assert faults(stock(tmp_path / "a.xlsx", cell)) == {"B2": ("cell-error", "#N/A")}


def test_a_prefix_on_every_tag_hides_no_error(tmp_path):
    path = workbook(tmp_path / "a.xlsx", Stock=[["part", "on hand"], ["B-1", "#REF!"]])
    space = b'xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'

    def prefixed(xml: bytes) -> bytes:
        xml = xml[xml.find(b"<sheetData") : xml.find(b"</sheetData>") + 12]
        xml = xml.replace(b"</", b"\0").replace(b"<", b"<x:").replace(b"\0", b"</x:")
        return b"<x:worksheet " + space + b">" + xml + b"</x:worksheet>"

    assert faults(altered(path, prefixed)) == {"B2": ("cell-error", "#REF!")}


@pytest.mark.parametrize(
    ("cell", "holds"),
    [
        ('<c r="B2"><f>1+1</f></c>', "=1+1"),
        ('<c r="B2"><f>1+1</f><v/></c>', "=1+1"),
        ('<c r="B2"><f>1+1</f><v></v></c>', "=1+1"),
        ('<c r="B2"><f t="shared" si="0"/></c>', "a formula"),
    ],
)
def test_a_formula_without_a_result_was_never_calculated(tmp_path, cell, holds):
    assert faults(stock(tmp_path / "a.xlsx", cell)) == {"B2": (NEVER, holds)}


@pytest.mark.parametrize(
    "cell",
    [
        '<c r="B2" t="str"><f>""</f><v></v></c>',
        '<c r="B2"><f>1-1</f><v>0</v></c>',
        '<c r="B2" t="inlineStr"><is><t>"e"</t></is></c>',
        '<c r="B2" t="inlineStr"><is><t>#N/A</t></is></c>',
    ],
)
def test_a_result_or_a_text_is_no_fault(tmp_path, cell):
    assert faults(stock(tmp_path / "a.xlsx", cell)) == {}


def test_a_zero_that_was_put_in_the_place_of_a_result_is_none(tmp_path):
    cells = '<c r="A2"><f>2+2</f><v>4</v></c><c r="B2"><f>1+1</f><v>0</v></c><c r="C2"><v>0</v></c>'
    path = stock(tmp_path / "a.xlsx", cells)
    assert faults(path) == {}
    altered(path, lambda xml: xml.replace(b"<calcPr", b'<calcPr fullCalcOnLoad="1"'), "xl/workbook.xml")
    assert faults(path) == {"B2": (NEVER, "=1+1")}


def test_one_cell_can_be_asked_for(tmp_path):
    book = open_book(stock(tmp_path / "a.xlsx", '<c r="B2" t="e"><v>#N/A</v></c>'))
    assert cell_truth(book, "Stock", "B2") == CellFault("cell-error", "#N/A")
    assert cell_truth(book, "Stock", "A2") is None


@pytest.mark.slow
def test_a_lone_formula_is_found_wherever_the_sheet_is_cut(tmp_path, monkeypatch):
    cell = '<c r="B2"><f>1+1</f><v></v></c>'
    path = stock(tmp_path / "a.xlsx", cell, rows='<row r="3"><c r="B3"><v>5</v></c></row>')
    for size in range(500, 640):
        monkeypatch.setattr(archive, "CHUNK", size)
        assert faults(path) == {"B2": (NEVER, "=1+1")}, size


# --- xlsx: hidden and merged --------------------------------------------------------------------------


def test_hidden_rows_columns_and_merged_cells_of_an_xlsx(tmp_path):
    path = stock(
        tmp_path / "a.xlsx",
        '<c r="B2"><v>1</v></c>',
        columns='<cols><col min="1" max="1" width="9"/><col min="2" max="3" width="9" hidden="1"/></cols>',
        rows='<row r="3" hidden="1"><c r="B3"><v>1</v></c></row>'
        '<row r="4" hidden="0"><c r="B4"><v>1</v></c></row>'
        '<row r="5" spans="1:3" hidden="true"><c r="B5"><v>1</v></c></row>',
        after='<mergeCells count="1"><mergeCell ref="B2:C3"/></mergeCells>',
    )
    marks = sheet_marks(open_book(path), "Stock")
    assert marks.hidden_rows == (range(3, 4), range(5, 6))
    assert marks.hidden_columns == (range(2, 4),)
    assert marks.merged == (Block(2, 2, 3, 3),)
    assert (marks.sheet_hidden, marks.faults, marks.untold) == (False, {}, "")


def test_a_row_without_its_number_follows_the_one_before(tmp_path):
    rows = '<row hidden="1"><c r="B3"><v>1</v></c></row><row r="9" hidden="1"><c r="B9"><v>1</v></c></row>'
    path = stock(tmp_path / "a.xlsx", '<c r="B2"><v>1</v></c>', rows=rows)
    assert sheet_marks(open_book(path), "Stock").hidden_rows == (range(3, 4), range(9, 10))


@pytest.mark.parametrize("state", ["hidden", "veryHidden"])
def test_a_hidden_sheet_is_told(tmp_path, state):
    path = workbook(tmp_path / "a.xlsx", Stock=[["part"], ["B-1"]], Notes=[["x"]])
    book = openpyxl.load_workbook(path)
    book["Stock"].sheet_state = state
    book.active = 1
    book.save(path)
    assert sheet_marks(open_book(path), "Stock").sheet_hidden
    assert not sheet_marks(open_book(path), "Notes").sheet_hidden


def test_neighbours_become_a_range():
    assert ranges_of([22, 14, 15, 16, 14]) == (range(14, 17), range(22, 23))
    assert ranges_of([]) == ()


# --- the other kinds ----------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("name", ["marked.ods", "marked.xls"])
def test_a_real_file_of_another_kind_hides_nothing(name):
    book = open_book(WORKBOOKS / name)
    marks = sheet_marks(book, "Stock")
    assert marks.faults == {"B4": CellFault("cell-error", "#N/A"), "E6": CellFault("cell-error", "#DIV/0!")}
    assert (marks.hidden_rows, marks.hidden_columns) == ((range(4, 6), range(9, 10)), (range(5, 6),))
    assert marks.merged == (Block(1, 1, 1, 6), Block(7, 1, 8, 1))
    assert shown_numbers(book, "Stock", {"A3": 417.0}) == {"A3": "00417"}
    assert not marks.sheet_hidden


@pytest.mark.slow
@pytest.mark.parametrize("name", ["days_1904.ods", "days_1904.xls"])
def test_days_that_count_from_1904_are_right_and_the_hidden_sheet_is_told(name):
    book = open_book(WORKBOOKS / name)
    assert book.grid("On order").rows[1][3] == date(2026, 12, 3)
    assert sheet_marks(book, "Stock").sheet_hidden
    assert not sheet_marks(book, "On order").sheet_hidden


def test_an_xls_that_was_never_calculated_leaves_its_formulas_in_doubt():
    assert sheet_marks(open_book(WORKBOOKS / "never_calculated.xls"), "Stock").unsure == ("B2", "B3")


def test_a_formula_of_an_xls_that_asks_to_be_calculated_has_no_result():
    stream = xls_truth.workbook_stream((WORKBOOKS / "never_calculated.xls").read_bytes())
    empty, asks = bytes.fromhex("030000000000ffff0000"), bytes.fromhex("030000000000ffff0200")
    zero = bytes(8) + b"\x02\x00"
    first = stream.find(empty)
    second = stream.find(empty, first + 1)
    changed = stream[:first] + asks + stream[first + 10 : second] + zero + stream[second + 10 :]
    marks = xls_truth.read_marks(changed, "Stock")
    assert marks.faults == {at: CellFault(NEVER, "a formula") for at in ("B2", "B3")}


def test_an_xls_of_an_older_version_says_that_it_cannot_be_told():
    stream = xls_truth.workbook_stream((WORKBOOKS / "marked.xls").read_bytes())
    with pytest.raises(OtherVersion):
        xls_truth.read_marks(stream.replace(b"\x00\x06", b"\x00\x05", 1), "Stock")


def headings() -> bytes:
    return xlsb.row(1) + b"".join(map(xlsb.written, (1, 2, 3), ("part", "on hand", "unit")))


def test_an_xlsb_hides_nothing(tmp_path):
    rows = [
        headings(),
        xlsb.row(2) + xlsb.number(1, 417, style=1) + xlsb.number(2, 5),
        xlsb.row(3, hidden=True) + xlsb.written(1, "B-1") + xlsb.error(2, 0x2A) + xlsb.formula_error(3, 0x17),
        xlsb.row(4) + xlsb.written(1, "B-2") + xlsb.formula_number(2, 0) + xlsb.formula_text(3, ""),
        xlsb.row(5) + xlsb.written(1, "B-3") + xlsb.formula_number(2, 7) + xlsb.formula_text(3, "each"),
    ]
    path = xlsb.xlsb(
        tmp_path / "a.xlsb",
        rows,
        before=xlsb.columns(1, 1, hidden=False) + xlsb.columns(2, 3, hidden=True),
        after=xlsb.merged(4, 1, 5, 2),
        formats=["00000"],
        hidden=True,
    )
    book = open_book(path)
    marks = sheet_marks(book, "Stock")
    assert marks.faults == {"B3": CellFault("cell-error", "#N/A"), "C3": CellFault("cell-error", "#REF!")}
    assert (marks.hidden_rows, marks.hidden_columns) == ((range(3, 4),), (range(2, 4),))
    assert (marks.merged, marks.sheet_hidden) == ((Block(4, 1, 5, 2),), True)
    assert marks.unsure == ("B4", "C4")
    assert shown_numbers(book, "Stock", {"A2": 417.0}) == {"A2": "00417"}


def test_days_of_an_xlsb_that_count_from_1904_are_right(tmp_path):
    days = (date(2026, 12, 3) - date(1904, 1, 1)).days
    rows = [headings(), xlsb.row(2) + xlsb.number(1, days, style=1)]
    path = xlsb.xlsb(tmp_path / "a.xlsb", rows, formats=["yyyy\\-mm\\-dd"], mac=True)
    assert open_book(path).grid("Stock").rows[1][0] == date(2026, 12, 3)


# --- ods, by hand ---------------------------------------------------------------------------------------

SPACES = {
    "office": "urn:oasis:names:tc:opendocument:xmlns:office:1.0",
    "table": "urn:oasis:names:tc:opendocument:xmlns:table:1.0",
    "text": "urn:oasis:names:tc:opendocument:xmlns:text:1.0",
    "draw": "urn:oasis:names:tc:opendocument:xmlns:drawing:1.0",
    "calcext": "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0",
}
MIME = "application/vnd.oasis.opendocument.spreadsheet"


def text_cell(text: str, more: str = "") -> str:
    return f'<table:table-cell office:value-type="string"{more}><text:p>{text}</text:p></table:table-cell>'


def ods(path: Path, *rows: str) -> Path:
    """An ods file whose sheet Stock has a row of headings and these rows as XML."""
    spaces = " ".join(f'xmlns:{name}="{space}"' for name, space in SPACES.items())
    head = f"<table:table-row>{text_cell('part')}{text_cell('on hand')}{text_cell('unit')}</table:table-row>"
    manifest = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("mimetype", MIME)
        packed.writestr(
            "META-INF/manifest.xml",
            f'<m:manifest xmlns:m="{manifest}"><m:file-entry m:full-path="/" m:media-type="{MIME}"/>'
            "</m:manifest>",
        )
        packed.writestr(
            "content.xml",
            f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {spaces}><office:body>'
            '<office:spreadsheet><table:table table:name="Other">'
            '<table:table-row table:visibility="collapse">'
            f'{text_cell("x")}</table:table-row></table:table><table:table table:name="Stock">{head}'
            f"{''.join(rows)}</table:table></office:spreadsheet></office:body></office:document-content>",
        )
    return path


def ods_row(cell: str, more: str = "") -> str:
    return f"<table:table-row{more}>{text_cell('B-1')}{cell}{text_cell('each')}</table:table-row>"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("cell", "fault"),
    [
        (
            '<table:table-cell table:formula="of:=NA()" calcext:value-type="error" '
            'office:value-type="string"><text:p>#N/A</text:p></table:table-cell>',
            ("cell-error", "#N/A"),
        ),
        (
            '<table:table-cell table:formula="of:=1/0" office:value-type="float" office:value="0">'
            "<text:p>#DIV/0!</text:p></table:table-cell>",
            ("cell-error", "#DIV/0!"),
        ),
        (
            '<table:table-cell table:formula="of:=X()" office:value-type="string">'
            "<text:p>Err:508</text:p></table:table-cell>",
            ("cell-error", "Err:508"),
        ),
        ('<table:table-cell table:formula="of:=SUM([.C2:.C9])"/>', (NEVER, "=SUM(C2:C9)")),
        ('<table:table-cell table:formula="of:=[.C2]" office:value-type="float"/>', (NEVER, "=C2")),
        (
            '<table:table-cell table:formula="of:=1+1" office:value-type="float" office:value="0"/>',
            (NEVER, "=1+1"),
        ),
    ],
)
def test_an_ods_cell_without_a_value_is_told(tmp_path, cell, fault):
    assert faults(ods(tmp_path / "a.ods", ods_row(cell))) == {"B2": fault}


@pytest.mark.slow
@pytest.mark.parametrize(
    "cell",
    [
        '<table:table-cell table:formula="of:=&quot;&quot;"><text:p/></table:table-cell>',
        '<table:table-cell table:formula="of:=1-1" office:value-type="float" office:value="0">'
        "<text:p>0</text:p></table:table-cell>",
        text_cell("#N/A"),
    ],
)
def test_an_ods_cell_with_a_result_or_a_text_is_no_fault(tmp_path, cell):
    assert faults(ods(tmp_path / "a.ods", ods_row(cell))) == {}


@pytest.mark.slow
def test_repeated_rows_and_cells_of_an_ods_are_counted(tmp_path):
    twice = 'table:number-columns-repeated="2"'
    broken = f'<table:table-cell {twice} table:formula="of:=X" calcext:value-type="error">'
    path = ods(
        tmp_path / "a.ods",
        ods_row(text_cell("3"), ' table:number-rows-repeated="3"'),
        f'<table:table-row table:number-rows-repeated="2">{text_cell("B-2")}{broken}<text:p>#REF!</text:p>'
        "</table:table-cell></table:table-row>",
        ods_row(text_cell("3"), ' table:visibility="filter"'),
    )
    book = open_book(path)
    assert sorted(faults(path)) == ["B5", "B6", "C5", "C6"]
    assert sheet_marks(book, "Stock").hidden_rows == (range(7, 8),)
    assert book.grid("Stock").rows[6] == ["B-1", "3", "each"]


def test_a_note_on_an_ods_cell_is_not_what_it_shows(tmp_path):
    note = "<office:annotation><text:p>#N/A</text:p></office:annotation>"
    cell = f'<table:table-cell table:formula="of:=1+1" office:value-type="float" office:value="2">{note}'
    path = ods(tmp_path / "a.ods", ods_row(f"{cell}<text:p>2</text:p></table:table-cell>"))
    assert faults(path) == {}


def test_a_boolean_of_an_ods_is_none_of_its_numbers(tmp_path):
    cell = (
        '<table:table-cell office:value-type="boolean" office:boolean-value="true">'
        "<text:p>TRUE</text:p></table:table-cell>"
    )
    assert open_book(ods(tmp_path / "a.ods", ods_row(cell))).grid("Stock").rows[1][1] is True


@pytest.mark.slow
def test_a_file_that_changes_while_it_is_read_says_so(tmp_path):
    path = ods(tmp_path / "a.ods", ods_row(text_cell("3")))
    book = open_book(path)
    book.grid("Stock")
    ods(path, ods_row('<table:table-cell table:formula="of:=1+1"/>'))
    marks = sheet_marks(book, "Stock")
    assert (marks.faults, marks.untold.endswith(": the file was changed while it was read.")) == ({}, True)


def test_a_file_that_cannot_be_followed_says_so(tmp_path):
    path = stock(tmp_path / "a.xlsx", '<c r="B2" t="e"><v>#N/A</v></c>')
    book = open_book(path)
    book.grid("Stock")
    with zipfile.ZipFile(tmp_path / "other.xlsx", "w") as packed:
        packed.writestr("xl/workbook.xml", "<workbook/>")
    book.packed = zipfile.ZipFile(tmp_path / "other.xlsx")
    assert sheet_marks(book, "Stock").untold.endswith("cannot be told: the file is not laid out as is usual.")
    assert shown_numbers(book, "Stock", {"A2": 417.0}) == {}
