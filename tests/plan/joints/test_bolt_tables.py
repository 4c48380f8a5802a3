"""Tables of bolt lengths by step, worked by hand."""

from dataclasses import replace
from fractions import Fraction

from workshop import M6, frame, inch, joint, seat_width, spacer_kinds, window

from reconcile.plan.joints.bolt_tables import MOST_ROWS, bolt_table, step_cuts, tables_of
from reconcile.values.frames.sections import FRAME_PARTS, GOES_IN, HOLDS, KEPT, OPTION
from reconcile.values.measure import length_text

NONE: frozenset[str] = frozenset()
RIGGED = frozenset({"front rigging"})
FRONT = joint(**window("3/8", "5/8"), lengthen=(("front rigging", inch("1/4")),))


def texts(table, name: str) -> list[str]:
    return [length_text(getattr(row, name), "in") for row in table.rows]


def test_bolt_grip_and_size_grow_with_the_steps() -> None:
    table = bolt_table(FRONT, seat_width(FRONT), NONE)
    assert [row.steps for row in table.rows] == [0, 1, 2, 3, 4, 5, 6]
    assert texts(table, "size") == ["14 in", "15 in", "16 in", "17 in", "18 in", "19 in", "20 in"]
    assert texts(table, "length")[:3] == ["1 1/2 in", "2 in", "2 1/2 in"]
    assert texts(table, "grip")[:3] == ["1 in", "1 1/2 in", "2 in"]
    assert {length_text(row.engagement, "in") for row in table.rows} == {"1/2 in"}
    first = table.rows[0].window
    assert (length_text(first.shortest, "in"), length_text(first.longest, "in")) == ("1 3/8 in", "1 5/8 in")


def test_an_option_lengthens_bolt_and_grip() -> None:
    table = bolt_table(FRONT, seat_width(FRONT), RIGGED)
    assert (table.options, texts(table, "length")[0], texts(table, "grip")[0]) == (
        ("front rigging",), "1 3/4 in", "1 1/4 in",
    )  # fmt: skip


def test_spacers_are_the_fewest_pieces_that_add_up() -> None:
    rows = bolt_table(FRONT, seat_width(FRONT), NONE).rows
    assert [row.stack for row in rows[:4]] == [
        (), (("SP-050", 1),), (("SP-100", 1),), (("SP-050", 1), ("SP-100", 1)),
    ]  # fmt: skip


def test_spacers_that_cannot_add_up_are_told_from_none() -> None:
    odd = joint(spacers=spacer_kinds(SP_100="1"))
    assert [row.stack for row in bolt_table(odd, seat_width(odd), NONE).rows[:3]] == [
        (),
        None,
        (("SP-100", 1),),
    ]


def test_a_length_that_is_not_made_names_the_one_to_buy() -> None:
    metric = joint(
        thread=M6, length=Fraction(30), per_step=Fraction("12.5"), grip=Fraction(18),
        engagement=window("0", "0")["engagement"], spacers=(),
    )  # fmt: skip
    held = replace(metric, engagement=replace(metric.engagement, minimum=Fraction(9), maximum=Fraction(16)))
    sizes = seat_width(held, minimum=Fraction(350), maximum=Fraction(375), step=Fraction("12.5"))
    rows = bolt_table(held, sizes, NONE).rows
    assert [(row.length, row.preferred, row.to_buy) for row in rows] == [
        (30, True, 30),
        (Fraction("42.5"), False, 45),
    ]


def test_a_head_without_a_list_is_not_judged() -> None:
    hexagon = joint(head="hex")
    assert {row.preferred for row in bolt_table(hexagon, seat_width(hexagon), NONE).rows} == {None}


def test_the_last_steps_of_an_odd_number_of_them_have_no_even_size() -> None:
    sizes = seat_width(FRONT, maximum=inch("15 1/2"))
    assert [row.size is None for row in bolt_table(FRONT, sizes, NONE).rows] == [False, False, True]


def test_a_plain_shank_longer_than_the_grip_is_marked() -> None:
    # ASME B18.3: 1/4-20 is threaded for 1 in, so a bolt of 3 in has 2 in of plain shank.
    short = joint(length=inch("3"), grip=inch("1"))
    assert bolt_table(short, seat_width(short), NONE).rows[0].shank_bottoms


def test_very_many_steps_are_cut_short_and_counted() -> None:
    sizes = seat_width(FRONT, sides=1, maximum=inch("14") + 1000 * inch("1/2"))
    table = bolt_table(FRONT, sizes, NONE)
    assert (len(table.rows), table.left_out) == (MOST_ROWS, 1001 - MOST_ROWS)


def test_without_options_each_joint_has_a_table_for_every_option_that_lengthens_it() -> None:
    ((shown),) = tables_of(frame(seat_width(FRONT, joint(name="rear"))))
    assert [(each.joint.name, each.options) for each in shown.tables] == [
        ("upper front", ()), ("upper front", ("front rigging",)), ("rear", ()),
    ]  # fmt: skip


def test_with_options_each_joint_has_one_table() -> None:
    ((shown),) = tables_of(frame(seat_width(FRONT, joint(name="rear"))), RIGGED)
    assert [each.options for each in shown.tables] == [("front rigging",), ()]


def test_a_cut_shows_each_step_to_the_next() -> None:
    cuts = step_cuts(FRONT, seat_width(FRONT), RIGGED)
    assert len(cuts) == 6
    third = cuts[2]
    (after,) = third.after
    assert [(each.kind, length_text(each.thickness, "in")) for each in after.slices] == [
        (FRAME_PARTS, "1 in"), (OPTION, "1/4 in"), (KEPT, "1 in"), (GOES_IN, "1/2 in"),
    ]  # fmt: skip
    assert (third.before.grip, after.grip) == (inch("2 1/4"), inch("2 3/4"))
    assert (third.before.length, after.length) == (inch("2 3/4"), inch("3 1/4"))
    assert (third.before.verdict, after.verdict) == (HOLDS, HOLDS)


def test_a_joint_that_is_not_built_up_has_one_cut() -> None:
    hole_row = joint(**window("3/8", "5/8"), per_step=Fraction(0), spacers=(), reuse=True)
    (only,) = step_cuts(hole_row, seat_width(hole_row), NONE)
    assert (only.own_bolt, only.before.length, only.after[0].length) == (True, inch("1 1/2"), inch("1 1/2"))


def test_a_joint_without_a_grip_says_why_it_is_not_drawn() -> None:
    bare = joint()
    (only,) = step_cuts(bare, seat_width(bare), NONE)
    assert only.before is None
    assert "no grip" in only.why_none
