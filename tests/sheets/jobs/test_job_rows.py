"""The jobs sheet: a few rows, and the jobs and the (cell, code) list that they give."""

from datetime import date, datetime
from fractions import Fraction

import pytest
from books import altered, csv_file, flat, workbook

from reconcile.sheets.files.books import open_book
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.values.days import Period
from reconcile.values.measure import inches
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings
from reconcile.values.week.results import Tally

TUESDAY, WEDNESDAY, NEXT_WEEK = date(2026, 12, 1), date(2026, 12, 2), date(2026, 12, 8)
NEXT_SUMMER = date(2027, 7, 6)
WEEK = Period(date(2026, 11, 30), date(2026, 12, 4))
HEADINGS = ["job", "date", "frame", "from", "to"]
INCHES = Settings(length_unit="in")


def read(path, settings=INCHES, choose_period=lambda days: WEEK):
    return read_jobs(open_book(path), settings, choose_period, WEEK.first)


def jobs_of(tmp_path, *rows, headings=HEADINGS, settings=INCHES):
    return read(workbook(tmp_path / "jobs.xlsx", Jobs=[headings, *rows]), settings)


def test_a_plain_row_takes_every_default(tmp_path):
    result = jobs_of(tmp_path, ["J-1", TUESDAY, "NQ-T1", "16 in", 17.5])
    (job,) = result.jobs
    assert (job.number, job.day, job.frame) == ("J-1", TUESDAY, "NQ-T1")
    assert (job.size_from, job.size_to) == (inches(16), inches("17.5"))
    assert (job.adjustment, job.options, job.side, job.left_now, job.right_now) == (
        "",
        (),
        "both",
        None,
        None,
    )
    assert (job.chairs, job.priority, job.technician, job.asset, job.notes) == (1, 3, "", "", "")
    assert (job.place.row, str(job.place.cell("to"))) == (2, "jobs.xlsx!Jobs!E2")
    assert (result.tally, result.problems, result.period) == (Tally(1, 1, 0, 0), (), WEEK)


def test_a_full_row(tmp_path):
    more = [
        "adjustment",
        "options",
        "side",
        "left now",
        "right now",
        "chairs",
        "priority",
        "technician",
        "asset",
        "notes",
    ]
    row = [
        "seat width",
        "Front rigging; anti-tippers,,",
        " LEFT ",
        2,
        "3",
        4,
        "1",
        "Kim",
        17,
        "mind the cable",
    ]
    result = jobs_of(
        tmp_path, ["J-1", TUESDAY, "NQ-T1", "1½ in", "38,1 mm", *row], headings=[*HEADINGS, *more]
    )
    (job,) = result.jobs
    assert job.size_from == job.size_to == Fraction("38.1")
    assert (job.options, job.side, job.left_now, job.right_now) == (
        ("Front rigging", "anti-tippers"),
        "left",
        2,
        3,
    )
    assert (job.chairs, job.priority, job.asset, job.notes) == (4, 1, "17", "mind the cable")


@pytest.mark.parametrize(
    ("headings", "unit", "expected"),
    [
        (["job", "date", "frame", "from (mm)", "to (mm)"], "in", [Fraction(400), Fraction(450)]),
        (HEADINGS, "mm", [Fraction(400), Fraction(450)]),
        (HEADINGS, "in", [inches(400), inches(450)]),
    ],
)
def test_a_bare_size_takes_the_unit_of_its_heading_or_the_settings(tmp_path, headings, unit, expected):
    row = ["J-1", TUESDAY, "NQ-T1", 400, 450]
    (job,) = jobs_of(tmp_path, row, headings=headings, settings=Settings(length_unit=unit)).jobs
    assert [job.size_from, job.size_to] == expected


def test_a_bare_size_without_any_unit(tmp_path):
    result = jobs_of(tmp_path, ["J-1", TUESDAY, "NQ-T1", 16, "17 in"], settings=Settings())
    assert flat(result.problems) == [("D2", "length-unit-missing")]


def test_every_fault_of_a_row_is_told_and_the_row_set_aside_once(tmp_path):
    headings = [*HEADINGS, "chairs", "priority", "left now"]
    result = jobs_of(
        tmp_path,
        [None, "next Tuesday", None, "about 16", date(2026, 3, 8), 2.5, 0, -1],
        ["J-2", TUESDAY, "NQ-T1", "16 in", "17 in", 1, 1, None],
        headings=headings,
    )
    assert flat(result.problems) == [
        ("A2", "cell-blank"),
        ("B2", "date-unreadable"),
        ("C2", "cell-blank"),
        ("D2", "length-unreadable"),
        ("E2", "length-is-date"),
        ("H2", "number-negative"),
        ("F2", "number-not-whole"),
        ("G2", "number-too-small"),
    ]
    assert (result.tally, len(result.jobs)) == (Tally(2, 1, 1, 0), 1)


def test_a_row_beyond_the_look_ahead_is_not_judged(tmp_path):
    result = jobs_of(
        tmp_path,
        ["J-1", NEXT_SUMMER, None, "rubbish", None],
        ["J-2", datetime(2026, 12, 2, 9), "F", "1 in", "2 in"],
    )
    assert (result.problems, result.tally) == ((), Tally(2, 1, 0, 1))
    assert result.jobs[0].day == WEDNESDAY


def test_the_period_is_chosen_from_every_planned_day(tmp_path):
    asked = []
    path = workbook(
        tmp_path / "jobs.xlsx",
        Jobs=[
            HEADINGS,
            ["a", TUESDAY, "F", "1", "2"],
            ["b", "soon", "F", "1", "2"],
            ["c", NEXT_WEEK, "F", "1", "2"],
        ],
    )
    read(path, choose_period=lambda days: asked.extend(days) or WEEK)
    assert asked == [TUESDAY, NEXT_WEEK]


def test_dates_as_text(tmp_path):
    rows = [["a", "2026-12-01", "F", "1", "2"], ["b", "3/12/2026", "F", "1", "2"]]
    assert flat(jobs_of(tmp_path, *rows).problems) == [("B3", "date-ambiguous")]
    declared = jobs_of(tmp_path, *rows, settings=Settings(length_unit="in", date_order="dmy"))
    assert [job.day for job in declared.jobs] == [TUESDAY, date(2026, 12, 3)]


def test_all_rows_of_a_doubled_number_are_set_aside(tmp_path):
    result = jobs_of(
        tmp_path,
        ["J-1", TUESDAY, "F", "1", "2"],
        ["J-2", TUESDAY, "F", "1", "2"],
        ["j-1 ", WEDNESDAY, "F", "1", "x"],
        ["J-2", NEXT_SUMMER, "F", "1", "2"],
    )
    assert flat(result.problems) == [
        ("A2", "job-doubled"),
        ("E4", "length-unreadable"),
        ("A4", "job-doubled"),
    ]
    assert ([job.number for job in result.jobs], result.tally) == (["J-2"], Tally(4, 1, 2, 1))
    assert result.problems[0].says == "The job number J-1 stands in row 4 too."
    assert result.unread == {"J-1": (2,), "j-1": (4,)}


def test_blank_rows_titles_and_other_columns_are_fine(tmp_path):
    above = [["Plan"], [], ["checked by", *HEADINGS]]
    rows = [[None, "J-1", TUESDAY, "F", "1", "2"], ["total", None, " "], [], ["x", 7, TUESDAY, "F", "1", "2"]]
    path = workbook(tmp_path / "jobs.xlsx", Jobs=[*above, *rows])
    result = read(path)
    assert ([job.number for job in result.jobs], result.tally) == (["J-1", "7"], Tally(2, 2, 0, 0))
    assert [job.place.row for job in result.jobs] == [4, 7]


def test_error_values_and_formulas_without_a_result(tmp_path):
    headings = [*HEADINGS, "chairs", "notes"]
    result = jobs_of(
        tmp_path,
        ["J-1", TUESDAY, "F", "#N/A", "=D2+1", "=1+1", "#N/A"],
        ["J-2", TUESDAY, "F", "1", "2", None, "#REF!"],
        ["=A3", "=B3", "=C3", "=D3", "=E3"],
        headings=headings,
    )
    assert flat(result.problems) == [
        ("D2", "cell-error"),
        ("E2", "formula-not-calculated"),
        ("F2", "formula-not-calculated"),
        *[(f"{letter}4", "formula-not-calculated") for letter in "ABCDE"],
    ]
    assert ([job.number for job in result.jobs], result.tally) == (["J-2"], Tally(3, 1, 2, 0))


def test_addresses_are_true_below_and_right_of_blanks(tmp_path):
    path = workbook(
        tmp_path / "jobs.xlsx",
        Jobs=[[], [], [None, None, *HEADINGS], [], [None, None, "J-1", TUESDAY, "F", "x", "2"]],
    )
    assert flat(read(path).problems) == [("F5", "length-unreadable")]


def test_csv_keeps_text_and_sets_a_ragged_row_aside(tmp_path):
    rows = ["00417,2026-12-01,F,1,2,", "J-2,2026-12-01,F,1,2,a,b", "J-3,2026-12-01,F,1,2,a"]
    text = "\n".join(["job,date,frame,from,to,notes", *rows])
    result = read(csv_file(tmp_path / "week.csv", text))
    assert [job.number for job in result.jobs] == ["00417", "J-3"]
    assert ([each.code for each in result.problems], result.tally) == (["csv-ragged"], Tally(3, 2, 1, 0))
    assert str(result.problems[0].place).startswith("week.csv!week!")


def test_a_csv_row_with_a_delimiter_too_few_is_set_aside_with_its_line(tmp_path):
    rows = ['J-1,2026-12-01,F,1,2,"a', 'b"', "J-2,2026-12-01,F 1,2,a", "J-3,2026-12-01,F,1,2,"]
    result = read(csv_file(tmp_path / "week.csv", "\n".join(["job,date,frame,from,to,notes", *rows])))
    assert ([job.number for job in result.jobs], result.tally) == (["J-1", "J-3"], Tally(3, 2, 1, 0))
    problem = result.problems[0]
    assert (problem.code, problem.says) == (
        "csv-ragged",
        "The row, on line 4, has 5 cells, the headings 6; the last that is filled is 'a'.",
    )


def test_true_is_not_one(tmp_path):
    rows = [["a", TUESDAY, "F", "1", "2", 1], ["b", TUESDAY, "F", "1", "2", True]]
    result = jobs_of(tmp_path, *rows, headings=[*HEADINGS, "chairs"])
    assert flat(result.problems) == [("F3", "number-unreadable")]


@pytest.mark.parametrize(
    ("asset", "code"),
    [
        (True, "text-spoilt"),
        (date(2026, 8, 3), "code-is-date"),
        (1.23e15, "code-rounded"),
        ("#N/A", "cell-error"),
    ],
)
def test_an_asset_that_names_no_chair_sets_its_row_aside(tmp_path, asset, code):
    """By its asset a chair's record is found: one that is spoilt would miss the record and say nothing."""
    rows = [["J-1", TUESDAY, "NQ-T1", 16, 17, asset], ["J-2", TUESDAY, "NQ-T1", 16, 17, 443]]
    result = jobs_of(tmp_path, *rows, headings=[*HEADINGS, "asset"])
    assert flat(result.problems) == [("F2", code)]
    assert [(each.number, each.asset) for each in result.jobs] == [("J-2", "443")]


@pytest.mark.parametrize(
    ("sheets", "codes"),
    [
        ({"Plan": [["x"]], "More": [["y"]]}, ["sheet-missing"]),
        ({"Jobs": []}, ["sheet-empty"]),
        ({"Jobs": [HEADINGS]}, ["sheet-empty"]),
        ({"Jobs": [["job", "date"], ["J-1", TUESDAY]]}, ["heading-missing"]),
        ({"Jobs": [[*HEADINGS, "job no", "day"], ["J-1"]]}, ["heading-doubled"] * 2),
    ],
)
def test_a_sheet_that_cannot_be_used(tmp_path, sheets, codes):
    with pytest.raises(Unusable) as refused:
        read(workbook(tmp_path / "jobs.xlsx", **sheets))
    assert [each.code for each in refused.value.problems] == codes


def test_uncalculated_rows_beyond_the_last_filled_one(tmp_path):
    path = workbook(tmp_path / "jobs.xlsx", Jobs=[HEADINGS, ["J-1", TUESDAY, "F", "1", "2"]])
    altered(
        path,
        lambda xml: xml.replace(b"</sheetData>", b'<row r="9"><c r="A9"><f>X1</f></c></row></sheetData>'),
    )
    result = read(path)
    assert ("A9", "formula-not-calculated") in flat(result.problems)
    assert result.tally == Tally(2, 1, 1, 0)
