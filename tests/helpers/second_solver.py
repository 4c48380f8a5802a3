"""The choice of kits by OR-Tools CP-SAT, from the rule as a stores clerk would state it. Run as a script.

It shares no code with the project and models the week another way: a shelf for each part that is carried
from one day to the next, may never fall below nothing, and is drawn on by whole jobs, one yes or no each. Of
a part that can still be ordered in time the shelf may fall below nothing from that day on.
The two solvers cannot share a process, so a week comes in on standard input and the answer goes out on
standard output, both as JSON.

In, a list of weeks::

    {"jobs": [{"priority": 1, "day": 2, "row": 7,
               "chairs": 2,
               "lines": [{"units": 3, "joint": "upper front",
                          "choices": [{"parts": [[part, each], ...], "substitute": 0}, ...]}, ...],
               "gives": [[part, quantity, day], ...]}, ...],
     "parts": [[[day, quantity], ...], ...], "prices": [price, ...],
     "opens": [day or null, ...], "early": 5}

The units of a line are those of one chair. Lines that name one joint (both sides of it) are served on each
chair by one and the same choice; a line that names none is served unit by unit, all chairs together.

Out, for each week in turn, ``aims`` and ``proven``, one for each aim; an aim that is not proven is the last.
The aims are how many jobs of each priority, the substitute units, the sum of days, the sum of rows. Where
``opens`` tells from which day on each part can be had in time, the aims after the priorities are the
substitute units of jobs up to the day ``early`` and of all, and the units that lack of each part at the most,
up to that day and ever; then the sums of days and rows. Where prices are told every job is to be done and
parts are bought, there from the start: then the aims are the units bought and what they cost.
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
        self.opens, self.early = told.get("opens", []), told.get("early", 0)
        self.model = cp_model.CpModel()
        self.done = [self.model.new_bool_var(f"row {job['row']}") for job in self.jobs]
        self.substitutes: list[tuple[int, Any]] = []
        """The day and the units."""
        self.lacks: list[tuple[Any, Any]] = []
        """Of each part that can be ordered: the most that lacks up to the day ``early``, and ever."""
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
        """On each chair of a job that is done one choice serves a joint; other lines are served by units."""
        chosen: dict[tuple[str, int], list[Any]] = {}
        for line in job["lines"]:
            if not line["joint"]:
                self.serve_by_units(job, line, done)
                continue
            for chair in range(job["chairs"]):
                key = (line["joint"], chair)
                if key not in chosen:
                    chosen[key] = [self.model.new_bool_var("") for _ in line["choices"]]
                    self.model.add(sum(chosen[key]) == done)
                for choice, picked in zip(line["choices"], chosen[key], strict=True):
                    self.take(job, choice, line["units"] * picked)

    def serve_by_units(self, job: dict[str, Any], line: dict[str, Any], done: Any) -> None:
        whole = line["units"] * job["chairs"]
        units = [self.model.new_int_var(0, whole, "") for _ in line["choices"]]
        self.model.add(sum(units) == whole * done)
        for choice, served in zip(line["choices"], units, strict=True):
            self.take(job, choice, served)

    def take(self, job: dict[str, Any], choice: dict[str, Any], units: Any) -> None:
        self.substitutes.append((job["day"], choice["substitute"] * units))
        for part, each in choice["parts"]:
            self.move(part, job["day"], -each * units)

    def buy(self, part: int) -> Any:
        for done in self.done:
            self.model.add(done == 1)
        bought = self.model.new_int_var(0, self.most_wanted(part), f"bought of part {part}")
        self.move(part, 0, bought)
        return bought

    def most_wanted(self, part: int) -> int:
        return sum(
            line["units"] * job["chairs"] * each
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
        opens = self.opens[part] if self.opens else None
        lacks = [self.model.new_int_var(0, most, "") for _ in range(2)]
        before: Any = 0
        for day in days:
            ordered = opens is not None and day >= opens
            shelf = self.model.new_int_var(-most if ordered else 0, most, f"part {part}, day {day}")
            self.model.add(shelf == before + sum(self.moves[part, day]))
            for lack in lacks[day > self.early :] if ordered else ():
                self.model.add(lack + shelf >= 0)
            before = shelf
        self.lacks.append((lacks[0], lacks[1]))

    def aims(self) -> list[tuple[Any, bool]]:
        """What is wanted, the weightiest first, and whether it is the most that is wanted."""
        if self.prices:
            cost = sum(price * bought for price, bought in zip(self.prices, self.bought, strict=True))
            return [(sum(self.bought), False), (cost, False)]
        pairs = list(zip(self.jobs, self.done, strict=True))
        urgent_first = sorted({job["priority"] for job in self.jobs})
        early = [(sum(units for day, units in self.substitutes if day <= self.early), False)]
        lacks = [(sum(each[place] for each in self.lacks), False) for place in (0, 1)]
        return [
            *((sum(done for job, done in pairs if job["priority"] == each), True) for each in urgent_first),
            *(early if self.opens else []),
            (sum(units for _, units in self.substitutes), False),
            *(lacks if self.opens else []),
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
