"""The drawing held to the numbers: what is drawn is read back from the SVG and compared with the cut."""

from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as Xml

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workshop import M6, MON, QUARTER_UNC, frame, inch, job, joint, seat_width, window

from reconcile.plan.joints.sections import Opening, cut
from reconcile.plan.needs.choices import Racks
from reconcile.plan.needs.lines import explode, kind_of
from reconcile.reports.drawings.joint import (
    HATCHES,
    PAGE,
    SCALES,
    TEXT_HEIGHT,
    Drawing,
    drawing_defs,
    drawing_style,
    joint_drawing,
)
from reconcile.sheets.frames.files import read_frames
from reconcile.values.frames.frame import Engagement, SpacerKind
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
    STANDS_PAST,
    TOO_FAR_OUT,
    TOO_LONG,
    TOO_SHORT,
    WASHER,
    WELL,
    JointCut,
    Section,
    Slice,
)
from reconcile.values.stock.parts import Stock
from reconcile.values.week.results import ServedLine

FRAMES = Path(__file__).resolve().parents[3] / "data_demo" / "frames"


@cache
def demo_frames():
    """The frames of the demonstration."""
    return tuple(read_frames(FRAMES).frames.values())


def parsed(drawing: Drawing) -> Xml.Element:
    return Xml.fromstring(drawing.svg)


def by_class(group: Xml.Element, name: str) -> list[Xml.Element]:
    return [each for each in group.iter() if name in each.get("class", "").split()]


def sections_of(svg: Xml.Element) -> list[Xml.Element]:
    return by_class(svg, "section")


def measured(group: Xml.Element, name: str) -> Fraction:
    """The drawn length of the one element of a class; its exact figure beside it must agree."""
    (found,) = by_class(group, name)
    width = Fraction(found.get("width"))
    assert abs(width - Fraction(found.get("data-mm"))) <= Fraction(1, 10_000)
    return Fraction(found.get("data-mm"))


def dimensions(group: Xml.Element) -> dict[str, Fraction]:
    """Each dimension by name, read from its line and held to its figure."""
    found = {}
    for each in by_class(group, "dim"):
        (line,) = by_class(each, "measure")
        drawn = Fraction(line.get("x2")) - Fraction(line.get("x1"))
        assert abs(drawn - Fraction(each.get("data-mm"))) <= Fraction(1, 10_000)
        found[each.get("data-name")] = Fraction(each.get("data-mm"))
    return found


def layers(group: Xml.Element) -> list[tuple[str, Fraction, Fraction]]:
    """Class, start and width of each clamped layer, in order."""
    drawn = (each for each in by_class(group, "slice") if "open" not in each.get("class").split())
    return [
        (each.get("class").split()[1], Fraction(each.get("x")), Fraction(each.get("width"))) for each in drawn
    ]


def hold_to_numbers(group: Xml.Element, section: Section) -> None:
    """Everything that is to scale in one drawn section."""
    assert measured(group, "bolt") == measured(group, "outline") == section.length
    if section.engagement > 0:
        held = section.engagement if section.nut is None else min(section.engagement, section.nut)
        assert measured(group, "engaged") == held
    if section.threaded is not None:
        assert measured(group, "threaded") == section.threaded
    drawn = layers(group)
    assert [(name, width) for name, _, width in drawn] == [
        (HATCHES[each.kind][0], each.thickness) for each in section.slices
    ]
    (bolt,) = by_class(group, "bolt")
    place = Fraction(bolt.get("x"))
    for _, start, width in drawn:
        assert start == place, "a layer begins where the one before it ends, the first under the head"
        place += width
    assert place - Fraction(bolt.get("x")) == section.grip
    assert Fraction(bolt.get("height")) == section.thread.diameter
    (far,) = by_class(group, "hole" if section.nut is None else "nut")
    assert Fraction(far.get("x")) == place, "the tapped member, or the nut, begins where the grip ends"
    if section.nut is not None:
        assert measured(group, "nut") == section.nut
    elif section.depth is not None:
        assert measured(group, "hole") == section.depth
        assert measured(group, "keep-clear") == section.thread.pitch == section.depth - section.most
    for name, mark in (("least", section.least), ("most", section.most)):
        if mark is not None and (name == "least" or section.depth is None):
            (line,) = (drawn for drawn in by_class(group, name) if drawn.tag == "line")
            assert abs(Fraction(line.get("x1")) - place - mark) < Fraction(1, 1000)
    hold_dimensions(group, section)


def hold_dimensions(group: Xml.Element, section: Section) -> None:
    told = dimensions(group)
    assert told["length"] == section.length
    if section.slices:
        assert told["grip"] == section.grip
    nut = section.nut or 0
    if section.engagement > nut:
        assert told["engagement" if section.nut is None else "past"] == section.engagement - nut
    assert told.get("nut") == section.nut
    assert told.get("depth") == section.depth
    assert told.get("most") == (section.most if section.nut is None and section.depth is None else None)
    assert told.get("least") == (None if section.least is None else section.least - nut)
    assert told.get("spacers", section.spacers) == section.spacers


# --- every joint and step of the demonstration's frames ---------------------------------------------------


@st.composite
def demo_cuts(draw) -> tuple[JointCut, str]:
    """A joint of a demo frame with any steps before and after and any of its options."""
    one_frame = draw(st.sampled_from(demo_frames()))
    adjustment = draw(st.sampled_from(one_frame.adjustments))
    one = draw(st.sampled_from(adjustment.joints))
    steps = st.integers(0, adjustment.most_steps_a_side)
    options = draw(st.frozensets(st.sampled_from(sorted(adjustment.options) or ["none"])))
    return cut(one, Opening("left", draw(steps), draw(steps), options), [], no_part), one_frame.unit


def no_part(number: str):
    raise AssertionError(f"no part is asked for, least of all {number}")


@pytest.mark.slow
@given(demo_cuts())
def test_what_is_drawn_is_what_was_worked_out(made):
    one, unit = made
    svg = parsed(joint_drawing(one, unit, "left"))
    before, after = sections_of(svg)
    hold_to_numbers(before, one.before)
    hold_to_numbers(after, one.after[0])
    step = one.joint.per_step
    assert (one.after[0].length - one.before.length) == (one.after[0].grip - one.before.grip)
    assert step == 0 or (one.after[0].grip - one.before.grip) % step == 0


@pytest.mark.slow
def test_every_joint_and_step_of_the_demo_is_drawn_within_its_page():
    drawn = 0
    for one_frame in demo_frames():
        for adjustment in one_frame.adjustments:
            for one in adjustment.joints:
                for steps in range(adjustment.most_steps_a_side + 1):
                    made = cut(one, Opening("", steps, steps), [], no_part)
                    svg = parsed(joint_drawing(made, one_frame.unit))
                    assert Fraction(svg.get("width").removesuffix("mm")) <= PAGE
                    for group, section in zip(sections_of(svg), (made.before, *made.after), strict=True):
                        hold_to_numbers(group, section)
                    within(svg)
                    drawn += 1
    assert drawn > 30


def within(svg: Xml.Element) -> None:
    """No measured element and no line leaves its column."""
    scale = int(svg.get("data-scale"))
    starts = [Fraction(each.get("transform").split("(")[1].split()[0]) for each in sections_of(svg)]
    ends = [*starts[1:], Fraction(svg.get("viewBox").split()[2])]
    for group, start, end in zip(sections_of(svg), starts, ends, strict=True):
        for each in group.iter():
            for name in ("x", "x1", "x2"):
                if each.get(name) is not None:
                    assert -scale <= Fraction(each.get(name)) <= end - start
            if each.get("x") and each.get("width"):
                assert Fraction(each.get("x")) + Fraction(each.get("width")) <= end - start


def test_the_parts_that_serve_are_drawn_piece_by_piece():
    one = joint(
        length=inch("1"), spacers=(SpacerKind("S-1", inch("1")), SpacerKind("S-H", inch("1/2"))),
        **window("3/8", "5/8", grip="1/2"),
    )  # fmt: skip
    exploded = explode(kind_of(job("J-1", MON, "14", "17")), frame(seat_width(one)), Racks(Stock()))
    lines = [
        ServedLine(line, line.quantity, line.choices[0].parts, served=((line.choices[0], line.quantity),))
        for line in exploded.lines
        if line.what == "spacer" and line.side == "left"
    ]
    made = cut(one, Opening("left", 0, 3), lines, no_part)
    _, after = sections_of(parsed(joint_drawing(made, "in")))
    assert [(name, width) for name, _, width in layers(after)] == [
        ("frame", inch("1/2")),
        ("in", inch("1")),
        ("in", inch("1/2")),
    ]


# --- cases that must be seen ------------------------------------------------------------------------------

M6_JOINT = joint(
    thread=M6, head="hex", length=Fraction(30), per_step=Fraction(0), spacers=(), grip=Fraction(20),
    engagement=Engagement(Fraction(6), Fraction(16)),
)  # fmt: skip


def one_cut(length: str, *, slices=None, **given) -> JointCut:
    """An M6 bolt of some length through 20 mm, least 6 and most 16 mm of thread."""
    plain = {"least": Fraction(6), "most": Fraction(16), "threaded": None}
    layer = slices or (Slice(FRAME_PARTS, Fraction(20)),)
    made = Section(layer, Fraction(length), M6, "hex", **(plain | given))
    return JointCut(M6_JOINT, "", made, (made,))


@pytest.mark.parametrize(
    ("length", "verdict", "past"),
    [
        ("19", TOO_SHORT, []), ("24", TOO_SHORT, []), ("26", BARELY, []), ("30", HOLDS, []),
        ("36", FILLED, []), ("40", TOO_LONG, ["4"]),
    ],
)  # fmt: skip
def test_a_bolt_that_bottoms_out_or_barely_holds_is_seen_and_said(length, verdict, past):
    made = one_cut(length)
    group = sections_of(parsed(joint_drawing(made, "mm")))[0]
    assert group.get("data-verdict") == verdict
    hold_to_numbers(group, made.before)
    marks = by_class(group, "past")
    assert [each.get("data-mm") for each in marks if each.tag == "rect"] == past
    assert bool(marks) == (verdict == TOO_LONG)
    (said,) = by_class(group, "said")
    well = {HOLDS: "holds: 1.67 diameters", FILLED: FILLED}
    assert said.text == well.get(verdict, f"! {verdict}")


@pytest.mark.parametrize(
    ("length", "given", "verdict", "past"),
    [
        ("35", {"depth": Fraction(16)}, HOLDS, []),
        ("35.5", {"depth": Fraction(16)}, NEAR, ["1/2"]),
        ("36", {"depth": Fraction(16)}, BOTTOMS, []),
        ("40", {"depth": Fraction(16)}, PAST_BOTTOM, ["4"]),
        ("25.5", {"nut": Fraction(5)}, IN_NUT, []),
        ("28", {"nut": Fraction(5)}, STANDS_PAST, []),
        ("40", {"nut": Fraction(5)}, TOO_FAR_OUT, ["5"]),
    ],
)
def test_a_clear_pitch_and_a_nut_are_drawn_to_scale(length, given, verdict, past):
    """Of 16 mm of thread one pitch of 1 mm stays clear; a nut of 5 mm, and from 6 to 15 mm past the grip."""
    made = one_cut(length, most=Fraction(15), **given)
    for group in sections_of(parsed(joint_drawing(made, "mm"))):
        assert group.get("data-verdict") == verdict
        hold_to_numbers(group, made.before)
        marks = by_class(group, "past")
        assert [each.get("data-mm") for each in marks if each.tag == "rect"] == past
        assert bool(marks) == (verdict in (NEAR, BOTTOMS, PAST_BOTTOM, TOO_FAR_OUT))
        (said,) = by_class(group, "said")
        assert ("bad" in said.get("class").split()) == (verdict not in WELL)


def test_washers_are_drawn_as_layers_narrower_than_the_frame_parts():
    washer = Slice(WASHER, Fraction(8, 5), "W-6")
    slices = (washer, Slice(FRAME_PARTS, Fraction(10)), Slice(KEPT, Fraction(9)), washer)
    made = one_cut("30", slices=slices, nut=Fraction(5), most=Fraction(10))
    group = sections_of(parsed(joint_drawing(made, "mm")))[0]
    hold_to_numbers(group, made.before)
    first, frame_parts = (each for each in by_class(group, "slice")[:2])
    assert Fraction(first.get("height")) < Fraction(frame_parts.get("height"))
    spacers = next(each for each in by_class(group, "dim") if each.get("data-name") == "spacers")
    (line,), (bolt,) = by_class(spacers, "measure"), by_class(group, "bolt")
    assert Fraction(line.get("x1")) - Fraction(bolt.get("x")) == Fraction("11.6"), "washer and frame parts"


def test_what_is_drawn_is_said_in_words_for_who_cannot_see_it():
    svg = parsed(joint_drawing(one_cut("40"), "mm", "left and right"))
    assert (svg.get("role"), svg.get("aria-label")) == ("img", "Drawing of upper front, left and right")
    assert svg.find("title").text == "upper front, left and right"
    assert svg.find("desc").text.startswith(
        "Before: bolt 40 mm, grip 20 mm, engagement 20 mm, at least 6 mm, at most 16 mm. "
        "The bolt is too long: more thread goes in than the most. After: bolt 40 mm"
    )
    nutted = one_cut("30", nut=Fraction(5), most=Fraction(12))
    assert (
        parsed(joint_drawing(nutted, "mm"))
        .find("desc")
        .text.startswith(
            "Before: bolt 30 mm, grip 20 mm, nut 5 mm, past the nut 5 mm, at least 1 mm, at most 7 mm. "
            "The bolt holds: it stands past the nut as it must."
        )
    )
    blind = one_cut("30", depth=Fraction(13), most=Fraction(12))
    assert "at most 12 mm, thread depth 13 mm." in parsed(joint_drawing(blind, "mm")).find("desc").text


def test_a_joint_without_a_grip_has_no_drawing():
    assert joint_drawing(JointCut(M6_JOINT, "", None, (), why_none="no grip"), "mm") is None


def test_the_scale_is_one_to_one_where_it_fits_and_the_next_of_the_standard_where_not():
    def scale(length: str) -> int:
        grip = (Slice(FRAME_PARTS, Fraction(length) - 10),)
        svg = parsed(joint_drawing(one_cut(length, slices=grip), "mm"))
        drawn, paper = Fraction(svg.get("viewBox").split()[2]), Fraction(svg.get("width").removesuffix("mm"))
        assert abs(drawn / int(svg.get("data-scale")) - paper) < Fraction(1, 1000)
        assert paper <= PAGE
        return int(svg.get("data-scale"))

    assert [scale(each) for each in ("30", "100", "300")] == [1, 2, 5]


def test_letters_are_at_least_eight_points_high():
    assert TEXT_HEIGHT / Fraction("25.4") * 72 >= 8
    assert f".s2{{stroke-width:0.5;font-size:{float(TEXT_HEIGHT * 2)}px}}" in drawing_style()
    assert SCALES[:3] == (1, 2, 5)


def test_without_a_greatest_engagement_the_depth_is_left_open():
    group = sections_of(parsed(joint_drawing(one_cut("30", most=None), "mm")))[0]
    assert by_class(group, "hole")[0].get("data-known") == "no"
    assert not by_class(group, "bottom")
    assert "depth" not in dimensions(group)


def test_a_rule_of_thumb_is_marked_where_it_is_drawn():
    svg = joint_drawing(one_cut("30", rule_of_thumb=True), "mm").svg
    assert "least 6 mm (rule of thumb)" in svg


@pytest.mark.parametrize("head", ["socket cap", "button", "hex", "pan", "countersunk", "something else"])
def test_every_head_has_a_symbol_and_none_is_dimensioned(head):
    made = one_cut("30")
    other = replace(made, before=replace(made.before, head=head))
    group = sections_of(parsed(joint_drawing(other, "mm")))[0]
    (symbol,) = by_class(group, "head")
    assert symbol.get("data-mm") is None


def test_a_thread_is_drawn_by_crest_root_and_its_end():
    made = one_cut("30", threaded=Fraction(18))
    group = sections_of(parsed(joint_drawing(made, "mm")))[0]
    (end,) = by_class(group, "thread-end")
    (bolt,) = by_class(group, "bolt")
    assert Fraction(end.get("x1")) - Fraction(bolt.get("x")) == 12, "30 long, 18 threaded"
    assert "thick" in end.get("class").split()
    root = Fraction(by_class(group, "threaded")[0].get("height"))
    assert root == 6 - Fraction("1.0825"), "the basic minor diameter of M6"


def test_layers_of_one_kind_side_by_side_are_hatched_the_other_way():
    pieces = (Slice(FRAME_PARTS, Fraction(10)), *[Slice(GOES_IN, Fraction(5), "S")] * 2)
    group = sections_of(parsed(joint_drawing(one_cut("30", slices=pieces), "mm")))[0]
    fills = [each.get("fill") for each in by_class(group, "hatching")][1:]
    assert fills == ["url(#hatch-frame-1)", "url(#hatch-in-1)", "url(#hatch-in-turned-1)"]


def test_every_hatching_that_a_drawing_names_is_defined_and_every_class_has_a_style():
    kinds = (FRAME_PARTS, OPTION, KEPT, COMES_OUT, GOES_IN)
    pieces = tuple(Slice(kind, Fraction(8)) for kind in kinds)
    defined = {each.get("id") for each in Xml.fromstring(drawing_defs()).iter() if each.get("id")}
    svg = parsed(joint_drawing(one_cut("50", slices=pieces), "mm"))
    used = {each.get("fill") for each in by_class(svg, "hatching")}
    assert {each.removeprefix("url(#").removesuffix(")") for each in used} <= defined
    for name in ("thick", "past", "least", "engaged", "arrow", "hatch-line", "in", "out"):
        assert f".{name}" in drawing_style()


def test_lines_are_thick_and_thin_two_to_one():
    style = drawing_style()
    assert ".s1{stroke-width:0.25;" in style
    assert ".s1 :is(.thick,.outline,.slice,.head,.nut){stroke-width:0.5}" in style
    assert ".s2{stroke-width:0.5;" in style, "as thick on paper at half the scale"


def test_equal_drawings_can_share_their_body():
    drawing = joint_drawing(one_cut("30"), "mm")
    other = drawing.named(one_cut("30"), "mm", "right")
    assert other.body == drawing.body
    assert '<use href="#d-1"' in other.using("d-1")
    assert "upper front, right" in other.svg


def test_inches_are_exact_in_the_drawing():
    made = cut(
        joint(thread=QUARTER_UNC, length=inch("1 1/128"), spacers=(), **window("3/8", "5/8", "5/8")),
        Opening("", 0, 0), [], no_part,
    )  # fmt: skip
    group = sections_of(parsed(joint_drawing(made, "in")))[0]
    (bolt,) = by_class(group, "bolt")
    assert Fraction(bolt.get("width")) == inch("1 1/128"), "25.5984375 mm, to the last digit"
