"""The choice of kits on middling weeks, held against another solver that models the week another way.

What both must agree on, each aim proven by both: the jobs of each priority, the substitute units, the sum of
days, the sum of rows; over several weeks with parts that can be ordered in time, also the substitutes of the
first week, and the units to be ordered, for the first week and in all; and, where all is to be done, the
units to buy and what they cost. Weeks are dealt from a seed, as ``tests/helpers/second_solver.py`` takes
them; the seeds are such that either solver needs few seconds.
"""

import importlib.util
import json
import random
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from reconcile.plan.solver.packing import Ask, Bundle, Option, Resource, Yield
from reconcile.plan.solver.packing_solver import BLOCK, least, most

SECOND_SOLVER = Path(__file__).parents[2] / "helpers" / "second_solver.py"

JOBS, KINDS, PARTS, PRIORITIES = 80, 36, 30, 3

pytestmark = pytest.mark.skipif(
    importlib.util.find_spec("ortools") is None, reason="the second solver is not installed"
)


# --- weeks ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Deal:
    """What a week is dealt from. ``plain``: every choice is one of one part, so that shares form a flow."""

    seed: int
    days: int = 5
    plain: bool = False
    priced: bool = False
    leads: bool = False
    """Of most parts there is a first day for which they can be ordered."""


TAKEN = [
    *(Deal(seed) for seed in (6, 7, 9)),
    *(Deal(seed, plain=True) for seed in (1, 2, 7)),
    *(Deal(seed, days=2 * BLOCK + 1) for seed in (8, 11)),
]
AHEAD = [
    *(Deal(seed, days=15, leads=True) for seed in (1, 2, 3)),
    *(Deal(seed, days=15, plain=True, leads=True) for seed in (1, 2)),
]
BOUGHT = [*(Deal(seed, priced=True) for seed in range(3)), Deal(0, days=2 * BLOCK + 1, priced=True)]


@cache
def week(deal):
    """Kinds of jobs that come up again and again. Of each part there is less than all jobs would take."""
    dice = random.Random(deal.seed)
    kinds = [kind_of_job(dice, deal) for _ in range(KINDS)]
    jobs = [job(dice, deal, row, dice.choice(kinds)) for row in dice.sample(range(2, 3 * JOBS), JOBS)]
    told = {"jobs": jobs, "parts": receipts(dice, deal, jobs)}
    if deal.leads:
        told |= {"open": [dice.choice([None, 1, 3, 5, 8, 12]) for _ in range(PARTS)], "early": 5}
    return told | {"prices": [dice.randint(5, 400_000) for _ in range(PARTS)]} if deal.priced else told


def kind_of_job(dice, deal):
    """Its priority, two or three lines, and what comes off."""
    lines = [line(dice, deal) for _ in range(dice.randint(2, 3))]
    gives = [[dice.randrange(PARTS), dice.randint(1, 2)]] if dice.random() < 0.6 else []
    return {"priority": dice.randint(1, PRIORITIES), "lines": lines, "gives": gives}


def line(dice, deal):
    """One to four units. A choice takes one or two of a part, or is made up of two parts.

    Choices that are substitutes come after those that are none, as they do in a frame's window of lengths;
    where nothing of the exact length is in stock the first is one too.
    """
    choices = dice.randint(1, 3)
    chance = 1 if dice.random() < 0.3 else 0.5
    substitutes = sorted(int(dice.random() < chance) for _ in range(choices))
    parts = plain_parts(dice, choices) if deal.plain else [parts_of_one(dice) for _ in range(choices)]
    return {
        "units": dice.randint(1, 4),
        "choices": [{"parts": own, "substitute": each} for own, each in zip(parts, substitutes, strict=True)],
    }


def plain_parts(dice, choices):
    return [[[part, 1]] for part in dice.sample(range(PARTS), choices)]


def parts_of_one(dice):
    many = 2 if dice.random() < 0.25 else 1
    return [[part, 2 if dice.random() < 0.2 else 1] for part in sorted(dice.sample(range(PARTS), many))]


def job(dice, deal, row, kind):
    """One of its kind on some day; what comes off may be used again a day or two later."""
    day = dice.randint(1, deal.days)
    usable = day + dice.randint(1, 2)
    return {
        "priority": kind["priority"],
        "day": day,
        "row": row,
        "lines": kind["lines"],
        "gives": [[part, quantity, usable] for part, quantity in kind["gives"]],
    }


PLENTY = 8


def receipts(dice, deal, jobs):
    """By part what is there on day 0 and what is due later: 65 to 100 in 100 of what is wanted first.

    Of one part in three there is plenty, so that it never runs short and substitutes of it still count.
    """
    wanted = Counter()
    for each in jobs:
        for line in each["lines"]:
            for part, units in line["choices"][0]["parts"]:
                wanted[part] += units * line["units"]
    made = []
    for part in range(PARTS):
        share = dice.uniform(0.65, 1.0) if part % 3 else PLENTY
        there = int(wanted[part] * share)
        early = there * dice.randint(3, 7) // 10
        made.append([[0, early], [dice.randint(2, deal.days), there - early]])
    return made


# --- both answers -----------------------------------------------------------------------------------------


def in_bundles(told):
    """The week in the numbers of the choosing; equal jobs of one day are one bundle of several marks."""
    marks = {}
    for each in told["jobs"]:
        asks = tuple(
            Ask(line["units"], tuple(Option(pairs(c["parts"]), c["substitute"]) for c in line["choices"]))
            for line in each["lines"]
        )
        gives = tuple(Yield(*given) for given in each["gives"])
        marks.setdefault((each["priority"], each["day"], asks, gives), []).append(each["row"])
    bundles = [
        Bundle(priority, day, asks, tuple(sorted(rows)), gives, kind=hash(asks))
        for (priority, day, asks, gives), rows in marks.items()
    ]
    prices = told.get("prices", [0] * PARTS)
    opens = told.get("open", [None] * PARTS)
    resources = [
        Resource(dict(each), HUNDREDTHS, price * MILLIONTHS_OF_A_CENT * HUNDREDTHS, first)
        for each, price, first in zip(told["parts"], prices, opens, strict=True)
    ]
    return bundles, resources


HUNDREDTHS = 100
"""What a whole part weighs where some other part is counted in hundredths of its unit."""

MILLIONTHS_OF_A_CENT = 10_000
"""Prices are told in cents; the choosing counts money in millionths of the whole coin."""


def pairs(parts):
    return tuple((part, each) for part, each in parts)


def aims(told, taken):
    """What the second solver tells too, reckoned from the jobs taken and how each is served."""
    chosen = [each for each in told["jobs"] if each["row"] in taken]
    counts = Counter(each["priority"] for each in chosen)
    substitutes = sum(
        choice["substitute"] * units
        for each in chosen
        for line, served in zip(each["lines"], taken[each["row"]], strict=True)
        for choice, units in zip(line["choices"], served, strict=True)
    )
    return [
        *(counts[priority] for priority in sorted({each["priority"] for each in told["jobs"]})),
        substitutes,
        sum(each["day"] for each in chosen),
        sum(each["row"] for each in chosen),
    ]


def units_ordered(told, taken, until):
    """The greatest lack of each part up to a day, added up; nothing may lack where it cannot be ordered."""
    most = Counter()
    left = Counter()
    for day in range(1 + max(each["day"] for each in told["jobs"])):
        move(told, taken, day, left)
        for part, units in left.items():
            first = told["open"][part]
            assert units >= 0 or (first is not None and day >= first)
            if day <= until:
                most[part] = max(most[part], -units)
    return most.total()


def move(told, taken, day, left):
    """What comes and goes on a day."""
    for part, due in enumerate(told["parts"]):
        left[part] += sum(quantity for when, quantity in due if when == day)
    for each in told["jobs"]:
        if each["row"] in taken:
            for part, quantity, usable in each["gives"]:
                left[part] += quantity * (usable == day)
            if each["day"] == day:
                left.subtract(taken_by(each, taken[each["row"]]))


def least_left(told, taken):
    """The least that ever lies on any shelf, with every job taken served as said, day by day."""
    left, lowest = Counter(), 0
    for day in range(1 + max(each["day"] for each in told["jobs"])):
        move(told, taken, day, left)
        lowest = min([lowest, *left.values()])
    return lowest


def taken_by(each, served):
    used = Counter()
    for line, units in zip(each["lines"], served, strict=True):
        assert sum(units) == line["units"]
        for choice, count in zip(line["choices"], units, strict=True):
            for part, quantity in choice["parts"]:
                used[part] += quantity * count
    return used


@pytest.fixture(scope="module")
def by_the_second():
    """The second solver's answers; all weeks in one run, for it takes its time to load."""
    deals = [*TAKEN, *AHEAD, *BOUGHT]
    done = subprocess.run(
        [sys.executable, str(SECOND_SOLVER)],
        input=json.dumps([week(deal) for deal in deals]),
        capture_output=True,
        check=True,
        text=True,
    )
    return dict(zip(deals, json.loads(done.stdout), strict=True))


@pytest.mark.slow
@pytest.mark.parametrize("deal", TAKEN, ids=str)
def test_both_solvers_reach_the_same_in_every_aim(deal, by_the_second):
    told, theirs = week(deal), by_the_second[deal]
    packed = most(*in_bundles(told))
    assert (packed.proven, packed.gap) == (True, 0)
    assert theirs["proven"] == [True] * (PRIORITIES + 3)
    assert aims(told, packed.taken) == theirs["aims"]
    assert least_left(told, packed.taken) == 0


@pytest.mark.slow
@pytest.mark.parametrize("deal", AHEAD, ids=str)
def test_both_solvers_agree_over_weeks_with_orders_in_time(deal, by_the_second):
    told, theirs = week(deal), by_the_second[deal]
    packed = most(*in_bundles(told), early=told["early"])
    assert (packed.proven, packed.gap) == (True, 0)
    assert theirs["proven"] == [True] * (PRIORITIES + 6)
    early = {**told, "jobs": [each for each in told["jobs"] if each["day"] <= told["early"]]}
    counts, (substitutes, days, rows) = (
        aims(told, packed.taken)[:PRIORITIES], aims(told, packed.taken)[PRIORITIES:]
    )  # fmt: skip
    first = aims(early, packed.taken)[-3]
    ordered = [units_ordered(told, packed.taken, until) for until in (told["early"], deal.days)]
    assert [*counts, first, substitutes, *ordered, days, rows] == theirs["aims"]


@pytest.mark.slow
@pytest.mark.parametrize("deal", BOUGHT, ids=str)
def test_both_solvers_buy_as_little_at_the_same_cost(deal, by_the_second):
    told, theirs = week(deal), by_the_second[deal]
    packed = least(*in_bundles(told))
    assert (packed.proven, packed.gap) == (True, 0)
    assert theirs["proven"] == [True, True]
    cost = sum(told["prices"][part] * units for part, units in packed.bought.items())
    assert [sum(packed.bought.values()), cost] == theirs["aims"]
    stocked = [[*due, [0, packed.bought.get(part, 0)]] for part, due in enumerate(told["parts"])]
    assert least_left({**told, "parts": stocked}, packed.taken) == 0
