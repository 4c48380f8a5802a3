"""All that a weekly run writes, into one folder: the two workbooks, and csv where asked for."""

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from reconcile.reports.csv_files import csv_outputs
from reconcile.reports.files import Writer, write_all
from reconcile.reports.order_book import order_name, write_orders
from reconcile.reports.order_tables import order_tables
from reconcile.reports.report_book import report_outputs
from reconcile.reports.tables import report_tables
from reconcile.reports.wording import period_name
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.results import Week


def write_outputs(
    week: Week,
    folder: Path,
    inputs: Sequence[Path],
    *,
    force: bool = False,
    delimiter: str | None = None,
) -> list[Path]:
    """Writes everything or nothing, and says where. Raises Unusable as ``files.write_all`` does.

    With a ``delimiter``, every table is written as csv as well. No output ever replaces one of the
    ``inputs``, whatever ``force`` says.
    """
    outputs: list[tuple[Path, Writer]] = [
        *report_outputs(week, folder),
        (folder / order_name(week), partial(write_orders, week)),
    ]
    if delimiter is not None:
        tables = [*report_tables(week), *order_tables(week)]
        outputs += csv_outputs(tables, folder / f"csv-{period_name(week)}", delimiter)
    read = {path.resolve() for path in inputs}
    if clash := [path for path, _ in outputs if path.resolve() in read]:
        raise Unusable(
            *(problem("output-is-input", Place(path.name), f"{path} is one of the inputs.") for path in clash)
        )
    write_all(outputs, force)
    return [path for path, _ in outputs]
