"""Many problems of a kind are one line with its cells; what makes a chair wrong stands first."""

import pytest
import weeks
from openpyxl import load_workbook

from reconcile.reports.week.book import write_report
from reconcile.reports.week.folded import cells_text, folded, ranked
from reconcile.values.catalogue import CHAIR_CODES, CODES, NOTICE, PRICE_CODES, SAID_WHOLE
from reconcile.values.problem import Place, problem


def at(cell: str, code: str = "currency-unknown", says: str = "The price has no currency.", **given):
    return problem(code, Place("stock.xlsx", "Stock", cell), says, **given)


def priced(number: int):
    return at(f"Q{number}", says=f"The price {number} of P-{number} has no currency.")


def test_a_missing_currency_on_each_row_is_one_line_with_its_cells():
    found = [priced(row) for row in (*range(2, 60), *range(62, 114))]
    (line,) = folded(found)
    assert len(found) == 110
    assert line.under == tuple(found)
    assert line.rows == 111
    assert str(line.head.place) == "stock.xlsx!Stock!Q2 to Q59, Q62 to Q113 (110 cells)"
    assert line.head.says.endswith("The first: The price 2 of P-2 has no currency.")
    assert line.head.says.startswith(CODES["currency-unknown"].means)
    assert line.head.do == found[0].do


def test_two_that_say_the_same_are_one_and_two_that_do_not_are_two():
    assert [line.rows for line in folded([at("Q2"), at("Q3")])] == [3]
    assert [line.rows for line in folded([priced(2), priced(3)])] == [1, 1]
    assert [line.rows for line in folded([priced(2), priced(3), priced(4)])] == [4]


def test_other_columns_sheets_and_cures_are_lines_of_their_own():
    found = [at("Q2"), at("R3"), at("Q4", do="Ask the supplier."), at("Q5", "price-zero")]
    assert [line.rows for line in folded(found)] == [1, 1, 1, 1]
    key = problem("frame-gap", Place("A.toml", "", "adjustment[1]"), "A gap.")
    assert str(folded([key])[0].head.place) == "A.toml!adjustment[1]"


def test_no_problem_is_lost_by_folding():
    found = [
        *map(priced, range(2, 9)),
        at("K3", "cell-blank"),
        at("E5", "sides-differ"),
        at("K4", "cell-blank"),
    ]
    lines = folded(found)
    shown = [each for line in lines for each in (line.under or (line.head,))]
    assert sorted(map(str, shown)) == sorted(map(str, found))


def test_what_makes_a_chair_wrong_comes_before_what_only_costs_a_price():
    notice, error, price = at("E5", "sides-differ"), at("K3", "cell-blank"), at("Q2", "currency-unknown")
    wrong = at("F7", "length-unreadable")
    assert ranked([price, error, notice, wrong]) == [wrong, notice, error, price]


def test_stretches_of_cells_are_named_as_stretches():
    places = [Place("s", "Stock", cell) for cell in ("K14", "K15", "K16", "L17", "K20")]
    assert cells_text(places) == "K14 to K16, L17, K20 (5 cells)"
    far = [Place("s", "Stock", f"K{row}") for row in range(2, 60, 2)]
    assert cells_text(far).endswith("K24 and 17 more stretches (29 cells)")


def test_the_turns_are_those_of_codes_that_are_raised():
    assert set(CODES) >= CHAIR_CODES | PRICE_CODES
    assert not CHAIR_CODES & PRICE_CODES


def test_what_the_screen_says_whole_are_notices_of_what_makes_a_chair_wrong():
    assert SAID_WHOLE < CHAIR_CODES
    assert {CODES[code].severity for code in SAID_WHOLE} == {NOTICE}


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    path = tmp_path_factory.mktemp("folded") / "report.xlsx"
    found = (*map(priced, range(2, 112)), at("E5", "sides-differ", "The sides will differ by one step."))
    write_report(weeks.week(problems=found), path)
    return load_workbook(path)["Problems"]


def test_the_sheet_has_them_folded_under_their_line(sheet):
    rows = list(sheet.iter_rows(min_row=2, max_col=3, values_only=True))
    assert len(rows) == 112
    assert rows[0][1:] == ("stock.xlsx!Stock!E5", "The sides will differ by one step.")
    assert rows[1][1] == "stock.xlsx!Stock!Q2 to Q111 (110 cells)"
    hidden = [row for row in range(2, 114) if sheet.row_dimensions[row].hidden]
    assert hidden == list(range(4, 114))
    assert {sheet.row_dimensions[row].outlineLevel for row in hidden} == {1}
    assert [row for row in range(2, 114) if sheet.row_dimensions[row].collapsed] == [3]
    assert sheet.sheet_properties.outlinePr.summaryBelow is False
    assert [row[1] for row in rows[2:4]] == ["stock.xlsx!Stock!Q2", "stock.xlsx!Stock!Q3"]
