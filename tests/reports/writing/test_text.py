"""Text for a terminal: no line ends within a length, whatever the width."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reconcile.reports.writing import text as writing
from reconcile.reports.writing.text import unbroken, wrapped

LENGTHS = ("2 1/2 in", "1/2 in", "17 in", "12.5 mm", "80 mm")


@given(st.lists(st.sampled_from([*LENGTHS, "each", "B14-250", "of", "for Tue 2026-12-01"]), min_size=5))
def test_no_line_ends_within_a_length(words: list[str]) -> None:
    text = " ".join(words)
    lines = wrapped(text).split("\n")
    assert " ".join(lines) == text
    for before, after in pairwise(lines):
        cut = f"{before.split()[-1]} {after.split()[0]}"
        assert re.search(r"\d (\d+/\d|in$|mm$)", cut) is None, cut


def test_half_a_length_is_not_left_at_the_end_of_a_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writing, "width", lambda: 18)
    assert wrapped("two bolts of 2 1/2 in") == "two bolts of\n2 1/2 in"


def test_a_blank_of_a_length_is_one_that_no_browser_breaks_at() -> None:
    assert unbroken("a bolt of 2 1/2 in") == "a bolt of 2\N{NO-BREAK SPACE}1/2\N{NO-BREAK SPACE}in"
