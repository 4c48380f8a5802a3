"""The integer programme by itself: stages, bounds, patience. Small programmes, worked by hand."""

import random
import subprocess
import sys

import pytest

from reconcile.plan.solver.programme import INFINITE, Programme, Stage, solve


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
