"""What is typed for a workbook goes into its cells, whole or not at all, and takes nothing from anybody."""

from datetime import date, datetime
from fractions import Fraction

import openpyxl
import pytest
from books import workbook

from reconcile.sheets.edits.typed import sheet_shown, typed_cell
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.filled import RowTyped
from reconcile.work.filling import mark_of_rows, open_to_fill, refuse_changed, save_rows

ROWS = [
    ("a title",),
    ("job", "done", "done on", "used"),
    ("J-1", None, None, 4),
    ("J-2", "yes", date(2026, 12, 1), None),
]
NEEDED = ("job", "done")


@pytest.fixture
def path(tmp_path):
    return workbook(tmp_path / "returns.xlsx", Done=ROWS, Beside=[("x",), (1,)])


def shown(path):
    book, data = open_to_fill(path, Settings())
    return sheet_shown(book, "Done", NEEDED), data


def save(path, *typed: RowTyped, check=lambda _book: None, texts=()) -> None:
    sheet, data = shown(path)
    save_rows(path, data, [sheet], typed, Settings(), check, texts)


def cells(path):
    return [tuple(row) for row in openpyxl.load_workbook(path)["Done"].iter_rows(values_only=True)]


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("", None, None),
        ("  ", None, None),
        ("4", None, Fraction(4)),
        ("0.5", None, Fraction(1, 2)),
        ("0,5", ",", Fraction(1, 2)),
        ("2026-12-03", None, date(2026, 12, 3)),
        ("2026-02-30", None, "2026-02-30"),
        ("yes", None, "yes"),
        ("1/2", None, "1/2"),
        ("25 mL", None, "25 mL"),
        ("=1+1", None, "=1+1"),
        ("1,234", None, "1,234"),
        ("-3", None, Fraction(-3)),
    ],
)
def test_a_cell_is_what_a_spreadsheet_program_would_make_of_it(text, decimal, value):
    assert typed_cell(text, decimal) == value


def test_in_a_column_of_text_a_figure_stays_text():
    assert typed_cell("1/2", None, figure=False) == "1/2"
    assert typed_cell("41", None, figure=False) == "41"


def test_the_rows_are_those_below_the_headings(path):
    sheet, _ = shown(path)
    assert [(row.number, row.of("job"), row.of("used"), row.of("done on")) for row in sheet.rows] == [
        (3, "J-1", "4", ""),
        (4, "J-2", "", "2026-12-01"),
    ]
    assert sheet.letters == {"job": "A", "done": "B", "done on": "C", "used": "D"}


def test_only_what_was_typed_changes(path):
    save(path, RowTyped("Done", 3, {"done": "yes", "done on": "2026-12-02", "used": "5"}))
    assert cells(path)[2:] == [
        ("J-1", "yes", "2026-12-02", 5),
        ("J-2", "yes", datetime(2026, 12, 1), None),
    ]
    assert openpyxl.load_workbook(path)["Beside"]["A2"].value == 1


def test_who_types_the_same_again_changes_not_a_byte(path):
    before = path.read_bytes()
    save(path, RowTyped("Done", 4, {"done": "yes", "done on": "2026-12-01", "used": ""}))
    assert path.read_bytes() == before


def test_a_cell_that_is_cleared_is_blank(path):
    save(path, RowTyped("Done", 4, {"done": "", "done on": ""}))
    assert cells(path)[3] == ("J-2", None, None, None)


def test_a_row_is_added_below_the_last(path):
    save(path, RowTyped("Done", 0, {"job": "J-3", "done": "no", "used": ""}))
    assert cells(path)[4] == ("J-3", "no", None, None)


def test_a_heading_that_the_sheet_has_not_is_left(path):
    before = path.read_bytes()
    save(path, RowTyped("Done", 3, {"nobody": "x"}), RowTyped("Elsewhere", 3, {"done": "yes"}))
    assert path.read_bytes() == before


def test_what_cannot_be_read_back_is_not_put_in_place(path):
    def refuses(_book):
        raise Unusable(problem("number-unreadable", Place("returns.xlsx", "Done", "D3"), "no"))

    before = path.read_bytes()
    with pytest.raises(Unusable):
        save(path, RowTyped("Done", 3, {"used": "x"}), check=refuses)
    assert path.read_bytes() == before
    assert [each.name for each in path.parent.iterdir()] == ["returns.xlsx"]


def test_a_workbook_that_changes_while_it_is_saved_keeps_the_change(path):
    sheet, data = shown(path)
    with pytest.raises(Unusable) as told:
        save_rows(
            path,
            data,
            [sheet],
            [RowTyped("Done", 3, {"used": "5"})],
            Settings(),
            lambda _book: path.write_bytes(data + b" "),
        )
    assert told.value.problems[0].code == "rows-changed-meanwhile"
    assert path.read_bytes() == data + b" "


def test_a_workbook_that_is_open_elsewhere_is_refused(path):
    (path.parent / "~$returns.xlsx").write_bytes(b"x")
    with pytest.raises(Unusable) as told:
        save(path, RowTyped("Done", 3, {"used": "5"}))
    assert told.value.problems[0].code == "workbook-open"


def test_the_mark_is_of_the_rows_alone(path):
    sheet, _ = shown(path)
    first = mark_of_rows(sheet.rows[:1])
    save(path, RowTyped("Done", 4, {"done": "no"}))
    other, _ = shown(path)
    assert mark_of_rows(other.rows[:1]) == first
    assert mark_of_rows(other.rows) != mark_of_rows(sheet.rows)
    refuse_changed(first, other.rows[:1], other)
    with pytest.raises(Unusable) as told:
        refuse_changed(mark_of_rows(sheet.rows), other.rows, other)
    assert str(told.value.problems[0].place) == "returns.xlsx!Done!A3"


@pytest.mark.parametrize(("name", "code"), [("Gone", "sheet-missing"), ("Beside", "heading-missing")])
def test_a_sheet_that_is_not_ours_is_refused(path, name, code):
    book, _ = open_to_fill(path, Settings())
    with pytest.raises(Unusable) as told:
        sheet_shown(book, name, NEEDED)
    assert told.value.problems[0].code == code


def test_a_workbook_that_is_not_there_is_said(tmp_path):
    with pytest.raises(Unusable) as told:
        open_to_fill(tmp_path / "gone.xlsx", Settings())
    assert told.value.problems[0].code == "file-missing"
