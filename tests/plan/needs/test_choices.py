"""Which parts may serve a line, best first: windows, grades, shanks, designations, spacers.

The joint asks for a 1/4-20 socket cap screw of 1 1/2 in + 1/2 in a step, over a grip of 1 in + 1/2 in a
step; a window of 3/8 to 5/8 in of thread then accepts 1 3/8 to 1 5/8 in at the minimum size.
"""

from fractions import Fraction

import pytest
from workshop import (
    M6,
    QUARTER_UNC,
    QUARTER_UNF,
    bolt,
    inch,
    joint,
    part,
    screw,
    spacer_kinds,
    stock,
    window,
)

from reconcile.plan.needs.choices import Racks, recovered_bolts, shank_bottoms
from reconcile.values.frames.frame import Engagement, Nut
from reconcile.values.stock.parts import Bolt

WINDOWED = window("3/8", "5/8")
NOTHING = frozenset()


def served(one_joint, *parts, steps=0, options=NOTHING):
    """Numbers of the parts that may serve, best first."""
    choices = Racks(stock(*parts)).bolt_choices(one_joint, steps, options)
    return [number for choice in choices for number, _ in choice.parts]


def first(one_joint, *parts, steps=0, options=NOTHING):
    return Racks(stock(*parts)).bolt_choices(one_joint, steps, options)[0]


# The window: [grip + least, grip + most], both ends included; without one the exact length alone.


def test_both_ends_of_the_window_serve_and_nothing_beyond():
    shelf = [screw(f"B-{n}", n) for n in ("1 5/16", "1 3/8", "1 1/2", "1 5/8", "1 11/16")]
    assert served(joint(**WINDOWED), *shelf) == ["B-1 1/2", "B-1 5/8", "B-1 3/8"]


def test_the_window_moves_with_the_steps_and_the_options():
    # 2 steps and 1/4 in of rigging: grip 1 + 1 + 1/4 = 2 1/4 in, window 2 5/8 to 2 7/8, asked 2 3/4 in.
    rigged = joint(**WINDOWED, lengthen=(("rigging", inch("1/4")),))
    shelf = [screw(f"B-{n}", n) for n in ("2 1/2", "2 5/8", "2 3/4", "2 7/8", "3")]
    assert served(rigged, *shelf, steps=2, options={"rigging"}) == ["B-2 3/4", "B-2 7/8", "B-2 5/8"]


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"grip": inch("1")},
        {"engagement": Engagement(inch("3/8"), inch("5/8"))},
        window(None, "5/8"),  # no least engagement, and no tapped member to tell it by
    ],
)
def test_without_grip_or_engagement_only_the_exact_length_serves(given):
    assert served(joint(**given), screw("B-162", "1 5/8"), screw("B-150", "1 1/2")) == ["B-150"]


@pytest.mark.parametrize(
    ("into", "shortest"),
    [("steel", "1 1/4"), ("aluminium", "1 3/8"), ("plastic", "1 1/2")],  # 1 + 1, 1.5, 2 x 1/4 in
)
def test_least_engagement_by_the_tapped_member(into, shortest):
    one_joint = joint(**window(None, "1"), into=into)
    assert one_joint.window_at(0, NOTHING).shortest == inch(shortest)
    shelf = [screw("B-short", "1 3/16"), screw("B-least", shortest), screw("B-exact", "1 1/2")]
    assert set(served(one_joint, *shelf)) == {"B-least", "B-exact"}
    assert any("common practice" in each for each in first(one_joint, *shelf).cautions)


def test_a_stated_least_engagement_needs_no_caution():
    one_joint = joint(**WINDOWED, into="aluminium")
    assert one_joint.window_at(0, NOTHING).shortest == inch("1 3/8")
    assert first(one_joint, screw("B-150", "1 1/2")).cautions == ()


# Thread, head, grade.


def test_thread_and_head_must_be_the_same():
    shelf = [
        part("UNF", bolt=bolt("1 1/2", thread=QUARTER_UNF)),
        part("M6", bolt=bolt("1 1/2", thread=M6)),
        part("button", bolt=bolt("1 1/2", head="button")),
        part("no bolt at all"),
        screw("right", "1 1/2"),
    ]
    assert served(joint(), *shelf) == ["right"]


@pytest.mark.parametrize(
    ("accepted", "expected"),
    [
        (("SAE 8",), ["B-8"]),
        (("SAE 8", "SAE 5"), ["B-8", "B-5"]),
        (("SAE 5", "SAE 8"), ["B-5", "B-8"]),
        (("sae  5",), ["B-5"]),
        ((), ["B-none", "B-5", "B-8"]),  # none listed: any, in the order of the sheet
    ],
)
def test_grades_in_the_order_the_joint_lists_them(accepted, expected):
    shelf = [
        screw("B-none", "1 1/2"),
        screw("B-5", "1 1/2", grade="SAE 5"),
        screw("B-8", "1 1/2", grade="SAE 8"),
    ]
    assert served(joint(grades=accepted), *shelf) == expected


def test_a_stock_bolt_without_a_grade_serves_no_joint_that_asks_for_one():
    assert served(joint(grades=("SAE 8",)), screw("B-none", "1 1/2")) == [
        "1/4-20 UNC x 1 1/2 in, socket cap, SAE 8"
    ]


def test_the_order_is_nearest_then_longer_then_grade_then_row():
    shelf = [
        screw("later row", "1 1/2", grade="SAE 5", row=9),
        screw("shorter", "1 7/16", grade="SAE 8", row=2),
        screw("longer", "1 9/16", grade="SAE 5", row=3),
        screw("longer, better", "1 9/16", grade="SAE 8", row=8),
        screw("farther", "1 5/8", grade="SAE 8", row=1),
        screw("exact, better", "1 1/2", grade="SAE 8", row=7),
        screw("exact", "1 1/2", grade="SAE 5", row=4),
    ]
    assert served(joint(**WINDOWED, grades=("SAE 8", "SAE 5")), *shelf) == [
        "exact, better", "exact", "later row", "longer, better", "longer", "shorter", "farther",
    ]  # fmt: skip


# Substitutes: any length but the exact one; not another grade.


def test_another_length_is_a_substitute_and_another_grade_is_not():
    one_joint = joint(**WINDOWED, grades=("SAE 8", "SAE 5"))
    shelf = stock(screw("B-5", "1 1/2", grade="SAE 5"), screw("B-162", "1 5/8", grade="SAE 8"))
    choices = Racks(shelf).bolt_choices(one_joint, 0, NOTHING)
    assert [(choice.parts[0][0], choice.substitute) for choice in choices] == [
        ("B-5", False),
        ("B-162", True),
    ]


def test_the_thread_left_in_the_tapped_member_is_told():
    # 1 5/8 - 1 = 5/8 in.
    assert first(joint(**WINDOWED), screw("B-162", "1 5/8")).engagement == inch("5/8")
    assert first(joint(), screw("B-150", "1 1/2")).engagement is None


# The shank: length - thread length must not exceed the grip.


@pytest.mark.parametrize(
    ("threaded", "serves"),
    [
        ("1/2", True),  # shank 1 1/2 - 1/2 = 1 in: just as long as the grip
        ("7/16", False),  # shank 1 1/16 in: it bottoms before it clamps
        ("1 1/2", True),
    ],
)
def test_a_shank_longer_than_the_grip_is_no_choice(threaded, serves):
    shelf = part("B-150", bolt=bolt("1 1/2", threaded=threaded))
    assert (served(joint(**WINDOWED), shelf) == ["B-150"]) is serves


def test_the_shank_rule_holds_for_the_exact_length_too():
    assert served(joint(grip=inch("1/2")), part("B-150", bolt=bolt("1 1/2", threaded="3/4"))) != ["B-150"]


def test_without_a_grip_a_shank_cannot_be_judged():
    assert served(joint(), part("B-150", bolt=bolt("1 1/2", threaded="1/4"))) == ["B-150"]


def test_an_unstated_thread_length_is_that_of_the_standard_of_the_head():
    # Inch socket head cap screw, LT = 2 D + 1/2 in = 1 in (ASME B18.3): 2 1/2 in long, shank 1 1/2 in.
    long_one = part("B-250", bolt=bolt("2 1/2", threaded=None))
    asked = {"length": inch("2 1/2")}
    assert served(joint(**asked, **window("1/2", "1 1/8", grip="1 1/2")), long_one) == ["B-250"]
    assert served(joint(**asked, **window("1/2", "1 1/8", grip="1 7/16")), long_one) != ["B-250"]
    assert first(joint(**asked, **window("1/2", "1 1/8", grip="1 1/2")), long_one).cautions == ()


def test_a_metric_cap_screw_by_its_standard():
    # b = 2 d + 12 = 24 mm (ISO 4762): 40 mm long, shank 16 mm.
    m6 = part("M6x40", bolt=Bolt(M6, Fraction(40), "socket cap"))
    asked = {"thread": M6, "length": Fraction(40), "per_step": Fraction(10)}
    held = {"engagement": Engagement(Fraction(9), Fraction(30))}
    assert served(joint(**asked, **held, grip=Fraction(16)), m6) == ["M6x40"]
    assert served(joint(**asked, **held, grip=Fraction(15)), m6) != ["M6x40"]


def test_a_head_without_a_standard_is_taken_as_fully_threaded_with_a_caution():
    one_joint = joint(head="button", **WINDOWED)
    shelf = part("BTN", bolt=bolt("1 1/2", threaded=None, head="button"))
    assert served(one_joint, shelf) == ["BTN"]
    assert any("thread length not stated" in each for each in first(one_joint, shelf).cautions)


# To buy: by designation, at a preferred length. Inch cap screws: by 1/4 from 1 to 3 1/2 in, then by 1/2.


@pytest.mark.parametrize(
    ("asked", "held", "bought"),
    [
        ("1 1/2", window("3/8", "5/8"), "1 1/2 in"),  # preferred itself
        ("1 5/8", window("3/8", "7/8"), "1 3/4 in"),  # 1 1/2 and 1 3/4 are as near: the longer
        ("1 9/16", window("3/8", "7/8"), "1 1/2 in"),  # 1/16 to 1 1/2, 3/16 to 1 3/4
        ("1 11/16", window("3/8", "7/8"), "1 3/4 in"),
        ("1 5/8", window("3/8", "5/8"), "1 1/2 in"),  # 1 3/4 lies outside the window 1 3/8 to 1 5/8
        ("1 5/8", window("9/16", "11/16"), "1 5/8 in"),  # nothing preferred in 1 9/16 to 1 11/16
        ("1 5/8", {}, "1 5/8 in"),  # no window
        ("3 3/4", window("2 1/2", "3"), "4 in"),  # 3 1/2 and 4 are as near: the longer
    ],
)
def test_the_length_to_buy(asked, held, bought):
    one_joint = joint(length=inch(asked), **held)
    choice = first(one_joint)
    number, _ = choice.parts[0]
    assert number.removesuffix(", fully threaded") == f"1/4-20 UNC x {bought}, socket cap"
    assert choice.substitute is (choice.length != inch(asked))


@pytest.mark.parametrize(
    ("asked", "most", "bought"),
    [
        ("42.5", "30", "45 mm"),  # 40 and 45 are as near: the longer
        ("42", "30", "40 mm"),
        ("37.5", "17.5", "35 mm"),  # 40 lies outside the window 29 to 37.5
        ("30", "20", "30 mm"),
        ("205", "240", "200 mm"),  # the list ends at 200
    ],
)
def test_the_metric_length_to_buy(asked, most, bought):
    # ISO 888; grip 20 mm, at least 9 mm of thread.
    held = {"grip": Fraction(20), "engagement": Engagement(Fraction(9), Fraction(most))}
    one_joint = joint(thread=M6, length=Fraction(asked), **held, grades=("8.8", "10.9"))
    number, _ = first(one_joint).parts[0]
    assert number.removesuffix(", fully threaded") == f"M6 x {bought}, socket cap, 8.8"
    # b = 2 d + 12 = 24 mm (ISO 4762): from 45 mm on the plain shank is longer than the grip.
    assert number.endswith("fully threaded") is (Fraction(bought.split()[0]) - 24 > 20)


def test_a_head_with_no_list_of_lengths_is_bought_as_asked():
    one_joint = joint(head="button", length=inch("1 5/8"), **window("3/8", "7/8"))
    assert first(one_joint).parts == (("1/4-20 UNC x 1 5/8 in, button", 1),)


# What is bought must not be what was just refused: where the standard bolt of that length bottoms on its
# plain shank, or one in stock does, the designation asks for thread to the head.


def test_a_bolt_that_would_bottom_by_its_standard_is_bought_fully_threaded():
    # Inch socket head cap screw, LT = 1 in (ASME B18.3): 2 1/2 in long, shank 1 1/2 in, grip 1 7/16 in.
    held = {"length": inch("2 1/2"), "grades": ("ASTM A574",)}
    named = "1/4-20 UNC x 2 1/2 in, socket cap, ASTM A574"
    assert served(joint(**held, **window("1/2", "1 1/8", grip="1 1/2"))) == [named]
    racks = Racks(stock())
    choice = racks.bolt_choices(joint(**held, **window("1/2", "1 1/8", grip="1 7/16")), 0, NOTHING)[0]
    assert choice.parts == ((f"{named}, fully threaded", 1),)
    (wanted,) = racks.wanted.values()
    assert wanted.bolt.thread_length == wanted.bolt.length == inch("2 1/2")
    assert not shank_bottoms(wanted.bolt, inch("1 7/16"))


def test_a_hexagon_bolt_that_would_bottom_is_bought_fully_threaded():
    # ASME B18.2.1: LT = 3/4 in, so 2 in has a shank of 1 1/4 in; no list of lengths: bought as asked.
    held = {"head": "hex", "length": inch("2")}
    named = "1/4-20 UNC x 2 in, hex"
    assert served(joint(**held, **window("3/8", "1", grip="1 1/4"))) == [named]
    assert served(joint(**held, **window("3/8", "1", grip="1 3/16"))) == [f"{named}, fully threaded"]


def test_a_stock_bolt_refused_for_its_shank_is_not_bought_again():
    # A button head has no standard here; the one in stock has a shank of 1 in over a grip of 7/8 in.
    held = {"head": "button", **window("3/8", "5/8", grip="7/8")}
    named = "1/4-20 UNC x 1 1/2 in, button"
    refused = part("B-150", bolt=bolt("1 1/2", head="button", threaded="1/2"))
    other = part("B-137", bolt=bolt("1 3/8", head="button", threaded="1/4"))
    assert served(joint(**held), refused) == [f"{named}, fully threaded"]
    assert served(joint(**held), other) == [named]  # another length tells nothing of this one
    assert served(joint(**held)) == [named]


def test_without_a_grip_nothing_can_bottom_and_the_standard_bolt_is_bought():
    assert served(joint(length=inch("2 1/2"))) == ["1/4-20 UNC x 2 1/2 in, socket cap"]


def test_what_is_bought_is_remembered_once_by_its_designation():
    racks = Racks(stock())
    racks.bolt_choices(joint(), 0, NOTHING)
    racks.bolt_choices(joint(name="rear", length=inch("1"), grades=()), 1, NOTHING)  # 1 + 1/2: the same
    assert list(racks.wanted) == ["1/4-20 UNC x 1 1/2 in, socket cap"]
    assert all(each.new for each in racks.wanted.values())


def test_nothing_is_bought_where_a_stock_part_serves_even_with_none_on_hand():
    racks = Racks(stock(screw("B-162", "1 5/8", 0)))
    choices = racks.bolt_choices(joint(**WINDOWED), 0, NOTHING)
    assert ([each.parts for each in choices], racks.wanted) == ([(("B-162", 1),)], {})


# Spacers: every multiset that adds up exactly; fewer pieces, then more of the one listed first.


def stacked(kinds, thickness):
    choices = Racks(stock()).spacer_choices(joint(spacers=kinds), inch(thickness))
    return [{number: int(count) for number, count in choice.parts} for choice in choices]


def test_every_multiset_with_fewer_pieces_first():
    # 1 1/2 in = 1 + 1/2 (2 pieces) = 3 x 1/2.
    assert stacked(spacer_kinds(SP_050="1/2", SP_100="1"), "1 1/2") == [
        {"SP-050": 1, "SP-100": 1},
        {"SP-050": 3},
    ]


def test_of_as_many_pieces_more_of_the_one_listed_first():
    # 2 in from 1/2, 1, 1 1/2: two pieces 1/2 + 1 1/2 or 1 + 1; three 1/2 + 1/2 + 1; four 1/2.
    kinds = spacer_kinds(A="1/2", B="1", C="1 1/2")
    assert stacked(kinds, "2") == [{"A": 1, "C": 1}, {"B": 2}, {"A": 2, "B": 1}, {"A": 4}]
    assert stacked(kinds[::-1], "2") == [{"C": 1, "A": 1}, {"B": 2}, {"B": 1, "A": 2}, {"A": 4}]


def test_only_exact_stacks_count():
    assert stacked(spacer_kinds(A="3/8", B="1"), "1/2") == []
    assert stacked(spacer_kinds(A="3/8"), "1 1/8") == [{"A": 3}]
    assert stacked((), "1/2") == []


def test_another_stack_of_spacers_is_no_substitute():
    choices = Racks(stock()).spacer_choices(joint(), inch("1"))
    assert [choice.substitute for choice in choices] == [False, False]


# What comes off: exactly its specification.


def back(one_joint, length, *parts):
    return recovered_bolts(one_joint, inch(length), Racks(stock(*parts)))


def test_a_removed_bolt_becomes_the_stock_part_of_exactly_its_length():
    shelf = [screw("B-162", "1 5/8"), screw("B-150", "1 1/2")]
    assert back(joint(**WINDOWED), "1 1/2", *shelf) == (["B-150"], False)
    assert back(joint(**WINDOWED), "1 9/16", *shelf) == ([], False)


def test_of_several_that_are_alike_it_is_the_first_row():
    shelf = [
        screw("B-5", "1 1/2", grade="SAE 5"),
        screw("B-8b", "1 1/2", grade="SAE 8", row=8),
        screw("B-8a", "1 1/2", grade="SAE 8", row=7),
    ]
    assert back(joint(grades=("SAE 8",)), "1 1/2", *shelf) == (["B-8a"], False)
    assert back(joint(grades=("8.8",)), "1 1/2", *shelf) == ([], False)


def test_of_several_in_different_grades_or_finishes_nobody_can_tell_which_comes_out():
    graded = [screw("B-5", "1 1/2", grade="SAE 5"), screw("B-8", "1 1/2", grade="SAE 8")]
    assert back(joint(grades=("SAE 8", "SAE 5")), "1 1/2", *graded) == ([], True)
    finished = [screw("B-z", "1 1/2", finish="zinc"), screw("B-b", "1 1/2", finish="black oxide")]
    assert back(joint(), "1 1/2", *finished) == ([], True)
    assert back(joint(grades=("SAE 5",)), "1 1/2", *graded) == (["B-5"], False)


def test_threads_differ_by_series_even_at_one_diameter():
    assert QUARTER_UNC.diameter == QUARTER_UNF.diameter
    assert QUARTER_UNC != QUARTER_UNF


# --- nuts, depth, finishes, the pieces of a stack ---------------------------------------------------------


def numbers(choices):
    return [number for choice in choices for number, _ in choice.parts]


def test_a_bolt_that_ends_inside_its_nut_is_no_choice():
    """Grip 25.4 mm, a nut of 6 mm, a pitch of 1.27 mm past it: from 32.67 mm; asked for is 1 1/2 in, 38.1 mm.

    1 1/4 in, 31.75 mm, ends 0.35 mm past the nut; 1 3/8 in, 34.925 mm, stands 3.525 mm past it; 1 5/8 in
    would stand out further than the bolt asked for does.
    """
    one = joint(grip=inch("1"), nut=Nut("NUT", Fraction(6), inch("1/20")))
    rack = Racks(stock(*(screw(f"B-{n}", n) for n in ("1 1/4", "1 3/8", "1 1/2", "1 5/8"))))
    assert numbers(rack.bolt_choices(one, 0, NOTHING)) == ["B-1 1/2", "B-1 3/8"]


@pytest.mark.parametrize(("threaded", "serves"), [("3/4", True), ("0.54", False), ("0.56", True)])
def test_the_thread_of_a_nutted_bolt_begins_a_pitch_within_the_grip(threaded, serves):
    """1 1/2 in less a grip of 1 in and a pitch of 0.05 in: the thread must be 0.55 in or longer."""
    one = joint(grip=inch("1"), nut=Nut("NUT", Fraction(6), inch("1/20")))
    rack = Racks(stock(part("B", 9, bolt=bolt("1 1/2", threaded=threaded))))
    assert (numbers(rack.bolt_choices(one, 0, NOTHING)) == ["B"]) == serves


def test_a_bolt_that_reaches_the_bottom_of_its_hole_is_no_choice():
    """Grip 1 in, depth 5/8 in less a pitch of 1/20 in: 1.575 in at most, so 1 5/8 in is none."""
    held = Engagement(inch("3/8"), None, inch("5/8"))
    one = joint(grip=inch("1"), engagement=held)
    rack = Racks(stock(*(screw(f"B-{n}", n) for n in ("1 1/4", "1 3/8", "1 1/2", "1 9/16", "1 5/8"))))
    assert numbers(rack.bolt_choices(one, 0, NOTHING)) == ["B-1 1/2", "B-1 9/16", "B-1 3/8"]


def test_finishes_are_accepted_in_the_order_the_joint_lists_them():
    one = joint(finishes=("black oxide", "zinc"), grades=("SAE 8", "SAE 5"))
    rack = Racks(
        stock(
            screw("PLAIN", "1 1/2", grade="SAE 8"),
            screw("ZINC", "1 1/2", grade="SAE 8", finish="Zinc"),
            screw("BLACK-5", "1 1/2", grade="SAE 5", finish="black oxide"),
            screw("BLACK", "1 1/2", grade="SAE 8", finish="Black Oxide"),
        )
    )
    choices = rack.bolt_choices(one, 0, NOTHING)
    assert numbers(choices) == ["BLACK", "ZINC", "BLACK-5"]
    assert [choice.differs for choice in choices] == [False, True, True]
    assert not any(choice.substitute for choice in choices)
    anything = rack.bolt_choices(joint(), 0, NOTHING)
    assert (numbers(anything)[0], any(choice.differs for choice in anything)) == ("PLAIN", False)


def test_a_designation_ends_with_the_first_accepted_finish():
    rack = Racks(stock())
    (choice,) = rack.bolt_choices(joint(grades=("SAE 8",), finishes=("black oxide", "zinc")), 0, NOTHING)
    number = "1/4-20 UNC x 1 1/2 in, socket cap, SAE 8, black oxide"
    assert (choice.parts, choice.differs) == (((number, 1),), False)
    assert rack.wanted[number].finish == "black oxide"


def test_a_stack_has_no_more_pieces_than_the_most_with_those_that_stay():
    one, rack = joint(most_pieces=2), Racks(stock())
    assert [dict(choice.parts) for choice in rack.spacer_choices(one, inch("1"))] == [
        {"SP-100": 1},
        {"SP-050": 2},
    ]
    assert [dict(choice.parts) for choice in rack.spacer_choices(one, inch("1"), 1)] == [{"SP-100": 1}]
    assert rack.spacer_choices(one, inch("1 1/2"), 1) == ()
