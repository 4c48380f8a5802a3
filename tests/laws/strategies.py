"""Weeks for the laws: a handful of jobs on a few frames, a shelf that is too small for them all."""

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from hypothesis import settings
from hypothesis import strategies as st
from workshop import (
    FRI,
    MON,
    THU,
    TUE,
    WED,
    WEEK_49,
    days_off,
    due,
    frame,
    inch,
    job,
    joint,
    kit_frame,
    kit_job,
    part,
    planned,
    screw,
    seat_width,
    spacer_kinds,
    stock,
    window,
)

from reconcile.values.frames.frame import Cover, CoverRange, Extra, Frame
from reconcile.values.measure import Amount
from reconcile.values.stock.parts import Due, Part
from reconcile.values.week.jobs import Job
from reconcile.values.week.results import Week

FEW = settings(max_examples=50, derandomize=True)
"""Few examples, always the same ones: a law that breaks must break for everybody."""
MORE = settings(FEW, max_examples=200)
"""For a law that seldom meets the weeks in which it could break."""

SEAT = seat_width(
    joint(
        **window("3/8", "5/8"), bolts=2, stacks=1, reuse=True, spacer_reuse=True,
        spacers=spacer_kinds(SP_050="1/2", SP_100="1"),
        extras=(Extra("TL-MED", Amount(Fraction("0.1"), "mL")),),
    ),
    covers=(Cover("cover plate", (CoverRange(0, 2, "CP-2"), CoverRange(3, 6, "CP-6")), reuse=True),),
)  # fmt: skip

FRAMES: tuple[Frame, ...] = (
    frame(SEAT),
    kit_frame("F1", {"A": 1}),
    kit_frame("F2", {"A": 2, "B": 1}),
    kit_frame("F3", {"B": "1/3"}, ("A",)),
    kit_frame("F4", {"C": 1}, ("B", "C")),
)

PART_NUMBERS = ("A", "B", "C", "SP-050", "SP-100", "CP-2", "CP-6", "TL-MED")
SCREWS = {"B-150": "1 1/2", "B-162": "1 5/8", "B-200": "2", "B-250": "2 1/2"}
DAYS = (MON, TUE, WED, THU, FRI)
DUE_DAYS = (*DAYS, date(2026, 12, 7), date(2026, 12, 9))


COUNTS = ((0, 0), (1, 0), (2, 0), (2, 1), (4, 0), (9, 0), (Fraction(1, 3), 0), (1, 3), (9, 3))
"""On hand and allocated."""
BUYING = (
    {},
    {"lead_time": 0, "pack": 5},
    {"lead_time": 2, "safety_stock": 3},
    {"lead_time": 6, "pack": 5, "safety_stock": 3, "minimum_order": 7},
)


@dataclass(frozen=True)
class Case:
    """What a week is planned from, with its rows as they stand in the sheets."""

    jobs: tuple[Job, ...]
    parts: tuple[Part, ...]
    dues: tuple[Due, ...]
    settings: dict

    def week(self, frames: tuple[Frame, ...] = FRAMES, **asked) -> Week:
        return planned(self.jobs, frames, stock(*self.parts, due=self.dues), **(self.settings | asked))

    def but(self, **changes) -> "Case":
        return replace(self, **changes)


@st.composite
def jobs_on(draw, row: int) -> Job:
    """A job in a row of the sheet, on any frame."""
    given_by = {
        "row": row,
        "priority": draw(st.integers(1, 3)),
        "chairs": draw(st.integers(1, 2)),
    }
    day, code = draw(st.sampled_from(DAYS)), draw(st.sampled_from(["NQ-T1", "F1", "F2", "F3", "F4"]))
    if code != "NQ-T1":
        return kit_job(f"J-{row}", day, code, **given_by)
    steps = st.integers(0, 12)
    low, step = inch("14"), inch("1/2")
    sizes = {"size_from": low + draw(steps) * step, "size_to": low + draw(steps) * step}
    return job(f"J-{row}", day, **sizes, **given_by)


@st.composite
def stock_parts(draw) -> tuple[Part, ...]:
    """Every part in the rows from 2 on, some with more allocated than there is, some with levels."""
    found = []
    for row, number in enumerate((*PART_NUMBERS, *SCREWS), 2):
        on_hand, allocated = draw(st.sampled_from(COUNTS))
        given_by = {"row": row, **draw(st.sampled_from(BUYING))}
        made = screw(number, SCREWS[number], **given_by) if number in SCREWS else part(number, **given_by)
        found.append(replace(made, bins=part("", on_hand, allocated).bins))
    return tuple(found)


@st.composite
def cases(draw, most_jobs: int = 7) -> Case:
    """A week of up to seven jobs with a scanty shelf and a few parts on order."""
    count = draw(st.integers(1, most_jobs))
    orders = draw(
        st.lists(
            st.tuples(
                st.sampled_from((*PART_NUMBERS, *SCREWS)), st.integers(1, 4), st.sampled_from(DUE_DAYS)
            ),
            max_size=4,
        )
    )
    return Case(
        jobs=tuple(draw(jobs_on(row)) for row in range(2, 2 + count)),
        parts=draw(stock_parts()),
        dues=tuple(due(*each, order=f"PO-{n}") for n, each in enumerate(orders, 1)),
        settings={
            "inspection_days": draw(st.integers(1, 2)),
            "use_recovered": draw(st.booleans()),
            "days": days_off(*draw(st.sets(st.sampled_from(DAYS), max_size=1))),
            "period": WEEK_49,
        },
    )


# What of a week may be compared, whatever the order of its rows.


def jobs_told(week: Week) -> dict[str, tuple]:
    """All that is said of each job, by its number."""
    return {
        each.job.number: (
            each.kit,
            each.steps,
            each.lines,
            each.missing,
            each.awaited,
            each.earliest,
            each.order_by,
            each.notices,
        )
        for each in (*week.jobs, *week.others)
    }


def parts_told(week: Week) -> dict[str, tuple]:
    """All that is said of each part, by its number; how its stock lies in bins is left out."""
    return {
        each.part.number: (
            each.on_order, each.needed, each.recovered, each.shortfall, each.first_short, each.end,
            each.position, each.reach, each.needed_later, each.beyond, each.want, each.order, each.packs,
            each.required_by, each.order_by, each.late, each.jobs, each.at_risk, each.days,
        )
        for each in week.parts
    }  # fmt: skip
