"""From steps to lines: what one chair of a job needs and gives back, with the quantities."""

from fractions import Fraction

import pytest
from workshop import (
    HALF_AND_WHOLE,
    QUARTER_UNC,
    TUE,
    exploded,
    frame,
    inch,
    job,
    job_of,
    joint,
    line_rows,
    offered,
    part,
    part_of,
    planned,
    screw,
    seat_width,
    spacer_kinds,
    stock,
)

from reconcile.values.frames.frame import (
    Cover,
    CoverRange,
    Disturbed,
    Extra,
    Handed,
    Nut,
    Sized,
    SizeRange,
    Washer,
)
from reconcile.values.frames.stacks import SpacersNow
from reconcile.values.measure import Amount


def lines_for(adjustment, *sizes, parts=(), **given):
    return exploded(frame(adjustment), job("J-1", TUE, *sizes, **given), *parts)


def lengths(found):
    """Bolt lines as (do, side, length in inches)."""
    return [(each.do, each.side, each.length / inch("1")) for each in found.lines if each.what == "bolt"]


# Bolts: bolts x length(k0) out, bolts x length(k1) in, where length(k) = 1 1/2 in + k x 1/2 in.


def test_a_step_up_on_each_side():
    # 14 to 15 in: two steps, one a side; bolts of 1 1/2 in out, 2 in in, one half-inch spacer a side.
    found = lines_for(seat_width(joint()), "14", "15")
    side = [("remove", "bolt", 1), ("fit", "bolt", 1), ("fit", "spacer", 1)]
    assert line_rows(found) == [(do, what, at, n) for at in ("left", "right") for do, what, n in side]
    assert lengths(found) == [
        ("remove", "left", Fraction(3, 2)),
        ("fit", "left", 2),
        ("remove", "right", Fraction(3, 2)),
        ("fit", "right", 2),
    ]


def test_bolts_and_stacks_count_each_for_itself():
    # 3 bolts and 2 stacks a side; 14 to 16 in is two steps a side.
    found = lines_for(seat_width(joint(bolts=3, stacks=2), sides=2), "14", "16")
    assert line_rows(found)[:3] == [
        ("remove", "bolt", "left", 3),
        ("fit", "bolt", "left", 3),
        ("fit", "spacer", "left", 2),
    ]


def test_a_side_that_stays_has_no_lines():
    # 15 1/2 in: 1 + 2; 16 in: 2 + 2.
    found = lines_for(seat_width(joint()), "15 1/2", "16")
    assert {each.side for each in found.lines} == {"left"}


def test_a_single_stack_names_no_side_and_takes_all_steps():
    # 14 to 15 in: two steps in one stack: 1 1/2 + 2 x 1/2 = 2 1/2 in.
    found = lines_for(seat_width(joint(), sides=1), "14", "15")
    assert lengths(found) == [("remove", "", Fraction(3, 2)), ("fit", "", Fraction(5, 2))]


def test_options_lengthen_both_the_bolt_out_and_the_bolt_in():
    # 1 1/2 + 1/4 + 1/8 = 1 7/8 in out, half an inch more in; an option not fitted adds nothing.
    added = (("front rigging", inch("1/4")), ("tray", inch("1/8")), ("guard", inch("1")))
    found = lines_for(
        seat_width(joint(lengthen=added), sides=1), "14", "14 1/2", options=("Tray", "FRONT  rigging")
    )
    assert lengths(found) == [("remove", "", Fraction(15, 8)), ("fit", "", Fraction(19, 8))]


def test_every_joint_of_a_side_has_its_own_lines():
    rear = joint(name="rear", bolts=2, length=inch("2"))
    found = lines_for(seat_width(joint(), rear, sides=1), "14", "14 1/2")
    assert [(each.name, each.do, each.what) for each in found.lines] == [
        (name, do, what)
        for name in ("upper front", "rear")
        for do, what in (("remove", "bolt"), ("fit", "bolt"), ("fit", "spacer"))
    ]


# per_step 0: opened, not built up.


def test_a_joint_that_is_not_built_up_puts_its_bolts_back():
    closed = joint(per_step=Fraction(0), reuse=True)
    assert lines_for(seat_width(closed), "14", "15").lines == ()


def test_a_joint_that_is_not_built_up_needs_new_bolts_of_the_same_length_if_they_serve_once():
    found = lines_for(seat_width(joint(per_step=Fraction(0), bolts=2), sides=1), "14", "16")
    assert line_rows(found) == [("remove", "bolt", "", 2), ("fit", "bolt", "", 2)]
    assert {length for _, _, length in lengths(found)} == {Fraction(3, 2)}


# Spacers.


HALVES = spacer_kinds(SP_050="1/2")
SINGLE = SpacersNow("single", single=True)


def off(found):
    """Spacer lines to remove as (side, quantity, pieces)."""
    return [
        (each.side, each.quantity, dict(each.pieces))
        for each in found.lines
        if (each.do, each.what) == ("remove", "spacer")
    ]


def test_spacers_come_off_in_pieces_of_one_step_where_there_are_no_others():
    # 17 to 15 in: 6 to 2 steps, 3 to 1 a side; two stacks of two steps are four pieces of 1/2 in.
    found = lines_for(seat_width(joint(bolts=2, spacers=HALVES)), "17", "15")
    assert off(found) == [(side, 4, {"SP-050": 4}) for side in ("left", "right")]


def test_pieces_that_nobody_can_name_are_counted_in_steps_and_looked_at_first():
    # 17 to 15 in, spacers of 1/2 and 1 in: 3 to 1 steps a side, two stacks: four steps come off.
    found = lines_for(seat_width(joint(bolts=2, spacer_reuse=True)), "17", "15", parts=(part("SP-050"),))
    assert off(found) == [(side, 4, {}) for side in ("left", "right")]
    assert [(each.code, each.says) for each in found.findings] == [
        (
            "stack-unknown",
            "look first: what the stack at upper front, left and right consists of is not known; if a piece"
            " has to be split, a stack of 1 step anew takes 1 x SP-050.",
        )
    ]
    assert [each.anew for each in found.lines if each.look_first] == [(("SP-050", 1),)] * 2
    assert found.look_first


def test_single_pieces_are_as_many_as_there_are_steps():
    found = lines_for(seat_width(joint(), sides=1), "15", "14", spacers_now=SINGLE)
    assert (off(found), found.look_first) == ([("", 2, {"SP-050": 2})], False)


def test_a_joint_that_lists_no_piece_of_one_step_is_unknown_however_single():
    whole = joint(spacers=spacer_kinds(SP_100="1", SP_200="2"))
    found = lines_for(seat_width(whole, sides=1), "16", "14", spacers_now=SINGLE)
    assert (off(found), found.look_first) == ([("", 4, {})], True)


def test_steps_that_no_spacers_make_up_set_the_job_aside():
    whole = seat_width(joint(spacers=spacer_kinds(SP_100="1")), sides=1)
    assert lines_for(whole, "14", "15").steps is not None  # two steps are 1 in
    odd = lines_for(whole, "14", "14 1/2")
    assert (odd.steps, [each.code for each in odd.findings]) == (None, ["spacers-do-not-fit"])


def test_a_built_up_joint_without_spacers_is_pointed_out():
    found = lines_for(seat_width(joint(spacers=())), "14", "15")
    assert [each.code for each in found.findings] == ["frame-no-spacers"]
    assert {each.what for each in found.lines} == {"bolt"}


# Extras: for each bolt that goes in, new or put back.

LOCK = (Extra("TL-MED", Amount(Fraction("0.1"), "mL")),)


@pytest.mark.parametrize(
    "one_joint",
    [
        joint(bolts=3, extras=LOCK),  # new bolts
        joint(bolts=3, extras=LOCK, reuse=True),
        joint(bolts=3, extras=LOCK, per_step=Fraction(0)),  # single-use bolts
        joint(bolts=3, extras=LOCK, per_step=Fraction(0), reuse=True),  # bolts put back
    ],
)
def test_extras_are_used_for_every_bolt_that_goes_in(one_joint):
    # 3 bolts x 0.1 mL on each side.
    found = lines_for(seat_width(one_joint), "14", "15")
    extras = [each for each in found.lines if each.what == "extra"]
    assert [(each.do, each.side, each.quantity, each.unit, offered(each)) for each in extras] == [
        ("fit", side, Fraction("0.3"), "mL", [{"TL-MED": 1}]) for side in ("left", "right")
    ]


# Covers: one a side, by the steps on that side.

COVER = Cover("cover plate", (CoverRange(0, 2, "CP-2"), CoverRange(3, 6, "CP-6")), reuse=True)


def covers(found):
    return [
        (each.do, each.side, each.quantity, offered(each) or [dict(each.pieces)])
        for each in found.lines
        if each.what == "cover"
    ]


def test_a_cover_is_swapped_where_its_side_crosses_a_limit():
    # 16 to 17 in: 2 to 3 steps a side.
    found = lines_for(seat_width(covers=(COVER,)), "16", "17", parts=(part("CP-2"),))
    assert covers(found) == [
        (do, side, 1, [{number: 1}])
        for side in ("left", "right")
        for do, number in (("remove", "CP-2"), ("fit", "CP-6"))
    ]


def test_only_the_side_that_crosses_the_limit_changes_its_cover():
    # 15 1/2 to 16 1/2 in, 2 left and 1 right now: 5 steps wanted; (2,3) moves right alone, 1 to 3.
    found = lines_for(seat_width(covers=(COVER,)), "15 1/2", "16 1/2", left_now=2, right_now=1)
    assert [(do, side) for do, side, _, _ in covers(found)] == [("remove", "right"), ("fit", "right")]


def test_a_cover_stays_while_the_steps_stay_in_its_range():
    assert covers(lines_for(seat_width(covers=(COVER,)), "14", "16")) == []


def test_a_cover_that_is_not_listed_for_the_steps_now_is_pointed_out():
    # 7 + 1 steps on the chair, beyond the frame's own 6 a side.
    found = lines_for(seat_width(covers=(COVER,)), "18", "18 1/2", left_now=7, right_now=1)
    assert "cover-unknown" in [each.code for each in found.findings]


# Sized parts: one a chair, by the size.

PANS = (SizeRange(inch("14"), inch("15 1/2"), "PAN-15"), SizeRange(inch("16"), inch("20"), "PAN-18"))


def pans(sized, *sizes, **given):
    found = lines_for(seat_width(joint(), sized=(sized,)), *sizes, **given)
    return [
        (each.do, each.side, offered(each) or [dict(each.pieces)])
        for each in found.lines
        if each.what == "sized"
    ]


def test_a_sized_part_is_swapped_once_a_chair():
    # Not listed by stock and not reusable, so the old one gives nothing back.
    assert pans(Sized("seat pan", PANS), "15", "16") == [("remove", "", [{}]), ("fit", "", [{"PAN-18": 1}])]


def test_a_sized_part_that_serves_both_sizes_stays():
    assert pans(Sized("seat pan", PANS), "16", "20") == []


def test_a_sized_part_goes_back_to_stock_where_it_may():
    swapped = pans(Sized("seat pan", PANS, reuse=True), "16", "14", parts=(part("PAN-18"),))
    assert swapped == [("remove", "", [{"PAN-18": 1}]), ("fit", "", [{"PAN-15": 1}])]


def test_a_sized_part_with_an_option_needs_the_option():
    solid = Sized("seat pan", PANS, when="solid seat")
    assert pans(solid, "15", "16") == []
    assert len(pans(solid, "15", "16", options=("Solid Seat",))) == 2


# Disturbed parts: used up whenever the adjustment is done.


def disturbed(adjustment, *sizes, **given):
    return [
        (each.name, each.side, each.quantity)
        for each in lines_for(adjustment, *sizes, **given).lines
        if each.what == "disturbed"
    ]


NUTS = seat_width(
    disturbed=(
        Disturbed("NUT-LK-14", Amount(Fraction(4), "each"), "anti-tippers"),
        Disturbed("TIE-200", Amount(Fraction(2), "each")),
    )
)


def test_disturbed_parts_are_used_up_once_a_chair_however_many_sides_change():
    assert disturbed(NUTS, "14", "15") == [("TIE-200", "", 2)]
    assert disturbed(NUTS, "14", "14 1/2") == [("TIE-200", "", 2)]
    assert disturbed(NUTS, "15", "14", options=("anti-tippers",)) == [
        ("NUT-LK-14", "", 4),
        ("TIE-200", "", 2),
    ]


def test_nothing_is_disturbed_where_nothing_changes():
    assert disturbed(NUTS, "15", "15", options=("anti-tippers",)) == []


# Chairs multiply every line, and all of a week agrees.


def test_chairs_multiply_every_line_and_every_part():
    whole = seat_width(
        joint(bolts=2, extras=LOCK, reuse=True), covers=(COVER,), sized=(Sized("pan", PANS),),
        disturbed=(Disturbed("TIE-200", Amount(Fraction(1), "each")),), sides=1,
    )  # fmt: skip
    shelf = stock(screw("B-150", "1 1/2"), part("CP-2"))
    # 14 to 16 in: 4 steps in one stack, on three chairs: 3 x 2 bolts of 3 1/2 in, 3 x 2 stacks of two
    # whole-inch spacers = 12 pieces, 3 x 2 x 0.1 mL, 3 covers, 3 pans, 3 ties.
    week = planned([job("J-1", TUE, "14", "16", chairs=3)], [frame(whole)], shelf)
    needed = {each.part.number: each.needed for each in week.parts}
    assert needed == {
        "1/4-20 UNC x 3 1/2 in, socket cap": 6,
        "SP-100": 12,
        "TL-MED": Fraction("0.6"),
        "CP-6": 3,
        "PAN-18": 3,
        "TIE-200": 3,
    }
    quantities = [(each.line.what, each.line.do, each.quantity) for each in job_of(week, "J-1").lines]
    assert quantities == [
        ("bolt", "remove", 6),
        ("bolt", "fit", 6),
        ("spacer", "fit", 6),
        ("extra", "fit", Fraction("0.6")),
        ("cover", "remove", 3),
        ("cover", "fit", 3),
        ("sized", "remove", 3),
        ("sized", "fit", 3),
        ("disturbed", "fit", 3),
    ]


def test_a_part_that_stock_does_not_list_is_new_with_a_notice():
    week = planned([job("J-1", TUE, "14", "15")], [frame(seat_width(joint()))], stock(screw("B-200", "2", 9)))
    # Both multisets for half an inch: one SP-050 only.
    spacer = part_of(week, "SP-050")
    assert (spacer.part.new, spacer.shortfall) == (True, 2)
    assert [each.code for each in week.problems] == ["part-not-listed"]


def test_lines_of_the_same_designation_share_one_new_part():
    # Two joints ask for 1/4-20 x 2 in, one of each a side: four of one new part.
    twin = (joint(), joint(name="rear", thread=QUARTER_UNC, spacers=HALF_AND_WHOLE))
    week = planned([job("J-1", TUE, "14", "15")], [frame(seat_width(*twin))], stock())
    new = part_of(week, "1/4-20 UNC x 2 in, socket cap")
    assert (new.part.new, new.needed, new.shortfall) == (True, 4, 4)


def test_a_nut_and_renewed_washers_go_in_with_each_bolt_and_the_old_ones_make_no_line():
    """Two bolts a side: two nuts and four washers a side; washers that stay make no line."""
    washers = (Washer("W-NEW", Fraction(1), 2, True), Washer("W-STAYS", Fraction(1)))
    one = joint(bolts=2, nut=Nut("NUT", Fraction(6), Fraction(1)), washers=washers)
    lines = exploded(frame(seat_width(one)), job("J-1", TUE, "14", "15")).lines
    extras = [
        (line.do, line.side, line.quantity, line.unit, offered(line))
        for line in lines
        if line.what == "extra"
    ]
    assert extras == [
        ("fit", side, quantity, "each", [{number: 1}])
        for side in ("left", "right")
        for number, quantity in (("NUT", 2), ("W-NEW", 4))
    ]


def test_a_handed_cover_is_another_part_on_each_side():
    bracket = Cover(
        "bracket", (CoverRange(0, 0, Handed("BR-L", "BR-R")), CoverRange(1, 6, "BR-ANY")), reuse=True
    )
    shelf = [part(number) for number in ("BR-L", "BR-R", "BR-ANY")]
    built_up = exploded(frame(seat_width(covers=(bracket,))), job("J-1", TUE, "14", "15"), *shelf).lines
    narrowed = exploded(frame(seat_width(covers=(bracket,))), job("J-1", TUE, "15", "14"), *shelf).lines
    told = [
        [(line.do, line.side, *(line.pieces or line.choices[0].parts)[0]) for line in lines]
        for lines in (built_up, narrowed)
    ]
    assert told == [
        [
            ("remove", "left", "BR-L", 1), ("fit", "left", "BR-ANY", 1),
            ("remove", "right", "BR-R", 1), ("fit", "right", "BR-ANY", 1),
        ],
        [
            ("remove", "left", "BR-ANY", 1), ("fit", "left", "BR-L", 1),
            ("remove", "right", "BR-ANY", 1), ("fit", "right", "BR-R", 1),
        ],
    ]  # fmt: skip
