"""Fill in a count sheet, bin by bin: into its workbook, as somebody types it there. The book is not shown."""

from dataclasses import dataclass
from pathlib import Path

from reconcile.reports.counts.book import count_name
from reconcile.sheets.counts.rows import read_count
from reconcile.sheets.edits.typed import sheet_shown
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.finding import call_fault, located, stock_path
from reconcile.sheets.request import Request
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.catalogue import ERROR
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.filled import RowShown, RowTyped, SheetShown
from reconcile.values.words import fold
from reconcile.work.filling import Check, mark_of_rows, open_to_fill, refuse_changed, save_rows
from reconcile.work.planning import REPORTS

COUNT = "Count"
NEEDED = ("bin", "part", "counted")
TEXTS = ("counted", "in kits", "empty bin seen", "counted by", "remark")
"""What is written there stays text, so that 1/2 does not become a date."""
MOST_AGAIN = 9
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class CountToFill:
    """The last count sheet of a week, and all before it."""

    week: str
    path: Path
    earlier: tuple[Path, ...]
    sheet: SheetShown

    @property
    def left(self) -> list[RowShown]:
        """Bins that are not counted yet, in the order of the sheet."""
        return [row for row in self.sheet.rows if not is_counted(row)]

    def row(self, number: int) -> RowShown | None:
        return self.sheet.row(number)


def is_counted(row: RowShown) -> bool:
    return bool(row.of("counted") or row.of("empty bin seen"))


def count_sheets(week: str, request: Request) -> list[Path]:
    """The week's count sheets that lie there, in the order of counting."""
    folder = request.folder / REPORTS
    names = (count_name(week, again) for again in range(MOST_AGAIN + 1))
    return [folder / name for name in names if (folder / name).is_file()]


def count_to_fill(week: str, request: Request) -> CountToFill | None:
    """None where there is no sheet yet. Raises Unusable as ``open_to_fill`` does."""
    paths = count_sheets(week, request)
    if not paths:
        return None
    book, _ = open_to_fill(paths[-1], located(request).settings)
    return CountToFill(week, paths[-1], tuple(paths[:-1]), sheet_shown(book, COUNT, NEEDED))


def save_count(week: str, typed: RowTyped, mark: str, request: Request) -> None:
    """Saves one bin.

    Raises Unusable, with nothing changed: call-unusable for a bin that is not on the sheet;
    rows-changed-meanwhile; the faults of its row; and as ``save_rows`` does.
    """
    places = located(request)
    settings = places.settings
    paths = count_sheets(week, request)
    if not paths:
        raise Unusable(call_fault("week", f"There is no count sheet of {week}."))
    book, data = open_to_fill(paths[-1], settings)
    sheet = sheet_shown(book, COUNT, NEEDED)
    row = sheet.row(typed.number)
    if row is None:
        raise Unusable(call_fault("bin", "That bin is not on the count sheet."))
    refuse_changed(mark, [row], sheet)
    save_rows(paths[-1], data, [sheet], [typed], settings, _check(typed, week, request, settings), TEXTS)


def _check(typed: RowTyped, week: str, request: Request, settings: Settings) -> Check:
    places = located(request)
    stock_book = open_book(stock_path(places), settings.limits, settings.csv_form)
    stock = read_stock(stock_book, settings, places.today).stock

    def check(after: Book) -> None:
        found = read_count(after, stock, settings, week)
        own = [
            fault
            for fault in found.problems
            if fault.severity == ERROR and fault.place.cell.lstrip(LETTERS) == str(typed.number)
        ]
        if own:
            raise Unusable(*own)

    return check


def found_in(sheet: SheetShown, words: str) -> list[RowShown]:
    """Bins of which bin, part or description hold every word: one that is named exactly first."""
    wanted = fold(words).split()
    found = [
        row
        for row in sheet.rows
        if wanted
        and all(word in fold(f"{row.of('bin')} {row.of('part')} {row.of('what it is')}") for word in wanted)
    ]
    return sorted(found, key=lambda row: fold(words) not in (fold(row.of("bin")), fold(row.of("part"))))


def mark_of(row: RowShown) -> str:
    return mark_of_rows([row])
