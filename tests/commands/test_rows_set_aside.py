"""Rows of stock that are set aside: said to be so, never to be "not in stock", and ordered from nobody."""

import json
from pathlib import Path

import pytest
from misread_shop import HEADINGS, STOCK, call, flowing, shop
from openpyxl import load_workbook


def with_rows(**changed: tuple) -> tuple:
    """The stock with the rows of some parts exchanged for others: ``SP_100=(row, row)``."""
    swapped = {name.replace("_", "-"): rows for name, rows in changed.items()}
    return (HEADINGS, *(row for own in STOCK for row in swapped.get(own[0], (own,))))


SPACER_ASIDE = with_rows(
    SP_100=(("SP-100", "Spacer 1 in", None, "C-2", "forty", "each", "ARDEN", 3),), SP_050=()
)
"""Row 6 has words for a number; no other spacer makes two steps."""
BOLT_ASIDE = with_rows(
    B14_225=(),
    B14_250=(("B14-250", "SHCS 1/4-20 x 2-1/2", "ASTM A574", "B-20", "twenty", "each", "ARDEN", 3),),
    B14_275=(),
)
"""Row 3; the only bolt of the length that is asked for, and of any that fits."""
ONE_BIN_ASIDE = with_rows(
    SP_100=(
        ("SP-100", "Spacer 1 in", None, "C-2", 1, "each", "ARDEN", 3),
        ("SP-100", "Spacer 1 in", None, "D-40", "n/a", "each", "ARDEN", 3),
    ),
    SP_050=(),
)
"""Row 6 is sound, row 7 is not."""


def report_texts(path: Path) -> dict[str, str]:
    """The text of each sheet of a workbook, on one line."""
    book = load_workbook(path)
    return {
        sheet.title: " ".join(
            str(cell) for row in sheet.iter_rows(values_only=True) for cell in row if cell is not None
        )
        for sheet in book
    }


def test_a_part_whose_rows_all_have_faults_is_set_aside_and_not_missing_from_stock(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", stock=SPACER_ASIDE)
    said = flowing(call("check", "J-4109", "--in", folder, status=1))
    assert "row 6 is set aside (cell E6): mend it before you order" in said
    assert "stock does not list it" not in said
    assert "not listed" not in said
    assert "on hand 0" not in said
    assert "can never be had in time" not in said


def test_why_says_it_too(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", stock=SPACER_ASIDE)
    said = flowing(call("why", "SP-100", "--in", folder, status=0))
    assert "row 6 is set aside (cell E6), bin C-2 [stock.xlsx!Stock!E6]" in said
    assert "not ordered: mend it first" in said
    assert "does not list" not in said
    job = flowing(call("why", "J-4109", "--in", folder, status=0))
    assert "takes 1: SP-100 [row 6 is set aside (cell E6)]" in job


def test_it_is_kept_off_the_orders_under_a_heading_of_its_own(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", stock=SPACER_ASIDE)
    said = flowing(call("week", folder, status=1))
    assert "Not ordered: mend these rows of stock first" in said
    assert "2 each SP-100 row 6 is set aside (cell E6)" in said
    assert "no supplier named" not in said
    sheets = report_texts(folder / "reports" / "order-2026-W49.xlsx")
    assert "SP-100" in sheets["To mend first"]
    assert "E6" in sheets["To mend first"]
    assert [name for name, text in sheets.items() if "SP-100" in text and name != "Jobs at risk"] == [
        "To mend first"
    ]
    assert "Nothing needs to be ordered." in sheets["Summary"]


def test_card_and_report_say_it_too(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", stock=SPACER_ASIDE)
    call("week", folder, status=1)
    page = (folder / "reports" / "bench-2026-W49.html").read_text("utf-8")
    assert "2 of SP-100: row 6 is set aside (cell E6): mend it before you order" in page
    shortfalls = report_texts(folder / "reports" / "report-2026-W49.xlsx")["Shortfalls"]
    assert "row set aside: to mend first" in shortfalls


def test_the_result_for_programs_orders_none_and_names_the_cell(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", stock=SPACER_ASIDE)
    told = json.loads(call("week", folder, "--json", status=1))
    (part,) = [part for part in told["parts"] if part["part"] == "SP-100"]
    assert (part["new"], part["shortfall"], part["order"], part["packs"]) == (False, 2, 0, 0)
    assert (part["required_by"], part["order_by"], part["late"]) == (None, None, False)
    assert part["set_aside"] == ["stock.xlsx!Stock!E6"]
    (fault,) = [fault for fault in told["problems"] if fault["code"] == "part-set-aside"]
    assert fault["where"] == "stock.xlsx!Stock!E6"
    unlisted = [fault["says"] for fault in told["problems"] if fault["code"] == "part-not-listed"]
    assert [says.split(",")[0] for says in unlisted] == ["Stock does not list SP-050"]


def test_a_bolt_that_is_asked_for_by_its_size_is_known_in_the_row_that_is_set_aside(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", stock=BOLT_ASIDE)
    said = flowing(call("check", "J-4109", "--in", folder, status=1))
    assert "B14-250, row 3, is set aside (cell E3): mend it before you order" in said
    assert "not listed" not in said
    week = flowing(call("week", folder, status=1))
    assert "Not ordered: mend these rows of stock first" in week
    assert "no supplier named" not in week
    refused = flowing(call("why", "B14-250", "--in", folder, status=2))
    assert "B14-250, row 3, is set aside (cell E3)" in refused


def test_bins_set_aside_are_named_where_other_bins_are_sound(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", stock=ONE_BIN_ASIDE)
    why = flowing(call("why", "SP-100", "--in", folder, status=0))
    assert "bin C-2: 1 each [stock.xlsx!Stock!E6]" in why
    assert "row 7 is set aside (cell E7), bin D-40 [stock.xlsx!Stock!E7]" in why
    week = flowing(call("week", folder, status=1))
    assert "at risk: J-4109 not counted: bin D-40, row 7, set aside (cell E7)" in week
    check = flowing(call("check", "J-4109", "--in", folder, status=1))
    assert "on hand 1; not counted: bin D-40, row 7, set aside (cell E7)" in check
    lines = report_texts(folder / "reports" / "order-2026-W49.xlsx")["Our lines"]
    assert "bin D-40, row 7, set aside (cell E7)" in lines


@pytest.mark.parametrize("words", [("check", "J-4109", "--in"), ("week",)])
def test_a_part_that_stock_does_not_list_is_still_said_not_to_be(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    folder = shop(tmp_path / "shop", stock=with_rows(SP_100=(), SP_050=()))
    assert "set aside" not in call(*words, folder, status=1)
    assert "stock does not list it" in call("check", "J-4109", "--in", folder, status=1)
