"""Both forms of the bench sheets, for the list of what a run writes."""

from functools import partial
from pathlib import Path

from reconcile.reports.bench.book import book_name, write_bench
from reconcile.reports.bench.page import page_name, write_page
from reconcile.reports.writing.files import Writer
from reconcile.values.week.results import Week


def bench_outputs(week: Week, folder: Path) -> list[tuple[Path, Writer]]:
    """The page and the workbook, with what writes each: for ``files.write_all``."""
    return [
        (folder / page_name(week), partial(write_page, week)),
        (folder / book_name(week), partial(write_bench, week)),
    ]
