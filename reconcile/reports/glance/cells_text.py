"""What became of the cells of the sheets that were read, in words."""

from collections.abc import Sequence

from reconcile.reports.writing.wording import count_text, some_of
from reconcile.values.week.results import Ignored, SheetAccount

MOST_NAMED = 3
"""Columns and sheets that the screen names."""


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
    """The line for the screen on what was not read and may have been meant to be; "" for nothing."""
    named = [
        f"{_what(account, ignored_cell)} ({count_text(ignored_cell.cells, 'cell')})"
        for account in accounts
        for ignored_cell in account.ignored
        if ignored_cell.looks_like_data
    ]
    return f"Not read: {some_of(named, MOST_NAMED)}. The report lists all that was ignored." if named else ""


def _what(account: SheetAccount, ignored: Ignored) -> str:
    if ignored.where:
        return f"{ignored.where} of {account.sheet} in {account.file}"
    return f"the sheet {account.sheet} of {account.file}"
