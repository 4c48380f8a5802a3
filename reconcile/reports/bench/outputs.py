"""Both forms of the bench sheets, for the list of what a run writes."""

from functools import partial
from pathlib import Path

from reconcile.reports.bench.batches import batches
from reconcile.reports.bench.book import book_name, write_bench
from reconcile.reports.bench.page import page_name, write_page
from reconcile.reports.drawings.bodies import Drawn
from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.large import BOOK_CARDS, PAGE_CARDS
from reconcile.values.week.results import Week


def bench_outputs(week: Week, folder: Path) -> list[tuple[Path, Writer]]:
    """The pages and the workbooks, with what writes each: for ``files.write_all``."""
    drawn: Drawn = {}
    pages = [
        (folder / page_name(week, batch.ending), partial(write_page, week, batch=batch, drawn=drawn))
        for batch in batches(week, PAGE_CARDS)
    ]
    books = [
        (folder / book_name(week, batch.ending), partial(write_bench, week, batch=batch))
        for batch in batches(week, BOOK_CARDS)
    ]
    return [*pages, *books]
