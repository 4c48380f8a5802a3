"""What a pair of levels gives, held to the whole Markov chain solved plainly, and to laws that must hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.plan.levels.service import Ordering, curves, room
from reconcile.plan.levels.weekly_laws import (
    Law,
    counted_law,
    over_weeks,
    own_sizes_law,
    reach,
    shortage,
    weekly_chances,
)
from reconcile.values.rules import CYCLE, FILL
from reconcile.values.week.levels import NEGATIVE_BINOMIAL, OWN_SIZES, POISSON

# --- laws


def test_a_variance_above_the_mean_makes_it_negative_binomial():
    assert counted_law(2, 5).kind == NEGATIVE_BINOMIAL
    assert counted_law(2, 2) == counted_law(2, 1) == Law(POISSON, 2, 2)


@settings(max_examples=40)
@given(st.floats(0.01, 20), st.floats(1, 12), st.integers(1, 3))
def test_chances_add_up_and_keep_mean_and_variance(mean, factor, stride):
    law = counted_law(mean, mean * factor)
    length = (reach(law, 1) + 1) * stride
    (chances,) = weekly_chances([law], [stride], length)
    places = np.arange(length)
    assert chances.sum() == pytest.approx(1, abs=1e-8)
    assert chances @ places == pytest.approx(stride * mean, rel=1e-6)
    assert chances @ places**2 - (chances @ places) ** 2 == pytest.approx(stride**2 * law.variance, rel=1e-4)
    assert not chances[places % stride > 0].any()


def test_own_sizes_come_at_the_rate_of_the_forecast():
    # Sizes 2, 2, 8: average 4. A forecast of 1 a week: a week in four has a use.
    law = own_sizes_law(1.0, [2, 8, 2])
    (chances,) = weekly_chances([law], [1], 16)
    assert chances[[0, 2, 8]] == pytest.approx([3 / 4, 1 / 6, 1 / 12])
    assert chances.sum() == pytest.approx(1)
    assert (law.kind, law.mean) == (OWN_SIZES, 1)
    assert law.variance == pytest.approx((2 / 3 * 4 + 1 / 3 * 64) / 4 - 1)


def test_no_more_than_every_week_has_a_use():
    law = own_sizes_law(9.0, [4, 4])
    assert (law.mean, law.variance) == (4, 0)


@settings(max_examples=30)
@given(st.lists(st.integers(0, 9), min_size=1, max_size=6).filter(any), st.integers(0, 5))
def test_several_weeks_are_one_after_another(weights, weeks):
    chances = np.zeros((1, 64))
    chances[0, : len(weights)] = np.asarray(weights) / sum(weights)
    plain = np.ones(1)
    for _ in range(weeks):
        plain = np.convolve(plain, chances[0, : len(weights)])
    assert over_weeks(chances, [weeks])[0, : len(plain)] == pytest.approx(plain, abs=1e-13)


def test_the_loss_function_by_hand():
    # 0, 1 or 4 with chances 1/2, 1/4, 1/4: above 0: 5/4; above 1: 3/4; above 2: 1/2; above 3: 1/4.
    assert shortage(np.asarray([[0.5, 0.25, 0, 0, 0.25]]))[0] == pytest.approx([1.25, 0.75, 0.5, 0.25, 0])


# --- the chain, solved plainly


def plain_figures(chances, ordering, point):
    """Cycle, fill, end of week, owed and orders, from the stationary law of positions at each look.

    The chain of positions before a look is solved as linear equations; from it every figure is summed up.
    """
    uses = [(use, chance) for use, chance in enumerate(chances) if chance > 1e-15]
    most, top = max(use for use, _ in uses), point + ordering.highest

    def after(position):
        return position if position > point else point + ordering.rise(point - position)

    low = point + 1 - most
    states = range(low, top + 1)
    chain = np.zeros((len(states), len(states)))
    for position in states:
        for use, chance in uses:
            chain[position - low, after(position) - use - low] += chance
    # Least squares, for a chain may have states that never come again.
    equations = np.vstack([chain.T - np.eye(len(states)), np.ones(len(states))])
    seen, *_ = np.linalg.lstsq(equations, np.asarray([*[0] * len(states), 1]), rcond=None)

    def of_weeks(weeks):
        law = np.ones(1)
        for _ in range(weeks):
            law = np.convolve(law, chances)
        return law

    before, whole = of_weeks(ordering.lead_weeks), of_weeks(ordering.lead_weeks + 1)
    figures = {"cycle": 0.0, "orders": 0.0, "end": 0.0, "owed": 0.0, "owed_before": 0.0}
    for position, chance in zip(states, seen, strict=True):
        if position <= point:
            figures["orders"] += chance
            figures["cycle"] += chance * before[: max(position + 1, 0)].sum()
        level = after(position)
        figures["end"] += chance * sum(law * max(level - use, 0) for use, law in enumerate(whole))
        figures["owed"] += chance * sum(law * max(use - level, 0) for use, law in enumerate(whole))
        figures["owed_before"] += chance * sum(law * max(use - level, 0) for use, law in enumerate(before))
    mean = chances @ np.arange(len(chances))
    figures["cycle"] /= figures["orders"]
    figures["fill"] = 1 - (figures["owed"] - figures["owed_before"]) / mean
    return figures


def known_curves(chances, ordering):
    use = (len(chances) - 1) * (ordering.lead_weeks + 1) + 1
    padded = np.zeros((1, max(1 << (room(use, ordering) - 1).bit_length(), 64)))
    padded[0, : len(chances)] = chances
    return curves(padded, [ordering])


weekly_uses = (
    st.lists(st.integers(0, 9), min_size=2, max_size=6)
    .filter(lambda own: own[0] > 0 and own[1] > 0)
    .map(lambda own: np.asarray(own) / sum(own))
)
"""With a chance of no use and of a single one, so that every position is reached and the chain settles."""


@pytest.mark.slow
@settings(max_examples=60)
@given(
    weekly_uses,
    st.builds(Ordering, st.integers(1, 9), st.integers(1, 7), st.integers(0, 9), st.integers(0, 3)),
    st.integers(0, 12),
)
def test_every_figure_is_that_of_the_whole_chain(chances, ordering, point):
    plain, known = plain_figures(chances, ordering, point), known_curves(chances, ordering)
    assert float(known.orders[0]) == pytest.approx(plain["orders"], abs=1e-6)
    for name in ("cycle", "fill", "end", "owed"):
        assert float(getattr(known, name)[0, point]) == pytest.approx(plain[name], abs=1e-5), name


@pytest.mark.slow
@settings(max_examples=40)
@given(
    weekly_uses,
    st.builds(Ordering, st.integers(1, 9), st.integers(1, 7), st.integers(0, 9), st.integers(0, 3)),
)
def test_more_on_the_shelf_never_serves_worse(chances, ordering):
    known = known_curves(chances, ordering)
    last = known.cycle.shape[1] - ordering.highest
    for figures in (known.cycle, known.fill, known.shelf):
        assert (np.diff(figures[0, :last]) >= -1e-9).all()
    assert (np.diff(known.owed[0, :last]) <= 1e-9).all()


@pytest.mark.slow
@settings(max_examples=40)
@given(weekly_uses, st.integers(1, 9), st.integers(0, 3), st.floats(0.5, 0.999))
def test_the_level_found_serves_and_one_less_does_not(chances, spread, lead, wanted):
    ordering = Ordering(spread, lead_weeks=lead)
    known = known_curves(chances, ordering)
    for measure, figures in ((CYCLE, known.cycle), (FILL, known.fill)):
        ((point,),) = known.least(measure, [wanted])
        assert figures[0, point] >= wanted - 1e-9
        assert point == 0 or figures[0, point - 1] < wanted


def test_what_is_ordered_is_what_is_used():
    """In the long run; orders times their mean size is the mean use."""
    chances = np.asarray([0.5, 0.3, 0.2])
    known = known_curves(chances, Ordering(6))
    # Orders are 6 and what the position fell below s: overshoot by renewal, 0 or 1.
    plain = plain_figures(chances, Ordering(6), 3)
    assert known.orders[0] == pytest.approx(plain["orders"])
    assert 0.7 / 7 < known.orders[0] < 0.7 / 6


def test_an_order_in_packs_reaches_the_level_and_less_than_a_pack_more():
    for under in range(30):
        rise = Ordering(spread=5, pack=4).rise(under)
        assert 5 <= rise <= 8 and (rise + under) % 4 == 0
    assert Ordering(spread=5, pack=4, minimum=20).rise(0) == 20


def test_a_chain_that_alternates_settles_all_the_same():
    """A use of 2 every week, packs of 3: positions go round for ever, and their long-run shares count."""
    known = known_curves(np.asarray([0, 0, 1.0]), Ordering(1, pack=3))
    assert known.orders[0] == pytest.approx(2 / 3, abs=1e-6)


def test_past_its_columns_a_part_is_always_served():
    known = known_curves(np.asarray([0.5, 0.5]), Ordering(2, lead_weeks=1))
    (far,) = known.at(0, [10_000])
    (near,) = known.at(0, [100])
    assert far[:3] == (10_000, pytest.approx(1), pytest.approx(1))
    assert far[3] - near[3] == pytest.approx(9_900)
