"""Levels held to published examples, tables and other libraries.

The engine knows whole steps alone. A normal law is put to it in small steps, each taking the chance that
rounds to it; so a published normal figure is met to about the square of a step.

Snyder and Shen: *Fundamentals of Supply Chain Theory*, 2nd edition (2019). Where a figure was not seen in
print, its test says *from memory*.
"""

from math import erf, sqrt

import numpy as np
import pytest

from reconcile.plan.levels.service import Ordering, curves
from reconcile.plan.levels.weekly_laws import counted_law, over_weeks, shortage, weekly_chances


def poisson(mean, length=512):
    return weekly_chances([counted_law(mean, mean)], [1], length)


def normal(mean, deviation, step, length):
    """Chances of whole numbers of steps, from 0; below 0 there must be next to nothing."""
    edges = (np.arange(length + 1) - 0.5) * step
    below = np.asarray([0.5 * (1 + erf((edge - mean) / deviation / sqrt(2))) for edge in edges])
    return np.diff(below)[None, :]


def least_level(chances, service):
    return int(np.argmax(np.cumsum(chances[0]) >= service))


def single_period_cost(chances, holding, penalty):
    """Cost of each level: what lies over costs ``holding``, what lacks costs ``penalty``, each a step."""
    lacks = shortage(chances)[0]
    mean = chances[0] @ np.arange(len(chances[0]))
    over = np.arange(len(lacks)) - mean + lacks
    return holding * over + penalty * lacks


# --- the standard normal tables


@pytest.mark.parametrize(
    ("z", "loss"),
    [
        (0, "0.3989"), (0.25, "0.2863"), (0.5, "0.1978"), (0.75, "0.1312"), (1, "0.0833"), (1.25, "0.0506"),
        (1.5, "0.0293"), (1.75, "0.0162"), (2, "0.0085"), (2.25, "0.0042"), (2.5, "0.0020"), (2.75, "0.0009"),
        (3, "0.0004"),
    ],
)  # fmt: skip
def test_the_normal_loss_table(z, loss):
    """L(z) as tables print it: Silver, Pyke and Peterson, appendix; Nahmias, table A-4; from memory."""
    chances = normal(8, 1, 1 / 400, 1 << 13)
    assert f"{shortage(chances)[0, round((8 + z) * 400)] / 400:.4f}" == loss


def test_normal_loss_to_seven_places():
    """The closed form phi(z) - z (1 - Phi(z)), computed elsewhere."""
    chances = normal(8, 1, 1 / 400, 1 << 13)
    known = {0: 0.39894228, 0.5: 0.19779656, 1: 0.08331547, 2: 0.0084907, 3: 0.00038215}
    ours = [shortage(chances)[0, round((8 + z) * 400)] / 400 for z in known]
    assert ours == pytest.approx(list(known.values()), abs=5e-7)


@pytest.mark.parametrize(
    ("service", "z"),
    [(0.8, 0.8416), (0.85, 1.0364), (0.9, 1.2816), (0.95, 1.6449), (0.975, 1.96), (0.98, 2.0537),
     (0.99, 2.3263), (0.995, 2.5758), (0.999, 3.0902)],
)  # fmt: skip
def test_safety_factors_of_cycle_service(service, z):
    """The standard normal table, from memory. The level is the first whole step that serves."""
    chances = normal(8, 1, 1 / 400, 1 << 13)
    assert (least_level(chances, service) + 0.5) / 400 - 8 == pytest.approx(z, abs=1 / 400)


# --- one period, and base stock


def test_newsvendor_with_normal_demand():
    """Snyder and Shen, example 4.1: h 0.18, p 0.70, demand 50 with deviation 8: S 56.60, cost 1.9976."""
    cost = single_period_cost(normal(50, 8, 0.01, 1 << 14), 0.18, 0.7) * 0.01
    assert cost.argmin() * 0.01 == pytest.approx(56.603956, abs=0.01)
    assert cost.min() == pytest.approx(1.997605, abs=1e-5)


def test_base_stock_with_lead_time():
    """Example 4.4: the same with a lead time of 4 periods: S 264.77, cost 4.4668 a period."""
    week = normal(50, 8, 0.05, 1 << 14)
    cost = single_period_cost(over_weeks(week, [5]), 0.18, 0.7) * 0.05
    assert cost.argmin() * 0.05 == pytest.approx(264.766894, abs=0.05)
    assert cost.min() == pytest.approx(4.466781, abs=1e-4)


def test_newsvendor_with_poisson_demand():
    """Problem 4.8(a): h 200, p 270, Poisson demand of 18: S 19, cost 786.0884."""
    chances = poisson(18)
    cost = single_period_cost(chances, 200, 270)
    assert cost.argmin() == least_level(chances, 270 / 470) == 19
    assert cost[19] == pytest.approx(786.088441, abs=1e-5)


def test_poisson_levels_for_horse_kicks():
    """Mean 0.61 (von Bortkiewicz 1898): the table of the law, and the least level for each service."""
    chances = poisson(0.61)
    assert np.cumsum(chances[0])[:5] == pytest.approx(
        [0.543351, 0.874795, 0.975885, 0.99644, 0.999575], abs=1e-6
    )
    assert [least_level(chances, each) for each in (0.9, 0.95, 0.99, 0.999)] == [2, 2, 3, 4]


# --- order points with batches: the loss function averaged over the positions


def batch_cost(loss, mean, figures, pair, step):
    """Cost a year: K demand / Q, and h over, p under, the mean over positions from r to r + Q."""
    (fixed, holding, penalty, demand), (point, batch) = figures, pair
    places = np.arange(round(point / step), round((point + batch) / step) + 1)
    weights = np.ones(len(places))
    weights[[0, -1]] = 0.5
    lacks = (loss[places] * step * weights).sum() / weights.sum()
    over = point + batch / 2 - mean + lacks
    return fixed * demand / batch + holding * over + penalty * lacks


def test_order_point_and_batch():
    """Example 5.1: K 8, h 0.225, p 7.5, demand 1300 a year with deviation 150, lead time 1/12 year.

    At the printed r 126.8, Q 328.5 the exact cost is 78.0712; no neighbour is cheaper than the optimum
    r 126.87, Q 328.45, found by minimising elsewhere.
    """
    step, mean, deviation = 0.05, 1300 / 12, 150 / sqrt(12)
    loss = shortage(normal(mean, deviation, step, 1 << 14))[0]
    figures = (8, 0.225, 7.5, 1300)
    assert batch_cost(loss, mean, figures, (126.8, 328.5), step) == pytest.approx(78.071163, abs=1e-3)
    best = min(
        (batch_cost(loss, mean, figures, (point, batch), step), point, batch)
        for point in np.arange(126, 128, step)
        for batch in np.arange(327, 330, step)
    )
    assert best == pytest.approx((78.07115, 126.87, 328.45), abs=0.2)
    assert best[0] == pytest.approx(78.07115, abs=1e-3)


def test_order_point_and_batch_by_turns():
    """Nahmias, *Production and Operations Analysis*, chapter 5, from memory: Q 111, R 143.

    K 50, h 2, p 25, demand 200 a year, over the lead time 100 with deviation 25. Q and R are worked out in
    turn: Q = sqrt(2 demand (K + p n(R)) / h), 1 - F(R) = Q h / (p demand).
    """
    step = 0.02
    chances = normal(100, 25, step, 1 << 14)
    loss, batch = shortage(chances)[0], sqrt(2 * 50 * 200 / 2)
    assert batch == 100
    for _ in range(20):
        point = least_level(chances, 1 - batch * 2 / (25 * 200))
        batch = sqrt(2 * 200 * (50 + 25 * loss[point] * step) / 2)
    assert (batch, point * step) == pytest.approx((110.774, 142.568), abs=0.05)
    assert (round(batch), round(point * step)) == (111, 143)


# --- (s, S)


def cheapest(chances, fixed, holding, penalty, most):
    """Cost, s and S of the cheapest pair with S - s up to ``most``, every one evaluated."""
    found = []
    for spread in range(1, most + 1):
        known = curves(chances, [Ordering(spread)])
        cost = (fixed * known.orders[:, None] + holding * known.end + penalty * known.owed)[0]
        point = int(cost[: chances.shape[1] // 3].argmin())
        found.append((float(cost[point]), point, point + spread))
    return min(found)


def test_the_best_pair_for_poisson_demand():
    """Snyder and Shen, example 4.7: h 1, p 4, K 5, Poisson demand of 6: s 4, S 10, cost 8.0341."""
    cost, low, high = cheapest(poisson(6, 128), 5, 1, 4, 30)
    assert (low, high) == (4, 10)
    assert cost == pytest.approx(8.034112, abs=1e-5)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("mean", "low", "high", "cost"),
    [
        (10, 6, 40, 35.022),
        (15, 10, 49, 42.698),
        (20, 14, 62, 49.173),
        (25, 19, 56, 54.262),
        (30, 23, 66, 57.819),
        (35, 28, 77, 61.215),
        (40, 33, 87, 64.512),
        (45, 37, 97, 67.776),
        (50, 42, 108, 70.975),
        (55, 47, 118, 74.149),
        (60, 52, 129, 77.306),
    ],
)
def test_the_best_pairs_of_a_published_table(mean, low, high, cost):
    """Zheng and Federgruen, Operations Research 39 (1991), table of optimal policies, from memory.

    Poisson demand, K 64, h 1, p 9, no lead time. All pairs up to S - s = 90 are evaluated.
    """
    found = cheapest(poisson(mean), 64, 1, 9, 90)
    assert found[1:] == (low, high)
    assert found[0] == pytest.approx(cost, abs=6e-4)


# --- a second opinion on the laws


@pytest.mark.slow
def test_laws_against_another_library():
    stats = pytest.importorskip("scipy.stats", reason="scipy is not installed")
    places = np.arange(600)
    for mean, variance in ((0.01, 0.01), (0.3, 0.9), (4, 4), (7.5, 60), (150, 900), (1, 1.0001)):
        ours = weekly_chances([counted_law(mean, variance)], [1], 600)[0]
        if variance == mean:
            theirs = stats.poisson.pmf(places, mean)
        else:
            theirs = stats.nbinom.pmf(places, mean**2 / (variance - mean), mean / variance)
        assert ours == pytest.approx(theirs, abs=1e-11)


@pytest.mark.slow
def test_several_weeks_against_another_library():
    """The use of five weeks is again negative binomial, with five times the shape."""
    stats = pytest.importorskip("scipy.stats", reason="scipy is not installed")
    mean, variance = 1.3, 3.0
    ours = over_weeks(weekly_chances([counted_law(mean, variance)], [1], 512), [5])[0]
    theirs = stats.nbinom.pmf(np.arange(512), 5 * mean**2 / (variance - mean), mean / variance)
    assert ours == pytest.approx(theirs, abs=1e-13)


def test_the_best_batch_against_a_general_solver():
    """Example 5.1 again: a general-purpose minimiser, given the closed normal loss, finds the published pair,
    and our own cost there is the same.
    """
    optimize = pytest.importorskip("scipy.optimize", reason="scipy is not installed")
    integrate = pytest.importorskip("scipy.integrate")
    mean, deviation = 1300 / 12, 150 / sqrt(12)

    def loss(level):
        z = (level - mean) / deviation
        return deviation * (np.exp(-z * z / 2) / sqrt(2 * np.pi) - z * 0.5 * (1 - erf(z / sqrt(2))))

    def cost(pair):
        point, batch = pair
        lacks = integrate.quad(loss, point, point + batch)[0] / batch
        return 8 * 1300 / batch + 0.225 * (point + batch / 2 - mean + lacks) + 7.5 * lacks

    found = optimize.minimize(cost, (110, 300), method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-10})
    assert found.x == pytest.approx((126.87, 328.45), abs=0.02)
    assert found.fun == pytest.approx(78.07115, abs=1e-4)
    ours = shortage(normal(mean, deviation, 0.01, 1 << 16))[0]
    own_cost = batch_cost(ours, mean, (8, 0.225, 7.5, 1300), np.round(found.x, 2), 0.01)
    assert own_cost == pytest.approx(found.fun, abs=1e-4)
