"""A linear programme in whole numbers, solved stage by stage. Knows numbers only; the one user of the solver.

The solver is HiGHS through its own Python package, imported here when a programme is first solved: it loads
in a fifth of the time of the larger scientific library that also carries it, and without whole numbers it
begins each stage where the one before it ended.
"""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from typing import Any

INFINITE = float("inf")

WHOLE = 1e-7
"""How far from a whole number a value may be that stands for it."""

SLACK = 1e-6
"""Of a sum of floats, what may be wrong with it: far more than their digits lose."""


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
    """A programme stage by stage, with the best values found so far.

    Each stage is first solved without its whole numbers, which takes little. Where what comes out is whole it
    is the answer; else whole numbers are searched for. Either way it is known which columns can no longer
    move, and the searches of the stages after it are so much smaller.
    """

    def __init__(self, programme: Programme) -> None:
        self._table = RowTable(programme)
        self._whole = programme.whole
        self._relaxed = Relaxed(self._table)
        self.values: list[float] = []

    def settled(self, stage: Stage) -> Reached | None:
        """What the values found so far reach, where no values whatever could reach more."""
        if not self.values:
            return None
        value = value_of(stage, self.values)
        return Reached(value, value, proven=True) if value == self._limit(stage) else None

    def _limit(self, stage: Stage) -> float:
        """The best that the columns' own bounds allow."""
        lower, upper = self._table.lower, self._table.upper
        ends = [
            cost * float((upper if (cost > 0) == stage.most else lower)[column])
            for column, cost in stage.costs.items()
            if cost
        ]
        return sum(ends)

    def run(self, stage: Stage, seconds: float) -> Reached | None:
        """Optimises one stage; None where no solution was found."""
        deadline = time.monotonic() + seconds
        costs = self._table.costs(stage)
        relaxed = self._relaxed.optimum(costs, seconds)
        reached = self._without_search(stage, relaxed)
        if reached is None:
            reached = self._search(stage, costs, deadline - time.monotonic())
        if reached is not None and relaxed is not None:
            self._fix(relaxed.settles(stage, reached.value, self._whole))
        return reached

    def _without_search(self, stage: Stage, relaxed: "Optimum | None") -> Reached | None:
        """What is reached where the optimum without whole numbers is whole, or what is known is as good."""
        if relaxed is None:
            return None
        for values in (relaxed.values, self.values):
            if values and are_whole(values, self._whole):
                value = value_of(stage, values)
                if relaxed.proves(stage, value) or not any(self._whole):
                    self.values = values
                    return Reached(value, value, proven=True)
        return None

    def _search(self, stage: Stage, costs: Any, seconds: float) -> Reached | None:
        found = search(self._table, self._whole, costs, seconds, self.values) if seconds > 0 else None
        if found is None:
            return None
        self.values, bound = found
        value = value_of(stage, self.values)
        if bound is None:
            return Reached(value, value, proven=True)
        return Reached(value, -bound if stage.most else bound, proven=False)

    def keep(self, stage: Stage, value: int) -> None:
        """From now on the stage's value is no worse than what it reached."""
        entries = {column: cost for column, cost in stage.costs.items() if cost}
        if entries:
            low, high = (value, INFINITE) if stage.most else (-INFINITE, value)
            self._relaxed.row(low, high, *self._table.row(low, high, entries))

    def _fix(self, ends: Mapping[int, float]) -> None:
        if ends:
            self._relaxed.fix(*self._table.fix(ends))


def value_of(stage: Stage, values: Sequence[float]) -> int:
    return round(sum(cost * values[column] for column, cost in stage.costs.items()))


def are_whole(values: Sequence[float], whole: Sequence[bool]) -> bool:
    return all(abs(value - round(value)) <= WHOLE for value, must in zip(values, whole, strict=True) if must)


class RowTable:
    """Rows and bounds of a programme as arrays, for the solver and for sums over all of them."""

    def __init__(self, programme: Programme) -> None:
        import numpy

        self.lower = numpy.array(programme.lower, dtype=float)
        self.upper = numpy.array(programme.upper, dtype=float)
        self.least = numpy.array([row[0] for row in programme.rows], dtype=float)
        self.most = numpy.array([row[1] for row in programme.rows], dtype=float)
        sizes = [0, *(len(entries) for _, _, entries in programme.rows)]
        self.starts = numpy.array([*accumulate(sizes)], dtype=numpy.int32)
        self.index = numpy.array(
            [column for _, _, entries in programme.rows for column in entries], dtype=numpy.int32
        )
        self.units = numpy.array(
            [units for _, _, entries in programme.rows for units in entries.values()], dtype=float
        )

    def costs(self, stage: Stage) -> Any:
        """Of each column, as if every stage were to be made the least."""
        import numpy

        costs = numpy.zeros(len(self.lower))
        for column, cost in stage.costs.items():
            costs[column] = -cost if stage.most else cost
        return costs

    def row(self, low: float, high: float, entries: Mapping[int, int]) -> tuple[Any, Any]:
        """Adds a row; its columns and units as arrays."""
        import numpy

        index = numpy.array([*entries], dtype=numpy.int32)
        units = numpy.array([*entries.values()], dtype=float)
        self.least, self.most = numpy.append(self.least, low), numpy.append(self.most, high)
        self.starts = numpy.append(self.starts, numpy.int32(self.starts[-1] + len(index)))
        self.index, self.units = numpy.append(self.index, index), numpy.append(self.units, units)
        return index, units

    def fix(self, ends: Mapping[int, float]) -> tuple[Any, Any]:
        """Gives columns one value each; columns and values as arrays."""
        import numpy

        columns = numpy.array([*ends], dtype=numpy.int32)
        values = numpy.array([*ends.values()], dtype=float)
        self.lower[columns] = self.upper[columns] = values
        return columns, values

    def weighed(self, costs: Any, weights: Sequence[float]) -> tuple[float, Any]:
        """The least that the costs can come to by the rows so weighed, and what a unit of each column adds.

        A row with no end on the side of its weight is left out: the least holds whatever the weights are.
        """
        import numpy

        told = numpy.array(weights)
        ends = numpy.where(told > 0, self.least, self.most)
        told[~numpy.isfinite(ends)] = 0
        each = numpy.repeat(told, numpy.diff(self.starts)) * self.units
        slopes = costs - numpy.bincount(self.index, weights=each, minlength=len(costs))
        near = numpy.where(slopes > 0, self.lower, self.upper)
        rows, columns = told != 0, slopes != 0
        return float(told[rows] @ ends[rows] + slopes[columns] @ near[columns]), slopes


@dataclass(frozen=True, slots=True)
class Optimum:
    """What a stage comes to without whole numbers, and what no solution can better.

    ``bound`` follows from weighed rows and from the columns' own bounds: it holds whatever the solver's
    tolerances are. As if the stage were to be made the least.
    """

    values: list[float]
    bound: float
    slopes: Any
    """What a unit more of each column costs beyond the bound."""
    ends: Any
    """Where each column stands for the bound: at the lower end where its slope is above nothing."""

    def proves(self, stage: Stage, value: int) -> bool:
        """Whether no whole value is better."""
        return self._room(stage, value) < 1

    def settles(self, stage: Stage, value: int, whole: Sequence[bool]) -> dict[int, float]:
        """The whole columns that no solution of this value moves: one unit would cost more than it may."""
        import numpy

        (still,) = numpy.nonzero(numpy.abs(self.slopes) > self._room(stage, value))
        return {column: float(self.ends[column]) for column in still.tolist() if whole[column]}

    def _room(self, stage: Stage, value: int) -> float:
        """How much the value is above the bound, and what sums of floats may lose."""
        least = -value if stage.most else value
        return least - self.bound + SLACK * max(abs(least), 1000)


class Relaxed:
    """A programme without its whole numbers. Each stage begins where the one before it ended."""

    def __init__(self, table: RowTable) -> None:
        self._table = table
        self._solver, self._highspy = loaded(table)

    def optimum(self, costs: Any, seconds: float) -> Optimum | None:
        """None where it took too long, or where there is none."""
        import numpy

        solver, table = self._solver, self._table
        aim(solver, costs)
        solver.setOptionValue("time_limit", solver.getRunTime() + seconds)
        solver.run()
        if solver.getModelStatus() != self._highspy.HighsModelStatus.kOptimal:
            return None
        solution = solver.getSolution()
        bound, slopes = table.weighed(costs, solution.row_dual)
        ends = numpy.where(slopes > 0, table.lower, table.upper)
        return Optimum(list(solution.col_value), bound, slopes, ends)

    def row(self, low: float, high: float, index: Any, units: Any) -> None:
        self._solver.addRow(float(low), float(high), len(index), index, units)

    def fix(self, columns: Any, values: Any) -> None:
        self._solver.changeColsBounds(len(columns), columns, values, values)


def search(
    table: RowTable, whole: Sequence[bool], costs: Any, seconds: float, values: Sequence[float]
) -> tuple[list[float], float | None] | None:
    """In whole numbers, beginning with ``values``: the best found, and how good another might be.

    Nothing is better where that is None. None in all: no solution was found. The solver is a new one: time
    limits of whole numbers and of others do not add up alike in it.
    """
    solver, highspy = loaded(table, whole)
    aim(solver, costs)
    if values:
        solution = highspy.HighsSolution()
        solution.col_value = list(values)
        solver.setSolution(solution)
    solver.setOptionValue("time_limit", seconds)
    solver.run()
    info = solver.getInfo()
    optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    if not optimal and info.primal_solution_status != 2:
        return None
    return list(solver.getSolution().col_value), None if optimal else info.mip_dual_bound


def loaded(table: RowTable, whole: Sequence[bool] = ()) -> tuple[Any, Any]:
    """The solver with a programme in it, and the solver's package."""
    import highspy
    import numpy

    highs: Any = highspy
    solver = highs.Highs()
    for option, value in (
        ("output_flag", False), ("threads", 1), ("random_seed", 0),
        ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.99),
        ("mip_feasibility_tolerance", 1e-7), ("primal_feasibility_tolerance", 1e-8),
    ):  # fmt: skip
        solver.setOptionValue(option, value)
    lp = highs.HighsLp()
    lp.num_col_, lp.num_row_ = len(table.lower), len(table.least)
    lp.col_cost_ = numpy.zeros(len(table.lower))
    lp.col_lower_, lp.col_upper_ = table.lower, table.upper
    lp.row_lower_, lp.row_upper_ = table.least, table.most
    lp.a_matrix_.format_ = highs.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = table.starts, table.index, table.units
    if any(whole):
        kinds = (highs.HighsVarType.kContinuous, highs.HighsVarType.kInteger)
        lp.integrality_ = [kinds[must] for must in whole]
    solver.passModel(lp)
    return solver, highs


def aim(solver: Any, costs: Any) -> None:
    """Makes these costs what is to be the least."""
    import numpy

    solver.changeColsCost(len(costs), numpy.arange(len(costs), dtype=numpy.int32), costs)
