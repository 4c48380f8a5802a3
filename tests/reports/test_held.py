"""A job added to a copy of the jobs workbook: one row more, and nothing else changed."""

import hashlib
import zipfile
from dataclasses import replace
from datetime import date
from fractions import Fraction

import openpyxl
import pytest
from openpyxl.worksheet.datavalidation import DataValidation

from reconcile.reports.held import held_path, hold
from reconcile.values.measure import inches
from reconcile.values.problem import RowPlace, Unusable
from reconcile.values.week.jobs import Job

COLUMNS = {"job": "B", "date": "C", "frame": "D", "from": "E", "to": "F", "chairs": "G"}
HEADER = RowPlace("jobs.xlsx", "Jobs", 0, COLUMNS)
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
    assert path == workbook.with_name("jobs-with-J-200.xlsx")
    rows = [[cell.value for cell in row] for row in openpyxl.load_workbook(path)["Jobs"].iter_rows()]
    assert rows[3] == [None, "J-200", "2026-12-03", "NQ-T1", "16 in", "16 1/2 in", 2]
    assert rows[2][6] == "=1+1"


def test_every_other_part_of_the_archive_is_the_same(workbook):
    old, new = parts(workbook), parts(hold(JOB, "in", workbook, HEADER))
    assert [name for name in old if old[name] != new[name]] == ["xl/worksheets/sheet1.xml"]
    assert list(old) == list(new)


def test_text_that_looks_like_markup_or_a_formula_stays_text(workbook):
    path = hold(replace(JOB, number="=<J>&1"), "in", workbook, HEADER)
    cell = openpyxl.load_workbook(path)["Jobs"]["B4"]
    assert (cell.value, cell.data_type) == ("=<J>&1", "s")
    assert path.name == "jobs-with-__J__1.xlsx"


def test_sizes_in_millimetres(workbook):
    job = replace(JOB, size_from=Fraction(400), size_to=Fraction("412.5"))
    sheet = openpyxl.load_workbook(hold(job, "mm", workbook, HEADER))["Jobs"]
    assert (sheet["E4"].value, sheet["F4"].value) == ("400 mm", "412.5 mm")


def test_a_copy_that_is_there_already_is_kept(workbook):
    held_path(workbook, JOB).write_text("mine")
    with pytest.raises(Unusable) as refused:
        hold(JOB, "in", workbook, HEADER)
    assert [each.code for each in refused.value.problems] == ["output-exists"]
    assert held_path(workbook, JOB).read_text() == "mine"


def test_a_column_that_the_sheet_lacks_is_named(workbook):
    with pytest.raises(Unusable) as refused:
        hold(replace(JOB, options=("front rigging",), side="left"), "in", workbook, HEADER)
    (found,) = refused.value.problems
    assert (found.code, found.says) == ("heading-missing", "The jobs sheet has no column for options, side.")
    assert not held_path(workbook, JOB).exists()


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
