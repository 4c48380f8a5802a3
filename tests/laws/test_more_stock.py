"""More stock never does harm; less never does good."""

from collections import defaultdict
from dataclasses import replace
from datetime import date
from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st
from strategies import DAYS, FEW, cases
from workshop import bins

from reconcile.plan.flows.timeline import Flow, net

FRIDAY = DAYS[-1]
QUANTITIES = st.fractions(0, 5, max_denominator=3)
BY_DAY = st.dictionaries(st.sampled_from(DAYS), QUANTITIES, max_size=4)
FLOWS = st.builds(Flow, st.fractions(-4, 8, max_denominator=3), BY_DAY, BY_DAY, BY_DAY)


def not_earlier(day: date | None, than: date | None) -> bool:
    """A first short day is no earlier than another; no short day at all is the latest of all."""
    return day is None or (than is not None and day >= than)


@FEW
@given(FLOWS, QUANTITIES)
def test_more_on_hand_never_makes_more_shortfall_nor_an_earlier_one(flow, more):
    before, after = net(flow, FRIDAY, FRIDAY), net(replace(flow, book=flow.book + more), FRIDAY, FRIDAY)
    assert before.shortfall - more <= after.shortfall <= before.shortfall
    assert not_earlier(after.first_short, before.first_short)
    assert after.end == before.end + more


@FEW
@given(FLOWS, st.sampled_from(DAYS), st.sampled_from(DAYS), QUANTITIES)
def test_what_comes_earlier_never_makes_more_shortfall(flow, one_day, other_day, quantity):
    early, late = sorted((one_day, other_day))
    found = []
    for day in (early, late):
        received = defaultdict(Fraction, flow.received)
        received[day] += quantity
        found.append(net(replace(flow, received=received), FRIDAY, FRIDAY))
    assert found[0].shortfall <= found[1].shortfall
    assert not_earlier(found[0].first_short, found[1].first_short)
    assert found[0].end == found[1].end


@FEW
@given(FLOWS, st.sampled_from(DAYS), QUANTITIES)
def test_more_need_never_makes_less_shortfall(flow, day, more):
    needed = defaultdict(Fraction, flow.needed)
    needed[day] += more
    before, after = net(flow, FRIDAY, FRIDAY), net(replace(flow, needed=needed), FRIDAY, FRIDAY)
    assert before.shortfall <= after.shortfall <= before.shortfall + more
    assert not_earlier(before.first_short, after.first_short)


def with_more(one_part, more):
    pairs = [(each.on_hand, each.allocated) for each in one_part.bins]
    return replace(one_part, bins=bins(*pairs, (more, 0)))


def total_short(week):
    return sum(each.shortfall for each in week.parts)


@FEW
@given(cases(), st.data())
def test_more_of_a_part_never_makes_more_to_buy_in_all(case, data):
    place, more = data.draw(st.integers(0, len(case.parts) - 1)), data.draw(st.integers(1, 5))
    parts = list(case.parts)
    parts[place] = with_more(parts[place], more)
    assert total_short(case.but(parts=tuple(parts)).week()) <= total_short(case.week())


def without_lead_times(case):
    return case.but(parts=tuple(replace(each, lead_time=None) for each in case.parts))


@FEW
@given(cases(), st.booleans())
def test_buying_every_shortfall_gives_every_job_its_kit(case, leads):
    # What can be had in time may be ordered rather than a substitute taken: then a job may hang on it.
    case = case if leads else without_lead_times(case)
    week = case.week()
    short = {each.part.number: each for each in week.parts if each.shortfall}
    # A bolt that is new would be listed once it is bought, and then serve other joints too.
    assume(not any(each.part.new for each in short.values()))
    parts = []
    for each in case.parts:
        if each.number in short:
            # What is allocated beyond what lies there must be made up first.
            above = max(each.allocated - each.on_hand, Fraction(0))
            parts.append(with_more(each, short[each.number].shortfall + above))
        else:
            parts.append(each)
    after = case.but(parts=tuple(parts)).week()
    if not leads:
        assert total_short(after) == 0
    # Recoveries of a job are only there if it is done; with all done in order of day, all can be.
    same_priority = case.but(
        parts=tuple(parts), jobs=tuple(replace(each, priority=3) for each in case.jobs)
    ).week()
    assert {each.kit for each in same_priority.jobs} <= {"complete", "waits", *(["order"] if leads else [])}


@FEW
@given(cases())
def test_a_shelf_for_all_makes_every_job_complete(case):
    plenty = case.but(parts=tuple(with_more(each, 1000) for each in case.parts)).week()
    new = {each.part.number for each in plenty.parts if each.part.new}
    for each in plenty.jobs:
        wants_new = {number for line in each.lines for number, _ in line.parts} & new
        assert each.kit == ("short" if wants_new else "complete")


@FEW
@given(cases())
def test_without_recovery_nothing_is_ever_less_short(case):
    settings = {key: each for key, each in case.settings.items() if key != "use_recovered"}
    with_it, without = (
        case.but(settings=settings | {"use_recovered": each}).week() for each in (True, False)
    )
    found = {each.part.number: each.shortfall for each in with_it.parts}
    for each in without.parts:
        assert each.shortfall >= found.get(each.part.number, 0)
