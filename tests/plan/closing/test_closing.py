"""Returns to movements: what a row means, and which bin it is taken from."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from workshop import part, stock

from reconcile.plan.closing.movements import close_week, counted, differences, openings
from reconcile.plan.closing.overuse import used_more
from reconcile.values.problem import RowPlace
from reconcile.values.stock.movements import PlannedUse
from reconcile.values.stock.parts import Bin, Due
from reconcile.values.stock.returns import Delivery, JobReturn, LineReturn, Returns

MON, TUE = date(2026, 11, 30), date(2026, 12, 1)
AT = RowPlace("returns.xlsx", "Lines", 2, {"used": "I", "returned": "J", "scrapped": "K", "planned": "H"})
SHEET = RowPlace("stock.xlsx", "Stock", 2, {"on hand": "C"})


def shelf(*bins: tuple[str, object, object]):
    """CLIP in bins of (name, on hand, allocated)."""
    held = tuple(Bin(name, Fraction(h), Fraction(a), SHEET) for name, h, a in bins)
    return stock(replace(part("CLIP"), bins=held), due=(Due("PO-1", "CLIP", Fraction(9), MON, SHEET),))


def job(number: str = "J-1", done: bool = True, day: date = MON) -> JobReturn:
    return JobReturn(number, "2026-W49", day, "ZB-1", done, "", AT)


def line(planned: object = 4, do: str = "fit", **given) -> LineReturn:
    figures = {
        name: None if given.get(name) is None else Fraction(given.pop(name))
        for name in ("used", "returned", "scrapped")
    }
    given = {name: value for name, value in given.items() if value is not None}
    plain = {"job": "J-1", "name": "clip", "bin": "", "reason": "", "key": "k", "place": AT, "part": "CLIP"}
    return LineReturn(do=do, planned=Fraction(planned), **(plain | figures | given))


ONE_JOB = (job(),)


def moves(*lines: LineReturn, jobs=ONE_JOB, shelves=None, deliveries=()) -> list[tuple]:
    closed = close_week(
        Returns(tuple(jobs), lines, tuple(deliveries)), shelves or shelf(("A", 9, 0)), "clerk"
    )
    assert not [each for each in closed.problems if each.severity == "error"], closed.problems
    return [(each.kind, each.bin, each.quantity) for each in closed.movements]


@pytest.mark.parametrize(
    ("row", "done", "movements"),
    [
        (line(4), True, [("issued", "A", -4)]),
        (line(4), False, []),
        (line(4, used=3), True, [("issued", "A", -3)]),
        (line(4, used=3), False, [("issued", "A", -3)]),
        (line(4, used=0), True, []),
        (line(4, scrapped=1), True, [("issued", "A", -4), ("scrapped", "A", -1)]),
        (line(4, scrapped=1), False, [("scrapped", "A", -1)]),
        (line(4, used=3, returned=1), True, [("issued", "A", -4), ("returned", "A", 1)]),
        (line(2, "remove"), True, [("returned", "A", 2)]),
        (line(2, "remove"), False, []),
        (line(2, "remove", returned=1), True, [("returned", "A", 1)]),
        (line(2, "remove", scrapped=1), True, [("returned", "A", 1), ("scrapped", "A", 0)]),
        (line(2, "remove", returned=0), True, []),
    ],
)
def test_what_a_row_means(row: LineReturn, done: bool, movements: list) -> None:
    other = line(0, job="J-2", used=0)
    assert moves(row, other, jobs=(job(done=done), job("J-2"))) == movements


@pytest.mark.parametrize(
    ("bins", "taken"),
    [
        ([("A", 9, 0), ("B", 9, 0)], [("A", -6)]),
        ([("A", 4, 0), ("B", 9, 0)], [("A", -4), ("B", -2)]),
        ([("A", 4, 3), ("B", 9, 0)], [("A", -1), ("B", -5)]),  # what is allocated stays
        ([("A", 4, 3), ("B", 3, 0)], [("A", -3), ("B", -3)]),  # unless nothing else is there
        ([("A", 1, 0), ("B", 2, 0)], [("A", -4), ("B", -2)]),  # what nobody has is owed by the first
    ],
)
def test_bins_are_emptied_in_the_order_of_the_sheet(bins: list, taken: list) -> None:
    found = moves(line(6), shelves=shelf(*bins))
    assert [(name, quantity) for _, name, quantity in found] == taken


def test_what_comes_in_is_there_for_what_is_taken_on_the_same_day() -> None:
    arrival = Delivery("PO-1", "CLIP", Fraction(9), MON, "", AT)
    found = moves(
        line(6), line(1, "remove"), shelves=shelf(("A", 0, 0)), deliveries=[arrival],
    )  # fmt: skip
    assert found == [("received", "A", 9), ("returned", "A", 1), ("issued", "A", -6)]


def test_work_is_gone_through_by_its_days() -> None:
    found = moves(
        line(3, job="J-2"), line(2),
        jobs=(job(), job("J-2", day=TUE)), shelves=shelf(("A", 2, 0), ("B", 9, 0)),
    )  # fmt: skip
    assert found == [("issued", "A", -2), ("issued", "B", -3)]


def test_a_named_bin_wins() -> None:
    assert moves(line(2, bin="B"), shelves=shelf(("A", 9, 0), ("B", 1, 0))) == [("issued", "B", -2)]


def test_usage_is_what_is_gone_by_job_and_part() -> None:
    closed = close_week(
        Returns((job(),), (line(4), line(1, scrapped=1), line(2, "remove"))), shelf(("A", 9, 0)), "clerk"
    )
    assert [(each.day, each.part, each.quantity, each.job) for each in closed.usage] == [
        (MON, "CLIP", 6, "J-1")
    ]


def test_orders_are_taken_off_only_as_far_as_they_go() -> None:
    arrivals = tuple(Delivery("PO-1", "CLIP", Fraction(n), MON, "", AT) for n in (5, 5))
    closed = close_week(Returns((job(),), (), arrivals), shelf(("A", 9, 0)), "clerk")
    assert [each.code for each in closed.problems] == ["order-not-listed"]
    assert closed.movements == ()


# --- sheet and ledger -------------------------------------------------------------------------------------


def test_differences_bin_by_bin() -> None:
    there = shelf(("A", 9, 0), ("B", 2, 0), ("C", 0, 0))
    balances = {("CLIP", "A"): Fraction(9), ("CLIP", "B"): Fraction(3), ("CLIP", "D"): Fraction(1)}
    found = differences(there, balances, {"CLIP": "each"}, "stock.xlsx")
    assert [(each.bin, each.quantity, str(each.source)) for each in found] == [
        ("B", -1, "stock.xlsx!Stock!C2"),
        ("D", -1, "stock.xlsx"),
    ]
    assert [(each.kind, each.quantity) for each in counted(found, MON, "clerk")] == [("counted", -1)] * 2
    assert openings(there, balances, MON, "clerk") == []


def test_openings_are_of_parts_that_the_ledger_never_heard_of() -> None:
    found = openings(shelf(("A", 9, 0), ("B", 2, 0)), {("NUT", "A"): Fraction(1)}, MON, "clerk")
    assert [(each.part, each.bin, each.quantity, each.kind) for each in found] == [
        ("CLIP", "A", 9, "opening"),
        ("CLIP", "B", 2, "opening"),
    ]


# --- planned against used ---------------------------------------------------------------------------------


def used(week: str, planned: object, was: object, key: str = "joint[1].bolts", **given):
    plain = {"part": "B-1", "unit": "each", "reason": ""}
    return week, PlannedUse(
        "J-1", MON, "ZB-1", key, "front", planned=Fraction(planned), used=Fraction(was), **(plain | given)
    )


def test_a_line_that_uses_more_in_its_last_weeks() -> None:
    weeks = [used("W1", 4, 4), used("W2", 4, 5), used("W3", 4, 4, "other"), used("W4", 2, 3, reason="strips")]
    (found,) = used_more(weeks)
    assert (found.frame, found.key, found.more, found.reasons) == ("ZB-1", "joint[1].bolts", 2, ("strips",))
    assert [(each.week, each.planned, each.used) for each in found.weeks] == [("W2", 4, 5), ("W4", 2, 3)]


@pytest.mark.parametrize(
    "weeks",
    [
        [used("W1", 4, 5)],
        [used("W1", 4, 5), used("W2", 4, 4)],
        [used("W1", 4, 5), used("W2", 4, 3)],
        [used("W1", 4, 5), used("W1", 4, 3), used("W2", 4, 5)],  # more here, less there: as planned
        [used("W1", 4, 5, ""), used("W2", 4, 5, "")],  # added by hand: no frame asks for it
        [used("W1", 4, 5), used("W2", 4, 5, unit="mL")],
    ],
)
def test_what_is_no_habit(weeks: list) -> None:
    assert used_more(weeks) == []


def test_whoever_did_the_work_and_whichever_part_served() -> None:
    weeks = [used("W1", 4, 5), used("W2", 4, 6, part="B-2")]
    (found,) = used_more(weeks)
    assert found.parts == ("B-1", "B-2")
