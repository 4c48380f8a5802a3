"""Choosing bundles that share scarce resources, in plain numbers worked by hand.

Resources are 0, 1, 2 and so on; ``shelf(2, 1)`` has two of the first and one of the second from the start.
A bundle is known by its mark.
"""

import json
import random
import subprocess
import sys

import pytest

from reconcile.plan.solver.packing import (
    BEFORE_ALL,
    Ask,
    Balance,
    Bundle,
    Group,
    Option,
    Reduced,
    Resource,
    Yield,
    can_run_short,
    components,
    deal,
    falls_short,
    grouped,
    heaviest_uses,
    reduce_all,
    resources_of,
    serve_in_turn,
    share_out,
)
from reconcile.plan.solver.packing_solver import (
    BLOCK,
    Model,
    Store,
    first_options_bought,
    least,
    most,
    splits_freely,
)


def option(*uses, penalty=0):
    """``option(0, 1, 1)``: one of resource 0 and two of resource 1 for each unit; ``option(0)``: one of 0."""
    return Option(tuple((resource, uses.count(resource)) for resource in dict.fromkeys(uses)), penalty)


def one(resource, units=1):
    """So many units, which one resource alone can serve."""
    return Ask(units, (option(resource),))


def either(units, *options):
    """So many units; a number stands for one of that resource, and all after the first are substitutes."""
    return Ask(units, tuple(each if isinstance(each, Option) else option(each) for each in options))


def bundle(mark, *asks, rank=1, period=1, gives=()):
    marks = mark if isinstance(mark, tuple) else (mark,)
    return Bundle(rank, period, asks, marks, tuple(Yield(*each) for each in gives), kind=hash(asks))


def shelf(*counts):
    return [Resource(count if isinstance(count, dict) else {0: count}) for count in counts]


def taken(bundles, resources):
    packed = most(bundles, resources)
    assert (packed.proven, packed.gap) == (True, 0)
    return set(packed.taken)


def served(bundles, resources):
    return most(bundles, resources).taken


# --- what drops out ---------------------------------------------------------------------------------------


def test_a_resource_that_can_never_run_short_is_not_scarce():
    # Of 0 at most 3 are asked of 3; of 1 at most 3 of 2.
    bundles = [bundle(1, one(0, 2), one(1, 2)), bundle(2, one(0), one(1))]
    assert can_run_short(bundles, shelf(3, 2)) == {1}


def test_what_comes_too_late_is_scarce_though_there_is_enough_of_it():
    # 2 asked at period 1, of 1; the other 5 come at 3.
    late = shelf({0: 1, 3: 5})
    assert can_run_short([bundle(1, one(0, 2), period=1)], late) == {0}
    assert can_run_short([bundle(1, one(0, 2), period=3)], late) == set()


def test_equal_bundles_count_once_for_each_mark():
    assert can_run_short([bundle((1, 2, 3), one(0))], shelf(2)) == {0}
    assert can_run_short([bundle((1, 2, 3), one(0))], shelf(3)) == set()


def test_what_may_be_given_back_is_not_relied_on():
    # The first gives back in time what the second needs; but the first need not be taken.
    bundles = [bundle(1, one(0), gives=[(0, 1, 2)]), bundle(2, one(0), period=2)]
    assert can_run_short(bundles, shelf(1)) == {0}


def test_an_ask_weighs_on_each_resource_as_heavily_as_any_of_its_options():
    # 3 units: each may take one of 0, or two of 0 and one of 1.
    assert heaviest_uses(either(3, 0, option(0, 0, 1))) == {0: 6, 1: 3}


@pytest.mark.parametrize(
    ("supply", "uses", "short"),
    [
        ({0: 2}, {1: 1, 2: 1}, False),
        ({0: 2}, {1: 1, 2: 2}, True),
        ({0: 0, 2: 5}, {1: 1}, True),
        ({0: 0, 1: 1}, {1: 1}, False),
        ({}, {1: 1}, True),
        ({}, {}, False),
    ],
)
def test_short_is_what_is_used_before_it_is_there(supply, uses, short):
    assert falls_short(supply, uses) is short


def test_an_ask_that_its_first_option_serves_freely_drops_out_and_frees_the_others():
    # 2 + 3 may be asked of the 4 of resource 1; but resource 0 never runs short and serves the first 2.
    bundles = [bundle(1, either(2, 0, 1)), bundle(2, one(1, 3))]
    reduced, scarce = reduce_all(bundles, shelf(9, 4))
    assert scarce == set()
    assert [each.bundle.asks for each in reduced] == [(), ()]
    assert served(bundles, shelf(9, 4)) == {1: ((2, 0),), 2: ((3,),)}


def test_only_what_is_scarce_is_kept_and_its_place_is_known():
    bundles = [bundle(1, one(0), either(2, 1, 0), one(1), gives=[(0, 1, 2), (1, 1, 2)])]
    (reduced,), scarce = reduce_all(bundles, shelf(9, 1))
    assert scarce == {1}
    assert reduced.kept == (1, 2)
    # The second option of the first ask kept needs nothing scarce any more.
    assert reduced.bundle.asks == (Ask(2, (option(1), option())), one(1))
    assert reduced.bundle.yields == (Yield(1, 1, 2),)


def test_what_dropped_out_comes_back_served_by_its_first_option():
    # One of the 2 scarce units is left for the middle ask: 1 of 1, 1 of 0.
    bundles = [bundle(1, one(0), either(2, 1, 0), one(1))]
    assert served(bundles, shelf(9, 2)) == {1: ((1,), (1, 1), (1,))}


def test_bundles_that_need_nothing_scarce_are_all_taken_and_what_they_give_back_is_there():
    # 1 needs nothing scarce and gives back what 2 needs; 3 comes too early for it.
    giver = bundle(1, one(1), rank=9, gives=[(0, 1, 2)])
    bundles = [giver, bundle(2, one(0), period=2), bundle(3, one(0), period=1)]
    assert taken(bundles, shelf(0, 1)) == {1, 2}
    assert taken(bundles[1:], shelf(0, 1)) == set()


# --- what is apart, what is alike --------------------------------------------------------------------------


def linked(*bundles):
    reduced = [Reduced(each, place, tuple(range(len(each.asks)))) for place, each in enumerate(bundles)]
    return [sorted(each.bundle.marks[0] for each in own) for own in components(reduced)]


def test_bundles_that_share_no_resource_are_apart():
    assert linked(bundle(1, one(0)), bundle(2, one(1)), bundle(3, one(0))) == [[1, 3], [2]]


def test_a_chain_of_shared_resources_links_its_ends():
    assert linked(
        bundle(1, one(0)), bundle(2, one(2)), bundle(3, one(0), one(1)), bundle(4, either(1, 1, 2))
    ) == [[1, 2, 3, 4]]


def test_what_is_given_back_links_as_what_is_used_does():
    assert linked(bundle(1, one(0), gives=[(1, 1, 2)]), bundle(2, one(1))) == [[1, 2]]


def test_a_bundle_that_touches_nothing_is_in_no_set():
    assert linked(bundle(1), bundle(2, one(0))) == [[2]]


def test_the_resources_of_a_bundle_are_those_of_every_option_and_what_it_gives():
    assert resources_of(bundle(1, either(1, 3, 1), one(3), gives=[(2, 1, 2)])) == [3, 1, 2]


def test_sets_that_are_apart_are_each_chosen_best():
    # Of 0: the rank 2 bundle goes without. Of 1: there is no rank 1 bundle, so a rank 2 one is taken.
    bundles = [
        bundle(1, one(0), rank=1),
        bundle(2, one(0), rank=2),
        bundle(3, one(1), rank=2),
        bundle(4, one(1), rank=3),
    ]
    assert taken(bundles, shelf(1, 1)) == {1, 3}


def groups_of(*bundles):
    return grouped([Reduced(each, place, tuple(range(len(each.asks)))) for place, each in enumerate(bundles)])


def marks_of(groups):
    return [[mark for mark, _ in group.members] for group in groups]


def test_equal_bundles_are_counted_together_by_ascending_marks():
    assert marks_of(groups_of(bundle((4, 9), one(0)), bundle(6, one(0)))) == [[4, 6, 9]]


def test_bundles_of_another_rank_period_ask_or_yield_are_apart():
    alike = bundle(1, one(0))
    others = [
        bundle(2, one(0), rank=2),
        bundle(3, one(0), period=2),
        bundle(4, one(0, 2)),
        bundle(5, Ask(1, (option(0, penalty=1),))),
        bundle(6, one(0), gives=[(0, 1, 2)]),
    ]
    assert sorted(marks_of(groups_of(alike, *others))) == [[1], [2], [3], [4], [5], [6]]


def test_the_order_of_groups_does_not_depend_on_that_of_bundles():
    bundles = [bundle(1, one(1)), bundle(2, one(0), rank=2), bundle(3, one(0))]
    assert marks_of(groups_of(*bundles)) == marks_of(groups_of(*reversed(bundles))) == [[3], [1], [2]]


def test_a_hundred_equal_bundles_are_one_column():
    groups = groups_of(bundle(tuple(range(100)), one(0)))
    programme = Model(groups, Store({0: {0: 40}}, [Resource({0: 40})]), whole=True).programme
    assert (programme.lower, programme.upper, programme.whole) == ([0], [100], [True])
    assert taken([bundle(tuple(range(100)), one(0))], shelf(40)) == set(range(40))


def test_units_are_dealt_to_the_first_marks_the_best_options_first():
    # Three of four are taken, two units each: 6 units, 3 by the first option, 3 by the second.
    # 7: 2 and 0; 8: 1 and 1; 9: 0 and 2.
    (group,) = groups_of(bundle((9, 7, 8, 10), either(2, 0, 1)))
    dealt = share_out(group, 3, [[3, 3]])
    assert {mark: units for mark, (_, units) in dealt.items()} == {7: ((2, 0),), 8: ((1, 1),), 9: ((0, 2),)}


def test_what_is_dealt_is_no_longer_there():
    left = [2, 5]
    assert deal(3, left) == (2, 1)
    assert left == [0, 4]


def test_a_group_taken_in_part_leaves_its_last_marks():
    assert isinstance(groups_of(bundle((3, 1, 2), one(0)))[0], Group)
    assert taken([bundle((3, 1, 2), one(0))], shelf(2)) == {1, 2}


# --- which are taken, tie by tie ---------------------------------------------------------------------------


def test_one_of_a_lower_rank_comes_before_any_number_of_a_higher():
    # The first uses all 3; the others one each.
    bundles = [bundle(1, one(0, 3), rank=1, period=5), *(bundle(mark, one(0), rank=2) for mark in (2, 3, 4))]
    assert taken(bundles, shelf(3)) == {1}


def test_the_most_of_the_lowest_rank():
    bundles = [bundle(1, one(0, 3)), *(bundle(mark, one(0), period=5) for mark in (2, 3, 4))]
    assert taken(bundles, shelf(3)) == {2, 3, 4}


def test_among_as_many_of_a_rank_the_most_of_the_next():
    # 1 (uses 2) or 2 (uses 1), not both of 2; with 2 there is one left for 3, though 1 is earlier.
    bundles = [bundle(1, one(0, 2)), bundle(2, one(0), period=4), bundle(3, one(0), rank=2)]
    assert taken(bundles, shelf(2)) == {2, 3}


def test_ranks_need_not_follow_each_other():
    bundles = [bundle(1, one(0), rank=7), bundle(2, one(0), rank=5), bundle(3, one(0), rank=0)]
    assert taken(bundles, shelf(1)) == {3}
    assert taken(bundles, shelf(2)) == {2, 3}


def test_a_substitute_never_costs_a_bundle():
    bundles = [bundle(1, either(4, 0, option(1, penalty=1))), bundle(2, one(0, 2))]
    assert served(bundles, shelf(2, 4)) == {1: ((0, 4),), 2: ((2,),)}


def test_the_fewest_substitutes_before_early_periods_and_marks():
    # One of the two: the first is early, first in the sheet, and needs a substitute.
    first = bundle(1, Ask(1, (option(1, penalty=1),)), one(0), period=1)
    second = bundle(2, one(0), period=5)
    for substitutes in (1, 2):  # even where nothing else could use it up, or it can never run short
        assert taken([first, second], shelf(1, substitutes)) == {2}


def test_what_drops_out_still_weighs_what_its_first_option_does():
    # 3 units, the first option weighs 1; 2 units, the only one weighs 4: 3 + 8. Neither is scarce.
    asks = (one(0), Ask(3, (option(1, penalty=1), option(2, penalty=2))), Ask(2, (option(2, penalty=4),)))
    reduced, scarce = reduce_all([bundle((1, 2), *asks)], shelf(1, 99, 99))
    assert scarce == {0}
    assert [(each.bundle.asks, each.bundle.penalty) for each in reduced] == [((one(0),), 11)]


def test_bundles_whose_substitutes_dropped_out_are_apart_from_those_without():
    # All alike in what is scarce; mark 1 needs a substitute, 2 and 3 do not.
    needs = bundle(1, one(0), Ask(1, (option(1, penalty=1),)))
    assert taken([needs, bundle((2, 3), one(0), one(1))], shelf(2, 9)) == {2, 3}


def test_substitutes_are_counted_by_units_and_by_their_weight():
    # Either three units that weigh one each, or one that weighs two: 3 > 2.
    three = bundle(1, one(0), Ask(3, (option(1), option(2, penalty=1))))
    heavy = bundle(2, one(0), Ask(1, (option(1), option(2, penalty=2))), period=3)
    assert taken([three, heavy], shelf(1, 0, 9)) == {2}
    # With one of 1: 2 units that weigh one each, or none.
    assert taken([three, heavy], shelf(1, 1, 9)) == {2}
    # With two of 1: one unit that weighs one, or none; with three none and none, and the first is earlier.
    assert taken([three, heavy], shelf(1, 2, 9)) == {2}
    assert taken([three, heavy], shelf(1, 3, 9)) == {1}


def test_what_must_be_a_substitute_goes_where_it_is_lightest():
    # Both are taken, one of 0 is there for one of them: weights 1 and 3.
    light, heavy = (bundle(mark, Ask(1, (option(0), option(1, penalty=mark)))) for mark in (1, 3))
    assert served([light, heavy], shelf(1, 1)) == {1: ((0, 1),), 3: ((1, 0),)}


def one_pair_or_the_other(first, second):
    """Two bundles or two others, by (period, mark): each of a pair shuts out both of the other pair."""
    uses = [(0, 1), (2, 3), (0, 2), (1, 3)]
    return [
        bundle(mark, one(low), one(high), period=period)
        for (low, high), (period, mark) in zip(uses, [*first, *second], strict=True)
    ]


def test_the_least_sum_of_periods():
    # 1 + 4 = 5 > 2 + 2 = 4, though the first pair holds the earliest; marks 1 + 2 < 3 + 4 count later.
    pairs = one_pair_or_the_other([(1, 1), (4, 2)], [(2, 3), (2, 4)])
    assert taken(pairs, shelf(1, 1, 1, 1)) == {3, 4}


def test_the_least_sum_of_marks_among_equal_sums_of_periods():
    # Periods 1 + 3 = 2 + 2. Marks 1 + 9 = 10 > 4 + 5 = 9.
    pairs = one_pair_or_the_other([(1, 1), (3, 9)], [(2, 4), (2, 5)])
    assert taken(pairs, shelf(1, 1, 1, 1)) == {4, 5}


@pytest.mark.parametrize(("last", "best"), [(9, {4, 5}), (7, {1, 7})])
def test_marks_of_equal_bundles_are_summed_each_for_itself(last, best):
    # Two equal bundles shut out two others, marks 4 and 5: 1 + 9 > 9, 1 + 7 < 9. One and one do not go.
    others = [bundle(4, one(0, 2)), bundle(5, one(1, 2))]
    assert taken([bundle((1, last), one(0), one(1)), *others], shelf(2, 2)) == best


def test_among_all_that_is_equal_the_options_named_first():
    # 3 units, 2 of the first resource: 2 and 1. Two such bundles share the 2.
    assert served([bundle(1, either(3, 0, 1))], shelf(2, 5)) == {1: ((2, 1),)}
    both = served([bundle(1, either(3, 0, 1)), bundle(2, either(3, 0, 1))], shelf(2, 5))
    assert both == {1: ((2, 1),), 2: ((0, 3),)}


# --- what is given back ------------------------------------------------------------------------------------


def test_what_is_given_back_serves_a_later_bundle_from_its_period_on():
    first = bundle(1, one(0), period=1, gives=[(0, 1, 3)])
    later = [bundle(mark, one(0), period=mark) for mark in (2, 3, 4)]
    # One in all, back at 3: it serves 1 and then 3 (periods 1 + 3 < 1 + 4).
    assert taken([first, *later], shelf(1)) == {1, 3}


def test_one_unit_goes_round():
    bundles = [bundle(mark, one(0), period=mark, gives=[(0, 1, mark + 1)]) for mark in (1, 2, 3, 4)]
    assert taken(bundles, shelf(1)) == {1, 2, 3, 4}
    assert taken(bundles, shelf({2: 1})) == {2, 3, 4}


def test_only_what_is_taken_gives_back():
    # The giver needs a unit of 1, which is not there.
    bundles = [bundle(1, one(1), gives=[(0, 1, 2)]), bundle(2, one(0), period=2)]
    assert taken(bundles, shelf(0, 0)) == set()
    assert taken(bundles, shelf(0, 1)) == {1, 2}


def test_a_bundle_is_taken_for_what_it_gives_back():
    # Either 1 or 2 of rank 2 (one of 1 between them). The later one gives back what rank 1 waits for.
    urgent = bundle(3, one(0), rank=1, period=4)
    idle = bundle(1, one(1), rank=2, period=1)
    giver = bundle(2, one(1), rank=2, period=2, gives=[(0, 1, 3)])
    assert taken([urgent, idle, giver], shelf(0, 1)) == {2, 3}


def test_what_is_given_back_does_not_lend_to_an_earlier_bundle():
    # 1 is there at 1; the giver uses it at 2 and returns it at 3. The one at 1 and the giver cannot both.
    bundles = [bundle(1, one(0), period=1), bundle(2, one(0), period=2, gives=[(0, 1, 3)])]
    assert taken(bundles, shelf(1)) == {1}


def test_what_one_bundle_gives_back_adds_up_over_its_marks():
    # Two of three are taken at 1 (2 there); they give back 2 each at 2, which serve 4 of 5.
    givers = bundle((1, 2, 3), one(0), gives=[(1, 2, 2)])
    assert taken([givers, bundle((11, 12, 13, 14, 15), one(1), period=2)], shelf(2, 0)) == {
        1,
        2,
        11,
        12,
        13,
        14,
    }


# --- many periods: balances add up block by block ----------------------------------------------------------

NEAR_THE_BOUNDARY = [BLOCK - 1, BLOCK, BLOCK + 1, 2 * BLOCK - 1, 2 * BLOCK, 2 * BLOCK + 1]


def one_each(periods):
    return [bundle(period, one(0), period=period) for period in range(1, periods + 1)]


@pytest.mark.parametrize("there", NEAR_THE_BOUNDARY)
def test_what_is_there_from_the_start_serves_the_first_of_many_periods(there):
    assert taken(one_each(2 * BLOCK + 3), shelf(there)) == set(range(1, there + 1))


@pytest.mark.parametrize("arrives", NEAR_THE_BOUNDARY)
def test_what_comes_in_near_a_boundary_serves_no_earlier_period(arrives):
    # Two come in: they serve that period and the next.
    assert taken(one_each(2 * BLOCK + 3), shelf({arrives: 2})) == {arrives, arrives + 1}


@pytest.mark.parametrize("periods", NEAR_THE_BOUNDARY)
@pytest.mark.parametrize("away", [1, 2, 3])
def test_one_unit_goes_round_over_the_boundary(periods, away):
    # Away for so many periods each time: it serves 1, 1 + away, 1 + 2 x away, and so on.
    bundles = [
        bundle(period, one(0), period=period, gives=[(0, 1, period + away)])
        for period in range(1, periods + 1)
    ]
    assert taken(bundles, shelf(1)) == set(range(1, periods + 1, away))


@pytest.mark.parametrize("early", NEAR_THE_BOUNDARY)
def test_what_is_left_of_one_block_is_there_in_the_next_and_no_more(early):
    # Of ``early`` + 1 at the start the last period wants 3, all others one each: rank 1 leaves early - 2.
    last = bundle(99, one(0, 3), rank=0, period=2 * BLOCK + 3)
    assert taken([*one_each(2 * BLOCK + 2), last], shelf(early + 1)) == {*range(1, early - 1), 99}


@pytest.mark.parametrize("periods", NEAR_THE_BOUNDARY)
def test_buying_looks_over_the_boundary(periods):
    # One each, two at the start, two more at BLOCK: short by all but 2 before it, by all but 4 after it.
    lack = periods - 2 if periods < BLOCK else max(BLOCK - 1 - 2, periods - 4)
    assert least(one_each(periods), shelf({0: 2, BLOCK: 2})).bought == {0: lack}


def test_no_balance_row_adds_up_more_than_a_block():
    groups = groups_of(*one_each(5 * BLOCK))
    rows = Model(groups, Store({0: {0: 3}}, [Resource({0: 3})]), whole=True).programme.rows
    assert len(rows) == 5 * BLOCK
    assert max(len(entries) for _, _, entries in rows) == BLOCK + 2  # what came in, a block, what goes on


# --- options that use several units ------------------------------------------------------------------------

PAIRS = either(2, option(1), option(0, 0))
"""Two units, each one of resource 1 or two of resource 0."""


def test_an_option_may_use_several_units_of_a_resource():
    assert served([bundle(1, PAIRS)], shelf(2, 1)) == {1: ((1, 1),)}
    assert served([bundle(1, PAIRS)], shelf(1, 1)) == {}
    assert served([bundle(1, PAIRS)], shelf(4, 0)) == {1: ((0, 2),)}


def test_an_option_needs_all_of_its_resources():
    both = either(2, option(0, 1), 2)
    assert served([bundle(1, both)], shelf(2, 1, 1)) == {1: ((1, 1),)}
    assert served([bundle(1, both)], shelf(2, 1, 0)) == {}


def test_half_of_one_option_and_half_of_another_serve_nothing():
    # Two of 0 or two of 1 for one unit; one of each is there.
    halves = bundle(1, either(1, option(0, 0), option(1, 1)))
    assert served([halves], shelf(1, 1)) == {}
    assert sum(least([halves], shelf(1, 1)).bought.values()) == 1


def test_shares_form_a_flow_only_where_every_choice_is_one_unit_of_one_resource():
    assert splits_freely(groups_of(bundle(1, either(3, 0, 1), one(2, 5))))
    assert not splits_freely(groups_of(bundle(1, PAIRS)))
    assert not splits_freely(groups_of(bundle(1, either(1, option(0, 1), 2))))


# --- buying the least --------------------------------------------------------------------------------------


def bought(bundles, resources):
    packed = least(bundles, resources)
    assert (packed.proven, packed.gap) == (True, 0)
    assert set(packed.taken) == {mark for each in bundles for mark in each.marks}
    return packed.bought


def test_what_is_bought_is_the_greatest_excess_of_use_over_what_is_there():
    # Used by period 1, 2, 3: 2, 3, 5. There: 1, 1, 6. Excess 1, 2, none.
    bundles = [bundle(1, one(0, 2), period=1), bundle(2, one(0), period=2), bundle(3, one(0, 2), period=3)]
    assert bought(bundles, shelf({0: 1, 3: 5})) == {0: 2}


def test_nothing_is_bought_where_another_option_is_there():
    (served_one,) = least([bundle(1, either(3, 0, 1))], shelf(1, 2)).taken.values()
    assert served_one == ((1, 2),)
    assert bought([bundle(1, either(3, 0, 1))], shelf(1, 2)) == {}


def test_all_give_back_and_what_they_give_need_not_be_bought():
    bundles = [bundle(1, one(0), gives=[(0, 1, 2)]), bundle(2, one(0), period=2)]
    assert bought(bundles, shelf(0)) == {0: 1}
    assert bought(bundles, shelf(1)) == {}
    assert bought([bundle(1, one(0), gives=[(0, 1, 3)]), bundle(2, one(0), period=2)], shelf(1)) == {0: 1}


def priced(*told):
    """Each resource by what is there, the weight of a unit and its cost."""
    return [Resource({0: there}, weight, cost) for there, weight, cost in told]


def test_the_least_weight_then_the_least_cost_then_the_option_named_first():
    wants = [bundle(1, either(1, 0, 1))]
    assert bought(wants, priced((0, 1, 9), (0, 2, 1))) == {0: 1}
    assert bought(wants, priced((0, 2, 1), (0, 1, 9))) == {1: 1}
    assert bought(wants, priced((0, 1, 9), (0, 1, 5))) == {1: 1}
    assert bought(wants, priced((0, 1, 5), (0, 1, 5))) == {0: 1}


def test_a_unit_that_serves_two_is_bought_rather_than_two():
    # Each bundle may take one of its own resource; or both one of 2, which one of is there.
    bundles = [bundle(1, either(1, 0, 2)), bundle(2, either(1, 1, 2))]
    assert sum(bought(bundles, shelf(0, 0, 1)).values()) == 1


def test_large_prices_do_not_hide_the_cheapest_way():
    # Nine units: four of any kind by 1, two by 0; two that take 2 of the first or 1 of the second; one more.
    # 3 and 1 are there, so 5 are bought at least, as long as the two of the third kind take the second.
    # They take 2 of it, of which 1 is bought; the other 7 take the first, of which 7 - 3 = 4 are bought.
    # In cents 4 x 336 + 114846; each as a hundred small units, counted in millionths of the coin.
    bundles = [
        bundle(1, either(2, 0, 1), period=3),
        bundle(2, either(4, 0, 1), period=1),
        bundle(3, either(2, option(0, 0), 1), either(1, 1, 0), period=3),
    ]
    dear = [(3, 100, 336 * 1_000_000), (1, 100, 114_846 * 1_000_000)]
    assert bought(bundles, priced(*dear)) == {0: 4, 1: 1}


def test_what_first_options_lack_is_what_is_bought_where_nothing_better_is_found():
    groups = groups_of(bundle((1, 2), either(2, 0, 1)), bundle(3, one(1), period=2, gives=[(0, 1, 3)]))
    assert first_options_bought(groups, {0: {0: 1, 2: 9}, 1: {0: 1}}) == {0: 3}


# --- what is done by hand ----------------------------------------------------------------------------------


def by_hand(bundles, resources):
    return set(most(bundles, resources).by_hand)


def test_by_hand_the_first_takes_what_two_others_could_have_shared():
    bundles = [bundle(1, one(0, 2)), bundle(2, one(0)), bundle(3, one(0))]
    assert by_hand(bundles, shelf(2)) == {1}
    assert taken(bundles, shelf(2)) == {2, 3}


def test_by_hand_goes_by_rank_then_period_then_mark():
    bundles = [
        bundle(1, one(0), rank=2, period=1),
        bundle(2, one(0), rank=1, period=2),
        bundle(4, one(0), rank=1, period=1),
        bundle(3, one(0), rank=1, period=1),
    ]
    assert [by_hand(bundles, shelf(there)) for there in (1, 2, 3)] == [{3}, {3, 4}, {2, 3, 4}]


def test_by_hand_what_nothing_is_short_for_is_taken_too():
    assert by_hand([bundle(1, one(1)), bundle(2, one(0)), bundle(3, one(0))], shelf(1, 1)) == {1, 2}


def test_by_hand_the_best_options_go_to_whoever_comes_first():
    # The first takes the one of 0, which alone serves the second; exactly, both are served.
    bundles = [bundle(1, either(1, 0, 1)), bundle(2, one(0))]
    assert by_hand(bundles, shelf(1, 1)) == {1}
    assert served(bundles, shelf(1, 1)) == {1: ((0, 1),), 2: ((1,),)}


def test_by_hand_what_was_refused_may_be_served_once_something_is_given_back():
    # 3 and 9 are equal. In turn 3 is refused; 5 gives back one; 9, of the same kind, is served.
    waits = bundle((3, 9), one(0), period=2)
    giver = bundle(5, one(1), period=2, gives=[(0, 1, 2)])
    assert by_hand([waits, giver], shelf(0, 1)) == {5, 3}  # 5 needs nothing scarce: it comes before all
    short = bundle(6, one(1), period=2)
    assert by_hand([waits, giver, short], shelf(0, 1)) == {5, 9}


def test_in_turn_an_ask_with_one_option_is_served_first():
    asks = (either(1, 0, 1), one(0))
    assert serve_in_turn(asks, {0: 1, 1: 1}) == ((0, 1), (1,))
    assert serve_in_turn(asks, {0: 2, 1: 1}) == ((1, 0), (1,))


def test_in_turn_nothing_is_served_in_part():
    assert serve_in_turn((either(3, 0, 1),), {0: 1, 1: 1}) is None
    assert serve_in_turn((either(2, option(0, 0), 1),), {0: 3, 1: 1}) == ((1, 1),)
    assert serve_in_turn((one(0),), {0: -1}) is None
    assert serve_in_turn((), {}) == ()


# --- what is left, period by period ----------------------------------------------------------------------


def test_what_one_more_may_use_is_the_least_left_from_its_period_on():
    # 5 at the start, 3 more at 4; 4 are used at 2: left are 5, 1, 4.
    balance = Balance.of({0: 5, 4: 3}, [2])
    balance.add(2, -4)
    assert [balance.least_from(period) for period in (1, 2, 3, 4, 9)] == [1, 1, 1, 4, 4]
    assert [balance.first_period_with(units) for units in (0, 1, 2, 4, 5)] == [BEFORE_ALL, 0, 4, 4, None]


# --- the solver and its patience -------------------------------------------------------------------------

LOADED = """
import json, sys
from reconcile.plan.solver.packing import Ask, Bundle, Option, Resource
from reconcile.plan.solver.packing_solver import least, most
def want(*options, units=1):
    return (Ask(units, tuple(Option(((each, 1),)) for each in options)),)
def loaded():
    return "highspy" in sys.modules or "numpy" in sys.modules
plenty = [Bundle(1, 1, want(0, 1, units=3), (1, 2), kind=0)], [Resource({0: 6}), Resource({0: 0})]
enough_by_first = [Bundle(1, 1, want(0, 1, units=3), (1,), kind=0), Bundle(1, 2, want(1), (2,), kind=1)], [
    Resource({0: 3}), Resource({0: 1})]
short = [Bundle(1, 1, want(0), (1, 2), kind=0)], [Resource({0: 1})]
told = []
for choose in (most, least):
    for asked in (plenty, enough_by_first):
        choose(*asked)
        told.append(loaded())
most(*short)
told.append(loaded())
print(json.dumps(told))
"""


@pytest.mark.slow
def test_no_solver_is_loaded_where_nothing_is_scarce():
    done = subprocess.run([sys.executable, "-c", LOADED], capture_output=True, check=True, text=True)
    assert json.loads(done.stdout) == [False, False, False, False, True]


PLANTED = 30


def hard(limits=10, seed=4):
    """Twice ``PLANTED`` bundles under many limits at once. Half of them just fit, so that the best is at
    least that; which half, takes far longer than a moment to find.
    """
    dice = random.Random(seed)
    uses = [[dice.randint(20, 99) for _ in range(limits)] for _ in range(2 * PLANTED)]
    bundles = [
        bundle(mark, either(1, 0, limits), *(one(place, many) for place, many in enumerate(own) if place))
        for mark, own in enumerate(uses)
    ]
    there = [sum(own[resource] for own in uses[::2]) for resource in range(limits)]
    return bundles, shelf(PLANTED // 2, *there[1:], PLANTED // 2)


def drawn(bundles, packed):
    """What the bundles taken use of each resource, each served whole."""
    used = {}
    for each in bundles:
        if each.marks[0] in packed.taken:
            for ask, units in zip(each.asks, packed.taken[each.marks[0]], strict=True):
                assert sum(units) == ask.units
                for choice, count in zip(ask.options, units, strict=True):
                    for resource, many in choice.uses:
                        used[resource] = used.get(resource, 0) + many * count
    return used


@pytest.mark.parametrize("patience", [0, 0.3])
def test_with_little_patience_kits_are_whole_and_the_gap_covers_the_best(patience):
    bundles, resources = hard()
    packed = most(bundles, resources, patience)
    assert not packed.proven
    assert len(packed.taken) + packed.gap >= PLANTED
    assert len(packed.taken) >= len(packed.by_hand) > 0
    for resource, used in drawn(bundles, packed).items():
        assert used <= resources[resource].supply[0]


@pytest.mark.parametrize("patience", [0, 0.3])
def test_with_little_patience_what_is_bought_is_enough(patience):
    bundles, resources = hard()
    packed = least(bundles, resources, patience)
    assert len(packed.taken) == 2 * PLANTED
    for resource, used in drawn(bundles, packed).items():
        assert used <= resources[resource].supply[0] + packed.bought.get(resource, 0)
