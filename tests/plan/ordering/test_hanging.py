"""Which jobs take from which line: worked by hand."""

from datetime import date
from fractions import Fraction

from workshop import FRI, MON, THU, TUE, WED, due, kit_frame, kit_job, part, planned, stock

from reconcile.plan.ordering.hanging import deliveries, order_list
from reconcile.values.orders.lines import OVERDUE, PLACED, UNPLACED
from reconcile.values.orders.written import WrittenLine, WrittenOrder
from reconcile.values.problem import Place


def hanging(week) -> list[list[tuple]]:
    """Per row of the sheet: job, quantity, whether it is late, whether an order today is in time."""
    return [
        [(each.job, each.quantity, each.late, each.orderable) for each in row.hanging]
        for row in deliveries(week)
    ]


FRAME = kit_frame("F4", {"A": 4})


def test_jobs_take_from_deliveries_that_are_in_time_in_order_of_day() -> None:
    shelf = stock(part("A", 2), due=(due("A", 5, TUE, "PO-1"), due("A", 9, WED, "PO-2")))
    jobs = [kit_job(f"J-{n}", day, "F4") for n, day in ((1, TUE), (2, WED), (3, THU))]
    # J-1: 2 from the shelf, 2 of PO-1. J-2: the 3 left of PO-1, 1 of PO-2. J-3: 4 of PO-2.
    assert hanging(planned(jobs, [FRAME], shelf)) == [
        [("J-1", 2, False, False), ("J-2", 3, False, False)],
        [("J-2", 1, False, False), ("J-3", 4, False, False)],
    ]


def test_what_is_left_of_a_delivery_goes_to_jobs_that_it_comes_too_late_for() -> None:
    shelf = stock(part("A", 0), due=(due("A", 10, THU, "PO-1"),))
    jobs = [kit_job("J-1", TUE, "F4"), kit_job("J-2", FRI, "F4"), kit_job("J-3", WED, "F4")]
    # J-2 is served in time and keeps its 4; of the 6 left J-1 gets 4 and J-3 2: no unit is given twice.
    assert hanging(planned(jobs, [FRAME], shelf)) == [
        [("J-1", 4, True, False), ("J-3", 2, True, False), ("J-2", 4, False, False)]
    ]


def test_a_job_that_can_still_be_ordered_for_says_so() -> None:
    shelf = stock(part("A", 0, lead_time=2), due=(due("A", 10, FRI, "PO-1"),))
    jobs = [kit_job("J-1", MON, "F4"), kit_job("J-2", WED, "F4")]
    # Ordered on Friday before, it is there on Tuesday: too late for Monday, in time for Wednesday.
    assert hanging(planned(jobs, [FRAME], shelf)) == [[("J-1", 4, True, False), ("J-2", 4, True, True)]]


def test_no_delivery_is_given_to_more_than_it_holds() -> None:
    shelf = stock(part("A", 0), due=(due("A", 3, THU, "PO-1"), due("A", 2, FRI, "PO-2")))
    jobs = [kit_job(f"J-{n}", TUE, "F4") for n in range(1, 5)]
    rows = deliveries(planned(jobs, [FRAME], shelf))
    assert [sum(each.quantity for each in row.hanging) for row in rows] == [3, 2]


def test_the_list_has_what_is_at_stake_first() -> None:
    shelf = stock(
        part("A", 0), part("B", 0), part("C", 0),
        due=(due("B", 5, THU, "PO-B"), due("A", 5, FRI, "PO-A"), due("C", 5, FRI, "PO-C")),
    )  # fmt: skip
    frames = [kit_frame("FA", {"A": 1}), kit_frame("FC", {"C": 1})]
    week = planned([kit_job("J-1", FRI, "FA"), kit_job("J-2", TUE, "FC", chairs=2)], frames, shelf)
    order = WrittenOrder(
        "W-1", "NORD", "EUR", MON, "2026-W49", (WrittenLine("1", "D", Fraction(2), "each"),), (), Place("o")
    )
    found = order_list(week, {}, [order])
    assert [(each.order, each.standing, each.days_between) for each in found.lines] == [
        ("PO-C", PLACED, 3),
        ("PO-A", PLACED, 0),
        ("W-1", UNPLACED, None),
        ("PO-B", PLACED, None),
    ]


def test_a_line_whose_day_has_passed_is_overdue() -> None:
    from dataclasses import replace

    late = replace(due("A", 5, MON, "PO-A"), said=date(2026, 11, 20))
    week = planned([], [], stock(part("A", 0), due=(late,)))
    (line,) = order_list(week, {}).lines
    assert (line.standing, line.due, line.said) == (OVERDUE, MON, date(2026, 11, 20))
