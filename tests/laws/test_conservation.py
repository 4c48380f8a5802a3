"""Parts are conserved, part by part and day by day; rows are conserved too."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import DAYS, FEW, FRAMES, cases
from workshop import AS_OF, inch, inputs_of, job, kit_job, stock

from reconcile.plan.flows.timeline import Flow, net, shelf_days, short_units
from reconcile.values.week.results import Tally
from reconcile.week import plan_week

QUANTITIES = st.fractions(0, 5, max_denominator=3)
BY_DAY = st.dictionaries(st.sampled_from(DAYS), QUANTITIES, max_size=4)
FLOWS = st.builds(
    lambda book, received, recovered, needed: Flow(book, received, recovered, needed, recovered),
    st.fractions(-4, 8, max_denominator=3), BY_DAY, BY_DAY, BY_DAY,
)  # fmt: skip


@pytest.mark.slow
@FEW
@given(cases())
def test_what_was_there_and_comes_in_is_used_or_left_or_still_to_come(case):
    for each in case.week().parts:
        book = each.part.on_hand - each.part.allocated
        taken = each.needed + each.needed_later
        assert book + each.on_order + each.recovered - taken == each.position


@pytest.mark.slow
@FEW
@given(cases())
def test_every_day_of_the_shelf_follows_from_the_day_before(case):
    week = case.week()
    for each in week.parts:
        left = each.part.on_hand - each.part.allocated
        for day in each.days:
            left += day.received + day.recovered - day.taken
            assert day.left == left
        assert each.days[-1].day == week.period.last
        assert each.days[-1].left == each.end
        assert sum(day.taken for day in each.days) == each.needed
        assert all(one.day < other.day for one, other in pairwise(each.days))


@pytest.mark.slow
@FEW
@given(cases())
def test_what_is_needed_is_the_sum_of_the_lines(case):
    week = case.week()
    fitted: dict[str, Fraction] = {}
    removed: dict[str, Fraction] = {}
    for result in week.jobs:
        for line in result.lines:
            into = fitted if line.line.do == "fit" else removed
            for number, quantity in line.parts:
                into[number] = into.get(number, Fraction(0)) + quantity
    # Bolts and spacers have several choices, and the least to buy may rest on others than the kits.
    alone = {"A", "B", "C", "CP-2", "CP-6", "TL-MED"}
    needed = {each.part.number: each.needed for each in week.parts if each.needed}
    assert {n: needed[n] for n in alone & needed.keys()} == {n: fitted[n] for n in alone & fitted.keys()}
    recovers = week.settings.use_recovered
    for each in week.parts:
        assert each.recovered == (removed.get(each.part.number, 0) if recovers else 0)


@pytest.mark.slow
@FEW
@given(cases())
def test_short_units_pegged_to_jobs_are_the_shortfall(case):
    for each in case.week().parts:
        assert sum(risk.quantity for risk in each.at_risk) == each.shortfall
        assert (each.first_short is None) == (each.shortfall == 0)
        assert {risk.job for risk in each.at_risk} <= set(each.jobs)
        if each.at_risk:
            assert each.at_risk[0].day == each.first_short


@pytest.mark.slow
@FEW
@given(cases())
def test_an_order_covers_what_is_wanted_in_the_fewest_whole_packs(case):
    for each in case.week().parts:
        assert each.order == each.packs * each.part.pack
        assert each.order >= each.want >= each.shortfall
        if each.order:
            least = max(each.want, each.part.minimum_order)
            assert each.order - each.part.pack < least <= each.order
        assert (each.required_by is None) == (each.order == 0)


@pytest.mark.slow
@FEW
@given(FLOWS)
def test_buying_the_shortfall_and_no_less_ends_it(flow):
    found = net(flow, DAYS[-1], DAYS[-1])
    bought = flow.shelf + found.shortfall
    assert net(replace(flow, book=bought), DAYS[-1], DAYS[-1]).shortfall == 0
    if found.shortfall:
        assert net(replace(flow, book=bought - Fraction(1, 9)), DAYS[-1], DAYS[-1]).shortfall > 0


@pytest.mark.slow
@FEW
@given(FLOWS, st.sampled_from(DAYS))
def test_netting_pegging_and_the_shelf_tell_one_story(flow, last):
    found = net(flow, DAYS[-1], DAYS[-1])
    assert sum(short_units(flow, sorted(flow.needed.items()))) == found.shortfall
    assert shelf_days(flow, DAYS[-1])[-1].left == found.end
    come = sum([*flow.received.values(), *flow.recovered.values()])
    part_way = net(flow, last, DAYS[-1])
    assert part_way.position == flow.book + come - sum(flow.needed.values())
    assert part_way.shortfall == found.shortfall
    short_way = net(flow, last, last)
    assert short_way.shortfall + short_way.beyond == found.shortfall


# Rows: read = used + set aside + outside the period.

UNUSABLE = (
    {"frame": "NO-SUCH"},
    {"size_from": inch("13")},
    {"size_to": inch("14 1/4")},
    {"adjustment": "back height"},
    {"left_now": 1},
    {"side": "left", "size_from": inch("14"), "size_to": inch("20")},
)


@pytest.mark.slow
@FEW
@given(
    cases(most_jobs=4),
    st.lists(st.sampled_from(UNUSABLE), max_size=4),
    st.integers(0, 3),
    st.integers(0, 3),
)
def test_rows_read_are_used_or_set_aside_or_outside(case, faults, unread, outside):
    wrong = [job(f"J-{row}", DAYS[0], **fault) for row, fault in enumerate(faults, 50)]
    jobs = (*case.jobs, *wrong)
    given_in = inputs_of(jobs, FRAMES, stock(*case.parts, due=case.dues), **case.settings)
    tally = Tally(len(jobs) + unread + outside, len(jobs), unread, outside)
    week = plan_week(replace(given_in, rows={**given_in.rows, "jobs": tally}), AS_OF)
    found = week.rows["jobs"]
    assert found == Tally(tally.read, len(case.jobs), unread + len(wrong), outside)
    for each in week.rows.values():
        assert each.read == each.used + each.set_aside + each.outside_period
    errors = [each for each in week.problems if each.severity == "error"]
    assert {each.place.cell.lstrip("ABCDEFGH") for each in errors} == {str(each.place.row) for each in wrong}


def test_a_job_that_is_set_aside_takes_nothing():
    jobs = [kit_job("J-1", DAYS[0], "F1"), job("J-2", DAYS[0], "14", "22")]
    week = plan_week(inputs_of(jobs, FRAMES, stock()), AS_OF)
    assert [each.job.number for each in week.jobs] == ["J-1"]
    assert [(each.part.number, each.needed) for each in week.parts] == [("A", 1)]
