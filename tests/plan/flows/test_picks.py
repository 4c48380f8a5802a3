"""Which bin a part comes from, and what a week takes of each part: every quantity from a bin that has it."""

from collections import Counter
from datetime import date
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from workshop import MON, THU, TUE, WED, due, kit_frame, kit_job, planned, stock

from reconcile.plan.flows.bins import ShelfBins, bins_of, free_in
from reconcile.plan.flows.picks import from_shelf, taken_from
from reconcile.values.problem import RowPlace
from reconcile.values.stock.parts import Bin, Part
from reconcile.values.week.picks import NO_BIN
from reconcile.values.week.results import SHORT
from reconcile.values.words import natural

PLACE = RowPlace("stock.xlsx", "Stock", 2)


def binned(number: str, *counts: tuple[str, int, int]) -> Part:
    """A part in bins of (name, on hand, allocated)."""
    bins = tuple(Bin(name, Fraction(hand), Fraction(held), PLACE) for name, hand, held in counts)
    return Part(number, bins=bins)


def free_in_bins(part: Part) -> list[tuple[str, Fraction]]:
    places = bins_of(part)
    return [(place.name, free) for place, free in zip(places, free_in(places), strict=True)]


def test_bins_sort_as_a_person_reads_them_and_none_comes_last():
    names = ["", "B-10", "a 2", "B-2", "10", "9"]
    assert sorted(names, key=natural) == ["9", "10", "a 2", "B-2", "B-10", ""]


def test_allocated_comes_off_its_own_bin_and_the_rest_off_the_last_bins():
    part = binned("P", ("A", 5, 2), ("B", 2, 5), ("C", 4, 0))
    assert free_in_bins(part) == [("A", 3), ("B", 0), ("C", 1)]
    assert sum(each for _, each in free_in_bins(part)) == part.on_hand - part.allocated


def test_rows_of_one_bin_are_one_bin():
    assert free_in_bins(binned("P", ("A", 5, 0), ("B", 1, 0), ("A", 3, 2))) == [("A", 6), ("B", 1)]


def test_the_first_bins_of_the_sheet_empty_first():
    shelf = ShelfBins(binned("P", ("A", 3, 0), ("B", 5, 0)))
    assert taken_from(shelf, Fraction(2)) == (("A", 2),)
    assert taken_from(shelf, Fraction(4)) == (("A", 1), ("B", 3))
    assert taken_from(shelf, Fraction(3)) == (("B", 2), (NO_BIN, 1))


def test_what_is_allocated_is_taken_last_and_only_by_what_is_gone_already():
    # 5 and 2 lie there, 3 and 0 of them promised: free are 2 and 2. Six gone: those, then two of the three.
    shelf = ShelfBins(binned("P", ("A", 5, 3), ("B", 2, 0)))
    assert shelf.take(Fraction(6)) == ({"A": 4, "B": 2}, 0)
    assert [(place.name, place.on_hand) for place in shelf.places] == [("A", 1), ("B", 0)]
    assert shelf.take(Fraction(3), "B") == ({}, 3)


def test_what_comes_in_is_free_once_what_was_promised_is_there():
    # 1 of 3 promised lies there: two of the five that come in make up for it, three are free.
    shelf = ShelfBins(binned("P", ("A", 1, 3)))
    shelf.put(shelf.places[0], Fraction(5))
    assert shelf.take_free(Fraction(9)) == ({"A": 3}, 6)


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
    picks = week.picks
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
