"""A returns workbook as it stands, cell by cell: no figure is judged, so that nothing can be lost of it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from fractions import Fraction
from pathlib import Path

from reconcile.sheets.figures.text import CellValue
from reconcile.sheets.files.books import Book, Grid, open_book
from reconcile.sheets.tables.rows import as_text
from reconcile.values.settings import Settings
from reconcile.values.stock.filled import REMARK, FilledCell, FilledReturns, FilledRow
from reconcile.values.words import fold

NOT_FILLED_IN = ("How to",)


def read_filled(path: Path, settings: Settings, known: Mapping[str, Sequence[str]]) -> FilledReturns | None:
    """Every row of a returns workbook; None where it holds what a new one has no place for.

    ``known``: the headings of each sheet. Raises Unusable as ``open_book`` does.
    """
    book = open_book(path, settings.limits, settings.csv_form)
    rows: dict[str, tuple[FilledRow, ...]] = {}
    for name in book.sheet_names:
        if name in NOT_FILLED_IN:
            continue
        found = _rows(book, name, known.get(name, ()))
        if found is None:
            return None
        rows[name] = found
    return FilledReturns(rows)


def _rows(book: Book, name: str, known: Sequence[str]) -> tuple[FilledRow, ...] | None:
    """None where a sheet has cells under no heading of ours, or cells whose value nobody can see."""
    grid = book.glimpse(name)
    if not grid.rows:
        return ()
    if grid.hides:
        return None
    headings = _headings(grid, known)
    rows = []
    for raw in grid.rows[1:]:
        cells = {heading: _cell(raw[at]) for at, heading in headings.items()}
        if any(cell is not None for at, cell in enumerate(raw) if at not in headings):
            return None
        if any(cell is not None for cell in cells.values()):
            rows.append(FilledRow(name, cells))
    return tuple(rows)


def _headings(grid: Grid, known: Sequence[str]) -> dict[int, str]:
    """The columns of our headings; none where the sheet does not begin with them."""
    ours = {fold(heading): heading for heading in (*known, REMARK)}
    told = ((at, ours.get(fold(as_text(cell)))) for at, cell in enumerate(grid.rows[0]))
    return {at: heading for at, heading in told if heading is not None}


def _cell(value: CellValue) -> FilledCell:
    """The cell as it is written anew."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        number = Fraction(str(value))
        return number.numerator if number.denominator == 1 else number
    if isinstance(value, datetime):
        return value.date() if value.time() == time() else as_text(value)
    if value is None or isinstance(value, date | Fraction):
        return value
    return as_text(value)
