"""The exact choice against full enumeration on tiny weeks."""

import itertools
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop import MON, TUE, WED, kit_job, part

from reconcile.plan.flows.supply import Demand, Supply
from reconcile.plan.kits.bundles import Bundles
from reconcile.plan.solver.packing import Ask, Bundle, Option, Resource, Yield
from reconcile.plan.solver.packing_solver import least, most
from reconcile.values.week.jobs import Choice, Line

FEW = settings(max_examples=120, derandomize=True)
RESOURCES, PERIODS = 3, 3


@st.composite
def asks(draw):
    count = draw(st.integers(1, 2))
    resources = draw(st.permutations(range(RESOURCES)))[:count]
    least_penalty = draw(st.integers(0, 1))  # 1: even the first option is a substitute
    options = tuple(
        Option(((resource, draw(st.integers(1, 2))),), max(least_penalty, int(place > 0)))
        for place, resource in enumerate(resources)
    )
    return Ask(draw(st.integers(1, 2)), options)


@st.composite
def bundles(draw, most_bundles=5):
    made = []
    for mark in range(draw(st.integers(1, most_bundles))):
        period = draw(st.integers(1, PERIODS))
        given_back = draw(st.integers(0, RESOURCES + 1))
        yields = (Yield(given_back, 1, period + 1),) if given_back < RESOURCES else ()
        own = tuple(draw(st.lists(asks(), min_size=1, max_size=2)))
        made.append(Bundle(draw(st.integers(1, 2)), period, own, (mark,), yields, kind=mark))
    return made


@st.composite
def supplies(draw):
    return [
        Resource(
            {0: draw(st.integers(0, 3)), draw(st.integers(1, PERIODS)): draw(st.integers(0, 2))}, 1, cost
        )
        for cost in draw(st.permutations([0, 1, 2]))
    ]


def ways(ask):
    """Every way to share an ask's units among its options."""
    if len(ask.options) == 1:
        return [(ask.units,)]
    return [(first, ask.units - first) for first in range(ask.units, -1, -1)]


def drawn(chosen):
    """By resource and period what bundles, each with a way for each ask, use less what they yield."""
    net = {}
    for bundle, shares in chosen:
        for ask, share in zip(bundle.asks, shares, strict=True):
            for option, units in zip(ask.options, share, strict=True):
                for resource, each in option.uses:
                    net[resource, bundle.period] = net.get((resource, bundle.period), 0) + each * units
        for each in bundle.yields:
            net[each.resource, each.period] = net.get((each.resource, each.period), 0) - each.units
    return net


def greatest_lack(chosen, resources):
    """For each resource the most by which use runs ahead of supply, at any period at which it is used."""
    net, lacks = drawn(chosen), []
    for resource, supply in enumerate(resources):
        there, lack = 0, 0
        for period in range(PERIODS + 2):
            there += supply.supply.get(period, 0) - net.get((resource, period), 0)
            lack = max(lack, -there)
        lacks.append(lack)
    return lacks


def penalty(shares, bundle):
    return sum(
        option.penalty * units
        for ask, share in zip(bundle.asks, shares, strict=True)
        for option, units in zip(ask.options, share, strict=True)
    )


def standing(chosen):
    """What the stages compare, the best first: counts by rank, penalty, periods, marks."""
    counts = [sum(bundle.rank == rank for bundle, _ in chosen) for rank in (1, 2)]
    return (
        [-count for count in counts],
        sum(penalty(shares, bundle) for bundle, shares in chosen),
        sum(bundle.period for bundle, _ in chosen),
        sum(bundle.marks[0] for bundle, _ in chosen),
    )


def every_serving(own):
    return itertools.product(*(itertools.product(*map(ways, bundle.asks)) for bundle in own))


def best_by_enumeration(given_bundles, resources):
    best = None
    for size in range(len(given_bundles) + 1):
        for own in itertools.combinations(given_bundles, size):
            for shares in every_serving(own):
                chosen = list(zip(own, shares, strict=True))
                if max(greatest_lack(chosen, resources)) == 0:
                    reached = standing(chosen)
                    best = reached if best is None else min(best, reached)
    return best


def chosen_by(packed, given_bundles):
    return [
        (bundle, packed.taken[bundle.marks[0]]) for bundle in given_bundles if bundle.marks[0] in packed.taken
    ]


@pytest.mark.slow
@FEW
@given(bundles(), supplies())
def test_the_most_is_what_enumeration_finds_in_every_stage(given_bundles, resources):
    packed = most(given_bundles, resources)
    chosen = chosen_by(packed, given_bundles)
    assert max(greatest_lack(chosen, resources), default=0) == 0
    assert standing(chosen) == best_by_enumeration(given_bundles, resources)
    assert (packed.proven, packed.gap) == (True, 0)


@pytest.mark.slow
@FEW
@given(bundles(most_bundles=3), supplies())
def test_the_least_to_buy_is_what_enumeration_finds(given_bundles, resources):
    packed = least(given_bundles, resources)
    lacks = greatest_lack(chosen_by(packed, given_bundles), resources)
    assert {resource: lack for resource, lack in enumerate(lacks) if lack} == packed.bought

    def cost(lacks):
        return sum(lacks), sum(lack * each.cost for lack, each in zip(lacks, resources, strict=True))

    every = (
        greatest_lack(list(zip(given_bundles, way, strict=True)), resources)
        for way in every_serving(given_bundles)
    )
    assert cost(lacks) == min(map(cost, every))


@pytest.mark.slow
@FEW
@given(bundles(), supplies(), st.randoms(use_true_random=False))
def test_the_order_of_bundles_changes_nothing(given_bundles, resources, dice):
    shuffled = list(given_bundles)
    dice.shuffle(shuffled)
    assert most(shuffled, resources) == most(given_bundles, resources)
    assert least(shuffled, resources).bought == least(given_bundles, resources).bought


@pytest.mark.slow
@FEW
@given(bundles(), supplies())
def test_never_fewer_of_a_rank_than_first_come_first_served(given_bundles, resources):
    packed = most(given_bundles, resources)
    by_hand = [(bundle, None) for bundle in given_bundles if bundle.marks[0] in packed.by_hand]
    ours = [sum(bundle.rank == rank for bundle, _ in chosen_by(packed, given_bundles)) for rank in (1, 2)]
    theirs = [sum(bundle.rank == rank for bundle, _ in by_hand) for rank in (1, 2)]
    assert ours >= theirs


@pytest.mark.slow
@FEW
@given(bundles(), supplies(), st.integers(0, RESOURCES - 1))
def test_more_of_a_resource_never_serves_fewer(given_bundles, resources, richer):
    more = [
        Resource({**each.supply, 0: each.supply.get(0, 0) + (place == richer)})
        for place, each in enumerate(resources)
    ]
    before, after = (
        [
            sum(bundle.rank == rank for bundle, _ in chosen_by(most(given_bundles, there), given_bundles))
            for rank in (1, 2)
        ]
        for there in (resources, more)
    )
    assert after >= before


# --- jobs with joints: each chair's joint by one choice ---------------------------------------------------


PARTS = ("A", "B", "C")
SIDES = ("left", "right")


@st.composite
def demands(draw):
    """Two or three jobs of one or two chairs, each with a joint on one side or both, and a loose line."""
    made = []
    for row in range(2, 2 + draw(st.integers(1, 3))):
        bolts, sides = draw(st.integers(1, 2)), SIDES[: draw(st.integers(1, 2))]
        own = choices_of(draw(st.permutations(PARTS))[: draw(st.integers(1, 3))])
        lines = [line_of("bolt", side, bolts, own) for side in sides]
        loose = choices_of(draw(st.permutations(PARTS))[: draw(st.integers(1, 2))])
        lines += [line_of("disturbed", "", 1, loose)] * draw(st.integers(0, 1))
        day = draw(st.sampled_from((MON, TUE)))
        one = kit_job(f"J-{row}", day, "F", row=row, priority=draw(st.integers(1, 2)),
                      chairs=draw(st.integers(1, 2)))  # fmt: skip
        made.append(Demand(one, tuple(lines), {}, WED, row, day))
    return made


def choices_of(numbers):
    return tuple(Choice(((number, Fraction(1)),), place > 0) for place, number in enumerate(numbers))


def line_of(what, side, quantity, choices):
    return Line("fit", what, "upper front", side, Fraction(quantity), "each", None, choices)


def every_way(demand):
    """By parts taken and substitutes: a choice for each chair's joint, one for each unit of what is loose."""
    joint = [line for line in demand.lines if line.what == "bolt"]
    loose = [line for line in demand.lines if line.what != "bolt"]
    chairs = demand.job.chairs
    bolts = sum(line.quantity for line in joint)
    picks = [[(choice, bolts) for choice in joint[0].choices]] * chairs
    picks += [[(choice, 1) for choice in line.choices] for line in loose for _ in range(chairs)]
    for way in itertools.product(*picks):
        taken = Counter()
        for choice, units in way:
            taken[choice.parts[0][0]] += units
        yield taken, sum(units for choice, units in way if choice.substitute)


def best_of_jobs(jobs, shelf):
    """Of all subsets and ways that the shelf serves: most of priority 1, of 2, then least substitutes."""
    best = None
    for size in range(len(jobs) + 1):
        for chosen in itertools.combinations(jobs, size):
            for ways in itertools.product(*map(every_way, chosen)):
                taken = sum((parts for parts, _ in ways), Counter())
                if all(taken[number] <= there for number, there in shelf.items()):
                    counts = [-sum(each.job.priority == rank for each in chosen) for rank in (1, 2)]
                    reached = (*counts, sum(count for _, count in ways))
                    best = reached if best is None else min(best, reached)
    return best


@pytest.mark.slow
@FEW
@given(demands(), st.tuples(*[st.integers(0, 6)] * len(PARTS)))
def test_a_choice_for_each_chairs_joint_is_what_enumeration_finds(jobs, counts):
    shelf = dict(zip(PARTS, counts, strict=True))
    supplies = {number: Supply(Fraction(there)) for number, there in shelf.items()}
    bundles = Bundles(jobs, supplies, {number: part(number) for number in PARTS})
    packed = most(bundles.bundles(range(len(jobs))), bundles.resources)
    assert (packed.proven, packed.gap) == (True, 0)
    chosen = [each for each in jobs if each.job.place.row in packed.taken]
    servings = [bundles.serving(each, packed.taken[each.job.place.row]) for each in chosen]
    taken = sum((Counter(each.takes) for each in servings), Counter())
    assert all(taken[number] <= there for number, there in shelf.items())
    substitutes = sum(
        amount
        for serving in servings
        for line in serving.lines
        for choice, amount in line.served
        if choice.substitute
    )
    ranks = [-sum(each.job.priority == rank for each in chosen) for rank in (1, 2)]
    assert (*ranks, substitutes) == best_of_jobs(jobs, shelf)
