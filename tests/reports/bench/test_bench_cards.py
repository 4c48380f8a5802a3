"""Cards for the bench: what a technician reads, in plain texts."""

from dataclasses import replace
from fractions import Fraction

import pytest
import weeks
from bench_week import workshop_week
from hypothesis import given
from hypothesis import strategies as st
from lxml import html as lxml_html
from workshop import (
    FRI,
    MON,
    TUE,
    due,
    frame,
    inch,
    job,
    joint,
    part,
    planned,
    screw,
    seat_width,
    stock,
    window,
)

from reconcile.reports.bench.book import WHAT, card_rows
from reconcile.reports.bench.cards import (
    DO_NOT_OPEN,
    IN,
    NO_TORQUE,
    OUT,
    Item,
    JointCard,
    Tick,
    anchors,
    bench_cards,
    both_units,
)
from reconcile.reports.bench.page import page_text
from reconcile.reports.writing.wording import CAUTIONS
from reconcile.values.frames.frame import Cover, CoverRange, Disturbed
from reconcile.values.ledger.jobs import CheckAsked
from reconcile.values.measure import Amount

UPPER = joint(
    length=inch("1"), reuse=True, spacer_reuse=True, torque="9 N*m", **window("3/8", "5/8", grip="1/2")
)
COVER = Cover("cover", (CoverRange(0, 2, "CP-2"), CoverRange(3, 6, "CP-6")), reuse=True)
NUTS = Disturbed("NUT", Amount(Fraction(4), "each"))
SHELF = (
    part("SP-050", 20),
    part("SP-100", 20),
    screw("B-200", "2", 9),
    screw("B-250", "2 1/2", 9),
    part("CP-2", 2),
    part("CP-6", 2),
    part("NUT", 8),
)


def card(*joints, sizes=("16", "17"), shelf=SHELF, coming=(), **given):
    built = seat_width(*(joints or (UPPER,)), covers=(COVER,), disturbed=(NUTS,))
    week = planned([job("J-1", TUE, *sizes, **given)], [frame(built)], stock(*shelf, due=coming))
    return bench_cards(week)[0]


def shown(items):
    return [(each.what, each.part, [(tick.side, tick.quantity) for tick in each.ticks]) for each in items]


def test_what_comes_out_and_what_goes_in_is_told_side_by_side_in_working_order():
    one = card()
    (upper,) = one.joints
    both = [("left", "1"), ("right", "1")]
    assert shown(upper.comes_out) == [("bolt 2 in", "B-200", both)]
    assert shown(upper.goes_in) == [("bolt 2 1/2 in", "B-250", both), ("spacer 1/2 in", "SP-050", both)]
    assert shown(one.rest.comes_out) == [("cover", "CP-2", both)]
    assert shown(one.rest.goes_in) == [("cover", "CP-6", both), ("replace on reassembly", "NUT", [("", "4")])]


def test_a_card_says_the_change_the_steps_and_where_the_figures_come_from():
    one = card(technician="bench 2", asset="W-7", chairs=2, notes="call first")
    assert (one.number, one.frame, one.day_words) == ("J-1", "NQ-T1", "Tue 2026-12-01")
    assert one.change == "seat width 16 in to 17 in"
    assert one.sides == (("left", 2, 3), ("right", 2, 3))
    assert dict(one.facts) == {
        "frame": "NQ-T1, test frame",
        "figures from": "build sheet 1",
        "chairs": "2: all quantities are for 2 chairs",
        "priority": "3",
        "technician": "bench 2",
        "asset": "W-7",
    }
    assert one.notes == "call first"
    assert one.joints[0].goes_in[0].ticks[0].quantity == "2"
    assert one.cautions == CAUTIONS


def test_what_is_not_even_ordered_is_told_before_what_is_to_come():
    """Two bolts lack, and a lead time of one working day lets them be had if they are ordered by Monday."""
    shelf = (part("SP-050", 0), *SHELF[1:3], screw("B-250", "2 1/2", 0, lead_time=1), *SHELF[4:])
    coming = [due("SP-050", 4, MON, order="PO-7")]
    one = card(shelf=shelf, coming=coming)
    assert one.answer == "Yes, if the parts below are ordered in time."
    assert one.waits == (
        "2 of B-250: not ordered yet, to be ordered by Mon 2026-11-30",
        "2 of SP-050: order PO-7, there on Mon 2026-11-30",
    )
    relied = [(each.part, each.relies_on) for each in one.joints[0].goes_in]
    assert relied == [("B-250", one.waits[0]), ("SP-050", one.waits[1])]


def test_torque_is_the_frame_files_with_its_source_and_never_made_up():
    assert card().joints[0].torque == "torque 9 N*m (build sheet 1)"
    assert card(replace(UPPER, torque="")).joints[0].torque == NO_TORQUE


def test_what_comes_off_goes_where_the_frame_file_says():
    def where(**given):
        return [each.goes_to for each in card(replace(UPPER, **given)).joints[0].comes_out]

    assert where() == ["back to stock after inspection, bin bin 1"]
    assert where(reuse=False) == ["do not use again"]
    without = tuple(each for each in SHELF if each.number != "B-200")
    assert card(shelf=without).joints[0].comes_out[0].goes_to == "put aside: stock has no such part"


def test_a_joint_that_is_not_built_up_has_its_own_bolts_out_and_in():
    hole_row = joint(per_step=Fraction(0), reuse=True, spacers=(), bolts=2, **window("3/8", "5/8"))
    (row,) = card(hole_row).joints
    assert [(each.way, each.what, each.goes_to) for each in row.items] == [
        (OUT, "its own bolt 1 1/2 in", "inspect, then back in"),
        (IN, "its own bolt 1 1/2 in", ""),
    ]
    assert shown(row.goes_in)[0][2] == [("left", "2"), ("right", "2")]


def test_sides_that_look_alike_share_a_drawing_and_others_do_not():
    assert [each.sides for each in card().joints[0].views] == ["left and right"]
    uneven = card(sizes=("16", "17 1/2"), shelf=(*SHELF, screw("B-300", "3", 9)))
    assert [each.sides for each in uneven.joints[0].views] == ["left", "right"]
    assert "The sides will differ by one step: 3 left, 4 right." in uneven.remarks


def test_a_substitute_is_set_out_to_be_agreed():
    shelf = (*(each for each in SHELF if each.number != "B-250"), screw("B-2375", "2 3/8", 9))
    one = card(shelf=shelf)
    (told,) = one.agreements
    assert (told.joint, told.sides, told.part) == ("upper front", "left and right", "B-2375")
    assert (told.asked, told.offered) == ("2 1/2 in", "2 3/8 in")
    assert told.engaged == "3/8 in (9.525 mm), 1.5 × d"
    assert told.bounds == "least 3/8 in, most 5/8 in"
    assert told.verdict == "The bolt holds barely: its thread engages by the least and no more."
    assert one.joints[0].goes_in[0].substitute
    assert one.joints[0].goes_in[0].what == "bolt 2 3/8 in"
    assert one.joints[0].views[0].remarks == (f"After: {told.verdict}",)


def test_a_short_job_says_first_that_the_chair_stays_closed():
    shelf = (*(each for each in SHELF if each.number != "SP-050"), part("SP-050", 1, lead_time=3))
    one = card(shelf=shelf)
    assert (one.kit, one.kit_words) == ("short", "Kit not complete")
    assert one.missing == ("1 of SP-050",)
    assert one.earliest == "It could be done on Wed 2026-12-02 at the earliest."
    assert DO_NOT_OPEN == "Kit not complete: do not open the chair."
    without_lead = (*(each for each in SHELF if each.number != "SP-050"), part("SP-050", 1))
    assert card(shelf=without_lead).earliest == "The earliest day is not known: a lead time is missing."


def test_a_waiting_job_says_for_what_and_when():
    shelf = (*(each for each in SHELF if each.number != "SP-050"), part("SP-050", 1))
    one = card(shelf=shelf, coming=(due("SP-050", 5, MON),))
    assert one.waits == ("1 of SP-050: order PO-1, there on Mon 2026-11-30",)
    spacer = one.joints[0].goes_in[1]
    assert spacer.relies_on == "1 of SP-050: order PO-1, there on Mon 2026-11-30"


def test_cards_come_by_day_then_priority_then_row():
    jobs = [job("J-3", FRI, "16", "17"), job("J-2", MON, "16", "17"), job("J-1", MON, "16", "17", priority=1)]
    week = planned(jobs, [frame(seat_width(UPPER))], stock(*SHELF))
    assert [each.number for each in bench_cards(week)] == ["J-1", "J-2", "J-3"]


def test_a_job_that_changes_nothing_has_a_card_with_nothing_on_it():
    one = card(sizes=("16", "16"))
    assert (one.joints, one.rest, one.agreements) == ((), None, ())


def test_a_single_stack_has_boxes_without_a_side():
    built = replace(seat_width(UPPER), sides=1)
    week = planned(
        [job("J-1", TUE, "14", "14 1/2")], [frame(built)], stock(*SHELF, screw("B-150", "1 1/2", 9))
    )
    (one,) = bench_cards(week)[0].joints
    assert one.sides == ""
    assert one.bolt == "1/4-20 UNC socket cap; 1 bolt"
    assert str(one.turned) == "key 3/16 in (ASME B18.3, not measured)"
    assert {tick.side for item in one.items for tick in item.ticks} == {""}


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (inch("3/8"), "3/8 in (9.525 mm)"),
        (Fraction("9.5"), "9.5 mm (about 0.374 in)"),
    ],
)
def test_an_engagement_is_given_in_both_units(mm, text):
    assert both_units(mm) == text


def test_a_hand_made_week_without_cuts_still_has_its_joints():
    cards = bench_cards(weeks.week())
    assert [each.number for each in cards] == ["J-104", "J-101", "J-102", "J-103"]
    assert cards[1].joints[0].comes_out[0].goes_to == "back to stock after inspection, bin A1, A2"
    assert cards[1].joints[0].goes_in[0].bins == "A3"
    assert cards[3].missing == ("1 of 1/4-20 UNC x 3 1/2 in, socket cap, SAE 8", "2 of SP-050")


@pytest.mark.slow
@given(st.lists(st.text(min_size=1, max_size=8), unique=True, max_size=30))
def test_anchors_are_safe_and_no_two_alike(numbers):
    found = list(anchors(numbers))
    assert len({each.casefold() for each in found}) == len(numbers)
    assert all(each.startswith("job-") and each.replace("-", "").isalnum() for each in found)
    assert all(each.isascii() for each in found)


def test_a_plain_number_makes_a_plain_anchor():
    assert list(anchors(["J-4101"])) == ["job-J-4101"]


def test_every_box_of_a_week_has_an_id_of_its_own():
    cards = bench_cards(weeks.week())
    boxes = [
        (card.anchor, tick.box)
        for card in cards
        for each in (*card.joints, *((card.rest,) if card.rest else ()))
        for item in each.items
        for tick in item.ticks
    ]
    assert boxes
    assert len(set(boxes)) == len(boxes)


def looked_at(week):
    """The week with checks after its jobs, its joints with a note, and one bolt that nobody knows."""
    asked = (CheckAsked("wheel locks hold on both sides"), CheckAsked("overall width", "mm"))
    jobs = []
    for result in week.jobs:
        lines = tuple(
            replace(served, line=replace(served.line, look_first=True))
            if (served.line.do, served.line.what, served.line.side) == ("remove", "bolt", "left")
            else served
            for served in result.lines
        )
        jobs.append(replace(result, lines=lines, after=asked))
    return replace(week, jobs=tuple(jobs))


def test_what_nobody_knows_is_looked_at_first_and_the_checks_have_boxes_and_readings():
    card = bench_cards(looked_at(workshop_week(1)))[0]
    assert card.answer == "Yes: the kit is on the shelf.", "of a bolt no kit hangs on what a look tells"
    assert card.look_first == (
        "upper front, left: which bolt it is", "upper rear, left: which bolt it is",
    )  # fmt: skip
    assert [(each.words, each.unit) for each in card.checks] == [
        ("wheel locks hold on both sides", ""),
        ("overall width", "mm"),
    ]
    rows = list(card_rows(card))
    assert [row[WHAT] for row in rows if row[1] == "look first"] == list(card.look_first)
    assert [row[WHAT] for row in rows if row[1] == "check"] == [
        "□ wheel locks hold on both sides   □ overall width: ________ mm"
    ]
    signed = [row[WHAT] for row in rows if row[1] == "sign"][-1]
    asked = [words.strip() for words in signed.split("______________") if words]
    assert asked == ["done by", "wrench number", "second check by", "date", "tried by the user, day"]
    page = page_text(looked_at(workshop_week(1)))
    for told in (
        *card.look_first,
        "overall width",
        "second check by",
        "Local rules come first.",
        "look first",
    ):
        assert told in page


def test_a_joints_note_is_told_where_its_bolts_go_in_and_each_side_is_tightened():
    noted = replace(UPPER, note="dry thread")
    week = planned(
        [job("J-1", MON, "16", "17")], [frame(seat_width(noted))],
        stock(part("SP-050", 9), screw("B-200", "2", 9), screw("B-250", "2 1/2", 9)),
    )  # fmt: skip
    (card,) = bench_cards(week)
    assert [each.note for each in card.joints] == ["dry thread"]
    assert [(tick.side, tick.quantity) for tick in card.joints[0].tighten] == [
        ("left", "9 N*m"),
        ("right", "9 N*m"),
    ]
    assert "dry thread" in page_text(week)
    (told,) = [row[WHAT] for row in card_rows(card) if row[1] == "joint"]
    assert told.endswith("; left and right; dry thread")


@pytest.mark.parametrize(
    ("kind", "what", "amount", "told"),
    [
        ("bolt", "bolt 3 in", "2", "2 bolts 3 in"),
        ("bolt", "bolt 3 in", "1", "1 bolt 3 in"),
        ("sized", "seat sling", "1", "seat sling"),
        ("sized", "seat sling", "2", "2 × seat sling"),
        ("disturbed", "replace on reassembly", "6", "replace on reassembly: 6"),
        ("extra", "use", "0.1 mL", "use 0.1 mL"),
    ],
)
def test_a_thing_is_counted_in_words_of_the_trade(kind, what, amount, told):
    assert Item("goes in", what, "P", "", "", "", "", False, (), kind=kind).counted(amount) == told


def test_a_card_has_room_for_the_length_and_the_state_of_what_came_off_and_for_who_did_it():
    card = bench_cards(workshop_week(1))[0]
    assert [joint.measured for joint in card.joints] == [("left", "right")] * len(card.joints)
    page = lxml_html.document_fromstring(page_text(workshop_week(1)))
    rooms = [each.text_content().split() for each in page.find_class("came-off")]
    assert rooms == [["length", "state"]] * len(card.joints)
    assert all(len(each.find_class("blank")) == 2 for each in page.find_class("came-off"))
    (lines,) = page.find_class("last")[0].find_class("lines")
    assert [each.text_content() for each in lines] == [
        "done by", "wrench number", "second check by", "date", "tried by the user, day",
    ]  # fmt: skip


def test_what_is_a_cover_or_used_up_is_not_measured():
    ticks = (Tick("left", "1", "a"),)
    cover = Item("comes out", "cover", "CP-2", "", "", "back to stock", "", False, ticks, kind="cover")
    card = JointCard(0, "rest", "left", "", "", (cover,), ())
    assert card.measured == ()
    assert replace(card, items=(replace(cover, kind="step", look_first=True),)).measured == ("left",)
