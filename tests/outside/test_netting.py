"""Published worked records of time-phased netting, carried over as figures.

A period of a record is a working day here: period n is the n-th working day after a Friday, so that the
records cross weekends and a holiday. Conventions of all of them: the balance is that of a period's end
after planned receipts; net = max(0, safety stock - (balance before + scheduled - gross)); a planned
release is the planned receipt moved earlier by the lead time. All arithmetic is the project's own.
"""

from collections import defaultdict
from datetime import date
from fractions import Fraction

import pytest
from workshop import all_kits, counting, days_off, due, kit_frame, kit_job, part, part_of, planned, stock

from reconcile.plan.flows.timeline import Flow, net, short_units
from reconcile.plan.orders.orders import order_for
from reconcile.values.days import Period

ANCHOR = date(2026, 11, 27)
DAYS = days_off(date(2026, 12, 8))


def day_of(period):
    return DAYS.after(ANCHOR, period) if period >= 0 else DAYS.before(ANCHOR, -period)


def period_of(day):
    return next(n for n in range(-9, 30) if day_of(n) == day)


def on_days(row):
    """A row of figures, period 1 first, by day; blanks left out."""
    return defaultdict(Fraction, {day_of(n): Fraction(each) for n, each in enumerate(row, 1) if each})


def rolled(on_hand, gross, scheduled, **rules):
    """Net one record period by period; each planned receipt is there for the periods after it.

    Returns the rows of the record: projected on hand, net, planned receipts, planned releases.
    """
    item, balance = part("ITEM", **rules), Fraction(on_hand)
    projected, nets, receipts, releases = [], [], [], [0] * len(gross)
    needed, coming = on_days(gross), on_days(scheduled)
    for period in range(1, len(gross) + 1):
        day = day_of(period)
        before = Flow(balance, {day: coming[day]}, {}, {day: needed[day]})
        order = order_for(item, net(before, day, day), Period(day, day), ANCHOR, DAYS)
        with_order = Flow(balance, {day: coming[day] + order.quantity}, {}, {day: needed[day]})
        balance = net(with_order, day, day).end
        projected.append(balance)
        nets.append(order.want)
        receipts.append(order.quantity)
        if order.quantity:
            releases[period_of(order.order_by) - 1] = order.quantity
    return {"projected": projected, "net": nets, "receipts": receipts, "releases": releases}


# Vollmann, Berry & Whybark, Manufacturing Planning and Control Systems, the basic MRP record; from memory.


def test_the_basic_record():
    record = rolled(4, [0, 10, 0, 40, 10], [50, 0, 0, 0, 0], pack=50, lead_time=1)
    assert record["projected"] == [54, 44, 44, 4, 44]
    assert record["releases"] == [0, 0, 0, 50, 0]


# The same records over whole weeks of jobs: each gross requirement is a job, each period is planned with all
# that comes after it, what is ordered now lasts until what the next period orders can arrive, and the release
# is the day by which to order. Lot for lot, so that every order is what the record nets.


def released(on_hand, gross, scheduled, lead_time, today=0, **rules):
    """Releases by period: what each period's plan, in turn, orders; a plan's period is one working day.

    An order is placed once: it is on order for all later plans. What a job hangs on is to be ordered by that
    very period. (What only restores safety stock is asked for as soon as may be; the record has it there
    when the balance would fall below, and releases it in the same period as we.)
    """
    frames, lots = [kit_frame("F", {"ITEM": 1})], []
    jobs = [kit_job(f"J-{n}", day_of(n), "F", chairs=each) for n, each in enumerate(gross, 1) if each]
    lots += [due("ITEM", each, day_of(n), f"PO-{n}") for n, each in enumerate(scheduled, 1) if each]
    releases = {}
    for period in range(today, len(gross) + 1):
        day = day_of(period)
        left = [each for each in jobs if each.day >= day]
        counted = counting(left, Period(day, day), day)
        gone = sum(each for n, each in enumerate(gross, 1) if day_of(n) < day)
        come = sum(each.quantity for each in lots if each.day < day)
        shelf = stock(
            part("ITEM", on_hand + come - gone, lead_time=lead_time, **rules),
            due=tuple(each for each in lots if each.day >= day),
        )
        week = planned(
            counted, frames, shelf, period=Period(day, day), today=day, look_ahead=day_of(len(gross)),
            days=DAYS,
        )  # fmt: skip
        assert "short" not in all_kits(week).values()
        for found in week.parts:
            if found.order:
                there = found.required_by if found.at_risk else day_of(period + lead_time)
                assert there == day_of(period + lead_time)
                releases[period] = found.order
                lots.append(due("ITEM", found.order, there, f"PO-now-{period}"))
    return releases


def in_periods(releases, periods):
    return [releases.get(n, 0) for n in range(1, periods + 1)]


@pytest.mark.parametrize("lead_time", [1, 2])
def test_the_basic_record_released_by_plans_in_turn(lead_time):
    # Vollmann, Berry & Whybark's record lot for lot (from memory): net 6 in period 5 is released its lead
    # time before; in period 4 by the book's lead time of one.
    gross, scheduled = [0, 10, 0, 40, 10], [50, 0, 0, 0, 0]
    assert released(4, gross, scheduled, lead_time) == {5 - lead_time: 6}


def test_the_basic_record_in_lots_of_fifty_released_by_plans_in_turn():
    assert in_periods(released(4, [0, 10, 0, 40, 10], [50, 0, 0, 0, 0], 1, pack=50), 5) == [0, 0, 0, 50, 0]


@pytest.mark.parametrize(
    ("rules", "releases"),
    [
        ({"pack": 230}, [0, 230, 0, 0, 230, 0, 0, 0]),
        ({"pack": 230, "safety_stock": 80}, [0, 230, 0, 230, 0, 0, 0, 0]),
        ({}, [0, 3, 0, 150, 120, 0, 0, 0]),
        ({"safety_stock": 80}, [0, 83, 0, 150, 120, 0, 0, 0]),
    ],
    ids=["multiples of 230", "multiples and safety stock", "lot for lot", "lot for lot, safety stock"],
)
def test_the_seat_record_released_by_plans_in_turn(rules, releases):
    # The releases of the record below, two periods before what they cover.
    assert in_periods(released(37, SEAT_GROSS, SEAT_SCHEDULED, 2, **rules), 8) == releases


def test_the_trumpets_released_by_plans_in_turn():
    # As in the record below: casings of weeks 8 to 17 are released four weeks before.
    weeks = [0] * 7
    gross = [*weeks, 77, 42, 38, 21, 26, 112, 45, 14, 76, 38]
    found = released(23, gross, [*weeks, 12, 0, 6, 9], 4)
    assert [found.get(n, 0) for n in range(4, 14)] == TRUMPETS_NET


# Krajewski, Ritzman & Malhotra, Operations Management, chapter on material requirements, item C, the seat
# subassembly: on hand 37, lead time 2. The input record was read; the completed rows are from memory.

SEAT_GROSS = [150, 0, 0, 120, 0, 150, 120, 0]
SEAT_SCHEDULED = [230, 0, 0, 0, 0, 0, 0, 0]


@pytest.mark.parametrize(
    ("rules", "rows"),
    [
        (
            {"pack": 230},
            {
                "projected": [117, 117, 117, 227, 227, 77, 187, 187],
                "net": [0, 0, 0, 3, 0, 0, 43, 0],
                "receipts": [0, 0, 0, 230, 0, 0, 230, 0],
                "releases": [0, 230, 0, 0, 230, 0, 0, 0],
            },
        ),
        (
            {"pack": 230, "safety_stock": 80},
            {
                "projected": [117, 117, 117, 227, 227, 307, 187, 187],
                "net": [0, 0, 0, 83, 0, 3, 0, 0],
                "receipts": [0, 0, 0, 230, 0, 230, 0, 0],
                "releases": [0, 230, 0, 230, 0, 0, 0, 0],
            },
        ),
        (
            {},
            {
                "projected": [117, 117, 117, 0, 0, 0, 0, 0],
                "net": [0, 0, 0, 3, 0, 150, 120, 0],
                "receipts": [0, 0, 0, 3, 0, 150, 120, 0],
                "releases": [0, 3, 0, 150, 120, 0, 0, 0],
            },
        ),
        (
            {"safety_stock": 80},
            {
                "projected": [117, 117, 117, 80, 80, 80, 80, 80],
                "net": [0, 0, 0, 83, 0, 150, 120, 0],
                "receipts": [0, 0, 0, 83, 0, 150, 120, 0],
                "releases": [0, 83, 0, 150, 120, 0, 0, 0],
            },
        ),
    ],
    ids=[
        "multiples of 230",
        "multiples of 230, safety stock 80",
        "lot for lot",
        "lot for lot, safety stock 80",
    ],
)
def test_the_seat_record(rules, rows):
    assert rolled(37, SEAT_GROSS, SEAT_SCHEDULED, lead_time=2, **rules) == rows


def test_lot_for_lot_is_also_what_one_pass_over_the_whole_record_finds():
    flow = Flow(Fraction(37), on_days(SEAT_SCHEDULED), {}, on_days(SEAT_GROSS))
    needs = [(day_of(n), Fraction(each)) for n, each in enumerate(SEAT_GROSS, 1)]
    assert short_units(flow, needs) == [0, 0, 0, 3, 0, 150, 120, 0]
    found = net(flow, day_of(8), day_of(8))
    assert (found.shortfall, found.first_short, found.end) == (273, day_of(4), -273)


# Nahmias, Production and Operations Analysis, chapter on requirements planning, the trumpets of Harmon
# Music: each valve casing takes three valves; from memory.

TRUMPETS_NET = [42, 42, 32, 12, 26, 112, 45, 14, 76, 38]  # weeks 8 to 17
VALVES_GROSS = [126, 126, 96, 36, 78, 336, 135, 42, 228, 114]  # weeks 4 to 13
VALVES_NET = [0, 0, 66, 36, 78, 336, 135, 42, 228, 114]


def test_the_net_requirement_of_trumpets_and_the_release_of_casings():
    weeks = [0] * 7
    gross = [*weeks, 77, 42, 38, 21, 26, 112, 45, 14, 76, 38]
    record = rolled(23, gross, [*weeks, 12, 0, 6, 9], lead_time=4)
    assert record["net"][7:] == TRUMPETS_NET
    assert record["releases"][3:13] == TRUMPETS_NET  # weeks 4 to 13


def test_three_valves_for_each_casing_net_of_stock_and_of_what_is_due():
    # The casings of each week are a job of so many; 186 valves at the end of week 3, 96 due in week 5.
    jobs = [kit_job(f"J-{n}", day_of(n), "CASING", chairs=each) for n, each in enumerate(TRUMPETS_NET, 4)]
    week = planned(
        jobs, [kit_frame("CASING", {"VALVE": 3})],
        stock(part("VALVE", 186), due=(due("VALVE", 96, day_of(5)),)),
        period=Period(day_of(4), day_of(13)), today=day_of(3), days=DAYS,
    )  # fmt: skip
    valve = part_of(week, "VALVE")
    assert [each.taken for each in valve.days] == VALVES_GROSS
    short = {period_of(each.day): each.quantity for each in valve.at_risk}
    assert [short.get(n, 0) for n in range(4, 14)] == VALVES_NET
    assert valve.shortfall == sum(VALVES_NET)
    releases = {period_of(DAYS.before(each.day, 3)): each.quantity for each in valve.at_risk}
    assert [releases[n] for n in range(3, 11)] == [66, 36, 78, 336, 135, 42, 228, 114]


# Heizer & Render, Operations Management, chapter on material requirements, the speaker kit: 50 kits in
# week 8; from memory.

KIT = {"A": {"B": 2, "C": 3}, "B": {"D": 2, "E": 2}, "C": {"E": 2, "F": 2}, "F": {"D": 2, "G": 1}}
LEAD_TIMES = {"A": 1, "B": 2, "C": 1, "D": 1, "E": 2, "F": 3, "G": 2}
ON_HAND = {"A": 10, "B": 15, "C": 20, "D": 10, "E": 10, "F": 5, "G": 0}


def level_by_level(on_hand, lead_times):
    """Each item's (gross total, releases by week), the demand for A being a job of 50 in week 8."""
    frames = [kit_frame("KIT", {"A": 1}), *(kit_frame(parent, needs) for parent, needs in KIT.items())]
    jobs, found = [kit_job("J-1", day_of(8), "KIT", chairs=50)], {}
    # An item is netted once all that take it are known: D and E have two parents each.
    for item in "ABCEFDG":
        shelf = stock(*(part(number, count) for number, count in on_hand.items()))
        week = planned(jobs, frames, shelf, period=Period(day_of(1), day_of(8)), today=ANCHOR, days=DAYS)
        result = part_of(week, item)
        releases: dict[int, Fraction] = defaultdict(Fraction)
        for each in result.at_risk:
            releases[period_of(DAYS.before(each.day, lead_times[item]))] += each.quantity
        found[item] = (result.needed, dict(releases))
        if item in KIT:
            jobs += [
                kit_job(f"{item}-{n}", day_of(n), item, chairs=int(each)) for n, each in releases.items()
            ]
    return found


def test_the_speaker_kit_gross():
    nothing, at_once = dict.fromkeys(ON_HAND, 0), dict.fromkeys(ON_HAND, 0)
    gross = {item: needed for item, (needed, _) in level_by_level(nothing, at_once).items()}
    assert gross == {"A": 50, "B": 100, "C": 150, "D": 800, "E": 500, "F": 300, "G": 300}


def test_the_speaker_kit_net_of_stock_by_week():
    assert {item: releases for item, (_, releases) in level_by_level(ON_HAND, LEAD_TIMES).items()} == {
        "A": {7: 40},
        "B": {5: 65},
        "C": {6: 100},
        "F": {3: 195},
        "E": {3: 120, 4: 200},
        "D": {2: 380, 4: 130},
        "G": {1: 195},
    }


# Stevenson, Operations Management, master scheduling, the industrial pumps: 64 at the start, lots of 70 in
# weeks 3, 5, 7 and 8, customer orders 33 20 10 4 2; the inputs were read. What is promised to no one is
# what was there and came in less what is ordered: 275 in all (an identity, no printed figure).


def test_what_is_not_promised_is_all_supply_less_all_orders():
    lots, orders = [0, 0, 70, 0, 70, 0, 70, 70], [33, 20, 10, 4, 2, 0, 0, 0]
    flow = Flow(Fraction(64), on_days(lots), {}, on_days(orders))
    for last in range(1, 9):
        found = net(flow, day_of(last), day_of(8))
        assert found.position == 275
        assert found.shortfall == 0
    assert net(flow, day_of(8), day_of(8)).end == 275
