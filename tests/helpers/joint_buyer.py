"""All lots and orders of one supplier at once by OR-Tools CP-SAT, in whole numbers. Run as a script.

It shares no code with the project. Questions come in on standard input and answers go out on standard output,
both as JSON lists. Money is whole small units. A question::

    {"parts": [{"required": [units, ...], "pack": units, "price": money, "kept": money}, ...],
     "order_cost": money, "charge": money, "free_from": money or null}

``required`` is what must have been bought by the end of each week; ``kept`` what a unit costs at the end of
each week at which it is there and not yet required. A week with an order costs ``order_cost``, and ``charge``
unless its goods reach ``free_from``. The answer is the least cost, or None where it was not proven in time.
"""

import json
import sys
from typing import Any

from ortools.sat.python import cp_model

MOST_SECONDS = 10.0


def least(told: dict[str, Any]) -> int | None:
    model = cp_model.CpModel()
    weeks = range(len(told["parts"][0]["required"]))
    costs: list[Any] = []
    goods: list[list[Any]] = [[] for _ in weeks]
    used = [model.new_bool_var("") for _ in weeks]
    for part in told["parts"]:
        most = -(-part["required"][-1] // part["pack"])
        bought = 0
        for week in weeks:
            packs = model.new_int_var(0, most, "")
            model.add(packs <= most * used[week])
            bought = bought + packs * part["pack"]
            model.add(bought >= part["required"][week])
            value = packs * (part["pack"] * part["price"])
            goods[week].append(value)
            costs += [value, (bought - part["required"][week]) * part["kept"]]
    for week in weeks:
        charged = model.new_bool_var("")
        costs += [used[week] * told["order_cost"], charged * told["charge"]]
        if told["free_from"] is None:
            model.add(charged >= used[week])
        else:
            free = model.new_bool_var("")
            model.add(sum(goods[week]) >= told["free_from"]).only_enforce_if(free)
            model.add(charged + free >= used[week])
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = MOST_SECONDS
    solver.parameters.num_workers = 1
    model.minimize(sum(costs))
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None


if __name__ == "__main__":
    print(json.dumps([least(told) for told in json.load(sys.stdin)]))
