"""`reconcile count` from the command line: sheets out, counts back, and nothing written unasked."""

import hashlib
from datetime import date, timedelta

import openpyxl
import pytest
from books import csv_file, workbook
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import ledger_path, open_ledger
from reconcile.work.workshop.demo import copy_demo

STOCK = [
    ["part", "bin", "on hand", "allocated", "unit", "pack", "price", "currency"],
    ["SP-050", "A1", 20, None, "each", None, 2, "EUR"],
    ["SP-050", "A2", 5, None, "each", None, 2, "EUR"],
    ["B-14", "A1", 100, None, "each", None, "0.10", "EUR"],
    ["NUT", "B-10", 3, None, "pack", 50, "0.02", "EUR"],
    ["GREASE", "C1", "12.5", None, "mL", None, "0.50", "EUR"],
    ["BAD", "C2", -1, None, "each", None, 1, "EUR"],
]
USED = [["date", "part", "quantity"], [date(2026, 11, 20), "SP-050", 100], [date(2026, 11, 20), "B-14", 200]]
EVERY_WEEK = "[counting]\ntimes = { A = 53, B = 53, C = 53 }\n"
MONDAY = ("--today", "2026-11-30")


@pytest.fixture
def shop(tmp_path):
    """A workshop with a stock workbook and nothing else; every part is counted every week."""
    workbook(tmp_path / "stock.xlsx", Stock=STOCK, Usage=USED)
    (tmp_path / "reconcile.toml").write_text(EVERY_WEEK)
    return tmp_path


def run(*words, status=0):
    result = CliRunner().invoke(app, ["count", *map(str, words)])
    assert result.exit_code == status, result.output
    return result


def said(*words, status=0):
    return " ".join(run(*words, status=status).stdout.split())


def filled(shop, counts, name="count-2026-W49.xlsx"):
    """The sheet that was written, with counts by (part, bin); "empty" ticks the bin."""
    path = shop / "reports" / name
    book = openpyxl.load_workbook(path)
    page = book["Count"]
    column = {cell.value: cell.column for cell in page[8]}
    for row in range(9, page.max_row + 1):
        key = (page.cell(row, column["part"]).value, page.cell(row, column["bin"]).value)
        if key in counts:
            empty = counts[key] == "empty"
            cell = page.cell(row, column["empty bin seen" if empty else "counted"])
            cell.value = "yes" if empty else counts[key]
            page.cell(row, column["counted by"]).value = "KM"
    book.save(path)
    return path


def on_hand(path):
    page = openpyxl.load_workbook(path)["Stock"]
    return {(row[0].value, row[1].value): row[2].value for row in page.iter_rows(min_row=2)}


def files(folder):
    return {
        path.relative_to(folder): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


ALL_RIGHT = {
    ("SP-050", "A1"): 20,
    ("SP-050", "A2"): "5",
    ("B-14", "A1"): 100,
    ("NUT", "B-10"): "3 packs",
    ("GREASE", "C1"): "12.5 mL",
}


# --- writing


def test_a_sheet_is_written_and_says_what_comes_first(shop):
    text = said(shop, *MONDAY)
    assert text.startswith("To count in week 2026-W49: 6 bins of 5 parts, 1 of them first.")
    assert "BAD the book says -1 each in C2, less than nothing" in text
    # SP-050: 100 x 2 = 200, B-14: 200 x 0.1 = 20 of 220; 90.9 % lie above B-14.
    assert "A 1 part, counted 53 times a year, tolerance 0 %" in text
    assert "B 1 part, counted 53 times a year, tolerance 2 %" in text
    assert "3 parts in C: no usage in the last 365 days." in text
    assert "for the week could not be planned: " in text
    assert (shop / "reports" / "count-2026-W49.xlsx").is_file()


def test_the_same_week_gives_the_same_sheet_and_is_not_replaced_unasked(shop):
    run(shop, *MONDAY)
    path = shop / "reports" / "count-2026-W49.xlsx"
    first = [[cell.value for cell in row] for row in openpyxl.load_workbook(path)["Count"]]
    assert "output-exists" in run(shop, *MONDAY, status=2).stderr
    run(shop, *MONDAY, "--force")
    assert [[cell.value for cell in row] for row in openpyxl.load_workbook(path)["Count"]] == first


def test_a_week_that_is_named_is_counted(shop):
    assert said(shop, *MONDAY, "--week", "2026-W50").startswith("To count in week 2026-W50")


def test_nobodys_turn_and_nothing_odd_writes_nothing(shop):
    workbook(shop / "stock.xlsx", Stock=STOCK[:3])
    (shop / "reconcile.toml").write_text("[counting]\ntimes = { A = 0, B = 0, C = 0 }\n")
    assert said(shop, *MONDAY).startswith("Nothing is to be counted in week 2026-W49.")
    assert not (shop / "reports").exists()


@pytest.mark.slow
def test_parts_of_short_jobs_come_first(tmp_path):
    copy_demo(tmp_path / "demo", force=False)
    text = said(tmp_path / "demo", "--today", "2026-11-27")
    assert "missing for J-4106, J-4110" in text
    assert text.startswith("To count in week 2026-W49")


def test_a_folder_of_csv_is_counted_but_not_booked_into(tmp_path):
    (tmp_path / "stock").mkdir()
    csv_file(tmp_path / "stock" / "Stock.csv", "part,bin,on hand,unit\nSP-050,A1,-4,each\n")
    run(tmp_path, *MONDAY)
    sheet = filled(tmp_path, {("SP-050", "A1"): 4})
    assert "1 to count again" in said(tmp_path, *MONDAY, "--read", sheet, status=1)
    refused = run(tmp_path, *MONDAY, "--read", sheet, "--post", "--trust-count", status=2)
    assert "stock-not-closable" in refused.stderr


# --- reading


def test_reading_writes_nothing(shop):
    run(shop, *MONDAY)
    sheet = filled(shop, ALL_RIGHT | {("SP-050", "A1"): 19, ("BAD", "C2"): "empty"})
    before = files(shop)
    text = said(shop, *MONDAY, "--read", sheet, status=1)
    assert files(shop) == before
    assert text.startswith("Week 2026-W49: 6 bins counted, 2 differ from the book; 2 to count again.")
    assert "SP-050 in A1, each 20 19 -1 -2.00 EUR A count again" in text
    assert "BAD in C2, each -1 0 +1 1.00 EUR C count again" in text
    assert "A 1 of 2 (50 %) B 1 of 1 (100 %) C 2 of 3 (66.7 %)" in text


def test_a_count_that_agrees_throughout_is_fine(shop):
    run(shop, *MONDAY)
    sheet = filled(shop, ALL_RIGHT)
    text = said(shop, *MONDAY, "--read", sheet)
    assert text.startswith("Week 2026-W49: 5 bins counted, the book is right in all.")
    assert "Not counted: 1 line; the book stays as it is there. BAD in C2" in text


def test_a_sheet_is_found_by_its_name_where_sheets_are_written(shop):
    run(shop, *MONDAY)
    filled(shop, ALL_RIGHT)
    assert "5 bins counted" in said(shop, *MONDAY, "--read", "count-2026-W49.xlsx")


def test_faulty_rows_are_told_at_their_cells(shop):
    run(shop, *MONDAY)
    sheet = filled(shop, {("SP-050", "A1"): "some", ("SP-050", "A2"): -2})
    text = said(shop, *MONDAY, "--read", sheet, status=1)
    assert "error number-unreadable at count-2026-W49.xlsx!Count!F" in text
    assert "error number-negative at count-2026-W49.xlsx!Count!F" in text


def test_another_weeks_sheet_is_refused(shop):
    run(shop, *MONDAY)
    sheet = filled(shop, ALL_RIGHT)
    told = run(shop, "--today", "2026-12-07", "--read", sheet, status=2).stderr
    assert "count-other-week" in told
    said(shop, "--today", "2026-12-07", "--week", "2026-W49", "--read", sheet)


def test_one_sheet_given_twice_is_no_second_count(shop):
    run(shop, *MONDAY)
    sheet = filled(shop, ALL_RIGHT | {("SP-050", "A1"): 19})
    told = run(shop, *MONDAY, "--read", sheet, "--read", sheet, status=2).stderr
    assert "one count does not bear itself out" in " ".join(told.split())


@pytest.mark.parametrize("option", ["--post", "--trust-count", "--recount"])
def test_what_needs_a_sheet_says_so(shop, option):
    assert "needs a sheet that was filled in" in run(shop, *MONDAY, option, status=2).stderr


# --- booking


def booked(shop, counts, *words, status=0):
    run(shop, *MONDAY)
    sheet = filled(shop, counts)
    return said(
        shop, *MONDAY, "--read", sheet, "--post", "--replace", "--who", "Stores", *words, status=status
    )


def test_what_is_accepted_makes_the_book_equal_the_count(shop):
    # B: 2 % of 100 is 2, so 98 is booked; C: 5 % of 150 nuts is 7.5, and 143 is 7 less.
    text = booked(shop, ALL_RIGHT | {("B-14", "A1"): 98, ("NUT", "B-10"): "143 each"})
    assert "count 2026-11-30 is booked: 5 movements (5 counted)." in text
    after = on_hand(shop / "stock.xlsx")
    assert after["B-14", "A1"] == 98
    assert after["NUT", "B-10"] == 2.86  # packs of 50: 143 each
    assert after["SP-050", "A1"] == 20
    assert on_hand(shop / "stock-kept" / "stock-before-count-2026-11-30.xlsx")["B-14", "A1"] == 100


def test_the_ledger_has_every_count_with_who_counted_and_where_it_stands(shop):
    booked(shop, ALL_RIGHT | {("B-14", "A1"): 98})
    with open_ledger(ledger_path(shop / "stock.xlsx"), create=False) as book:
        (opening, one) = book.card("B-14")
        assert (opening.movement.quantity, one.movement.quantity, one.balance) == (100, -2, 98)
        assert (one.movement.kind, one.movement.who, one.closing) == ("counted", "KM", "count 2026-11-30")
        assert str(one.movement.source).startswith("count-2026-W49.xlsx!Count!F")
        assert one.movement.note.endswith("within tolerance")
        assert [each.movement.quantity for each in book.card("GREASE")] == [12.5, 0]
        assert book.audit() == []


@pytest.mark.slow
def test_a_difference_beyond_tolerance_waits_for_a_second_count(shop):
    text = booked(shop, ALL_RIGHT | {("SP-050", "A1"): 17}, status=1)
    assert "1 to count again" in text
    assert on_hand(shop / "stock.xlsx")["SP-050", "A1"] == 20
    first = shop / "reports" / "count-2026-W49.xlsx"
    second = filled(shop, {("SP-050", "A1"): 17}, "recount-2026-W49.xlsx")
    text = said(shop, *MONDAY, "--read", first, "--read", second, "--post", "--replace")
    assert "SP-050 in A1, each 20 17 -3 -6.00 EUR A second count agrees" in text
    assert "count 2026-11-30 (2) is booked: 1 movement (1 counted)." in text
    assert on_hand(shop / "stock.xlsx")["SP-050", "A1"] == 17


def test_accept_books_it_at_once(shop):
    booked(shop, {("SP-050", "A1"): 17, ("BAD", "C2"): "empty"}, "--trust-count")
    after = on_hand(shop / "stock.xlsx")
    assert (after["SP-050", "A1"], after["BAD", "C2"]) == (17, 0)


def test_booking_twice_books_once(shop):
    booked(shop, ALL_RIGHT | {("B-14", "A1"): 98})
    before = files(shop)
    again = said(shop, *MONDAY, "--read", "count-2026-W49.xlsx", "--post", "--replace")
    assert "Nothing is booked: no line is settled that was not booked before." in again
    assert files(shop) == before


def test_a_count_that_agrees_is_on_record_and_leaves_the_workbook_alone(shop):
    before = hashlib.sha256((shop / "stock.xlsx").read_bytes()).hexdigest()
    text = booked(shop, ALL_RIGHT)
    assert "The stock workbook stays as it is." in text
    assert "Written:" not in text
    assert hashlib.sha256((shop / "stock.xlsx").read_bytes()).hexdigest() == before
    with open_ledger(ledger_path(shop / "stock.xlsx"), create=False) as book:
        assert [each.movement.kind for each in book.card("B-14")] == ["opening", "counted"]


def test_without_replace_the_new_workbook_lies_beside(shop):
    run(shop, *MONDAY)
    sheet = filled(shop, ALL_RIGHT | {("B-14", "A1"): 98})
    said(shop, *MONDAY, "--read", sheet, "--post")
    assert on_hand(shop / "stock.xlsx")["B-14", "A1"] == 100
    assert on_hand(shop / "stock-after-count-2026-11-30.xlsx")["B-14", "A1"] == 98


@pytest.mark.slow
def test_what_was_counted_before_a_movement_is_told_apart(shop):
    """Two sheets of one bin: the first is booked, then the second, written before that, is read."""
    run(shop, *MONDAY, "--out", shop / "early")
    booked(shop, ALL_RIGHT | {("B-14", "A1"): 98})
    for count, status, expected in (
        (100, 0, "right in all"),
        (98, 0, "right in all"),
        (97, 1, "moved meanwhile"),
    ):
        path = shop / "early" / "count-2026-W49.xlsx"
        early = filled_at(path, shop / f"early-{count}.xlsx", ("B-14", "A1"), count)
        text = said(shop, *MONDAY, "--read", early, status=status)
        assert expected in text
        assert ("error count-moved" in text) == (count == 97)


def filled_at(path, target, key, count):
    book = openpyxl.load_workbook(path)
    page = book["Count"]
    column = {cell.value: cell.column for cell in page[8]}
    for row in range(9, page.max_row + 1):
        if (page.cell(row, column["part"]).value, page.cell(row, column["bin"]).value) == key:
            page.cell(row, column["counted"]).value = count
    book.save(target)
    return target


def test_a_part_that_was_counted_long_ago_comes_back(shop):
    booked(shop, ALL_RIGHT)
    (shop / "reconcile.toml").write_text("[counting]\ntimes = { A = 4, B = 4, C = 4 }\n")
    later = date(2026, 11, 30) + timedelta(weeks=16)
    text = said(shop, "--today", later, "--show-book")
    sheet = openpyxl.load_workbook(next((shop / "reports").glob("count-2027-*.xlsx")))["Count"]
    why = [row[7].value for row in sheet.iter_rows(min_row=9)]
    assert sum("last counted on 2026-11-30" in each for each in why) == 5
    assert text.startswith("To count in week 2027-W12")


# --- what lies in kits


@pytest.mark.slow
def test_what_lies_in_a_kit_is_neither_missing_nor_taken_twice(tmp_path):
    """Two jobs of 4 clips are picked from A1, 30 by the book: 22 lie on the shelf, 8 in kits."""
    from closing_shop import WEEKS, all_done, returns_of
    from closing_shop import on_hand as stands
    from closing_shop import shop as with_jobs

    folder = with_jobs(tmp_path / "shop")
    (folder / "reconcile.toml").write_text('currency = "EUR"\n' + EVERY_WEEK, "utf-8")
    week = WEEKS[0]
    all_done(returns_of(folder, week))
    today = ("--today", "2026-11-27", "--week", week)
    run(folder, *today)
    path = folder / "reports" / f"count-{week}.xlsx"
    lines = sheet_rows(path)
    assert {key: line["for kits"] for key, line in lines.items() if line["for kits"]} == {
        ("CLIP", "A1"): 8, ("GLUE", "B1"): 0.2, ("PAN-14", "C1"): 2,
    }  # fmt: skip
    assert all(line["in kits"] is None for line in lines.values()), "the sheet asks, and answers nothing"
    filled(folder, {("CLIP", "A1"): 22, ("CLIP", "A2"): 40}, path.name)
    asked = run(folder, *today, "--read", path, status=1)
    assert "count-kits-blank" in asked.output
    assert "Kits take 8 each of CLIP; in kits is blank." in " ".join(asked.output.split())
    in_kits(path, {("CLIP", "A1"): 8})
    assert "2 bins counted, the book is right in all" in said(folder, *today, "--read", path, "--post")
    result = CliRunner().invoke(app, ["close", str(folder), *today, "--replace"])
    assert result.exit_code == 0, result.output
    assert stands(folder / "stock.xlsx")["CLIP", "A1"] == 22, "what lies on the shelf"


def test_a_sheet_of_bins_that_no_kit_takes_from_does_not_ask_for_kits(shop):
    run(shop, *MONDAY)
    assert "in kits" not in next(iter(sheet_rows(shop / "reports" / "count-2026-W49.xlsx").values()))


def sheet_rows(path):
    """The lines of a count sheet by part and bin, each by heading."""
    page = openpyxl.load_workbook(path)["Count"]
    headings = [cell.value for cell in page[8]]
    lines = [dict(zip(headings, row, strict=True)) for row in page.iter_rows(min_row=9, values_only=True)]
    return {(line["part"], line["bin"]): line for line in lines}


def in_kits(path, said):
    book = openpyxl.load_workbook(path)
    page = book["Count"]
    column = {cell.value: cell.column for cell in page[8]}
    for row in range(9, page.max_row + 1):
        key = (page.cell(row, column["part"]).value, page.cell(row, column["bin"]).value)
        if key in said:
            page.cell(row, column["in kits"]).value = said[key]
    book.save(path)
