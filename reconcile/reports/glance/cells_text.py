"""What became of the cells of the sheets that were read, in words."""

import json
from collections.abc import Iterator, Sequence

from reconcile.reports.writing.text import width, wrapped
from reconcile.reports.writing.wording import count_text, some_of
from reconcile.values.unread import UnreadColumn
from reconcile.values.week.results import Ignored, SheetAccount

MOST_NAMED = 3
"""Sheets that the screen names."""


def account_text(account: SheetAccount) -> str:
    """``4,212 cells filled: 4,100 used, 96 ignored (...), 16 in rows set aside``."""
    if account.uncounted:
        return f"not counted: {account.uncounted}"
    ignored = sum(ignored_cell.cells for ignored_cell in account.ignored)
    parts = [f"{account.used:,} used"]
    if ignored:
        parts.append(f"{ignored:,} ignored ({'; '.join(map(ignored_text, account.ignored))})")
    if account.in_error:
        parts.append(f"{account.in_error:,} in rows set aside")
    return f"{account.filled:,} {'cell' if account.filled == 1 else 'cells'} filled: {', '.join(parts)}"


def ignored_text(ignored: Ignored) -> str:
    """``column M "remarks", its heading is none that is read: 96``."""
    where = f"{ignored.where}, " if ignored.where else ""
    return f"{where}{ignored.reason}: {ignored.cells:,}"


def unread_text(accounts: Sequence[SheetAccount]) -> str:
    """The line for the screen on sheets that were not read and may have been meant to be; "" for none."""
    named = [
        f"the sheet {account.sheet} of {account.file} ({count_text(ignored_cell.cells, 'cell')})"
        for account in accounts
        for ignored_cell in account.ignored
        if ignored_cell.looks_like_data and not ignored_cell.where
    ]
    return f"Not read: {some_of(named, MOST_NAMED)}. The report lists all that was ignored." if named else ""


def columns_unread(columns: Sequence[UnreadColumn]) -> Iterator[str]:
    """Every column that is not read, sheet by sheet, and what to paste into the settings."""
    if not columns:
        return
    yield "Columns that are not read"
    for sheet, file in dict.fromkeys((column.place.sheet, column.place.file) for column in columns):
        named = [column_text(column) for column in columns if column.place.sheet == sheet]
        yield wrapped(f"{sheet} ({file}): {', '.join(named)}", "  ", "    ")
    if headed := list(dict.fromkeys(column.heading for column in columns if column.heading)):
        yield "To leave them out without a word, write into reconcile.toml, under [headings]:"
        yield from ignore_lines(headed)


def column_text(column: UnreadColumn) -> str:
    """``H "Colour" (38 cells)``."""
    named = f' "{column.heading}"' if column.heading else " without a heading"
    return f"{column.letters}{named} ({count_text(column.cells, 'cell')})"


def ignore_lines(headings: Sequence[str]) -> Iterator[str]:
    """The line for the settings; where it would be too wide, one that goes on between two headings."""
    quoted = [json.dumps(heading, ensure_ascii=False) for heading in headings]
    line = f"  ignore = [{', '.join(quoted)}]"
    if len(line) <= width():
        yield line
        return
    yield "  ignore = ["
    yield from (f"    {heading}," for heading in quoted)
    yield "  ]"
