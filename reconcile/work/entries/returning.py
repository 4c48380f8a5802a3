"""Fill in the returns of a week, job by job: into its workbook, cell by cell, as somebody types there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from reconcile.sheets.edits.typed import sheet_shown
from reconcile.sheets.files.books import Book, open_book
from reconcile.sheets.finding import call_fault, located, stock_path
from reconcile.sheets.request import Request
from reconcile.sheets.returns.rows import returns_in
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.catalogue import ERROR
from reconcile.values.days import period_named
from reconcile.values.problem import Problem, Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.filled import DONE_SHEET, RowShown, RowTyped, SheetShown
from reconcile.values.words import fold
from reconcile.work.entries.closing import PREFIX, returns_week
from reconcile.work.entries.standing import book_standing
from reconcile.work.filling import mark_of_rows, open_to_fill, refuse_changed, save_rows
from reconcile.work.planning import REPORTS

LINES, CHECKS, DELIVERIES = "Lines", "Checks", "Deliveries"
NEEDED = {
    DONE_SHEET: ("week", "job", "done"), LINES: ("job", "do", "part"), CHECKS: ("job", "check", "ok"),
    DELIVERIES: ("order", "part", "received"),
}  # fmt: skip
"""The sheets that are filled in, and by which headings each is known."""


@dataclass(frozen=True, slots=True)
class ReturnsToFill:
    """The returns of a week as they stand in their workbook."""

    week: str
    path: Path
    sheets: Mapping[str, SheetShown]

    def rows(self, sheet: str, job: str = "") -> list[RowShown]:
        """The rows of a sheet, or those of one job."""
        there = self.sheets.get(sheet)
        if there is None:
            return []
        return [row for row in there.rows if not job or fold(row.of("job")) == fold(job)]

    def mark(self, job: str = "") -> str:
        """Of all rows of a job; of the deliveries where none is named."""
        if not job:
            return mark_of_rows(self.rows(DELIVERIES))
        return mark_of_rows(row for sheet in (DONE_SHEET, LINES, CHECKS) for row in self.rows(sheet, job))


def weeks_to_close(request: Request) -> list[str]:
    """The weeks whose returns lie there and that are not closed, the earliest first."""
    closed = set(book_standing(request).weeks)
    names = (returns_week(path) for path in (request.folder / REPORTS).glob(f"{PREFIX}*.xlsx"))
    found = [name for name in names if period_named(name) is not None and name not in closed]
    return sorted(found, key=lambda name: (_first(name), name))


def _first(name: str) -> str:
    period = period_named(name)
    return period.first.isoformat() if period else ""


def returns_to_fill(week: str, request: Request) -> ReturnsToFill:
    """Raises Unusable: call-unusable for a week without returns; and as ``open_to_fill`` does."""
    return _opened(week, request, located(request).settings)[0]


def save_returns(week: str, typed: Sequence[RowTyped], mark: str, request: Request, job: str = "") -> None:
    """Saves what was typed of a job, or of deliveries where none is named.

    Raises Unusable, with nothing changed: rows-changed-meanwhile; the faults of the rows that were typed; and
    as ``save_rows`` does.
    """
    places = located(request)
    settings = places.settings
    there, data = _opened(week, request, settings)
    if mark != there.mark(job):
        sheet = DONE_SHEET if job else DELIVERIES
        refuse_changed("", there.rows(sheet, job), there.sheets[sheet])
    stock_book = open_book(stock_path(places), settings.limits, settings.csv_form)
    stock = read_stock(stock_book, settings, places.today).stock

    def check(book: Book) -> None:
        try:
            returns_in(book, stock, settings)
        except Unusable as unusable:
            if own := [fault for fault in unusable.problems if is_of(fault, typed, there)]:
                raise Unusable(*own) from None

    save_rows(there.path, data, there.sheets.values(), typed, settings, check)


def is_of(fault: Problem, typed: Sequence[RowTyped], there: ReturnsToFill) -> bool:
    """Whether a fault stands in a row that was typed, or in one that was added."""
    if fault.severity != ERROR:
        return False
    digits = "".join(letter for letter in fault.place.cell if letter.isdigit())
    number = int(digits) if digits else 0
    sheet = there.sheets.get(fault.place.sheet)
    last = sheet.rows[-1].number if sheet and sheet.rows else 0
    return number > last or any((row.sheet, row.number) == (fault.place.sheet, number) for row in typed)


def _opened(week: str, request: Request, settings: Settings) -> tuple[ReturnsToFill, bytes]:
    if week not in weeks_to_close(request):
        raise Unusable(call_fault("week", f"There are no returns of {week!r} to fill in."))
    path = request.folder / REPORTS / f"{PREFIX}{week}.xlsx"
    book, data = open_to_fill(path, settings)
    sheets = {
        name: sheet_shown(book, name, needed) for name, needed in NEEDED.items() if name in book.sheet_names
    }
    return ReturnsToFill(week, path, sheets), data
