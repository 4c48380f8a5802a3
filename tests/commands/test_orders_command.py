"""Orders from the order sheet to the shelf: listed, placed, answered, received, sent back, and refused."""

from datetime import date, datetime
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from books import csv_file, workbook
from closing_shop import add, fill
from order_response import line, response
from order_shop import (
    FRI,
    FRIDAY_BEFORE,
    FULL_ORDERS,
    MON,
    NEXT_MON,
    PLAIN_ORDERS,
    REFERENCE,
    TUE,
    WED,
    call,
    edited,
    fine,
    flowing,
    lines,
    on_order,
    order_sheet,
    placed,
    planned,
    quantity,
    refused,
    shop,
    to_come,
)

from reconcile.values.orders.lines import ENDED

CLIP = (REFERENCE, "CLIP")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    return shop(tmp_path / "shop")


def law_holds(folder: Path) -> bool:
    """Ordered − cancelled − received + sent back for replacement is what the sheet says, line by line."""
    booked = {
        key: line.ordered - line.cancelled - line.received + line.replaced
        for key, line in lines(folder).items()
    }
    return {key: number for key, number in booked.items() if number} == to_come(folder)


# --- the month -----------------------------------------------------------------------------------------


def test_monday_placed_tuesday_answered_wednesday_half_received_friday_closed(folder: Path) -> None:
    book = planned(folder)
    assert order_sheet(book)[3].keys() == {"CLIP"}
    said = placed(folder, MON)
    assert f"{REFERENCE}: 1 line, as written" in said
    assert on_order(folder)[1] == {
        "order": REFERENCE, "line": 1, "part": "CLIP", "quantity": 20, "due": datetime(2026, 12, 2),
        "supplier": "NORD", "placed": datetime(2026, 11, 30), "answered": None, "price": 0.1, "note": None,
    }  # fmt: skip
    answer = folder / "answer.xml"
    answer.write_bytes(response(line(1, 20, status=3, due="2026-12-03")))
    said = flowing(fine(TUE, "orders", folder, "--answer", answer, "--post", "--replace"))
    assert f"{REFERENCE}, line 1, CLIP: changed; due 2026-12-03, not 2026-12-02." in said
    fine(WED, "orders", folder, "--received", f"{REFERENCE}/1", "--quantity", 10, "--replace")
    assert to_come(folder)[CLIP] == 10
    assert law_holds(folder)
    fine(WED, "week", folder, "--week", "2026-W49", "--force")
    returns = fill(folder / "reports" / "returns-2026-W49.xlsx", "Done", lambda _row: {"done": "yes"})
    fill(
        returns,
        "Deliveries",
        lambda row: {"received": 10, "received on": FRI} if row["part"] == "CLIP" else {},
    )
    fine(FRI, "close", folder, "--week", "2026-W49", "--replace")
    assert CLIP not in to_come(folder)
    assert lines(folder)[CLIP].standing(FRI) == ENDED
    assert law_holds(folder)
    assert lines(folder)[CLIP].arrived == (lines(folder)[CLIP].arrived[0], lines(folder)[CLIP].arrived[1])
    said = fine(NEXT_MON, "week", folder, "--week", "2026-W50", "--force")
    assert "not placed" not in said
    book = folder / "reports" / "order-2026-W50.xlsx"
    wanted = order_sheet(book)[3] if "Nordholm Fittings" in openpyxl.load_workbook(book).sheetnames else {}
    assert set(wanted) <= {"CLIP"}  # W51 needs more than came; nothing is on its way any more


def test_next_mondays_order_holds_nothing_that_is_on_its_way(folder: Path) -> None:
    planned(folder)
    placed(folder, MON)
    fine(MON, "week", folder, "--week", "2026-W49", "--force")
    book = openpyxl.load_workbook(folder / "reports" / "order-2026-W49.xlsx")
    assert book.sheetnames == ["To chase", "Summary", "Jobs at risk", "To come", "Our lines"]


def under(book: Path, sheet: str, heading: str) -> list[object]:
    """What stands under a heading of one of our sheets."""
    first, *rows = openpyxl.load_workbook(book)[sheet].iter_rows(values_only=True)
    return [row[first.index(heading)] for row in rows]


def test_what_an_answer_puts_off_is_chased_and_not_ordered_again(folder: Path) -> None:
    planned(folder)
    placed(folder)
    late = csv_file(folder / "answer.csv", f"order,line,quantity,due\n{REFERENCE},1,20,2026-12-04\n")
    said = flowing(fine(MON, "orders", folder, "--answer", late, "--post", "--replace"))
    assert "becomes short" in said
    book = planned(folder, MON)
    names = openpyxl.load_workbook(book).sheetnames
    assert "Nordholm Fittings" not in names
    chase = under(book, "To chase", "what to send")
    asked = "due 2026-12-04, needed 2026-12-01 for J-101. Can it come earlier?"
    assert f"{REFERENCE}, line 1, 20 each of CLIP: {asked}" in chase


# --- the list ------------------------------------------------------------------------------------------


def test_the_list_says_how_each_line_stands_and_what_hangs_on_it(folder: Path) -> None:
    planned(folder)
    answer = call(FRIDAY_BEFORE, "orders", folder)
    assert answer.exit_code == 1
    assert answer.stdout == (
        "2 lines open, what is at stake first\n"
        "  2026-W49-NORD, line 1: 20 each of CLIP from NORD\n"
        "      not placed, needed Tue 2026-12-01\n"
        "      hang on it: J-101 2, J-200 4, J-201 4\n"
        "  PO-1, line 1: 4 each of PAN-14 from NORD\n"
        "      placed: due Wed 2026-12-09\n"
    )


def test_the_list_as_json_is_one_object(folder: Path) -> None:
    import json

    found = json.loads(fine(FRIDAY_BEFORE, "orders", folder, "--json"))
    assert found["today"] == "2026-11-27"
    assert [(each["order"], each["line"], each["to_come"], each["due"]) for each in found["lines"]] == [
        ("PO-1", "1", 4, "2026-12-09")
    ]


def test_an_order_of_an_earlier_week_is_named_until_it_is_given_up(folder: Path) -> None:
    planned(folder)
    said = fine(NEXT_MON, "week", folder, "--week", "2026-W50", "--json")
    assert f"{REFERENCE}, 1 line: written on 2026-11-27, not placed." in said
    fine(NEXT_MON, "orders", folder, "--cancel", REFERENCE, "--replace")
    assert "not placed" not in fine(NEXT_MON, "week", folder, "--week", "2026-W50", "--json")
    assert "order-placed-already" in refused(NEXT_MON, "orders", folder, "--placed", REFERENCE)


# --- placing -------------------------------------------------------------------------------------------


def test_what_the_buyer_changed_is_shown_placed_and_sent(folder: Path) -> None:
    book = planned(folder)

    def change(page, columns, rows) -> None:
        page.cell(rows["CLIP"], columns["quantity"]).value = 45
        page.cell(rows["CLIP"], columns["unit price"]).value = 0.09
        page.cell(rows["CLIP"], columns["wanted by"]).value = datetime(2026, 12, 3)

    edited(book, change)
    answer = call(MON, "orders", folder, "--placed", "all", "--replace")
    assert "line 1, CLIP: quantity 45, written as 20" in answer.stdout
    assert "line 1, CLIP: price 0.09, written as 0.10" in answer.stdout
    assert "line 1, CLIP: wanted by 2026-12-03, written as 2026-12-01" in answer.stdout
    assert "order-not-whole-packs" in answer.stderr
    (row,) = (row for row in on_order(folder) if row["part"] == "CLIP")
    assert (row["quantity"], row["due"], row["price"]) == (45, datetime(2026, 12, 3), 0.09)
    sent = openpyxl.load_workbook(folder / "reports" / f"order-{REFERENCE}.xlsx")
    cells = [cell for sheet in sent for row in sheet.iter_rows(values_only=True) for cell in row]
    assert 45 in cells and 4.05 in cells
    xml = (folder / "reports" / f"order-{REFERENCE}.xml").read_text("utf-8")
    assert '<cbc:Quantity unitCode="EA">45</cbc:Quantity>' in xml


def test_a_line_that_is_struck_out_is_not_placed_and_wanted_again_under_a_new_number(folder: Path) -> None:
    stock = openpyxl.load_workbook(folder / "stock.xlsx")
    stock["Stock"]["D4"] = 0  # no PAN-14, nor any on its way
    stock["On order"].delete_rows(2)
    stock.save(folder / "stock.xlsx")
    book = planned(folder)
    edited(book, quantity("CLIP", 0))
    said = placed(folder, MON)
    assert "line 2, CLIP: struck out, 20 each not ordered" in said
    assert (REFERENCE, "PAN-14") in to_come(folder)
    assert CLIP not in to_come(folder)
    book = planned(folder, MON)
    assert f"{REFERENCE}-2" in under(book, "Summary", "order")
    assert set(order_sheet(book)[3]) == {"CLIP"}


def test_an_order_is_placed_once(folder: Path) -> None:
    planned(folder)
    placed(folder)
    before = (folder / "stock.xlsx").read_bytes()
    assert "order-placed-already" in refused(MON, "orders", folder, "--placed", REFERENCE, "--replace")
    assert "order-placed-already" in refused(MON, "orders", folder, "--placed", "all", "--replace")
    assert (folder / "stock.xlsx").read_bytes() == before


def test_placing_written_back_takes_the_rows_out_again(folder: Path) -> None:
    planned(folder)
    placed(folder)
    fine(MON, "ledger", "--in", folder, "--undo", f"placed {REFERENCE}", "--replace")
    assert to_come(folder) == {("PO-1", "PAN-14"): 4}
    placed(folder, MON)
    assert to_come(folder)[CLIP] == 20


def test_a_placing_of_which_something_came_is_not_written_back(folder: Path) -> None:
    planned(folder)
    placed(folder)
    fine(WED, "orders", folder, "--received", REFERENCE, "--quantity", 5, "--replace")
    said = refused(WED, "ledger", "--in", folder, "--undo", f"placed {REFERENCE}", "--replace")
    assert "order-overdrawn" in said
    assert "Write back first what was booked of it later." in said
    assert to_come(folder)[CLIP] == 15


def test_an_edited_order_workbook_is_never_written_over(folder: Path) -> None:
    book = edited(planned(folder), quantity("CLIP", 30))
    before = book.read_bytes()
    answer = call(FRIDAY_BEFORE, "week", folder, "--week", "2026-W49", "--force")
    assert "order-2026-W49.xlsx was left as it is" in answer.stderr
    assert book.read_bytes() == before
    placed(folder)
    answer = call(FRIDAY_BEFORE, "week", folder, "--week", "2026-W49", "--force")
    assert "was left as it is" not in answer.stderr
    assert book.read_bytes() != before


def test_a_part_that_stock_does_not_list_gets_its_row_at_nought(folder: Path) -> None:
    stock = openpyxl.load_workbook(folder / "stock.xlsx")
    stock["Stock"].delete_rows(4)  # no row of PAN-14
    stock["On order"].delete_rows(2)
    stock.save(folder / "stock.xlsx")
    book = planned(folder)

    def add(page, columns, rows) -> None:
        page.insert_rows(rows["CLIP"] + 1)
        for heading, value in {
            "our part": "PAN-14",
            "quantity": 3,
            "unit": "each",
            "designation": "seat pan",
        }.items():
            page.cell(rows["CLIP"] + 1, columns[heading]).value = value

    edited(book, add)
    said = placed(folder)
    assert "PAN-14: added, 3 each" in said
    rows = list(openpyxl.load_workbook(folder / "stock.xlsx")["Stock"].iter_rows(values_only=True))
    assert rows[-1][0:5] == ("PAN-14", None, "seat pan", 0, "each")
    assert to_come(folder)[REFERENCE, "PAN-14"] == 3
    assert law_holds(folder)


def test_a_stock_workbook_without_the_sheet_is_refused_with_what_to_add(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = shop(tmp_path / "bare", orders=[])
    planned(folder)
    said = refused(MON, "orders", folder, "--placed", "all")
    assert "order-sheet-missing" in said
    assert "Add a sheet On order with the headings order, part, quantity and due." in said
    assert not (folder / "stock-ledger.sqlite").exists() or lines(folder) == {}


@pytest.mark.parametrize("orders", [PLAIN_ORDERS, FULL_ORDERS], ids=["four columns", "all columns"])
def test_a_sheet_without_the_optional_columns_works_as_one_with_them(
    tmp_path: Path, monkeypatch, orders
) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = shop(tmp_path / "shop", orders)
    planned(folder)
    placed(folder)
    fine(WED, "orders", folder, "--received", f"{REFERENCE}/CLIP", "--quantity", 5, "--replace")
    fine(WED, "orders", folder, "--cancel", "PO-1", "--quantity", 1, "--reason", "too many", "--replace")
    assert to_come(folder) == {CLIP: 15, ("PO-1", "PAN-14"): 3}
    assert law_holds(folder)


# --- what is refused, in a sentence, with nothing half booked ---------------------------------------------


def unchanged(folder: Path) -> tuple[bytes, bool]:
    return (folder / "stock.xlsx").read_bytes(), (folder / "stock-ledger.sqlite").exists()


def no_headings(page, columns, rows) -> None:
    for column in columns.values():
        page.cell(rows["CLIP"] - 1, column).value = None


def below_zero(page, columns, rows) -> None:
    page.cell(rows["CLIP"], columns["quantity"]).value = -5


def in_the_past(page, columns, rows) -> None:
    page.cell(rows["CLIP"], columns["wanted by"]).value = datetime(2026, 11, 20)


def twice(page, columns, rows) -> None:
    page.insert_rows(rows["CLIP"] + 1)
    for heading, value in {"our part": "CLIP", "quantity": 3}.items():
        page.cell(rows["CLIP"] + 1, columns[heading]).value = value


def all_out(page, columns, rows) -> None:
    page.delete_rows(rows["CLIP"])


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (no_headings, "order-book-unreadable"),
        (below_zero, "number-negative"),
        (in_the_past, "order-date-past"),
        (twice, "order-line-doubled"),
        (all_out, "order-empty"),
    ],
)
def test_a_workbook_that_cannot_be_placed_is_told_by_its_cell(folder: Path, change, code: str) -> None:
    edited(planned(folder), change)
    before = unchanged(folder)
    said = refused(MON, "orders", folder, "--placed", REFERENCE, "--replace")
    assert f"error {code} at order-2026-W49.xlsx!Nordholm Fittings" in said
    assert unchanged(folder) == before


def test_a_workbook_that_is_none_of_ours_is_told(folder: Path) -> None:
    other = workbook(folder / "other.xlsx", Sheet=[("a", "b"), (1, 2)])
    assert "order-book-unreadable" in refused(MON, "orders", folder, "--placed", other)
    planned(folder)
    said = refused(MON, "orders", folder, "--placed", "2026-W48-NORD")
    assert "order-unknown" in said
    assert "order-2026-W49.xlsx" in said


def test_a_stock_workbook_that_is_open_elsewhere_is_left_alone(folder: Path) -> None:
    planned(folder)
    before = unchanged(folder)
    (folder / ".~lock.stock.xlsx#").write_text("", "utf-8")
    assert "workbook-open" in refused(MON, "orders", folder, "--placed", REFERENCE, "--replace")
    assert unchanged(folder) == before


def test_two_things_at_a_time_are_two_runs(folder: Path) -> None:
    said = refused(MON, "orders", folder, "--placed", "all", "--cancel", "PO-1")
    assert "--placed and --cancel are two runs" in said


@pytest.mark.parametrize("number", ["-4", "0", "many"])
def test_a_quantity_typed_is_above_zero(folder: Path, number: str) -> None:
    said = refused(MON, "orders", folder, "--cancel", "PO-1", f"--quantity={number}")
    assert "call-unusable" in said


def test_more_than_is_to_come_is_not_cancelled(folder: Path) -> None:
    before = unchanged(folder)
    assert "order-overdrawn" in refused(
        MON, "orders", folder, "--cancel", "PO-1", "--quantity", 9, "--replace"
    )
    assert unchanged(folder)[0] == before[0]


def test_an_edit_by_hand_is_shown_and_taken_over_only_when_asked(folder: Path) -> None:
    planned(folder)
    placed(folder)
    stock = openpyxl.load_workbook(folder / "stock.xlsx")
    stock["On order"]["D2"] = 2
    stock.save(folder / "stock.xlsx")
    said = flowing(call(MON, "week", folder, "--week", "2026-W49", "--force", "--json").stdout)
    assert "order-differs-noticed" in said
    assert "The sheet has 2 each of PAN-14 to come on PO-1 line 1; the ledger has 4." in said
    words = ("orders", folder, "--received", REFERENCE, "--replace")
    assert "order-differs" in refused(WED, *words)
    fine(WED, *words, "--take-differences")
    assert to_come(folder) == {("PO-1", "PAN-14"): 2}
    assert law_holds(folder)


# --- received, sent back, credited ---------------------------------------------------------------------


@pytest.fixture
def on_its_way(folder: Path) -> Path:
    planned(folder)
    placed(folder)
    return folder


def test_too_much_needs_a_word_and_is_kept_apart(on_its_way: Path) -> None:
    words = ("orders", on_its_way, "--received", REFERENCE, "--quantity", 25, "--replace")
    assert "order-not-listed" in refused(WED, *words)
    fine(WED, *words, "--reason", "a full box")
    line = lines(on_its_way)[CLIP]
    assert (line.received, line.unasked, line.to_come) == (20, 5, 0)
    assert "CLIP" not in {row["part"] for row in on_order(on_its_way)}


def test_too_little_and_finished_is_closed_short(on_its_way: Path) -> None:
    fine(WED, "orders", on_its_way, "--received", REFERENCE, "--quantity", 15, "--finished", "--replace")
    line = lines(on_its_way)[CLIP]
    assert (line.received, line.cancelled, line.to_come) == (15, 5, 0)
    said = flowing(fine(WED, "orders", on_its_way, "--record"))
    assert (
        f"{REFERENCE}, line 1, CLIP: promised 2026-12-01, came 2026-12-02, 1 day late, 15 of 20 each" in said
    )


def test_something_else_than_ordered_leaves_the_line_to_come(on_its_way: Path) -> None:
    words = (
        "orders",
        on_its_way,
        "--received",
        f"{REFERENCE}/1",
        "--came",
        "PAN-10",
        "--quantity",
        2,
        "--replace",
    )
    assert "order-not-listed" in refused(WED, *words)
    fine(WED, *words, "--reason", "wrong goods", "--replace")
    assert to_come(on_its_way)[CLIP] == 20
    assert lines(on_its_way)[REFERENCE, "PAN-10"].unasked == 2


def test_what_nobody_ordered_is_booked_with_a_word(on_its_way: Path) -> None:
    words = ("orders", on_its_way, "--received", "-", "--came", "TIE", "--quantity", 100, "--replace")
    assert "order-not-listed" in refused(WED, *words)
    fine(WED, *words, "--reason", "a sample")
    assert law_holds(on_its_way)


def test_what_came_is_known_whatever_its_case(on_its_way: Path) -> None:
    words = ("orders", on_its_way, "--received", "-", "--quantity", 100, "--reason", "a sample", "--replace")
    assert "Nearest: TIE" in refused(WED, *words, "--came", "tei")
    fine(WED, *words, "--came", "tie")
    assert {part for _, part in lines(on_its_way)} >= {"TIE"}
    assert law_holds(on_its_way)


def test_a_file_of_what_came_is_booked_row_by_row(on_its_way: Path) -> None:
    came = workbook(
        on_its_way / "came.xlsx",
        Deliveries=[
            ("order", "part", "received", "received on", "finished", "note"),
            (REFERENCE, "CLIP", 12, WED, "yes", "rest not made any more"),
            ("PO-1", "PAN-14", 1, None, None, None),
        ],
    )
    fine(WED, "orders", on_its_way, "--received", came, "--replace")
    assert to_come(on_its_way) == {("PO-1", "PAN-14"): 3}
    assert law_holds(on_its_way)


def test_a_closing_books_what_came_beyond_instead_and_unasked(on_its_way: Path) -> None:
    fine(WED, "week", on_its_way, "--week", "2026-W49", "--force")
    path = fill(on_its_way / "reports" / "returns-2026-W49.xlsx", "Done", lambda _row: {"done": "yes"})

    def came(row: dict) -> dict:
        if row["part"] == "CLIP":
            return {"received": 25, "received on": WED}
        return {"received": 1, "finished": "yes", "note": "the rest is not made any more"}

    fill(path, "Deliveries", came)
    assert "order-not-listed" in refused(FRI, "close", on_its_way, "--week", "2026-W49")
    fill(path, "Deliveries", lambda row: {"note": "a full box"} if row["part"] == "CLIP" else {})
    add(path, "Deliveries", part="TIE", received=100, received_on=WED, note="a sample")
    fine(FRI, "close", on_its_way, "--week", "2026-W49", "--replace")
    booked = lines(on_its_way)
    assert (booked[CLIP].received, booked[CLIP].unasked) == (20, 5)
    assert (booked["PO-1", "PAN-14"].received, booked["PO-1", "PAN-14"].cancelled) == (1, 3)
    assert booked["", "TIE"].unasked == 100
    assert to_come(on_its_way) == {}
    fine(FRI, "ledger", "--in", on_its_way, "--undo", "2026-W49", "--replace")
    assert to_come(on_its_way) == {CLIP: 20, ("PO-1", "PAN-14"): 4}
    assert law_holds(on_its_way)


def test_goods_sent_back_for_replacement_are_to_come_again(on_its_way: Path) -> None:
    fine(WED, "orders", on_its_way, "--received", REFERENCE, "--replace")
    fine(
        WED,
        "orders",
        on_its_way,
        "--send-back",
        f"{REFERENCE}/1",
        "--quantity",
        4,
        "--reason",
        "bent",
        "--replace",
    )
    assert to_come(on_its_way)[CLIP] == 4
    assert law_holds(on_its_way)
    (row,) = (row for row in on_order(on_its_way) if row["part"] == "CLIP")
    assert (row["due"], row["note"]) == (datetime(2026, 12, 4), "bent")


def test_a_credit_is_expected_until_it_comes_or_is_written_off(on_its_way: Path) -> None:
    fine(WED, "orders", on_its_way, "--received", REFERENCE, "--replace")
    words = ("orders", on_its_way, "--send-back", f"{REFERENCE}/CLIP", "--quantity", 4, "--expect", "credit")
    fine(WED, *words, "--reason", "bent", "--replace")
    said = flowing(fine(WED, "orders", on_its_way))
    assert f"{REFERENCE}, line 1: 4 each of CLIP went back. When does the credit come?" in said
    assert CLIP not in to_come(on_its_way)
    fine(FRI, "orders", on_its_way, "--credited", REFERENCE, "--quantity", 3, "--replace")
    assert lines(on_its_way)[CLIP].credit == 1
    fine(FRI, "orders", on_its_way, "--write-off", REFERENCE, "--reason", "not worth it", "--replace")
    assert "Credit expected" not in fine(FRI, "orders", on_its_way)


def test_more_than_came_is_not_sent_back(on_its_way: Path) -> None:
    fine(WED, "orders", on_its_way, "--received", REFERENCE, "--quantity", 5, "--replace")
    words = ("orders", on_its_way, "--send-back", f"{REFERENCE}/1", "--quantity", 6, "--reason", "bent")
    assert "sent-back-more" in refused(WED, *words)


def test_lead_times_that_are_too_short_are_noticed(folder: Path) -> None:
    """Three orders of a part that is to take 2 working days take 6: the shelf is empty before each."""
    stock = folder / "stock.xlsx"
    for reference in (REFERENCE, f"{REFERENCE}-2", f"{REFERENCE}-3"):
        planned(folder)
        words = ("orders", folder, "--placed", reference, "--replace", "--take-differences")
        fine(FRIDAY_BEFORE, *words)
        fine(NEXT_MON, "orders", folder, "--received", reference, "--replace")
        book = openpyxl.load_workbook(stock)
        book["Stock"]["D2"] = 0
        book.save(stock)
    told = flowing(call(NEXT_MON, "orders", folder, "--record").stderr)
    assert "notice lead-time-optimistic at stock.xlsx!Stock!K2" in told
    assert "The lead time of CLIP is 2 working days by the sheet; 3 of 3 lines that came in a year" in told
    assert "lead-time-optimistic" in fine(NEXT_MON, "week", folder, "--week", "2026-W50", "--json")


# --- answers -------------------------------------------------------------------------------------------


def test_an_answer_is_shown_first_and_booked_only_when_asked(on_its_way: Path) -> None:
    path = on_its_way / "answer.xml"
    path.write_bytes(response(line(1, 0, status=7)))
    before = unchanged(on_its_way)
    said = flowing(fine(TUE, "orders", on_its_way, "--answer", path))
    assert f"{REFERENCE}, line 1, CLIP: refused; 20 each will not come." in said
    assert "J-101, Tue 2026-12-01: becomes short; it could be done on Thu 2026-12-03" in said
    assert "J-200, Mon 2026-12-07: becomes to be ordered for" in said
    assert "Nothing is booked; --post books it." in said
    assert unchanged(on_its_way) == before
    fine(TUE, "orders", on_its_way, "--answer", path, "--post", "--replace")
    assert CLIP not in to_come(on_its_way)
    assert law_holds(on_its_way)


def test_an_answer_without_lines_accepts_or_refuses_all(on_its_way: Path) -> None:
    path = on_its_way / "answer.xml"
    path.write_bytes(response(code="AP"))
    said = flowing(fine(TUE, "orders", on_its_way, "--answer", path, "--post", "--replace"))
    assert f"{REFERENCE}, line 1, CLIP: accepted." in said
    assert lines(on_its_way)[CLIP].answered == TUE
    path.write_bytes(response(code="RE"))
    fine(TUE, "orders", on_its_way, "--answer", path, "--post", "--replace")
    assert CLIP not in to_come(on_its_way)


@pytest.mark.parametrize(
    ("text", "price"),
    [("order,supplier part,quantity,due,price\n{0},N-77,20,2026-12-02,0.12\n", Fraction("0.12")),
     ("Your order;Article;Qty;Delivery date\n{0};N-77;20;2026-12-02\n", Fraction("0.1"))],
)  # fmt: skip
def test_a_plain_csv_names_lines_by_the_suppliers_part(on_its_way: Path, text: str, price: Fraction) -> None:
    path = csv_file(on_its_way / "answer.csv", text.format(REFERENCE))
    fine(TUE, "orders", on_its_way, "--answer", path, "--post", "--replace")
    line = lines(on_its_way)[CLIP]
    assert (line.answered, line.due, Fraction(line.price or 0)) == (TUE, date(2026, 12, 2), price)


@pytest.mark.parametrize(
    ("document", "code"),
    [
        (response(line(1, 20), order="PO-9999"), "answer-not-placed"),
        (response(line(7, 20, part="")), "answer-not-placed"),
        (response(line(1, 20), line(1, 20)), "order-line-doubled"),
        (response(line(1, 2, unit="NMP")), "answer-unit"),
        (response(line(1, 2, unit="XBX")), "answer-unit"),
        (response(line(1, 20, price="0.12", currency="USD")), "answer-currency"),
        (response(line(1, 20), buyer="Another Workshop"), "answer-other-buyer"),
        (response(line(1, -5)), "number-negative"),
        (response(line(1, "many")), "number-unreadable"),
        (response(line(1, 20, due="2026-11-20")), "order-date-past"),
        (response(line(1, 20, due="soon")), "date-unreadable"),
        (response(line(1, 20, substitute=True)), "answer-substitute"),
        (b"<Invoice/>", "answer-unreadable"),
        (b"<Order", "file-broken"),
        (b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hostname">]><a>&b;</a>', "file-suspect"),
        ('<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE a []><a/>'.encode("utf-16"), "file-suspect"),
    ],
)
def test_an_answer_that_cannot_be_ours_is_refused_whole(on_its_way: Path, document: bytes, code: str) -> None:
    path = on_its_way / "answer.xml"
    path.write_bytes(document)
    before = unchanged(on_its_way)
    said = refused(TUE, "orders", on_its_way, "--answer", path, "--post", "--replace")
    assert f"error {code} at answer.xml" in said
    assert unchanged(on_its_way) == before


def test_less_in_all_than_came_already_is_refused(on_its_way: Path) -> None:
    fine(WED, "orders", on_its_way, "--received", REFERENCE, "--quantity", 15, "--replace")
    path = csv_file(on_its_way / "answer.csv", f"order,line,quantity\n{REFERENCE},1,10\n")
    assert "answer-below-received" in refused(WED, "orders", on_its_way, "--answer", path)


def test_a_table_without_an_order_is_no_answer(on_its_way: Path) -> None:
    path = csv_file(on_its_way / "answer.csv", "a,b\n1,2\n")
    assert "answer-unreadable" in refused(WED, "orders", on_its_way, "--answer", path)
