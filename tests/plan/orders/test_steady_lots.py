"""Lots and joint cycles for a demand that goes on evenly: what the published examples do not show."""

from fractions import Fraction

import pytest

from reconcile.plan.orders.steady_lots import (
    SteadyPart,
    cycle_of,
    floor_root,
    joint_cycle,
    lot_squared,
    steady_lot,
)
from reconcile.values.rules import INCREMENTAL
from reconcile.values.week.buying import Holding, Offer, PriceStep

F = Fraction


def parts(*figures):
    return [SteadyPart(*map(F, each)) for each in figures]


def test_a_square_lot_is_exact():
    assert lot_squared(F(2), F(100), F(1)) == 400  # lots of 20


def test_a_lot_in_packs_is_the_better_of_the_two_beside_the_lowest_point():
    # 20 is best. In packs of 12, beside the goods: 12 cost 200/12 + 6 a year, 24 cost 200/24 + 12, less.
    offer = Offer((PriceStep(F(0), F(1)),), pack=F(12), order_cost=F(2))
    assert steady_lot(offer, F(100), Holding(F(1))) == (24, 100 + F(200, 24) + 12)


def test_an_incremental_lot_carries_what_its_first_units_cost_more():
    # 100 at 2, further ones at 1: as if each order cost 100 more. The lot is the root of 2 x 102 x 400.
    offer = Offer((PriceStep(F(0), F(2)), PriceStep(F(100), F(1))), INCREMENTAL, order_cost=F(2))
    assert steady_lot(offer, F(400), Holding(F(1)))[0] == 286


@pytest.mark.parametrize(("value", "root"), [(0, 0), (1, 1), (F(99, 10), 3), (9, 3), (F(35, 4), 2)])
def test_whole_roots(value, root):
    assert floor_root(F(value)) == root


def test_one_part_alone_is_the_economic_lot():
    # An order costs 2 in all, 100 a year, keeping 1: lots of 20, a fifth of a year, 20 a year.
    found = joint_cycle(F("1.5"), parts(("0.5", 100, 1)))
    assert (found.multiples, found.cycle_squared, found.cost_squared) == ((1,), F(1, 25), 400)


def test_a_part_that_is_little_used_is_on_every_fourth_order():
    # With (1, 1, 3, 1) the cost a year is the root of 159040/3, which is more than that of 52852.
    four = parts((40, 29, 9), (6, 17, 1), (20, 7, 1), (18, 14, 4))
    found = joint_cycle(F(4), four)
    assert (found.multiples, found.cost_squared) == ((1, 1, 4, 1), 52852)
    assert cycle_of(F(4), four, (1, 1, 3, 1)).cost_squared == F(159040, 3)


def test_orders_that_cost_nothing_have_no_cycle():
    with pytest.raises(ValueError, match="an order costs nothing"):
        joint_cycle(F(0), parts((3, 5, 1)))
