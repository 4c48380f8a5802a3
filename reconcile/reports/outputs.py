"""All that a weekly run writes into one folder: workbooks, bench sheets, order files, csv where asked for."""

from collections.abc import Sequence
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
from reconcile.reports.writing.files import Writer, write_all
from reconcile.reports.writing.grid import Table
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
) -> list[Path]:
    """Writes everything or nothing, and says where. Raises Unusable as ``files.write_all`` does.

    ``returns``: with the returns workbook, which must not be written over once it is filled in, unless what
    stands in it is ``kept``. ``orders``: with the order workbook and order files, which must not be written
    over while a buyer's changes stand in them.
    With a ``delimiter``, every table is written as csv as well. No output ever replaces one of the
    ``inputs``, whatever ``force`` says.
    """
    outputs: list[tuple[Path, Writer]] = [
        *report_outputs(week, folder, inputs),
        *(order_outputs(week, folder) if orders else ()),
        *bench_outputs(week, folder),
    ]
    if returns:
        outputs.append((folder / returns_name(week), partial(write_returns_book, week, kept=kept)))
    if delimiter is not None:
        outputs += csv_outputs(all_tables(week), folder / f"csv-{period_name(week)}", delimiter)
    if clash := [path for path, _ in outputs if any(same_file(path, read) for read in inputs)]:
        raise Unusable(
            *(problem("output-is-input", Place(path.name), f"{path} is one of the inputs.") for path in clash)
        )
    write_all(outputs, force)
    return [path for path, _ in outputs]


def all_tables(week: Week) -> list[Table]:
    """Every table of the workbooks, and the pick list; two suppliers of one name have tables of one name."""
    return [*report_tables(week), *order_tables(week), pick_table(week)]


def same_file(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file, also by links or in another case. A file not there is none."""
    try:
        return one.samefile(other)
    except OSError:
        return False
