"""Files of the period that an earlier run made and this one did not: by them nobody may work or order.

A week that has grown has its job cards by the day, and the page of the whole week is of the plan before; a
supplier of whom nothing is wanted any more still has an order file. They are told of, and stay where they
are: somebody may have sent or marked them.
"""

import re
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from reconcile.reports.writing.csv_files import safe_file_name
from reconcile.reports.writing.wording import count_text, period_name
from reconcile.values.week.results import Week
from reconcile.values.words import fold

DAY = r"\d{4}-\d\d-\d\d"
NAMED = 4
"""So many are named; of more it is said how many."""


def earlier_files(week: Week, folder: Path, written: Sequence[Path], *, orders: bool = True) -> list[str]:
    """Their names. ``orders``: False where the order workbook was left as it is, and its files with it."""
    period = re.escape(period_name(week))
    cards = rf"bench-{period}(?:-{DAY}(?:-\d+)?)?\.(?:html|xlsx)"
    tables = rf"report-{period}-[a-z-]+\.csv"
    sent = {fold(safe_file_name(f"order-{reference}")) for reference in week.placed_orders}
    ours = re.compile("|".join((cards, tables, *([rf"order-{period}-.+\.(?:xml|csv)"] if orders else ()))))
    new = {path.name.casefold() for path in written}
    names: list[str] = []
    with suppress(OSError):  # a folder that is not there, or may not be looked into, has none to tell of
        names = sorted(path.name for path in folder.iterdir())
    return [
        name
        for name in names
        if ours.fullmatch(name) and name.casefold() not in new and _order_stem(name) not in sent
    ]


def _order_stem(name: str) -> str:
    """Of two orders whose references make one name, the second's has a number behind: `` (2)``."""
    return fold(Path(name).stem.partition(" (")[0])


def earlier_told(names: Sequence[str]) -> list[str]:
    """What is said of them; nothing where there are none."""
    if not names:
        return []
    more = len(names) - NAMED
    told = ", ".join((*names[:NAMED], *([f"{count_text(more, 'other file')}"] if more > 0 else ())))
    them = "it" if len(names) == 1 else "them"
    return [f"Of an earlier run, and no longer right: {told}. Do not work or order by {them}."]
