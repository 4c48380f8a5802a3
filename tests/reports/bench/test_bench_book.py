"""The bench workbook, read back: a printed page for each job, boxes to tick, and the pick list."""

import pytest
import weeks
from openpyxl import load_workbook

from reconcile.reports.bench.book import COLUMNS, JOB, NOT_HERE, WHAT, book_name, boxes_of, write_bench
from reconcile.reports.bench.cards import Tick
from reconcile.reports.writing.wording import CAUTIONS
from reconcile.values.settings import Settings

HEADINGS = [each.heading for each in COLUMNS]


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    path = tmp_path_factory.mktemp("bench") / book_name(weeks.week())
    write_bench(weeks.week(), path)
    return load_workbook(path)


def rows(sheet) -> list[dict[str, object]]:
    """The rows that belong to a job, by heading."""
    found = [dict(zip(HEADINGS, row, strict=False)) for row in sheet.iter_rows(min_row=2, values_only=True)]
    return [each for each in found if each["job"]]


def test_it_has_a_sheet_for_the_bench_and_one_to_pick_by(book):
    assert book_name(weeks.week()) == "bench-2026-W49.xlsx"
    assert book.sheetnames == ["Bench", "Pick list"]
    assert [cell.value for cell in book["Bench"][1]] == HEADINGS


def test_every_job_begins_on_a_page_of_its_own(book):
    sheet = book["Bench"]
    jobs = [cell.value for cell in sheet["I"]]
    starts = [row for row in range(3, len(jobs) + 1) if jobs[row - 1] and jobs[row - 1] != jobs[row - 2]]
    assert [each.id for each in sheet.row_breaks.brk] == [row - 1 for row in starts]
    assert len(starts) == 3, "four jobs, in order of day"
    assert list(dict.fromkeys(filter(None, jobs[1:]))) == ["J-104", "J-101", "J-102", "J-103"]


def test_pages_repeat_their_headings_number_themselves_and_carry_the_cautions(book):
    for sheet in book:
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.oddFooter.right.text == "page &P of &N"
        assert 81 <= sheet.page_setup.scale <= 100, "of letters of 10 points"
        assert int(sheet.page_setup.paperSize) == 9
    told = [each["what"] for each in rows(book["Bench"]) if each["do"] == "cautions"]
    assert told == [" ".join(CAUTIONS)] * 4


def test_letter_is_used_where_letter_is_used(tmp_path):
    write_bench(weeks.week(settings=Settings(country="US")), tmp_path / "bench.xlsx")
    assert {int(each.page_setup.paperSize) for each in load_workbook(tmp_path / "bench.xlsx")} == {1}


def test_a_box_is_an_empty_bordered_cell_beside_its_quantity(book):
    sheet = book["Bench"]
    row = next(
        row for row in sheet.iter_rows(min_row=2)
        if row[JOB].value == "J-101" and row[1].value == "goes in" and "B-14-300" in row[WHAT].value
    )  # fmt: skip
    by_heading = dict(zip(HEADINGS, row, strict=False))
    assert by_heading["left, whole"].value == by_heading["right"].value == "1"
    for heading in ("done", "done right"):
        box = by_heading[heading]
        assert box.value is None
        assert {side.style for side in (box.border.left, box.border.right, box.border.bottom)} != {None}
    assert by_heading["bin"].value == "A3"


def test_what_is_the_whole_chairs_stands_in_the_first_box_and_never_in_two():
    assert boxes_of((Tick("", "4", "a"),)) == ["4", "", NOT_HERE, NOT_HERE]
    assert boxes_of((Tick("right", "2", "a"),)) == [NOT_HERE, NOT_HERE, "2", ""]
    assert boxes_of((Tick("left", "1", "a"), Tick("", "2", "b")))[0] == "left 1, whole 2"
    assert boxes_of(()) == [NOT_HERE] * 4


def test_there_is_room_for_the_length_and_the_state_of_what_came_off_each_side(book):
    told = [each for each in rows(book["Bench"]) if each["do"] == "came off"]
    assert {each["what"] for each in told} == {
        "left: length ________ state ________   right: length ________ state ________"
    }
    before = [each["do"] for each in rows(book["Bench"])]
    assert before[before.index("came off") - 1] == "comes out"


def test_a_short_job_a_waiting_one_and_torque_are_told(book):
    told = rows(book["Bench"])
    short = [each for each in told if each["job"] == "J-103"]
    (stop,) = [each["what"] for each in short if each["do"] == "stop"]
    assert "2 of SP-050" in stop
    assert "Kit not complete: do not open the chair." in short[0]["what"]
    assert [each["what"] for each in told if each["do"] == "wait"] == [
        "Do not open the chair before these are here: 2 of B-14-300: order PO-12, there on Wed 2026-12-02."
    ]
    assert {each["what"] for each in told if each["do"] == "tighten"} == {"torque 9 N*m"}


def test_a_text_that_begins_like_a_formula_stays_text(book):
    notes = [each for each in book["Bench"]["C"] if each.value == "=collect at noon"]
    assert [each.data_type for each in notes] == ["s"]


def test_the_pick_list_says_bin_part_and_how_much(book):
    sheet = book["Pick list"]
    assert [cell.value for cell in sheet[1]][:4] == ["bin", "part", "take this week", "unit"]
    assert [sheet.cell(2, column).value for column in (1, 2, 3)] == ["A3", "B-14-300", 2]


def test_a_week_without_jobs_makes_a_workbook_that_says_so(tmp_path):
    write_bench(weeks.week(jobs=(), parts=()), tmp_path / "bench.xlsx")
    book = load_workbook(tmp_path / "bench.xlsx")
    assert book["Bench"]["A3"].value == "No job of the period could be planned."
