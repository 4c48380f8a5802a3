"""Cuts through joints, with the arithmetic worked by hand."""

from dataclasses import replace
from fractions import Fraction

import pytest
from workshop import (
    M6,
    MON,
    frame,
    inch,
    job,
    job_of,
    joint,
    part,
    planned,
    screw,
    seat_width,
    stock,
    window,
)

from reconcile.plan.joints.sections import Opening, cut
from reconcile.values.frames.frame import Engagement, Nut, Washer
from reconcile.values.frames.sections import (
    BARELY,
    BOTTOMS,
    COMES_OUT,
    FILLED,
    FRAME_PARTS,
    GOES_IN,
    HOLDS,
    IN_NUT,
    KEPT,
    NEAR,
    OPTION,
    PAST_BOTTOM,
    SHANK,
    STANDS_PAST,
    TOO_FAR_OUT,
    TOO_LONG,
    TOO_SHORT,
    UNKNOWN,
    VERDICTS,
    WASHER,
    Section,
    Slice,
)
from reconcile.values.frames.stacks import SaidPieces, SpacersNow

HALF = inch("1/2")
UPPER_FRONT = joint(length=inch("1"), **window("3/8", "5/8", grip="1/2"))
"""1 in bolt at 14 in; grip 1/2 in, engagement 3/8 to 5/8 in."""


def cuts(*joints, sizes=("16", "17"), shelf=(), **given):
    shelf = stock(part("SP-050", 99), part("SP-100", 99), *shelf)
    week = planned([job("J-1", MON, *sizes, **given)], [frame(seat_width(*joints))], shelf)
    return job_of(week, "J-1").cuts


def layers(section):
    return [(each.kind, each.thickness, each.name) for each in section.slices]


def test_two_half_inch_spacers_become_three_and_the_bolt_grows_by_half_an_inch():
    """16 in is 4 steps, 2 a side: grip 1/2 + 2 x 1/2 = 1 1/2; bolt 1 + 2 x 1/2 = 2. 17 in: 2 and 2 1/2."""
    left, right = cuts(UPPER_FRONT, shelf=[screw("B-250", "2 1/2", 9)])
    assert (left.side, right.side) == ("left", "right")
    before, (after,) = left.before, left.after
    assert (before.grip, before.length, before.engagement) == (inch("1 1/2"), inch("2"), HALF)
    assert (after.grip, after.length, after.engagement) == (inch("2"), inch("2 1/2"), HALF)
    assert (after.least, after.most) == (inch("3/8"), inch("5/8"))
    assert layers(before) == [(FRAME_PARTS, HALF, ""), (KEPT, inch("1"), "")]
    assert layers(after) == [*layers(before), (GOES_IN, HALF, "SP-050")]
    assert (before.verdict, after.verdict) == (HOLDS, HOLDS)
    assert (before.part, after.part) == ("", "B-250")
    assert after.diameters == 2, "1/2 in of a 1/4 in bolt"


def test_one_step_fewer_takes_half_an_inch_off_and_shows_the_piece_that_leaves():
    left, _ = cuts(UPPER_FRONT, sizes=("17", "16"), shelf=[screw("B-200", "2", 9)])
    assert layers(left.before)[1:] == [(KEPT, inch("1"), ""), (COMES_OUT, HALF, "")]
    assert layers(left.after[0])[1:] == [(KEPT, inch("1"), "")]
    assert left.after[0].length == left.before.length - HALF


def test_a_known_stack_shows_the_piece_that_leaves_and_the_one_that_takes_its_place():
    # 1 + 1/2 in a side to 2 steps: 1/2 in comes off. 1 + 1 in to 3 steps: 1 in comes off, 1/2 in goes in.
    said = SpacersNow("SP-100 + SP-050", sides=(("", (SaidPieces(1, "SP-100"), SaidPieces(1, "SP-050"))),))
    left, _ = cuts(UPPER_FRONT, sizes=("17", "16"), spacers_now=said, shelf=[screw("B-200", "2", 9)])
    assert layers(left.before)[1:] == [(KEPT, inch("1"), ""), (COMES_OUT, HALF, "SP-050")]
    two = SpacersNow("2 x SP-100", sides=(("", (SaidPieces(2, "SP-100"),)),))
    left, _ = cuts(UPPER_FRONT, sizes=("18", "17"), spacers_now=two, shelf=[screw("B-250", "2 1/2", 9)])
    assert layers(left.before)[1:] == [(KEPT, inch("1"), ""), (COMES_OUT, inch("1"), "SP-100")]
    assert layers(left.after[0])[1:] == [(KEPT, inch("1"), ""), (GOES_IN, HALF, "SP-050")]
    assert left.after[0].grip == left.before.grip - HALF


def test_a_fitted_option_is_a_slice_of_its_own():
    longer = replace(UPPER_FRONT, lengthen=(("front rigging", inch("1/4")), ("headrest", inch("1"))))
    left, _ = cuts(longer, options=("Front  Rigging",), shelf=[screw("B-275", "2 3/4", 9)])
    assert (OPTION, inch("1/4"), "front rigging") in layers(left.before)
    assert "headrest" not in [each.name for each in left.before.slices]
    assert left.before.grip == inch("1 3/4"), "1/2 + 1/4 + 2 x 1/2"
    assert left.after[0].grip == inch("2 1/4")


def test_the_pieces_that_go_in_are_those_that_serve_the_job():
    left, _ = cuts(UPPER_FRONT, sizes=("14", "17"), shelf=[screw("B-250", "2 1/2", 9)])
    assert layers(left.after[0])[1:] == [(GOES_IN, HALF, "SP-050"), (GOES_IN, inch("1"), "SP-100")]


def test_each_kind_of_bolt_that_serves_has_its_own_section():
    # Two chairs of two bolts each; a chair has two alike, so each chair has its own kind.
    two = replace(UPPER_FRONT, bolts=2, stacks=1)
    first, second = cuts(
        two, sizes=("14", "14 1/2"), side="right", chairs=2,
        shelf=[screw("B-150", "1 1/2", 3), screw("B-1375", "1 3/8", 9)],
    )[0].after  # fmt: skip
    assert {first.part: first.length, second.part: second.length} == {
        "B-150": inch("1 1/2"),
        "B-1375": inch("1 3/8"),
    }
    assert {first.wanted_length, second.wanted_length} == {inch("1 1/2")}
    shorter = min(first, second, key=lambda each: each.length)
    assert (shorter.engagement, shorter.verdict) == (inch("3/8"), BARELY)


def test_a_joint_that_is_not_built_up_keeps_its_own_bolt():
    hole_row = joint(per_step=Fraction(0), reuse=True, spacers=(), **window("3/8", "5/8"))
    left, _ = cuts(hole_row)
    assert left.own_bolt
    assert left.before.length == left.after[0].length == inch("1 1/2")
    assert layers(left.before) == layers(left.after[0]) == [(FRAME_PARTS, inch("1"), "")]


def test_without_a_grip_there_is_no_drawing_and_it_says_why():
    left, _ = cuts(joint())
    assert (left.before, left.after) == (None, ())
    assert left.why_none == "No drawing: the frame file gives no grip for this joint."


def test_with_nothing_in_stock_the_bolt_asked_for_is_drawn():
    (after,) = cuts(UPPER_FRONT)[0].after
    assert after.part == "1/4-20 UNC x 2 1/2 in, socket cap"
    assert after.threaded == inch("1"), "2 x 1/4 + 1/2 in by its standard"
    assert after.plain == inch("1 1/2")


def test_least_engagement_by_the_tapped_member_is_marked_as_a_rule_of_thumb():
    by_thumb = joint(grip=inch("1"), engagement=Engagement(None, inch("5/8")), into="aluminium")
    (after,) = cuts(by_thumb)[0].after
    assert (after.least, after.rule_of_thumb) == (inch("3/8"), True), "1 1/2 x 1/4 in"


def test_a_side_that_does_not_change_is_not_cut():
    assert [each.side for each in cuts(UPPER_FRONT, sizes=("14", "14 1/2"))] == ["right"]


def test_jobs_served_alike_share_their_cuts():
    jobs = [job("J-1", MON, "16", "17"), job("J-2", MON, "16", "17")]
    week = planned(
        jobs, [frame(seat_width(UPPER_FRONT))], stock(part("SP-050", 9), screw("B-250", "2 1/2", 9))
    )
    assert job_of(week, "J-1").cuts is job_of(week, "J-2").cuts


def no_part(number: str):
    raise AssertionError(f"no part is asked for, least of all {number}")


def section(length: str, least: str | None = "6", most: str | None = "16", threaded: str | None = None):
    """An M6 bolt through 20 mm."""
    made = [None if each is None else Fraction(each) for each in (threaded, least, most)]
    return Section((Slice(FRAME_PARTS, Fraction(20)),), Fraction(length), M6, "hex", *made)


@pytest.mark.parametrize(
    ("length", "verdict"),
    [
        ("19", TOO_SHORT), ("20", TOO_SHORT), ("25.9", TOO_SHORT), ("26", BARELY), ("26.1", HOLDS),
        ("35.9", HOLDS), ("36", FILLED), ("36.1", TOO_LONG),
    ],
)  # fmt: skip
def test_what_a_section_says(length, verdict):
    assert section(length).verdict == verdict
    assert verdict in VERDICTS


def test_a_plain_shank_longer_than_the_grip_stops_the_bolt():
    assert section("35", threaded="15").verdict == HOLDS, "35 - 15 = 20, the grip"
    assert section("35", threaded="14.9").verdict == SHANK


@pytest.mark.parametrize(("least", "most"), [(None, "16"), ("6", None), (None, None)])
def test_without_both_bounds_the_section_does_not_judge(least, most):
    assert section("30", least, most).verdict == UNKNOWN


@pytest.mark.parametrize(
    ("length", "verdict"),
    [("34.9", HOLDS), ("35", HOLDS), ("35.1", NEAR), ("36", BOTTOMS), ("36.1", PAST_BOTTOM)],
)
def test_of_a_depth_a_pitch_stays_clear(length, verdict):
    """M6 has a pitch of 1 mm: of 16 mm of thread 15 may be filled, to a length of 20 + 15 = 35 mm."""
    blind = replace(section(length, "6", "15"), depth=Fraction(16))
    assert blind.verdict == verdict
    assert verdict in VERDICTS


@pytest.mark.parametrize(
    ("length", "verdict"),
    [("24", IN_NUT), ("25.9", IN_NUT), ("26", STANDS_PAST), ("30", STANDS_PAST), ("30.1", TOO_FAR_OUT)],
)
def test_a_bolt_must_stand_past_its_nut(length, verdict):
    """A nut of 5 mm and a pitch past it: from 20 + 5 + 1 = 26 mm; at most 4 mm more."""
    nutted = replace(section(length, "6", "10"), nut=Fraction(5))
    assert nutted.verdict == verdict
    assert verdict in VERDICTS


def test_the_thread_must_begin_a_pitch_within_the_grip_of_a_nut():
    """30 - 11 = 19 mm of plain shank and a pitch are the grip of 20 mm; half a millimetre more is not."""
    assert replace(section("30", "6", "10", "11"), nut=Fraction(5)).verdict == STANDS_PAST
    assert replace(section("30", "6", "10", "10.5"), nut=Fraction(5)).verdict == SHANK


@pytest.mark.parametrize(
    ("head", "kinds"),
    [
        ("hex", [WASHER, FRAME_PARTS, WASHER]),
        ("countersunk", [FRAME_PARTS, WASHER, WASHER]),
    ],
)
def test_washers_are_layers_and_a_sunk_head_has_none_under_it(head, kinds):
    washers = (Washer("W-6", Fraction(8, 5), 2),)
    nutted = joint(
        thread=M6, head=head, length=Fraction(30), per_step=Fraction(0), spacers=(), grip=Fraction(20),
        washers=washers, nut=Nut("N-6", Fraction(5), Fraction(1)),
    )  # fmt: skip
    (after,) = cut(nutted, Opening("", 0, 1), [], no_part).after
    assert [layer.kind for layer in after.slices] == kinds
    assert after.grip == Fraction("23.2")
    assert (after.engagement, after.past_nut) == (Fraction("6.8"), Fraction("1.8"))
    assert after.verdict == STANDS_PAST
