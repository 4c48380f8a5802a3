"""What somebody types for a cell, as a spreadsheet program would take it; and the rows it is typed into."""

import re
from collections.abc import Sequence
from datetime import date

from reconcile.sheets.edits.workbook import NewValue
from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.files.books import Book, Grid
from reconcile.sheets.tables.rows import as_text
from reconcile.values.measure import decimal_text
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.stock.filled import RowShown, SheetShown
from reconcile.values.words import fold

_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
ROWS_LOOKED_AT = 40


def typed_cell(text: str, decimal: str | None, *, figure: bool = True) -> NewValue:
    """Nothing, a day, a number or a text. ``figure``: False for a column whose cells stay text."""
    text = text.strip()
    if not text:
        return None
    if not figure:
        return text
    if _ISO.fullmatch(text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            return text
    try:
        number = read_number(text, decimal)
    except Unreadable:
        return text
    return text if decimal_text(number) is None or "/" in text else number


def sheet_shown(book: Book, name: str, needed: Sequence[str]) -> SheetShown:
    """The rows of a sheet as somebody sees them, below the first row that has the needed headings.

    Raises Unusable: sheet-missing, heading-missing; and as ``Book.grid`` does.
    """
    if name not in book.sheet_names:
        says = f"{book.file} has no sheet {name}."
        raise Unusable(problem("sheet-missing", Place(book.file, name), says))
    grid = book.glimpse(name)
    for at, row in enumerate(grid.rows[:ROWS_LOOKED_AT]):
        headings = {fold(as_text(cell)): place for place, cell in enumerate(row) if as_text(cell)}
        if all(fold(heading) in headings for heading in needed):
            return _below(grid, at, headings)
    says = f"No row of {name} has the headings {', '.join(needed)}."
    raise Unusable(problem("heading-missing", Place(book.file, name), says))


def _below(grid: Grid, at: int, headings: dict[str, int]) -> SheetShown:
    rows = tuple(
        RowShown(
            grid.first_row + number,
            {heading: _seen(cells[place]) for heading, place in headings.items() if place < len(cells)},
        )
        for number, cells in enumerate(grid.rows[at + 1 :], at + 1)
        if any(as_text(cell) for cell in cells)
    )
    letters = {heading: grid.letters(place) for heading, place in headings.items()}
    return SheetShown(grid.file, grid.sheet, letters, rows)


def _seen(cell: CellValue) -> str:
    return "yes" if cell is True else "no" if cell is False else as_text(cell)
