"""Blank workbooks: what is in them, and that a filled-in one reads back without a problem."""

import re
import tomllib
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from reconcile.reports.writing.blank_books import LAST_ROW, note_text, write_blank_book
from reconcile.sheets.blanks import frame as blank_frame
from reconcile.sheets.blanks.settings import EXPLAINED, every_key, settings_text
from reconcile.sheets.blanks.sheets import NOTES, UNITS, jobs_sheets, stock_sheets
from reconcile.sheets.figures.units import canonical_unit
from reconcile.sheets.frames.files import read_frame_text, read_frames
from reconcile.sheets.frames.keys import (
    ADJUSTMENT,
    COVER,
    DISTURBED,
    EXTRA,
    FRAME,
    JOINT,
    LENGTHEN,
    SIZED,
    SPACER,
)
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.request import Request
from reconcile.sheets.settings.file import LIMITS, SETTINGS, read_settings
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.values.blank import BlankColumn, BlankSheet
from reconcile.values.problem import Unusable
from reconcile.week import plan_week
from reconcile.work.workshop.blanks import write_blank

FRIDAY = date(2026, 11, 27)
DEMO_FRAMES = Path(__file__).resolve().parents[3] / "data_demo" / "frames"
KINDS = (JOBS, STOCK, ON_ORDER, SUPPLIERS, PRICE_BREAKS, USAGE)
TYPED_AS_TEXT = {
    "Jobs": ("job", "frame", "from", "to", "asset"),
    "Stock": ("part", "thread", "length", "thread length", "supplier part", "bin"),
    "On order": ("part", "order"),
    "Price breaks": ("part",),
    "Usage": ("part", "job"),
}


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    write_blank(tmp_path / "shop", None, FRIDAY, force=False)
    return tmp_path / "shop"


def planned(folder: Path):
    from datetime import datetime

    return plan_week(read_inputs(Request(folder, today=FRIDAY)), datetime(2026, 11, 27, 8))


def sheets_of(folder: Path) -> dict[str, object]:
    books = [openpyxl.load_workbook(folder / name) for name in ("jobs.xlsx", "stock.xlsx")]
    return {page.title: page for book in books for page in book if page.title != "Lists"}


def headings(page) -> dict[str, str]:
    """Heading to its column's letter."""
    return {cell.value: cell.column_letter for cell in page[1]}


def checks(page) -> dict[str, object]:
    """The check of entries of each column, by heading."""
    letters = {letter: heading for heading, letter in headings(page).items()}
    return {
        letters[re.match("[A-Z]+", str(each.sqref))[0]]: each for each in page.data_validations.dataValidation
    }


def entries(page, check) -> list[str]:
    """What a drop-down offers, wherever it keeps it."""
    if check.formula1.startswith('"'):
        return check.formula1.strip('"').split(",")
    sheet, _, area = check.formula1.partition("!")
    return [row[0].value for row in page.parent[sheet][area.replace("$", "")]]


# --- nothing goes stale ---------------------------------------------------------------------------------


def test_every_heading_that_is_read_has_a_note_and_a_column(shop: Path) -> None:
    assert {kind.name: set(kind.headings) for kind in KINDS} == {
        name: set(each) for name, each in NOTES.items()
    }
    pages = sheets_of(shop)
    assert {name: list(headings(page)) for name, page in pages.items()} == {
        kind.name: list(kind.headings) for kind in KINDS
    }


def test_each_heading_says_what_it_means_and_whether_it_is_needed(shop: Path) -> None:
    pages = sheets_of(shop)
    for kind in KINDS:
        page = pages[kind.name]
        for heading, letter in headings(page).items():
            cell = page[f"{letter}1"]
            note = cell.comment.text
            assert NOTES[kind.name][heading].words in note
            assert ("Needed." in note) == (heading in kind.needed) == bool(cell.font.bold)


def test_every_setting_is_there_explained_and_commented_out() -> None:
    text = settings_text()
    assert tomllib.loads(text) == {}
    assert set(every_key()) == set(EXPLAINED)
    assert set(SETTINGS) < set(every_key())
    assert {f"limits.{name}" for name in LIMITS} < set(every_key())
    unexplained = [
        key
        for key, (words, _) in EXPLAINED.items()
        if not words and not key.startswith(("headings.", "sheets."))
    ]
    assert unexplained == []


def test_every_example_setting_can_be_taken_as_it_stands(tmp_path: Path) -> None:
    bare = re.sub("^# ", "", settings_text(), flags=re.MULTILINE)
    path = tmp_path / "reconcile.toml"
    path.write_text(bare, "utf-8")
    settings = read_settings(path, FRIDAY)
    raw = tomllib.loads(bare)
    assert {name if name == key else f"{key}.{name}" for key in raw for name in names_in(raw, key)} == set(
        every_key()
    )
    assert (settings.length_unit, settings.headings["on hand"]) == ("in", ("shelf count",))


def names_in(raw: dict, key: str) -> list[str]:
    return [key, *(raw[key] if isinstance(raw[key], dict) else ())]


def test_the_example_frame_is_sound_and_shows_every_key() -> None:
    frame, problems = read_frame_text(blank_frame.TEXT.encode(), blank_frame.NAME)
    assert (frame.code, problems) == ("EX-1", ())
    tables = (FRAME, ADJUSTMENT, JOINT, COVER, SIZED, DISTURBED, EXTRA, SPACER, LENGTHEN)
    missing = {key for table in tables for key in table if not re.search(rf"\b{key}\b", blank_frame.TEXT)}
    assert missing == set()


def test_the_example_frame_is_sound_with_every_line_in_use() -> None:
    starts = r"torque|check|reading|lengthen|extras|\[\[|name|steps|reuse|when|sizes|    \{|\]|part|quantity"
    text = re.sub(rf"^# (?={starts})", "", blank_frame.TEXT, flags=re.MULTILINE)
    frame, problems = read_frame_text(text.encode(), blank_frame.NAME)
    assert problems == ()
    (adjustment,) = frame.adjustments
    assert (len(adjustment.covers), len(adjustment.sized), len(adjustment.disturbed)) == (1, 1, 1)


def test_the_units_offered_are_those_that_are_read() -> None:
    assert [canonical_unit(each) for each in UNITS] == list(UNITS)


# --- what a clerk meets ---------------------------------------------------------------------------------


def test_fractions_and_part_numbers_stay_text(shop: Path) -> None:
    pages = sheets_of(shop)
    for name, texts in TYPED_AS_TEXT.items():
        page = pages[name]
        letters = headings(page)
        assert {heading: page[f"{letters[heading]}2"].number_format for heading in texts} == dict.fromkeys(
            texts, "@"
        )
        assert {format_of(page, letters[heading]) for heading in texts} == {"@"}


def format_of(page, letter: str) -> str:
    """The number format of a whole column; columns alike share one entry, under the first."""
    from openpyxl.utils import column_index_from_string

    at = column_index_from_string(letter)
    shapes = page.column_dimensions.values()
    return next(each.number_format for each in shapes if each.min <= at <= each.max)


def test_dates_are_dates(shop: Path) -> None:
    pages = sheets_of(shop)
    for name, heading in (("Jobs", "date"), ("On order", "due"), ("Usage", "date")):
        page = pages[name]
        letter = headings(page)[heading]
        assert page[f"{letter}2"].is_date
        assert format_of(page, letter) == "yyyy-mm-dd"
        assert checks(page)[heading].type == "date"


def test_drop_downs_offer_what_frame_files_and_the_reader_know(tmp_path: Path) -> None:
    write_blank(tmp_path, DEMO_FRAMES, FRIDAY, force=False)
    pages = sheets_of(tmp_path)
    jobs, stock = pages["Jobs"], pages["Stock"]
    offered = {
        heading: entries(jobs, check) for heading, check in checks(jobs).items() if check.type == "list"
    }
    assert offered["frame"] == ["BD-A4", "KD-W5", "NQ-T1", "OS-X3", "VL-M2"]
    assert offered["side"] == ["both", "left", "right"]
    assert {"front rigging", "solid seat", "anti-tippers", "elevating leg rests"} <= set(offered["options"])
    assert set(offered["adjustment"]) == {"seat depth", "back height", "seat width"}
    shelf = {
        heading: entries(stock, check) for heading, check in checks(stock).items() if check.type == "list"
    }
    assert shelf["unit"] == list(UNITS)
    assert {"1/4-20 UNC", "M6", "M8x1"} <= set(shelf["thread"])
    assert "socket cap" in shelf["head"]
    assert {
        str(each.sqref).partition(":")[2].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        for each in checks(jobs).values()
    } == {str(LAST_ROW)}


def test_several_options_may_be_typed_and_a_side_must_be_one(shop: Path) -> None:
    found = checks(sheets_of(shop)["Jobs"])
    assert "options" not in found  # the example frame has none
    assert (found["side"].showErrorMessage, found["side"].errorStyle) == (True, "stop")
    assert (found["frame"].showErrorMessage, found["frame"].errorStyle) == (True, "warning")
    assert (found["chairs"].type, found["chairs"].formula1) == ("whole", "1")
    assert found["chairs"].error == "Write a whole number, 1 or more."


def test_entries_with_commas_or_in_great_number_stand_on_a_sheet_that_is_seen(tmp_path: Path) -> None:
    many = tuple(f"F-{number:03}" for number in range(200))
    columns = (
        BlankColumn("frame", True, "x", offered=many),
        BlankColumn("options", False, "y", offered=("a, b", "c")),
    )
    path = tmp_path / "long.xlsx"
    write_blank_book([BlankSheet("Jobs", columns)], "long", path)
    page = openpyxl.load_workbook(path)["Jobs"]
    assert entries(page, checks(page)["frame"]) == list(many)
    assert entries(page, checks(page)["options"]) == ["a, b", "c"]
    assert page.parent["Lists"].sheet_state == "visible"


def test_pages_print_with_their_headings_and_the_number_of_the_row_in_letters_that_can_be_read(
    shop: Path,
) -> None:
    for page in sheets_of(shop).values():
        assert 81 <= page.page_setup.scale <= 100, "of letters of 10 points"
        assert page.print_title_rows == "$1:$1"
        assert (page.print_title_cols == "$A:$A") == bool(page.col_breaks.brk)
        assert page.freeze_panes == "B2"
        assert page.auto_filter.ref.startswith("A1:")


def test_a_note_gives_an_example() -> None:
    column = BlankColumn("unit", True, "What it is counted in.", offered=("each", "pack"))
    assert note_text(column) == "What it is counted in. Needed. Example: each."


# --- read back ------------------------------------------------------------------------------------------


def test_the_example_rows_plan_without_a_problem(shop: Path) -> None:
    week = planned(shop)
    assert week.problems == ()
    assert [(each.job.number, each.kit) for each in week.jobs] == [("EXAMPLE-1", "complete")]
    assert {name: (each.read, each.set_aside) for name, each in week.rows.items()} == dict.fromkeys(
        ("jobs", "stock", "on order", "suppliers", "price breaks", "usage"), (1, 0)
    )


@pytest.mark.slow
@pytest.mark.parametrize("file", sorted(each.name for each in DEMO_FRAMES.glob("*.toml")))
def test_the_example_rows_of_any_frame_have_no_error(tmp_path: Path, file: str) -> None:
    frames = tmp_path / "build-sheets"
    frames.mkdir()
    (frames / file).write_bytes((DEMO_FRAMES / file).read_bytes())
    write_blank(tmp_path / "shop", frames, FRIDAY, force=False)
    week = planned(tmp_path / "shop")
    # The stock sheet holds the example bolt alone, so the frame's other parts are not listed yet.
    assert {each.code for each in week.problems} <= {"part-not-listed", "stack-unknown"}
    assert len(week.jobs) == 1


def filled(shop: Path) -> None:
    """Twenty rows as a clerk types them, each cell in the format of its column."""
    jobs = openpyxl.load_workbook(shop / "jobs.xlsx")
    page = jobs["Jobs"]
    letters = headings(page)
    for number in range(20):
        row = 3 + number
        typed = {
            "job": f"{417 + number:05}", "date": date(2026, 12, 1 + number % 4), "frame": "EX-1",
            "from": "15 1/2 in" if number % 2 else "15½ in", "to": '16 1/2"', "side": "both",
            "left now": 1, "right now": 2, "chairs": 1, "priority": 1 + number % 3,
        }  # fmt: skip
        for heading, value in typed.items():
            cell = page[f"{letters[heading]}{row}"]
            cell.number_format = format_of(page, letters[heading])
            cell.value = value
    jobs.save(shop / "jobs.xlsx")
    stock = openpyxl.load_workbook(shop / "stock.xlsx")
    page = stock["Stock"]
    letters = headings(page)
    bolts = [("1 1/2 in", 40), ("2 1/2 in", 40), ("3 in", 40)]
    for row, (length, count) in enumerate(bolts, 3):
        typed = {"part": f"00{row}", "thread": "1/4-20 UNC", "length": length, "head": "socket cap",
                 "grade": "SAE 8", "on hand": count, "unit": "each"}  # fmt: skip
        for heading, value in typed.items():
            page[f"{letters[heading]}{row}"].value = value
    spacer = {"part": "EXAMPLE-SPACER", "on hand": "8 dozen", "unit": "each"}
    for heading, value in spacer.items():
        page[f"{letters[heading]}6"].value = value
    stock.save(shop / "stock.xlsx")


def test_twenty_more_rows_read_back_without_an_error(shop: Path) -> None:
    filled(shop)
    week = planned(shop)
    assert [each for each in week.problems if each.severity == "error"] == []
    assert {each.code for each in week.problems} <= {"sides-differ"}  # 16 1/2 in is an odd number of steps
    assert week.rows["jobs"].used == 21
    assert week.jobs[1].job.number == "00417"
    assert week.stock.parts["EXAMPLE-SPACER"].on_hand == 96


# --- files that are there -------------------------------------------------------------------------------


def test_what_is_there_is_not_replaced_and_nothing_else_is_written(tmp_path: Path) -> None:
    (tmp_path / "stock.xlsx").write_text("mine", "utf-8")
    with pytest.raises(Unusable) as refused:
        write_blank(tmp_path, None, FRIDAY, force=False)
    (only,) = refused.value.problems
    assert (only.code, only.place.file) == ("output-exists", "stock.xlsx")
    assert "--out" not in only.do
    assert [each.name for each in tmp_path.iterdir()] == ["stock.xlsx"]
    assert (tmp_path / "stock.xlsx").read_text("utf-8") == "mine"
    write_blank(tmp_path, None, FRIDAY, force=True)
    assert list(sheets_of(tmp_path)) == ["Jobs", "Stock", "On order", "Suppliers", "Price breaks", "Usage"]


def test_frames_that_are_there_are_offered_and_left_alone(tmp_path: Path) -> None:
    (tmp_path / "frames").mkdir()
    (tmp_path / "frames" / "VL-M2.toml").write_bytes((DEMO_FRAMES / "VL-M2.toml").read_bytes())
    (tmp_path / "frames" / "bad.toml").write_text('code = "BAD"\n', "utf-8")
    written = write_blank(tmp_path, None, FRIDAY, force=False)
    assert [each.name for each in written.files] == ["jobs.xlsx", "stock.xlsx", "reconcile.toml"]
    assert written.faulty == {"bad.toml": 1}
    page = sheets_of(tmp_path)["Jobs"]
    assert entries(page, checks(page)["frame"]) == ["VL-M2"]
    assert page["D2"].value == "450 mm"


def test_frames_elsewhere_are_named_in_the_settings(tmp_path: Path) -> None:
    write_blank(tmp_path / "shop", DEMO_FRAMES, FRIDAY, force=False)
    raw = tomllib.loads((tmp_path / "shop" / "reconcile.toml").read_text("utf-8"))
    assert (tmp_path / "shop" / raw["frames"]).resolve() == DEMO_FRAMES.resolve()
    assert not (tmp_path / "shop" / "frames").exists()


def test_a_folder_whose_frames_are_all_faulty_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("code =\n", "utf-8")
    with pytest.raises(Unusable) as refused:
        write_blank(tmp_path / "shop", tmp_path, FRIDAY, force=False)
    assert [each.code for each in refused.value.problems] == ["frame-unreadable", "call-unusable"]
    assert not (tmp_path / "shop").exists()


def test_the_same_day_gives_the_same_rows() -> None:
    frames = list(read_frames(DEMO_FRAMES).frames.values())
    assert jobs_sheets(frames, FRIDAY) == jobs_sheets(frames, FRIDAY)
    assert stock_sheets(frames, FRIDAY) == stock_sheets(frames, FRIDAY)
