"""Resources that can still be had: what lacks of them bounds nothing, and as little as can be is to lack."""

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.plan.solver.packing import Ask, Bundle, Option, Resource, Yield
from reconcile.plan.solver.packing_solver import most


def bundle(rank, period, asks, marks, *rest):
    return Bundle(rank, period, asks, marks, *rest, kind=marks[0])


def ask(units, *options):
    """``ask(2, {0: 1}, {1: 1})``: two units, each by one of resource 0 or one of resource 1."""
    return Ask(units, tuple(Option(tuple(uses.items()), place) for place, uses in enumerate(options)))


def test_what_lacks_in_an_open_period_forbids_nothing():
    # Two are there; each bundle uses two. On day 1 only one can be served; from day 3 on more can be had.
    bundles = [bundle(1, period, (ask(2, {0: 1}),), (period,)) for period in (1, 2, 3, 4)]
    packed = most(bundles, [Resource({0: 2}, open_from=3)])
    assert sorted(packed.taken) == [1, 3, 4]
    assert sorted(most(bundles, [Resource({0: 2})]).taken) == [1]


def test_a_late_use_takes_nothing_from_an_early_one():
    # Day 5 is open; the only piece goes to day 2, whatever day 5 asks for, though it ranks first.
    bundles = [bundle(2, 2, (ask(1, {0: 1}),), (7,)), bundle(1, 5, (ask(1, {0: 1}),), (8,))]
    assert sorted(most(bundles, [Resource({0: 1}, open_from=5)]).taken) == [7, 8]
    assert sorted(most(bundles, [Resource({0: 1}, open_from=6)]).taken) == [8]


def test_what_is_there_is_used_before_anything_is_ordered():
    # One of either resource would do. Of the second there is one, of the first none: nothing need be ordered.
    even = Ask(1, (Option(((0, 1),)), Option(((1, 1),))))
    packed = most([bundle(1, 1, (even,), (1,))], [Resource({}, open_from=0), Resource({0: 1}, open_from=0)])
    assert packed.taken == {1: ((0, 1),)}


def test_a_substitute_is_worse_than_an_order():
    packed = most(
        [bundle(1, 1, (ask(1, {0: 1}, {1: 1}),), (1,))], [Resource({}, open_from=0), Resource({0: 1})]
    )
    assert packed.taken == {1: ((1, 0),)}


def test_early_lacks_weigh_more_than_late_ones():
    # One piece of A and one of B are there; each bundle takes either. The late bundle would need two more
    # pieces if it got what is left after the early one, so ordering nothing early comes first.
    early = bundle(1, 1, (Ask(1, (Option(((0, 2),)), Option(((1, 1),)))),), (1,))
    late = bundle(1, 9, (Ask(1, (Option(((1, 1),)), Option(((0, 9),)))),), (2,))
    resources = [Resource({0: 1}, open_from=0), Resource({0: 1}, open_from=0)]
    packed = most([early, late], resources, early=1)
    assert packed.taken == {1: ((0, 1),), 2: ((1, 0),)}


# Against enumeration.

uses = st.dictionaries(st.integers(0, 1), st.integers(1, 2), min_size=1, max_size=2)
asks = st.tuples(st.integers(1, 2), st.lists(uses, min_size=1, max_size=2, unique_by=str)).map(
    lambda drawn: ask(drawn[0], *drawn[1])
)
resources = st.builds(
    Resource,
    st.dictionaries(st.integers(0, 4), st.integers(0, 3), max_size=2),
    open_from=st.one_of(st.none(), st.integers(0, 5)),
)


@st.composite
def weeks(draw):
    bundles = []
    for mark in range(draw(st.integers(1, 3))):
        period = draw(st.integers(1, 4))
        given_back = draw(st.lists(st.integers(0, 1), max_size=1))
        bundles.append(
            bundle(
                draw(st.integers(1, 2)), period, tuple(draw(st.lists(asks, min_size=1, max_size=2))), (mark,),
                tuple(Yield(resource, 1, period + 1) for resource in given_back), 0, draw(st.integers(0, 4)),
            )
        )  # fmt: skip
    return bundles, [draw(resources), draw(resources)]


def ways(bundle):
    """Every way to serve a bundle: for each ask the units by each option; and None: it is not taken."""
    own = []
    for each in bundle.asks:
        counts = product(range(each.units + 1), repeat=len(each.options))
        own.append([units for units in counts if sum(units) == each.units])
    return [None, *product(*own)]


def left_over(bundles, chosen, resource, number, until):
    there = sum(units for period, units in resource.supply.items() if period <= until)
    for bundle, served in zip(bundles, chosen, strict=True):
        if served is None:
            continue
        there += sum(y.units for y in bundle.yields if y.resource == number and y.period <= until)
        if bundle.period <= until:
            there -= sum(
                count * dict(option.uses).get(number, 0)
                for each, units in zip(bundle.asks, served, strict=True)
                for option, count in zip(each.options, units, strict=True)
            )
    return there


def worth(bundles, chosen, there, early):
    """Comparable, the best the least; None where what is bounded does not suffice."""
    lacks = {True: 0, False: 0}
    for number, resource in enumerate(there):
        short = {until: -left_over(bundles, chosen, resource, number, until) for until in range(6)}
        if any(units > 0 and not resource.is_open(until) for until, units in short.items()):
            return None
        lacks[True] += max([0, *(units for until, units in short.items() if until <= early)])
        lacks[False] += max([0, *short.values()])
    taken = [(b, served) for b, served in zip(bundles, chosen, strict=True) if served is not None]
    penalties = [
        sum(
            option.penalty * count
            for bundle, served in taken
            if bundle.period <= last
            for each, units in zip(bundle.asks, served, strict=True)
            for option, count in zip(each.options, units, strict=True)
        )
        for last in (early, 9)
    ]
    counts = [-sum(bundle.rank == rank for bundle, _ in taken) for rank in (1, 2)]
    return (
        *counts, *penalties, lacks[True], lacks[False],
        sum(bundle.dated for bundle, _ in taken), sum(bundle.marks[0] for bundle, _ in taken),
    )  # fmt: skip


@settings(max_examples=300)
@given(weeks(), st.integers(1, 4))
def test_the_choice_is_the_best_of_all(week, early):
    bundles, there = week
    packed = most(bundles, there, early=early)
    chosen = [packed.taken.get(bundle.marks[0]) for bundle in bundles]
    values = (worth(bundles, every, there, early) for every in product(*map(ways, bundles)))
    assert worth(bundles, chosen, there, early) == min(value for value in values if value is not None)
