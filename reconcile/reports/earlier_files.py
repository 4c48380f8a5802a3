"""Files of the period that an earlier run made and this one did not: by them nobody may work or order.

A week that has grown has its job cards by the day, and the page of the whole week is of the plan before; a
supplier of whom nothing is wanted any more still has an order file. They are told of, and stay where they
are: somebody may have sent or marked them.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path

from reconcile.reports.writing.csv_files import safe_file_name
from reconcile.reports.writing.wording import count_text, period_name
from reconcile.values.orders.lines import UNPLACED
from reconcile.values.week.results import Week
from reconcile.values.words import fold

NAMED = 4
"""So many are named; of more it is said how many."""

CARDS = re.compile(r"bench-(?P<period>.+?)(?:-(?P<day>\d{4}-\d\d-\d\d)(?:-\d+)?)?\.(?:html|xlsx)")
"""The files of job cards, by the day where there are many."""
MORE = re.compile(r"(?:-[A-Z]{3})?(?:-\d+)?(?: \(\d+\))?")
"""What an order file's name may have behind the supplier's code: a currency, a number, and another number of
two names alike."""


def earlier_files(week: Week, folder: Path, written: Sequence[Path], *, orders: bool = True) -> list[str]:
    """Their names, a folder of csv files as one where none of it is new.

    ``orders``: False where the order workbook was left as it is, and its files with it.
    """
    new = {_name(path.name) for path in written if path.parent == folder}
    found = [name for name in _names(folder) if _name(name) not in new]
    told = [name for name in found if _is_of_cards(name, week) or _is_of_tables(name, week)]
    if orders:
        told += [name for name in found if _is_of_orders(name, week)]
    return [*sorted(told), *_old_csv(week, folder, written)]


def _names(folder: Path) -> list[str]:
    with suppress(OSError):  # a folder that is not there, or may not be looked into, has none to tell of
        return sorted(path.name for path in folder.iterdir())
    return []


def _name(name: str) -> str:
    """As names of files are alike: some disks give letters back in parts, or know no case."""
    return unicodedata.normalize("NFC", name).casefold()


def _is_of_cards(name: str, week: Week) -> bool:
    """Of a day, only where it is planned now: a Monday alone has the name of its week."""
    found = CARDS.fullmatch(name)
    if found is None or found["period"] != period_name(week):
        return False
    with suppress(ValueError):
        return found["day"] is None or date.fromisoformat(found["day"]) in week.period
    return False


def _is_of_tables(name: str, week: Week) -> bool:
    period = re.escape(period_name(week))
    return re.fullmatch(rf"(?:report-{period}-[a-z-]+|order-{period}-jobs-at-risk)\.csv", name) is not None


def _is_of_orders(name: str, week: Week) -> bool:
    """An order file of a supplier whom the sheet names, and not of an order that is on its way."""
    stem, kind = unicodedata.normalize("NFC", Path(name).stem), Path(name).suffix
    ours = f"order-{period_name(week)}-"
    if kind != ".xml" or not stem.startswith(ours):  # asked first: there may be a year of files
        return False
    if fold(stem.partition(" (")[0]) in _on_their_way(week):
        return False
    starts = (safe_file_name(f"{ours}{code}") for code in _suppliers(week))
    return any(stem.startswith(start) and MORE.fullmatch(stem[len(start) :]) for start in starts)


def _on_their_way(week: Week) -> frozenset[str]:
    sent = (line.order for line in week.open_orders.lines if line.standing != UNPLACED)
    return frozenset(fold(safe_file_name(f"order-{order}")) for order in sent)


def _suppliers(week: Week) -> Iterator[str]:
    codes: Iterable[str] = (part.supplier for part in week.stock.parts.values())
    listed = (supplier.code for supplier in week.stock.suppliers.values())
    return (code for code in dict.fromkeys((*codes, *listed)) if code)


def _old_csv(week: Week, folder: Path, written: Sequence[Path]) -> list[str]:
    within = folder / f"csv-{period_name(week)}"
    new = {_name(path.name) for path in written if path.parent == within}
    there = [name for name in _names(within) if name.casefold().endswith(".csv")]
    if there and not new:
        return [within.name]
    return [f"{within.name}/{name}" for name in there if _name(name) not in new]


def earlier_told(names: Sequence[str]) -> list[str]:
    """What is said of them; nothing where there are none."""
    if not names:
        return []
    more = len(names) - NAMED
    told = ", ".join((*names[:NAMED], *([f"{count_text(more, 'other file')}"] if more > 0 else ())))
    them = "it" if len(names) == 1 else "them"
    return [f"Of an earlier run, and no longer right: {told}. Do not work or order by {them}."]
