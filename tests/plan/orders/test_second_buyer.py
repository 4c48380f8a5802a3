"""Lots and rounds of middling size, held against another solver that models them another way."""

import importlib.util
import json
import random
import subprocess
import sys
from fractions import Fraction
from math import lcm
from pathlib import Path

import pytest

from reconcile.plan.orders.lot_sizes import cheapest_plan
from reconcile.plan.orders.rounds import choose_rounds
from reconcile.values.rules import ALL_UNITS, INCREMENTAL
from reconcile.values.week.buying import DeliveryTerms, Holding, LotLine, Offer, PriceStep

SECOND_BUYER = Path(__file__).parents[2] / "helpers" / "second_buyer.py"

pytestmark = pytest.mark.skipif(
    importlib.util.find_spec("ortools") is None, reason="the second solver is not installed"
)


def answers(asked):
    command, told = [sys.executable, str(SECOND_BUYER)], json.dumps(asked)
    done = subprocess.run(command, input=told, capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def cents(dice, low, high):
    return Fraction(dice.randint(low, high), 100)


# --- lots -------------------------------------------------------------------------------------------------


def dealt_lot(seed):
    """Six weeks, some ten packs, two price breaks; keeping costs a share only where all units are cheaper."""
    dice = random.Random(seed)
    required, total = [], Fraction(0)
    for _ in range(6):
        total += dice.randint(0, 9)
        required.append(total)
    starts = [0, *sorted(dice.sample(range(4, 24), 2))]
    prices = sorted((cents(dice, 5, 900) for _ in starts), reverse=True)
    steps = tuple(PriceStep(Fraction(start), price) for start, price in zip(starts, prices, strict=True))
    kind = ALL_UNITS if seed % 2 else INCREMENTAL
    minimum, order_cost = Fraction(dice.choice([0, 5])), cents(dice, 0, 1500)
    pack = Fraction(dice.choice([1, 2, 3]))
    share = Fraction(1, 5 * 52) * dice.choice([1, 10]) if kind == ALL_UNITS else Fraction(0)
    return required, Offer(steps, kind, pack, minimum, order_cost), Holding(cents(dice, 0, 20), share)


def as_plain_numbers(required, offer, holding):
    """The same in whole small units, and how many of them make one of money."""
    least = offer.packs(Fraction(0))
    rows = []
    for step in offer.steps:
        start = max(offer.packs(step.from_quantity), least, 1)
        fixed = offer.goods(start * offer.pack) - step.price * start * offer.pack
        rows.append([start, fixed, step.price * offer.pack, holding.of(step.price)])
    rows = [row for row, after in zip(rows, [*rows[1:], [0]], strict=True) if row[0] != after[0]]
    scale = lcm(offer.order_cost.denominator, *(each.denominator for row in rows for each in row[1:]))
    steps = [
        {"from": start, "fixed": int(fixed * scale), "pack": int(pack * scale), "kept": int(kept * scale)}
        for start, fixed, pack, kept in rows
    ]
    return {
        "ask": "lot",
        "required": [int(each) for each in required],
        "pack": int(offer.pack),
        "least": max(least, 1),
        "order_cost": int(offer.order_cost * scale),
        "steps": steps,
    }, scale


@pytest.mark.slow
def test_lots_of_middling_size_cost_what_the_second_solver_finds():
    dealt = [dealt_lot(seed) for seed in range(12)]
    plain = [as_plain_numbers(*each) for each in dealt]
    found = answers([asked for asked, _ in plain])
    costs = [
        cheapest_plan(required, [offer] * len(required), holding).total for required, offer, holding in dealt
    ]
    assert costs == [Fraction(cost, scale) for cost, (_, scale) in zip(found, plain, strict=True)]


# --- rounds -----------------------------------------------------------------------------------------------


def dealt_rounds(seed):
    """25 lines over five weekly rounds, a minimum, a charge and free delivery."""
    dice = random.Random(seed)
    lines = [
        LotLine(f"P{number}", cents(dice, 50, 4000), dice.choice([0, 1, 2, 3, 4])) for number in range(25)
    ]
    terms = DeliveryTerms(
        cents(dice, 0, 9000), cents(dice, 300, 1500), dice.choice([None, cents(dice, 8000, 20000)])
    )
    return lines, terms, Holding(share=Fraction(1, 5 * 52) * dice.choice([1, 4])), cents(dice, 0, 400)


def as_plain_rounds(lines, terms, holding, order_cost):
    scale = 100 * holding.share.denominator
    return {
        "ask": "rounds",
        "lines": [[int(line.value * 100), line.latest] for line in lines],
        "minimum": int(terms.minimum * 100),
        "charge": int(terms.charge * scale),
        "free_from": None if terms.free_from is None else int(terms.free_from * 100),
        "order_cost": int(order_cost * scale),
        "week": holding.share.numerator,
    }, scale


@pytest.mark.slow
def test_rounds_of_middling_size_cost_what_the_second_solver_finds():
    dealt = [dealt_rounds(seed) for seed in range(8)]
    plain = [as_plain_rounds(*each) for each in dealt]
    found = answers([asked for asked, _ in plain])
    for told, (missed, cost), (_, scale) in zip(dealt, found, plain, strict=True):
        taken = choose_rounds(*told).taken
        assert (taken.below_minimum, taken.cost) == (Fraction(missed, 100), Fraction(cost, scale))
        assert taken.gap == 0
