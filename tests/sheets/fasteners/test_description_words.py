"""Words that are a slip of the hand away from one that matters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reconcile.sheets.fasteners.words import is_parted, is_slip, is_telling

WORD = st.text("abcdehx", max_size=6)


@pytest.mark.parametrize(
    "word", ["flang", "flagne", "fllange", "flanke", "lw", "sockethead", "fullythreaded", "a", "gr"]
)
def test_a_word_like_one_that_matters_is_telling(word):
    assert is_telling(word)


@pytest.mark.parametrize("word", ["", "blue", "patch", "rev", "c", "cup", "point", "flange", "and"])
def test_other_words_are_not(word):
    assert not is_telling(word)


def test_a_word_in_two_pieces():
    assert is_parted("fl", "ange")
    assert is_parted("l", "w")
    assert not is_parted("blue", "patch")


def slips_of(word):
    """Every word one letter more, less, changed or swapped away, the long way."""
    for place in range(len(word) + 1):
        before, after = word[:place], word[place:]
        yield before + after[1:]
        yield from (before + letter + after for letter in "abcdehx")
        yield from (before + letter + after[1:] for letter in "abcdehx" if after)
        if len(after) > 1:
            yield before + after[1] + after[0] + after[2:]


@given(WORD, WORD)
def test_a_slip_is_what_the_long_way_finds(word, other):
    assert is_slip(word, other) == (word != other and other in set(slips_of(word)))
