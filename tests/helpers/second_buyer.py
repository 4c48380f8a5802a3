"""The cheapest lots and rounds of orders by OR-Tools CP-SAT, as whole-number programmes. Run as a script.

It shares no code with the project and models both another way: every single pack is bought in one period at
one price step; every line is in one round. The two solvers cannot share a process, so questions come in on
standard input and answers go out on standard output, both as JSON lists. Money and quantities are whole small
units.

A lot::

    {"ask": "lot", "required": [units, ...], "pack": units, "least": packs, "order_cost": money,
     "steps": [{"from": packs, "fixed": money, "pack": money, "kept": money}, ...]}

A step costs ``fixed`` once, ``pack`` for each pack, and ``kept`` for each unit of the order that is kept at
the end of a period. The answer is the least cost, or None where it was not proven in time.

Rounds::

    {"ask": "rounds", "lines": [[value, latest], ...], "minimum": value, "charge": money,
     "free_from": value or null, "order_cost": money, "week": money}

``week`` is what one unit of value costs for each week early. The answer is [missed of minimums, cost], or
None where it was not proven in time.
"""

import json
import sys
from typing import Any

from ortools.sat.python import cp_model

MOST_SECONDS = 20.0


def least(model: Any, aim: Any) -> int | None:
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = MOST_SECONDS
    solver.parameters.num_workers = 1
    model.minimize(aim)
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None


def lot(told: dict[str, Any]) -> int | None:
    model, required, pack, steps = cp_model.CpModel(), told["required"], told["pack"], told["steps"]
    periods = range(len(required))
    most = -(-required[-1] // pack) + max(told["least"], steps[-1]["from"])
    # there[t][n]: pack n has been bought by the end of period t. Packs are bought, and used, in their order.
    there = [[model.new_bool_var("") for _ in range(most)] for _ in periods]
    costs = []
    for period in periods:
        now = there[period]
        before = there[period - 1] if period else [0] * most
        for number in range(most - 1):
            model.add(now[number] >= now[number + 1])
        for number in range(most):
            model.add(now[number] >= before[number])
        model.add(sum(now) * pack >= required[period])
        size = sum(now) - sum(before)
        at = [model.new_bool_var("") for _ in steps]
        used = model.new_bool_var("")
        model.add(sum(at) == used)
        model.add(size <= most * used)
        model.add(size >= told["least"] * used)
        for place, (step, chosen) in enumerate(zip(steps, at, strict=True)):
            model.add(size >= step["from"]).only_enforce_if(chosen)
            if place + 1 < len(steps):
                model.add(size <= steps[place + 1]["from"] - 1).only_enforce_if(chosen)
            costs.append(chosen * step["fixed"])
            for number in range(most):
                own = model.new_bool_var("")
                model.add(own >= chosen + now[number] - before[number] - 1)
                first = number * pack
                kept = sum(min(max(first + pack - each, 0), pack) for each in required[period:])
                costs.append(own * (step["pack"] + step["kept"] * kept))
        costs.append(used * told["order_cost"])
    return least(model, sum(costs))


def rounds(told: dict[str, Any]) -> list[int] | None:
    missed = least(*rounds_model(told, None))
    if missed is None:
        return None
    cost = least(*rounds_model(told, missed))
    return None if cost is None else [missed, cost]


def rounds_model(told: dict[str, Any], missed: int | None) -> tuple[Any, Any]:
    """The model with its aim: least missed of minimums, or, where that is told, least cost."""
    model, lines = cp_model.CpModel(), told["lines"]
    weeks = range(max(latest for _, latest in lines) + 1)
    week_of = [model.new_int_var(0, latest, "") for _, latest in lines]
    costs = [
        told["week"] * value * (latest - week) for (value, latest), week in zip(lines, week_of, strict=True)
    ]
    below = []
    for week in weeks:
        here = [model.new_bool_var("") for _ in lines]
        for own, chosen in zip(week_of, here, strict=True):
            model.add(own == week).only_enforce_if(chosen)
            model.add(own != week).only_enforce_if(chosen.negated())
        goods = sum(value * chosen for (value, _), chosen in zip(lines, here, strict=True))
        used, free = model.new_bool_var(""), model.new_bool_var("")
        model.add(sum(here) <= len(lines) * used)
        model.add(sum(here) >= used)
        miss = model.new_int_var(0, told["minimum"], "")
        model.add(goods + miss >= told["minimum"] * used)
        below.append(miss)
        if told["free_from"] is None:
            model.add(free == 0)
        else:
            model.add(goods >= told["free_from"]).only_enforce_if(free)
        charged = model.new_bool_var("")
        model.add(charged >= used - free)
        costs += [told["charge"] * charged, told["order_cost"] * used]
    if missed is None:
        return model, sum(below)
    model.add(sum(below) <= missed)
    return model, sum(costs)


if __name__ == "__main__":
    ways = {"lot": lot, "rounds": rounds}
    print(json.dumps([ways[each["ask"]](each) for each in json.load(sys.stdin)]))
