"""Plan a week: its inputs read, its kits and orders worked out, its workbooks written."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from reconcile.memory import KeptChoices
from reconcile.sheets.finding import input_files, located, located_by
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.values.stock.filled import FilledReturns
from reconcile.values.week.results import Inputs, Week
from reconcile.week import on_proposed_levels, plan_week
from reconcile.work.book import inputs_by, read_book
from reconcile.work.chair import with_chairs
from reconcile.work.stages import PLANNING, READING, WRITING, Stage, unwatched

REPORTS = "reports"
"""The folder of outputs, in the workshop's own."""


@dataclass(frozen=True, slots=True)
class Written:
    """The files that were written."""

    files: tuple[Path, ...]
    returns_left: str = ""
    """The name of a returns workbook that was left as it is, since not all of it could be kept; else ""."""
    returns_kept: str = ""
    """The name of one that was filled in, and of which every cell was kept; "" where there was none."""


def plan(
    request: Request, stage: Stage = unwatched, *, remember: bool = True, proposed_levels: bool = False
) -> Week:
    """Reads and plans a period, with what the ledger has to say of the stock workbook.

    With ``proposed_levels`` orders follow the shelf levels that recorded use proposes. Raises Unusable as
    ``read_book``, ``inputs_by`` and ``with_chairs`` do.
    """
    stage(READING)
    places = located(request)
    inputs = with_chairs(inputs_by(places, read_book(places)), places)
    stage(PLANNING)
    return planned_week(inputs, remember=remember, proposed_levels=proposed_levels)


def planned_week(
    inputs: Inputs,
    as_of: datetime | None = None,
    *,
    remember: bool = True,
    proposed_levels: bool = False,
) -> Week:
    """The week of inputs that were read. With ``remember``, choices of kits are kept for the next run."""
    if proposed_levels:
        inputs = on_proposed_levels(inputs)
    return plan_week(inputs, as_of or datetime.now(), KeptChoices() if remember else None)


def write_week(
    planned: Week,
    request: Request,
    stage: Stage = unwatched,
    out: Path | None = None,
    *,
    force: bool = False,
    delimiter: str | None = None,
) -> Written:
    """Writes the workbooks, bench sheets and order files, and csv where it has a delimiter; all or none.

    What is filled in of a returns workbook is kept, whatever ``force`` says; one of which not all can be
    kept is left as it is. Raises Unusable as ``write_outputs`` does.
    """
    from reconcile.reports.closing.returns_book import returns_name
    from reconcile.reports.outputs import write_outputs

    stage(WRITING)
    folder = out or request.folder / REPORTS
    inputs = input_files(located_by(planned.settings, request))
    there = returns_there(planned, folder)
    files = write_outputs(
        planned, folder, inputs, force=force, delimiter=delimiter, returns=not there.left, kept=there.kept
    )
    name = returns_name(planned)
    return Written(tuple(files), name if there.left else "", name if there.kept else "")


@dataclass(frozen=True, slots=True)
class ReturnsThere:
    """What a returns workbook that is there already means for a new one."""

    kept: FilledReturns | None = None
    """What is filled in, to be kept; None where nothing is."""
    left: bool = False
    """Not all of it can be kept, or read: it stays as it is."""


def returns_there(planned: Week, folder: Path) -> ReturnsThere:
    """What is filled in of the week's returns workbook, if it is there."""
    from reconcile.ledger.booking import refuse_open
    from reconcile.reports.closing.returns_book import headings_of, returns_name
    from reconcile.sheets.returns.filled import read_filled

    path = folder / returns_name(planned)
    if not path.is_file():
        return ReturnsThere()
    try:
        refuse_open(path)
        found = read_filled(path, planned.settings, headings_of(planned))
    except Unusable as unusable:  # it cannot be read as it stands, so somebody has worked on it
        # unless it is no workbook at all
        return ReturnsThere(left=any(fault.code != "file-kind" for fault in unusable.problems))
    if found is None:
        return ReturnsThere(left=True)
    return ReturnsThere(found if found.filled else None)
