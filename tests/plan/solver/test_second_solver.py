"""The choice of kits on middling weeks, held against another solver that models the week another way.

What both must agree on, each aim proven by both: the jobs of each priority, the substitute units, the sum of
days, the sum of rows; over several weeks with parts that can be ordered in time, also the substitutes of the
first week, and the units to be ordered, for the first week and in all; and, where all is to be done, the
units to buy and what they cost. Weeks are dealt from a seed, as ``tests/helpers/second_solver.py`` takes
them: lines of joints and chairs, of which our shares are made here by ``kits`` and there by a yes or no for
each choice of each chair's joint. The seeds are such that either solver needs few seconds.
"""

import importlib.util
import json
import random
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from workshop import job as job_of_row
from workshop import part as stock_part

from reconcile.plan.flows.supply import Arrival, Demand, Supply
from reconcile.plan.kits.bundles import Bundles
from reconcile.plan.solver.packing_solver import BLOCK, least, most
from reconcile.values.week.jobs import Choice, Line
from reconcile.values.week.results import ORDER, Source

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
    weeks: int = 1
    """More than one: of two parts in three what lacks can be ordered in time from some day on."""


EARLY = 5
"""The last day of the first week, the one that is asked about."""

TAKEN = [
    *(Deal(seed) for seed in (6, 7, 9)),
    *(Deal(seed, plain=True) for seed in (1, 2, 4)),
    *(Deal(seed, days=2 * BLOCK + 1) for seed in (8, 11)),
]
ORDERED = [
    *(Deal(seed, days=15, weeks=3) for seed in range(5)),
    *(Deal(seed, days=40, weeks=8) for seed in range(4)),
]
BOUGHT = [*(Deal(seed, priced=True) for seed in range(3)), Deal(0, days=2 * BLOCK + 1, priced=True)]


@cache
def week(deal):
    """Kinds of jobs that come up again and again. Of each part there is less than all jobs would take."""
    dice = random.Random(deal.seed)
    kinds = [kind_of_job(dice, deal) for _ in range(KINDS)]
    jobs = [job(dice, deal, row, dice.choice(kinds)) for row in dice.sample(range(2, 3 * JOBS), JOBS)]
    told = {"jobs": jobs, "parts": receipts(dice, deal, jobs)}
    if deal.weeks > 1:
        opens = [dice.choice((None, dice.randint(1, 4), dice.randint(5, deal.days))) for _ in range(PARTS)]
        return told | {"opens": opens, "early": EARLY}
    return told | {"prices": [dice.randint(5, 400_000) for _ in range(PARTS)]} if deal.priced else told


def kind_of_job(dice, deal):
    """Its priority, chairs, two or three lines of which some are of a joint on both sides, what comes off."""
    lines = []
    for number in range(dice.randint(2, 3)):
        joint = f"joint {number}" if dice.random() < 0.7 else ""
        one = line(dice, deal, joint)
        lines += [one, one] if joint and not deal.plain and dice.random() < 0.4 else [one]
    gives = [[dice.randrange(PARTS), dice.randint(1, 2)]] if dice.random() < 0.6 else []
    return {
        "priority": dice.randint(1, PRIORITIES),
        "chairs": dice.choice((1, 1, 2)),
        "lines": lines,
        "gives": gives,
        "usable": dice.randint(1, 2),
    }


def line(dice, deal, joint):
    """One to three units a chair. A choice takes one or two of a part, or is made up of two parts.

    Choices that are substitutes come after those that are none, as they do in a frame's window of lengths;
    where nothing of the exact length is in stock the first is one too.
    """
    choices = dice.randint(1, 3)
    chance = 1 if dice.random() < 0.3 else 0.5
    substitutes = sorted(int(dice.random() < chance) for _ in range(choices))
    parts = plain_parts(dice, choices) if deal.plain else [parts_of_one(dice) for _ in range(choices)]
    return {
        "units": 1 if deal.plain else dice.randint(1, 3),
        "joint": joint,
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
    return {
        **kind,
        "day": day,
        "row": row,
        "gives": [[part, quantity, day + kind["usable"]] for part, quantity in kind["gives"]],
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
                wanted[part] += units * line["units"] * each["chairs"]
    made = []
    for part in range(PARTS):
        share = dice.uniform(0.65, 1.0) if part % 3 else PLENTY
        there = int(wanted[part] * share)
        early = there * dice.randint(3, 7) // 10
        made.append([[0, early], [dice.randint(2, deal.days), there - early]])
    return made


# --- both answers -----------------------------------------------------------------------------------------


def in_bundles(told):
    """The week as the kits have it: jobs with lines, of which the shares of each chair are made."""
    kinds = {}
    demands = [demand(each, kinds) for each in told["jobs"]]
    supplies = {
        name(part): Supply(
            Fraction(sum(quantity for day, quantity in receipts if not day)),
            tuple(Arrival(date.fromordinal(day), Fraction(n), DUE) for day, n in receipts if day),
            opening(told, part),
        )
        for part, receipts in enumerate(told["parts"])
    }
    return Bundles(demands, supplies, {number: stock_part(number) for number in supplies})


def opening(told, part):
    """The first day for which a part can be had in time; None where there is none."""
    opens = told["opens"][part] if "opens" in told else None
    return None if opens is None else date.fromordinal(opens)


DUE = Source(ORDER, "PO-1")


def name(part):
    return f"P-{part}"


def demand(told, kinds):
    lines = tuple(line_of(place, each) for place, each in enumerate(told["lines"]))
    gives = {name(part): Fraction(quantity) for part, quantity, _ in told["gives"]}
    day = date.fromordinal(told["day"])
    usable = date.fromordinal(told["day"] + told["usable"])
    one = job_of_row("J", day, row=told["row"], priority=told["priority"], chairs=told["chairs"])
    kind = kinds.setdefault(json.dumps([told["lines"], told["gives"], told["usable"]]), len(kinds))
    return Demand(one, lines, gives, usable, kind, day)


def line_of(place, told):
    choices = tuple(
        Choice(
            tuple((name(part), Fraction(each)) for part, each in choice["parts"]),
            bool(choice["substitute"]),
        )
        for choice in told["choices"]
    )
    what, called = ("bolt", told["joint"]) if told["joint"] else ("disturbed", f"part {place}")
    return Line("fit", what, called, "", Fraction(told["units"]), "each", None, choices)


def resources_of(bundles, told):
    prices = told.get("prices", [0] * PARTS)
    return [
        replace(each, weight=HUNDREDTHS, cost=price * MILLIONTHS_OF_A_CENT * HUNDREDTHS)
        for each, price in zip(bundles.resources, prices, strict=True)
    ]


HUNDREDTHS = 100
"""What a whole part weighs where some other part is counted in hundredths of its unit."""

MILLIONTHS_OF_A_CENT = 10_000
"""Prices are told in cents; the choosing counts money in millionths of the whole coin."""


def served_jobs(bundles, packed):
    """By row every line of the jobs taken with the choices that serve it."""
    return {
        each.job.place.row: bundles.serving(each, packed.taken[each.job.place.row]).lines
        for each in bundles.demands
        if each.job.place.row in packed.taken
    }


def aims(told, served):
    """What the second solver tells too, reckoned from the jobs taken and how each is served."""
    chosen = [each for each in told["jobs"] if each["row"] in served]
    counts = Counter(each["priority"] for each in chosen)
    lacks = most_lacking(told, served)
    days = (EARLY, deal_days(told))
    return [
        *(counts[priority] for priority in sorted({each["priority"] for each in told["jobs"]})),
        *(substitutes(chosen, served, last) for last in (days if "opens" in told else days[1:])),
        *((sum(lacks[last].values()) for last in days) if "opens" in told else ()),
        sum(each["day"] for each in chosen),
        sum(each["row"] for each in chosen),
    ]


def substitutes(chosen, served, last):
    """Units of another length that jobs up to a day have."""
    return sum(
        amount
        for each in chosen
        if each["day"] <= last
        for line in served[each["row"]]
        for choice, amount in line.served
        if choice.substitute
    )


def deal_days(told):
    return max(each["day"] for each in told["jobs"])


def shelves(told, served):
    """What lies of each part at the end of each day, with every job taken served as said."""
    left = Counter()
    for day in range(1 + deal_days(told)):
        for part, due in enumerate(told["parts"]):
            left[name(part)] += sum(quantity for when, quantity in due if when == day)
        for each in told["jobs"]:
            if each["row"] in served:
                for part, quantity, usable in each["gives"]:
                    left[name(part)] += quantity * (usable == day)
                if each["day"] == day:
                    left.subtract(taken_by(each, served[each["row"]]))
        yield day, left


def least_left(told, served):
    """The least that ever lies on any shelf on a day for which the part cannot be ordered in time."""
    opens = {name(part): opening(told, part) for part in range(PARTS)}
    return min(
        0,
        *(
            units
            for day, left in shelves(told, served)
            for part, units in left.items()
            if opens[part] is None or day < opens[part].toordinal()
        ),
    )


def most_lacking(told, served):
    """By the last day that is looked at: of each part the most that lacks on any day up to it."""
    lacks = {last: Counter() for last in (EARLY, deal_days(told))}
    for day, left in shelves(told, served):
        for last in lacks:
            lacks[last] |= Counter({part: -units for part, units in left.items() if day <= last})
    return lacks


def taken_by(told, lines):
    """What a job takes; each chair's joint by one choice, alike in all lines of the joint."""
    used, joints = Counter(), {}
    for one, line in zip(told["lines"], lines, strict=True):
        assert sum(amount for _, amount in line.served) == one["units"] * told["chairs"]
        if one["joint"]:
            chairs = {choice.parts: amount / one["units"] for choice, amount in line.served}
            assert all(many.denominator == 1 for many in chairs.values())
            assert joints.setdefault(one["joint"], chairs) == chairs
        for choice, amount in line.served:
            for part, each in choice.parts:
                used[part] += each * amount
    return used


@pytest.fixture(scope="module")
def by_the_second():
    """The second solver's answers; all weeks in one run, for it takes its time to load."""
    deals = [*TAKEN, *ORDERED, *BOUGHT]
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
    bundles = in_bundles(told)
    packed = most(bundles.bundles(range(JOBS)), resources_of(bundles, told))
    assert (packed.proven, packed.gap) == (True, 0)
    assert theirs["proven"] == [True] * (PRIORITIES + 3)
    served = served_jobs(bundles, packed)
    assert aims(told, served) == theirs["aims"]
    assert least_left(told, served) == 0


@pytest.mark.slow
@pytest.mark.parametrize("deal", ORDERED, ids=str)
def test_both_solvers_reach_the_same_over_weeks_with_orders_in_time(deal, by_the_second):
    told, theirs = week(deal), by_the_second[deal]
    bundles = in_bundles(told)
    packed = most(bundles.bundles(range(JOBS)), resources_of(bundles, told), early=EARLY)
    assert (packed.proven, packed.gap) == (True, 0)
    assert theirs["proven"] == [True] * (PRIORITIES + 6)
    served = served_jobs(bundles, packed)
    assert aims(told, served) == theirs["aims"]
    assert least_left(told, served) == 0
    assert 0 < len(served) < JOBS
    assert theirs["aims"][PRIORITIES + 3] > 0, "something hangs on an order"


@pytest.mark.slow
@pytest.mark.parametrize("deal", BOUGHT, ids=str)
def test_both_solvers_buy_as_little_at_the_same_cost(deal, by_the_second):
    told, theirs = week(deal), by_the_second[deal]
    bundles = in_bundles(told)
    packed = least(bundles.bundles(range(JOBS)), resources_of(bundles, told))
    assert (packed.proven, packed.gap) == (True, 0)
    assert theirs["proven"] == [True, True]
    cost = sum(told["prices"][part] * units for part, units in packed.bought.items())
    assert [sum(packed.bought.values()), cost] == theirs["aims"]
    stocked = [[*due, [0, packed.bought.get(part, 0)]] for part, due in enumerate(told["parts"])]
    assert least_left({**told, "parts": stocked}, served_jobs(bundles, packed)) == 0
