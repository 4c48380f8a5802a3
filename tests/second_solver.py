"""A second opinion on a choice of bundles, from another solver, in a process of its own.

Both solvers bring the same library along under the same names, so they cannot live in one process. The
question comes as JSON on standard input, the answer goes as JSON to standard output:

    {"bundles": [{"rank", "period", "asks": [[units, [[penalty, [[resource, used], ...]], ...]], ...],
                  "yields": [[resource, units, period], ...]}, ...],
     "supplies": [[[period, units], ...], ...]}

    {"proven": true, "counts": [taken of each rank, lowest rank first], "penalty": 0, "periods": 0}

Written from the rules of choosing, not from the code that it is held against: nothing is reduced, every bundle
and every option has a variable of its own.
"""

import json
import sys
from collections import defaultdict


def choose(question):
    """The most of each rank in turn, then the least penalty, then the least sum of periods."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    bundles = question["bundles"]
    taken = [model.new_bool_var("") for _ in bundles]
    moves, penalty = state(model, bundles, taken)
    for resource, incoming in enumerate(question["supplies"]):
        hold(model, incoming, moves[resource])
    ranks = sorted({each["rank"] for each in bundles})
    aims = [
        -sum(take for each, take in zip(bundles, taken, strict=True) if each["rank"] == rank)
        for rank in ranks
    ]
    aims += [penalty, sum(each["period"] * take for each, take in zip(bundles, taken, strict=True))]
    reached, proven = [], True
    for aim in aims:
        value, optimal = least(model, aim)
        proven = proven and optimal
        reached.append(value)
        model.add(aim <= value)
    *counts, penalties, periods = reached
    return {
        "proven": proven,
        "counts": [-each for each in counts],
        "penalty": penalties,
        "periods": periods,
    }


def state(model, bundles, taken):
    """By resource and period what is used (counted up) and given (counted down); and the penalty."""
    moves = defaultdict(lambda: defaultdict(list))
    penalties = []
    for bundle, take in zip(bundles, taken, strict=True):
        for units, options in bundle["asks"]:
            shares = [model.new_int_var(0, units, "") for _ in options]
            model.add(sum(shares) == units * take)
            for share, (penalty, uses) in zip(shares, options, strict=True):
                penalties.append(penalty * share)
                for resource, used in uses:
                    moves[resource][bundle["period"]].append(used * share)
        for resource, units, period in bundle["yields"]:
            moves[resource][period].append(-units * take)
    return moves, sum(penalties)


def hold(model, incoming, moves):
    """What is used up to each period is no more than what is there up to it."""
    for period in sorted(moves):
        so_far = [term for other, terms in moves.items() if other <= period for term in terms]
        model.add(sum(so_far) <= sum(units for came, units in incoming if came <= period))


def least(model, aim):
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 60
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = 1
    model.minimize(aim)
    status = solver.solve(model)
    return round(solver.objective_value), status == cp_model.OPTIMAL


if __name__ == "__main__":
    json.dump(choose(json.load(sys.stdin)), sys.stdout)
