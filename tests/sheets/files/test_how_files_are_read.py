"""The settings reach the files, and the run says how each csv file was read."""

import shutil
from datetime import date, datetime
from pathlib import Path

import pytest

from reconcile.reports.glance.about import about_run
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.week import plan_week

FRAMES = Path(__file__).parents[3] / "data_demo" / "frames"
JOBS = "job;date;frame;from;to\nJ-1;2026-12-01;NQ-T1;16 in;17 in\n"
STOCK = "part|on hand|unit\nB-1|3|each\n"


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(FRAMES, tmp_path / "frames")
    (tmp_path / "stock").mkdir()
    (tmp_path / "jobs.csv").write_bytes(JOBS.encode("utf-16"))
    (tmp_path / "stock" / "Stock.csv").write_text(STOCK, "utf-8")
    return tmp_path


def inputs_of(folder, settings=""):
    (folder / "reconcile.toml").write_text(settings, "utf-8")
    return read_inputs(Request(folder=folder, today=date(2026, 11, 27)))


def test_each_csv_file_says_how_it_was_read(folder):
    inputs = inputs_of(folder)
    assert {file.name: file.read_as for file in inputs.files if file.role in {"jobs", "stock"}} == {
        "jobs.csv": "UTF-16 with a mark, delimiter semicolon, no quotes",
        "Stock.csv": "UTF-8, delimiter bar, no quotes",
    }
    said = [
        row[2]
        for row in about_run(plan_week(inputs, datetime(2026, 11, 27))).rows()
        if row[1] == "jobs.csv (jobs)"
    ]
    assert len(said) == 1
    assert str(said[0]).endswith("; read as UTF-16 with a mark, delimiter semicolon, no quotes")


def test_the_settings_declare_delimiter_and_encoding(folder):
    (folder / "jobs.csv").write_text(JOBS, "utf-8")
    (folder / "stock" / "Stock.csv").write_text(STOCK.replace("|", ";"), "utf-8")
    inputs = inputs_of(folder, 'csv_delimiter = ";"\ncsv_encoding = "utf-8"\n')
    assert [file.read_as for file in inputs.files if file.role == "stock"] == [
        "UTF-8 as declared, delimiter semicolon, no quotes"
    ]


def test_the_limits_of_the_settings_hold(folder):
    with pytest.raises(Unusable) as refused:
        inputs_of(folder, "[limits]\ncells = 5\n")
    assert [(each.code, each.place.file) for each in refused.value.problems] == [
        ("file-too-large", "jobs.csv"),
        ("file-too-large", "Stock.csv"),
    ]
