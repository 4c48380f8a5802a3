"""The pick list: every part once, from bins that hold it, split so that nothing is taken from a later day."""

from collections import Counter
from datetime import date
from fractions import Fraction

import weeks
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop import MON, THU, TUE, WED, due, kit_frame, kit_job, planned, stock

from reconcile.reports.bench.pick_list import (
    NO_BIN,
    Shelf,
    bins_text,
    free_in_bins,
    from_shelf,
    later_text,
    natural,
    pick_list,
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


def test_bins_sort_as_a_person_reads_them_and_none_comes_last():
    names = ["", "B-10", "a 2", "B-2", "10", "9"]
    assert sorted(names, key=natural) == ["9", "10", "a 2", "B-2", "B-10", ""]


def test_allocated_comes_off_its_own_bin_and_the_rest_off_the_last_bins():
    part = binned("P", ("A", 5, 2), ("B", 2, 5), ("C", 4, 0))
    assert free_in_bins(part) == [("A", 3), ("B", 0), ("C", 1)]
    assert sum(each for _, each in free_in_bins(part)) == part.on_hand - part.allocated


def test_the_first_bins_of_the_sheet_empty_first():
    shelf = Shelf(binned("P", ("A", 3, 0), ("B", 5, 0)))
    assert shelf.take(Fraction(2)) == (("A", 2),)
    assert shelf.take(Fraction(4)) == (("A", 1), ("B", 3))
    assert shelf.take(Fraction(3)) == (("B", 2), (NO_BIN, 1))


def test_what_must_stay_for_later_days_is_said_with_its_jobs():
    frame = kit_frame("F", {"P": 2})
    jobs = [kit_job("J-1", MON, "F"), kit_job("J-2", THU, "F"), kit_job("J-3", THU, "F")]
    (pick,) = pick_list(planned(jobs, [frame], stock(binned("P", ("B-2", 9, 0)))))
    assert (pick.part.number, pick.quantity, pick.first_bin) == ("P", 6, "B-2")
    assert [later_text(day, "each") for day in pick.days] == [
        "leave 4: 4 on Thu 2026-12-03 for J-2, J-3",
        "",
    ]


def test_what_is_still_on_order_is_not_taken_but_said():
    frame = kit_frame("F", {"P": 2})
    jobs = [kit_job("J-1", MON, "F"), kit_job("J-2", WED, "F")]
    week = planned(jobs, [frame], stock(binned("P", ("A", 3, 0)), due=(due("P", 5, TUE),)))
    (pick,) = pick_list(week)
    assert pick.quantity == 3
    assert [(job, each.quantity, each.day) for job, each in pick.awaited] == [("J-2", 1, TUE)]
    (first, second) = pick_table(week).rows()
    assert first == (
        "A", "P", "", 3, "each", "A", MON, "J-1", 2, "",
        "leave 1: 1 on Wed 2026-12-02 for J-2", "1 for J-2: order PO-1, Tue 2026-12-01",
    )  # fmt: skip
    assert second[:3] == ("A", "P", "")
    assert second[6:9] == (WED, "J-2", 1)


def test_a_part_that_is_all_to_come_has_a_row_without_a_take():
    week = planned(
        [kit_job("J-1", WED, "F")], [kit_frame("F", {"P": 1})],
        stock(binned("P", ("A", 0, 0)), due=(due("P", 5, TUE),)),
    )  # fmt: skip
    ((row),) = pick_table(week).rows()
    assert (row[0], row[3], row[-1]) == ("no bin given", 0, "1 for J-1: order PO-1, Tue 2026-12-01")


def test_a_job_without_a_kit_takes_nothing():
    week = planned([kit_job("J-1", MON, "F")], [kit_frame("F", {"P": 2})], stock(binned("P", ("A", 1, 0))))
    assert [each.kit for each in week.jobs] == [SHORT]
    assert pick_list(week) == []
    assert pick_table(week).notes == ("No job has a kit; there is nothing to take.",)


def test_several_bins_are_named_with_what_each_gives():
    assert bins_text((("A1", Fraction(3)),)) == "A1"
    assert bins_text((("A1", Fraction(3)), ("A2", Fraction(1)))) == "A1: 3, A2: 1"
    assert bins_text((("", Fraction(1, 10)),), "mL") == "no bin given"


def test_a_hand_made_week_picks_each_part_once_from_its_bins():
    picks = pick_list(weeks.week())
    numbers = [each.part.number for each in picks]
    assert len(set(numbers)) == len(numbers)
    assert [each.first_bin for each in picks] == ["A3", "A4", "C1", "F2"]
    assert {each.part.number: each.quantity for each in picks}["B-14-300"] == 2


QUANTITIES = st.integers(0, 6)
DAYS = st.sampled_from([MON, TUE, WED, THU])
PARTS = ("P", "Q")
BINS = st.lists(st.tuples(QUANTITIES, st.integers(0, 3)), max_size=3)
TAKES = st.fixed_dictionaries({}, optional={part: st.integers(1, 4) for part in PARTS}).filter(bool)


@given(
    bins=st.fixed_dictionaries(dict.fromkeys(PARTS, BINS)),
    frames=st.lists(TAKES, min_size=1, max_size=3),
    jobs=st.lists(st.tuples(DAYS, st.integers(0, 2), st.integers(1, 2)), min_size=1, max_size=6),
    orders=st.lists(st.tuples(st.sampled_from(PARTS), st.integers(1, 4), DAYS), max_size=3),
)
@settings(max_examples=40)
def test_what_is_picked_and_awaited_is_what_the_jobs_take_and_no_bin_gives_more_than_it_has(
    bins, frames, jobs, orders
):
    shelf = stock(
        *(binned(part, *((f"{part}{n}", *each) for n, each in enumerate(bins[part]))) for part in PARTS),
        due=tuple(due(part, count, day) for part, count, day in orders),
    )
    made = [kit_frame(f"F{n}", takes) for n, takes in enumerate(frames)]
    week = planned(
        [
            kit_job(f"J-{n}", day, f"F{kind % len(made)}", chairs=chairs)
            for n, (day, kind, chairs) in enumerate(jobs, 1)
        ],
        made,
        shelf,
    )
    picks = pick_list(week)
    chosen = [each for each in week.jobs if each.kit != SHORT]
    taken: Counter[tuple[str, str]] = Counter()
    for result in chosen:
        for number, quantity in from_shelf(result).items():
            taken[result.job.number, number] += quantity
    listed: Counter[tuple[str, str]] = Counter()
    for pick in picks:
        for each in (job for day in pick.days for job in day.jobs):
            listed[each.job, pick.part.number] += each.quantity
    assert listed == taken
    for part in PARTS:
        needs = sum(
            count for r in chosen for line in r.lines for number, count in line.parts if number == part
        )
        own = [each for each in picks if each.part.number == part]
        found = sum(each.quantity + sum(a.quantity for _, a in each.awaited) for each in own)
        assert found == needs
        free = dict(free_in_bins(shelf.parts[part]))
        for name, quantity in (each for pick in own for each in pick.bins):
            assert quantity <= free[name]
    assert all(day.day < later.day for pick in picks for day in pick.days for later in day.later)
    assert all(isinstance(day.day, date) for pick in picks for day in pick.days)
