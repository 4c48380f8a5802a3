"""The integer programme by itself: stages, bounds, patience. Small programmes, worked by hand."""

import itertools
import random
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.plan.solver import programme as programme_room
from reconcile.plan.solver.programme import INFINITE, Programme, RowTable, Stage, solve


def knapsack(values, rows, capacities, upper=1):
    """Columns of one kind, taken at most ``upper`` times each, under ``rows`` of use and capacity."""
    programme = Programme()
    columns = [programme.column(0, upper, whole=True) for _ in values]
    for uses, capacity in zip(rows, capacities, strict=True):
        programme.row(-INFINITE, capacity, dict(zip(columns, uses, strict=True)))
    return programme, Stage(dict(zip(columns, values, strict=True)), most=True)


def test_the_best_of_one_stage():
    # 3 + 4 weigh 5, the most that fits; 5 alone weighs 5 and is worth 6 < 7.
    programme, stage = knapsack([3, 4, 6], [[2, 3, 5]], [5])
    outcome = solve(programme, [stage])
    assert [round(value) for value in outcome.values] == [1, 1, 0]
    assert (outcome.stages[0].value, outcome.stages[0].proven, outcome.proven) == (7, True, True)


def test_a_later_stage_keeps_what_an_earlier_one_reached():
    # Two of three may be taken; the second stage wants the least cost, and not to take none.
    programme, most = knapsack([1, 1, 1], [[1, 1, 1]], [2])
    outcome = solve(programme, [most, Stage({0: 5, 1: 1, 2: 2})])
    assert [round(value) for value in outcome.values] == [0, 1, 1]
    assert [stage.value for stage in outcome.stages] == [2, 3]


def test_a_stage_that_the_bounds_settle_is_proven_without_the_solver():
    programme, most = knapsack([1, 1], [[1, 1]], [2])
    outcome = solve(programme, [most, Stage({0: 0, 1: 0}), Stage({0: 1}, most=True)])
    assert [(stage.value, stage.proven) for stage in outcome.stages] == [(2, True), (0, True), (1, True)]


def test_no_solution_has_no_values():
    programme = Programme()
    column = programme.column(0, 1, whole=True)
    programme.row(2, INFINITE, {column: 1})
    outcome = solve(programme, [Stage({column: 1})])
    assert (outcome.values, outcome.finished, outcome.proven) == ((), False, False)


def test_without_patience_nothing_is_proven():
    programme, stage = knapsack([3, 4, 6], [[2, 3, 5]], [5])
    outcome = solve(programme, [stage], patience=0)
    assert (outcome.values, outcome.proven) == ((), False)


def hard():
    """100 things under ten limits at once, each worth about what it uses: half a minute and more to prove."""
    dice = random.Random(4)
    uses = [[dice.randint(20, 99) for _ in range(100)] for _ in range(10)]
    values = [sum(each) // 10 + dice.randint(-9, 9) for each in zip(*uses, strict=True)]
    return knapsack(values, uses, [sum(each) // 2 for each in uses])


def test_a_stage_that_runs_out_of_time_tells_what_it_may_miss():
    programme, stage = hard()
    outcome = solve(programme, [stage, Stage({0: 1})], patience=1)
    (reached, *_) = outcome.stages
    assert (reached.proven, outcome.proven, outcome.finished) == (False, False, False)
    assert reached.bound > reached.value > 0
    assert reached.gap == reached.bound - reached.value
    # What was found is a solution, of the value told.
    assert reached.value == sum(stage.costs[column] * round(outcome.values[column]) for column in stage.costs)
    for _, capacity, entries in programme.rows:
        assert sum(use * round(outcome.values[column]) for column, use in entries.items()) <= capacity


def test_a_weighty_stage_keeps_its_share_of_the_patience():
    # The first stage would use all of it up; a tenth is kept for the second.
    programme, stage = hard()
    fewest = Stage(dict.fromkeys(stage.costs, 1))
    outcome = solve(programme, [stage, fewest, Stage({0: 1})], patience=1, weighty=2)
    assert len(outcome.stages) >= 2
    first, second, *_ = outcome.stages
    assert second.value == sum(round(each) for each in outcome.values)
    assert not first.proven
    assert first.value <= sum(stage.costs[column] * round(outcome.values[column]) for column in stage.costs)


def test_stages_come_one_after_another_whatever_their_size():
    # A unit of the first stage is worth more than any number of the second.
    programme, most = knapsack([1, 1, 1], [[1, 2, 3]], [3])
    outcome = solve(programme, [most, Stage({2: 1000}, most=True), Stage({1: 1}, most=True)])
    assert [round(value) for value in outcome.values] == [1, 1, 0]
    assert [stage.value for stage in outcome.stages] == [2, 0, 1]


def test_a_stage_without_costs_holds_nothing_back():
    programme, most = knapsack([1, 1], [[1, 1]], [1])
    outcome = solve(programme, [Stage({}), most, Stage({1: 1}, most=True)])
    assert [stage.value for stage in outcome.stages] == [0, 1, 1]
    assert outcome.proven


def test_the_same_programme_gives_the_same_answer():
    values, uses = [7, 7, 7, 5, 5, 9, 4, 4], [[3, 3, 3, 2, 2, 4, 1, 1]]
    outcomes = [
        solve(programme, [stage]) for programme, stage in (knapsack(values, uses, [9]) for _ in range(3))
    ]
    assert outcomes[0] == outcomes[1] == outcomes[2]


def searches_of(programme, stages, monkeypatch):
    """How often whole numbers were searched for."""
    counted = []
    search = programme_room.search
    monkeypatch.setattr(programme_room, "search", lambda *told: counted.append(told) or search(*told))
    solve(programme, stages)
    return len(counted)


def test_whole_numbers_are_searched_for_only_where_they_do_not_come_by_themselves(monkeypatch):
    # One of each of two: whole without a search. Of 2 + 2 within 3 only one and a half would be the best.
    apart, most = knapsack([1, 1, 1], [[1, 1, 0], [0, 0, 1]], [1, 1])
    assert searches_of(apart, [most, Stage({0: 1})], monkeypatch) == 0
    halves, most = knapsack([3, 3], [[2, 2]], [3])
    assert searches_of(halves, [most], monkeypatch) == 1


# --- any programme ------------------------------------------------------------------------------------------


@st.composite
def programmes(draw):
    """Up to five columns of whole numbers under up to three rows, and up to three stages."""
    columns, whole = draw(st.integers(1, 5)), Programme()
    for _ in range(columns):
        whole.column(0, draw(st.integers(0, 2)), whole=True)
    for _ in range(draw(st.integers(0, 3))):
        entries = {column: draw(st.integers(-2, 3)) for column in range(columns)}
        low, high = draw(st.sampled_from([(-INFINITE, 4), (-INFINITE, 3), (0, 5), (-1, INFINITE), (0, 0)]))
        whole.row(low, high, entries)
    costs = st.dictionaries(st.integers(0, columns - 1), st.integers(-3, 4))
    stages = draw(st.lists(st.builds(Stage, costs, most=st.booleans()), min_size=1, max_size=3))
    return whole, stages


def solutions(programme):
    for values in itertools.product(*(range(int(upper) + 1) for upper in programme.upper)):
        sums = [
            (low, sum(each * values[column] for column, each in row.items()), high)
            for low, high, row in programme.rows
        ]
        if all(low <= total <= high for low, total, high in sums):
            yield values


def value(stage, values):
    return sum(cost * values[column] for column, cost in stage.costs.items())


@pytest.mark.slow
@settings(max_examples=400)
@given(programmes())
def test_stages_reach_what_enumeration_reaches(told):
    programme, stages = told
    left, best = list(solutions(programme)), []
    for stage in stages if left else []:
        best.append((max if stage.most else min)(value(stage, each) for each in left))
        left = [each for each in left if value(stage, each) == best[-1]]
    outcome = solve(programme, stages)
    assert [each.value for each in outcome.stages] == best
    assert outcome.proven == bool(best)
    if best:
        assert tuple(round(each) for each in outcome.values) in left


@pytest.mark.slow
@settings(max_examples=200)
@given(programmes(), st.data())
def test_no_solution_costs_less_than_rows_however_weighed_say(told, data):
    programme, (stage, *_) = told
    table = RowTable(programme)
    one = st.integers(-8, 8).map(lambda each: each / 4)
    weights = data.draw(st.lists(one, min_size=len(programme.rows), max_size=len(programme.rows)))
    bound, _ = table.weighed(table.costs(stage), weights)
    for values in solutions(programme):
        assert (-value(stage, values) if stage.most else value(stage, values)) >= bound


def test_nothing_is_printed(capfd):
    programme, stage = knapsack([3, 4, 6], [[2, 3, 5]], [5])
    solve(programme, [stage])
    assert capfd.readouterr() == ("", "")


@pytest.mark.slow
@pytest.mark.parametrize("module", ["highspy", "numpy", "scipy"])
def test_the_solver_is_loaded_when_a_programme_is_solved_and_not_before(module):
    code = f"import sys, reconcile.plan.solver.programme, reconcile.week; print({module!r} in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
        == "False\n"
    )
