"""What a record says of a part's use, and what its kin add to it, by hand."""

from fractions import Fraction

import pytest

from reconcile.plan.levels.pools import (
    LEAST_PARTS,
    MOST_WEIGHT,
    Member,
    pooled,
    pooled_chance,
    pooled_ratios,
    priors,
    quantiles,
)
from reconcile.plan.levels.record import (
    JEFFREYS,
    KEPT,
    MEMORY,
    NOTHING_KNOWN,
    Prior,
    chance_of,
    record_of,
    sizes_of,
)
from reconcile.standards.threads import metric_thread
from reconcile.values.stock.parts import Bolt, Part


def test_a_record_counts_the_fresher_weeks_for_more():
    record = record_of((2, 0, 3))
    assert record.hits == pytest.approx(1 + KEPT**2)
    assert record.weeks == pytest.approx(1 + KEPT + KEPT**2)
    assert record.sizes == {2: pytest.approx(KEPT**2), 3: 1} and record.uses == 2
    assert record_of(()).weeks == 0


def test_no_record_counts_for_more_than_its_memory():
    assert record_of((1,) * 5000).weeks == pytest.approx(MEMORY)
    assert pytest.approx(0.363, abs=0.001) == KEPT**MEMORY  # nearly 1 / e


def test_the_floor_is_half_a_week_and_never_nothing():
    first, second = chance_of(record_of((0,) * 5000))
    assert (first, second) == (JEFFREYS[0], pytest.approx(JEFFREYS[1] + MEMORY))
    # One use ten years ago: a chance of half a week in forty, not of nothing and not of one in two.
    first, second = chance_of(record_of((1, *[0] * 520)))
    assert 0.012 < first / (first + second) < 0.013


def test_sizes_are_its_own_the_fresher_ones_for_more():
    shares = sizes_of(record_of((1, 0, 5)))
    assert shares == {1: pytest.approx(KEPT**2 / (1 + KEPT**2)), 5: pytest.approx(1 / (1 + KEPT**2))}
    assert sizes_of(record_of((0, 0))) == {}


def test_kin_have_the_weight_of_one_use_among_the_sizes():
    prior = Prior(ratios=(0.5, 2.0), kin="bolt", parts=9)
    shares = sizes_of(record_of((4, 4)), prior)
    assert shares == {4: pytest.approx(2 / 3), 2: pytest.approx(1 / 6), 8: pytest.approx(1 / 6)}
    # Nothing below the lot.
    assert sizes_of(record_of((1,)), prior) == {1: pytest.approx(3 / 4), 2: pytest.approx(1 / 4)}


def test_parts_that_are_all_alike_tell_the_most():
    """Every part used in a tenth of its weeks: no more apart than chance, or less."""
    own = [record_of((0,) * 5 + (1,) + (0,) * 4) for _ in range(12)]
    first, second = pooled_chance(own)
    assert first + second == MOST_WEIGHT
    assert first / (first + second) == pytest.approx(own[0].hits / own[0].weeks)


def test_parts_that_differ_tell_little():
    """Half always used, half never: a variance of m (1 - m). A part's own first week outweighs them."""
    own = [record_of((1,) * 40) for _ in range(10)] + [record_of((0,) * 40) for _ in range(10)]
    first, second = pooled_chance(own)
    assert first == pytest.approx(second) == 0.25
    assert pooled_chance([record_of(())] * 3) == JEFFREYS


def test_moments_find_the_law_that_chances_were_drawn_from():
    numpy = pytest.importorskip("numpy")
    dice = numpy.random.default_rng(5)
    chances = dice.beta(0.8, 3.2, 4000)
    records = [record_of(tuple(int(hit) for hit in dice.random(60) < chance)) for chance in chances]
    first, second = pooled_chance(records)
    assert first / (first + second) == pytest.approx(0.2, abs=0.01)
    # Faded weeks are fewer than they count for, and so look wider apart than they are.
    assert 2.5 < first + second < 4.5


def test_sizes_of_kin_are_told_over_their_means():
    one, other = record_of((2, 2, 2)), record_of((10, 30, 20))
    ratios = pooled_ratios([one, other, record_of((7,))])
    assert ratios[0] == pytest.approx(0.5, abs=0.02) and ratios[-1] == pytest.approx(1.5, abs=0.05)
    assert ratios[2] == 1
    assert pooled_ratios([record_of((7,))]) == ()


def test_quantiles_by_weight():
    assert quantiles({1.0: 1, 2.0: 8, 3.0: 1}) == (1.0, 2.0, 2.0, 2.0, 2.0)
    assert quantiles({}) == ()


def bolt(number, head):
    return Part(number, kind="bolt", bolt=Bolt(metric_thread(Fraction(6)), Fraction(30), head))


def test_the_nearest_circle_that_is_large_enough_tells():
    used = record_of((1, 0, 1))
    socket = [Member(bolt(f"S{number}", "socket cap"), used) for number in range(LEAST_PARTS)]
    hexagon = [Member(bolt("H1", "hexagon"), used)]
    found = priors([*socket, *hexagon, Member(Part("CUP"), used)])
    assert found["S0"].kin == "bolt, socket cap" and found["S0"].parts == LEAST_PARTS
    assert found["H1"].kin == "bolt" and found["CUP"].kin == "any kind"
    assert priors([Member(Part("CUP"), used)])["CUP"] == NOTHING_KNOWN


def test_a_circle_that_is_hardly_used_tells_nothing():
    idle = [Member(Part(f"I{number}"), record_of((0, 0))) for number in range(20)]
    assert priors([*idle, Member(Part("X"), record_of((1, 1)))])["X"] == NOTHING_KNOWN
    assert pooled([record_of((1, 0))]).parts == 1
