"""A planned week with the buying settings: order lines sized over a horizon, suppliers' rounds. By hand.

The period is 30 November to 4 December 2026, today is Friday 27 November. One job takes what it takes.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from workshop import FRI, FRIDAY_BEFORE, WED, kit_frame, kit_job, part, part_of, planned, stock

from reconcile.plan.orders.buying import weekly_use
from reconcile.values.problem import RowPlace
from reconcile.values.rules import INCREMENTAL, Buying
from reconcile.values.stock.parts import PriceBreak, Supplier, Usage

F = Fraction
PRICED = {"currency": "EUR", "supplier": "NORTH"}
FOUR_WEEKS = Buying(horizon_weeks=4, holding_cost=F(1, 4), order_cost=F(3))
USE = RowPlace("stock.xlsx", "Usage", 2)
BREAKS = RowPlace("stock.xlsx", "Price breaks", 2)


def used(number, *weekly):
    """What was used in each of the last weeks, on their Mondays; a blank row of nothing counts for none."""
    first = date(2026, 11, 23) - timedelta(weeks=len(weekly))
    return tuple(
        Usage(first + timedelta(weeks=week), number, F(each), "", USE) for week, each in enumerate(weekly)
    )


def broken(number, *pairs):
    return tuple(PriceBreak(number, F(start), Decimal(price), BREAKS) for start, price in pairs)


def week_of(takes, *parts, usage=(), breaks=(), suppliers=(), **settings):
    shelf = replace(
        stock(*parts),
        usage=tuple(usage),
        breaks=tuple(breaks),
        suppliers={each.code: each for each in suppliers},
    )
    return planned([kit_job("J-1", WED, "K")], [kit_frame("K", takes)], shelf, **settings)


def ordered(week, number):
    found = part_of(week, number)
    return found.want, found.order, found.packs


# One line.


def test_without_the_settings_orders_are_as_the_rule_says_and_the_next_break_is_told():
    week = week_of({"A": 130}, part("A", price="0.165", pack=50, **PRICED), breaks=broken("A", (200, "0.12")))
    found = part_of(week, "A")
    assert ordered(week, "A") == (130, 150, 3)
    assert (found.lot, found.unit_price, week.rounds) == (None, Decimal("0.165"), ())
    assert (found.next_break.more, found.next_break.goods, found.next_break.goods_there) == (
        50,
        F("24.75"),
        24,
    )


def test_the_next_break_is_taken_where_it_is_cheaper():
    week = week_of(
        {"A": 130},
        part("A", price="0.165", pack=50, **PRICED),
        breaks=broken("A", (200, "0.12")),
        buying=FOUR_WEEKS,
    )
    found = part_of(week, "A")
    # 24.75 for 150 against 24.00 for 200, and 50 more to keep over the end of four weeks: 50 x 0.12 x 4/208.
    assert ordered(week, "A") == (130, 200, 4)
    assert (found.unit_price, found.line_total) == (Decimal("0.12"), Decimal("24.00"))
    assert found.next_break is None
    assert [each.quantity for each in found.lot.alternatives] == [150, 200]


def test_later_use_is_ordered_along_where_another_order_costs_more():
    # 2 wanted, 2 used a week: another order costs 3, keeping 2 for a week 0.25/52 x 10 x 2, some 0.10.
    week = week_of({"A": 2}, part("A", price="10", **PRICED), usage=used("A", *[2] * 10), buying=FOUR_WEEKS)
    found = part_of(week, "A")
    assert ordered(week, "A") == (2, 8, 8)
    assert (found.lot.weekly_use, found.lot.required) == (2, (2, 4, 6, 8))
    assert found.lot.taken.plan.holding == F(1, 4) / 52 * 10 * (6 + 4 + 2)


def test_stock_to_come_is_used_before_anything_is_bought_for_later():
    # 2 wanted to reach the safety stock of 6 from 4. What is used later comes on top.
    week = week_of(
        {"B": 1},
        part("B", 1),
        part("A", 4, price="10", safety_stock=6, **PRICED),
        usage=used("A", *[1] * 10),
        buying=FOUR_WEEKS,
    )
    assert part_of(week, "A").lot.required == (2, 3, 4, 5)


def test_an_order_is_never_less_than_the_rule_says():
    week = week_of({"A": 51}, part("A", price="900", pack=50, minimum_order=120, **PRICED), buying=FOUR_WEEKS)
    assert ordered(week, "A") == (51, 150, 3)


def test_an_incremental_break_prices_only_what_is_beyond_it():
    buying = replace(FOUR_WEEKS, price_breaks=INCREMENTAL)
    week = week_of(
        {"A": 250}, part("A", price="0.165", **PRICED), breaks=broken("A", (200, "0.12")), buying=buying
    )
    found = part_of(week, "A")
    assert (found.unit_price, found.goods, found.line_total) == (Decimal("0.156"), 39, Decimal("39.00"))
    # 210 cost 33 + 1.20, which is no price with an end; the total is still exact.
    week = week_of(
        {"A": 210}, part("A", price="0.165", **PRICED), breaks=broken("A", (200, "0.12")), buying=buying
    )
    found = part_of(week, "A")
    assert (found.unit_price, found.line_total) == (Decimal("0.162857"), Decimal("34.20"))


def test_a_part_without_a_price_is_ordered_as_the_rule_says_and_named():
    week = week_of({"A": 2}, part("A", supplier="NORTH"), buying=FOUR_WEEKS)
    assert (ordered(week, "A"), part_of(week, "A").lot) == ((2, 2, 2), None)
    assert [(each.code, each.says) for each in week.problems] == [
        ("price-missing", "A has no price, so its cheapest order cannot be told."),
        ("buyer-not-named", "The settings do not say who orders, or where to deliver."),
    ]


def test_nothing_wanted_nothing_ordered_whatever_is_used_later():
    week = week_of({"A": 2}, part("A", 9, price="10", **PRICED), usage=used("A", 5, 5), buying=FOUR_WEEKS)
    assert ordered(week, "A") == (0, 0, 0)


# What later weeks use.


def test_a_weeks_use_is_the_mean_of_those_before():
    assert weekly_use(replace(stock(), usage=used("A", 1, 0, 4)), FRIDAY_BEFORE) == {"A": F(5, 3)}


def test_nothing_is_foretold_of_a_part_that_has_gone_out_of_use():
    usage = (*used("A", *[1] * 4, *[0] * 46), *used("B", *[1] * 50))
    assert weekly_use(replace(stock(), usage=usage), FRIDAY_BEFORE) == {"B": 1}


# The supplier's orders as a whole.

NORTH = Supplier("NORTH", "", Decimal(20), Decimal(9), Decimal(100))


def rounds(week):
    return [
        {each.period: [line.part for line in each.lines] for each in one.choice.taken.rounds}
        for one in week.rounds
    ]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("price", "expected"),
    [
        (
            "50",
            {0: ["A", "B"]},
        ),  # keeping 50 a week longer costs 0.24, another delivery 9 and another order 3
        ("5000", {0: ["A"], 1: ["B"]}),  # free by itself; keeping it costs 24
    ],
)
def test_a_line_waits_only_where_that_is_cheaper(price, expected):
    week = week_of(
        {"A": 1, "B": 1},
        part("A", price="30", lead_time=5, **PRICED),
        part("B", price=price, lead_time=0, **PRICED),
        suppliers=[NORTH],
        buying=replace(FOUR_WEEKS, horizon_weeks=2),
    )
    # A is needed on Wednesday, five working days from the order: late. B may wait until Wednesday itself,
    # which is before the next round: it cannot wait.
    assert rounds(week) == [{0: ["A", "B"]}]
    week = week_of(
        {"A": 1},
        part("A", price="30", lead_time=5, **PRICED),
        part("B", price=price, lead_time=0, safety_stock=1, **PRICED),
        suppliers=[NORTH],
        buying=replace(FOUR_WEEKS, horizon_weeks=2),
    )
    # B is required by Friday 4 December, the day of the next round.
    assert part_of(week, "B").required_by == FRI
    assert rounds(week) == [expected]
    assert week.rounds[0].days == (FRIDAY_BEFORE, FRI)


def test_later_orders_of_the_horizon_are_lines_of_later_rounds():
    # Dear and kept dearly: 1 a week, each ordered in its own week.
    buying = Buying(horizon_weeks=3, holding_cost=F(1), order_cost=F(1))
    week = week_of(
        {"A": 1},
        part("A", price="1000", lead_time=0, **PRICED),
        usage=used("A", *[1] * 10),
        suppliers=[Supplier("NORTH")],
        buying=buying,
    )
    assert [each.period for each in part_of(week, "A").lot.taken.plan.orders] == [0, 1, 2]
    # For the weeks that begin on 7 and 14 December the last rounds in time are 4 and 11 December.
    assert rounds(week) == [{0: ["A"], 1: ["A"], 2: ["A"]}]


def test_a_supplier_with_two_currencies_is_left_out():
    week = week_of(
        {"A": 1, "B": 1},
        part("A", price="1", currency="EUR", supplier="NORTH"),
        part("B", price="1", currency="CHF", supplier="NORTH"),
        suppliers=[NORTH],
        buying=FOUR_WEEKS,
    )
    assert week.rounds == ()
    assert "supplier-currencies" in {each.code for each in week.problems}


def test_a_line_without_a_price_is_told_of():
    week = week_of(
        {"A": 1, "B": 1},
        part("A", price="1", **PRICED),
        part("B", supplier="NORTH"),
        suppliers=[NORTH],
        buying=FOUR_WEEKS,
    )
    assert [(each.supplier, each.unpriced) for each in week.rounds] == [("NORTH", ("B",))]
