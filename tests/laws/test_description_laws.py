"""What is written of a bolt is read of it, and a slip of the hand never makes another bolt unnoticed."""

import pytest
from description_dialects import bolts_written_as, writings
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.sheets.fasteners.descriptions import read_description

MANY = settings(max_examples=400, derandomize=True)
SLIPPED = settings(max_examples=800, derandomize=True)

TELLING_SIGNS = "0123456789./x-, "
SIGNS = TELLING_SIGNS + "\"'#½Mmincacsgftldh"


@pytest.mark.slow
@MANY
@given(writings())
def test_a_bolt_is_read_from_any_dialect_it_is_written_in(written):
    read = read_description(written.text)
    assert read.bolt == written.bolt, written.text
    assert read.whole


@pytest.mark.slow
@MANY
@given(writings())
def test_the_grammar_of_the_dialects_knows_what_the_dialects_write(written):
    assert written.bolt in bolts_written_as(written.text), written.text


def slips_at(text, place, sign):
    """Every slip at one place: a sign lost, doubled, put in, put instead, or swapped with the next."""
    before, here, after = text[:place], text[place : place + 1], text[place + 1 :]
    yield before + sign + here + after
    if here:
        yield before + after
        yield before + here + here + after
        yield before + sign + after
    if after:
        yield before + after[0] + here + after[1:]


def dropped(text, number):
    """The text without one of its blank-parted pieces."""
    pieces = text.split(" ")
    return " ".join(pieces[:number] + pieces[number + 1 :])


def is_noticed(read):
    """Whether a row with this description is remarked on: no bolt, figures or words left over, a nought."""
    return read.bolt is None or bool(read.doubts or read.padded)


def hold_slip(bolt, slipped):
    """A slip leaves the bolt, or is noticed, or is itself how some bolt is written: then it is that one."""
    read = read_description(slipped)
    if is_noticed(read) or read.bolt == bolt:
        return
    assert read.bolt in bolts_written_as(slipped), (slipped, read.bolt.designation)


@pytest.mark.slow
@SLIPPED
@given(writings(), st.data())
def test_a_slip_of_one_sign_never_makes_another_bolt_unnoticed(written, data):
    figures = [n for n, sign in enumerate(written.text) if sign.casefold() in TELLING_SIGNS]
    place = data.draw(st.one_of(st.sampled_from(figures), st.integers(0, len(written.text))))
    sign = data.draw(st.sampled_from(SIGNS))
    for slipped in slips_at(written.text, place, sign):
        hold_slip(written.bolt, slipped)


@pytest.mark.slow
@MANY
@given(writings(), st.integers(0, 11))
def test_a_dropped_piece_never_makes_another_bolt_unnoticed(written, number):
    hold_slip(written.bolt, dropped(written.text, number))


TYPICAL = [
    "SHCS 1/4-20 x 2-1/2 BLK OX",
    "Screw, socket head cap, 1/4-20 UNC-3A x 1.50",
    "SOC HD CAP SCR 1/4-20UNC-2A X 2.50 LG",
    "BOLT HEX M6X1.0X30 8.8 ZP",
    "ISO 4762 - M8x1.25 x 16 - 10.9",
    "M6 × 30 mm skt cap screw A2-70",
    "#10-32 x 3/4 BHCS SS",
    'Hex bolt 1/4" x 20 tpi x 1½"',
    "M3.5 x 12,5 mm, button, 12.9",
]


@pytest.mark.parametrize("text", TYPICAL)
def test_no_slip_at_all_in_a_typical_text_makes_another_bolt_unnoticed(text):
    (bolt,) = bolts_written_as(text)
    assert read_description(text).bolt == bolt
    for number in range(len(text.split(" "))):
        hold_slip(bolt, dropped(text, number))
    for place in range(len(text) + 1):
        for sign in SIGNS:
            for slipped in slips_at(text, place, sign):
                hold_slip(bolt, slipped)


def test_the_law_sees_a_reader_that_lets_a_slip_through(monkeypatch):
    bolt, short = read_description("SHCS M6 x 30").bolt, read_description("SHCS M6 x 3")
    hold_slip(bolt, "SHCS M6 x 35")
    monkeypatch.setitem(hold_slip.__globals__, "read_description", lambda text: short)
    with pytest.raises(AssertionError):
        hold_slip(bolt, "SHCS M6 x 3 0")
