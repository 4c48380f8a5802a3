"""Forecasts against the same methods in exact fractions, and the choice among them."""

from fractions import Fraction
from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from second_opinion import forecast_by

from reconcile.plan.levels.forecasts import (
    CONSTANTS,
    SELDOM_CANDIDATES,
    SMOOTH_CANDIDATES,
    Candidate,
    choose,
    rolled,
)
from reconcile.values.week.levels import (
    CROSTON,
    FADING,
    INTERMITTENT,
    SMOOTH,
    SMOOTHING,
    SYNTETOS_BOYLAN,
    TEUNTER,
)

# --- the methods, written plainly and exactly


def smoothed(values, constant):
    level = values[0]
    for each in values[1:]:
        level += constant * (each - level)
    return level


def plain(method, series, constant, chance_constant=None):
    """One forecast in fractions, from the definitions: no state, no array."""
    series, constant = [Fraction(each) for each in series], Fraction(str(constant))
    if method == SMOOTHING:
        return smoothed(series, constant)
    places = [place for place, each in enumerate(series, 1) if each]
    if not places:
        return Fraction(0)
    size = smoothed([series[place - 1] for place in places], constant)
    if method == TEUNTER:
        hits = [Fraction(1 if each else 0) for each in series]
        return size * smoothed(hits, Fraction(str(chance_constant)))
    gaps = [Fraction(place - before) for place, before in zip(places, [0, *places[:-1]], strict=True)]
    factor = 1 - constant / 2 if method == SYNTETOS_BOYLAN else 1
    return factor * size / smoothed(gaps, constant)


series_of_use = st.lists(st.sampled_from([0, 0, 0, 1, 2, 5, 40]), min_size=1, max_size=40)


@settings(max_examples=60)
@given(series_of_use, st.sampled_from(SELDOM_CANDIDATES + SMOOTH_CANDIDATES))
def test_every_method_is_its_definition(series, candidate):
    exact = plain(candidate.method, series, candidate.constant, candidate.chance_constant)
    assert forecast_by(candidate, series) == pytest.approx(float(exact), abs=1e-12)


def test_a_series_without_use_foretells_none():
    assert {forecast_by(each, [0, 0, 0]) for each in SELDOM_CANDIDATES} == {0}
    assert forecast_by(SMOOTH_CANDIDATES[0], []) == 0


@pytest.mark.slow
@settings(max_examples=30)
@given(series_of_use, st.integers(0, 9))
def test_weeks_before_the_start_do_not_count(series, before):
    padded = np.asarray([[7] * before + series], float)
    *_, (_, last) = rolled(padded, np.asarray([before]), SELDOM_CANDIDATES)
    alone = [forecast_by(each, series) for each in SELDOM_CANDIDATES]
    assert last[:, 0].tolist() == pytest.approx(alone, abs=1e-12)


@pytest.mark.slow
@settings(max_examples=30)
@given(st.lists(st.lists(st.integers(0, 5), min_size=12, max_size=12), min_size=2, max_size=5))
def test_a_part_is_foretold_alone_as_among_others(many):
    *_, (_, together) = rolled(np.asarray(many, float), np.zeros(len(many), int), SELDOM_CANDIDATES)
    alone = [[forecast_by(each, series) for series in many] for each in SELDOM_CANDIDATES]
    assert together.ravel().tolist() == pytest.approx(np.ravel(alone).tolist(), abs=1e-12)


def test_a_start_from_averages_looks_at_the_weeks_before_alone():
    # Before week 6: uses of 2 and 4 in six weeks, the last two weeks ago; a use of 3 in week 7.
    series = np.asarray([[0, 2, 0, 4, 0, 0, 0, 3, 0]], float)
    steps = dict(rolled(series, np.zeros(1, int), (Candidate(CROSTON, 0.1),), np.asarray([6])))
    assert steps[5][0, 0] == steps[6][0, 0] == pytest.approx(3 / 3)
    # The gap of 4 weeks (from week 3 to week 7) is taken into the interval: 3 + 0.1 (4 - 3).
    assert steps[7][0, 0] == pytest.approx(3 / 3.1)


# --- the choice


def origins_of(length, horizon):
    last = length - horizon
    return range(max(length // 2, last - 25), last + 1)


def opened_forecasts(series, candidate, first):
    """A forecast at each origin, started from the averages of the weeks before the first; in plain floats."""
    hits = [week for week in range(first) if series[week]]
    size = sum(series[week] for week in hits) / len(hits)
    interval, chance, level = first / len(hits), len(hits) / first, sum(series[:first]) / first
    gap, alpha = first - 1 - hits[-1], candidate.constant
    found = {}
    for origin in range(first, len(series) + 1):
        found[origin] = {
            SMOOTHING: level,
            CROSTON: size / interval,
            SYNTETOS_BOYLAN: (1 - alpha / 2) * size / interval,
            TEUNTER: size * chance,
        }[candidate.method]
        if origin == len(series):
            break
        use, gap = series[origin], gap + 1
        chance += (candidate.chance_constant or 0) * ((use > 0) - chance)
        level += alpha * (use - level)
        if use:
            size, interval, gap = size + alpha * (use - size), interval + alpha * (gap - interval), 0
    return found


def plain_choice(series, candidates, horizon):
    horizon = min(horizon, len(series) // 4)
    origins = origins_of(len(series), horizon)
    squares, finals = [], []
    for candidate in candidates:
        found = opened_forecasts(series, candidate, origins[0])
        squares.append([(sum(series[at : at + horizon]) - horizon * found[at]) ** 2 for at in origins])
        finals.append(found[len(series)])
    means = [sum(each) / len(origins) for each in squares]
    best = means.index(min(means))
    for place, own in enumerate(squares):
        over = [mine - least for mine, least in zip(own, squares[best], strict=True)]
        excess = sum(over) / len(over)
        spread = sqrt(max(sum(each**2 for each in over) / len(over) - excess**2, 0))
        if excess <= spread / sqrt(len(over) / horizon):
            return candidates[place], finals[place], sqrt(means[place])
    raise AssertionError("the best candidate is never above itself")


@pytest.mark.slow
@settings(max_examples=25)
@given(
    st.lists(st.sampled_from([0, 0, 1, 2, 6]), min_size=24, max_size=60).filter(lambda own: any(own[:12])),
    st.integers(1, 8),
)
def test_the_choice_is_that_of_a_plain_rolling_origin(series, horizon):
    (chosen,) = choose([series], [0], [INTERMITTENT], [horizon])
    candidate, final, error = plain_choice(series, SELDOM_CANDIDATES, horizon)
    assert chosen.per_week == pytest.approx(final, abs=1e-9)
    assert (chosen.method, chosen.constant) == (candidate.method, candidate.constant)
    mean = sum(series) / len(series) * chosen.horizon
    assert chosen.error == pytest.approx(error / mean, abs=1e-9)
    assert chosen.origins == len(origins_of(len(series), chosen.horizon))


def test_smooth_parts_are_smoothed_and_no_others():
    smooth, seldom = choose([[4, 5, 4, 5] * 10, [0, 0, 0, 5] * 10], [0, 0], [SMOOTH, INTERMITTENT], [2, 2])
    assert smooth.method == SMOOTHING and {each.method for each in smooth.tried} == {SMOOTHING, FADING}
    assert seldom.method != SMOOTHING
    assert {each.method for each in seldom.tried} == {CROSTON, SYNTETOS_BOYLAN, TEUNTER, FADING}


def test_forecasts_come_in_the_order_of_the_parts():
    rising = [[0, 0, size, 0] * 10 for size in (1, 2, 3, 4, 5)]
    kinds = [SMOOTH if place % 2 else INTERMITTENT for place in range(5)]
    chosen = choose(rising, [0] * 5, kinds, [1] * 5)
    assert [each.per_week for each in chosen] == sorted(each.per_week for each in chosen)


def test_a_use_that_ends_is_noticed_by_the_method_made_for_it():
    ended = [0, 3, 0, 3, 4, 0, 3] * 8 + [0] * 40
    (chosen,) = choose([ended], [0], [INTERMITTENT], [3])
    assert chosen.method == TEUNTER
    assert chosen.per_week < 0.1 < plain(CROSTON, ended, chosen.constant)


def test_what_is_not_clearly_worse_yields_to_the_steadiest():
    # Noise around one mean: no constant is truly better, and the least miss is luck.
    noise = np.random.default_rng(5).poisson(0.4, (200, 60)).tolist()
    chosen = choose(noise, [0] * 200, [INTERMITTENT] * 200, [2] * 200)
    steady = sum(each.constant == CONSTANTS[0] for each in chosen)
    assert steady > 150
    assert all(each.error >= min(other.error for other in each.tried) for each in chosen)


def test_the_error_measure_does_not_reward_a_forecast_of_nothing():
    """By absolute misses one week ahead, foretelling nothing beats the mean here; by ours it does not."""
    series = [0, 0, 0, 0, 4] * 12
    mean = sum(series) / len(series)
    assert sum(abs(each - 0) for each in series) < sum(abs(each - mean) for each in series)
    assert sum((each - 0) ** 2 for each in series) > sum((each - mean) ** 2 for each in series)
    (chosen,) = choose([series], [0], [INTERMITTENT], [1])
    assert chosen.per_week == pytest.approx(mean, rel=0.15)
