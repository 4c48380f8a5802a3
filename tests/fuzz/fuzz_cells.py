"""A coverage-guided fuzzer of the way in: bytes of csv files and the XML inside small xlsx and ods workbooks.

Whatever the bytes, ``open_book``, every grid and ``read_stock`` give an answer or raise Unusable. Run by
hand, with atheris installed (it is no dependency of the tests):

    python tests/fuzz/fuzz_cells.py -max_total_time=600 -rss_limit_mb=1500 -timeout=20 [FOLDER OF INPUTS]

What it finds is written to ``crash-…`` in the current folder, and that name instead of the options runs one
again. A finding becomes a case in ``tests/sheets/files``. Most inputs change the XML of a sheet. An xlsx is
read in this process whatever it is like, since all that it asks for has been bounded before.
"""

import sys
import tempfile
import zipfile
from datetime import date
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["reconcile.sheets"]):
    from reconcile.sheets.files import books, child_reader
    from reconcile.sheets.files.books import open_book
    from reconcile.sheets.stock.workbook import read_stock

from reconcile.values.problem import Unusable
from reconcile.values.settings import Limits, Settings

LIMITS = Limits(expanded_mb=20, cells=100_000)
SETTINGS = Settings(length_unit="in", date_order="dmy", decimal=".", currency="XTS")
TODAY = date(2026, 11, 27)
SHEET = "xl/worksheets/sheet1.xml"
PARTS = (
    SHEET,
    SHEET,
    SHEET,
    SHEET,
    "content.xml",
    "xl/workbook.xml",
    "xl/sharedStrings.xml",
    "xl/_rels/workbook.xml.rels",
    "xl/styles.xml",
)
FOLDER = Path(tempfile.mkdtemp(prefix="fuzz-cells-"))
child_reader.SECONDS = 15
OPENED = books._opened


def opened_here(path: Path, data: bytes, limits: Limits, *, in_child: bool) -> object:
    """As a run opens a workbook; an xlsx never in a child, which would hide what it asks for."""
    return OPENED(path, data, limits, in_child=in_child and path.suffix != ".xlsx")


books._opened = opened_here


def seed_workbook(name: str) -> dict[str, bytes]:
    """The parts of a small sound stock workbook."""
    with zipfile.ZipFile(Path(__file__).parent.parent / "cases" / "files" / name) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


SEED, ODS_SEED = seed_workbook("stock.xlsx"), seed_workbook("stock.ods")
CONTENT = "content.xml"


def csv_of(data: bytes) -> Path:
    path = FOLDER / "Stock.csv"
    path.write_bytes(data)
    return path


def workbook_of(data: bytes, part: str) -> Path:
    """The seed with one part replaced."""
    path = FOLDER / ("stock.ods" if part == CONTENT else "stock.xlsx")
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in (ODS_SEED if part == CONTENT else SEED).items():
            archive.writestr(name, data if name == part else content)
    return path


def spliced(data: bytes, part: str) -> bytes:
    """A part with some of its bytes overwritten: the first two say where, the rest by what."""
    seed = ODS_SEED if part == CONTENT else SEED
    content, at = seed[part], int.from_bytes(data[:2], "little")
    at %= len(content)
    return content[:at] + data[2:] + content[at + len(data) - 2 :]


def file_of(data: bytes) -> Path:
    """The first byte chooses what the rest is: a csv file, a whole part, or bytes spliced into a part."""
    choice, rest = data[0] % (1 + 2 * len(PARTS)), data[1:]
    if choice == 0:
        return csv_of(rest)
    part = PARTS[(choice - 1) // 2]
    if part == SHEET and choice % 2 == 0:
        return workbook_of(sheet_of(rest), part)
    return workbook_of(spliced(rest, part) if choice % 2 else rest, part)


ROWS_BEGIN, ROWS_END = b"<sheetData>", b"</sheetData>"
PIECES = (
    b'<row r="', b'">', b"</row>", b'<c r="', b'" t="s"><v>', b'"><v>', b"</v></c>", b"<c>", b"<v>", b"</v>",
    b"</c>", b"<row>", b"A", b"XFD", b"XFE", b"1", b"2", b"0", b"-1", b"9999999", b"1048576",
    b'" t="b"><v>', b'" t="inlineStr"><is><t>', b"</t></is></c>", b'" s="1"/>', b"<f>1</f>", b"<!--", b"-->",
    b"<![CDATA[", b"]]>", b"'", b" ",
)  # fmt: skip


def sheet_of(data: bytes) -> bytes:
    """The sheet with rows put together of pieces that rows are made of: each byte chooses one."""
    head, _, rest = SEED[SHEET].partition(ROWS_BEGIN)
    tail = rest.partition(ROWS_END)[2]
    rows = b"".join(PIECES[byte % len(PIECES)] for byte in data)
    return head + ROWS_BEGIN + rows + ROWS_END + tail


def one_input(data: bytes) -> None:
    if len(data) < 4:
        return
    try:
        book = open_book(file_of(data), LIMITS)
    except Unusable:
        return
    for sheet in book.sheet_names:
        try:
            book.grid(sheet)
        except Unusable:
            continue
    try:
        read_stock(book, SETTINGS, TODAY)
    except Unusable:
        return


def main() -> None:
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
