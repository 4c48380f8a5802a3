"""What the book says to a run that plans: read beside the stock workbook, whole, or the run is refused."""

from datetime import date
from typing import TYPE_CHECKING

from reconcile.sheets.finding import Located, stock_path
from reconcile.values.days import Period, period_named
from reconcile.values.ledger.jobs import JobBooked
from reconcile.values.ledger.standing import BookSays, JobStanding
from reconcile.values.stock.movements import LEDGER_ENDING, WEEK, Closing
from reconcile.values.words import fold

if TYPE_CHECKING:
    from reconcile.ledger.book import Ledger


def read_book(places: Located) -> BookSays:
    """How jobs and weeks stand; nothing, and nothing loaded, where there is no ledger.

    Raises Unusable for one that is there and cannot be read, or is in use for longer than a moment: without
    it jobs that are done would be planned again.
    """
    workbook = stock_path(places)
    path = workbook.with_name(f"{workbook.stem}{LEDGER_ENDING}")
    if not path.exists():
        return BookSays()
    from reconcile.ledger.book import open_ledger

    ledger = open_ledger(path, create=False)
    if ledger is None:
        return BookSays()
    with ledger:
        return book_says(ledger)


def book_says(ledger: "Ledger") -> BookSays:
    """What a ledger that is open says."""
    weeks = [closing for closing in ledger.standing_closings() if closing.kind == WEEK]
    periods = {closing.name: period_of(closing) for closing in weeks}
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
    return BookSays(jobs, closed, held, ledger.path.name, ledger.count())


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
        done is not None, closing, period.last if period else date.max, tuple(entry for _, entry in booked)
    )
