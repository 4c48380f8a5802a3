"""The fuzzer's rules, held for a moment over its seeds and over random changes of them."""

import random

import pytest
from description_cases import ALL_TEXTS, SIGNS
from description_oracle import hold


@pytest.mark.parametrize("text", ALL_TEXTS)
def test_the_rules_hold_for_every_seed(text):
    hold(text)


def changed(text, dice):
    """The text with a few signs or words put in, taken out, or put in place of others."""
    for _ in range(dice.randrange(1, 5)):
        start = dice.randrange(len(text) + 1)
        end = min(len(text), start + dice.choice((0, 0, 1, 1, 2, 5)))
        text = (
            text[:start] + dice.choice((*SIGNS, *"0123456789", "", chr(dice.randrange(0x3000)))) + text[end:]
        )
    return text


def test_the_rules_hold_for_random_changes_of_the_seeds():
    dice = random.Random(4711)
    for _ in range(6000):
        hold(changed(dice.choice(ALL_TEXTS), dice))
