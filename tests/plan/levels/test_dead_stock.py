"""Dead and dear: what lies idle, what lies too high, and what everything hangs on."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from weekly_use import FIVE_DAYS, TODAY, levelled, shop, use
from workshop import part, stock

from reconcile.plan.levels.dead_stock import dead_and_dear, single_points
from reconcile.plan.levels.proposals import propose

F = Fraction
A_YEAR_AGO = TODAY - timedelta(days=365)


def shelf(*parts, usage=()):
    return replace(stock(*parts), usage=tuple(usage))


def idle_of(*parts, usage=()):
    return [
        (each.part.number, each.last_used, each.value)
        for each in dead_and_dear(shelf(*parts, usage=usage), TODAY).idle
    ]


def test_stock_not_used_for_a_year_is_idle_with_its_value():
    old = A_YEAR_AGO - timedelta(days=1)
    parts = [part("OLD", 4, price="2.50", currency="EUR"), part("YEAR", 4, price="2.50", currency="EUR")]
    assert idle_of(*parts, usage=[use("OLD", old), use("YEAR", A_YEAR_AGO)]) == [
        ("OLD", old, Decimal("10.00"))
    ]


def test_the_last_use_counts_in_whatever_order_the_rows_stand():
    days = [date(2025, 3, 1), date(2025, 6, 1), date(2025, 1, 1)]
    assert idle_of(part("A", 1), usage=[use("A", day) for day in days]) == [("A", date(2025, 6, 1), None)]


def test_stock_that_no_usage_names_is_idle_and_what_is_not_there_is_not():
    assert idle_of(part("NEVER", 1), part("NONE", 0), part("OWED", -2)) == [("NEVER", None, None)]


def test_the_dearest_come_first_and_those_without_a_price_last():
    parts = [
        part("CHEAP", 10, price="0.10", currency="EUR"),
        part("UNKNOWN", 10),
        part("DEAR", 1, price="90", currency="EUR"),
        part("ALSO-CHEAP", 10, price="0.10", currency="EUR"),
    ]
    assert [number for number, _, _ in idle_of(*parts)] == ["DEAR", "ALSO-CHEAP", "CHEAP", "UNKNOWN"]


def test_how_far_back_the_sheet_reaches_is_said():
    found = dead_and_dear(
        shelf(part("A", 1), usage=[use("B", date(2026, 6, 1)), use("B", date(2026, 8, 1))]), TODAY
    )
    assert (found.since, found.covered_from) == (A_YEAR_AGO, date(2026, 6, 1))
    assert dead_and_dear(shelf(part("A", 1)), TODAY).covered_from is None


# --- above the levels


def above_of(*parts, levels=()):
    return [
        (each.part.number, each.excess, each.value)
        for each in dead_and_dear(shelf(*parts), TODAY, levels).above
    ]


def test_free_stock_above_order_up_to_is_excess():
    full = part("FULL", 12, 2, order_up_to=F(6), price="1.5", currency="EUR")
    assert above_of(full, part("NO-LEVEL", 99)) == [("FULL", 4, Decimal("6.00"))]
    assert above_of(part("EVEN", 6, order_up_to=F(6))) == []


def test_what_the_last_pack_brought_is_no_excess():
    packs = part("P", 15, order_up_to=F(6), pack=F(10))
    assert above_of(packs) == []
    assert above_of(replace(packs, pack=F(9))) == [("P", 9, None)]


def test_a_proposal_is_held_against_instead_of_the_given_level():
    own = levelled("A", on_hand=600, order_up_to=F(700), reorder_point=F(690))
    (proposal,) = propose(shop((own, [0, 1, 0, 2] * 13)), TODAY, FIVE_DAYS)
    assert above_of(own) == []
    ((number, excess, _),) = above_of(own, levels=[proposal])
    assert (number, excess) == ("A", 600 - proposal.proposed.order_up_to)


# --- single points of failure


def points_of(*parts, usage):
    return [(each.part.number, each.jobs, each.of_jobs) for each in single_points(shelf(*parts, usage=usage))]


def used_by(number, *jobs):
    return [use(number, TODAY, 1, job) for job in jobs]


def test_one_supplier_a_long_lead_time_and_every_job():
    ten = [f"J-{each}" for each in range(10)]
    parts = [
        part("ALL", supplier="NORTH", lead_time=10),
        part("NINE", supplier="NORTH", lead_time=25),
        part("EIGHT", supplier="NORTH", lead_time=25),
        part("QUICK", supplier="NORTH", lead_time=9),
        part("UNKNOWN", supplier="NORTH"),
        part("NOBODY", lead_time=30),
    ]
    usage = used_by("NINE", *ten[:9]) + used_by("EIGHT", *ten[:8])
    for number in ("ALL", "QUICK", "UNKNOWN", "NOBODY"):
        usage += used_by(number, *ten)
    assert points_of(*parts, usage=usage) == [("ALL", 10, 10), ("NINE", 9, 10)]


def test_a_job_counts_once_however_it_is_written_and_use_without_a_job_does_not():
    usage = [*used_by("A", "J-1", "j-1 ", "J-1"), *used_by("B", "J-2"), use("A", TODAY), use("A", TODAY)]
    assert points_of(part("A", supplier="N", lead_time=20), usage=usage) == []
    assert points_of(part("A", supplier="N", lead_time=20), usage=usage[:3]) == [("A", 1, 1)]


def test_without_jobs_nothing_hangs_on_anything():
    assert points_of(part("A", supplier="N", lead_time=20), usage=[use("A", TODAY)]) == []
