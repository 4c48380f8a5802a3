"""Fasteners read out of descriptions: one line of text, one designation or one fault."""

from fractions import Fraction

import pytest
from description_cases import BOLTS, LACKING, LEFT_OVER, NOT_READ, OTHERS, OTHERS_NOT_WHOLE
from hypothesis import given
from hypothesis import strategies as st

from reconcile.sheets.fasteners.descriptions import read_description
from reconcile.sheets.fasteners.spellings import HEADS, PROPERTY_CLASSES, SAE_GRADES
from reconcile.standards import preferred_lengths, threads
from reconcile.values.measure import inches
from reconcile.values.stock.descriptions import SaidNut, SaidWasher
from reconcile.values.stock.parts import Bolt


@pytest.mark.parametrize(("text", "designation"), BOLTS)
def test_the_dialects(text, designation):
    read = read_description(text)
    assert read.fault is None
    assert read.bolt.designation == designation
    assert (read.kind, read.unread, read.whole) == ("bolt", (), True)


@pytest.mark.parametrize(("text", "designation", "doubts"), LEFT_OVER)
def test_what_is_left_over_is_in_doubt_where_it_may_matter(text, designation, doubts):
    read = read_description(text)
    assert (read.bolt and read.bolt.designation) == designation
    assert [each.value for each in read.doubts] == doubts
    assert not read.whole


@pytest.mark.parametrize(("text", "where", "says"), NOT_READ)
def test_what_can_be_read_in_two_ways_or_not_at_all_makes_no_bolt(text, where, says):
    read = read_description(text)
    assert read.bolt is None
    assert read.fault.value == says
    assert text[read.fault.start : read.fault.end] == where
    assert read.looks_like_bolt


@pytest.mark.parametrize(("text", "lacks"), LACKING)
def test_a_likely_bolt_that_is_not_read_whole(text, lacks):
    read = read_description(text)
    assert (read.bolt, read.fault, read.lacks, read.looks_like_bolt) == (None, None, lacks, True)


def told(part):
    """A nut, washer or spacer in one line, with "-" for what is not said."""
    lacking = f"lacks {part.lacks[0]}" if part.lacks else ""
    if isinstance(part, SaidNut):
        said = [lacking or part.thread, part.size, part.kind]
    elif isinstance(part, SaidWasher):
        said = [lacking or part.size, part.thickness, part.kind]
    else:
        said = [lacking or part.length, part.outside, part.bore, part.size]
    return f"{type(part).__name__.removeprefix('Said')}: {', '.join(str(each or '-') for each in said)}"


@pytest.mark.parametrize(("text", "said"), OTHERS)
def test_nuts_washers_and_spacers_say_what_they_say(text, said):
    read = read_description(text)
    assert told(read.other) == said
    assert (read.bolt, read.faults) == (None, ())
    assert read.whole == (not read.lacks)


@pytest.mark.parametrize(("text", "unread", "says"), OTHERS_NOT_WHOLE)
def test_a_nut_washer_or_spacer_that_is_not_read_whole(text, unread, says):
    read = read_description(text)
    assert [each.value for each in read.unread] == unread
    assert [each.value for each in read.faults] == says
    assert not read.whole


HEAD = st.sampled_from(HEADS)
GRADE = st.sampled_from(
    ("", *(f"SAE {grade}" for grade in SAE_GRADES), *PROPERTY_CLASSES, "A2", "A2-70", "A4-80", "ASTM A574")
)
LENGTH = st.one_of(
    st.integers(1, 128 * 12).map(lambda parts: inches(Fraction(parts, 128))),
    st.integers(1, 20000).map(lambda hundredths: Fraction(hundredths, 100)),
    st.fractions(Fraction(1, 3), 300, max_denominator=64),
)
ANY_BOLT = st.builds(Bolt, st.sampled_from(threads()), LENGTH, HEAD, GRADE)


def is_too_short(bolt):
    """No metric bolt is under 2 mm long (ISO 888, from memory): its length might be a pitch."""
    return bolt.thread.unit == "mm" and bolt.length < 2


BOLT = ANY_BOLT.filter(lambda bolt: not is_too_short(bolt))


@pytest.mark.slow
@given(st.builds(Bolt, st.sampled_from(threads()), st.fractions(Fraction(1, 3), 2, max_denominator=64), HEAD))
def test_a_metric_length_under_2_mm_is_read_back_as_nothing_rather_than_guessed(bolt):
    read = read_description(bolt.designation)
    assert read.bolt == (None if is_too_short(bolt) else bolt)


@pytest.mark.slow
@given(BOLT)
def test_our_own_designation_reads_back(bolt):
    read = read_description(bolt.designation)
    assert read.bolt == bolt
    assert read.unread == ()


@pytest.mark.parametrize("thread", threads(), ids=str)
def test_every_preferred_length_of_every_thread_reads_back(thread):
    for length in preferred_lengths(thread, "socket cap"):
        bolt = Bolt(thread, length, "socket cap", "12.9")
        assert read_description(bolt.designation).bolt == bolt


def test_every_finding_keeps_its_place_in_the_text_as_given():
    text = "SHCS\u00a0 1/4–20 × 1½″  GR 8 BLK OX rev C"
    read = read_description(text)
    found = (read.head, read.thread, read.length, read.grade)
    assert [text[each.start : each.end] for each in found] == ["SHCS", "1/4–20", "1½″", "GR 8"]
    assert read.finish == "BLK OX"
    assert [(each.value, text[each.start : each.end]) for each in read.unread] == [("rev", "rev"), ("C", "C")]


@pytest.mark.parametrize(
    "text",
    [
        "M6X30 HEX SET",
        "M6x30 hex fully threaded",
        "M6X30 FT HEX",
        "hex bolt ISO 4017 M6x30",
        "M6x30 hex full thd",
    ],
)
def test_a_bolt_threaded_to_the_head_says_so(text):
    read = read_description(text)
    assert read.fully_threaded.value is True
    assert read.bolt.thread_length == read.bolt.length == 30


def test_a_set_of_bolts_is_not_threaded_to_the_head():
    assert read_description("HEX BOLT SET M6x30").bolt.thread_length is None


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("1/4-20 NUT LOCK ZP", "nut"),
        ("Locknut M6", "nut"),
        ("Bolt M6x30 hex with nut", "nut"),
        ("Flat washer 1/4", "washer"),
        ("SPACER 1/2 in", "spacer"),
        ("Spacer M6 x 30 SHCS", "spacer"),
        ("Thread locker, medium", ""),
        ("Solid seat pan 15 x 16 in", ""),
        ("", ""),
    ],
)
def test_what_is_no_bolt(text, kind):
    read = read_description(text)
    assert (read.bolt, read.kind, read.looks_like_bolt, read.fault) == (None, kind, False, None)


def test_a_hexagon_washer_head_is_no_washer():
    assert read_description("Hex washer head screw M6x30").bolt.head == "hex washer"


def test_a_thread_alone_has_no_length():
    read = read_description("M8x1")
    assert read.thread.value.designation == "M8x1"
    assert read.length is None
    assert not read.looks_like_bolt


# A pitch is never taken for a length, whatever stands behind it.


@pytest.mark.parametrize("pitch", ["1", "1.0", "1.25", "1,25", "0.75"])
@pytest.mark.parametrize(
    "behind", ["", " ", ",", ", ", ". ", "; ", ") ", " - ", ", 8.8", ". 8.8", ",8.8", ", ZP", " mm, 8.8"]
)
def test_a_pitch_with_anything_behind_it_is_no_length(pitch, behind):
    for text in (f"SHCS M8x{pitch}{behind}", f"SHCS M8 x {pitch}{behind}"):
        read = read_description(text)
        assert (read.bolt, read.length) == (None, None), text
        assert read.looks_like_bolt


@pytest.mark.parametrize("text", ["SHCS M8x1, 30 mm 8.8", "SHCS M8x1x30, 8.8", "SHCS M8-1 x 30 mm long"])
def test_a_pitch_and_a_length_apart_from_it_are_both_read(text):
    bolt = read_description(text).bolt
    assert (bolt.thread.designation, bolt.length) == ("M8x1", 30)


@pytest.mark.parametrize(
    "text", ["SHCS M8x0.9, 8.8", "SHCS M6 x 1.9", "SHCS M8x1 mm", "hex M12 x 1.75 mm long", "SHCS M8x1.1 8.8"]
)
def test_a_number_too_short_for_any_metric_bolt_is_refused_and_shown(text):
    # 2 mm is the shortest preferred length (ISO 888, from memory); no listed pitch up to M12 is above 1.75.
    read = read_description(text)
    assert (read.bolt, read.length) == (None, None)


@pytest.mark.parametrize(
    ("text", "length"), [("SHCS M3x2, 8.8", 2), ("SHCS M6x5, 8.8", 5), ("SHCS M6x30, 8.8", 30)]
)
def test_a_true_length_before_a_comma_stays_a_length(text, length):
    assert read_description(text).bolt.length == length


def test_the_shortest_metric_length_lies_above_every_pitch():
    shortest = min(min(preferred_lengths(each, "hex")) for each in threads() if each.unit == "mm")
    assert max(each.pitch for each in threads() if each.unit == "mm") < shortest
