"""A published available-to-promise record, held against what the ledger of scarce parts would promise.

W. J. Stevenson, Operations Management, master scheduling example (industrial pumps): customer orders 33, 20,
10, 4, 2 in weeks 1 to 5, 64 in stock, lots of 70 in weeks 3, 5, 7 and 8. Inputs and lots were read in copies;
the projected balances and the available-to-promise figures 11, 56, 68, 70, 70 are from memory and recomputed.
"""

from dataclasses import replace

import pytest
from workshop import (
    AS_OF,
    FRIDAY_BEFORE,
    counting,
    days_off,
    due,
    inputs_of,
    kit_frame,
    kit_job,
    kits,
    part,
    stock,
)

from reconcile.plan.solver.packing import Balance
from reconcile.values.days import Period
from reconcile.week import plan_week, promise

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


# The same record as a week of jobs: period n is the n-th working day, each order a job of so many chairs.

PUMP = kit_frame("PUMP", {"ITEM": 1})


def day_of(week):
    return days_off().after(FRIDAY_BEFORE, week)


def asked_for(units, week):
    """The answer to a further order of so many pieces for a week."""
    orders = [kit_job(f"J-{n}", day_of(n), "PUMP", chairs=quantity) for n, quantity in ORDERS.items()]
    lots = [due("ITEM", units, day_of(lot), f"PO-{lot}") for lot, units in SUPPLY.items() if lot]
    shelf = stock(part("ITEM", SUPPLY[0]), due=tuple(lots))
    record = inputs_of(orders, [PUMP], shelf, period=Period(day_of(1), day_of(8)))
    assert "short" not in kits(plan_week(record, AS_OF)).values()
    guest = kit_job("ASKS", day_of(week), "PUMP", row=99, chairs=units)
    return promise(record, AS_OF, guest=guest).jobs[0]


@pytest.mark.parametrize(
    ("units", "week", "kit", "missing", "first_week"),
    [
        (11, 1, "complete", 0, 0),
        (12, 1, "short", 1, 3),  # waits for the lot of week 3
        (67, 2, "short", 56, 3),
        (67, 3, "waits", 0, 0),
        (68, 3, "short", 1, 5),
        (135, 5, "waits", 0, 0),
        (136, 6, "short", 1, 7),
        (275, 7, "short", 70, 8),
        (275, 8, "waits", 0, 0),
    ],
)
def test_a_further_order_is_promised_what_is_available_to_promise(units, week, kit, missing, first_week):
    answer = asked_for(units, week)
    assert answer.kit == kit
    assert [each.quantity for each in answer.missing] == ([missing] if missing else [])
    assert answer.earliest == (day_of(first_week) if first_week else None)


def test_more_than_can_ever_be_promised_has_no_day():
    assert asked_for(276, 8).earliest is None


# Discrete and cumulative promise, over weeks that are asked about one at a time. Discrete: what a lot can
# promise until the next one; cumulative: what all lots up to a week can. Stevenson's figures as above: by
# week 11, 11, 67, 67, 135, 135, 205, 275.

CUMULATIVE = {1: 11, 2: 11, 3: 67, 4: 67, 5: 135, 6: 135, 7: 205, 8: 275}


def asked_in_its_week(units, week):
    """As above, with a period of the week asked about alone: the rest counts beside it."""
    orders = [kit_job(f"J-{n}", day_of(n), "PUMP", chairs=quantity) for n, quantity in ORDERS.items()]
    lots = [due("ITEM", units, day_of(lot), f"PO-{lot}") for lot, units in SUPPLY.items() if lot]
    own = Period(day_of(week), day_of(week))
    record = inputs_of(
        counting(orders, own), [PUMP], stock(part("ITEM", SUPPLY[0]), due=tuple(lots)), period=own,
        look_ahead=day_of(8),
    )  # fmt: skip
    guest = kit_job("ASKS", day_of(week), "PUMP", row=99, chairs=units)
    return promise(record, AS_OF, guest=guest).jobs[0]


@pytest.mark.parametrize("week", CUMULATIVE)
def test_the_cumulative_promise_of_a_week_and_not_one_more(week):
    assert asked_in_its_week(CUMULATIVE[week], week).kit in {"complete", "waits"}
    more = asked_in_its_week(CUMULATIVE[week] + 1, week)
    assert (more.kit, more.missing[0].quantity) == ("short", 1)


def test_the_discrete_promise_is_what_the_cumulative_rises_by_at_each_lot():
    rises = {lot: CUMULATIVE[lot] - CUMULATIVE.get(lot - 1, 0) for lot in PROMISE}
    assert rises == PROMISE


# What the record calls projected on hand is what is left where the larger of forecast and orders is taken:
# with lots of 70 made in the weeks in which it would fall below nothing. Here every week's greater figure is
# a job, and the plans of the weeks in turn say when a lot is needed.

FORECAST = {1: 30, 2: 30, 3: 30, 4: 30, 5: 40, 6: 40, 7: 40, 8: 40}
PROJECTED = [31, 1, 41, 11, 41, 1, 31, 61]


def test_the_lots_are_needed_in_the_weeks_of_the_record():
    taken = {week: max(ORDERS.get(week, 0), FORECAST[week]) for week in FORECAST}
    jobs = [kit_job(f"J-{week}", day_of(week), "PUMP", chairs=units) for week, units in taken.items()]
    lots, left = [], []
    for week in FORECAST:
        own = Period(day_of(week), day_of(week))
        shelf = stock(part("ITEM", SUPPLY[0], pack=70, lead_time=0), due=tuple(lots))
        record = inputs_of(counting(jobs, own), [PUMP], shelf, period=own, look_ahead=own.last)
        (found,) = plan_week(replace(record, jobs=up_to(record.jobs, own.last)), AS_OF).parts
        if found.order:
            assert (found.order, found.required_by) == (70, own.last)
            lots.append(due("ITEM", 70, own.last, f"LOT-{week}"))
        left.append(found.end + found.order)
    assert [period_of(each.day) for each in lots] == [3, 5, 7, 8]
    assert left == PROJECTED


def up_to(jobs, last):
    return tuple(each for each in jobs if each.day <= last)


def period_of(day):
    return next(week for week in FORECAST if day_of(week) == day)
