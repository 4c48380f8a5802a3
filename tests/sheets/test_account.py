"""Every filled cell of a sheet is used, ignored with the reason, or in error; as many as the file holds."""

import csv
import io
import json
from collections import Counter
from datetime import date
from pathlib import Path

import openpyxl
import pytest
import weeks
from books import altered, csv_file, workbook
from cells_counted import counted
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.styles import PatternFill
from typer.testing import CliRunner
from untidy_cases import CASES

from reconcile.cli import app
from reconcile.reports.glance.about import about_run
from reconcile.reports.glance.cells_text import account_text, unread_text
from reconcile.reports.week.screen import week_screen
from reconcile.sheets.account import accounts
from reconcile.sheets.files.books import open_book
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.request import Request
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.days import Period
from reconcile.values.settings import Limits, Settings
from reconcile.values.week.results import Ignored, SheetAccount

HERE = Path(__file__).parent.parent
DEMO = HERE.parent / "data_demo"
KEPT = HERE / "cases"
TODAY, TUESDAY = date(2026, 11, 27), date(2026, 12, 1)
INCHES = Settings(length_unit="in")
STOCK = ["part", "on hand", "unit"]
WEEK = Period(date(2026, 11, 30), date(2026, 12, 4))


def of_stock(path: Path, reading: Settings = INCHES) -> dict[str, SheetAccount]:
    """The account of each sheet of a stock workbook, or of a folder of csv files."""
    book = open_book(path, reading.limits)
    return {each.sheet: each for each in accounts([(book, read_stock(book, reading, TODAY).tables)])}


def of_jobs(path: Path) -> SheetAccount:
    book = open_book(path)
    (account,) = accounts([(book, read_jobs(book, INCHES, lambda days: WEEK, WEEK.first).tables)])
    return account


def told(account: SheetAccount) -> list[tuple[str, str, int]]:
    return [(each.where, each.reason, each.cells) for each in account.ignored]


def add_up(account: SheetAccount) -> bool:
    return account.filled == account.used + account.in_error + sum(each.cells for each in account.ignored)


def is_whole(found: dict[str, SheetAccount], path: Path) -> bool:
    """Every sheet of the file has an account, which adds up to what another count of the file gives."""
    filled = {sheet: account.filled for sheet, account in found.items()}
    return filled == counted(path) and all(map(add_up, found.values()))


# the same count as the file's


def test_the_demo_is_accounted_for_to_the_cell() -> None:
    request = Request(folder=DEMO, settings=DEMO / "reconcile.toml", today=TODAY, count_cells=True)
    found = read_inputs(request).cells
    for name in ("jobs.xlsx", "stock.xlsx"):
        assert is_whole({each.sheet: each for each in found if each.file == name}, DEMO / name)


@pytest.mark.parametrize("name", ["stock.xlsx", "stock.xlsm", "stock.ods"])
def test_a_real_file_is_accounted_for(name: str) -> None:
    assert is_whole(of_stock(KEPT / "files" / name), KEPT / "files" / name)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["stock.xls", "stock.xlsb"])
def test_a_file_without_xml_has_as_many_cells_as_the_same_one_in_xml(name: str) -> None:
    found = of_stock(KEPT / "files" / name)
    assert found["Stock"].filled == counted(KEPT / "files" / "stock.xlsx")["Stock"]
    assert all(map(add_up, found.values()))


@pytest.mark.slow
@pytest.mark.parametrize("name", ["marked.ods", "days_1904.ods"])
def test_a_real_ods_with_errors_hidden_and_merged_cells_is_accounted_for(name: str) -> None:
    path = KEPT / "workbooks" / name
    assert is_whole({each.sheet: each for each in accounts([(open_book(path), ())])}, path)


@pytest.mark.parametrize("mark", [",", ";"])
def test_a_folder_of_csv_is_accounted_for(tmp_path: Path, mark: str) -> None:
    rows = ["My stock", "part,on hand,unit,remarks", "B-1,3,each,'=1", "Total,3,,", ",,,", "B-2,x,each, "]
    csv_file(tmp_path / "Stock.csv", "\n".join(rows).replace(",", mark))
    csv_file(tmp_path / "plans.csv", "a,b\n,1\n".replace(",", mark))
    found = of_stock(tmp_path)
    assert is_whole(found, tmp_path)
    assert told(found["plans"]) == [("", "not a sheet that is read", 3)]
    assert (found["plans"].file, found["Stock"].in_error) == ("plans.csv", 3)


@pytest.mark.slow
@pytest.mark.parametrize(
    "case", [pytest.param(each, id=each.name) for each in CASES["tables"] + CASES["totals"]]
)
def test_untidy_sheets_are_accounted_for(tmp_path: Path, case) -> None:
    beside = {} if case.sheet in ("Stock", "Jobs") else {"Stock": [STOCK, ["B-1", 5, "each"]]}
    sheets = {**beside, case.sheet.replace(" ", "_"): [case.headings, *case.rows]}
    path = workbook(tmp_path / "book.xlsx", **sheets)
    found = {case.sheet: of_jobs(path)} if case.sheet == "Jobs" else of_stock(path)
    assert is_whole(found, path)


# why cells are ignored


def test_each_reason_names_its_place(tmp_path: Path) -> None:
    rows = [
        ["Counted on Friday", None, None, "by hand"],
        [None, None, None, None, None, 7],
        [*STOCK, "shelf life", None, "bin"],
        ["B-1", 3, "each", 4, None, "A1"],
        ["B-2", "many", "each", 5],
        ["--- Nuts ---"],
        ["B-3", 4, "each", 6, "see me", "  "],
        ["Total", 7],
        ["part", "on hand", "unit"],
        ["unit", "part", "on hand"],
        ["each", "B-4", 4],
    ]
    path = workbook(tmp_path / "stock.xlsx", Stock=rows, Sums=[["a", None, 3]], Empty=[])
    found = of_stock(path)
    assert is_whole({each: found[each] for each in ("Stock", "Sums", "Empty")}, path)
    assert told(found["Stock"]) == [
        ("rows 1 and 2", "it stands above the headings", 3),
        ("row 6", "a note", 1),
        ("row 7", "nothing is to be seen in it", 1),
        ("row 8", "a total", 2),
        ("row 9", "the headings again", 3),
        ('column D "shelf life"', "its heading is none that is read", 4),
        ("column E", "it has no heading", 1),
    ]
    assert (found["Stock"].used, found["Stock"].in_error) == (4 + 4 + 3, 3 + 3 + 3)
    assert told(found["Sums"]) == [("", "not a sheet that is read", 2)]
    assert found["Empty"] == SheetAccount("stock.xlsx", "Empty")


def test_rows_beyond_the_look_ahead_and_faulty_ones_of_jobs(tmp_path: Path) -> None:
    headings = ["job", "date", "frame", "from", "to", "asset"]
    jobs = [
        ["J-1", TUESDAY, "F", 1, 2, "W-1"],
        ["J-2", date(2027, 6, 7), "F", 1, 2],
        ["J-3", "soon", "F", 1, 2],
    ]
    path = workbook(tmp_path / "jobs.xlsx", Jobs=[headings, *jobs])
    account = of_jobs(path)
    assert is_whole({"Jobs": account}, path)
    assert (account.used, account.in_error) == (6 + 6, 5)
    assert told(account) == [("row 3", "outside the period", 5)]


def test_a_job_set_aside_when_it_is_planned_is_in_error_too() -> None:
    account = SheetAccount("jobs.xlsx", "Jobs", 20, 18, (Ignored("a", "b", 2),), by_row={3: 5, 4: 6})
    after = account.setting_aside({4, 9})
    assert (after.used, after.in_error, add_up(after)) == (12, 6, True)


@pytest.mark.slow
def test_the_week_moves_the_cells_of_jobs_that_it_cannot_plan(tmp_path: Path) -> None:
    week = ["week", str(DEMO), "--today", "2026-11-27", "--json", "--dry-run"]
    told = json.loads(CliRunner().invoke(app, week).stdout)
    jobs = next(each for each in told["cells"] if each["sheet"] == "Jobs")
    read = Request(folder=DEMO, settings=DEMO / "reconcile.toml", today=TODAY, count_cells=True)
    before = next(each for each in read_inputs(read).cells if each.sheet == "Jobs")
    assert jobs["filled"] == jobs["used"] + jobs["in_error"] + sum(each["cells"] for each in jobs["ignored"])
    assert jobs["in_error"] > before.in_error


def styled(path: Path, *rows: list) -> Path:
    """A stock workbook; "painted" is a coloured cell without a value."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Stock"
    for row in rows:
        sheet.append([None if cell == "painted" else cell for cell in row])
        for at, cell in enumerate(row, 1):
            if cell == "painted":
                sheet.cell(sheet.max_row, at).fill = PatternFill("solid", "FFFF00")
    book.save(path)
    return path


def test_a_painted_cell_holds_nothing_and_a_formula_always_something(tmp_path: Path) -> None:
    headings = [*STOCK, "bin", "kind"]
    path = styled(
        tmp_path / "stock.xlsx", headings, ["B-1", 3, "each", "painted", "=B2"], ["painted"] * 9,
        ["B-2", "=B1", "each"], ["B-3", 4, "each", "A1", "#N/A"],
    )  # fmt: skip
    assert is_whole(found := of_stock(path), path)
    assert told(found["Stock"]) == [("rows 2 and 5", "faulty text, taken as blank", 2)]
    assert (found["Stock"].used, found["Stock"].in_error) == (5 + 3 + 4, 3)


EMPTY_TEXTS = (
    b'<c r="D2" t="str"><f>""</f><v></v></c>',
    b'<c r="D2" t="inlineStr"><is><t></t></is></c>',
    b'<c r="D2" t="inlineStr"><is><t/></is></c>',
)


@pytest.mark.parametrize("cell", EMPTY_TEXTS)
def test_an_empty_text_is_counted_and_said_to_show_nothing(tmp_path: Path, cell: bytes) -> None:
    path = workbook(tmp_path / "stock.xlsx", Stock=[[*STOCK, "bin"], ["B-1", 3, "each"]])
    altered(path, lambda xml: xml.replace(b"</row></sheetData>", cell + b"</row></sheetData>"))
    assert is_whole(found := of_stock(path), path)
    assert told(found["Stock"]) == [("", "nothing is to be seen in it", 1)]


@pytest.mark.parametrize(
    "change",
    [
        lambda xml: xml.replace(b"<c ", b"\n  <c ").replace(b"</c>", b"\n</c>"),
        lambda xml: xml.replace(b"<sheetData>", b"<!-- <c r='A1'><v>1</v></c> --><sheetData>"),
        lambda xml: xml.replace(
            b"</row>", b'<c r="E1"/><c r="F1"></c><c r="G1"><v/></c><c r="H1"><v></v></c></row>', 1
        ),
        lambda xml: xml.replace(b"<v>3</v>", b"<v>3</v>\n"),
    ],
)
def test_the_count_does_not_depend_on_how_a_sheet_is_written(tmp_path: Path, change) -> None:
    path = altered(workbook(tmp_path / "stock.xlsx", Stock=[STOCK, ["B-1", 3, "each"]]), change)
    assert is_whole(of_stock(path), path)


def test_a_sheet_too_large_to_be_looked_at_is_said_to_be(tmp_path: Path) -> None:
    csv_file(tmp_path / "Stock.csv", "part,on hand,unit\nB-1,3,each\n")
    csv_file(tmp_path / "plans.csv", "a,b,c\n" * 9)
    found = of_stock(tmp_path, Settings(limits=Limits(cells=20)))
    assert found["plans"].uncounted.startswith("plans.csv spans 3 columns")
    assert account_text(found["plans"]).startswith("not counted: plans.csv spans")


def test_a_large_sheet_that_is_not_read_is_counted_without_being_loaded(tmp_path: Path) -> None:
    path = workbook(tmp_path / "stock.xlsx", Stock=[STOCK, ["B-1", 3, "each"]], Log=[[1, 2, 3]] * 10)
    reading = Settings(limits=Limits(cells=20))
    assert of_stock(path, reading)["Log"].filled == 30


def test_one_workbook_for_jobs_and_stock_has_one_account_of_each_sheet(tmp_path: Path) -> None:
    headings = ["job", "date", "frame", "from", "to"]
    jobs = [headings, ["J-1", TUESDAY, "F", 1, 2]]
    path = workbook(tmp_path / "all.xlsx", Jobs=jobs, Stock=[STOCK, ["B-1", 3, "each"]])
    one, other = open_book(path), open_book(path)
    found = accounts(
        [
            (one, read_jobs(one, INCHES, lambda days: WEEK, WEEK.first).tables),
            (other, read_stock(other, INCHES, TODAY).tables),
        ]
    )
    assert [(each.sheet, each.used, each.ignored) for each in found] == [("Jobs", 10, ()), ("Stock", 6, ())]


# in words


def test_an_account_in_words() -> None:
    ignored = (
        Ignored("its heading is none that is read", 'column M "remarks"', 96),
        Ignored("a note", "row 7", 1),
    )
    account = SheetAccount("stock.xlsx", "Stock", 4212, 4099, ignored, 16)
    assert account_text(account) == (
        '4,212 cells filled: 4,099 used, 97 ignored (column M "remarks", its heading is none that is read: 96'
        "; row 7, a note: 1), 16 in rows set aside"
    )
    assert account_text(SheetAccount("stock.xlsx", "Stock", 1, 1)) == "1 cell filled: 1 used"


def test_of_the_sheets_only_what_looks_like_ours_is_said_on_the_screen(tmp_path: Path) -> None:
    rows = [
        [*STOCK, "checked by", "minimum", "when"],
        ["B-1", 3, "each", "N", 4, TUESDAY],
        ["B-2", 3, "each", "M"],
    ]
    path = workbook(tmp_path / "stock.xlsx", Stock=rows, On_orders=[["part"], ["B-1"]], Plans=[[1, 2]])
    assert unread_text(list(of_stock(path).values())) == (
        "Not read: the sheet On orders of stock.xlsx (2 cells). The report lists all that was ignored."
    )
    tidy = workbook(tmp_path / "tidy.xlsx", Stock=[[*STOCK, "checked by"], ["B-1", 3, "each", "N"]])
    assert unread_text(list(of_stock(tidy).values())) == ""


def test_the_report_lists_each_sheet_and_the_screen_only_what_looks_like_data() -> None:
    unread = Ignored("not a sheet that is read", "", 12, True)
    tidy, odd = (
        SheetAccount("stock.xlsx", "Stock", 40, 40),
        SheetAccount("stock.xlsx", "On orders", 12, 0, (unread,)),
    )
    week = weeks.week(cells=(tidy, odd))
    assert [row[1:] for row in about_run(week).rows() if row[0] == "cells"] == [
        ("Stock (stock.xlsx)", "40 cells filled: 40 used"),
        (
            "On orders (stock.xlsx)",
            "12 cells filled: 0 used, 12 ignored (not a sheet that is read: 12)",
        ),
    ]
    said = " ".join(week_screen(week).split())
    assert "Not read: the sheet On orders of stock.xlsx (12 cells). The report lists all" in said
    assert "Not read" not in week_screen(weeks.week(cells=(tidy,)))


# a law: any sheet of such rows, with titles above, columns beside, and blank and painted cells between

ROWS = {
    "part": (lambda n: [f"P-{n:03d}", n + 1, "each"], "used"),
    "no bin": (lambda n: [f"P-{n:03d}", n + 1, "each", None, "painted"], "used"),
    "faulty": (lambda n: [f"P-{n:03d}", "about 20", "each", "A1"], "in error"),
    "error": (lambda n: [f"P-{n:03d}", "#N/A", "each"], "in error"),
    "formula": (lambda n: [f"P-{n:03d}", "=1+1", "each"], "in error"),
    "total": (lambda n: ["Total:", n], "ignored"),
    "note": (lambda n: ["--- Screws ---"], "ignored"),
    "headings": (lambda n: [*STOCK, "bin"], "ignored"),
    "blank": (lambda n: [], "used"),
    "painted": (lambda n: ["painted", None, "painted"], "used"),
}
BLANK = (None, "painted")
BESIDE = [None, "checked", 4, "painted", "=A1", "#REF!", TUESDAY]


@pytest.mark.slow
@settings(max_examples=60, derandomize=True)
@given(
    form=st.sampled_from(["xlsx", "csv"]),
    titles=st.lists(st.sampled_from([["Stock of the week"], [], ["painted"], [None, 12]]), max_size=3),
    kinds=st.lists(st.sampled_from(sorted(ROWS)), max_size=9),
    heading=st.sampled_from([None, "remarks"]),
    beside=st.lists(st.sampled_from(BESIDE), min_size=10, max_size=10),
)
def test_every_cell_is_in_one_place(tmp_path_factory, form, *, titles, kinds, heading, beside) -> None:
    folder = tmp_path_factory.mktemp("account")
    kinds = ["part", *kinds]
    made = [ROWS[kind][0](n) for n, kind in enumerate(kinds)]
    below = [[*row, *[None] * (5 - len(row)), extra] for row, extra in zip(made, beside, strict=False)]
    ours = [*STOCK, "bin", "finish"]
    if form == "xlsx":
        path = styled(folder / "stock.xlsx", *titles, [*ours, heading], *below)
    else:
        # In csv a cell beside the headings is a fault of its row, so that there is always one above it.
        rows = [*titles, [*ours, "remarks"], *below]
        text = io.StringIO()
        csv.writer(text).writerows([None if cell == "painted" else cell for cell in row] for row in rows)
        path = csv_file(folder / "Stock.csv", text.getvalue()).parent
    found = of_stock(path)
    assert is_whole(found, path)
    by_fate = Counter(
        ROWS[kind][1] for kind, row in zip(kinds, below, strict=True) for cell in row[:5] if cell not in BLANK
    )
    account = found["Stock"]
    assert (account.used, account.in_error) == (len(ours) + by_fate["used"], by_fate["in error"])
