"""A linear programme in whole numbers, solved stage by stage. Knows numbers only; the one user of the solver.

The solver is HiGHS through its own Python package, imported here when a programme is first solved: it loads
in a fifth of the time of the larger scientific library that also carries it, and it keeps the model from one
stage to the next.
"""

import time
from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import Any

from reconcile.values.records import dataclass

INFINITE = float("inf")


@dataclass(slots=True)
class Programme:
    """Columns with bounds, and rows of whole coefficients between bounds."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, Mapping[int, int]]] = field(default_factory=list)

    def column(self, lower: float = 0, upper: float = INFINITE, *, whole: bool = False) -> int:
        """Adds a column and returns its number."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.lower) - 1

    def row(self, lower: float, upper: float, entries: Mapping[int, int]) -> None:
        """Adds lower <= sum of coefficient x column <= upper."""
        self.rows.append((lower, upper, entries))


@dataclass(frozen=True, slots=True)
class Stage:
    """One aim: whole costs by column, to be made the least (or the most)."""

    costs: Mapping[int, int]
    most: bool = False


@dataclass(frozen=True, slots=True)
class Reached:
    """What a stage reached, and the best that it might have reached."""

    value: int
    bound: float
    proven: bool

    @property
    def gap(self) -> float:
        return abs(self.bound - self.value)


@dataclass(frozen=True, slots=True)
class ProgrammeOutcome:
    """A value for each column, and what each stage reached; no values where there is no solution."""

    values: tuple[float, ...]
    stages: tuple[Reached, ...]
    finished: bool = True
    """No stage was left undone."""

    @property
    def proven(self) -> bool:
        return self.finished and all(stage.proven for stage in self.stages)


def solve(
    programme: Programme, stages: Sequence[Stage], patience: float = INFINITE, weighty: int = 0
) -> ProgrammeOutcome:
    """The lexicographic best: each stage keeps what the stages before it reached.

    ``patience`` (seconds) is shared by all stages. A stage that runs out of it keeps the best found, and its
    bound says what it may miss; the stages after it are left undone, and their bounds are not known. A tenth
    of the patience is kept for each of the first ``weighty`` stages, so that none of these is left undone.
    The same programme gives the same answer, where time does not run out.
    """
    model = LoadedProgramme(programme)
    deadline = time.monotonic() + patience
    reached: list[Reached] = []
    for place, stage in enumerate(stages):
        kept = patience / 10 * max(weighty - place - 1, 0) if patience < INFINITE else 0
        left = deadline - kept - time.monotonic()
        result = model.settled(stage) or (model.run(stage, left) if left > 0 else None)
        if result is None:
            break
        reached.append(result)
        model.keep(stage, result.value)
    return ProgrammeOutcome(tuple(model.values), tuple(reached), len(reached) == len(stages))


class LoadedProgramme:
    """A programme inside the solver, with the best values found so far."""

    def __init__(self, programme: Programme) -> None:
        import highspy

        self._highspy: Any = highspy
        solver_class: Any = highspy.Highs
        self._solver = solver_class()
        self._columns = len(programme.lower)
        self._lower, self._upper = programme.lower, programme.upper
        self.values: list[float] = []
        for option, value in (
            ("output_flag", False), ("threads", 1), ("random_seed", 0),
            ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.99),
            ("mip_feasibility_tolerance", 1e-7), ("primal_feasibility_tolerance", 1e-8),
        ):  # fmt: skip
            self._solver.setOptionValue(option, value)
        self._solver.passModel(self._as_lp(programme))

    def _as_lp(self, programme: Programme) -> Any:
        import numpy

        highspy = self._highspy
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = self._columns, len(programme.rows)
        lp.col_cost_ = numpy.zeros(self._columns)
        lp.col_lower_ = numpy.array(programme.lower, dtype=float)
        lp.col_upper_ = numpy.array(programme.upper, dtype=float)
        lp.row_lower_ = numpy.array([row[0] for row in programme.rows], dtype=float)
        lp.row_upper_ = numpy.array([row[1] for row in programme.rows], dtype=float)
        starts: list[int] = [0]
        index: list[int] = []
        value: list[int] = []
        for _, _, entries in programme.rows:
            index.extend(entries.keys())
            value.extend(entries.values())
            starts.append(len(index))
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = numpy.array(starts)
        lp.a_matrix_.index_ = numpy.array(index)
        lp.a_matrix_.value_ = numpy.array(value, dtype=float)
        if any(programme.whole):
            kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
            lp.integrality_ = [kinds[whole] for whole in programme.whole]
        return lp

    def settled(self, stage: Stage) -> Reached | None:
        """What the values found so far reach, where no values whatever could reach more."""
        if not self.values:
            return None
        value = round(sum(cost * self.values[column] for column, cost in stage.costs.items()))
        return Reached(value, value, proven=True) if value == self._limit(stage) else None

    def _limit(self, stage: Stage) -> float:
        """The best that the columns' own bounds allow."""
        ends = [
            cost * (self._upper if (cost > 0) == stage.most else self._lower)[column]
            for column, cost in stage.costs.items()
            if cost
        ]
        return sum(ends)

    def run(self, stage: Stage, seconds: float) -> Reached | None:
        """Optimises one stage; None where no solution was found."""
        import numpy

        highspy, solver = self._highspy, self._solver
        costs = numpy.zeros(self._columns)
        for column, cost in stage.costs.items():
            costs[column] = cost
        solver.changeColsCost(self._columns, numpy.arange(self._columns, dtype=numpy.int32), costs)
        sense = highspy.ObjSense.kMaximize if stage.most else highspy.ObjSense.kMinimize
        solver.changeObjectiveSense(sense)
        if self.values:
            solution = highspy.HighsSolution()
            solution.col_value = self.values
            solver.setSolution(solution)
        solver.setOptionValue("time_limit", solver.getRunTime() + seconds)
        solver.run()
        return self._read(stage)

    def _read(self, stage: Stage) -> Reached | None:
        highspy, solver = self._highspy, self._solver
        info = solver.getInfo()
        optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        if not optimal and info.primal_solution_status != 2:
            return None
        self.values = list(solver.getSolution().col_value)
        value = round(sum(cost * self.values[column] for column, cost in stage.costs.items()))
        return Reached(value, value if optimal else info.mip_dual_bound, optimal)

    def keep(self, stage: Stage, value: int) -> None:
        """From now on the stage's value is no worse than what it reached."""
        import numpy

        entries = [(column, cost) for column, cost in stage.costs.items() if cost]
        if not entries:
            return
        low, high = (value, INFINITE) if stage.most else (-INFINITE, value)
        index = numpy.array([column for column, _ in entries], dtype=numpy.int32)
        costs = numpy.array([cost for _, cost in entries], dtype=float)
        self._solver.addRow(float(low), float(high), len(entries), index, costs)
