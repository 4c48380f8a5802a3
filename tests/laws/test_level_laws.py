"""Laws of proposed levels, each held to a thousand random histories at once, or as many as are asked for.

A history is a part of one large shop. Parts with given levels keep the spread between them, so that only the
reorder point is left to move; pooling is off where one part's history must not touch another's.
"""

import os
import random
from fractions import Fraction
from functools import cache

import pytest
from weekly_use import FIVE_DAYS, TODAY, levelled, shop

from reconcile.plan.levels.proposals import FAR_ABOVE, propose
from reconcile.values.rules import LevelRules

HISTORIES = int(os.environ.get("LEVEL_HISTORIES", "1000"))
"""10,000 take eight minutes; all laws held on as many."""
ALONE = LevelRules(pooling=False, table=())
TIMES = ((1,), (1,), (1, 2), (1, 2, 4), (2, 8), (1, 1, 1, 20), (5, 6, 7))


@cache
def histories():
    """Seldom, often, ended, begun, in bursts; single and in lots."""
    dice = random.Random(18)
    return tuple(history(dice) for _ in range(HISTORIES))


def history(dice):
    weeks = dice.choice((20, 52, 104))
    often, sizes, shape = dice.choice((0.02, 0.05, 0.2, 0.5, 0.95)), dice.choice(TIMES), dice.random()
    begins, ends = (0, weeks)
    if shape < 0.25:
        ends = dice.randint(2, weeks)
    elif shape < 0.4:
        begins = dice.randint(0, weeks - 2)
    own = [
        dice.choice(sizes) if begins <= week < ends and dice.random() < often else 0 for week in range(weeks)
    ]
    if not any(own):
        own[dice.randrange(weeks)] = dice.choice(sizes)
    if sum(1 for each in own if each) < 2:
        own[dice.randrange(weeks)] += dice.choice(sizes)
    return tuple(own)


def part_of(number, **given):
    dice = random.Random(number)
    spread = dice.choice((1, 1, 4, 12))
    plain = {
        "lead_time": dice.choice((2, 5, 20, 40)),
        "reorder_point": Fraction(1),
        "order_up_to": Fraction(1 + spread),
    }
    return levelled(f"P-{number}", **{**plain, **given})


def levels_of(own, rules=ALONE, **given):
    """By part number; a part without a proposal has none. All sheets begin in the same week."""
    stock = shop(*((part_of(number, **given), weeks) for number, weeks in enumerate(own)), anchor=160)
    found = propose(stock, TODAY, FIVE_DAYS, rules)
    return {each.part.number: each for each in found if each.proposed is not None}


@cache
def plain():
    return levels_of(histories())


def point(levels):
    return levels.proposed.reorder_point


def lower(before, after, by=0):
    """Parts whose reorder point is lower after than before, by more than ``by``.

    Ordered one for one, none may be. Where several are ordered at a time, sizes that fit the order leave less
    lacking when it is placed, and a level may so be lower by less than the greatest single use.
    """
    found = []
    for name in before.keys() & after.keys():
        part = before[name].part
        slack = 0 if part.order_up_to - part.reorder_point == 1 else by and max(after[name].usage.weeks)
        if point(after[name]) < point(before[name]) - slack:
            found.append(name)
    return found


@pytest.mark.slow
def test_no_level_is_far_above_the_greatest_need_without_saying_so():
    """Windows are those of lead time and look, counted from the weeks as they are."""
    seen = 0
    for number, weeks in enumerate(histories()):
        levels = plain().get(f"P-{number}")
        if levels is None:
            continue
        seen += 1
        span = levels.lead_weeks + 1
        greatest = max(sum(weeks[max(end - span, 0) : end]) for end in range(1, len(weeks) + 1))
        if point(levels) > FAR_ABOVE * greatest:
            assert levels.look and any("Look at this" in each for each in levels.reasons)
        else:
            assert not levels.look
    assert seen > 0.9 * HISTORIES


@pytest.mark.slow
def test_levels_never_rise_while_nothing_is_used():
    """Weeks without use at the end: one, a season, a year."""
    before = plain()
    for idle in (1, 13, 52):
        after = levels_of([(*weeks, *[0] * idle) for weeks in histories()])
        assert len(before.keys() & after.keys()) > 0.9 * len(before)
        assert lower(after, before) == []
        before = after


@pytest.mark.slow
def test_no_level_is_lower_where_the_last_weeks_used_more():
    """Twice as much in every use of the last quarter, in the same weeks."""
    more = [(*weeks[:-13], *(2 * each for each in weeks[-13:])) for weeks in histories()]
    assert lower(plain(), levels_of(more), by=1) == []


@pytest.mark.slow
def test_no_level_is_lower_where_use_comes_back():
    """The greatest use of the record, in each of the last four weeks."""
    more = [(*weeks[:-4], *[max(weeks)] * 4) for weeks in histories()]
    assert lower(plain(), levels_of(more), by=1) == []


@pytest.mark.slow
def test_levels_scale_with_the_unit():
    """Five times the sizes, the pack and the given levels: five times the proposal, to the unit."""
    five = levels_of(
        [tuple(5 * each for each in weeks) for weeks in histories()], pack=Fraction(5),
        reorder_point=Fraction(5), order_up_to=Fraction(20),
    )  # fmt: skip
    one = levels_of(histories(), reorder_point=Fraction(1), order_up_to=Fraction(4))
    assert five.keys() == one.keys()
    assert [name for name in one if point(five[name]) != 5 * point(one[name])] == []


@pytest.mark.slow
def test_two_halves_of_a_part_never_need_less_than_the_whole():
    """Uses dealt in turn to two parts: what both are ordered up to is no less together."""
    halves = []
    for weeks in histories():
        used = [week for week, each in enumerate(weeks) if each]
        mine = set(used[::2])
        halves.append(tuple(each if week in mine else 0 for week, each in enumerate(weeks)))
        halves.append(tuple(0 if week in mine else each for week, each in enumerate(weeks)))
    given = {"lead_time": 20, "reorder_point": Fraction(0), "order_up_to": Fraction(1)}
    whole, parts = levels_of(histories(), **given), levels_of(halves, **given)
    short = []
    for number in range(HISTORIES):
        own = [parts.get(f"P-{2 * number + side}") for side in (0, 1)]
        if f"P-{number}" in whole and all(own):
            both = sum((each.proposed.order_up_to for each in own), Fraction(0))
            short += [number] if both < whole[f"P-{number}"].proposed.order_up_to else []
    assert short == []
