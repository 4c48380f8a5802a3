"""What a person sees of a description that was read, and what a program does."""

import json

import pytest
from description_cases import ALL_TEXTS

from reconcile.reports.frames.description_screen import columns, description_json, description_screen
from reconcile.sheets.fasteners.descriptions import read_description


def screen(text):
    return description_screen(text, read_description(text))


def test_a_bolt_read_whole():
    assert screen("SHCS 1/4-20 x 2-1/2 GR 8 BLK OX") == (
        "A bolt, read whole: 1/4-20 UNC x 2 1/2 in, socket cap, SAE 8.\n\n"
        "  thread       1/4-20 UNC\n"
        "  length       2 1/2 in\n"
        "  head         socket cap\n"
        "  grade        SAE 8\n"
        "  threaded     not said\n"
        "  finish       BLK OX\n"
        "  designation  1/4-20 UNC x 2 1/2 in, socket cap, SAE 8"
    )


def test_a_bolt_that_cannot_be_read_and_where():
    assert screen("SHCS M8x1 6 mm rev 2") == (
        'A bolt, not read: "M8x1 6 mm" has no x before the length.\n\n'
        "  thread       M8x1, pitch 1 mm (in doubt)\n"
        "  length       6 mm (in doubt)\n"
        "  head         socket cap\n"
        "  grade        not said\n"
        "  threaded     not said\n"
        "  finish       not said\n"
        "  designation  none: not all that makes a bolt was read\n\n"
        "What was not understood is marked:\n"
        "  SHCS M8x1 6 mm rev 2\n"
        "       ^^^^^^^^^ ^^^ ^\n\n"
        '  "M8x1 6 mm" has no x before the length.\n'
        "  Not understood: rev, 2.\n"
        "  Write it like 1/4-20 UNC x 2 1/2 in, socket cap, SAE 8, or M6 x 30 mm, hex,\n"
        "  8.8."
    )


def test_a_spacer():
    assert screen("spacer 1/2 in, M6").splitlines()[:7] == [
        "A spacer, read whole.",
        "",
        "  kind of part spacer",
        "  length       1/2 in",
        "  outside      not said",
        "  bore         not said",
        "  for size     M6",
    ]


def marks(text):
    """The lines of the text as shown, with the lines of marks below them."""
    return screen(text).split("What was not understood is marked:\n")[1].split("\n\n")[0].splitlines()


def test_wide_letters_take_two_columns_and_tabs_one():
    assert marks("SHCS\tＭ６ x 30 日本 9") == ["  SHCS Ｍ６ x 30 日本 9", "                 ^^^^ ^"]


def test_a_letter_with_an_accent_apart_takes_one_column_and_what_has_no_width_none():
    assert marks("SHCS M6 x 30 o\u0302\u200b z 9")[-1] == "               ^ ^ ^"


def test_what_a_terminal_would_obey_is_shown_as_a_question_mark():
    assert marks("SHCS M6 x 30 \x1b[31m 9")[0] == "  SHCS M6 x 30 ?[31m 9"


def test_a_long_text_is_broken_at_blanks_with_its_marks_below_each_line():
    assert marks("SHCS M6 x 30 " + "blue patch " * 7 + "9") == [
        "  SHCS M6 x 30 blue patch blue patch blue patch blue patch blue patch blue patch",
        "               ^^^^ ^^^^^ ^^^^ ^^^^^ ^^^^ ^^^^^ ^^^^ ^^^^^ ^^^^ ^^^^^ ^^^^ ^^^^^",
        "  blue patch 9",
        "  ^^^^ ^^^^^ ^",
    ]


@pytest.mark.parametrize(
    "text", [*ALL_TEXTS, "日" * 90, "x" * 200, "SHCS M6 x 30 " + "9" * 200, "\udcff", "-" * 99]
)
def test_the_text_and_its_marks_fit_80_columns(text):
    for line in screen(text).split("What was not understood is marked:\n")[-1].split("\n\n")[0].splitlines():
        assert sum(map(columns, line)) <= 80


@pytest.mark.parametrize("text", ALL_TEXTS)
def test_every_mark_stands_under_what_was_not_understood(text):
    read = read_description(text)
    if "\t" in text or not (read.faults or read.unread) or not text.isascii() or len(text) > 70:
        return
    line, below = marks(text)
    under = {n for n, sign in enumerate(below) if sign == "^"}
    assert under == {n + 2 for each in (*read.faults, *read.unread) for n in range(each.start, each.end)}
    assert line == f"  {text}"


def test_the_object():
    text = "M8 SHCS x 2- 4 flang"
    assert json.loads(description_json(text, read_description(text))) == {
        "schema": 1,
        "text": text,
        "whole": False,
        "kind": "bolt",
        "designation": None,
        "thread": "M8",
        "length": None,
        "head": "socket cap",
        "grade": None,
        "thread_length": None,
        "finish": None,
        "lacks": ["length"],
        "faults": [{"says": '"2-" is not a length that can be read.', "start": 10, "end": 12}],
        "unread": [
            {"text": "2-", "start": 10, "end": 12},
            {"text": "4", "start": 13, "end": 14},
            {"text": "flang", "start": 15, "end": 20},
        ],
    }


def test_the_object_of_a_washer():
    text = "flat washer #10 .032 thk"
    told = json.loads(description_json(text, read_description(text)))
    assert {
        name: told[name] for name in ("kind", "whole", "for_size", "thickness", "sort", "designation")
    } == {
        "kind": "washer",
        "whole": True,
        "for_size": "#10",
        "thickness": "0.032 in",
        "sort": "flat",
        "designation": None,
    }
