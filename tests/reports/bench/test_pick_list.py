"""The pick list: every part once, from bins that hold it, split so that nothing is taken from a later day."""

from fractions import Fraction

import weeks
from workshop import MON, THU, TUE, WED, due, kit_frame, kit_job, planned, stock

from reconcile.reports.bench.pick_list import (
    bins_text,
    later_text,
    pick_table,
)
from reconcile.values.problem import RowPlace
from reconcile.values.stock.parts import Bin, Part
from reconcile.values.week.results import SHORT

PLACE = RowPlace("stock.xlsx", "Stock", 2)


def binned(number: str, *counts: tuple[str, int, int]) -> Part:
    """A part in bins of (name, on hand, allocated)."""
    bins = tuple(Bin(name, Fraction(hand), Fraction(held), PLACE) for name, hand, held in counts)
    return Part(number, bins=bins)


def test_what_must_stay_for_later_days_is_said_with_its_jobs():
    frame = kit_frame("F", {"P": 2})
    jobs = [kit_job("J-1", MON, "F"), kit_job("J-2", THU, "F"), kit_job("J-3", THU, "F")]
    (pick,) = planned(jobs, [frame], stock(binned("P", ("B-2", 9, 0)))).picks
    assert (pick.part.number, pick.quantity, pick.first_bin) == ("P", 6, "B-2")
    assert [later_text(day, "each") for day in pick.days] == [
        "leave 4: 4 on Thu 2026-12-03 for J-2, J-3",
        "",
    ]


def test_what_is_still_on_order_is_not_taken_but_said():
    frame = kit_frame("F", {"P": 2})
    jobs = [kit_job("J-1", MON, "F"), kit_job("J-2", WED, "F")]
    week = planned(jobs, [frame], stock(binned("P", ("A", 3, 0)), due=(due("P", 5, TUE),)))
    (pick,) = week.picks
    assert pick.quantity == 3
    assert [(job, each.quantity, each.day) for job, each in pick.awaited] == [("J-2", 1, TUE)]
    (first, second) = pick_table(week).rows()
    assert first == (
        "A", "P", "", 3, "each", "A", MON, "J-1", 2, "",
        "leave 1: 1 on Wed 2026-12-02 for J-2", "1 for J-2: order PO-1, Tue 2026-12-01", "",
    )  # fmt: skip
    assert second[:3] == ("A", "P", "")
    assert second[6:9] == (WED, "J-2", 1)


def test_a_part_that_is_all_to_come_has_a_row_without_a_take():
    week = planned(
        [kit_job("J-1", WED, "F")], [kit_frame("F", {"P": 1})],
        stock(binned("P", ("A", 0, 0)), due=(due("P", 5, TUE),)),
    )  # fmt: skip
    ((row),) = pick_table(week).rows()
    assert (row[0], row[3], row[-2]) == ("no bin given", 0, "1 for J-1: order PO-1, Tue 2026-12-01")


def test_a_job_without_a_kit_takes_nothing():
    week = planned([kit_job("J-1", MON, "F")], [kit_frame("F", {"P": 2})], stock(binned("P", ("A", 1, 0))))
    assert [each.kit for each in week.jobs] == [SHORT]
    assert week.picks == ()
    assert pick_table(week).notes == ("No job has a kit; there is nothing to take.",)


def test_several_bins_are_named_with_what_each_gives():
    assert bins_text((("A1", Fraction(3)),)) == "A1"
    assert bins_text((("A1", Fraction(3)), ("A2", Fraction(1)))) == "A1: 3, A2: 1"
    assert bins_text((("", Fraction(1, 10)),), "mL") == "no bin given"


def test_a_hand_made_week_picks_each_part_once_from_its_bins():
    picks = weeks.week().picks
    numbers = [each.part.number for each in picks]
    assert len(set(numbers)) == len(numbers)
    assert [each.first_bin for each in picks] == ["A3", "A4", "C1", "F2"]
    assert {each.part.number: each.quantity for each in picks}["B-14-300"] == 2
