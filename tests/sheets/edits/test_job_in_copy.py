"""A job added to a copy of the jobs workbook: one row more, and nothing else changed."""

import hashlib
import re
import zipfile
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction

import openpyxl
import pytest
from books import altered
from openpyxl.styles import Font
from openpyxl.worksheet.datavalidation import DataValidation
from python_calamine import CalamineWorkbook

from reconcile.sheets.edits.job_rows import with_job
from reconcile.values.measure import inches
from reconcile.values.problem import RowPlace, Unusable
from reconcile.values.week.jobs import Job


def held_path(jobs, job):
    return jobs.with_name(f"{jobs.stem}-with-row{jobs.suffix}")


def hold(job, unit, jobs, like):
    """The copy, written beside the jobs file."""
    path = held_path(jobs, job)
    path.write_bytes(with_job(job, unit, jobs, like).data)
    return path


COLUMNS = {"job": "B", "date": "C", "frame": "D", "from": "E", "to": "F", "chairs": "G"}
HEADER = RowPlace("jobs.xlsx", "Jobs", 3, COLUMNS)
JOB = Job("J-200", date(2026, 12, 3), "NQ-T1", inches(16), inches("33/2"), chairs=2)


@pytest.fixture
def workbook(tmp_path):
    """A title, a blank first column, a formula, a second sheet, a drop-down."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Jobs"
    sheet.append([None, "Our week"])
    sheet.append([None, "job", "date", "frame", "from", "to", "chairs"])
    sheet.append([None, "J-101", date(2026, 12, 1), "NQ-T1", "16 in", "17 in", "=1+1"])
    offered = DataValidation("list", formula1='"NQ-T1,VL-M2"')
    offered.add("D3:D99")
    sheet.add_data_validation(offered)
    book.create_sheet("Notes")["A1"] = "not ours"
    book.save(tmp_path / "jobs.xlsx")
    return tmp_path / "jobs.xlsx"


def parts(path):
    with zipfile.ZipFile(path) as archive:
        return {name: hashlib.sha256(archive.read(name)).hexdigest() for name in archive.namelist()}


def test_the_copy_has_one_row_more_and_the_workbook_is_untouched(workbook):
    before = workbook.read_bytes()
    path = hold(JOB, "in", workbook, HEADER)
    assert workbook.read_bytes() == before
    rows = [[cell.value for cell in row] for row in openpyxl.load_workbook(path)["Jobs"].iter_rows()]
    assert rows[3] == [None, "J-200", datetime(2026, 12, 3), "NQ-T1", "16 in", "16 1/2 in", 2]
    assert rows[2][6] == "=1+1"


def test_every_other_part_of_the_archive_is_the_same(workbook):
    old, new = parts(workbook), parts(hold(JOB, "in", workbook, HEADER))
    assert [name for name in old if old[name] != new[name]] == ["xl/worksheets/sheet1.xml"]
    assert list(old) == list(new)


def test_text_that_looks_like_markup_or_a_formula_stays_text(workbook):
    path = hold(replace(JOB, number="=<J>&1"), "in", workbook, HEADER)
    cell = openpyxl.load_workbook(path)["Jobs"]["B4"]
    assert (cell.value, cell.data_type) == ("=<J>&1", "s")


def test_sizes_in_millimetres(workbook):
    job = replace(JOB, size_from=Fraction(400), size_to=Fraction("412.5"))
    sheet = openpyxl.load_workbook(hold(job, "mm", workbook, HEADER))["Jobs"]
    assert (sheet["E4"].value, sheet["F4"].value) == ("400 mm", "412.5 mm")


def test_a_column_that_the_sheet_lacks_is_named(workbook):
    with pytest.raises(Unusable) as refused:
        hold(replace(JOB, options=("front rigging",), side="left"), "in", workbook, HEADER)
    (found,) = refused.value.problems
    assert (found.code, found.says) == ("heading-missing", "The jobs sheet has no column for options, side.")
    assert not held_path(workbook, JOB).exists()


PREFIX = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def prefixed(xml):
    """The same sheet with a prefix before every name, as some programs write it."""
    text = xml.decode().replace(f'xmlns="{PREFIX}"', f'xmlns:x="{PREFIX}"')
    return re.sub(r"<(/?)(?=[a-zA-Z])(?!\?xml)", r"<\1x:", text).encode()


def test_a_sheet_with_prefixed_names_gets_its_row(workbook):
    prefixed_book = altered(workbook, prefixed)
    path = hold(JOB, "in", prefixed_book, HEADER)
    rows = CalamineWorkbook.from_path(path).get_sheet_by_name("Jobs").to_python(skip_empty_area=False)
    assert rows[3][1] == "J-200"


def test_the_day_is_a_date_in_the_format_of_the_rows_above(workbook):
    sheet = openpyxl.load_workbook(hold(JOB, "in", workbook, HEADER))["Jobs"]
    assert sheet["C4"].value == datetime(2026, 12, 3)
    assert sheet["C4"].number_format == sheet["C3"].number_format


def test_a_day_among_days_that_are_text_is_text_too(workbook):
    book = openpyxl.load_workbook(workbook)
    book["Jobs"]["C3"].value, book["Jobs"]["C3"].number_format = "2026-12-01", "General"
    book["Jobs"]["C3"].font = Font(bold=True)
    book.save(workbook)
    assert openpyxl.load_workbook(hold(JOB, "in", workbook, HEADER))["Jobs"]["C4"].value == "2026-12-03"


def test_a_day_in_a_cell_that_was_made_ready_for_numbers_is_shown_as_one(workbook):
    book = openpyxl.load_workbook(workbook)
    book["Jobs"]["C4"].number_format = '0.0 "days"'
    book.save(workbook)
    cell = openpyxl.load_workbook(hold(JOB, "in", workbook, HEADER))["Jobs"]["C4"]
    assert (cell.value, cell.number_format) == (datetime(2026, 12, 3), "yyyy-mm-dd")


def test_csv_in_its_own_delimiter_and_encoding(tmp_path):
    path = tmp_path / "jobs.csv"
    path.write_bytes("job;date;frame;from;to\r\nJ-1;2026-12-01;Gerät;16 in;17 in".encode("cp1252"))
    header = RowPlace(
        "jobs.csv", "jobs", 0, dict(zip(("job", "date", "frame", "from", "to"), "ABCDE", strict=True))
    )
    copy = hold(replace(JOB, chairs=1, number="J;2"), "in", path, header)
    assert copy.read_bytes().decode("cp1252").splitlines() == [
        "job;date;frame;from;to",
        "J-1;2026-12-01;Gerät;16 in;17 in",
        '"J;2";2026-12-03;NQ-T1;16 in;16 1/2 in',
    ]


def test_other_kinds_of_file_are_refused(tmp_path):
    path = tmp_path / "jobs.ods"
    path.write_bytes(b"")
    with pytest.raises(Unusable) as refused:
        hold(JOB, "in", path, HEADER)
    assert [each.code for each in refused.value.problems] == ["file-kind"]
