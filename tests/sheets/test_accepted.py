"""The file given with --accept: each line fits its cell and is obeyed, or is told of at its own place."""

import hashlib
import json
from datetime import date, datetime

import pytest
from books import csv_file, workbook
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.sheets.accepted import Acceptance, sheets_of
from reconcile.sheets.files.books import open_book
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.jobs.rows import read_jobs
from reconcile.sheets.stock.headings import STOCK
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.days import Period
from reconcile.values.measure import inches
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings
from reconcile.values.week.results import Tally
from reconcile.work.workshop.demo import copy_demo

TODAY = date(2026, 11, 27)
TUESDAY = date(2026, 12, 1)
WEEK = Period(date(2026, 11, 30), date(2026, 12, 4))
HEADINGS = ["part", "on hand", "unit", "thread", "length", "head"]
STOCK_ROWS = [
    HEADINGS,
    ["B-1", 5, "each", "1/4-20", date(2026, 3, 8), "hex"],
    ["B-2", 5, "each", "1/4-20", date(2016, 3, 1), "hex"],
    ["B-3", 5, "each", "1/4-20", "2 in", "hex"],
]
JOB_ROWS = [["job", "date", "frame", "from (in)", "to (in)"], ["J-1", TUESDAY, "F", 1, date(2002, 1, 1)]]


@pytest.fixture
def books(tmp_path):
    return (
        open_book(workbook(tmp_path / "jobs.xlsx", Jobs=JOB_ROWS)),
        open_book(workbook(tmp_path / "stock.xlsx", Stock=STOCK_ROWS)),
    )


def accepted(tmp_path, books, *lines, settings=None):
    """What became of these lines of a csv file."""
    text = "\n".join(["where,found,use", *lines])
    acceptance = Acceptance(
        open_book(csv_file(tmp_path / "accept.csv", text)), settings or Settings(length_unit="in")
    )
    acceptance.apply(list(sheets_of(zip(books, (JOBS, STOCK), strict=True), Settings())))
    return acceptance


def places(acceptance):
    return [(str(each.place), each.code) for each in acceptance.problems]


def lengths(books):
    stock = read_stock(books[1], Settings(length_unit="in"), TODAY).stock
    return {number: part.bolt.length for number, part in stock.parts.items()}


def test_a_line_that_fits_is_read_as_if_it_had_been_typed(tmp_path, books):
    got = accepted(tmp_path, books, "stock.xlsx!Stock!E2,2026-03-08,3/8 in")
    assert places(got) == [("stock.xlsx!Stock!E2", "length-accepted")]
    (notice,) = got.problems
    assert (notice.severity, notice.found) == ("notice", "2026-03-08")
    assert notice.says == (
        "The cell holds the date 2026-03-08; it is read as 3/8 in, as accept.csv!accept!C2 says."
    )
    assert lengths(books) == {"B-1": inches("3/8"), "B-3": inches(2)}
    assert got.tally == Tally(1, 1, 0, 0)


def test_any_of_the_fractions_named_may_be_chosen(tmp_path, books):
    accepted(tmp_path, books, "stock.xlsx!Stock!E3,2016-03-01,1 3/16")
    assert lengths(books)["B-2"] == inches("19/16")


@pytest.mark.parametrize("use", ["3/8 in", '"3/8"""', "3/8", "0.375 in", "⅜ in"])
@pytest.mark.parametrize("found", ["2026-03-08", "the date 2026-03-08", "2026-03-08 00:00:00"])
def test_the_ways_in_which_a_line_may_be_written(tmp_path, books, found, use):
    got = accepted(tmp_path, books, f"STOCK.xlsx!Stock!$E$2,{found},{use}")
    assert places(got) == [("stock.xlsx!Stock!E2", "length-accepted")]


def test_a_size_of_a_job(tmp_path, books):
    accepted(tmp_path, books, "jobs.xlsx!Jobs!E2,2002-01-01,1 1/2", settings=Settings())
    (job,) = read_jobs(books[0], Settings(), lambda days: WEEK, WEEK.first).jobs
    assert job.size_to == inches("3/2")


@pytest.mark.parametrize(
    ("line", "cell", "says"),
    [
        ("stock.xlsx!Stock!E4,2 in,3 in", "A2", 'holds "2 in", which is no date'),
        ("stock.xlsx!Stock!B2,5,3/8 in", "A2", "no cell under a heading of lengths"),
        ("stock.xlsx!Stock!E1,length,3/8 in", "A2", "no cell under a heading of lengths"),
        ("stock.xlsx!Stock!E99,2026-03-08,3/8 in", "A2", "no cell under a heading of lengths"),
        ("other.xlsx!Stock!E2,2026-03-08,3/8 in", "A2", "is no cell of jobs.xlsx!Jobs or stock.xlsx!Stock"),
        ("E2,2026-03-08,3/8 in", "A2", "is no cell of"),
        ("stock.xlsx!Stock!E2,2026-03-09,3/8 in", "B2", "holds the date 2026-03-08, not 2026-03-09"),
        ("stock.xlsx!Stock!E2,2026-03-08,1/2 in", "C2", "it can only have been 3/8"),
        ("stock.xlsx!Stock!E2,2026-03-08,about 3/8", "C2", '"about 3/8" is not a length'),
        ("stock.xlsx!Stock!E2,2026-03-08,3/8 blips", "C2", '"blips" is not a unit that is known'),
    ],
)
def test_a_line_that_fits_nothing_is_told_of_at_its_own_place(tmp_path, books, line, cell, says):
    got = accepted(tmp_path, books, line)
    assert places(got) == [(f"accept.csv!accept!{cell}", "accept-unused")]
    assert says in got.problems[0].says
    assert got.tally == Tally(1, 0, 1, 0)
    assert lengths(books) == {"B-3": inches(2)}


def test_a_bare_fraction_needs_a_unit_from_somewhere(tmp_path, books):
    got = accepted(tmp_path, books, "stock.xlsx!Stock!E2,2026-03-08,3/8", settings=Settings())
    assert places(got) == [("accept.csv!accept!C2", "accept-unused")]


@pytest.mark.parametrize("second", ["3/16 in", "1 3/16 in"])
def test_of_two_lines_for_one_cell_neither_is_used(tmp_path, books, second):
    got = accepted(
        tmp_path,
        books,
        "stock.xlsx!Stock!E3,2016-03-01,3/16 in",
        f"stock.xlsx!stock!$E$3,2016-03-01,{second}",
        "stock.xlsx!Stock!E2,2026-03-08,3/8 in",
    )
    assert places(got) == [
        ("accept.csv!accept!A2", "accept-doubled"),
        ("accept.csv!accept!A3", "accept-doubled"),
        ("stock.xlsx!Stock!E2", "length-accepted"),
    ]
    assert (got.tally, set(lengths(books))) == (Tally(3, 1, 2, 0), {"B-1", "B-3"})


def test_a_workbook_serves_as_well_and_its_dates_too(tmp_path, books):
    rows = [
        ["Use", "Where", "Found"],
        ["3/8 in", "stock.xlsx!Stock!E2", datetime(2026, 3, 8)],
        [date(2026, 3, 16), "stock.xlsx!Stock!E3", "2016-03-01"],
        [None, None, "2016-03-01"],
    ]
    path = workbook(tmp_path / "yes.xlsx", Anything=rows)
    got = Acceptance(open_book(path), Settings())
    got.apply(list(sheets_of(zip(books, (JOBS, STOCK), strict=True), Settings())))
    assert sorted(places(got)) == [
        ("stock.xlsx!Stock!E2", "length-accepted"),
        ("yes.xlsx!Anything!A3", "accept-unused"),
        ("yes.xlsx!Anything!A4", "cell-blank"),
        ("yes.xlsx!Anything!B4", "cell-blank"),
    ]


def test_a_file_without_the_columns_is_refused(tmp_path):
    with pytest.raises(Unusable) as refused:
        Acceptance(open_book(csv_file(tmp_path / "accept.csv", "where,what\na,b\n")), Settings())
    assert [each.code for each in refused.value.problems] == ["heading-missing"]


def test_a_folder_of_csv_is_named_by_its_files(tmp_path):
    folder = tmp_path / "stock"
    folder.mkdir()
    csv_file(folder / "Stock.csv", "part,on hand,unit,thread,length,head\nB-1,5,each,1/4-20,8-Mar,hex\n")
    book = open_book(folder)
    got = Acceptance(
        open_book(csv_file(tmp_path / "accept.csv", "where,found,use\nStock.csv!Stock!E2,8-Mar,3/8 in\n")),
        Settings(),
    )
    got.apply(list(sheets_of([(None, JOBS), (book, STOCK)], Settings())))
    assert places(got) == [("Stock.csv!Stock!E2", "length-accepted")]
    assert read_stock(book, Settings(), TODAY).stock.parts["B-1"].bolt.length == inches("3/8")


# the command line


@pytest.fixture
def workshop(tmp_path):
    copy_demo(tmp_path / "demo", force=False)
    return tmp_path / "demo"


def turned(workshop):
    """The cell of the demo's stock sheet that became a date."""
    answer = ran("week", workshop, "--json", "--dry-run", status=1)
    return next(
        each["where"] for each in json.loads(answer.stdout)["problems"] if each["code"] == "length-is-date"
    )


def ran(*words, status):
    result = CliRunner().invoke(app, [*map(str, words), "--today", "2026-11-27"])
    assert result.exit_code == status, result.output
    return result


@pytest.mark.slow
def test_week_obeys_the_file_and_leaves_the_workbook_alone(workshop, tmp_path):
    where = turned(workshop)
    before = hashlib.sha256((workshop / "stock.xlsx").read_bytes()).hexdigest()
    path = csv_file(tmp_path / "yes.csv", f"where,found,use\n{where},2026-03-08,3/8 in\n")
    answer = json.loads(ran("week", workshop, "--json", "--dry-run", "--accept", path, status=1).stdout)
    found = {(each["code"], each["where"]) for each in answer["problems"]}
    assert ("length-accepted", where) in found
    assert ("length-is-date", where) not in found
    assert answer["rows"]["accept"] == {"read": 1, "used": 1, "set_aside": 0}
    assert hashlib.sha256((workshop / "stock.xlsx").read_bytes()).hexdigest() == before


@pytest.mark.slow
def test_check_and_why_take_the_file_too(workshop, tmp_path):
    path = csv_file(tmp_path / "yes.csv", f"where,found,use\n{turned(workshop)},2026-03-08,3/8 in\n")
    plain = ran("check", "J-4106", "--in", workshop, status=1).stdout
    assert ran("check", "J-4106", "--in", workshop, "--accept", path, status=1).stdout == plain
    assert "B14-250" in ran("why", "B14-250", "--in", workshop, "--accept", path, status=0).stdout


def test_a_file_that_is_not_there_is_said(workshop):
    result = ran("week", workshop, "--dry-run", "--accept", workshop / "no.csv", status=2)
    assert "file-missing" in result.stderr


def test_the_file_s_digest_is_among_the_inputs(workshop, tmp_path):
    from reconcile.sheets.finding import input_files
    from reconcile.sheets.inputs import read_inputs
    from reconcile.sheets.request import Request

    path = csv_file(tmp_path / "yes.csv", "where,found,use\nstock.xlsx!Stock!A1,x,y\n")
    request = Request(folder=workshop, today=TODAY, week="2026-W49", accept=path)
    inputs = read_inputs(request)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    assert [(each.name, each.sha256) for each in inputs.files if each.role == "accept"] == [
        ("yes.csv", digest)
    ]
    assert [each.code for each in inputs.problems if each.place.file == "yes.csv"] == ["accept-unused"]
    assert path in input_files(request)
