"""Count sheets read back: amounts with units, blanks that are no zeros, and every fault at its cell."""

from fractions import Fraction

import pytest
from books import workbook
from count_cases import part, stock

from reconcile.sheets.counts.rows import read_count
from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings

SHELVES = stock(
    part("SP-050", ("A1", 10), ("A2", 5), pack=Fraction(25)),
    part("TUBE", ("A1", 3), unit="ft"),
    part("00417", ("", 3)),
)
HEAD = [["Count sheet"], ["week", "2026-W49"], ["sheet", "2026-W49-0a1b2c3d"], ["stock", "d" * 64], []]
NAMES = ["bin", "part", "unit", "counted", "empty bin seen", "counted by", "remark", "check"]


def read(tmp_path, *rows, head=HEAD, names=NAMES, week="2026-W49", **settings):
    """The rows stand from row 7 on; bin is column A, counted D, the tick E."""
    path = workbook(tmp_path / "count.xlsx", Count=[*head, names, *rows])
    return read_count(open_book(path), SHELVES, Settings(**settings), week)


def counts(found):
    return [(each.part, each.bin, each.counted) for each in found.back.rows]


def told(found):
    return [(each.code, each.place.cell) for each in found.problems]


@pytest.mark.parametrize(
    ("number", "name", "typed", "expected"),
    [
        ("SP-050", "A1", 12, 12),
        ("SP-050", "A1", "12", 12),
        ("SP-050", "A1", "2 packs", 50),
        ("SP-050", "A1", "1 dozen", 12),
        ("SP-050", "A1", 0, 0),
        ("TUBE", "A1", "1 1/2 ft", Fraction(3, 2)),
        ("TUBE", "A1", "1½", Fraction(3, 2)),
        ("TUBE", "A1", "18 in", Fraction(3, 2)),
        ("00417", "", 3, 3),
        ("SP-050", "a2", 4, 4),
    ],
)
def test_amounts(tmp_path, number, name, typed, expected):
    found = read(tmp_path, [name or None, number, None, typed, None, "KM"])
    bin_name = {"a2": "A2"}.get(name, name)
    assert (counts(found), told(found)) == ([(number, bin_name, expected)], [])


def test_a_decimal_comma_only_if_declared(tmp_path):
    assert counts(read(tmp_path, ["A1", "TUBE", "ft", "1,5"], decimal=",")) == [
        ("TUBE", "A1", Fraction(3, 2))
    ]
    assert told(read(tmp_path, ["A1", "TUBE", "ft", "1,234"])) == [("number-ambiguous", "D7")]


def test_a_blank_is_not_counted_and_a_tick_is_a_zero(tmp_path):
    found = read(
        tmp_path, ["A1", "SP-050"], ["A2", "SP-050", "each", None, "x"], ["A1", "TUBE", "ft", None, "no"]
    )
    assert counts(found) == [("SP-050", "A1", None), ("SP-050", "A2", 0), ("TUBE", "A1", None)]
    assert told(found) == [("count-blank", "D7"), ("count-blank", "D9")]
    assert found.problems[0].says == "SP-050 in A1 has no count."


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        (["A1", "SP-050", "each", "about 20"], ("number-unreadable", "D7")),
        (["A1", "SP-050", "each", -3], ("number-negative", "D7")),
        (["A1", "SP-050", "each", "3 mL"], ("unit-mismatch", "D7")),
        (["A1", "SP-050", "each", True], ("number-unreadable", "D7")),
        (["A1", "SP-05O", "each", 3], ("count-line-unknown", "B7")),
        (["Z9", "SP-050", "each", 3], ("count-line-unknown", "A7")),
        ([None, "SP-050", "each", 3], ("count-line-unknown", "A7")),
        (["A1", None, "each", 3], ("cell-blank", "B7")),
        (["A1", "SP-050", "mL", 3], ("unit-mismatch", "C7")),
        (["A1", "SP-050", "blip", 3], ("unit-unknown", "C7")),
        (["A1", "SP-050", "each", 3, "yes"], ("count-contradicted", "D7")),
        (["A1", "SP-050", "each", 3, "perhaps"], ("count-tick-unread", "E7")),
    ],
)
def test_a_faulty_row_is_set_aside_at_its_cell(tmp_path, row, fault):
    found = read(tmp_path, row, ["A2", "SP-050", "each", 5])
    assert told(found) == [fault]
    assert counts(found) == [("SP-050", "A2", 5)]
    assert (found.tally.read, found.tally.used, found.tally.set_aside) == (2, 1, 1)


def test_a_zero_beside_a_tick_agrees(tmp_path):
    assert counts(read(tmp_path, ["A1", "SP-050", "each", 0, "yes"])) == [("SP-050", "A1", 0)]


def test_an_unknown_part_or_bin_names_what_there_is(tmp_path):
    found = read(tmp_path, ["A1", "SP-05O", "each", 3], ["Z9", "SP-050", "each", 3])
    assert [each.says for each in found.problems] == [
        "Stock does not list the part SP-05O; there is SP-050.",
        "Stock does not list SP-050 in Z9; its bins: A1, A2.",
    ]


def test_doubled_rows_are_all_set_aside(tmp_path):
    found = read(
        tmp_path, ["A1", "SP-050", "each", 3], ["A2", "SP-050", "each", 4], ["a1", "SP-050", "each", 5]
    )
    assert told(found) == [("count-doubled", "B7"), ("count-doubled", "B9")]
    assert found.problems[0].says == "SP-050 in A1 stands in row 9 too."
    assert counts(found) == [("SP-050", "A2", 4)]
    assert found.tally.set_aside == 2


def test_another_weeks_sheet_is_refused(tmp_path):
    with pytest.raises(Unusable) as refused:
        read(tmp_path, ["A1", "SP-050", "each", 3], week="2026-W50")
    (found,) = refused.value.problems
    assert (found.code, found.found) == ("count-other-week", "2026-W49")
    assert "--week 2026-W49" in found.do


def test_a_sheet_that_does_not_say_which_it_is_is_refused(tmp_path):
    with pytest.raises(Unusable) as refused:
        read(tmp_path, ["A1", "SP-050", "each", 3], head=[["week", "2026-W49"]])
    (found,) = refused.value.problems
    assert found.code == "count-mark-missing"
    assert "no sheet and no stock" in found.says


def test_columns_may_stand_in_any_order_and_remarks_are_kept(tmp_path):
    found = read(tmp_path, ["dented", 3, "SP-050", "A1"], names=["Remark", "Counted", "Part", "Bin"])
    (line,) = found.back.rows
    assert (line.counted, line.remark, line.check) == (3, "dented", "")
