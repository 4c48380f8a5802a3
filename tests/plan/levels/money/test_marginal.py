"""Need met for money: every step by hand, and against every choice there is on small systems."""

import random
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.plan.levels.money.marginal import Options, corners, for_gain, for_money, steps


def concave(dice, places):
    """Gains that fall from step to step; costs that do not matter for that."""
    slopes = sorted((dice.random() for _ in range(places)), reverse=True)
    costs = [dice.uniform(1, 9) for _ in range(places)]
    values, gains = [0.0], [0.0]
    for slope, cost in zip(slopes, costs, strict=True):
        values.append(values[-1] + cost)
        gains.append(gains[-1] + slope * cost)
    return Options(values, gains)


def test_corners_by_hand():
    # The second step pays less for its money than the third; the last gains nothing.
    assert corners(Options([0, 1, 2, 3, 4], [0, 1, 1.5, 3, 3])) == [0, 3]
    assert corners(Options([0, 1, 2], [0, 3, 4])) == [0, 1, 2]
    assert corners(Options([0, 0, 2], [0, 1, 4])) == [1, 2]
    assert corners(Options([5], [1])) == [0]


def test_the_best_step_for_its_money_comes_first():
    cheap, dear = Options([0, 1, 2], [0, 0.5, 0.6]), Options([0, 10], [0, 3])
    taken = [(step.part, step.place, step.value) for step in steps([cheap, dear])]
    assert taken == [(0, 1, 1), (1, 1, 11), (0, 2, 12)]


def test_the_step_that_reaches_the_gain_is_no_longer_than_it_must_be():
    lumpy = Options([0, 1, 2, 3], [0, 0.1, 0.5, 1.0])
    assert corners(lumpy) == [0, 3]
    assert for_gain([lumpy], 0.4) == [2]
    assert for_gain([lumpy], 0) == [0] and for_gain([lumpy], 9) == [3]


def test_a_step_too_dear_is_taken_as_far_as_it_goes_and_others_go_on():
    lumpy, small = Options([0, 4, 8], [0, 1, 8]), Options([0, 1], [0, 0.5])
    assert for_money([lumpy, small], 5) == [1, 1]
    assert for_money([lumpy, small], 0.5) == [0, 0]
    assert for_money([Options([3, 4], [0, 1])], 1) == [0]  # the cheapest there is


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000))
def test_every_step_is_the_best_there_is_for_its_money(seed):
    """Fox (1966): with falling gains no choice that costs no more gains more. Every choice is looked at."""
    dice = random.Random(seed)
    parts = [concave(dice, dice.randint(1, 4)) for _ in range(dice.randint(1, 4))]
    choices = [
        (
            sum(part.values[place] for part, place in zip(parts, own, strict=True)),
            sum(part.gains[place] for part, place in zip(parts, own, strict=True)),
        )
        for own in product(*(range(len(part.values)) for part in parts))
    ]
    for step in steps(parts):
        assert max(gain for value, gain in choices if value <= step.value + 1e-9) <= step.gain + 1e-9


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.05, 0.95))
def test_what_is_asked_is_reached_for_little_more_than_the_least(seed, share):
    """Between two steps the best choice may be another; the loss is less than the last step costs."""
    dice = random.Random(seed)
    parts = [concave(dice, dice.randint(1, 4)) for _ in range(dice.randint(1, 4))]
    wanted = share * sum(part.gains[-1] for part in parts)
    places = for_gain(parts, wanted)
    gain = sum(part.gains[place] for part, place in zip(parts, places, strict=True))
    value = sum(part.values[place] for part, place in zip(parts, places, strict=True))
    least = min(
        sum(part.values[place] for part, place in zip(parts, own, strict=True))
        for own in product(*(range(len(part.values)) for part in parts))
        if sum(part.gains[place] for part, place in zip(parts, own, strict=True)) >= wanted
    )
    assert gain >= wanted - 1e-12
    longest = max(b - a for part in parts for a, b in zip(part.values, part.values[1:], strict=False))
    assert least <= value + 1e-9 and value < least + longest + 1e-9
    spent = for_money(parts, value)
    assert sum(part.values[at] for part, at in zip(parts, spent, strict=True)) <= value + 1e-9
    assert sum(part.gains[at] for part, at in zip(parts, spent, strict=True)) >= gain - longest
