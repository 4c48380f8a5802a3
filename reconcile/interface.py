"""The package from Python: a week read, planned, and looked at as pandas tables.

    import reconcile

    inputs = reconcile.read_week("workshop", week="2026-W49")
    planned = inputs.run()
    planned.jobs[["job", "kit", "earliest"]]

In every table whole quantities are ``int`` and others ``Fraction``, money is ``Decimal``, days are ``date``;
nothing becomes a float, and what is unknown is None. Columns are those of the report.
"""

import os
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from reconcile.sheets.blanks.demo import demo_folder
from reconcile.sheets.finding import call_fault
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.values.week.results import COMPLETE, DONE, SHORT, TO_ORDER, WAITS, Inputs, Week
from reconcile.values.words import fold

if TYPE_CHECKING:
    from reconcile.reports.writing.grid import DataFrame
    from reconcile.values.frames.frame import Frame
    from reconcile.values.week.levels import Survey

__all__ = ["PlannedWeek", "Unusable", "WeekInputs", "demo_folder", "read_week"]

FilePath = str | os.PathLike[str]
Day = date | str
"""A day, or its ISO text: ``2026-11-27``."""


def read_week(  # noqa: PLR0913  (each by its name, as on the command line)
    folder: FilePath = ".",
    *,
    week: str | None = None,
    today: Day | None = None,
    first: Day | None = None,
    last: Day | None = None,
    jobs: FilePath | None = None,
    stock: FilePath | None = None,
    frames: FilePath | None = None,
    settings: FilePath | None = None,
    accept: FilePath | None = None,
    exact_only: bool | None = None,
    patience: float | None = None,
) -> "WeekInputs":
    """Reads all inputs of a period: ``week`` (``2026-W49``), ``first`` to ``last``, or the next planned week.

    ``folder`` holds ``jobs.xlsx``, ``stock.xlsx``, ``frames/`` and ``reconcile.toml``; the other paths name
    inputs that lie elsewhere. ``patience`` is in seconds. None leaves a choice to the settings file.
    The environment is not looked at.

    Raises ``Unusable`` where an input cannot be used at all; its ``problems`` say what and where. A faulty
    row raises nothing: it is set aside, and is in ``WeekInputs.problems``.

    >>> import reconcile
    >>> inputs = reconcile.read_week(reconcile.demo_folder(), week="2026-W49", today="2026-11-27")
    >>> planned = inputs.run()
    >>> planned.jobs.groupby("kit").size().to_dict()
    {'complete': 23, 'order': 1, 'short': 7, 'waits': 8}
    """
    request = Request(
        folder=Path(folder),
        jobs=_path(jobs),
        stock=_path(stock),
        frames=_path(frames),
        settings=_path(settings),
        accept=_path(accept),
        today=_day(today, "today"),
        week=week,
        first=_day(first, "first"),
        last=_day(last, "last"),
        exact_only=exact_only,
        patience=patience,
        count_cells=True,
    )
    from reconcile.work.planning import read_all

    return WeekInputs(read_all(request), request)


@dataclass(frozen=True, repr=False)
class WeekInputs:
    """A period's inputs as read. Nothing is planned yet."""

    inputs: Inputs
    """The same as plain values."""
    request: Request
    """What was asked for."""

    def __repr__(self) -> str:
        first, last = self.period
        counts = f"{len(self.inputs.jobs)} jobs, {len(self.inputs.stock.parts)} parts"
        return f"<WeekInputs {first} to {last}: {counts}, {len(self.inputs.problems)} problems>"

    @property
    def period(self) -> tuple[date, date]:
        """The first and the last day."""
        return self.inputs.period.first, self.inputs.period.last

    @property
    def today(self) -> date:
        """The day taken as today."""
        return self.inputs.today

    @property
    def problems(self) -> "DataFrame":
        """A row for each fault or notice: severity, code, place, value found, what is wrong, done, to do."""
        from reconcile.reports.week.part_tables import problem_table

        return problem_table(self.inputs.problems).frame()

    @property
    def rows(self) -> "DataFrame":
        """A row for each sheet: how many of its rows were read, used, set aside, and outside the period.

        A job can still be set aside when it is planned: ``PlannedWeek.rows`` has the last word.
        """
        from reconcile.reports.week.part_tables import rows_table

        return rows_table(self.inputs.rows).frame()

    @property
    def frames(self) -> list[str]:
        """Codes of the frames whose files can be used."""
        return [frame.code for frame in self.inputs.frames.values()]

    def bolts(self, frame: str, options: Iterable[str] | None = None) -> "DataFrame":
        """What each joint of a frame asks for at each number of steps on its side, from its file alone.

        Lengths stand as text in the frame's unit (``bolt``, ``grip``, ``shortest``, ``longest``, ``to buy``)
        and in millimetres. With ``options`` those are fitted; with None, each that lengthens a joint has
        rows of its own. Raises ``Unusable`` for a frame or an option that is not known.
        """
        from reconcile.plan.joints.bolt_tables import tables_of
        from reconcile.reports.week.part_tables import bolts_table

        found = self._frame(frame)
        fitted = None if options is None else frozenset(map(fold, options))
        if fitted is not None and (unknown := sorted(fitted - found.options)):
            says = f"The frame {found.code} knows no option {unknown[0]!r}. Known: {_listed(found.options)}."
            raise Unusable(call_fault("options", says))
        return bolts_table(found, tables_of(found, fitted)).frame()

    def levels(self) -> "DataFrame":
        """A row for every part: shelf levels proposed from recorded use beside the sheet's, or why none are.

        Levels are exact, in the part's unit; what they give (service, mean shelf, value) are estimates,
        rounded. The aim is that of ``[levels]`` in the settings. Nothing is applied: see ``run``.
        """
        from reconcile.reports.levels.tables import levels_table

        return levels_table(self._survey()).frame()

    def services(self) -> "DataFrame":
        """A row for each service of each part with a proposal: the levels it takes, and what it costs."""
        from reconcile.reports.levels.tables import services_table

        return services_table(self._survey()).frame()

    def dead_and_dear(self) -> "DataFrame":
        """Stock unused for a year, stock above its levels, and parts that nearly every job hangs on."""
        from reconcile.reports.levels.tables import dead_table

        return dead_table(self._survey()).frame()

    def run(
        self,
        *,
        remember: bool = False,
        as_of: datetime | None = None,
        use_proposed_levels: bool = False,
        even_for: Sequence[str] = (),
    ) -> "PlannedWeek":
        """Plans the week: needs, kits, shortfalls and orders. ``as_of`` is the time that sheets print.

        With ``remember``, choices of kits are kept in the user's cache folder, as the commands keep them.
        With ``use_proposed_levels`` orders follow the shelf levels of ``levels`` in place of the sheet's;
        those that are to be looked at first, for the parts in ``even_for`` alone.
        """
        from reconcile.work.planning import planned_week

        planned = planned_week(
            self.inputs, as_of, remember=remember, proposed_levels=use_proposed_levels, even_for=even_for
        )
        return PlannedWeek(planned, self)

    def _survey(self) -> "Survey":
        from reconcile.work.levels import survey_of

        return survey_of(self.inputs)

    def _frame(self, code: str) -> "Frame":
        if (found := self.inputs.frames.get(fold(code))) is None:
            raise Unusable(call_fault("frame", f"There is no frame {code!r}. Known: {_listed(self.frames)}."))
        return found


@dataclass(frozen=True, repr=False)
class PlannedWeek:
    """A planned period. Every table is made anew when it is asked for."""

    week: Week
    """The same as plain values."""
    inputs: WeekInputs

    def __repr__(self) -> str:
        kits = Counter(job.kit for job in self.week.jobs)
        counts = ", ".join(f"{kits[kind]} {kind}" for kind in (COMPLETE, WAITS, TO_ORDER, SHORT, DONE))
        return f"<PlannedWeek {self.week.period.first} to {self.week.period.last}: {counts}>"

    def tables(self) -> "dict[str, DataFrame]":
        """Every table that ``reconcile week --csv`` writes, by the name of its sheet or supplier."""
        from reconcile.reports.outputs import all_tables

        frames: dict[str, DataFrame] = {}
        for all_table in all_tables(self.week):
            name, again = all_table.name, 2
            while name in frames:
                name, again = f"{all_table.name} ({again})", again + 1
            frames[name] = all_table.frame()
        return frames

    @property
    def jobs(self) -> "DataFrame":
        """A row for each job, by day, priority and row; ``kit`` is complete, waits or short."""
        from reconcile.reports.week.tables import jobs

        return jobs(self.week).frame()

    @property
    def kit_lines(self) -> "DataFrame":
        """A row for each thing that goes in or comes off; quantities in each line's unit."""
        from reconcile.reports.week.tables import kit_lines

        return kit_lines(self.week).frame()

    @property
    def parts(self) -> "DataFrame":
        """A row for each part that is needed or to be ordered; quantities in its unit.

        From the shelf to the order: shortfall, ``end`` (left at the end, negative where short), ``want``,
        the pack and minimum that make ``order`` of it, and the days.
        """
        from reconcile.reports.week.part_tables import parts_table

        return parts_table(self.week).frame()

    @property
    def orders(self) -> "DataFrame":
        """A row for each line to be ordered, supplier by supplier; prices in the line's currency."""
        from reconcile.reports.week.part_tables import ordered_table

        return ordered_table(self.week).frame()

    @property
    def problems(self) -> "DataFrame":
        """As ``WeekInputs.problems``, with what planning found besides."""
        from reconcile.reports.week.part_tables import problem_table

        return problem_table(self.week.problems).frame()

    @property
    def rows(self) -> "DataFrame":
        """As ``WeekInputs.rows``, with the jobs that planning set aside."""
        from reconcile.reports.week.part_tables import rows_table

        return rows_table(self.week.rows).frame()

    @property
    def proven(self) -> bool:
        """Whether the choice of kits is proven best; False where patience ran out first."""
        return self.week.solution.proven

    def json(self) -> dict[str, Any]:
        """The object that ``reconcile week --json`` prints, as plain Python values."""
        from reconcile.reports.week.json import result

        return result(self.week)

    def why(self, name: str) -> str:
        """Where a job's lines or a part's numbers come from, cell by cell, as lines of text.

        Raises ``Unusable`` for a name that is neither, with the nearest ones.
        """
        from reconcile.reports.week.why import why_text
        from reconcile.work.questions.explaining import explained

        return why_text(explained(name, self.inputs.inputs, self.week))

    def write(
        self, folder: FilePath | None = None, *, force: bool = False, delimiter: str | None = None
    ) -> list[Path]:
        """Writes workbooks, bench sheets and order files into a folder, all or none; says which.

        Default: ``reports`` in the folder that was read. With a ``delimiter``, every table as csv too. A
        returns workbook that is filled in is left as it is, as ``reconcile week`` leaves it. Raises
        ``Unusable`` where a file is there already (unless ``force``), cannot be written, or is an input.
        """
        from reconcile.work.planning import write_week

        target = None if folder is None else Path(folder)
        written = write_week(self.week, self.inputs.request, out=target, force=force, delimiter=delimiter)
        return list(written.files)


def _path(path: FilePath | None) -> Path | None:
    return None if path is None else Path(path)


def _day(day: Day | None, name: str) -> date | None:
    if not isinstance(day, str):
        return day.date() if isinstance(day, datetime) else day
    from reconcile.sheets.jobs.question import read_day

    return read_day(day, name)


def _listed(names: Iterable[str]) -> str:
    return ", ".join(sorted(names)) or "none"
