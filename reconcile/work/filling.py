"""Fill in a workbook that is there, cell by cell, as somebody types it: returns, counts, orders.

What is shown has a mark; what is typed is saved only where the rows are still as they were shown, so that two
windows, or a spreadsheet program beside them, take nothing from each other. The workbook is whole at every
moment, old or new, and what is about to be put in its place is read first by whoever will read it.
"""

import hashlib
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path

from reconcile.ledger.booking import refuse_open
from reconcile.ledger.files import disk, litter, put_in_place
from reconcile.sheets.edits.typed import typed_cell
from reconcile.sheets.edits.workbook import NewValue, SheetChange, change_workbook
from reconcile.sheets.files.books import Book, open_bytes
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.filled import RowShown, RowTyped, SheetShown

FORGOTTEN = 3600
"""Seconds after which a file aside belongs to no run that could still finish."""
MEANWHILE = "rows-changed-meanwhile"
Check = Callable[[Book], None]
"""Reads a workbook as the next run will. Raises Unusable where what was typed cannot be used."""


def mark_of_rows(rows: Iterable[RowShown]) -> str:
    """The same for the same rows, whatever else changes in their workbook."""
    told = "\x1e".join(
        "\x1f".join((str(row.number), *(f"{name}={text}" for name, text in sorted(row.cells.items()))))
        for row in rows
    )
    return hashlib.sha256(told.encode()).hexdigest()[:24]


def refuse_changed(mark: str, rows: Sequence[RowShown], sheet: SheetShown) -> None:
    """Raises Unusable (rows-changed-meanwhile) where rows are not as they were when they were shown."""
    if mark != mark_of_rows(rows):
        place = Place(sheet.file, sheet.sheet, f"A{rows[0].number}" if rows else "")
        says = f"Rows of {sheet.sheet} were changed after they were shown."
        raise Unusable(problem(MEANWHILE, place, says))


def open_to_fill(path: Path, settings: Settings) -> tuple[Book, bytes]:
    """The workbook with the bytes it was read from. Raises Unusable: file-missing, and as reading does."""
    if not path.is_file():
        raise Unusable(problem("file-missing", Place(path.name), f"There is no {path.name}."))
    with disk(path):
        data = path.read_bytes()
    return open_bytes(path, data, settings.limits, settings.csv_form), data


def save_rows(
    path: Path,
    data: bytes,
    sheets: Iterable[SheetShown],
    typed: Sequence[RowTyped],
    settings: Settings,
    check: Check,
    texts: Sequence[str] = (),
) -> None:
    """Puts what was typed into the workbook, in its place. ``texts``: headings whose cells stay text.

    Raises Unusable, with nothing changed: workbook-open, rows-changed-meanwhile, output-locked; and as
    ``change_workbook`` and ``check`` do.
    """
    refuse_open(path)
    changes = [change for sheet in sheets if (change := _change(sheet, typed, settings, texts)) is not None]
    if not changes:
        return
    changed = change_workbook(data, path.name, changes, settings.limits).data
    check(open_bytes(path, changed, settings.limits, settings.csv_form))
    _clear(path.parent)
    put_in_place(path, changed, hashlib.sha256(data).hexdigest(), None, MEANWHILE)


def _change(
    sheet: SheetShown, typed: Sequence[RowTyped], settings: Settings, texts: Sequence[str]
) -> SheetChange | None:
    """Only cells that are not as they stand: who types the same again changes nothing."""
    cells: dict[str, NewValue] = {}
    rows: list[dict[str, NewValue]] = []
    for row in typed:
        if row.sheet != sheet.sheet:
            continue
        there = sheet.row(row.number)
        values = {
            sheet.letters[heading]: typed_cell(text, settings.decimal, figure=heading not in texts)
            for heading, text in row.cells.items()
            if heading in sheet.letters and (there is None or text.strip() != there.of(heading))
        }
        if there is None:
            rows += [{letters: value for letters, value in values.items() if value is not None}]
        else:
            cells |= {f"{letters}{row.number}": value for letters, value in values.items()}
    rows = [row for row in rows if row]
    if not cells and not rows:
        return None
    return SheetChange(sheet.sheet, cells, rows, sheet.rows[-1].number if sheet.rows else 0)


def _clear(folder: Path) -> None:
    """Removes files aside that a run which was stopped left long ago."""
    for path in litter(folder):
        with suppress(OSError):
            if path.stat().st_mtime < time.time() - FORGOTTEN:
                path.unlink()
