"""Plan a week: its inputs read, its kits and orders worked out, its workbooks written."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from reconcile.memory import KeptChoices
from reconcile.plan.ordering.hanging import placed_references
from reconcile.sheets.finding import input_files, located, located_by
from reconcile.sheets.request import Request
from reconcile.sheets.wholly_faulty import wholly_faulty
from reconcile.values.problem import Place, Unusable
from reconcile.values.stock.filled import FilledReturns
from reconcile.values.week.results import Inputs, Week
from reconcile.week import on_proposed_levels, plan_week
from reconcile.work.book import inputs_by, read_book
from reconcile.work.chair import with_chairs
from reconcile.work.naming import part_called
from reconcile.work.remarks import finish_stopped
from reconcile.work.stages import PLANNING, READING, WRITING, Stage, unwatched

REPORTS = "reports"
"""The folder of outputs, in the workshop's own."""


@dataclass(frozen=True, slots=True)
class Written:
    """The files that were written."""

    files: tuple[Path, ...]
    returns_left: str = ""
    """The name of a returns workbook that was left as it is, since not all of it could be kept; else ""."""
    orders_left: str = ""
    """The name of an order workbook that was changed and not placed, and was left as it is; else ""."""
    returns_kept: str = ""
    """The name of one that was filled in, and of which every cell was kept; "" where there was none."""
    told: tuple[str, ...] = ()
    """What was done otherwise than for a week of a usual size, and what lies there of an earlier run."""


def plan(
    request: Request,
    stage: Stage = unwatched,
    *,
    remember: bool = True,
    proposed_levels: bool = False,
    even_for: Sequence[str] = (),
) -> Week:
    """Reads and plans a period, with what the ledger has to say of the stock workbook.

    With ``proposed_levels`` orders follow the shelf levels that recorded use proposes; those that are to be
    looked at first, for the parts in ``even_for`` alone. Raises Unusable as ``read_inputs`` and
    ``with_chairs`` do.
    """
    stage(READING)
    inputs = read_all(request, finishes=remember)
    stage(PLANNING)
    planned = planned_week(inputs, remember=remember, proposed_levels=proposed_levels, even_for=even_for)
    refuse_no_job(planned, inputs)
    return planned


def read_all(request: Request, *, finishes: bool = False) -> Inputs:
    """What the sheets, the book, the chairs' records and orders say, with what the ledger has to say of them.

    ``finishes``: a closing that was stopped is finished first; not by a run that writes nothing. Raises
    Unusable as the readers do.
    """
    places = located(request)
    finished = finish_stopped(places) if finishes else []
    inputs = with_chairs(inputs_by(places, read_book(places)), places)
    if finished:
        inputs = replace(inputs, problems=(*inputs.problems, *finished))
    return with_records(with_unplaced(inputs, request.folder / REPORTS))


def refuse_no_job(planned: Week, inputs: Inputs) -> None:
    """Raises Unusable where not one job can be planned, be it for its row or for its frame's file."""
    place = Place(inputs.jobs_header.file, inputs.jobs_header.sheet)
    files = {place.file, *(file.name for file in inputs.files if file.role == "frame")}
    files |= {name for names in inputs.faulty.values() for name in names}  # also those that nobody could read
    faults = [fault for fault in planned.problems if fault.place.file in files]
    if unusable := wholly_faulty("jobs", place, planned.rows["jobs"], faults):
        raise Unusable(*unusable)


def with_unplaced(inputs: Inputs, folder: Path) -> Inputs:
    """The inputs with the orders of earlier weeks that were written and not placed, and a notice on each."""
    from reconcile.work.ordering.books import earlier_unplaced, not_placed

    known = placed_references((line.key for line in inputs.order_lines), inputs.stock.due)
    period, today = inputs.period.name, inputs.today
    orders = earlier_unplaced(folder, period, today, known, inputs.settings, inputs.stock)
    problems = (*inputs.problems, *not_placed(orders))
    return replace(inputs, unplaced=tuple(orders), problems=problems) if orders else inputs


def with_records(inputs: Inputs) -> Inputs:
    """The inputs with a notice on each lead time that is shorter than most of what came in a year."""
    from reconcile.plan.ordering.records import optimistic

    found = optimistic(inputs.order_lines, inputs.stock, inputs.settings, inputs.today)
    return replace(inputs, problems=(*inputs.problems, *found)) if found else inputs


def planned_week(
    inputs: Inputs,
    as_of: datetime | None = None,
    *,
    remember: bool = True,
    proposed_levels: bool = False,
    even_for: Sequence[str] = (),
) -> Week:
    """The week of inputs that were read. With ``remember``, choices of kits are kept for the next run."""
    if proposed_levels:
        named = [part_called(number, inputs.stock.parts, "--even-for") for number in even_for]
        inputs = on_proposed_levels(inputs, named)
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
    from reconcile.reports.earlier_files import earlier_files, earlier_told
    from reconcile.reports.outputs import large_told, write_outputs

    stage(WRITING)
    folder = out or request.folder / REPORTS
    inputs = input_files(located_by(planned.settings, request))
    there = returns_there(planned, folder)
    orders_left = orders_changed(planned, folder)
    files = write_outputs(
        planned,
        folder,
        inputs,
        force=force,
        delimiter=delimiter,
        returns=not there.left,
        kept=there.kept,
        orders=not orders_left,
        stage=stage,
    )
    name = returns_name(planned)
    earlier = earlier_files(planned, folder, files, orders=not orders_left)
    return Written(
        tuple(files),
        name if there.left else "",
        orders_left,
        name if there.kept else "",
        (*large_told(planned), *earlier_told(earlier)),
    )


def orders_changed(planned: Week, folder: Path) -> str:
    """The name of the week's order workbook, if it was changed and that is not placed; else ""."""
    from reconcile.reports.orders.book import order_name
    from reconcile.work.ordering.books import kept_back

    name = order_name(planned)
    known = planned.placed_orders
    return name if kept_back(folder / name, known, planned.settings, planned.stock) else ""


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
