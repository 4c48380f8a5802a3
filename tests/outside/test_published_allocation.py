"""Money dealt out among parts, held to the published single-site model; and every law to scipy's.

Sources, all from memory: G. J. Feeney and C. C. Sherbrooke, "The (s-1, s) inventory policy under compound
Poisson demand", *Management Science* 12 (1966), 391-411: what is owed depends on the mean of what is in the
pipeline alone. C. C. Sherbrooke, *Optimal Inventory Modeling of Systems*, 1992, chapter 2: two items, with
pipelines of 1 and 4 and costs of 5 and 1, and the order in which marginal analysis buys them. Of the repair
kit of Smith, Chambers and Shlifer (1980) no printed data is remembered with its result; kits are held to
every choice there is (``tests/plan/levels/money/test_kits_for_money.py``).
"""

from math import exp, factorial

import numpy as np
import pytest
from scipy import stats

from reconcile.plan.levels.money.marginal import Options, steps
from reconcile.plan.levels.service import Ordering, curves, room
from reconcile.plan.levels.weekly_laws import (
    counted_law,
    own_sizes_law,
    reach,
    record_law,
    spans_of,
    weekly_chances,
)


def owed(pipeline, weeks=4):
    """What is owed in the mean, for stock 1, 2, ..., where a part is ordered one for one."""
    law, ordering = counted_law(pipeline / weeks, pipeline / weeks), Ordering(1, lead_weeks=weeks - 1)
    length = 1 << (room(reach(law, weeks) + 1, ordering) - 1).bit_length()
    return curves(weekly_chances([law], [1], length), [ordering]).owed[0]


def owed_by_hand(pipeline, stock):
    """The loss of the Poisson law, term by term."""
    terms = (exp(-pipeline) * pipeline**count / factorial(count) for count in range(60))
    return sum((count - stock) * term for count, term in enumerate(terms) if count > stock)


@pytest.mark.parametrize("pipeline", [1, 4])
def test_what_is_owed_is_that_of_the_pipeline(pipeline):
    """Feeney and Sherbrooke: however long the lead time, given its mean use."""
    for weeks in (1, 2, 4):
        found = owed(pipeline, weeks)
        for stock in range(1, 9):
            assert found[stock - 1] == pytest.approx(owed_by_hand(pipeline, stock), abs=1e-9)


def test_the_two_items_are_bought_in_the_published_order():
    """Item 2 six times over, for 0.98 to 0.22 less owed for each unit of money; the first of item 1, 0.13,
    the seventh of item 2, 0.11, and the second of item 1, 0.053, before the eighth of item 2, 0.051.
    """
    assert [round(owed_by_hand(1, stock), 3) for stock in range(4)] == [1.0, 0.368, 0.104, 0.023]
    parts = []
    for pipeline, cost in ((1, 5), (4, 1)):
        gains = [-float(pipeline), *(-owed(pipeline)[:12]).tolist()]
        parts.append(Options([cost * stock for stock in range(13)], gains))
    bought = [step.part for _, step in zip(range(9), steps(parts), strict=False)]
    assert bought == [1, 1, 1, 1, 1, 1, 0, 1, 0]
    first = next(steps(parts))
    assert first.gain == pytest.approx(-(1 + owed_by_hand(4, 1)))


# --- laws


@pytest.mark.parametrize(("mean", "factor"), [(0.3, 1), (4, 1), (0.3, 3), (4, 2.5)])
def test_counted_laws_are_scipys(mean, factor):
    law = counted_law(mean, mean * factor)
    length = reach(law, 1) + 1
    (found,) = weekly_chances([law], [1], length)
    shape = mean / (factor - 1) if factor > 1 else 0
    theirs = stats.nbinom(shape, 1 / factor) if factor > 1 else stats.poisson(mean)
    assert found == pytest.approx(theirs.pmf(np.arange(length)), abs=1e-12)


def folded(sizes, uses, length):
    law = np.zeros(length)
    law[0] = 1
    for _ in range(uses):
        law = np.convolve(law, sizes)[:length]
    return law


@pytest.mark.parametrize("chance", [(0.5, 40.0), (2.3, 7.0), (30.0, 0.5)])
@pytest.mark.parametrize("weeks", [0, 1, 5])
def test_the_law_of_a_record_is_scipys_beta_binomial_of_sizes(chance, weeks):
    law = record_law(chance, {1: 0.7, 3: 0.3})
    weekly = weekly_chances([law], [2], 128)
    spans = spans_of([law], weekly, [weeks])
    sizes = np.zeros(128)
    sizes[[2, 6]] = 0.7, 0.3
    for found, more, after in ((spans.lead, 0, 0), (spans.whole, 1, 0), (spans.after_use, 0, 1)):
        count = stats.betabinom(weeks + more, chance[0] + after, chance[1])
        plain = sum(count.pmf(uses) * folded(sizes, uses, 128) for uses in range(weeks + more + 1))
        assert found[0] == pytest.approx(plain, abs=1e-12)


def test_a_known_chance_is_the_binomial_of_sizes():
    law = own_sizes_law(0.8, [2, 2, 8])
    weekly = weekly_chances([law], [1], 128)
    found = spans_of([law], weekly, [3]).lead[0]
    sizes = np.zeros(128)
    sizes[[2, 8]] = 2 / 3, 1 / 3
    plain = sum(stats.binom(3, 0.2).pmf(uses) * folded(sizes, uses, 128) for uses in range(4))
    assert found == pytest.approx(plain, abs=1e-9)
