"""What is left of a job that is part done, by hand: 2 stacks of 1 in a side, in pieces of 1 in and 1/2 in."""

from datetime import date
from fractions import Fraction

import pytest
from workshop import joint

from reconcile.plan.needs.left import begun, lines_left
from reconcile.values.frames.frame import SpacerKind
from reconcile.values.ledger.jobs import JobBooked, JobLine, JobRow
from reconcile.values.measure import inches
from reconcile.values.stock.lines import LineKey
from reconcile.values.week.jobs import Choice, Line

JOINT = joint(stacks=2, spacers=(SpacerKind("SP-100", inches(1)), SpacerKind("SP-050", inches("0.5"))))
BOLT = Choice((("B-300", Fraction(1)),))
STACK = Choice((("SP-100", Fraction(1)),))


def line(do="fit", what="bolt", quantity=4, **given):
    plain = {
        "name": "upper front",
        "side": "left",
        "unit": "each",
        "length": None,
        "choices": (),
        "joint": JOINT,
    }
    return Line(do, what, quantity=Fraction(quantity), **(plain | given))


BOLTS = line(choices=(BOLT,), length=inches(3))
STACKS = line(what="spacer", quantity=2, choices=(STACK,), length=inches(1))


def row(of, part, **said):
    """A booked row of a line: used, returned, scrapped as given."""
    figures = {
        name: Fraction(value) if name in ("used", "returned", "scrapped") else value
        for name, value in said.items()
    }
    return JobLine(LineKey(of.do, of.what, of.name, of.side), part, "each", Fraction(4), **figures)


def booked(*rows):
    return JobBooked(JobRow("J-1", date(2026, 12, 1)), rows)


def left(lines, chairs, *closings):
    found = lines_left(lines, chairs, closings)
    return [(each.what, each.chair, each.quantity) for each in found.lines]


def test_nothing_booked_leaves_all_for_every_chair():
    assert left([BOLTS], 2, booked()) == [("bolt", 2, 4), ("bolt", 1, 4)]


def test_what_was_used_counts_whichever_part_it_was_and_several_closings_add_up():
    one, other = booked(row(BOLTS, "B-300", used=1)), booked(row(BOLTS, "B-325", used=2))
    assert left([BOLTS], 1, one, other) == [("bolt", 1, 4 - 1 - 2)]


def test_what_is_left_of_several_chairs_lies_on_the_last_ones():
    # Three chairs take 12; 5 are in: 4 in the first, 1 in the second, so 3 and 4 are left.
    assert left([BOLTS], 3, booked(row(BOLTS, "B-300", used=5))) == [("bolt", 3, 4), ("bolt", 2, 3)]


def test_what_was_spoilt_is_still_to_be_fitted_and_more_than_planned_leaves_nothing():
    assert left([BOLTS], 1, booked(row(BOLTS, "B-300", used=2, scrapped=2))) == [("bolt", 1, 2)]
    assert left([BOLTS], 1, booked(row(BOLTS, "B-300", used=6))) == []


@pytest.mark.parametrize(
    ("used", "expected"),
    [
        ({"SP-100": 1}, 1),  # one stack of two
        ({"SP-050": 1}, 2),  # half a stack is no stack
        ({"SP-050": 3}, 1),  # 1 1/2 in: one stack and a piece
        ({"SP-100": 1, "SP-050": 2}, 0),
    ],
)
def test_spacers_count_by_whole_stacks(used, expected):
    rows = [row(STACKS, part, used=count) for part, count in used.items()]
    assert sum(quantity for _, _, quantity in left([STACKS], 1, booked(*rows))) == expected


def test_pieces_that_come_off_count_by_piece():
    off = line("remove", "spacer", 4, pieces=(("SP-100", Fraction(2)), ("SP-050", Fraction(2))))
    closing = booked(row(off, "SP-100", returned=1, scrapped=1), row(off, "SP-050", returned=1))
    (found,) = lines_left([off], 1, [closing]).lines
    assert (found.quantity, found.pieces) == (1, (("SP-050", 1),))
    two = lines_left([off], 2, [closing]).lines[0]
    assert (two.quantity, two.pieces) == (8 - 3, (("SP-100", 2), ("SP-050", 3)))


def test_stacks_that_nobody_knows_count_by_step():
    # From 3 steps to 1 on 2 stacks: 4 steps come off; the close-out prints the 3 that are on the side.
    off = line("remove", "spacer", 4, steps=3, look_first=True)
    told = {"came_off": "two thick, one thin"}
    assert left([off], 1, booked(row(off, "", steps=3, **told))) == []
    assert left([off], 1, booked(row(off, "", steps=1, **told))) == [("spacer", 0, 3)]
    assert left([off], 1, booked(row(off, "", steps=3))) == [("spacer", 0, 4)], "nothing was said of it"


def test_an_extra_is_its_own_line_by_its_part():
    nut, glue = (line(what="extra", choices=(Choice(((part, Fraction(1)),)),)) for part in ("NUT", "GLUE"))
    assert left([nut, glue], 1, booked(row(nut, "NUT", used=4))) == [("extra", 1, 4)]


def test_a_row_of_no_line_is_strange_and_counts_for_none():
    stray = row(line(name="elsewhere"), "TIE", used=1)
    found = lines_left([BOLTS], 1, [booked(stray)])
    assert (found.strange, found.lines[0].quantity) == ((stray,), 4)


def test_all_booked_leaves_nothing():
    assert lines_left([BOLTS], 1, [booked(row(BOLTS, "B-300", used=4))]).nothing


def test_a_bolt_is_out_where_the_new_one_is_in_though_nobody_writes_down_bolts_that_are_thrown_away():
    off = line("remove")
    assert left([off, BOLTS], 1, booked(row(BOLTS, "B-300", used=3))) == [("bolt", 0, 1), ("bolt", 1, 1)]
    assert left([off, BOLTS], 1, booked(row(BOLTS, "B-300", used=4))) == []
    other_side = line("remove", side="right")
    assert left([other_side], 1, booked(row(BOLTS, "B-300", used=4))) == [("bolt", 0, 4)]


def in_already(lines, *closings):
    return list(begun(lines, lines_left(lines, 1, closings).lines, closings))


def test_what_is_in_a_joint_that_is_begun_is_told_by_side_and_part():
    right = line(side="right", choices=(BOLT,), length=inches(3))
    some = booked(row(BOLTS, "B-300", used=3), row(BOLTS, "B-325", used=1))
    # The left is whole, but the right goes with it.
    assert in_already([BOLTS, right], some) == [("upper front", "left 3 x B-300 + 1 x B-325")]
    assert in_already([BOLTS], some) == [], "nothing goes in beside it any more"
    assert in_already([BOLTS, right], booked()) == []
    assert in_already([BOLTS], booked(row(BOLTS, "B-300", scrapped=1))) == []
