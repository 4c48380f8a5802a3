"""Bolts read out of descriptions: one line of text, one designation or one fault."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reconcile.sheets.descriptions import read_description
from reconcile.sheets.fasteners import HEADS, PROPERTY_CLASSES, SAE_GRADES
from reconcile.standards import preferred_lengths, threads
from reconcile.values.measure import inches
from reconcile.values.parts import Bolt


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("SHCS 1/4-20 x 2-1/2 BLK OX", "1/4-20 UNC x 2 1/2 in, socket cap"),
        ("Screw, socket head cap, 1/4-20 UNC-3A x 1.50", "1/4-20 UNC x 1 1/2 in, socket cap"),
        ("CAP SCR SOC HD 1/4-20UNC X 2.50 LG", "1/4-20 UNC x 2 1/2 in, socket cap"),
        ("BOLT HEX M6X1.0X30 8.8 ZP", "M6 x 30 mm, hex, 8.8"),
        ("ISO 4762 - M6 x 30 - 8.8", "M6 x 30 mm, socket cap, 8.8"),
        ("M6X30 HEX SET 8.8 ZP", "M6 x 30 mm, hex, 8.8"),
        ("M6 × 30 mm skt cap A2-70", "M6 x 30 mm, socket cap, A2-70"),
        ("#10-32 x 3/4 BHCS SS", "#10-32 UNF x 3/4 in, button"),
        ('Hex bolt 1/4" x 20 tpi x 1½"', "1/4-20 UNC x 1 1/2 in, hex"),
        ("1/4-20 UNC x 3 in, socket cap, SAE 8", "1/4-20 UNC x 3 in, socket cap, SAE 8"),
        ("SHCS M6x1x30", "M6 x 30 mm, socket cap"),
        ("SHCS M6x30", "M6 x 30 mm, socket cap"),
        ("SHCS M8x1x30", "M8x1 x 30 mm, socket cap"),
        ("SHCS M6-1.0 x 30", "M6 x 30 mm, socket cap"),
        ("M5x0.8-6g x 20 pan head", "M5 x 20 mm, pan"),
        ("M6x30-8.8 hex", "M6 x 30 mm, hex, 8.8"),
        ("SHCS 1/4-20 x 65 mm", "1/4-20 UNC x 65 mm, socket cap"),
        ("SHCS M6 x 1 in", "M6 x 25.4 mm, socket cap"),
        ("M6 x 3 cm hex bolt", "M6 x 30 mm, hex"),
        ("SHCS 1/4-20x2 GR8", "1/4-20 UNC x 2 in, socket cap, SAE 8"),
        ("1/4-20x2-GR8 SHCS", "1/4-20 UNC x 2 in, socket cap, SAE 8"),
        ("1/4 x 20 x 2 SHCS", "1/4-20 UNC x 2 in, socket cap"),
        ("SHCS-1/4-20x2", "1/4-20 UNC x 2 in, socket cap"),
        ("SHCS 1/4-20 x 2 in (50.8 mm)", "1/4-20 UNC x 2 in, socket cap"),
        ("100 1/4-20 SHCS x 2", "1/4-20 UNC x 2 in, socket cap"),
        ("SHCS 1/4-20 x 2 for flange nut", "1/4-20 UNC x 2 in, socket cap"),
        ("Shoulder bolt M6x30", "M6 x 30 mm, shoulder"),
    ],
)
def test_the_dialects(text, designation):
    read = read_description(text)
    assert read.fault is None
    assert read.bolt.designation == designation
    assert read.kind == "bolt"


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


@given(st.builds(Bolt, st.sampled_from(threads()), st.fractions(Fraction(1, 3), 2, max_denominator=64), HEAD))
def test_a_metric_length_under_2_mm_is_read_back_as_nothing_rather_than_guessed(bolt):
    read = read_description(bolt.designation)
    assert read.bolt == (None if is_too_short(bolt) else bolt)


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


@pytest.mark.parametrize(
    ("text", "where", "says"),
    [
        ("SHCS 1/4-20 x 2-12", "2-12", '"2-12" is not a length that can be read.'),
        ("SHCS 1/4-20 x 2 - 1/2", "2", '"2" is not a length that can be read.'),
        ("SHCS 1/4-20 x -2", "-2", '"-2" is not a length that can be read.'),
        ("SHCS 1/4-20 x 0", "0", '"0" is not a length.'),
        ("SHCS 1/4-20 x 2'", "2'", '"2\'" is not a length that can be read.'),
        ("SHCS 1/4-20 x 30ZP", "30ZP", '"30ZP" is not a length that can be read.'),
        ("SHCS 1/4-20 x 2 to 3 in", "3 in", '"2" and "3 in" are two different lengths.'),
        ("SHCS 1/4-20 × 2 in (51 mm)", "51 mm", '"2 in" and "51 mm" are two different lengths.'),
        ("SHCS M6 x 30 x 20", "20", '"30" and "20" are two different lengths.'),
        ("SHCS M6 x 1/2", "1/2", '"1/2" may be a length, but its unit is not said.'),
        ("SHCS 1/4-20 x 2, 1/2 thread", "1/2", '"1/2" may be a length, but its unit is not said.'),
        ("M6 x 3 m hex bolt", "3", '"3" is not a length that can be read.'),
        ("SHCS 1/4-20 x 2 3/16 AF", "2 3/16", '"2 3/16" is not a length that can be read.'),
        ("SHCS 1/4-20 x 1,234", "1,234", '"1,234" can be 1234 or 1.234, and no decimal mark is declared.'),
        (
            "SHCS 1/4-22 x 2",
            "1/4-22",
            "No standard series lists 1/4-22; listed are 1/4-20 UNC and 1/4-28 UNF.",
        ),
        ("M6x0.9x30 SHCS", "M6x0.9", "No standard series lists M6x0.9; M6 has the pitches 1 and 0.75 mm."),
        ("SHCS M6x30 M8x30", "M8", '"M6" and "M8" are two different threads.'),
        ("SHCS ISO 7380 M6x30", "ISO 7380", '"SHCS" and "ISO 7380" name different heads.'),
        ("M6x30 hex 8.8 10.9", "10.9", '"8.8" and "10.9" are two different grades.'),
        ("M6 LH SHCS x 30", "LH", "The thread is left-hand, and no listed one is."),
    ],
)
def test_what_can_be_read_in_two_ways_or_not_at_all_makes_no_bolt(text, where, says):
    read = read_description(text)
    assert read.bolt is None
    assert read.fault.value == says
    assert text[read.fault.start : read.fault.end] == where
    assert read.looks_like_bolt


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


@pytest.mark.parametrize(
    ("text", "lacks"),
    [
        ("SHCS 1/4 x 2", ("thread", "length")),
        ("M6x30", ("head",)),
        ("M6 30 hex bolt", ("length",)),
        ("M6-30 hex", ("length",)),
        ("Seat pan screw M6 x 30", ("head",)),
        ("Shoulder strap bolt M6x30", ("head",)),
    ],
)
def test_a_likely_bolt_that_is_not_read_whole(text, lacks):
    read = read_description(text)
    assert (read.bolt, read.fault, read.lacks, read.looks_like_bolt) == (None, None, lacks, True)


def test_a_thread_alone_has_no_length():
    read = read_description("M8x1")
    assert read.thread.value.designation == "M8x1"
    assert read.length is None
    assert not read.looks_like_bolt


@given(st.text(alphabet='SHCSM680123456789/-x. ,"½×#UNCin', max_size=24))
def test_any_text_can_be_described(text):
    read = read_description(text)
    if read.bolt:
        assert read_description(read.bolt.designation).bolt.length == read.bolt.length
    for each in read.unread:
        assert text[each.start : each.end] == each.value


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


@pytest.mark.parametrize(
    "text", ["SHCS M8x1, 30 mm 8.8", "SHCS M8x1, x 30, 8.8", "SHCS M8 x 1. 30 mm long", "SHCS M8x1x30, 8.8"]
)
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
