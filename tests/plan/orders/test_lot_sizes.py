"""How much to order: offers, price breaks, known demand over weeks. Small cases, worked by hand."""

from decimal import Decimal
from fractions import Fraction

import pytest
from workshop import part

from reconcile.plan.orders.lot_sizes import cheapest_plan, choose_lot, next_break, offer_of, required_by_week
from reconcile.values.problem import RowPlace
from reconcile.values.rules import ALL_UNITS, INCREMENTAL, Buying
from reconcile.values.stock.parts import PriceBreak
from reconcile.values.week.buying import AT_BREAK, CHEAPEST, JUST_ENOUGH, Holding, Offer, PriceStep

F = Fraction
NOTHING = Holding()
ROW = RowPlace("stock.xlsx", "Price breaks", 2)


def offer(*steps, kind=ALL_UNITS, pack=1, minimum=0, order_cost=0):
    made = tuple(PriceStep(F(quantity), F(price)) for quantity, price in steps)
    return Offer(made, kind, F(pack), F(minimum), F(order_cost))


def required(*quantities):
    return tuple(F(each) for each in quantities)


def orders(plan):
    return {each.period: each.quantity for each in plan.orders}


SCREWS = ((0, "0.165"), (200, "0.12"))
"""0.165 each, and 0.12 each from 200 on."""


# What an offer asks for a quantity.


@pytest.mark.parametrize(
    ("kind", "quantity", "goods"),
    [
        (ALL_UNITS, 150, "24.75"),
        (ALL_UNITS, 199, "32.835"),
        (ALL_UNITS, 200, "24"),
        (ALL_UNITS, 250, "30"),
        (INCREMENTAL, 150, "24.75"),
        (INCREMENTAL, 200, "33"),
        (INCREMENTAL, 250, "39"),  # 200 at 0.165, 50 at 0.12
    ],
)
def test_what_goods_cost(kind, quantity, goods):
    assert offer(*SCREWS, kind=kind).goods(F(quantity)) == F(goods)


def test_an_incremental_offer_is_priced_on_average():
    assert offer(*SCREWS, kind=INCREMENTAL).unit_price(F(250)) == F("0.156")


@pytest.mark.parametrize(
    ("given", "thresholds"),
    [
        ({}, (1, 200)),
        ({"pack": 50}, (1, 4)),
        ({"pack": 150}, (1, 2)),  # the first whole packs at the break are 300
        ({"pack": 50, "minimum": 120}, (3, 4)),
        ({"minimum": 500}, (500,)),  # no order is dear
    ],
)
def test_sizes_at_which_something_changes(given, thresholds):
    assert offer(*SCREWS, **given).thresholds == thresholds


def test_nothing_is_offered_below_the_first_step():
    with pytest.raises(ValueError, match="below 10"):
        offer((10, 1)).step(F(9))


# A part's offer.


def broken(*pairs):
    return [PriceBreak("A", F(quantity), Decimal(price), ROW) for quantity, price in pairs]


def steps(found):
    return None if found is None else [(each.from_quantity, each.price) for each in found.steps]


@pytest.mark.parametrize(
    ("given", "breaks", "expected"),
    [
        ({"price": "0.165", "currency": "EUR"}, [], [(0, F("0.165"))]),
        ({"price": "0.165", "currency": "EUR"}, [(200, "0.12")], [(0, F("0.165")), (200, F("0.12"))]),
        # Out of order: sorted. The same quantity twice: the first.
        ({"price": "3", "currency": "EUR"}, [(20, "1"), (10, "2")], [(0, 3), (10, 2), (20, 1)]),
        ({"price": "3", "currency": "EUR"}, [(10, "2"), (10, "1")], [(0, 3), (10, 2)]),
        # No currency: a break might be in another than the price.
        ({"price": "3"}, [(10, "2")], [(0, 3)]),
        # Without a price a part can be had from its first break on, or not at all.
        ({"currency": "EUR"}, [(10, "2")], [(10, 2)]),
        ({"currency": "EUR"}, [], None),
        ({}, [(10, "2")], None),
    ],
)
def test_a_parts_offer(given, breaks, expected):
    if "price" in given:
        given = given | {"price": Decimal(given["price"])}
    assert steps(offer_of(part("A", **given), broken(*breaks), Buying())) == expected


def test_an_offer_has_the_parts_packs_and_the_settings_costs():
    made = offer_of(
        part("A", price=Decimal(1), pack=50, minimum_order=120),
        [],
        Buying(order_cost=F(4), price_breaks=INCREMENTAL),
    )
    assert (made.pack, made.minimum, made.order_cost, made.kind) == (50, 120, 4, INCREMENTAL)
    assert made.packs(F(130)) == made.packs(F(1)) == 3


# The next break.


def test_the_next_break_as_a_purchasing_officer_asks_for_it():
    found = next_break(offer(*SCREWS, pack=50), F(150))
    assert (found.more, found.quantity, found.unit_price) == (50, 200, F("0.12"))
    assert (found.goods_there, found.goods, found.saves) == (24, F("24.75"), F("0.75"))


def test_the_next_incremental_break_prices_the_units_from_it_on():
    found = next_break(offer(*SCREWS, kind=INCREMENTAL, pack=50), F(150))
    assert (found.quantity, found.unit_price, found.goods_there) == (200, F("0.12"), 33)
    assert found.saves == F("-8.25")


@pytest.mark.parametrize(
    ("offered", "order"),
    [
        (offer((0, 3)), 5),
        (offer(*SCREWS), 200),
        (offer((0, 1), (10, 2)), 5),  # a dearer break is no gain
        (offer((0, 1), (10, 1)), 5),  # nor is the same price
        (offer(*SCREWS, pack=300), 300),  # the pack reaches it already
    ],
)
def test_no_next_break(offered, order):
    assert next_break(offered, F(order)) is None


def test_a_dearer_break_does_not_hide_a_cheaper_one_beyond_it():
    assert next_break(offer((0, 2), (10, 3), (20, 1)), F(5)).quantity == 20


# What must have been bought week by week.


@pytest.mark.parametrize(
    ("want", "position", "safety", "later", "expected"),
    [
        # Short of 3, nothing else there: each later week adds its demand.
        (3, -3, 0, [4, 0, 5], [3, 7, 7, 12]),
        # The want tops the safety stock of 10 up from 4: later demand is on top.
        (6, 4, 10, [5], [6, 11]),
        # Ordered up to 20: 15 of it are there for later weeks, above the safety stock of 5.
        (18, 2, 5, [10, 10], [18, 18, 23]),
        # A receipt of 20 is still to come but 2 are wanted in time: 22 serve later weeks.
        (2, 20, 0, [15, 15], [2, 2, 10]),
        (2, -2, 0, [], [2]),
    ],
)
def test_what_must_have_been_bought(want, position, safety, later, expected):
    found = required_by_week(F(want), F(position), F(safety), [F(each) for each in later])
    assert list(found) == expected


# Plans over a horizon.


def test_orders_are_joined_where_keeping_is_cheaper_than_ordering():
    # 10 now and 10 next week: one more order costs 4, keeping 10 for a week costs 3.
    terms = offer((0, 1), order_cost=4)
    plan = cheapest_plan(required(10, 20), [terms] * 2, Holding(F("0.3")))
    assert (orders(plan), plan.goods, plan.ordering, plan.holding) == ({0: 20}, 20, 4, 3)
    # At 0.5 keeping costs 5.
    plan = cheapest_plan(required(10, 20), [terms] * 2, Holding(F("0.5")))
    assert (orders(plan), plan.total) == ({0: 10, 1: 10}, 28)


def test_packs_leave_something_and_yet_more_is_ordered():
    # 30 a week in packs of 50. An order that waits until nothing is left would not do: 20 are left over.
    plan = cheapest_plan(required(30, 60), [offer((0, 1), pack=50)] * 2, Holding(F("0.1")))
    assert (orders(plan), plan.left) == ({0: 50, 1: 50}, 40)
    assert plan.holding == F("0.1") * (20 + 40)


def test_a_break_leaves_something_and_yet_more_is_ordered():
    # 8 now, 12 next week, 2 each or 1 each from 10 on; keeping costs 1. Orders that find nothing left: 8 and
    # 12 cost 16 + 12 = 28; 20 at once cost 20 + 12 = 32. But 10 and 10 cost 20 + 2 = 22.
    plan = cheapest_plan(required(8, 20), [offer((0, 2), (10, 1))] * 2, Holding(F(1)))
    assert (orders(plan), plan.total) == ({0: 10, 1: 10}, 22)


def test_a_minimum_leaves_something_and_yet_more_is_ordered():
    # 6 and 8, at least 8 an order; keeping costs 1. 14 at once: 14 + 1 + 8. 8 and 8: 16 + 2 + 2 + 2.
    plan = cheapest_plan(required(6, 14), [offer((0, 1), minimum=8, order_cost=1)] * 2, Holding(F(1)))
    assert (orders(plan), plan.left) == ({0: 8, 1: 8}, 2)
    assert plan.total == 22


def test_more_may_be_ordered_while_there_is_enough():
    # 1 now, 7 in all by the third week, in packs of 2; an order is free but for 6.50 then; keeping a unit
    # costs 1. The pack of now leaves 1 for next week, and yet the rest is ordered then: 6 are kept, then 1.
    terms = [offer((0, 0), pack=2, order_cost=cost) for cost in (0, 0, "6.5")]
    plan = cheapest_plan(required(1, 1, 7), terms, Holding(F(1)))
    assert (orders(plan), plan.total) == ({0: 2, 1: 6}, 2 + 6 + 1)


def test_keeping_costs_a_share_of_what_was_paid_oldest_first():
    # 10 at 1.00 in one order, 4 used each week: 6, 2 and 2 are kept, at a tenth of the price.
    plan = cheapest_plan(required(4, 8, 8), [offer((0, 3), (10, 1))] * 3, Holding(share=F("0.1")))
    assert orders(plan) == {0: 10}
    assert plan.holding == F("0.1") * (6 + 2 + 2)


def test_nothing_wanted_nothing_ordered():
    plan = cheapest_plan(required(0, 0), [offer((0, 1), minimum=50)] * 2, NOTHING)
    assert (plan.orders, plan.total, plan.now, plan.proven) == ((), 0, None, True)


def test_what_is_wanted_later_is_ordered_later():
    plan = cheapest_plan(required(0, 0, 5), [offer((0, 1))] * 3, Holding(F("0.1")))
    assert (orders(plan), plan.now) == ({2: 5}, None)


def test_a_quantity_of_thirds_is_exact():
    plan = cheapest_plan(required("1/3", "2/3"), [offer((0, "0.10"), pack="1/3")] * 2, NOTHING)
    assert (plan.goods, plan.left) == (F("0.2") / 3, 0)


def test_a_search_too_large_tells_what_it_may_miss():
    # Incremental breaks over 30,000 bolts: far more states than are looked at.
    terms = offer((0, "0.20"), (5000, "0.18"), kind=INCREMENTAL, order_cost=6)
    demand = required(*(2500 * week for week in range(1, 13)))
    plan = cheapest_plan(demand, [terms] * 12, Holding(share=F(1, 260)))
    assert not plan.proven
    # The bound: every one at 0.18, no keeping; the plan: what is shown is what it costs.
    assert plan.total - plan.gap >= 30000 * F("0.18")
    assert plan.total - plan.gap <= plan.total <= 12 * 6 + 30000 * F("0.20")


# Which size to take, and why.


def told(choice):
    return [(each.why, each.quantity, each.total) for each in choice.alternatives]


def test_the_break_is_taken_where_it_is_cheaper_in_itself():
    choice = choose_lot(required(150), offer(*SCREWS, pack=50), NOTHING)
    assert told(choice) == [
        ((JUST_ENOUGH,), 150, F("24.75")),
        ((AT_BREAK, CHEAPEST), 200, 24),
    ]
    assert (choice.taken.quantity, choice.saving, choice.want) == (200, F("0.75"), 150)


def test_the_break_is_not_taken_where_nobody_uses_the_rest():
    # Incremental: 50 more cost 8.25 more, and count for nothing at the end.
    choice = choose_lot(required(150), offer(*SCREWS, kind=INCREMENTAL, pack=50), NOTHING)
    assert told(choice) == [((JUST_ENOUGH, CHEAPEST), 150, F("24.75")), ((AT_BREAK,), 200, 33)]
    assert choice.saving == 0


def test_the_break_is_taken_where_later_weeks_use_the_rest():
    # 60 now and 60 in each of four more weeks, in 50s. Just enough, then best: 100, and 200 a week later.
    # 300 at once cost 36, and keeping them 0.0024 each a week.
    holding = Holding(share=F(1, 50))
    choice = choose_lot(required(60, 120, 180, 240, 300), offer(*SCREWS, pack=50, order_cost=3), holding)
    assert [(each.why, each.quantity) for each in choice.alternatives] == [
        ((JUST_ENOUGH,), 100),
        ((AT_BREAK,), 200),
        ((CHEAPEST,), 300),
    ]
    best = choice.taken.plan
    assert orders(best) == {0: 300}
    assert best.total == 36 + 3 + F("0.12") / 50 * (240 + 180 + 120 + 60)
    assert choice.saving == choice.just_enough.total - best.total > 0
    assert choice.bound == best.total


def test_less_than_a_cheaper_pack_is_never_taken():
    # The order rule's own answer for 51 in packs of 50, at least 120: three packs.
    choice = choose_lot(required(51), offer((0, 1), pack=50, minimum=120), NOTHING)
    assert [(each.packs, each.why) for each in choice.alternatives] == [(3, (JUST_ENOUGH, CHEAPEST))]


def test_of_equals_the_smaller_is_taken():
    # 10 at 2 or 20 at 1: the same money.
    choice = choose_lot(required(10), offer((0, 2), (20, 1)), NOTHING)
    assert (choice.taken.quantity, choice.saving) == (10, 0)


def test_a_free_part_costs_nothing_and_is_ordered_just_enough():
    choice = choose_lot(required(3, 6), offer((0, 0)), Holding(share=F(1, 52)))
    assert (choice.taken.quantity, choice.taken.total) == (3, 0)


def test_a_dearer_bigger_break_is_avoided():
    # 10 cost 10; from 8 on they are dearer. Two orders of 7 and 3 are only possible over two weeks.
    choice = choose_lot(required(5, 10), offer((0, 1), (8, 2)), Holding(F("0.01")))
    assert orders(choice.taken.plan) == {0: 5, 1: 5}
    assert choose_lot(required(10), offer((0, 1), (8, 2)), NOTHING).taken.total == 20


def test_a_far_break_does_not_make_the_search_too_large():
    # Nobody buys 5000 for a lower price of the last few; 5 a week are looked at one by one.
    terms = offer((0, "0.20"), (5000, "0.18"), kind=INCREMENTAL, order_cost="0.10")
    choice = choose_lot(required(*range(5, 45, 5)), terms, Holding(share=F(1, 260)))
    assert [each.quantity for each in choice.alternatives] == [5, 40, 5000]
    assert (choice.taken.quantity, choice.taken.plan.proven) == (40, True)
    assert choice.alternatives[-1].total == 1000 + F("0.10") + F("0.20") / 260 * (8 * 5000 - 180)
