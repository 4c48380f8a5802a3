"""Files that are no ordinary workbook: each read, or refused by name, in little time and memory."""

import re
import subprocess
import sys

import pytest
from books import altered, flat, workbook
from hostile import (
    FILES,
    SHEET,
    TEXTS,
    numbered,
    ods_with,
    packed,
    parts_of,
    repeated,
    with_lie,
    with_long_part,
    with_one_part_under_many_names,
    with_rows,
)
from xlsb_book import row, written, xlsb

from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable
from reconcile.values.settings import DEFAULT_LIMITS, Limits

FAR = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'


def refused(path, limits=DEFAULT_LIMITS):
    """The problem with which a workbook, or its first sheet, is refused."""
    with pytest.raises(Unusable) as stopped:
        book = open_book(path, limits)
        book.grid(book.sheet_names[0])
    (problem,) = stopped.value.problems
    assert problem.place.file == path.name
    return problem


def rows_of(path):
    return open_book(path).grid("Stock").rows


# sheets that reach, or seem to reach, too far


@pytest.mark.parametrize("dimension", [b"A1", b"A1:XFD1048576", b"A1:B2", b"ZZZ99999999"])
def test_a_wrong_stated_size_changes_nothing(tmp_path, dimension):
    assert len(rows_of(with_rows(tmp_path / "a.xlsx", b"", dimension))) == 4


@pytest.mark.slow
def test_a_large_sheet_that_states_a_small_size_is_looked_at_all_the_same(tmp_path):
    rows = numbered(b'<row r="#"><c r="A#"><v>1</v></c><c r="B#"><v>12345678</v></c></row>', 5, 150_000)
    assert len(rows) > 8_000_000
    path = with_rows(tmp_path / "a.xlsx", rows + FAR, b"A1:F150000")
    assert refused(path).code == "file-too-large"


@pytest.mark.slow
def test_styled_blank_rows_are_no_rows(tmp_path):
    blank = numbered(
        b'<row r="#" s="1" customFormat="1"><c r="A#" s="1"/><c r="F#" s="1"/></row>', 5, 120_000
    )
    assert len(rows_of(with_rows(tmp_path / "a.xlsx", blank))) == 4


def test_a_cell_past_the_last_column_of_another_kind_is_refused(tmp_path):
    path = xlsb(tmp_path / "a.xlsb", [row(1) + written(1, "part"), row(1_048_576) + written(16_384, "x")])
    assert refused(path).code == "file-too-large"


@pytest.mark.slow
def test_a_far_cell_of_an_old_workbook_is_refused(tmp_path):
    assert refused(FILES / "far-corner.xls").code == "file-too-large"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("rows", "columns"), [(1_048_576, 1), (1_048_576, 20), (1_048_576, 16_384), (150_000, 20)]
)
def test_a_filled_cell_repeated_very_often_is_refused(tmp_path, rows, columns):
    assert refused(ods_with(tmp_path / "a.ods", repeated(rows, columns))).code == "file-too-large"


def test_the_limit_of_cells_is_a_setting(tmp_path):
    path = with_rows(tmp_path / "a.xlsx", b"")
    assert refused(path, Limits(cells=23)).code == "file-too-large"
    assert len(open_book(path, Limits(cells=24)).grid("Stock").rows) == 4


@pytest.mark.slow
def test_an_oddly_written_sheet_is_read_by_a_child(tmp_path):
    path = with_rows(tmp_path / "a.xlsx", b"<row r='5'><c\n r='A5'><v>7</v></c></row>")
    assert rows_of(path)[4] == [7, None, None, None, None, None]


@pytest.mark.slow
def test_cells_without_a_place_far_below_one_another_are_refused(tmp_path):
    wide = b"<row>" + b"<c><v>1</v></c>" * 16_384 + b"</row>"
    path = with_rows(tmp_path / "a.xlsx", wide + b"<row><c><v>1</v></c></row>" * 200_000)
    assert refused(path).code == "file-too-large"


# bombs


@pytest.mark.slow
def test_a_bomb_is_refused(tmp_path):
    path = with_long_part(tmp_path / "a.xlsx", "xl/media/image1.xml", 201)
    assert refused(path).code == "file-too-large"


@pytest.mark.slow
@pytest.mark.parametrize("size", [5000, 1])
def test_a_part_that_expands_to_more_than_the_list_says_is_refused(tmp_path, size):
    texts = parts_of()[TEXTS].replace(b"</sst>", b"<si><t>" + b"a" * 50_000_000 + b"</t></si></sst>")
    path = with_lie(packed(tmp_path / "a.xlsx", {**parts_of(), TEXTS: texts}), TEXTS, size)
    assert refused(path).code == "file-suspect"


def test_a_sheet_that_expands_to_more_than_the_list_says_is_refused(tmp_path):
    path = with_rows(tmp_path / "a.xlsx", numbered(b'<row r="#"><c r="A#"><v>1</v></c></row>', 5, 50_000))
    assert refused(with_lie(path, SHEET, 2_000)).code == "file-suspect"


def test_parts_that_share_their_bytes_are_refused(tmp_path):
    assert refused(with_one_part_under_many_names(tmp_path / "a.xlsx", 30)).code == "file-suspect"


def test_one_long_text_in_very_many_cells_is_refused(tmp_path):
    parts = parts_of()
    parts[TEXTS] = parts[TEXTS].replace(b"<si>", b"<si><t>" + b"a" * 1_000_000 + b"</t></si><si>", 1)
    cells = numbered(b'<row r="#"><c r="A#" t="s"><v>0</v></c></row>', 5, 20_000)
    parts[SHEET] = parts[SHEET].replace(b"</sheetData>", cells + b"</sheetData>")
    assert refused(packed(tmp_path / "a.xlsx", parts)).code == "file-too-large"


def test_a_cell_of_many_megabytes_is_refused(tmp_path):
    row = b'<row r="5"><c r="A5" t="inlineStr"><is><t>' + b"a" * 20_000_000 + b"</t></is></c></row>"
    assert refused(with_rows(tmp_path / "a.xlsx", row)).code == "file-suspect"


MEASURED = """
import sys
from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable
try:
    book = open_book(sys.argv[1])
    print(len(book.grid("Stock").rows))
except Unusable as unusable:
    print(unusable.problems[0].code)
"""


def million_filled(path):
    return with_rows(
        path, numbered(b'<row r="#"><c r="A#"><v>1</v></c></row>', 5, 1_048_576), b"A1:XFD1048576"
    )


def million_blank(path):
    return with_rows(path, numbered(b'<row r="#"><c r="A#" s="1"/></row>', 5, 1_048_576), b"A1:A1048576")


def honest_bomb(path):
    return with_long_part(path, "xl/media/image1.xml", 300)


def lying_bomb(path):
    before, _ = parts_of()[TEXTS].split(b"</sst>")
    return with_lie(with_long_part(path, TEXTS, 300, before + b"<si><t>", b"</t></si></sst>"), TEXTS, 5000)


def repeating_ods(path):
    return ods_with(path.with_suffix(".ods"), repeated(1_048_576, 20))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("make", "answer"),
    [
        (million_filled, "file-too-large"),
        (million_blank, "4"),
        (honest_bomb, "file-too-large"),
        (lying_bomb, "file-suspect"),
        (repeating_ods, "file-too-large"),
    ],
)
def test_it_is_answered_in_five_seconds_and_500_mb(tmp_path, make, answer):
    """Time is that of the processor, since other work on the machine is none of ours."""
    resource = pytest.importorskip("resource")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(
        [sys.executable, "-c", f"{MEASURED}\n{USED}", str(make(tmp_path / "a.xlsx"))],
        capture_output=True,
        check=True,
        text=True,
        timeout=60,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    found, most_kilobytes = done.stdout.split()
    assert found == answer
    assert after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime < 5
    assert int(most_kilobytes) < 500_000


USED = """
from pathlib import Path
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage
# The system's own figure of a new process begins with the size of the one that started it: the peak since
# the program began is told elsewhere, where it is told.
status = Path("/proc/self/status")
own = getrusage(RUSAGE_SELF).ru_maxrss
if status.is_file():
    own = next(int(line.split()[1]) for line in status.read_text().splitlines() if line.startswith("VmHWM"))
print(max(own, getrusage(RUSAGE_CHILDREN).ru_maxrss))
"""


# what a workbook has no need of


DOCTYPE = '<?xml version="1.0" encoding="{}"?><!DOCTYPE x [<!ENTITY a "b">]><x/>'


@pytest.mark.parametrize(
    "part", ["xl/workbook.xml", SHEET, "xl/_rels/workbook.xml.rels", "xl/drawings/d.vml"]
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-be"])
def test_a_document_type_is_refused_in_any_part_that_is_read(tmp_path, part, encoding):
    text = DOCTYPE.format(encoding[:6]).encode(encoding)
    assert refused(packed(tmp_path / "a.xlsx", {**parts_of(), part: text})).code == "file-suspect"


def test_a_document_type_far_down_is_refused(tmp_path):
    sheet = parts_of()[SHEET]
    start = b"<?xml version='1.0'?><!--" + b"x" * 3_000_000 + b"--><!DOCTYPE x>"
    path = packed(tmp_path / "a.xlsx", {**parts_of(), SHEET: start + sheet[sheet.index(b"<worksheet") :]})
    assert refused(path).code == "file-suspect"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le"])
def test_a_sheet_in_utf_16_is_not_taken_for_a_blank_one(tmp_path, encoding):
    text = parts_of()[SHEET].decode().replace('encoding="UTF-8"', 'encoding="UTF-16"', 1)
    assert (
        refused(packed(tmp_path / "a.xlsx", {**parts_of(), SHEET: text.encode(encoding)})).code
        == "file-suspect"
    )


def test_two_parts_of_one_name_are_refused(tmp_path):
    path = packed(tmp_path / "a.xlsx", {**parts_of(), SHEET.upper(): parts_of()[SHEET]})
    assert refused(path).code == "file-suspect"


# other kinds, other variants


@pytest.mark.parametrize(
    ("content", "name"),
    [("stock.ods", "a.xlsx"), ("stock.xlsx", "a.xls"), ("stock.xls", "a.xlsx"), ("stock.xlsb", "a.xlsx")],
)
def test_a_workbook_by_another_name_is_refused_with_the_right_one(tmp_path, content, name):
    path = tmp_path / name
    path.write_bytes((FILES / content).read_bytes())
    problem = refused(path)
    assert (problem.code, f".{content[6:]}" in problem.do) == ("file-kind", True)


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("a.xls", b"<html><body><table>", "a web page"),
        ("a.xls", '\ufeff<html xmlns:x="x"><table>'.encode("utf-16"), "a web page"),
        ("a.xls", b"part\ton hand\n", "looks like csv"),
        ("a.xls", "part\ton hand\n".encode("utf-16"), "looks like csv"),
    ],
)
def test_text_that_is_called_a_workbook_is_named_for_what_it_is(tmp_path, name, data, says):
    (tmp_path / name).write_bytes(data)
    problem = refused(tmp_path / name)
    assert (problem.code, says in problem.says) == ("file-kind", True)


@pytest.mark.parametrize("name", ["~$stock.xlsx", ".~lock.stock.ods#"])
def test_a_lock_file_is_named(tmp_path, name):
    (tmp_path / name).write_bytes(b",clerk,desk,25.11.2026")
    assert refused(tmp_path / name).code == "file-is-lock"


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["xlsx", "xlsm", "xlsb", "xls", "ods"])
@pytest.mark.parametrize("kept", [0.3, 0.6, 0.95])
def test_a_file_cut_short_is_refused(tmp_path, kind, kept):
    data = (FILES / f"stock.{kind}").read_bytes()
    path = tmp_path / f"a.{kind}"
    path.write_bytes(data[: int(len(data) * kept)])
    assert refused(path).code in {"file-broken", "file-kind"}


def test_an_encrypted_ods_asks_for_a_password(tmp_path):
    manifest = parts_of("stock.ods")["META-INF/manifest.xml"]
    entry = b"<manifest:encryption-data manifest:checksum='x'/></manifest:manifest>"
    manifest = manifest.replace(b"</manifest:manifest>", entry)
    path = packed(tmp_path / "a.ods", {**parts_of("stock.ods"), "META-INF/manifest.xml": manifest})
    assert refused(path).code == "file-protected"


def test_an_ods_encrypted_as_a_whole_asks_for_a_password(tmp_path):
    manifest = b"<manifest:manifest><manifest:encryption-data/></manifest:manifest>"
    path = packed(tmp_path / "a.ods", {"META-INF/manifest.xml": manifest, "encrypted-package": b"x" * 99})
    assert refused(path).code == "file-protected"


STRICT = {
    b"http://schemas.openxmlformats.org/spreadsheetml/2006/main": b"http://purl.oclc.org/ooxml/spreadsheetml/main",
    b"http://schemas.openxmlformats.org/officeDocument/2006/relationships": (
        b"http://purl.oclc.org/ooxml/officeDocument/relationships"
    ),
}


def test_a_strict_workbook_is_read(tmp_path):
    """ISO/IEC 29500 Strict differs in its namespaces, and writes dates as text."""
    parts = parts_of()
    dated = b'<row r="5"><c r="A5" t="d"><v>2026-12-03T00:00:00</v></c></row></sheetData>'
    parts[SHEET] = parts[SHEET].replace(b"</sheetData>", dated)
    for part in parts:
        for ordinary, strict in STRICT.items():
            parts[part] = parts[part].replace(ordinary, strict)
    rows = rows_of(packed(tmp_path / "a.xlsx", parts))
    assert (rows[1][:3], str(rows[4][0])[:10]) == (["00417", 'Castor 8"', 4], "2026-12-03")


def test_a_workbook_without_a_sheet_is_refused(tmp_path):
    path = with_rows(tmp_path / "a.xlsx", b"")
    altered(path, lambda xml: re.sub(rb"<sheets>.*</sheets>", b"<sheets/>", xml), "xl/workbook.xml")
    problem = refused(path)
    assert (problem.code, problem.says) == ("sheet-missing", "a.xlsx holds no sheet at all.")


def test_a_workbook_of_charts_alone_is_refused(tmp_path):
    import openpyxl
    from openpyxl.chart import BarChart

    book = openpyxl.Workbook()
    book.remove(book.active)
    book.create_chartsheet("Stock").add_chart(BarChart())
    book.save(tmp_path / "a.xlsx")
    problem = refused(tmp_path / "a.xlsx")
    assert (problem.code, "such as charts" in problem.says) == ("sheet-missing", True)


# links


def test_links_to_other_files_are_remarked(tmp_path):
    rels = b'<Relationships><Relationship Id="rId1" Target="file:///C:/price%20lists/prices.xlsx"/></Relationships>'
    parts = {
        **parts_of(),
        "xl/externalLinks/externalLink1.xml": b"<externalLink/>",
        "xl/externalLinks/_rels/externalLink1.xml.rels": rels,
    }
    book = open_book(packed(tmp_path / "a.xlsx", parts))
    assert flat(book.problems) == [("", "links-outside")]
    assert book.problems[0].says == "Cells of a.xlsx take values from other files: prices.xlsx."
    assert len(book.grid("Stock").rows) == 4


def test_links_of_an_ods_are_remarked(tmp_path):
    linked = (
        b"<table:table-row><table:table-cell table:formula=\"of:=['file:///c/p.ods'#$A.B2]\" "
        b'office:value-type="float" office:value="7"><text:p>7</text:p></table:table-cell></table:table-row>'
    )
    book = open_book(ods_with(tmp_path / "a.ods", linked))
    assert flat(book.problems) == [("", "links-outside")]
    assert book.grid("Stock").rows[0][0] == 7


def test_an_ordinary_workbook_has_no_links(tmp_path):
    assert open_book(workbook(tmp_path / "a.xlsx", Stock=[["part"]])).problems == []
