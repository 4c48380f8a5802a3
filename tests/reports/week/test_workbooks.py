"""The two workbooks, read back with two independent readers and compared by cells."""

import re
import zipfile
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
import weeks
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.utils.cell import coordinate_to_tuple
from python_calamine import CalamineWorkbook

from reconcile.reports.orders.book import order_name, write_orders
from reconcile.reports.week.book import report_name, report_outputs, write_report
from reconcile.reports.week.tables import report_tables
from reconcile.reports.writing.files import write_all
from reconcile.reports.writing.rows_xml import LONGEST_TEXT, clean
from reconcile.reports.writing.styles import INK, WORD_FILLS
from reconcile.reports.writing.widths import row_height, text_width
from reconcile.reports.writing.wording import CAUTIONS
from reconcile.reports.writing.workbook import LONGEST_NAME, safe_sheet_name
from reconcile.values.days import Period
from reconcile.values.problem import Unusable

REPORT_SHEETS = [
    "At a glance", "Jobs by day", "Jobs", "Kit lines", "Shortfalls", "Low parts by day", "Shelf by day",
    "Order value", "Problems", "About this run",
]  # fmt: skip
PRINTED = ["At a glance", "Jobs", "Shortfalls", "Problems"]
"""Of the report; the other sheets are for the screen."""
UPRIGHT = ["At a glance", "Problems"]
ORDER_SHEETS = [
    "To chase", "Summary", "Jobs at risk", "Harbour framesparts", "Northquay Fixings", "No supplier named",
    "Our lines",
]  # fmt: skip


@pytest.fixture(scope="module")
def report_file(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("report") / report_name(weeks.week())
    write_report(weeks.week(), path)
    return path


@pytest.fixture(scope="module")
def order_file(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("order") / order_name(weeks.week())
    write_orders(weeks.week(), path)
    return path


@pytest.fixture(scope="module", params=["report_file", "order_file"])
def book(request):
    return load_workbook(request.getfixturevalue(request.param))


def heading_row(sheet) -> int:
    """The row of the headings: the first, but on an order sheet below the page head."""
    return int(re.search(r"\d+", sheet.auto_filter.ref)[0])


def tables(book) -> list:
    """The sheets that are tables: all but the page to read standing."""
    return [sheet for sheet in book if sheet.title != "At a glance"]


def header(sheet) -> list[str]:
    return [cell.value for cell in sheet[heading_row(sheet)][: len(filter_columns(sheet))]]


def filter_columns(sheet):
    return next(iter(sheet[sheet.auto_filter.ref]))


def column(sheet, heading: str) -> list:
    place = header(sheet).index(heading)
    last = int(re.search(r"\d+$", sheet.auto_filter.ref)[0])
    return [row[place] for row in sheet.iter_rows(min_row=heading_row(sheet) + 1, max_row=last)]


def test_files_are_named_by_week_or_by_dates():
    assert report_name(weeks.week()) == "report-2026-W49.xlsx"
    assert order_name(weeks.week()) == "order-2026-W49.xlsx"
    midweek = weeks.week(period=Period(weeks.TUE, weeks.FRI))
    assert report_name(midweek) == "report-2026-12-01-to-2026-12-04.xlsx"
    fortnight = weeks.week(period=Period(weeks.MON, date(2026, 12, 7)))
    assert order_name(fortnight) == "order-2026-11-30-to-2026-12-07.xlsx"


def test_sheets_say_what_they_hold(report_file, order_file):
    assert load_workbook(report_file).sheetnames == REPORT_SHEETS
    assert load_workbook(order_file).sheetnames == ORDER_SHEETS


def test_every_sheet_has_unique_headings_a_filter_and_a_frozen_header(book):
    for sheet in tables(book):
        headings = header(sheet)
        assert all(headings), sheet.title
        assert len(set(headings)) == len(headings)
        assert sheet.freeze_panes == f"A{heading_row(sheet) + 1}"
        assert (heading_row(sheet) > 1) == (sheet.title in ORDER_SHEETS[3:-1])
        foot = int(re.search(r"\d+$", sheet.auto_filter.ref)[0])
        assert all(area.min_row > foot for area in sheet.merged_cells.ranges), "but for notes at its foot"


def test_a_printed_sheet_has_letters_that_can_be_read_and_its_heading_on_every_page(book):
    for sheet in book:
        assert not sheet.sheet_properties.pageSetUpPr or not sheet.sheet_properties.pageSetUpPr.fitToPage
        assert 81 <= sheet.page_setup.scale <= 100, "of letters of 10 points"
        assert int(sheet.page_setup.paperSize) == 9
        if sheet.title not in {*PRINTED, *ORDER_SHEETS[:-1]}:
            # Asked for by its place, the cell would be made, and a million rows with it.
            row, column = coordinate_to_tuple(range_of(sheet.print_area))
            assert row > sheet.max_row and column == 1, "nothing is printed of it"
            continue
        assert sheet.oddFooter.right.text == "page &P of &N"
        assert sheet.oddFooter.left.text == "week 2026-W49"
        upright = sheet.title in UPRIGHT
        assert sheet.page_setup.orientation == ("portrait" if upright else "landscape")
        if sheet.title != "At a glance":
            assert sheet.print_title_rows == f"${heading_row(sheet)}:${heading_row(sheet)}"


def range_of(area: str) -> str:
    return area.rsplit("!", maxsplit=1)[-1].replace("$", "")


@pytest.mark.parametrize(("country", "paper"), [("US", 1), ("ca", 1), ("NO", 9), (None, 9)])
def test_paper_is_that_of_the_country(tmp_path, country, paper):
    week = weeks.week()
    write_orders(replace(week, settings=replace(week.settings, country=country)), tmp_path / "order.xlsx")
    assert {int(sheet.page_setup.paperSize) for sheet in load_workbook(tmp_path / "order.xlsx")} == {paper}


def test_the_document_has_a_title(report_file, order_file):
    assert load_workbook(report_file).properties.title == "Report, week 2026-W49"
    assert load_workbook(order_file).properties.title == "Orders, week 2026-W49"


def test_every_cell_is_a_value_and_none_a_formula(book, report_file, order_file):
    for sheet in book:
        assert {cell.data_type for row in sheet for cell in row} <= {"s", "n", "d", "inlineStr"}
    for path in (report_file, order_file):
        with zipfile.ZipFile(path) as members:
            sheets = [name for name in members.namelist() if name.startswith("xl/worksheets/sheet")]
            assert sheets
            assert not any(b"<f>" in members.read(name) for name in sheets)


def test_both_readers_see_the_same_cells_as_the_tables(report_file):
    """By heading: what is printed of a sheet stands first in it."""
    other = CalamineWorkbook.from_path(str(report_file))
    book = load_workbook(report_file)
    for table in report_tables(weeks.week()):
        if table.name == "At a glance":
            continue
        expected = {heading: [] for heading in table.headings}
        for row in table.rows():
            for heading, cell in zip(table.headings, row, strict=True):
                expected[heading].append(_plain(cell))
        top, *below = other.get_sheet_by_name(table.name).to_python()[: table.count + 1]
        columns = zip(top, zip(*below, strict=True), strict=True)
        seen = {heading: [_plain(cell) for cell in column] for heading, column in columns if heading}
        assert seen == expected
        for heading, cells in expected.items():
            assert [_plain(cell.value) for cell in column(book[table.name], heading)] == cells


def test_each_bin_of_a_kit_line_stands_on_a_line_of_its_own(report_file):
    bins = [cell.value for cell in column(load_workbook(report_file)["Kit lines"], "bins")]
    assert "A1,\nA2" in bins
    assert not [each for each in bins if each and ", " in each]


def test_columns_that_are_not_printed_stand_beside_the_print_area(report_file):
    sheet = load_workbook(report_file)["Jobs"]
    last = sheet[range_of(sheet.print_area).split(":")[1]]
    assert last.row == 5
    assert header(sheet)[: last.column] == [
        "job", "date", "frame", "from", "to", "chairs", "kit", "waits for", "missing", "order by", "earliest",
        "options",
    ]  # fmt: skip
    assert set(header(sheet)[last.column :]) == {
        "adjustment", "sides now to wanted", "priority", "technician", "asset", "notices", "notes",
        "figures from",
    }  # fmt: skip
    assert not any(cell.alignment.wrap_text for cell in column(sheet, "notices")), "no printed row is taller"


def _plain(cell):
    """Blank, text, day or number, whatever the reader calls it; each bin stands on a line of its own."""
    if cell is None or isinstance(cell, str):
        return (cell or "").replace(",\n", ", ")
    return date(cell.year, cell.month, cell.day) if hasattr(cell, "year") else float(cell)


def test_part_numbers_stay_text(report_file, order_file):
    assets = column(load_workbook(report_file)["Jobs"], "asset")
    assert ("00417", "@", "s") in [(cell.value, cell.number_format, cell.data_type) for cell in assets]
    numbers = column(load_workbook(order_file)["Harbour framesparts"], "supplier part")
    assert [(cell.value, cell.number_format) for cell in numbers] == [(None, "@"), ("1E5", "@")]


def test_text_that_looks_like_a_formula_stays_text(report_file, order_file):
    notes = column(load_workbook(report_file)["Jobs"], "notes")
    assert ("=collect at noon", "s") in [(cell.value, cell.data_type) for cell in notes]
    numbers = column(load_workbook(order_file)["Northquay Fixings"], "supplier part")
    assert [(cell.value, cell.data_type) for cell in numbers] == [("00417", "s"), ("'=SP050", "s")]


@pytest.mark.slow
@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@A1", "\tx", "a & b <c>", "#N/A", " kept ", "1E5", "two\nlines"]
)
def test_any_text_comes_back_as_it_was(tmp_path, text):
    job = weeks.complete_job()
    write_report(weeks.week(jobs=(replace(job, job=replace(job.job, notes=text)),)), tmp_path / "report.xlsx")
    cell = column(load_workbook(tmp_path / "report.xlsx")["Jobs"], "notes")[0]
    assert (cell.value, cell.data_type) == (text, "s")


def test_control_characters_and_endless_texts_do_not_break_the_file(tmp_path):
    job = weeks.complete_job()
    notes = "bell\x07 half \ud800 " + "x" * 40_000
    write_report(
        weeks.week(jobs=(replace(job, job=replace(job.job, notes=notes)),)), tmp_path / "report.xlsx"
    )
    cell = column(load_workbook(tmp_path / "report.xlsx")["Jobs"], "notes")[0]
    assert cell.value.startswith("bell half  xxx")
    assert len(cell.value) == LONGEST_TEXT
    assert cell.number_format == "General", "a long text in the text format shows as ####"


def test_dates_quantities_and_money_have_their_formats(report_file, order_file):
    lines = load_workbook(report_file)["Kit lines"]
    assert {cell.number_format for cell in column(lines, "date")} == {"yyyy-mm-dd"}
    assert column(lines, "date")[0].value.date() == weeks.TUE
    assert column(lines, "quantity")[3].value == 0.1
    order = load_workbook(order_file)["Northquay Fixings"]
    assert [cell.value for cell in column(order, "unit price")] == [0.45, 1.2]
    assert {cell.number_format for cell in column(order, "line total")} == {"#0.00##"}
    assert {cell.value for cell in column(order, "currency")} == {"EUR"}


def test_the_total_stands_at_the_foot_outside_the_filter(order_file):
    sheet = load_workbook(order_file)["Northquay Fixings"]
    assert sheet.auto_filter.ref == "A9:M11"
    feet = [dict(zip(header(sheet), row, strict=True)) for row in sheet.iter_rows(12, 14, values_only=True)]
    assert [(foot["supplier part"], foot["line total"], foot["currency"]) for foot in feet] == [
        ("Goods", 34.5, "EUR"),
        ("Delivery charge", 6.5, "EUR"),
        ("Total", 41, "EUR"),
    ]


def test_columns_are_wide_enough_for_headings_numbers_and_dates(book):
    for sheet in tables(book):
        for top, *below in zip(*sheet[sheet.auto_filter.ref], strict=True):
            width = sheet.column_dimensions[top.column_letter].width
            assert width >= max(map(text_width, top.value.split())) + 3
            numbers = [cell for cell in below if cell.value is not None and cell.data_type == "n"]
            assert all(width > len(f"{cell.value:.2f}") for cell in numbers)
            assert all(width >= 12 for cell in below if cell.is_date and cell.value)


def test_a_row_is_as_tall_as_its_longest_text():
    assert row_height(("short", None), [20, 20]) is None
    two, three = row_height(("word " * 6,), [20]), row_height(("word " * 10,), [20])
    assert two is not None
    assert three is not None
    assert 25 < two < three
    assert row_height(("a\nb\nc",), [20]) > 38


def test_a_status_is_a_word_with_a_fill(report_file):
    kits = column(load_workbook(report_file)["Jobs"], "kit")
    assert [(cell.value, cell.fill.fgColor.rgb[-6:]) for cell in kits[1:]] == [
        (word, WORD_FILLS[word]) for word in ("complete", "waits", "short")
    ]


@pytest.mark.parametrize("fill", sorted(set(WORD_FILLS.values())))
def test_words_can_be_read_on_their_fill(fill):
    assert (luminance(fill) + 0.05) / (luminance(INK) + 0.05) >= 4.5


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2)."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_cautions_stand_below_the_kit_lines_and_about_the_run(report_file):
    book = load_workbook(report_file)
    foot = [row[0] for row in book["Kit lines"].iter_rows(min_row=19, values_only=True)]
    assert set(CAUTIONS) <= set(foot)
    assert set(CAUTIONS) <= {cell.value for cell in column(book["About this run"], "answer")}


def test_a_week_with_nothing_in_it_makes_both_workbooks(tmp_path):
    week = weeks.week(jobs=(), parts=(), problems=(), rows={}, files=())
    write_report(week, tmp_path / "report.xlsx")
    write_orders(week, tmp_path / "order.xlsx")
    assert load_workbook(tmp_path / "report.xlsx").sheetnames == REPORT_SHEETS
    assert load_workbook(tmp_path / "order.xlsx")["Summary"]["A3"].value == "Nothing needs to be ordered."


def test_each_table_of_the_report_has_a_name(report_file):
    names = {name: each.attr_text for name, each in load_workbook(report_file).defined_names.items()}
    assert names["kit_lines"] == "'Kit lines'!$A$1:$V$19"
    assert set(names) == {each.lower().replace(" ", "_") for each in REPORT_SHEETS[1:]}


def test_a_remark_is_offered_but_may_be_anything(report_file):
    (offered,) = load_workbook(report_file)["Problems"].data_validations.dataValidation
    assert (str(offered.sqref), offered.showErrorMessage) == ("H2:H4", False)


def test_a_table_too_long_for_its_sheet_goes_to_csv_and_the_sheet_says_so(tmp_path):
    write_all(report_outputs(weeks.week(), tmp_path, limit=20))
    says = load_workbook(tmp_path / "report-2026-W49.xlsx")["Kit lines"]["A3"].value
    assert says == (
        "18 rows are more than a sheet is good for. "
        "They are in report-2026-W49-kit-lines.csv, beside this workbook."
    )
    lines = (tmp_path / "report-2026-W49-kit-lines.csv").read_text(encoding="utf-8-sig").splitlines()
    assert len(lines) == 19
    assert lines[1].startswith("J-101,2026-12-01,complete,left")


def test_an_older_csv_is_replaced_only_by_force(tmp_path):
    old = tmp_path / "report-2026-W49-kit-lines.csv"
    old.write_text("mine")
    outputs = report_outputs(weeks.week(), tmp_path, limit=20)
    with pytest.raises(Unusable) as refused:
        write_all(outputs)
    assert [each.code for each in refused.value.problems] == ["output-exists"]
    assert old.read_text() == "mine"
    assert not (tmp_path / "report-2026-W49.xlsx").exists()
    write_all(outputs, force=True)
    assert old.read_text(encoding="utf-8-sig").startswith("job,date")


def test_sheet_names_are_safe_and_unique():
    assert safe_sheet_name("A/B [C]: D*?\\", []) == "AB C D"
    assert safe_sheet_name("summary", ["Summary"]) == "summary (2)"
    assert safe_sheet_name("'quoted'", []) == "quoted"
    assert safe_sheet_name("?", []) == "Supplier"
    assert safe_sheet_name("History", []) == "History orders"


@given(st.lists(st.text(max_size=40), max_size=6))
def test_any_suppliers_get_sheets_that_open(names):
    taken: list[str] = ["Summary"]
    for name in names:
        taken.append(safe_sheet_name(name, taken))
    assert len({name.casefold() for name in taken}) == len(taken)
    for name in taken:
        assert name == clean(name)
        assert 1 <= len(name.encode("utf-16-le")) // 2 <= LONGEST_NAME
        assert not set(name) & set("[]:*?/\\")
        assert not name.startswith("'")
        assert not name.endswith("'")


def test_a_price_of_many_decimals_is_written_exactly(tmp_path):
    fine = replace(weeks.part_results()[1], unit_price=Decimal("0.0345"))
    write_orders(weeks.week(parts=(fine,)), tmp_path / "order.xlsx")
    with zipfile.ZipFile(tmp_path / "order.xlsx") as members:
        assert b"<v>0.0345</v>" in members.read("xl/worksheets/sheet4.xml")
