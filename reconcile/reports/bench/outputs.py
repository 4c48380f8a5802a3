"""Both forms of the bench sheets, for the list of what a run writes."""

from functools import partial
from pathlib import Path

from reconcile.reports.bench.batches import batches
from reconcile.reports.bench.book import book_name, write_bench
from reconcile.reports.bench.desk import BenchDesk
from reconcile.reports.bench.page import page_name, write_page
from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.large import BATCH_CARDS
from reconcile.values.week.results import Week


def bench_outputs(week: Week, folder: Path) -> list[tuple[Path, Writer]]:
    """A page and a workbook for each batch, with what writes each: for ``files.write_all``."""
    desk = BenchDesk(week)
    outputs: list[tuple[Path, Writer]] = []
    for batch in batches(week, BATCH_CARDS):
        page, book = (folder / name(week, batch.ending) for name in (page_name, book_name))
        outputs.append((page, partial(write_page, week, batch=batch, desk=desk)))
        outputs.append((book, partial(write_bench, week, batch=batch, desk=desk)))
    return outputs
