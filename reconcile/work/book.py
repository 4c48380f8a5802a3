"""What the book says to a run that plans: read beside the stock workbook, whole, or the run is refused."""

import os
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.plan.ordering.standing import lines_of
from reconcile.sheets.finding import Located, stock_path
from reconcile.sheets.inputs import read_inputs
from reconcile.values.days import Period, period_named
from reconcile.values.ledger.jobs import JobBooked
from reconcile.values.ledger.standing import BookSays, JobStanding
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.stock.movements import WEEK, Closing
from reconcile.values.week.results import InputFile, Inputs
from reconcile.values.words import fold
from reconcile.work.marks import is_foreign, ledger_beside
from reconcile.work.remarks import remarks_of_ledger

LONGEST_PERIOD = 3 * 366
"""Days; a longer period in the ledger is damage, and would be looked at day by day."""

if TYPE_CHECKING:
    from reconcile.ledger.book import Ledger


def read_book(places: Located) -> BookSays:
    """How jobs and weeks stand; nothing, and nothing loaded, where there is no ledger; nothing of another's.

    Raises Unusable for one that is there and cannot be read, or is in use for longer than a moment: without
    it jobs that are done would be planned again.
    """
    try:
        workbook = stock_path(places)
    except Unusable:
        return BookSays()  # whoever reads the sheets names this, with all else that is missing
    path = ledger_beside(workbook)
    if not os.path.lexists(path):
        return BookSays()
    from reconcile.ledger.book import open_ledger

    ledger = open_ledger(path, create=False)
    if ledger is None:
        return BookSays()
    with ledger:
        return BookSays() if is_foreign(workbook, ledger) else book_says(ledger)


def inputs_by(places: Located, says: BookSays) -> Inputs:
    """All inputs as the book has them stand, with what the ledger has to say of the stock sheet.

    Raises Unusable as ``read_inputs`` and ``remarks_of_ledger`` do.
    """
    inputs = read_inputs(places, says)
    remarks = remarks_of_ledger(inputs, places)
    files = (*inputs.files, *ledger_file(places, says))
    return replace(inputs, problems=(*inputs.problems, *remarks), files=files)


def ledger_file(places: Located, says: BookSays) -> list[InputFile]:
    """The ledger among the files that were read; nothing where there is none."""
    if not says.file:
        return []
    from reconcile.ledger.files import digest

    with suppress(OSError):  # taken away since it was read
        if found := digest(ledger_beside(stock_path(places))):
            return [InputFile("ledger", says.file, found)]
    return []


def book_says(ledger: "Ledger") -> BookSays:
    """What a ledger that is open says."""
    weeks = [each for each in ledger.standing_closings() if each.kind == WEEK]
    periods = {closing.name: sound_period(closing, ledger.path) for closing in weeks}
    booked: dict[str, list[tuple[str, JobBooked]]] = {}
    for entry in ledger.booked_jobs():
        booked.setdefault(fold(entry.booked.row.job), []).append((entry.closing, entry.booked))
    done = {fold(number): closing for number, closing in ledger.done().items()}
    held = tuple(hold.row for hold in ledger.holds() if hold.stands)
    jobs = {
        number: standing(booked.get(number, []), done.get(number), periods)
        for number in (*done, *(number for number in booked if number not in done))
    }
    closed = tuple(period for period in periods.values() if period)
    orders = tuple(lines_of(ledger.order_entries()).values())
    return BookSays(jobs, closed, held, ledger.path.name, ledger.count(), orders)


def sound_period(closing: Closing, path: Path) -> Period | None:
    """Raises Unusable (ledger-broken) for a closing of more days than anybody closes at once."""
    period = period_of(closing)
    if period is not None and not 0 <= (period.last - period.first).days <= LONGEST_PERIOD:
        says = f"{path.name}: the closing {closing.name} cannot be of {period.first} to {period.last}."
        raise Unusable(problem("ledger-broken", Place(path.name), says))
    return period


def period_of(closing: Closing) -> Period | None:
    """The days that a closing of a week covers: as it says, else by its name."""
    first, last = closing.details.get("from"), closing.details.get("to")
    if isinstance(first, str) and isinstance(last, str):
        try:
            return Period(date.fromisoformat(first), date.fromisoformat(last))
        except ValueError:
            pass
    return period_named(closing.name)


def standing(
    booked: list[tuple[str, JobBooked]], done: str | None, periods: dict[str, Period | None]
) -> JobStanding:
    """What the closings say of one job."""
    closing = done or booked[-1][0]
    period = periods.get(closing)
    return JobStanding(
        done is not None, closing, period.last if period else date.max, tuple(each for _, each in booked)
    )
