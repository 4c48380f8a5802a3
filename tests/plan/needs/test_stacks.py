"""What a stack of spacers consists of, and what of it comes off, stays and is fitted."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workshop import TUE, exploded, frame, inch, job, joint, part, seat_width, spacer_kinds, stock

from reconcile.plan.chairs.stacks import height, stack_by_rule, stack_of_pieces
from reconcile.plan.needs.choices import Racks
from reconcile.plan.needs.stacks import change_stack, comes_off, pieces_of
from reconcile.values.frames.stacks import KnownJoint, SaidPieces, SpacersNow

HALF = inch("1/2")
MIXED = joint()  # spacers of 1/2 in, listed first, and of 1 in
RACKS = Racks(stock())


def steps(count):
    return count * HALF


def changed(stack, now, then, one_joint=MIXED):
    """(pieces that come off, thickness fitted, its first choice)."""
    found = change_stack(one_joint, stack, steps(now), steps(then), RACKS)
    first = {number: int(count) for number, count in found.choices[0].parts} if found.choices else {}
    return found.off, found.thickness, first


# What is known without being told.


def test_an_empty_stack_and_one_of_a_single_kind_of_spacer_are_known():
    assert stack_by_rule(MIXED, 0, HALF) == (0, 0)
    assert stack_by_rule(MIXED, 1, HALF) is None
    whole = joint(spacers=spacer_kinds(SP_100="1"))
    assert stack_by_rule(whole, 4, HALF) == (2,)  # 4 x 1/2 in = 2 x 1 in
    assert stack_by_rule(whole, 3, HALF) is None  # 1 1/2 in is no whole number of 1 in


def test_pieces_are_named_by_part_or_by_a_thickness_that_one_spacer_alone_has():
    assert stack_of_pieces(MIXED, [SaidPieces(1, "sp-100"), SaidPieces(2, thickness=HALF)]) == (2, 1)
    assert stack_of_pieces(MIXED, [SaidPieces(1, "SP-075")]) is None
    twice = joint(spacers=spacer_kinds(SP_050="1/2", SP_05B="1/2"))
    assert stack_of_pieces(twice, [SaidPieces(1, thickness=HALF)]) is None


# As many steps stay as can; the fewest pieces come off; then more of the spacer listed first.


@pytest.mark.parametrize(
    ("stack", "now", "then", "off", "fitted", "first"),
    [
        ((0, 1), 2, 1, (0, 1), 1, {"SP-050": 1}),  # one 1 in piece spans both steps: off, and 1/2 in fitted
        ((2, 0), 2, 1, (1, 0), 0, {}),
        ((2, 1), 4, 2, (0, 1), 0, {}),  # one piece off rather than two halves
        ((2, 1), 4, 3, (1, 0), 0, {}),
        ((2, 1), 4, 1, (1, 1), 0, {}),
        ((0, 2), 4, 3, (0, 1), 1, {"SP-050": 1}),
        ((0, 2), 4, 0, (0, 2), 0, {}),
        ((1, 1), 3, 4, (0, 0), 1, {"SP-050": 1}),  # widened: nothing comes off
    ],
)
def test_what_comes_off_and_what_is_fitted(stack, now, then, *, off, fitted, first):
    assert changed(stack, now, then) == (off, steps(fitted), first)


def test_of_an_unknown_stack_nobody_can_name_what_comes_off():
    assert changed(None, 3, 1) == (None, 0, {})
    assert changed(None, 1, 3) == (None, steps(2), {"SP-100": 1})


def test_a_stack_of_more_pieces_than_the_maker_allows_is_built_anew():
    # At most two pieces. 1/2 + 1/2 + one more step: three pieces, so all comes off: 1/2 + 1 in.
    two = joint(most_pieces=2)
    assert changed((2, 0), 2, 3, two) == ((2, 0), steps(3), {"SP-050": 1, "SP-100": 1})
    # 4 halves, one comes off: three stay, which are too many; 1 + 1/2 in instead.
    assert changed((4, 0), 4, 3, two) == ((4, 0), steps(3), {"SP-050": 1, "SP-100": 1})
    assert changed((1, 1), 3, 2, two) == ((1, 0), 0, {})


# The law of the stack: whatever comes off and goes in, it is as thick as its steps.

counts = st.tuples(st.integers(0, 4), st.integers(0, 3))


@given(counts, st.integers(0, 10), st.sampled_from([None, 3, 4]))
def test_a_known_stack_is_always_as_thick_as_its_steps(stack, then, most):
    one_joint = joint(most_pieces=most)
    now = height(one_joint, stack)
    found = change_stack(one_joint, stack, now, steps(then), RACKS)
    staying = [count - gone for count, gone in zip(stack, found.off, strict=True)]
    assert all(count >= 0 for count in staying)
    assert height(one_joint, staying) + found.thickness == steps(then)
    if found.choices and most is not None:
        assert all(sum(staying) + pieces_of(choice) <= most for choice in found.choices)


@given(counts, st.integers(0, 10))
def test_the_fewest_pieces_come_off_by_enumeration(stack, keep):
    off = comes_off(MIXED, stack, steps(keep))
    ways = [(a, b) for a in range(stack[0] + 1) for b in range(stack[1] + 1)]
    left = {way: height(MIXED, stack) - height(MIXED, way) for way in ways}
    best = max(thick for thick in left.values() if thick <= steps(keep))
    assert left[off] == best
    assert sum(off) == min(sum(way) for way in ways if left[way] == best)


# From a job's row to its lines.


def removed(found):
    return [
        (each.side, each.quantity, dict(each.pieces))
        for each in found.lines
        if (each.do, each.what) == ("remove", "spacer")
    ]


def said(text, **sides):
    return SpacersNow(text, sides=tuple(sides.items()))


def test_a_chair_widened_with_whole_inch_spacers_gives_those_back():
    # 18 to 16 in: 4 to 2 steps a side. Each stack is 2 x 1 in: one of them comes off.
    now = said("2 x SP-100", **{"": (SaidPieces(2, "SP-100"),)})
    found = exploded(frame(seat_width(MIXED)), job("J-1", TUE, "18", "16", spacers_now=now), part("SP-100"))
    assert removed(found) == [(side, 1, {"SP-100": 1}) for side in ("left", "right")]
    assert not found.look_first


def test_a_row_tells_each_side_by_itself():
    now = said("left: 2 x SP-100; right: 4 x SP-050", left=(SaidPieces(2, "SP-100"),),
               right=(SaidPieces(4, thickness=HALF),))  # fmt: skip
    found = exploded(frame(seat_width(MIXED)), job("J-1", TUE, "18", "16", spacers_now=now))
    assert removed(found) == [("left", 1, {"SP-100": 1}), ("right", 2, {"SP-050": 2})]


def test_pieces_that_are_not_as_thick_as_the_steps_set_the_job_aside():
    now = said("SP-100", **{"": (SaidPieces(1, "SP-100"),)})
    found = exploded(frame(seat_width(MIXED)), job("J-1", TUE, "18", "16", spacers_now=now))
    assert (found.steps, [(each.code, each.heading) for each in found.findings]) == (
        None, [("spacers-now-height", "spacers now")],
    )  # fmt: skip
    assert found.findings[0].says == "The stack of upper front is said to be 1 in; 4 steps are 2 in."


def test_a_piece_that_no_joint_lists_sets_the_job_aside():
    now = said("2 x SP-075", **{"": (SaidPieces(2, "SP-075"),)})
    found = exploded(frame(seat_width(MIXED)), job("J-1", TUE, "18", "16", spacers_now=now))
    assert [(each.code, each.says) for each in found.findings] == [
        ("spacers-now-unknown", "No joint of this adjustment lists a spacer SP-075.")
    ]


def test_a_joint_that_does_not_list_every_piece_is_unknown_even_where_the_rule_would_know_it():
    rear = joint(name="rear", spacers=spacer_kinds(SP_05R="1/2"))
    now = said("2 x SP-100", **{"": (SaidPieces(2, "SP-100"),)})
    found = exploded(frame(seat_width(MIXED, rear)), job("J-1", TUE, "18", "16", spacers_now=now))
    rears = [each for each in found.lines if (each.name, each.what) == ("rear", "spacer")]
    assert [(each.look_first, each.pieces) for each in rears] == [(True, ())] * 2


# By the chair's record.


def recorded(*pieces, steps=4, bolt=None):
    return tuple(KnownJoint("upper front", side, steps, pieces, bolt) for side in ("left", "right"))


def test_the_record_tells_the_pieces_where_it_is_of_as_many_steps():
    known = recorded(("SP-100", 2))
    found = exploded(frame(seat_width(MIXED)), job("J-1", TUE, "18", "16", known=known))
    assert removed(found) == [(side, 1, {"SP-100": 1}) for side in ("left", "right")]
    of_another = recorded(("SP-100", 1), steps=2)
    found = exploded(frame(seat_width(MIXED)), job("J-1", TUE, "18", "16", known=of_another))
    assert found.look_first


def test_the_bolt_of_the_record_goes_back_as_itself():
    # By the steps 3 1/2 in would come out; the record has 3 5/8 in.
    known = recorded(("SP-100", 2), bolt=("B-362", inch("3 5/8")))
    built = frame(seat_width(joint(reuse=True)))
    found = exploded(built, job("J-1", TUE, "18", "16", known=known), part("B-362"))
    out = [each for each in found.lines if (each.do, each.what) == ("remove", "bolt")]
    assert [(each.length, dict(each.pieces), each.reuse) for each in out] == [
        (inch("3 5/8"), {"B-362": Fraction(1)}, True)
    ] * 2
