"""The programme room on published integer programmes.

The 0-1 knapsack problems in many dimensions are J. E. Beasley's OR-Library, file mknap1, from C. C. Petersen,
"Computational experience with variants of the Balas algorithm applied to the selection of R&D projects",
Management Science 13(9), 1967, pp. 736-750. They are third-party data and are read where they are kept beside
the project; where they are not, the test is skipped.
"""

import json
from pathlib import Path

import pytest

from reconcile.plan.solver.programme import INFINITE, Programme, Stage, solve

BESIDE = Path(__file__).resolve().parents[3] / "shared" / "checks.json"
LIBRARY = {
    each["source"].split(" (")[0]: each
    for each in (json.loads(BESIDE.read_text(encoding="utf-8")) if BESIDE.is_file() else [])
    if each["source"].startswith("OR-Library mknap1 ")
}
TENTHS = 10
"""Values are whole or have one decimal."""


def best(values, rows, capacities, upper):
    programme = Programme()
    columns = [programme.column(0, upper, whole=True) for _ in values]
    for uses, capacity in zip(rows, capacities, strict=True):
        programme.row(
            -INFINITE, capacity, {column: each for column, each in zip(columns, uses, strict=True) if each}
        )
    costs = {column: round(value * TENTHS) for column, value in zip(columns, values, strict=True)}
    outcome = solve(programme, [Stage(costs, most=True)], patience=60)
    taken = [round(outcome.values[column]) for column in columns]
    for uses, capacity in zip(rows, capacities, strict=True):
        assert sum(use * count for use, count in zip(uses, taken, strict=True)) <= capacity
    return outcome.stages[0].value / TENTHS, outcome.proven, taken


@pytest.mark.skipif(not LIBRARY, reason="the OR-Library's problems are not beside the project")
@pytest.mark.parametrize("name", sorted(LIBRARY) or ["absent"])
def test_a_published_knapsack_problem_reaches_its_published_optimum(name):
    given, expected = LIBRARY[name]["inputs"], LIBRARY[name]["expected"]
    value, proven, taken = best(given["values"], given["usage_rows"], given["capacity"], 1)
    assert (value, proven) == (pytest.approx(expected["optimum"]), True)
    if expected["number_of_optima"] == 1:
        assert taken == expected["an_optimal_selection"]


def test_two_products_share_three_limited_parts():
    # Hillier and Lieberman, Introduction to Operations Research, ch. 3, Wyndor Glass Co. (from memory).
    assert best([3, 5], [[1, 0], [0, 2], [3, 2]], [4, 12, 18], INFINITE) == (36, True, [2, 6])


def test_soldiers_and_trains():
    # W. L. Winston, Operations Research, ch. 3, Giapetto's Woodcarving (from memory).
    assert best([3, 2], [[2, 1], [1, 1], [1, 0]], [100, 80, 40], INFINITE) == (180, True, [20, 60])
