"""A published available-to-promise record, held against what the ledger of scarce parts would promise.

W. J. Stevenson, Operations Management, master scheduling example (industrial pumps): customer orders 33, 20,
10, 4, 2 in weeks 1 to 5, 64 in stock, lots of 70 in weeks 3, 5, 7 and 8. Inputs and lots were read in copies;
the projected balances and the available-to-promise figures 11, 56, 68, 70, 70 are from memory and recomputed.
"""

import pytest

from reconcile.plan.packing import Balance

ORDERS = {1: 33, 2: 20, 3: 10, 4: 4, 5: 2}
SUPPLY = {0: 64, 3: 70, 5: 70, 7: 70, 8: 70}
PROMISE = {1: 11, 3: 56, 5: 68, 7: 70, 8: 70}
"""Available to promise by the week of the lot: 64 - 33 - 20; 70 - 10 - 4; 70 - 2; 70; 70."""


def ledger():
    balance = Balance.of(SUPPLY, range(1, 9))
    for week, quantity in ORDERS.items():
        balance.add(week, -quantity)
    return balance


@pytest.mark.parametrize("week", range(1, 9))
def test_what_can_be_promised_up_to_a_week_is_the_sum_of_the_lots_up_to_it(week):
    assert ledger().least_from(week) == sum(units for lot, units in PROMISE.items() if lot <= week)


@pytest.mark.parametrize(
    ("units", "week"), [(11, 0), (12, 3), (67, 3), (68, 5), (135, 5), (136, 7), (205, 7), (206, 8), (275, 8)]
)
def test_the_first_week_with_enough(units, week):
    first = ledger().first_period_with(units)
    assert first is not None
    assert max(first, 0) == week


def test_more_than_all_lots_can_never_be_promised():
    assert ledger().first_period_with(276) is None


def test_what_can_be_promised_in_all_is_stock_and_lots_less_orders():
    # An identity of discrete available-to-promise: 64 + 4 x 70 - 69 = 275.
    assert sum(PROMISE.values()) == sum(SUPPLY.values()) - sum(ORDERS.values()) == 275
    assert ledger().least_from(8) == 275
