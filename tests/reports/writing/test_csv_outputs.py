"""Tables as csv: byte-order mark, delimiter, ISO dates, exact numbers, nothing that runs."""

import csv
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
import weeks

from reconcile.reports.week.tables import jobs, order_tables, report_tables
from reconcile.reports.writing.csv_files import cell_text, csv_outputs, write_csv
from reconcile.reports.writing.files import write_all
from reconcile.reports.writing.grid import Table


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("=1+1", "'=1+1"),
        ("+44", "'+44"),
        ("-2", "'-2"),
        ("@home", "'@home"),
        ("\tx", "'\tx"),
        ("\rx", "'\rx"),
        ("1/4-20 UNC", "1/4-20 UNC"),
        ("00417", "00417"),
        (Fraction(-2), "-2"),
        (Fraction(1, 10), "0.1"),
        (Fraction(1, 3), "1/3"),
        (Decimal("-1.50"), "-1.50"),
        (7, "7"),
        (date(2026, 12, 1), "2026-12-01"),
        (None, ""),
    ],
)
def test_only_text_is_guarded_and_numbers_stay_exact(cell, text):
    assert cell_text(cell) == text


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_a_file_reads_back_with_its_delimiter(tmp_path, delimiter):
    table, path = jobs(weeks.week()), tmp_path / "Jobs.csv"
    write_csv(table, path, delimiter)
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")
    with path.open(encoding="utf-8-sig", newline="") as file:
        heading, *rows = csv.reader(file, delimiter=delimiter)
    assert tuple(heading) == table.headings
    assert rows == [[cell_text(cell) for cell in row] for row in table.rows()]


def test_the_folder_has_a_file_for_each_table(tmp_path):
    tables = [*report_tables(weeks.week()), order_tables(weeks.week())[0]]
    write_all(csv_outputs(tables, tmp_path / "csv"))
    assert sorted(path.name for path in (tmp_path / "csv").iterdir()) == sorted(
        f"{each.name}.csv" for each in tables
    )


def test_a_name_never_leads_out_of_the_folder(tmp_path):
    tables = [Table(name, "", (), lambda: iter(()), 0) for name in ("../evil", "A/B", "a/b", "..")]
    paths = [path for path, _ in csv_outputs(tables, tmp_path)]
    assert [path.name for path in paths] == ["___evil.csv", "A_B.csv", "a_b (2).csv", "__.csv"]
    assert {path.parent for path in paths} == {tmp_path}
