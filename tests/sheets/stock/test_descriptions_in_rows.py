"""What a stock row remarks on when its bolt was read from a description that was not understood whole."""

import pytest

from reconcile.sheets.stock.bolt_rows import BoltCells, Units, read_bolt
from reconcile.values.settings import Settings


def row(description, **columns):
    """The designation of a row's bolt, and the codes and words of its faults and notices."""
    read = read_bolt(BoltCells(description, **columns), Units(), Settings())
    bolt = read.bolt.designation if read.bolt else None
    return bolt, [(each.code, each.says) for each in (*read.faults, *read.notices)]


def test_left_over_figures_are_remarked_on_and_the_bolt_is_kept():
    said = '"100" in "SHCS M6 x 30 qty 100" is not understood.'
    assert row("SHCS M6 x 30 qty 100") == ("M6 x 30 mm, socket cap", [("description-unread", said)])


def test_several_left_overs_make_one_notice():
    said = '"SAE" and "88" in "HEX M6 x 30 SAE 88" are not understood.'
    assert row("HEX M6 x 30 SAE 88") == ("M6 x 30 mm, hex", [("description-unread", said)])


@pytest.mark.parametrize(
    "text", ["SHCS M6 x 30 with blue patch", "SHCS M6 x 30 for flange nut", "SHCS M6x30 ZP"]
)
def test_harmless_words_are_not_remarked_on(text):
    assert row(text) == ("M6 x 30 mm, socket cap", [])


def test_columns_that_say_all_end_the_doubt():
    found = row("Drawing 4711, M6 x 30", thread="M6", length="30 mm", head="hex")
    assert found == ("M6 x 30 mm, hex", [])


def test_a_lost_blank_makes_no_bolt_but_a_notice():
    bolt, notices = row("SHCS 1/4-20 x 11/2")
    assert bolt is None
    assert [code for code, _ in notices] == ["bolt-unread"]


def test_a_bolt_whose_figures_make_no_sense_is_remarked_on_though_it_has_neither_thread_nor_length():
    bolt, notices = row("M630 hex bolt")
    assert bolt is None
    assert [code for code, _ in notices] == ["bolt-unread"]


def test_a_set_of_bolt_and_nut_is_kept_as_neither_without_a_word():
    said = '"Bolt M6x30 with nut" names a nut and a Bolt; it serves no joint.'
    assert row("Bolt M6x30 with nut") == (None, [("bolt-unread", said)])


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("Bolt M6x30 with nut", {"kind": "nut"}),
        ("Nut for bolt M6 x 30", {}),
        ("Nut M6 for SHCS", {}),
        ("Coupling nut M8 x 24", {}),
    ],
)
def test_a_nut_that_is_one_makes_no_notice(text, columns):
    assert row(text, **columns) == (None, [])
