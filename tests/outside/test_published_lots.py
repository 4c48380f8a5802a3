"""Lot sizes against published examples: even demand, price breaks, known demand, several parts together.

Sources, by the names used below. Figures marked *from memory* were not seen in print.

* Harris: F. W. Harris, "How Many Parts to Make at Once", Factory, The Magazine of Management 10(2), 1913,
  pp. 135-136, 152.
* Snyder and Shen: Fundamentals of Supply Chain Theory, 2nd ed., 2019.
* Nahmias: Production and Operations Analysis (from memory).
* Heizer and Render: Operations Management, quantity discounts (from memory).
* Wagner and Whitin: "Dynamic Version of the Economic Lot Size Model", Management Science 5(1), 1958,
  pp. 89-96.
* Silver, Pyke and Peterson: Inventory Management and Production Planning and Scheduling, 3rd ed., 1998.
"""

from fractions import Fraction
from math import sqrt

import pytest

from reconcile.plan.orders.lot_sizes import cheapest_plan, wagner_whitin
from reconcile.plan.orders.steady_lots import SteadyPart, joint_cycle, lot_squared, steady_lot, yearly_cost
from reconcile.values.rules import ALL_UNITS, INCREMENTAL
from reconcile.values.week.buying import Holding, Offer, PriceStep

F = Fraction


def offer(*steps, kind=ALL_UNITS, order_cost=0):
    made = tuple(PriceStep(F(quantity), F(price)) for quantity, price in steps)
    return Offer(made, kind, order_cost=F(order_cost))


# --- even demand --------------------------------------------------------------------------------------------


def test_harris_how_many_parts_to_make_at_once():
    # 1000 a month, 2 dollars of setup, 0.10 a part, 10 % a year for interest and depreciation: "2,190 units".
    squared = lot_squared(F(2), F(1000), F("0.1") * F("0.1") / 12)
    assert squared == 4_800_000
    assert 2190 <= sqrt(squared) < 2191
    assert F(2) / 2190 == pytest.approx(0.000913, abs=1e-6)  # setup cost of each


@pytest.mark.parametrize(
    ("order_cost", "holding", "demand", "lot", "cost"),
    [
        ("8", "0.225", 1300, 304.04678, 68.410526),  # Snyder and Shen, example 3.1
        ("2250", "275", 182500, 1728.109845, 475230.207373),  # Snyder and Shen, problem 3.1
    ],
)
def test_economic_lots(order_cost, holding, demand, lot, cost):
    squared = lot_squared(F(order_cost), F(demand), F(holding))
    assert sqrt(squared) == pytest.approx(lot, rel=1e-6)
    assert sqrt(squared) * float(F(holding)) == pytest.approx(cost, rel=1e-6)
    # In whole units: no lot on either side costs less.
    whole, _ = steady_lot(offer((0, 0), order_cost=order_cost), F(demand), Holding(F(holding)))
    assert abs(float(whole) - lot) < 1


BREAKS = [  # steps, order cost, demand, share a year, then for each kind: lot, cost a year
    # Snyder and Shen, example 3.5. The incremental lot is 304.05 there; in whole units it is 304.
    ([(0, "0.75"), (400, "0.72"), (800, "0.68")], 8, 1300, "0.3", (800, 978.6), (304, 1043.410526)),
    # Nahmias, Weighty Trash Bag Company (from memory).
    ([(0, "0.30"), (500, "0.29"), (1000, "0.28")], 8, 600, "0.2", (500, 198.1), (400, 204)),
    # Heizer and Render, Wohl's Discount Store (from memory); incremental prices are not asked there.
    ([(0, "5.00"), (1000, "4.80"), (2000, "4.75")], 49, 5000, "0.2", (1000, 24725), None),
]


@pytest.mark.parametrize(("case", "kind"), [(0, 0), (0, 1), (1, 0), (1, 1), (2, 0)])
def test_price_breaks_under_even_demand(case, kind):
    steps, order_cost, demand, share, *expected = BREAKS[case]
    offered = offer(*steps, kind=(ALL_UNITS, INCREMENTAL)[kind], order_cost=order_cost)
    lot, cost = steady_lot(offered, F(demand), Holding(share=F(share)))
    assert lot == expected[kind][0]
    assert cost == pytest.approx(expected[kind][1], rel=1e-6)


@pytest.mark.parametrize(
    ("case", "costs"),
    [
        (1, {400: "204.00", 500: "198.10", 1000: "200.80"}),  # Nahmias (from memory)
        (2, {700: "25700", 1000: "24725", 2000: "24822.50"}),  # Heizer and Render (from memory)
    ],
)
def test_what_each_price_break_would_cost(case, costs):
    steps, order_cost, demand, share, *_ = BREAKS[case]
    offered, holding = offer(*steps, order_cost=order_cost), Holding(share=F(share))
    assert {
        lot: yearly_cost(F(lot), offered, F(demand), holding) == F(cost) for lot, cost in costs.items()
    } == dict.fromkeys(costs, True)


def test_the_bigger_incremental_lot_costs_some_58_cents_more():
    # Nahmias (from memory): 519 a lot, against 204.00 for 400.
    steps, order_cost, demand, share, *_ = BREAKS[1]
    offered = offer(*steps, kind=INCREMENTAL, order_cost=order_cost)
    cost = yearly_cost(F(519), offered, F(demand), Holding(share=F(share)))
    assert cost - 204 == pytest.approx(0.58, abs=0.005)


# --- known demand -------------------------------------------------------------------------------------------

TWELVE_MONTHS = [69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56]
SETUPS = [85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114]

# Demand; what each order costs; the price of a unit; what keeping one costs a period; the least cost; the
# plan, where no other costs as little.
KNOWN = {
    "Wagner and Whitin": (
        *(TWELVE_MONTHS, SETUPS, [0] * 12, 1, 864),
        [98, 0, 97, 0, 121, 0, 0, 112, 0, 67, 135, 0],
    ),
    "Snyder and Shen, example 3.9": ([90, 120, 80, 70], [500] * 4, [0] * 4, 2, 1380, [210, 0, 150, 0]),
    "Snyder, course homework on Wagner-Whitin": (
        *([400, 500, 500, 1100, 900], [100] * 5, [3, 1, 4, 6, 6], "0.1", 4940),
        [400, 3000, 0, 0, 0],
    ),
    "Nahmias, five weeks": ([18, 30, 42, 5, 20], [80] * 5, [0] * 5, 2, 310, None),
    "Nahmias, Silver-Meal is not optimal (from memory)": (
        *([10, 40, 30], [50] * 3, [0] * 3, 1, 130, [10, 70, 0]),
    ),
    "Silver, Pyke and Peterson, ch. 6 (from memory)": (
        *([10, 62, 12, 130, 154, 129, 88, 52, 124, 160, 238, 41], [54] * 12, [0] * 12, "0.4", "501.2"),
        [84, 0, 0, 130, 283, 0, 140, 0, 124, 160, 279, 0],
    ),
}


def required(demand):
    sums, total = [], F(0)
    for each in demand:
        total += each
        sums.append(total)
    return sums


def classical(demand, setups, prices, holding):
    count = len(demand)
    return wagner_whitin(
        *([F(each) for each in figures] for figures in (demand, setups, prices)), [F(holding)] * count
    )


def general(demand, setups, prices, holding, **given):
    offers = [offer((0, price), order_cost=setup) for price, setup in zip(prices, setups, strict=True)]
    plan = cheapest_plan(required(demand), offers, Holding(F(holding)), **given)
    orders = [0] * len(demand)
    for each in plan.orders:
        orders[each.period] = each.quantity
    return plan, orders


@pytest.mark.parametrize("name", KNOWN)
def test_known_demand_by_the_classical_recursion(name):
    *case, cost, plan = KNOWN[name]
    least, orders = classical(*case)
    assert least == F(cost)
    assert plan is None or list(orders) == plan


@pytest.mark.parametrize("name", KNOWN)
def test_known_demand_by_the_general_search(name):
    *case, cost, expected = KNOWN[name]
    plan, orders = general(*case)
    assert (plan.total, plan.gap) == (F(cost), 0)
    assert expected is None or orders == expected


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name, case in KNOWN.items() if sum(case[0]) < 1000])
def test_known_demand_over_every_state(name):
    *case, cost, _ = KNOWN[name]
    assert general(*case, most_steps=100_000_000)[0].total == F(cost)


def test_wagner_and_whitins_table_month_by_month():
    costs = [classical(TWELVE_MONTHS[:end], SETUPS[:end], [0] * end, 1)[0] for end in range(1, 13)]
    assert costs == [85, 114, 186, 277, 348, 400, 469, 555, 600, 710, 789, 864]


# --- a rule of thumb, kept here to be measured against ----------------------------------------------------


def silver_meal(demand, setup, holding):
    """E. A. Silver and H. C. Meal, Production and Inventory Management 14(2), 1973 (from memory).

    Each order is stretched while its cost for each period that it lasts falls.
    """
    orders, start, averages = [0] * len(demand), 0, []
    while start < len(demand):
        kept, best, end = F(0), None, start
        while end < len(demand):
            kept += holding * (end - start) * demand[end]
            average = (setup + kept) / (end - start + 1)
            averages.append(average)
            if best is not None and average > best:
                break
            best, end = average, end + 1
        orders[start] = sum(demand[start:end])
        start = end
    return orders, averages


def cost_of(orders, demand, setup, holding):
    cost, left = F(0), F(0)
    for order, each in zip(orders, demand, strict=True):
        left += order - each
        cost += (setup if order else 0) + holding * left
    return cost


@pytest.mark.parametrize(
    ("name", "orders", "cost"),
    [
        ("Nahmias, five weeks", [48, 0, 47, 0, 20], 310),
        ("Nahmias, Silver-Meal is not optimal (from memory)", [50, 0, 30], 140),
        (
            "Silver, Pyke and Peterson, ch. 6 (from memory)",
            *([84, 0, 0, 130, 283, 0, 140, 0, 124, 160, 279, 0], "501.2"),
        ),
    ],
)
def test_the_rule_of_thumb_is_never_cheaper(name, orders, cost):
    demand, setups, prices, holding, least, _ = KNOWN[name]
    rule, _ = silver_meal(demand, F(setups[0]), F(holding))
    assert (rule, cost_of(rule, demand, F(setups[0]), F(holding))) == (orders, F(cost))
    assert F(least) <= F(cost)
    assert general(demand, setups, prices, holding)[0].total == F(least)


def test_nahmias_averages_of_the_rule_of_thumb():
    _, averages = silver_meal([18, 30, 42, 5, 20], F(80), F(2))
    assert averages[:6] == pytest.approx([80, 70, 102.67, 80, 45, 56.67], abs=0.005)


@pytest.mark.parametrize(("orders", "cost"), [([48, 0, 42, 25, 0], 340), ([48, 0, 67, 0, 0], 310)])
def test_nahmias_other_rules_cost_what_he_says(orders, cost):
    # Least unit cost, and part-period balancing (both from memory).
    assert cost_of(orders, [18, 30, 42, 5, 20], F(80), F(2)) == cost


# --- several parts from one supplier ------------------------------------------------------------------------


def test_joint_replenishment_of_four_parts():
    # Silver, Pyke and Peterson, 3rd ed., p. 428. The multiples are theirs; brute force finds none cheaper.
    demands = [86000, 12500, 1400, 3000]
    found = joint_cycle(F(40), [SteadyPart(F(15), F(each), F("0.24")) for each in demands])
    assert found.multiples == (1, 1, 4, 3)
    cycle = sqrt(found.cycle_squared)
    assert cycle == pytest.approx(0.0761734, rel=1e-6)
    assert sqrt(found.cost_squared) == pytest.approx(2067.650841, rel=1e-6)
    lots = [cycle * each * multiple for each, multiple in zip(demands, found.multiples, strict=True)]
    assert lots == pytest.approx([6550.9126, 952.1675, 426.5711, 685.5606], rel=1e-6)
