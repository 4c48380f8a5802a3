"""Proposals of shelf levels: what they rest on, what they say, and where there is none."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from weekly_use import FIVE_DAYS, TODAY, levelled, shop, use
from workshop import days_off

from reconcile.plan.flows.timeline import Netted
from reconcile.plan.levels.proposals import propose, with_levels
from reconcile.plan.levels.record import MEMORY
from reconcile.plan.levels.search import LONGEST, Task, answers, fitted
from reconcile.plan.levels.service import Ordering
from reconcile.plan.levels.studies import lead_weeks
from reconcile.plan.levels.usage_checks import levels_to_look_at
from reconcile.plan.levels.weekly_laws import counted_law, own_sizes_law
from reconcile.plan.orders.orders import wanted
from reconcile.values.days import WorkDays
from reconcile.values.rules import CYCLE, FILL, LevelRules
from reconcile.values.stock.parts import Stock
from reconcile.values.week.levels import FADING, SMOOTHING

F = Fraction
NOW_AND_THEN = [0, 0, 1, 0, 2, 0, 0, 0, 1, 0, 0, 3, 0] * 4


def proposal(part, quantities=NOW_AND_THEN, **rules):
    stock = shop((part, quantities), anchor=len(quantities))
    (only,) = propose(stock, TODAY, FIVE_DAYS, LevelRules(**rules))
    return only


# --- where there is none


def test_too_little_history_says_so():
    once = proposal(levelled(), [0, 1] + [0] * 50)
    assert once.proposed is None and once.reasons == ()
    assert once.why_none == (
        "Too little history: used in 1 of 52 weeks, with too few parts to compare it with. A second week "
        "with use would be enough, or eight parts of its kind with their use."
    )
    short = proposal(levelled(), [1] * 8).why_none
    assert short == "Too little history: used in 8 of 8 weeks; it takes 13 weeks since its first use."


def test_two_uses_are_enough():
    assert proposal(levelled(), [1, *[0] * 11, 1]).proposed is not None


def test_one_use_is_enough_among_parts_of_its_kind():
    kin = [(levelled(f"K-{number}", kind="bolt"), NOW_AND_THEN) for number in range(8)]
    once = (levelled("ONCE", kind="bolt"), [0, 2] + [0] * 50)
    found = {each.part.number: each for each in propose(shop(*kin, once, anchor=52), TODAY, FIVE_DAYS)}
    levels = found["ONCE"]
    assert levels.kin == "9 parts of bolt"
    assert levels.proposed.reorder_point <= 2 and not levels.look
    assert any("9 parts of bolt tell too how often" in each for each in levels.reasons)
    # Their word is worth little against a record of one's own.
    alone = LevelRules(pooling=False)
    own = {each.part.number: each for each in propose(shop(*kin, once, anchor=52), TODAY, FIVE_DAYS, alone)}
    assert own["ONCE"].proposed is None
    assert abs(own["K-0"].proposed.reorder_point - found["K-0"].proposed.reorder_point) <= 1


def test_old_1_gets_a_level_that_a_storekeeper_would_sign():
    """Five single uses in 104 weeks, the last one 30 weeks ago, lead time 20 days.

    By hand: weights of exp(-age / 39), nearly, make the five uses worth some 1.2 and the weeks 36.4; with
    half a week either way a week has a use with a chance of 4.5 %. Once one is ordered, four weeks may bring
    another use with a chance near 25 %, and two with 5 %. So one is kept beside the one ordered by.
    """
    weeks = [0] * 104
    for age in (30, 48, 66, 84, 102):
        weeks[104 - age] = 1
    levels = proposal(levelled("OLD-1", lead_time=20), weeks)
    assert (levels.proposed.reorder_point, levels.proposed.order_up_to) == (1, 2)
    assert levels.greatest_need == 1 and not levels.look
    assert levels.forecast.per_week == pytest.approx(0.045, abs=0.005)
    assert 0.95 <= levels.proposed.cycle <= 0.98
    # A use ten weeks later brings none of the hundreds that a variance of old would, and idle years one less.
    assert proposal(levelled("OLD-1", lead_time=20), [*weeks[10:], *[0] * 9, 1]).proposed.reorder_point <= 2
    assert proposal(levelled("OLD-1", lead_time=20), [*weeks, *[0] * 104]).proposed.reorder_point <= 1


def test_no_lead_time_says_so():
    assert "No lead time is known" in proposal(levelled(lead_time=None)).why_none


def test_a_part_that_stock_does_not_list_or_nobody_used_has_no_proposal():
    stock = shop((levelled("A"), NOW_AND_THEN))
    stock = replace(stock, parts={"B": levelled("B"), **stock.parts}, usage=(*stock.usage, use("C", TODAY)))
    assert [each.part.number for each in propose(stock, TODAY, FIVE_DAYS)] == ["A"]


def test_no_usage_at_all_gives_no_proposals():
    assert propose(Stock({"A": levelled("A")}), TODAY, FIVE_DAYS) == ()


def test_proposals_come_in_the_order_of_the_stock_sheet():
    names = ["Z", "A", "M"]
    stock = shop(*((levelled(name), [1, 2] if name == "A" else NOW_AND_THEN) for name in names))
    assert [each.part.number for each in propose(stock, TODAY, FIVE_DAYS)] == names


# --- what it is


def test_the_levels_are_the_least_that_serve():
    """One is ordered for each one used: scipy's beta-binomial law tells all.

    Every order follows a week with use. Nothing is owed when it comes if the lead time used no more than s,
    with a chance of use that has that one use more behind it.
    """
    betabinom = pytest.importorskip("scipy.stats").betabinom
    rare = [1, 0, 0, 0] * 13
    levels = proposal(levelled(lead_time=20, reorder_point=F(0), order_up_to=F(1)), rare)
    kept = 1 - 1 / MEMORY
    hits = sum(kept ** (51 - week) for week, each in enumerate(rare) if each)
    weeks = sum(kept**age for age in range(52))
    first, second = 0.5 + hits, 0.5 + weeks - hits
    assert levels.law.mean == pytest.approx(first / (first + second))
    served = [betabinom.cdf(point, 4, first + 1, second) for point in range(5)]
    point = next(place for place, share in enumerate(served) if share >= 0.95)
    assert levels.proposed.reorder_point == point
    assert levels.proposed.cycle == pytest.approx(served[point], abs=1e-9)
    # Of the use the share met at once: that of the fifth week, after four with the same chance.
    assert levels.proposed.fill == pytest.approx(served[point], abs=1e-9)


def test_current_levels_are_judged_by_the_same_measure():
    levels = proposal(levelled(reorder_point=F(3), order_up_to=F(8)))
    assert (levels.current.reorder_point, levels.current.order_up_to) == (3, 8)
    same = [row for row in levels.table if row.reorder_point == 3]
    for row in same:
        assert (row.cycle, row.fill, row.shelf) == (
            levels.current.cycle, levels.current.fill, levels.current.shelf,
        )  # fmt: skip
    assert levels.proposed.order_up_to - levels.proposed.reorder_point == 5


def test_levels_that_lie_between_steps_are_judged_as_what_they_do():
    """Lots of 2: a reorder point of 3 is reached at 2 and not before."""
    twos = [2 * each for each in NOW_AND_THEN]
    odd = proposal(levelled(pack=F(2), reorder_point=F(3), order_up_to=F(8)), twos)
    even = proposal(levelled(pack=F(2), reorder_point=F(2), order_up_to=F(8)), twos)
    assert odd.current.cycle == pytest.approx(even.current.cycle)
    assert odd.current.reorder_point == 3


def test_a_reorder_point_no_lower_than_order_up_to_works_as_the_step_below():
    odd = proposal(levelled(reorder_point=F(9), order_up_to=F(6)))
    even = proposal(levelled(reorder_point=F(5), order_up_to=F(6)))
    assert (odd.current.cycle, odd.current.shelf) == (even.current.cycle, even.current.shelf)
    assert odd.proposed == even.proposed


def test_levels_of_nought_keep_none():
    levels = proposal(levelled(reorder_point=F(0), order_up_to=F(0)))
    assert levels.current is None and levels.proposed is not None
    assert levels.reasons[-1] == "Now: none is kept on the shelf."
    assert proposal(levelled()).reasons[-1] == "Stock gives no levels for it now."


def test_the_table_runs_from_low_to_high_and_prices_each_point():
    levels = proposal(levelled(price=Decimal("10"), reorder_point=F(3), order_up_to=F(8)))
    assert [row.wanted for row in levels.table] == [F(9, 10), F(19, 20), F(49, 50), F(99, 100)]
    points = [row.reorder_point for row in levels.table]
    assert points == sorted(points)
    assert levels.table[0].per_point is None
    for before, row in zip(levels.table, levels.table[1:], strict=False):
        assert row.cycle >= row.wanted
        apart = 100 * (row.wanted - before.wanted)
        assert float(row.per_point) == pytest.approx(
            float((row.value - before.value) / Decimal(float(apart))), abs=0.01
        )
        assert float(row.value) == pytest.approx(10 * row.shelf, abs=0.006)


def test_a_service_that_is_not_in_the_table_is_added_to_it():
    levels = proposal(levelled(), service=F(97, 100))
    assert levels.proposed.wanted == F(97, 100)
    assert [row.wanted for row in levels.table][2] == F(97, 100)


def test_fill_and_cycle_are_different_questions():
    part = levelled(reorder_point=F(3), order_up_to=F(40))
    by_cycle, by_fill = proposal(part, measure=CYCLE), proposal(part, measure=FILL)
    assert by_fill.proposed.fill >= 0.95
    assert by_cycle.proposed.cycle >= 0.95 > by_fill.proposed.cycle
    assert by_fill.proposed.reorder_point < by_cycle.proposed.reorder_point


def test_no_price_gives_no_value():
    levels = proposal(replace(levelled(), price=None))
    assert levels.proposed.value is None and {row.per_point for row in levels.table} == {None}
    assert "worth" not in " ".join(levels.reasons)


def test_a_longer_lead_time_asks_for_more():
    points = [proposal(levelled(lead_time=days)).proposed.reorder_point for days in (0, 5, 15, 40)]
    assert points == sorted(points) and points[0] < points[-1]


@pytest.mark.parametrize(("days", "weeks"), [(0, 0), (1, 1), (5, 1), (6, 2), (10, 2)])
def test_lead_times_are_whole_weeks_rounded_up(days, weeks):
    assert lead_weeks(days, FIVE_DAYS) == weeks


def test_a_shorter_working_week_makes_the_lead_time_longer():
    assert lead_weeks(6, WorkDays(frozenset({0, 1, 2}))) == 2
    assert lead_weeks(5, days_off(TODAY)) == 1


def test_quantities_are_whole_lots_of_the_part():
    """Thread locker: used by the fifth of a millilitre, bought by 50."""
    drops = [F(each) / 5 for each in (3, 0, 4, 6, 0, 3, 4, 0, 0, 6)] * 5
    levels = proposal(levelled(unit="mL", pack=F(50)), drops)
    assert levels.law.lot == F(1, 5)
    assert (levels.proposed.reorder_point / F(1, 5)).denominator == 1
    assert levels.proposed.order_up_to > levels.proposed.reorder_point


def test_a_batch_of_four_weeks_in_whole_packs_where_no_levels_are_given():
    levels = proposal(levelled(pack=F(10)), [3] * 52)
    # 12 for four weeks: two packs. At the reorder point itself they are just enough to reach order up to.
    assert levels.proposed.order_up_to - levels.proposed.reorder_point == 11
    part = replace(
        levels.part, reorder_point=levels.proposed.reorder_point, order_up_to=levels.proposed.order_up_to
    )
    position = Netted(F(0), None, end=part.reorder_point, position=part.reorder_point)
    assert -(-wanted(part, position) // part.pack) == 2


def test_a_batch_may_be_given():
    levels = proposal(levelled(), batches={"SP-050": F(25)})
    assert levels.proposed.order_up_to - levels.proposed.reorder_point == 25
    assert proposal(levelled(), batches={"OTHER": F(25)}).proposed.order_up_to < 25


def test_the_minimum_order_is_a_batch():
    levels = proposal(levelled(minimum_order=F(30)))
    assert levels.proposed.order_up_to - levels.proposed.reorder_point == 30


# --- laws


def test_mean_and_variance_move_together_when_use_ends():
    """Sizes stay and the chance falls: the variance over the mean tends to the mean square over the mean."""
    ratios = []
    for idle in (0, 26, 104, 400):
        law = proposal(levelled(), [*NOW_AND_THEN, *[0] * idle]).law
        ratios.append(law.variance / law.mean)
    # Uses of 1, 2, 1 and 3 by turns, the fresher ones counting for more: some 2.15 where none is to come.
    assert max(ratios) <= 2.2 and ratios == sorted(ratios)


def test_the_forecast_is_the_record_with_the_best_published_one_beside_it():
    levels = proposal(levelled(), [4, 5, 6, 5] * 13)
    assert levels.forecast.method == FADING and levels.forecast.second.method == SMOOTHING
    assert levels.forecast.per_week == pytest.approx(5, abs=0.2)
    assert levels.forecast.second.per_week == pytest.approx(5, abs=0.2)
    assert {each.method for each in levels.forecast.tried} == {SMOOTHING, FADING}


def test_a_level_far_above_any_need_is_to_be_looked_at_and_not_ordered_by():
    """Two uses in 17 weeks, and a lead time of eight: four may be asked, where never more than one was."""
    seldom = [1, *[0] * 15, 1]
    given = {"reorder_point": F(1), "order_up_to": F(2)}
    stock = shop(
        (levelled("X", lead_time=40, **given), seldom), (levelled("Y"), NOW_AND_THEN[:17]), anchor=17
    )
    found = propose(stock, TODAY, FIVE_DAYS)
    levels = found[0]
    assert levels.look and levels.proposed.reorder_point > 3 * levels.greatest_need
    assert levels.reasons[0].startswith("Look at this: order at 4 is more than three times the 1 each that")
    assert not found[1].look
    assert with_levels(stock, found).parts["X"] == stock.parts["X"]
    assert with_levels(stock, found).parts["Y"] != stock.parts["Y"]
    assert with_levels(stock, found, ["X"]).parts["X"].reorder_point == levels.proposed.reorder_point
    (fault,) = levels_to_look_at(found)
    assert (fault.code, fault.found) == ("level-to-look-at", "X")
    assert list(levels_to_look_at(found, ["X"])) == []


def test_one_more_and_one_less_say_what_they_change():
    levels = proposal(levelled(price=Decimal("10"), reorder_point=F(3), order_up_to=F(8)))
    own, more, fewer = levels.proposed, levels.more, levels.fewer
    assert (fewer.reorder_point, more.reorder_point) == (own.reorder_point - 1, own.reorder_point + 1)
    assert fewer.fill < own.fill < more.fill and fewer.cycle < own.cycle < more.cycle
    assert fewer.value < own.value < more.value
    assert f"for {more.value - own.value} EUR more." in " ".join(levels.reasons)
    assert f"for {own.value - fewer.value} EUR less." in " ".join(levels.reasons)


@pytest.mark.slow
@settings(max_examples=25)
@given(st.lists(st.integers(0, 6), min_size=13, max_size=40), st.integers(1, 12), st.integers(0, 20))
def test_any_use_gives_a_whole_answer(quantities, pack, lead_time):
    levels = proposal(levelled(pack=F(pack), lead_time=lead_time), quantities) if any(quantities) else None
    if levels is None or levels.proposed is None:
        return
    point = levels.proposed
    assert 0 <= point.reorder_point < point.order_up_to
    assert point.cycle >= 0.95 - 1e-9 and 0 <= point.fill <= 1
    assert point.shelf >= 0 and point.orders_a_year > 0


# --- many steps


def test_a_great_many_steps_are_counted_in_coarser_ones():
    task = Task(counted_law(9000, 4_000_000), 1, Ordering(20_000, 100, 0, 1), F(1))
    fit = fitted(task)
    assert task.room > LONGEST >= fit.room
    (rough,), (exact,) = answers([fit, task], [0.95], CYCLE)
    assert abs(rough.reorder_point * fit.step - exact.reorder_point) <= 2 * fit.step
    assert rough.shelf * float(fit.step) == pytest.approx(exact.shelf, rel=0.02)
    assert rough.orders == pytest.approx(exact.orders, rel=0.02)


def test_large_lots_beside_a_small_pack_are_kept_whole():
    """Used by the hundred thousand, bought by the third: no step fits both, and the use is what counts."""
    task = Task(counted_law(0.5, 1), 300_000, Ordering(1_000_000, 1, 0, 1), F(1, 3))
    fit = fitted(task)
    assert fit.room <= LONGEST
    assert fit.stride * fit.step == task.stride * task.step
    assert fit.law == task.law


def test_coarser_steps_change_an_answer_by_a_step_or_so():
    fine = Task(own_sizes_law(40, [50, 80, 110]), 1, Ordering(200, 1, 0, 2), F(1))
    coarse = replace(
        fine, law=own_sizes_law(8, [10, 16, 22]), ordering=Ordering(40, 1, 0, 2), step=F(5)
    )  # fmt: skip
    points = [answers([each], [0.95], CYCLE)[0][0].reorder_point * each.step for each in (fine, coarse)]
    assert abs(points[0] - points[1]) <= 5


def test_tasks_of_all_sizes_are_answered_as_if_alone():
    tasks = [
        Task(counted_law(mean, 2 * mean), 1, Ordering(spread, pack, 0, lead), F(1), given=given)
        for mean in (0.1, 3)
        for spread, pack, lead, given in ((1, 1, 0, None), (9, 4, 3, 5), (300, 50, 8, 2))
    ]
    together = answers(tasks, [0.9, 0.99], FILL)
    alone = [answers([task], [0.9, 0.99], FILL)[0] for task in tasks]
    assert [[row.reorder_point for row in rows] for rows in together] == [
        [row.reorder_point for row in rows] for rows in alone
    ]
    assert [len(rows) for rows in together] == [2, 3, 3] * 2
    assert together[1][0].fill == pytest.approx(alone[1][0].fill, abs=1e-9)


# --- in words, and applied


def test_the_reasons_of_a_proposal_in_full():
    levels = proposal(levelled(reorder_point=F(10), order_up_to=F(20), pack=F(5)))
    assert levels.reasons == (
        "Used in 16 of 52 weeks, 1.75 each at a time: intermittent (interval 3.25 weeks, variability 0.239).",
        "Forecast: 0.568 each a week by its record, in which a week counts the less the longer it is past (a "
        "week of 39 weeks ago, 37 %).",
        "How sure: when the last 25 spans of 2 weeks were foretold in turn, it missed by 103.2 % of the mean;"
        " the best published method, Syntetos-Boylan (0.05), by 100.8 %, and would foretell 0.529 a week.",
        "To be covered: 2 weeks, lead time and a week's look, with 1.14 each on average.",
        "Order at 4, up to 14, for 95 % of order cycles without a shortage: that gives 98.5 % of cycles, "
        "99.9 % of use, and 9.87 each on the shelf on average, worth 19.75 EUR.",
        "Whole packs of 5 may lift it above that by almost a pack.",
        "One less to order at, 3: 94.5 % of cycles and 99.4 % of use, for 2.00 EUR less.",
        "One more, 5: 100 % of cycles and 100 % of use, for 2.00 EUR more.",
        "Now: order at 10, up to 20, which gives 100 % of cycles, 100 % of use, and 15.9 each on the shelf on"
        " average, worth 31.75 EUR.",
    )


def test_new_and_ended_use_are_said():
    new = shop((levelled("NEW"), [0] * 30 + [2, 1] * 10), anchor=50)
    (levels,) = propose(new, TODAY, FIVE_DAYS)
    assert (
        "Taken for new: it was not used in the first 30 weeks of the sheet, which do not count."
        in levels.reasons
    )
    ended = proposal(levelled(), [1, 2] * 13 + [0] * 26)
    assert any("its use may have ended" in each for each in ended.reasons)


def test_nothing_is_applied_unasked_and_all_of_it_on_request():
    stock = shop((levelled("A"), NOW_AND_THEN), (levelled("B", reorder_point=F(1), order_up_to=F(2)), [1, 1]))
    proposals = propose(stock, TODAY, FIVE_DAYS)
    assert stock.parts["A"].reorder_point is None
    after = with_levels(stock, proposals)
    assert (after.parts["A"].reorder_point, after.parts["A"].order_up_to) == (
        proposals[0].proposed.reorder_point, proposals[0].proposed.order_up_to,
    )  # fmt: skip
    assert after.parts["B"] == stock.parts["B"]
    assert list(after.parts) == list(stock.parts) and after.usage == stock.usage
    assert with_levels(stock, ()) == stock


def test_the_same_sheet_gives_the_same_levels():
    stock = shop((levelled("A"), NOW_AND_THEN), (levelled("B"), NOW_AND_THEN[::-1]))
    assert propose(stock, TODAY, FIVE_DAYS) == propose(stock, TODAY, FIVE_DAYS)
    backwards = replace(stock, usage=stock.usage[::-1])
    assert propose(backwards, TODAY, FIVE_DAYS) == propose(stock, TODAY, FIVE_DAYS)
