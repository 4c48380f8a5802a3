"""Files that other programs leave: read where only unread parts are odd, else told for what they are."""

import zipfile
from pathlib import Path

import pytest
from hostile import FILES, packed, parts_of, with_rows
from xlsb_book import record

from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable

UTF_16 = '<?xml version="1.0" encoding="utf-16"?><x/>'.encode("utf-16")


def refused(path: Path) -> tuple[str, str]:
    with pytest.raises(Unusable) as stopped:
        book = open_book(path)
        book.grid(book.sheet_names[0])
    (fault,) = stopped.value.problems
    return fault.code, fault.says


@pytest.mark.parametrize(
    ("part", "data"),
    [
        ("customXml/item1.xml", UTF_16),
        ("__MACOSX/._stock.xml", b"\0\5\x16\7\0\2"),
        ("docProps/app.xml", b"<!DOCTYPE x><x/>"),
        ("xl/connections.xml", UTF_16),
    ],
)
def test_a_part_that_is_not_read_is_not_judged(tmp_path, part, data):
    path = packed(tmp_path / "stock.xlsx", {**parts_of(), part: data})
    assert open_book(path).grid("Stock").rows == open_book(FILES / "stock.xlsx").grid("Stock").rows


def test_a_sheet_is_judged_wherever_it_lies(tmp_path):
    parts = parts_of()
    parts["customXml/item1.xml"] = parts.pop("xl/worksheets/sheet1.xml").decode().encode("utf-16")
    links = "xl/_rels/workbook.xml.rels"
    for old in (b"worksheets/sheet1.xml", b"/xl/worksheets/sheet1.xml"):
        parts[links] = parts[links].replace(b'"%s"' % old, b'"/customXml/item1.xml"')
    assert b"customXml" in parts[links]
    assert refused(packed(tmp_path / "stock.xlsx", parts))[0] == "file-suspect"


def test_names_of_parts_with_strokes_that_lean_back_are_read(tmp_path):
    path = packed(
        tmp_path / "stock.xlsx", {name.replace("/", "\\"): data for name, data in parts_of().items()}
    )
    book = open_book(path)
    assert book.grid("Stock").rows == open_book(FILES / "stock.xlsx").grid("Stock").rows
    assert book.packed is not None
    assert "xl/workbook.xml" in book.packed.namelist()


@pytest.mark.parametrize(
    ("name", "parts", "what"),
    [
        ("a.xlsx", {"word/document.xml": b"<x/>"}, "a text document, not a workbook"),
        ("a.xlsx", {"ppt/presentation.xml": b"<x/>"}, "a presentation, not a workbook"),
        (
            "a.ods",
            {"mimetype": b"application/vnd.oasis.opendocument.text", "content.xml": b"<x/>"},
            "a text document, not a workbook",
        ),
        (
            "a.ods",
            {"mimetype": b"application/vnd.oasis.opendocument.base", "content.xml": b"<x/>"},
            "a database, not a workbook",
        ),
        ("a.xlsx", {"letter.txt": b"x"}, "an archive, but there is no workbook in it"),
    ],
)
def test_a_document_of_another_kind_is_told_for_what_it_is(tmp_path, name, parts, what):
    assert refused(packed(tmp_path / name, parts)) == ("file-kind", f"{name} is {what}.")


@pytest.mark.parametrize(
    ("stream", "what"),
    [("WordDocument", "a text document"), ("Book\0", "a workbook of a version before 1997")],
)
def test_an_old_file_of_another_kind_is_told_for_what_it_is(tmp_path, stream, what):
    data = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "Book".encode("utf-16-le") + b"\0" * 600
    path = tmp_path / "a.xls"
    path.write_bytes(data + stream.encode("utf-16-le") + b"\0" * 600)
    assert refused(path) == ("file-kind", f"a.xls is {what}.")


def test_a_sheet_of_macros_is_told_of(tmp_path):
    parts = parts_of()
    parts["xl/macrosheets/sheet9.xml"] = b"<macrosheet/>"
    links = "xl/_rels/workbook.xml.rels"
    kind = "http://schemas.microsoft.com/office/2006/relationships/xlMacrosheet"
    more = f'<Relationship Id="rId77" Type="{kind}" Target="macrosheets/sheet9.xml"/></Relationships>'
    parts[links] = parts[links].replace(b"</Relationships>", more.encode())
    book = parts["xl/workbook.xml"].decode()
    prefix = "r:id" if "r:id" in book else "ns0:id"
    sheet = f'<sheet name="Macro1" sheetId="9" {prefix}="rId77"/></sheets>'
    parts["xl/workbook.xml"] = book.replace("</sheets>", sheet).encode()
    code, says = refused(packed(tmp_path / "stock.xlsm", parts))
    assert (code, says) == (
        "file-kind", "stock.xlsm holds a sheet of macros, beside which its tables cannot be read.",
    )  # fmt: skip


def test_an_xlsb_whose_records_are_whole_is_not_called_damaged(tmp_path):
    with zipfile.ZipFile(FILES / "stock.xlsb") as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts["xl/styles.bin"] = record(44, b"\1\0")  # a number format of which half is left out
    code, says = refused(packed(tmp_path / "stock.xlsb", parts))
    assert (code, "laid out in a way its reader does not know" in says) == ("file-kind", True)


def test_an_xlsb_cut_short_is_damaged(tmp_path):
    with zipfile.ZipFile(FILES / "stock.xlsb") as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    part = "xl/worksheets/sheet1.bin"
    parts[part] = parts[part][: len(parts[part]) // 2 + 1]
    assert refused(packed(tmp_path / "stock.xlsb", parts))[0] == "file-broken"


def test_a_cell_far_below_is_named(tmp_path):
    path = with_rows(tmp_path / "a.xlsx", b'<row r="1048576"><c r="D1048576"><v>1</v></c></row>')
    code, says = refused(path)
    assert code == "file-too-large"
    assert "1048576 rows and 6 columns, for the cell D1048576; the limit is" in says


def test_a_cell_far_to_the_right_is_named(tmp_path):
    rows = b"".join(b'<row r="%d"><c r="A%d"><v>1</v></c></row>' % (n, n) for n in range(5, 400))
    path = with_rows(tmp_path / "a.xlsx", rows + b'<row r="400"><c r="XFD400"><v>1</v></c></row>')
    assert "for the cell XFD400" in refused(path)[1]


# --- csv --------------------------------------------------------------------------------------------

LINES = ("part", "on hand", "unit"), ("B-1", "3", "each"), ("C-1", "4", "each")


@pytest.mark.parametrize("mark", [";", "\t", ",", "|"])
def test_every_field_in_quotes(tmp_path, mark):
    path = tmp_path / "Stock.csv"
    path.write_text("\n".join(mark.join(f'"{cell}"' for cell in line) for line in LINES), "utf-8")
    assert [tuple(row) for row in open_book(path).grid("Stock").rows] == list(LINES)


def test_a_long_field_whose_quotes_are_closed_is_read(tmp_path):
    path = tmp_path / "Stock.csv"
    path.write_text(f'part,on hand,unit,notes\nB-1,3,each,"{"x, y " * 50_000}"\nC-1,4,each,\n', "utf-8")
    rows = open_book(path).grid("Stock").rows
    assert [row[0] for row in rows] == ["part", "B-1", "C-1"]
    assert len(rows[1][3]) == 250_000


def test_a_long_field_whose_quotes_are_not_closed_is_refused_for_that(tmp_path):
    path = tmp_path / "Stock.csv"
    path.write_text('part,on hand,unit,notes\nB-1,3,each,"' + "x " * 100_000 + "\nC-1,4,each,\n", "utf-8")
    assert refused(path) == (
        "csv-quote",
        "The row that begins on line 2 has a quote mark that is not closed.",
    )


@pytest.mark.parametrize("encoding", ["utf-32", "utf-32-le", "utf-32-be"])
def test_utf_32_is_read_by_its_mark(tmp_path, encoding):
    text = "\n".join(",".join(line) for line in LINES)
    path = tmp_path / "Stock.csv"
    path.write_bytes((text if encoding == "utf-32" else "\ufeff" + text).encode(encoding))
    book = open_book(path)
    assert [tuple(row) for row in book.grid("Stock").rows] == list(LINES)
    assert book.read_as["Stock.csv"].startswith("UTF-32 with a mark")


def test_bytes_of_nought_at_the_end_are_told_of(tmp_path):
    path = tmp_path / "Stock.csv"
    path.write_bytes("\n".join(",".join(line) for line in LINES).encode() + b"\0" * 512)
    code, says = refused(path)
    assert code == "file-kind"
    assert says.startswith(
        "Stock.csv ends in 512 bytes of nought, as a file does whose saving was broken off"
    )
