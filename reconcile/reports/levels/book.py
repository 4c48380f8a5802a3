"""Shelf levels as a workbook: every part, what each service costs, what is dead and dear, and problems."""

from functools import partial
from pathlib import Path

from reconcile.reports.levels.tables import level_tables
from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.wording import day_text
from reconcile.reports.writing.workbook import Sheet, write_workbook
from reconcile.values.week.levels import Survey
from reconcile.values.week.page_foot import PageFoot


def level_outputs(found: Survey, foot: PageFoot, path: Path) -> list[tuple[Path, Writer]]:
    """The workbook, for ``write_all``. ``foot`` is printed on its pages."""
    return [(path, partial(write_levels, found, foot))]


def write_levels(found: Survey, foot: PageFoot, path: Path) -> None:
    sheets = [Sheet(level_table, level_table.name) for level_table in level_tables(found)]
    write_workbook(foot, path, f"Shelf levels, {day_text(found.today)}", sheets)
