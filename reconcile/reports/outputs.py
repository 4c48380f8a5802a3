"""All that a weekly run writes into one folder: workbooks, bench sheets, order files, csv where asked for."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from reconcile.reports.bench.outputs import bench_outputs
from reconcile.reports.bench.pick_list import pick_table
from reconcile.reports.closing.returns_book import returns_name, write_returns_book
from reconcile.reports.orders.book import order_outputs
from reconcile.reports.orders.tables import order_tables
from reconcile.reports.week.book import report_outputs
from reconcile.reports.week.tables import report_tables
from reconcile.reports.writing.csv_files import csv_outputs
from reconcile.reports.writing.files import Writer, unwatched, write_all
from reconcile.reports.writing.grid import Table
from reconcile.reports.writing.large import (
    BATCH_CARDS,
    LARGE_TABLE,
    MOST_CARDS,
    MOST_LINES,
    WHOLE_PAGE,
)
from reconcile.reports.writing.wording import period_name
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.stock.filled import FilledReturns
from reconcile.values.week.results import Week


def write_outputs(  # noqa: PLR0913  (what is written, where, and what may be written over)
    week: Week,
    folder: Path,
    inputs: Sequence[Path],
    *,
    force: bool = False,
    delimiter: str | None = None,
    returns: bool = True,
    orders: bool = True,
    kept: FilledReturns | None = None,
    stage: Callable[[str], None] = unwatched,
) -> list[Path]:
    """Writes everything or nothing, and says where. Raises Unusable as ``files.write_all`` does.

    ``returns``: with the returns workbook, which must not be written over once it is filled in, unless what
    stands in it is ``kept``. ``orders``: with the order workbook and order files, which must not be written
    over while a buyer's changes stand in them.
    With a ``delimiter``, every table is written as csv as well. No output ever replaces one of the
    ``inputs``, whatever ``force`` says.
    """
    outputs: list[tuple[Path, Writer]] = [
        *report_outputs(week, folder, inputs, limit=LARGE_TABLE),
        *(order_outputs(week, folder) if orders else ()),
        *bench_outputs(week, folder),
    ]
    if returns and lines_of(week) <= MOST_LINES:
        outputs.append((folder / returns_name(week), partial(write_returns_book, week, kept=kept)))
    if delimiter is not None:
        outputs += csv_outputs(all_tables(week), folder / f"csv-{period_name(week)}", delimiter)
    if clash := [path for path, _ in outputs if any(same_file(path, read) for read in inputs)]:
        raise Unusable(
            *(problem("output-is-input", Place(path.name), f"{path} is one of the inputs.") for path in clash)
        )
    write_all(outputs, force, stage)
    return [path for path, _ in outputs]


def lines_of(week: Week) -> int:
    return sum(len(result.lines) for result in week.jobs)


def large_told(week: Week) -> list[str]:
    """What was done otherwise than for a week of a usual size, in sentences."""
    told, jobs = [], len(week.jobs)
    days = "Single days are planned with --from and --to."
    if jobs > MOST_CARDS:
        told.append(f"No job cards: {jobs} are more than anybody prints. {days}")
    elif jobs > WHOLE_PAGE:
        told.append(f"The job cards are by day, up to {BATCH_CARDS} on a page and in a workbook.")
    long = [each for each in report_tables(week) if each.count > LARGE_TABLE]
    told += [f"{each.name}: {each.count} rows, written as csv beside the report." for each in long]
    if lines_of(week) > MOST_LINES:
        told.append(f"No returns workbook: its lines do not fit a sheet. {days} Close those.")
    return told


def all_tables(week: Week) -> list[Table]:
    """Every table of the workbooks, and the pick list; two suppliers of one name have tables of one name."""
    return [*report_tables(week), *order_tables(week), pick_table(week)]


def same_file(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file, also by links or in another case. A file not there is none."""
    try:
        return one.samefile(other)
    except OSError:
        return False
