"""From sizes to steps on each side: seat width 14 to 20 in by half inches, so twelve steps in all."""

from fractions import Fraction

import pytest
from workshop import TUE, exploded, frame, inch, job, joint, seat_width, spacer_kinds

HALVES = joint(spacers=spacer_kinds(SP_050="1/2"))  # spacers of one kind: every stack is known
TWO_SIDED = frame(seat_width(HALVES))
SINGLE = frame(seat_width(HALVES, sides=1))


def settled(one_frame, *sizes, **given):
    """The steps of a job as {side: (now, wanted)}, None where it is set aside, and its codes."""
    found = exploded(one_frame, job("J-1", TUE, *sizes, **given))
    steps = found.steps and {side: (now, wanted) for side, now, wanted in found.steps.sides}
    return steps, [(each.code, each.heading) for each in found.findings]


# sides = 1: (14 1/2 - 14) / 1/2 = 1, (17 - 14) / 1/2 = 6.


def test_a_single_stack_takes_every_step():
    assert settled(SINGLE, "14 1/2", "17") == ({"single": (1, 6)}, [])


def test_a_single_stack_of_an_odd_size_has_no_split_to_assume():
    assert settled(SINGLE, "17 1/2", "14") == ({"single": (7, 0)}, [])


@pytest.mark.parametrize(
    ("given", "heading"),
    [
        ({"side": "left"}, "side"),
        ({"side": "right"}, "side"),
        ({"left_now": 1}, "left now"),
        ({"right_now": 0}, "right now"),
    ],
)
def test_a_single_stack_has_no_sides(given, heading):
    assert settled(SINGLE, "14 1/2", "17", **given) == (None, [("side-on-single", heading)])


def test_a_single_stack_that_stays_says_so_in_the_unit_of_its_frame():
    found = exploded(SINGLE, job("J-1", TUE, "15", "15"))
    assert [each.code for each in found.findings] == ["no-change"]
    assert "15 in" in found.findings[0].says


# Sizes must lie in the range, ends included, and be whole steps.


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [
        (("13 1/2", "15"), [("size-outside", "from")]),
        (("14", "20 1/2"), [("size-outside", "to")]),
        (("14", "14 1/4"), [("size-between-steps", "to")]),
        (("14 1/8", "15"), [("size-between-steps", "from")]),
        (("13", "14 1/4"), [("size-outside", "from"), ("size-between-steps", "to")]),
        (("13", "13"), [("size-outside", "from"), ("size-outside", "to")]),
    ],
)
def test_a_size_that_the_frame_cannot_have_sets_the_job_aside(sizes, expected):
    assert settled(TWO_SIDED, *sizes) == (None, expected)


def test_both_ends_of_the_range_can_be_had():
    # 20 in is 12 steps, six a side.
    assert settled(TWO_SIDED, "14", "20") == ({"left": (0, 6), "right": (0, 6)}, [])


def test_a_size_off_by_a_hair_is_between_steps_and_never_rounded():
    hair = Fraction(1, 10**9)
    found = exploded(TWO_SIDED, job("J-1", TUE, size_from=inch("14"), size_to=inch("15") + hair))
    assert [each.code for each in found.findings] == ["size-between-steps"]


def test_a_fault_says_the_size_in_the_unit_of_the_frame():
    found = exploded(TWO_SIDED, job("J-1", TUE, "14", "22"))
    assert found.findings[0].says == "22 in lies outside 14 in to 20 in of seat width; nearest: 20 in."


# Both sides, even totals: half each.


def test_an_even_change_is_shared():
    # 16 in: 4 steps, 2 + 2; 17 in: 6 steps, 3 + 3.
    assert settled(TWO_SIDED, "16", "17") == ({"left": (2, 3), "right": (2, 3)}, [])


def test_an_odd_number_now_is_split_with_the_extra_one_right_and_to_be_checked():
    # 15 1/2 in: 3 steps, 1 left and 2 right; 16 in: 2 + 2.
    assert settled(TWO_SIDED, "15 1/2", "16") == (
        {"left": (1, 2), "right": (2, 2)},
        [("split-assumed", "from")],
    )


def test_the_assumed_split_tells_to_check_the_chair():
    found = exploded(TWO_SIDED, job("J-1", TUE, "15 1/2", "16"))
    assert "assumed split: check the chair" in found.findings[0].says


def test_spacers_counted_on_the_chair_are_no_assumption():
    assert settled(TWO_SIDED, "15 1/2", "16", left_now=2, right_now=1) == (
        {"left": (2, 2), "right": (1, 2)},
        [],
    )


# Both sides, odd totals: fewer sides changed, then fewer steps moved, then the extra one right.


@pytest.mark.parametrize(
    ("sizes", "now", "wanted"),
    [
        # 4 to 5 steps, 2 + 2 now: (2,3) and (3,2) each change one side by one step: the extra one right.
        (("16", "16 1/2"), (2, 2), (2, 3)),
        # 6 to 7 steps, 4 + 2 now: (3,4) moves 1 + 2 on two sides; (4,3) moves one side by one step.
        (("17", "17 1/2"), (4, 2), (4, 3)),
        # 6 to 5 steps, 2 + 4 now: (2,3) changes the right side only.
        (("17", "16 1/2"), (2, 4), (2, 3)),
        # 6 to 5 steps, 4 + 2 now: (3,2) changes the left side only.
        (("17", "16 1/2"), (4, 2), (3, 2)),
        # 4 to 9 steps, 3 + 1 now: (4,5) moves 1 + 4, (5,4) moves 2 + 3; both sides, five steps either way.
        (("16", "18 1/2"), (3, 1), (4, 5)),
        # 4 to 7 steps, 4 + 0 now: (3,4) moves 1 + 4 = 5 on two sides; (4,3) leaves left alone.
        (("16", "17 1/2"), (4, 0), (4, 3)),
        # 10 to 5 steps, 6 + 4 now: (2,3) moves 4 + 1 = 5, (3,2) moves 3 + 2 = 5: the extra one right.
        (("19", "16 1/2"), (6, 4), (2, 3)),
        # 6 to 3 steps, 6 + 0 now: (1,2) moves 5 + 2 = 7, (2,1) moves 4 + 1 = 5: fewer steps wins over right.
        (("17", "15 1/2"), (6, 0), (2, 1)),
        # 6 to 3 steps, 1 + 5 now: (1,2) leaves left alone.
        (("17", "15 1/2"), (1, 5), (1, 2)),
    ],
)
def test_an_odd_total_goes_where_it_disturbs_least(sizes, now, wanted):
    steps, found = settled(TWO_SIDED, *sizes, left_now=now[0], right_now=now[1])
    assert steps == {"left": (now[0], wanted[0]), "right": (now[1], wanted[1])}
    far = [("sides-far-apart", "left now")] if abs(now[0] - now[1]) > 1 else []
    assert found == [*far, ("sides-differ", "to")]


def test_an_odd_total_from_an_odd_total():
    # 3 steps now, assumed 1 + 2; 5 wanted: (2,3) changes both, (3,2) changes left alone by two.
    assert settled(TWO_SIDED, "15 1/2", "16 1/2") == (
        {"left": (1, 3), "right": (2, 2)},
        [("split-assumed", "from"), ("sides-differ", "to")],
    )


# Sides now, as given.


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"left_now": 2}, ("sides-half-given", "left now")),
        ({"right_now": 0}, ("sides-half-given", "right now")),
        ({"left_now": 2, "right_now": 3}, ("sides-do-not-add-up", "left now")),
        ({"left_now": 0, "right_now": 0}, ("sides-do-not-add-up", "left now")),
    ],
)
def test_counts_that_cannot_be_are_errors(given, expected):
    assert settled(TWO_SIDED, "16", "17", **given) == (None, [expected])


def test_sides_further_apart_than_a_step_are_accepted_with_a_notice():
    assert settled(TWO_SIDED, "16", "17", left_now=4, right_now=0) == (
        {"left": (4, 3), "right": (0, 3)},
        [("sides-far-apart", "left now")],
    )


def test_one_step_apart_needs_no_notice():
    assert settled(TWO_SIDED, "15 1/2", "16", left_now=1, right_now=2)[1] == []


# One side only: the whole change there.


@pytest.mark.parametrize(
    ("sizes", "given", "steps"),
    [
        # 4 to 5 steps on the left: 3 + 2, one step apart.
        (("16", "16 1/2"), {"side": "left"}, {"left": (2, 3), "right": (2, 2)}),
        (("16", "16 1/2"), {"side": "right"}, {"left": (2, 2), "right": (2, 3)}),
        (("16", "15 1/2"), {"side": "right"}, {"left": (2, 2), "right": (2, 1)}),
        # 5 steps, 2 + 3 now, one more left: 3 + 3.
        (
            ("16 1/2", "17"),
            {"side": "left", "left_now": 2, "right_now": 3},
            {"left": (2, 3), "right": (3, 3)},
        ),
        # 4 steps, 3 + 1 now, two more right: 3 + 3.
        (("16", "17"), {"side": "right", "left_now": 3, "right_now": 1}, {"left": (3, 3), "right": (1, 3)}),
    ],
)
def test_all_steps_on_one_side(sizes, given, steps):
    assert settled(TWO_SIDED, *sizes, **given)[0] == steps


@pytest.mark.parametrize(
    ("sizes", "given"),
    [
        (("16", "17"), {"side": "left"}),  # 4 + 2: two apart
        (("16", "15"), {"side": "right"}),  # 2 + 0: two apart
        (("14 1/2", "14"), {"side": "left", "left_now": 0, "right_now": 1}),  # -1 + 1
        (("14 1/2", "14"), {"side": "left"}),  # assumed 0 + 1: -1 + 1
    ],
)
def test_sides_that_would_end_uneven_are_an_error(sizes, given):
    steps, found = settled(TWO_SIDED, *sizes, **given)
    assert steps is None
    assert ("sides-uneven", "side") in found


# No change is settled before the rules on sides.


@pytest.mark.parametrize("side", ["both", "left", "right"])
def test_no_change_has_no_lines_whatever_the_side(side):
    found = exploded(TWO_SIDED, job("J-1", TUE, "16", "16", side=side))
    assert found.lines == ()
    assert [each.code for each in found.findings] == ["no-change"]


def test_no_change_leaves_even_lopsided_sides_alone():
    assert settled(TWO_SIDED, "16", "16", side="left", left_now=4, right_now=0) == (
        {"left": (4, 4), "right": (0, 0)},
        [("sides-far-apart", "left now"), ("no-change", "to")],
    )


# The adjustment and the options.


def test_the_first_adjustment_is_meant_where_none_is_named():
    depth = seat_width(joint(name="rail"), name="seat depth", sides=1)
    both = frame(seat_width(joint()), depth)
    assert settled(both, "14", "15")[0] == {"left": (0, 1), "right": (0, 1)}
    assert settled(both, "14", "15", adjustment=" Seat  DEPTH ")[0] == {"single": (0, 2)}


def test_an_unknown_adjustment_sets_the_job_aside_and_names_what_there_is():
    found = exploded(TWO_SIDED, job("J-1", TUE, "14", "15", adjustment="seat widht"))
    assert found.steps is None
    assert [each.code for each in found.findings] == ["adjustment-unknown"]
    assert "seat width" in found.findings[0].says


def test_an_option_like_a_known_one_is_an_error_and_a_strange_one_a_notice():
    rigged = frame(seat_width(joint(lengthen=(("front rigging", inch("1/4")),))))
    assert settled(rigged, "14", "15", options=("front riging",)) == (None, [("option-misspelt", "options")])
    steps, found = settled(rigged, "14", "15", options=("cup holder",))
    assert steps is not None
    assert found == [("option-unused", "options")]
    assert settled(rigged, "14", "15", options=("Front  Rigging",))[1] == []
