"""The choice of kits by OR-Tools CP-SAT, from the rule as a stores clerk would state it. Run as a script.

It shares no code with the project and models the week another way: a shelf for each part that is carried
from one day to the next, may never fall below nothing, and is drawn on by whole jobs, one yes or no each.
The two solvers cannot share a process, so a week comes in on standard input and the answer goes out on
standard output, both as JSON.

In, a list of weeks::

    {"jobs": [{"priority": 1, "day": 2, "row": 7,
               "lines": [{"units": 3,
                          "choices": [{"parts": [[part, each], ...], "substitute": 0}, ...]}, ...],
               "gives": [[part, quantity, day], ...]}, ...],
     "parts": [[[day, quantity], ...], ...], "prices": [price, ...],
     "open": [day or null, ...], "early": day}

Out, for each week in turn, ``aims`` and ``proven``, one for each aim; an aim that is not proven is the last.
The aims are how many jobs of each priority, the substitute units, the sum of days, the sum of rows. Where
prices are told every job is to be done and parts are bought, there from the start: then the aims are the
units bought and what they cost.

Where ``open`` is told, a part can be ordered for its day there and all later ones: what is ordered of it is
brought to the shelf on the day it lacks, and as little as can be is ordered. Then the aims are how many of
each priority, the substitutes up to the day ``early``, all of them, the units ordered up to that day, all of
those, the sum of days, the sum of rows.
"""

import json
import sys
from typing import Any

from ortools.sat.python import cp_model

MOST_SECONDS = 20.0
"""What one aim may take. A week that needs more is told as not proven."""


class Week:
    """Every job may be done or not; what is done is served whole; no shelf falls below nothing."""

    def __init__(self, told: dict[str, Any]) -> None:
        self.jobs, self.parts = told["jobs"], told["parts"]
        self.prices = told.get("prices", [])
        self.model = cp_model.CpModel()
        self.done = [self.model.new_bool_var(f"row {job['row']}") for job in self.jobs]
        self.substitutes: list[Any] = []
        self.early_substitutes: list[Any] = []
        self.open: list[int | None] = told.get("open", [])
        self.early: int = told.get("early", 0)
        self.ordered: list[Any] = []
        self.early_ordered: list[Any] = []
        self.moves: dict[tuple[int, int], list[Any]] = {}
        for job, done in zip(self.jobs, self.done, strict=True):
            self.serve(job, done)
            for part, quantity, day in job["gives"]:
                self.move(part, day, quantity * done)
        self.bought = [self.buy(part) for part, _ in enumerate(self.prices)]
        for part, receipts in enumerate(self.parts):
            for day, quantity in receipts:
                self.move(part, day, quantity)
            self.carry(part)

    def move(self, part: int, day: int, change: Any) -> None:
        self.moves.setdefault((part, day), []).append(change)

    def serve(self, job: dict[str, Any], done: Any) -> None:
        """Each unit of each line of a job that is done is served by exactly one choice."""
        for line in job["lines"]:
            units = [self.model.new_int_var(0, line["units"], "") for _ in line["choices"]]
            self.model.add(sum(units) == line["units"] * done)
            for choice, served in zip(line["choices"], units, strict=True):
                self.substitutes.append(choice["substitute"] * served)
                if job["day"] <= self.early:
                    self.early_substitutes.append(choice["substitute"] * served)
                for part, each in choice["parts"]:
                    self.move(part, job["day"], -each * served)

    def buy(self, part: int) -> Any:
        for done in self.done:
            self.model.add(done == 1)
        bought = self.model.new_int_var(0, self.most_wanted(part), f"bought of part {part}")
        self.move(part, 0, bought)
        return bought

    def most_wanted(self, part: int) -> int:
        return sum(
            line["units"] * each
            for job in self.jobs
            for line in job["lines"]
            for choice in line["choices"]
            for number, each in choice["parts"]
            if number == part
        )

    def carry(self, part: int) -> None:
        """What lies on the shelf at the end of a day is what lay there before, and what came and went."""
        days = sorted(day for each, day in self.moves if each == part)
        most = sum(quantity for _, quantity in self.parts[part]) + self.most_wanted(part)
        most += sum(quantity for job in self.jobs for each, quantity, _ in job["gives"] if each == part)
        before: Any = 0
        brought: list[tuple[int, Any]] = []
        for day in days:
            shelf = self.model.new_int_var(0, most, f"part {part}, day {day}")
            comes = self.bring(part, day, most, brought)
            self.model.add(shelf == before + sum(self.moves[part, day]) + comes)
            before = shelf
        self.ordered += [units for _, units in brought]
        self.early_ordered += self.least_early(part, days, most)

    def bring(self, part: int, day: int, most: int, brought: list[tuple[int, Any]]) -> Any:
        """What is ordered of a part for a day; nothing before it can be had."""
        first = self.open[part] if self.open else None
        if first is None or day < first:
            return 0
        units = self.model.new_int_var(0, most, f"ordered of part {part} for day {day}")
        brought.append((day, units))
        return units

    def least_early(self, part: int, days: list[int], most: int) -> list[Any]:
        """What is ordered up to the early day: no less than what lacks on any day."""
        first = self.open[part] if self.open else None
        if first is None or not any(first <= day <= self.early for day in days):
            return []
        units = self.model.new_int_var(0, most, f"ordered early of part {part}")
        for last in (day for day in days if first <= day <= self.early):
            self.model.add(units >= -sum(sum(self.moves[part, day]) for day in days if day <= last))
        return [units]

    def aims(self) -> list[tuple[Any, bool]]:
        """What is wanted, the weightiest first, and whether it is the most that is wanted."""
        if self.prices:
            cost = sum(price * bought for price, bought in zip(self.prices, self.bought, strict=True))
            return [(sum(self.bought), False), (cost, False)]
        pairs = list(zip(self.jobs, self.done, strict=True))
        urgent_first = sorted({job["priority"] for job in self.jobs})
        first = [(sum(done for job, done in pairs if job["priority"] == each), True) for each in urgent_first]
        early = [(sum(self.early_substitutes), False)] if self.open else []
        orders = [(sum(self.early_ordered), False), (sum(self.ordered), False)] if self.open else []
        return [
            *first,
            *early,
            (sum(self.substitutes), False),
            *orders,
            (sum(job["day"] * done for job, done in pairs), False),
            (sum(job["row"] * done for job, done in pairs), False),
        ]

    def solve(self) -> dict[str, Any]:
        reached: list[int] = []
        for aim, most in self.aims():
            solver = cp_model.CpSolver()
            solver.parameters.max_time_in_seconds = MOST_SECONDS
            solver.parameters.num_workers = 2
            solver.parameters.random_seed = 1
            (self.model.maximize if most else self.model.minimize)(aim)
            if solver.solve(self.model) != cp_model.OPTIMAL:
                return {"aims": reached, "proven": [True] * len(reached) + [False]}
            reached.append(round(solver.objective_value))
            self.model.add(aim == reached[-1])
            self.hint(solver)
        return {"aims": reached, "proven": [True] * len(reached)}

    def hint(self, solver: cp_model.CpSolver) -> None:
        """The next aim starts from what this one found."""
        self.model.clear_hints()
        for done in self.done:
            self.model.add_hint(done, solver.value(done))


if __name__ == "__main__":
    json.dump([Week(told).solve() for told in json.load(sys.stdin)], sys.stdout)
