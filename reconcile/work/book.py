"""What the book says to a run that plans: read beside the stock workbook, whole, or the run is refused."""

from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from reconcile.sheets.finding import Located, stock_path
from reconcile.sheets.inputs import read_inputs
from reconcile.values.catalogue import NOTICE
from reconcile.values.days import Period, period_named
from reconcile.values.ledger.jobs import JobBooked
from reconcile.values.ledger.standing import BookSays, BookShelf, JobStanding
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import LEDGER_ENDING, WEEK, Closing
from reconcile.values.stock.parts import Stock
from reconcile.values.week.results import Inputs
from reconcile.values.words import fold

if TYPE_CHECKING:
    from reconcile.ledger.book import Ledger


def read_book(places: Located) -> BookSays:
    """How jobs, weeks and the shelf stand; nothing, and nothing loaded, where there is no ledger.

    A closing that was stopped is finished first, so that the sheets are read as it left them. Raises Unusable
    for a ledger that is there and cannot be read, or is in use for longer than a moment: without it jobs that
    are done would be planned again.
    """
    try:
        workbook = stock_path(places)
    except Unusable:
        return BookSays()  # whoever reads the sheets names this, with all else that is missing
    path = workbook.with_name(f"{workbook.stem}{LEDGER_ENDING}")
    if not path.exists():
        return BookSays()
    from reconcile.ledger.book import open_ledger

    ledger = open_ledger(path, create=False)
    if ledger is None:
        return BookSays()
    with ledger:
        remarks = finished(ledger)
        shelf = BookShelf(ledger.balances(), ledger.units(), ledger.last())
        return replace(book_says(ledger), shelf=shelf, remarks=remarks)


def finished(ledger: "Ledger") -> tuple[Problem, ...]:
    """A closing that was stopped is finished, with what is to be said of it; it is planned all the same."""
    from reconcile.ledger.booking import settle

    try:
        return tuple(settle(ledger, ledger.path.parent))
    except Unusable as unusable:
        if any(fault.code.startswith("ledger-") for fault in unusable.problems):
            raise
        did = "The week was planned without it."
        return tuple(replace(fault, severity=NOTICE, did=did) for fault in unusable.problems)


def inputs_by(places: Located, says: BookSays) -> Inputs:
    """All inputs as the book has them stand, with what the book has to say of the stock sheet, part by part.

    Raises Unusable: as ``read_inputs`` does; ledger-other for the ledger of another workshop.
    """
    inputs = read_inputs(places, says)
    if says.shelf is None:
        return inputs
    return replace(inputs, problems=(*inputs.problems, *says.remarks, *of_the_sheet(inputs, says)))


def of_the_sheet(inputs: Inputs, says: BookSays) -> list[Problem]:
    """That the workbook is an old one; or every part of which it says another figure than the book."""
    from reconcile.plan.closing.movements import difference_problem, differences

    shelf, workbook = says.shelf, next(file for file in inputs.files if file.role == "stock")
    if shelf is None:
        return []
    if shelf.last is not None and is_outdated(workbook.sha256, shelf.last):
        told = f"{workbook.name} is the workbook from before the closing {shelf.last.name}."
        return [problem("stock-outdated", Place(workbook.name), told, found=shelf.last.name)]
    refuse_other(inputs.stock, shelf, says.file)
    found = differences(inputs.stock, shelf.balances, shelf.units, workbook.name)
    return [difference_problem(difference, noticed=True) for difference in found]


def refuse_other(stock: Stock, shelf: BookShelf, name: str) -> None:
    """Raises Unusable (ledger-other) where nothing that the book keeps is on the sheet.

    That is: none of its bins, and of no part as much in all. Bins may have other names by now, and parts
    another quantity, but hardly all at once.
    """
    there = {(part.number, each.name) for part in stock.parts.values() for each in part.bins}
    kept: dict[str, Fraction] = {}
    for (part, _), quantity in shelf.balances.items():
        kept[part] = kept.get(part, Fraction(0)) + quantity
    as_much = any(stock.parts[part].on_hand == kept[part] for part in kept if part in stock.parts)
    if kept and there.isdisjoint(shelf.balances) and not as_much:
        told = f"The stock sheet has none of the bins that {name} keeps, and of no part as much."
        raise Unusable(problem("ledger-other", Place(name), told))


def is_outdated(digest: str, last: Closing) -> bool:
    """Whether a workbook is the one from before the last closing."""
    return last.old_workbook == digest != last.new_workbook


def book_says(ledger: "Ledger") -> BookSays:
    """What a ledger that is open says."""
    weeks = [each for each in ledger.standing_closings() if each.kind == WEEK]
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
        done is not None, closing, period.last if period else date.max, tuple(each for _, each in booked)
    )
