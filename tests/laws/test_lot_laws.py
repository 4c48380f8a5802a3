"""Lots and rounds of orders: never less than is wanted, and nothing cheaper is to be found."""

import random
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate, product
from math import prod

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from lot_cases import Case, by_brute_force, cases, cents, cost_of

from reconcile.plan.orders.lot_sizes import Search, cheapest_plan, choose_lot, wagner_whitin
from reconcile.plan.orders.rounds import choose_rounds
from reconcile.plan.orders.steady_lots import SteadyPart, cycle_of, joint_cycle, steady_lot, yearly_cost
from reconcile.values.rules import ALL_UNITS, INCREMENTAL
from reconcile.values.week.buying import JUST_ENOUGH, DeliveryTerms, Holding, LotLine, round_of

SOME = settings(max_examples=200, derandomize=True)
FEW = settings(max_examples=60, derandomize=True)
ALL_STATES = 10**9


def plan_of(case, steps=ALL_STATES):
    return cheapest_plan(case.required, case.offers, case.holding, steps)


def sizes_of(case, plan):
    sizes = [0] * len(case.required)
    for order in plan.orders:
        sizes[order.period] = order.packs
    return sizes


# --- lots over a horizon ------------------------------------------------------------------------------------


@pytest.mark.slow
@SOME
@given(cases(falling=False))
def test_no_plan_is_cheaper(case):
    plan = plan_of(case)
    assert plan.gap == 0
    assert plan.total == cost_of(case, sizes_of(case, plan)) == by_brute_force(case)


@pytest.mark.slow
@SOME
@given(cases(falling=False))
def test_what_is_ordered_is_enough_in_whole_packs_from_the_minimum_on(case):
    plan, bought = plan_of(case), Fraction(0)
    for period, size in enumerate(sizes_of(case, plan)):
        bought += size * case.pack
        assert bought >= case.required[period]
    assert all(order.quantity == order.packs * case.pack >= case.minimum for order in plan.orders)
    assert bought == case.required[-1] + plan.left


@pytest.mark.slow
@SOME
@given(cases(periods=5, demand=6, kinds=[ALL_UNITS]), st.integers(1, 3))
def test_the_few_states_that_are_looked_at_are_enough(case, divisor):
    # Prices of all units that never rise: the search over few states either is exact, or tells its gap.
    whole = plan_of(case)
    part = plan_of(case, len(case.required) * case.most**2 // (2 * divisor))
    assert whole.total <= part.total
    assert part.total - part.gap <= whole.total
    assert part.gap or part.total == whole.total


def dealt(seed):
    """Up to eight weeks, some 200 packs, up to two price breaks of all units."""
    dice = random.Random(seed)
    required = tuple(accumulate(Fraction(dice.randint(0, 60)) for _ in range(dice.randint(2, 8))))
    starts = [0, *sorted(dice.sample(range(5, 150), dice.randint(0, 2)))]
    prices = sorted((Fraction(dice.randint(1, 900), 100) for _ in starts), reverse=True)
    return Case(
        required,
        tuple((Fraction(start), price) for start, price in zip(starts, prices, strict=True)),
        ALL_UNITS,
        Fraction(dice.choice([0, 0, 10, 40])),
        (Fraction(dice.randint(0, 4000), 100),) * len(required),
        Fraction(dice.choice([1, 1, 2, 5])),
        Fraction(0),
        Fraction(dice.choice([0, 1, 5, 20, 50]), dice.choice([52, 260, 520])),
    )


def test_the_few_states_are_enough_on_middling_cases_too():
    exact = 0
    for case in map(dealt, range(60)):
        whole = Search(case.required, case.offers, case.holding, most_steps=ALL_STATES)
        few = replace(whole, most_steps=len(case.required) * whole.most**2 // 2 - 1)
        assert len(few.states) < len(whole.states)
        assert whole.plan().total <= few.plan().total
        assert whole.plan().total >= few.plan().total - few.plan().gap
        exact += few.exact
    assert exact > 40


@pytest.mark.slow
@SOME
@given(cases(periods=5, demand=6, falling=False, kinds=[INCREMENTAL, ALL_UNITS]), st.integers(1, 40))
def test_a_gap_that_is_told_holds(case, steps):
    whole, part = plan_of(case), plan_of(case, steps)
    assert part.total - part.gap <= whole.total <= part.total
    assert cost_of(case, sizes_of(case, part)) == part.total


@pytest.mark.slow
@SOME
@given(cases(), st.sampled_from([Fraction(12), Fraction(127, 5), Fraction(1, 10)]))
def test_another_unit_changes_nothing(case, factor):
    # Counted in tenths, dozens or millimetres: the same packs for the same money.
    other = replace(
        case,
        required=tuple(each * factor for each in case.required),
        steps=tuple((start * factor, price / factor) for start, price in case.steps),
        minimum=case.minimum * factor,
        pack=case.pack * factor,
        per_unit=case.per_unit / factor,
    )
    assert plan_of(other).total == plan_of(case).total
    assert sizes_of(other, plan_of(other)) == sizes_of(case, plan_of(case))


@pytest.mark.slow
@SOME
@given(cases(), st.sampled_from([Fraction(1, 7), Fraction(3)]))
def test_another_currency_changes_the_money_alone(case, rate):
    other = replace(
        case,
        steps=tuple((start, price * rate) for start, price in case.steps),
        order_costs=tuple(each * rate for each in case.order_costs),
        per_unit=case.per_unit * rate,
    )
    assert plan_of(other).total == plan_of(case).total * rate
    assert sizes_of(other, plan_of(other)) == sizes_of(case, plan_of(case))


def kept(case, plan):
    """Units times the periods they are kept."""
    total, bought = Fraction(0), Fraction(0)
    for size, needed in zip(sizes_of(case, plan), case.required, strict=True):
        bought += size * case.pack
        total += bought - needed
    return total


@pytest.mark.slow
@SOME
@given(cases(), cents(1, 500))
def test_dearer_keeping_never_keeps_more(case, more):
    # Not where keeping costs a share of the price: a bigger lot at a lower price could be cheaper to keep.
    case = replace(case, share=Fraction(0))
    dearer = replace(case, per_unit=case.per_unit + more)
    assert kept(dearer, plan_of(dearer)) <= kept(case, plan_of(case))
    assert plan_of(dearer).total >= plan_of(case).total


@pytest.mark.slow
@SOME
@given(cases(), cents(1, 500))
def test_dearer_ordering_never_orders_more_often(case, more):
    dearer = replace(case, order_costs=tuple(each + more for each in case.order_costs))
    assert len(plan_of(dearer).orders) <= len(plan_of(case).orders)


@pytest.mark.slow
@SOME
@given(cases(), cents(0, 100))
def test_a_longer_horizon_never_costs_less(case, more):
    longer = replace(
        case,
        required=(*case.required, case.required[-1] + more),
        order_costs=(*case.order_costs, case.order_costs[-1]),
    )
    assert plan_of(longer).total >= plan_of(case).total


@pytest.mark.slow
@SOME
@given(cases(periods=5))
def test_without_packs_minimum_and_breaks_it_is_wagner_and_whitins(case):
    whole = [Fraction(-(-each // case.pack)) * case.pack for each in case.required]
    price = case.steps[0][1]
    plain = replace(case, required=tuple(whole), steps=((Fraction(0), price),), minimum=Fraction(0))
    demand = [now - before for before, now in zip([Fraction(0), *whole], whole, strict=False)]
    prices = [price] * len(whole)
    cost, _ = wagner_whitin(
        demand, case.order_costs, prices, [case.per_unit + case.share * price] * len(whole)
    )
    assert plan_of(plain).total == cost


@pytest.mark.slow
@SOME
@given(cases())
def test_the_size_taken_is_the_cheapest_of_those_looked_at(case):
    assume(case.required[0] > 0)
    offer = case.offers[0]
    choice = choose_lot(case.required, offer, case.holding)
    same = replace(case, order_costs=(offer.order_cost,) * len(case.required))
    assert choice.taken.total == choice.bound == by_brute_force(same)
    assert all(each.total >= choice.taken.total for each in choice.alternatives)
    assert all(each.quantity >= choice.want for each in choice.alternatives)
    assert choice.just_enough.packs == offer.packs(choice.want)
    assert [JUST_ENOUGH in each.why for each in choice.alternatives].count(True) == 1
    for each in choice.alternatives:
        assert each.total == cost_of(same, sizes_of(same, each.plan)) == by_brute_force(same, each.packs)
        assert each.plan.now.packs == each.packs


# --- even demand --------------------------------------------------------------------------------------------


@pytest.mark.slow
@SOME
@given(cases(), st.integers(1, 60), cents(1, 200))
def test_no_steady_lot_is_cheaper(case, demand, per_unit):
    offer, holding = case.offers[0], Holding(per_unit, case.share)
    lot, cost = steady_lot(offer, Fraction(demand), holding)
    least = offer.thresholds[0]
    costs = [
        yearly_cost(size * case.pack, offer, Fraction(demand), holding) for size in range(least, least + 420)
    ]
    assert cost == min(costs) == costs[int(lot / case.pack) - least]


steady_parts = st.builds(SteadyPart, cents(0, 3000), st.integers(1, 40).map(Fraction), cents(1, 300))


@pytest.mark.slow
@FEW
@given(cents(1, 5000), st.lists(steady_parts, min_size=1, max_size=3))
def test_no_joint_cycle_is_cheaper(order_cost, parts):
    found = joint_cycle(order_cost, parts)
    most = 9
    assume(max(found.multiples) < most)
    others = (
        cycle_of(order_cost, parts, multiples)
        for multiples in product(range(1, most + 1), repeat=len(parts))
        if 1 in multiples
    )
    assert found.cost_squared == min(each.cost_squared for each in others)


# --- a supplier's rounds ------------------------------------------------------------------------------------


@st.composite
def suppliers(draw):
    lines = [
        LotLine(f"P{number}", value, latest)
        for number, (value, latest) in enumerate(
            draw(st.lists(st.tuples(cents(0, 4000), st.integers(0, 3)), min_size=1, max_size=6))
        )
    ]
    terms = DeliveryTerms(
        draw(st.one_of(st.just(Fraction(0)), cents(0, 6000))),
        draw(st.one_of(st.just(Fraction(0)), cents(0, 1500))),
        draw(st.one_of(st.none(), cents(0, 8000))),
    )
    share = draw(st.sampled_from([Fraction(0), Fraction(1, 260), Fraction(137, 52000), Fraction(1, 10)]))
    return lines, terms, Holding(share=share), draw(st.one_of(st.just(Fraction(0)), cents(0, 500)))


def worth(lines, numbers, terms, holding, order_cost):
    """What is missed of minimums, then charges, orders and keeping, for lines in these rounds."""
    below = cost = Fraction(0)
    for number in set(numbers):
        goods = sum(line.value for line, each in zip(lines, numbers, strict=True) if each == number)
        below += max(terms.minimum - goods, 0)
        if terms.free_from is None or goods < terms.free_from:
            cost += terms.charge
        cost += order_cost
    for line, number in zip(lines, numbers, strict=True):
        cost += holding.share * line.value * (line.latest - number)
    return below, cost


@pytest.mark.slow
@FEW
@given(suppliers())
def test_no_division_over_rounds_is_cheaper(supplier):
    lines, terms, holding, order_cost = supplier
    assert prod(line.latest + 1 for line in lines) <= 4096
    ways = product(*(range(line.latest + 1) for line in lines))
    choice = choose_rounds(*supplier)
    least = min(worth(lines, numbers, terms, holding, order_cost) for numbers in ways)
    assert (choice.taken.below_minimum, choice.taken.cost, choice.taken.gap) == (*least, 0)


@pytest.mark.slow
@FEW
@given(suppliers())
def test_every_line_is_in_one_round_and_none_is_late(supplier):
    lines, terms, holding, order_cost = supplier
    for plan in choose_rounds(*supplier).alternatives:
        ordered = [line for each in plan.rounds for line in each.lines]
        assert sorted(ordered, key=lines.index) == lines
        assert all(line.latest >= each.period for each in plan.rounds for line in each.lines)
        for each in plan.rounds:
            assert each == round_of(each.period, each.lines, terms, holding, order_cost)
