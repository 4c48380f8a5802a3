"""What may change nothing: the order of rows, how stock lies in bins, the unit, jobs of another kind."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import DAYS, FEW, FRAMES, cases, jobs_told, parts_told
from workshop import (
    AS_OF,
    MON,
    QUARTER_UNC,
    bins,
    inch,
    inputs_of,
    job,
    kit_frame,
    kit_job,
    part,
    planned,
    stock,
)

from reconcile.plan.needs.demands import Planner
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.frames.files import read_frame
from reconcile.values.measure import length_text
from reconcile.values.stock.parts import Bolt
from reconcile.week import plan_week


@pytest.mark.slow
@FEW
@given(cases(), st.data())
def test_the_order_of_jobs_of_stock_and_of_orders_changes_nothing(case, data):
    # Rows keep their numbers: ties are broken by them, as everyone can see on the sheet.
    shuffled = case.but(
        jobs=tuple(data.draw(st.permutations(case.jobs))),
        parts=tuple(data.draw(st.permutations(case.parts))),
        dues=tuple(data.draw(st.permutations(case.dues))),
    )
    before, after = case.week(), shuffled.week()
    assert jobs_told(after) == jobs_told(before)
    assert parts_told(after) == parts_told(before)
    assert sorted(map(str, after.problems)) == sorted(map(str, before.problems))
    assert [each.job.number for each in after.jobs] == [each.number for each in shuffled.jobs]


def in_bins(draw, one_part):
    """The part's stock dealt out at random to three bins, on hand and allocated each for itself."""
    share = st.fractions(0, 1, max_denominator=4)
    first, second = draw(share), draw(share)

    def dealt(whole):
        rest = whole - whole * first
        return (whole * first, rest * second, rest - rest * second)

    pairs = zip(dealt(one_part.on_hand), reversed(dealt(one_part.allocated)), strict=True)
    return replace(one_part, bins=bins(*pairs))


@pytest.mark.slow
@FEW
@given(cases(), st.data())
def test_how_stock_lies_in_bins_changes_nothing(case, data):
    split = case.but(parts=tuple(in_bins(data.draw, each) for each in case.parts))
    before, after = case.week(), split.week()
    assert (jobs_told(after), parts_told(after)) == (jobs_told(before), parts_told(before))
    assert after.problems == before.problems


@pytest.mark.slow
@FEW
@given(cases(), st.sampled_from(DAYS), st.integers(1, 3), st.integers(0, 9))
def test_a_job_that_shares_no_part_changes_nothing_for_the_others(case, day, priority, on_hand):
    frames = (*FRAMES, kit_frame("Z", {"Z-1": 2}, ("Z-2",)))
    more = case.but(
        jobs=(kit_job("Z-1", day, "Z", row=1, priority=priority), *case.jobs),
        parts=(*case.parts, part("Z-1", on_hand, row=90), part("Z-2", row=91)),
    )
    before, after = case.week(), more.week(frames)
    told = jobs_told(after)
    assert told.pop("Z-1")[0] == ("complete" if on_hand >= 2 else "short")
    assert told == jobs_told(before)
    assert {number: each for number, each in parts_told(after).items() if number[0] != "Z"} == parts_told(
        before
    )


# Inches or millimetres.

SEAT_FILE = """
code = "U-1"
name = "Frame in either unit"
source = "build sheet 1"

[[adjustment]]
name = "seat width"
minimum = "{minimum}"
maximum = "{maximum}"
step = "{step}"

[[adjustment.joint]]
name = "upper front"
bolts = 2
thread = "1/4-20 UNC"
head = "socket cap"
length = "{length}"
lengthen = [{{ option = "rigging", by = "{by}" }}]
grip = "{grip}"
engagement = {{ minimum = "{least}", maximum = "{most}" }}
spacers = [{{ part = "SP-1", thickness = "{step}" }}, {{ part = "SP-2", thickness = "{double}" }}]
reuse = "after inspection"
spacer_reuse = "after inspection"
"""


def frame_in(unit, sizes):
    """The frame with every length written in one unit, read from its file."""
    text = SEAT_FILE.format(**{key: length_text(mm, unit) for key, mm in sizes.items()})
    with TemporaryDirectory() as folder:
        path = Path(folder) / "frame.toml"
        path.write_text(text, encoding="utf-8")
        frame, _, problems = read_frame(path)
    assert problems == ()
    assert frame.unit == unit
    return frame


def written_and_read(mm, unit):
    """A length as a person types it in that unit, read from the sheet."""
    return read_length(length_text(mm, unit), None)[0]


@st.composite
def seat_sizes(draw):
    eighths = {"minimum": (80, 160), "step": (2, 8), "length": (8, 20), "by": (1, 4)}
    sizes = {key: inch("1/8") * draw(st.integers(*ends)) for key, ends in eighths.items()}
    # The joint's own bolt must lie in its window: 3/8 in of thread, with 1/8 in to either side.
    return sizes | {
        "maximum": sizes["minimum"] + 8 * sizes["step"],
        "grip": sizes["length"] - inch("3/8"),
        "least": inch("1/4"),
        "most": inch("1/2"),
        "double": 2 * sizes["step"],
    }


@pytest.mark.slow
@FEW
@given(
    seat_sizes(), st.integers(0, 8), st.integers(0, 8), st.sampled_from([(), ("rigging",)]), st.integers(0, 3)
)
def test_inches_and_millimetres_give_the_same_parts(sizes, now, wanted, options, on_hand):
    low, step = sizes["minimum"], sizes["step"]
    told = []
    for unit in ("in", "mm"):
        one = job(
            "J-1",
            MON,
            frame="U-1",
            options=options,
            size_from=written_and_read(low + now * step, unit),
            size_to=written_and_read(low + wanted * step, unit),
        )
        screws = (
            part(f"B-{n}", on_hand, bolt=Bolt(QUARTER_UNC, length, "socket cap", thread_length=length))
            for n in range(12)
            for length in [written_and_read(sizes["length"] + n * inch("1/8"), unit)]
        )
        week = planned([one], [frame_in(unit, sizes)], stock(*screws, part("SP-1", 1), part("SP-2", 1)))
        lengths = [
            (line.line.what, line.line.length, line.parts, line.substitute) for line in week.jobs[0].lines
        ]
        told.append((week.jobs[0].kit, week.jobs[0].steps, lengths, parts_told(week)))
    assert told[0] == told[1]


# Equal jobs.


@pytest.mark.slow
@FEW
@given(cases(), st.integers(1, 4), st.integers(1, 3))
def test_equal_jobs_exploded_once_are_equal_jobs_exploded_singly(case, copies, chairs):
    jobs = tuple(
        replace(each, number=f"{each.number}-{n}", chairs=1 + n % chairs, day=DAYS[n % 5])
        for each in case.jobs
        for n in range(copies)
    )
    shelf = stock(*case.parts, due=case.dues)
    given_in = inputs_of(jobs, FRAMES, shelf, **case.settings)
    found = list(Planner(given_in).planned(jobs))
    assert [each.job for each in found] == list(jobs)
    for each in found:
        (alone,) = Planner(given_in).planned((each.job,))
        assert replace(each.explosion, kind=alone.explosion.kind) == alone.explosion  # numbered as they come
        assert each.demand.lines == alone.demand.lines


@pytest.mark.slow
@FEW
@given(cases(most_jobs=3), st.integers(2, 4))
def test_many_chairs_need_what_as_many_jobs_need(case, chairs):
    together = tuple(replace(each, chairs=chairs) for each in case.jobs)
    apart = tuple(
        replace(each, number=f"{each.number}-{n}", chairs=1) for each in case.jobs for n in range(chairs)
    )
    shelf = stock(*case.parts, due=case.dues)
    weeks = [plan_week(inputs_of(jobs, FRAMES, shelf, **case.settings), AS_OF) for jobs in (together, apart)]
    one, other = (
        {
            each.part.number: (
                each.needed,
                each.recovered,
                each.shortfall,
                each.end,
                [replace(day, sources=()) for day in each.days],
            )
            for each in week.parts
        }
        for week in weeks
    )
    assert one == other


@pytest.mark.slow
@FEW
@given(cases())
def test_quantities_stay_exact(case):
    week = case.week()
    for each in week.parts:
        for value in (each.needed, each.recovered, each.shortfall, each.end, each.order, each.position):
            assert isinstance(value, Fraction | int)
