"""Nothing that stands in an input ever runs, leads elsewhere, or breaks an output."""

import csv
import re
import shutil
import subprocess
import zipfile
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from books import workbook
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.reports.writing.csv_files import DEVICES, LONGEST_NAME, cell_text, csv_outputs, safe_file_name
from reconcile.reports.writing.grid import Table
from reconcile.reports.writing.rows_xml import clean
from reconcile.reports.writing.workbook import safe_sheet_name
from reconcile.sheets.files.csv_text import read_csv
from reconcile.values.guard import guarded, unguarded

HOSTILE = (
    "=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1+1", "\r=1+1", "\n=1+1", " =1+1", "\u00a0-1+1", "＝1+1",
    "＋1", "－1", "＠SUM(1)", '=HYPERLINK("https://example.invalid","here")', "=cmd|' /C calc'!A1",
)  # fmt: skip
HARMLESS = ("1/4-20 UNC", "00417", "a=b", "x-1", "'s", "J 1", "", "1e5")
MARKS = tuple("=+-@＝＋－＠")


# --- csv ------------------------------------------------------------------------------------------------


def runs(text: str) -> bool:
    """What a spreadsheet program might take for a formula, said in another way than the code says it."""
    return text.startswith(("\t", "\r", "\n")) or text.lstrip(" \t\r\n\u00a0\ufeff\u200b").startswith(MARKS)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_text_that_may_run_is_guarded_and_comes_back_as_it_was(text: str) -> None:
    assert guarded(text) == f"'{text}"
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", HARMLESS)
def test_other_text_stays_as_it_is(text: str) -> None:
    assert guarded(text) == unguarded(text) == text


@given(st.text("='+-@\t\r\n ＝＋\u00a0\ufeffab1\x00\x07", max_size=8))
def test_whatever_is_written_never_runs_and_reads_back(text: str) -> None:
    written = cell_text(text)
    assert not runs(written)
    assert unguarded(written) == clean(text)


@pytest.mark.parametrize("part", ["-10", "+44", "=A1", "'-10", "''=x", "00417", "'s"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_a_part_number_in_a_csv_of_ours_is_read_as_it_was(tmp_path: Path, part: str, delimiter: str) -> None:
    from reconcile.reports.writing.csv_files import write_csv
    from reconcile.reports.writing.grid import Column

    rows = [(part, 1), ("B", 2)]
    written = Table("t", "t", (Column("part"), Column("count")), lambda: iter(rows), 2)
    write_csv(written, tmp_path / "t.csv", delimiter)
    read = read_csv((tmp_path / "t.csv").read_bytes(), "t.csv")
    cells = getattr(read, "rows", None) or read[0]
    assert cells[1][0] == part


# --- names ----------------------------------------------------------------------------------------------

NAMES = (
    "../../evil", "/etc/passwd", "C:\\Windows\\x", "\\\\server\\share", "a\0b", "CON", "con", "nul", "Lpt1",
    "COM¹", "..", ".", "", "   ", "name.", "name...", "name ", "x" * 300, "é" * 300, "😀" * 300, "a/b",
    "a:b", "a\nb",
    "\u202egnp.exe", "~", "-rf", "$HOME", "%2e%2e", "A|B", "A?B*", 'A"B', "<A>", "\ud800", "\ufffe",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_a_name_is_one_plain_part_of_a_path(tmp_path: Path, name: str) -> None:
    safe = safe_file_name(name)
    assert safe == safe.strip()
    assert safe
    assert re.fullmatch(r"[\w -]+", safe)
    assert len(safe.encode()) <= LONGEST_NAME + 1
    assert safe.casefold() not in DEVICES
    path = tmp_path / f"{safe}.csv"
    path.touch()
    assert [each.name for each in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize(
    "pair",
    [("A/B", "A:B"), ("north", "NORTH"), ("x" * 300, "x" * 301), ("..", "__"), ("é", "e\u0301"), ("", " ")],
)
def test_two_names_that_become_one_stay_apart(tmp_path: Path, pair: tuple[str, str]) -> None:
    tables = [Table(name, "", (), lambda: iter(()), 0) for name in pair]
    paths = {str(path).casefold() for path, _ in csv_outputs(tables, tmp_path)}
    assert len(paths) == 2
    first = safe_sheet_name(pair[0], [])
    assert safe_sheet_name(pair[1], [first]).casefold() != first.casefold()


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_a_name_is_one_that_a_sheet_may_have(name: str) -> None:
    safe = safe_sheet_name(name, ["Summary"])
    assert 0 < len(safe.encode("utf-16-le")) <= 62
    assert not re.search(r"[\[\]:*?/\\\x00-\x1f\ud800-\udfff]", safe)
    assert safe.strip("' ") == safe


# --- a whole run on such inputs -----------------------------------------------------------------------------

FRAME = """
code = "ZB-1"
source = '=1+1'
[[adjustment]]
name = "-1+1"
minimum = "10 in"
maximum = "12 in"
step = "1/2 in"
sides = 1
"""
SUPPLIERS = ("../../evil", "CON", "=1+1", "A/B", "A:B", "s" * 300, "History", "c\x0bd")


def add_texts(path: Path, sheet: str, rows: list[list[object]]) -> None:
    """Appends rows in which no text is a formula, whatever it begins with."""
    book = openpyxl.load_workbook(path)
    page = book[sheet]
    for number, row in enumerate(rows, page.max_row + 1):
        for column, value in enumerate(row, 1):
            cell = page.cell(number, column)
            cell.value = "x" if isinstance(value, str) else value
            if isinstance(value, str):
                cell._value, cell.data_type = value.replace("\x0b", "_x000B_"), "s"
    book.save(path)


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The reports of a week whose every text is hostile."""
    shop = tmp_path_factory.mktemp("shop")
    (shop / "frames").mkdir()
    used = [f"{text} {number}" for number, text in enumerate(HOSTILE)]
    parts = "".join(f'[[adjustment.disturbed]]\npart = {toml(part)}\nquantity = "1 each"\n' for part in used)
    (shop / "frames" / "f.toml").write_text(FRAME + parts, "utf-8")
    jobs = ["job", "date", "frame", "from", "to", "options", "technician", "asset", "notes"]
    workbook(shop / "jobs.xlsx", Jobs=[jobs])
    day = date(2026, 12, 1)
    rows = [[f"{text}{n}", day, "ZB-1", "10 in", "11 in", *[text] * 4] for n, text in enumerate(HOSTILE)]
    faulty = [["=J", day, "=F", "10 in", "11 in"], ["-J", "=D", "ZB-1", "@", "+"]]
    add_texts(shop / "jobs.xlsx", "Jobs", rows + faulty)
    stock = ["part", "description", "bin", "on hand", "unit", "supplier", "supplier part"]
    workbook(shop / "stock.xlsx", Stock=[stock], Suppliers=[["supplier", "name"]])
    codes = [f"S{n}" for n in range(len(SUPPLIERS))]
    of_part = [codes[number % len(codes)] for number in range(len(used))]
    rows = [
        [part, text, text, 1, "each", code, text]
        for part, text, code in zip(used, HOSTILE, of_part, strict=True)
    ]
    add_texts(shop / "stock.xlsx", "Stock", rows)
    add_texts(shop / "stock.xlsx", "Suppliers", [list(each) for each in zip(codes, SUPPLIERS, strict=True)])
    words = ["week", str(shop), "--today", "2026-11-27", "--csv"]
    answer = CliRunner().invoke(app, words)
    assert answer.exit_code == 1, answer.output
    return shop / "reports"


def toml(text: str) -> str:
    import json

    return json.dumps(text, ensure_ascii=False)


BOOKS = ("report-2026-W49.xlsx", "order-2026-W49.xlsx")


def formulas(path: Path) -> list[str]:
    """Formulas in the sheets' own XML, and cells whose text was not written as text."""
    found = []
    with zipfile.ZipFile(path) as members:
        for name in members.namelist():
            if name.startswith("xl/worksheets/sheet"):
                found += re.findall(r"<(?:\w+:)?f[ >/][^<]*", members.read(name).decode())
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", BOOKS)
def test_every_hostile_text_is_text_in_the_workbook(reports: Path, name: str) -> None:
    assert formulas(reports / name) == []
    cells = [cell for sheet in openpyxl.load_workbook(reports / name) for row in sheet for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n", "d", "inlineStr"}
    assert any(str(cell.value).startswith("=1+1") for cell in cells)


@pytest.mark.parametrize("name", BOOKS)
def test_every_text_is_written_as_an_inline_string(reports: Path, name: str) -> None:
    with zipfile.ZipFile(reports / name) as members:
        for member in members.namelist():
            if member.startswith("xl/worksheets/sheet"):
                for kind, inside in re.findall(
                    r'<c r="[A-Z]+\d+" s="\d+"( t="\w+")?>(.*?)</c>', members.read(member).decode(), re.DOTALL
                ):
                    number = re.fullmatch(r"<v>-?\d+(?:\.\d+)?(?:e-?\d+)?</v>", inside)
                    assert kind == ("" if number else ' t="inlineStr"'), inside


@pytest.mark.skipif(not shutil.which("soffice"), reason="LibreOffice is not installed")
def test_text_is_still_text_after_another_program_has_saved_it(reports: Path, tmp_path: Path) -> None:
    done = subprocess.run(
        ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx",
         "--outdir", str(tmp_path / "saved"), *(str(reports / name) for name in BOOKS)],
        capture_output=True, check=False, text=True, timeout=120,
    )  # fmt: skip
    for name in BOOKS:
        assert (tmp_path / "saved" / name).is_file(), done.stderr
        assert formulas(tmp_path / "saved" / name) == []
        values = CalamineWorkbook.from_path(str(tmp_path / "saved" / name))
        sheets = (values.get_sheet_by_name(each).to_python() for each in values.sheet_names)
        texts = {cell for rows in sheets for row in rows for cell in row}
        assert any(isinstance(text, str) and text.startswith("=1+1") for text in texts)


def test_no_cell_of_a_csv_runs(reports: Path) -> None:
    seen = set()
    for path in (reports / "csv-2026-W49").iterdir():
        with path.open(encoding="utf-8-sig", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert [cell for cell in cells if runs(cell) and not re.fullmatch(r"-\d+(\.\d+)?", cell)] == []
        seen |= {unguarded(cell) for cell in cells}
    # Full-width letters are read as their plain ones; that is the reader's business.
    typed = {text.strip() for text in HOSTILE if text.isascii()}
    assert typed <= {cell.strip() for cell in seen}


def test_suppliers_names_stay_in_the_folder_and_apart(reports: Path) -> None:
    there = {str(path.relative_to(reports)) for path in reports.rglob("*") if path.is_file()}
    tables = {Path(name).stem for name in there if name.startswith("csv-")}
    assert {"______evil", "CON_", "_1_1", "A_B", "A_B (2)", "s" * LONGEST_NAME, "History", "c d"} <= tables
    beside = {name for name in there if not name.startswith("csv-2026-W49/")}
    assert set(BOOKS) <= beside
    assert [name for name in beside if not re.fullmatch(r"[\w -]+\.(xlsx|xml|html)", name)] == []
    assert len({name.casefold() for name in there}) == len(there)
    names = openpyxl.load_workbook(reports / BOOKS[1]).sheetnames
    assert len({name.casefold() for name in names}) == len(names)
    assert {"evil", "CON", "=1+1", "AB", "AB (2)", "s" * 31, "History orders", "c d"} <= {
        name.lstrip(".") for name in names
    }
