"""What everybody who books into the ledger does alike: read, check, book, all or nothing."""

import getpass
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from reconcile.ledger.book import Beside, Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import Booking, book, refuse_open, settle
from reconcile.ledger.files import free_path
from reconcile.plan.closing.movements import counted, difference_problem, differences, openings
from reconcile.sheets.edits.stock import stock_changes
from reconcile.sheets.edits.workbook import change_workbook
from reconcile.sheets.files.books import open_book
from reconcile.sheets.finding import Located, stock_path
from reconcile.sheets.stock.workbook import StockRead, read_stock
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.movements import (
    COUNTED,
    SHEET,
    Closing,
    Difference,
    Movement,
    PlannedUse,
    StockChange,
)
from reconcile.work.book import is_outdated

CLOSABLE = (".xlsx", ".xlsm")


@dataclass(frozen=True, slots=True)
class StockDesk:
    """The stock workbook as it was read, and its ledger; None where it has none yet."""

    workbook: Path
    settings: Settings
    read: StockRead
    sha256: str
    ledger: Ledger | None
    seen: int
    """How many closings the ledger had when the workbook was read."""
    today: date
    who: str
    remarks: tuple[Problem, ...] = ()
    """What was finished of an earlier run."""


@dataclass(frozen=True, slots=True)
class Posting:
    """What is to be booked; the names of files are chosen by ``post``."""

    closing: Closing
    movements: Sequence[Movement]
    change: StockChange
    uses: Sequence[PlannedUse] = ()
    reverses: Sequence[int] = ()
    beside: Beside = field(default_factory=Beside)
    """Jobs as booked, and what happened to orders."""
    sheet_is_old: bool = False
    """The sheet is from before the movements that are written back, so it need not agree with the ledger."""


@dataclass(frozen=True, slots=True)
class Posted:
    """What became of it."""

    workbook: Path
    """The new workbook; the stock workbook as it was, where no cell had to change."""
    changed: bool
    kept: Path | None
    """The old workbook's second name, where the new one took its place."""
    remarks: tuple[Problem, ...]
    taken: int
    """How many differences were taken over from the sheet."""

    @property
    def written(self) -> Path | None:
        """The workbook that was written; None where no cell had to change."""
        return self.workbook if self.changed else None


def open_desk(places: Located, who: str = "") -> StockDesk:
    """Reads the stock workbook beside its ledger; an earlier run that was stopped is finished first.

    Raises Unusable: stock-not-closable, workbook-open, and as ``read_stock`` and ``open_ledger`` do.
    """
    workbook, settings, today = stock_path(places), places.settings, places.today
    if workbook.is_dir() or workbook.suffix.lower() not in CLOSABLE:
        says = f"{workbook.name} is no xlsx or xlsm workbook."
        raise Unusable(problem("stock-not-closable", Place(workbook.name), says))
    ledger = open_ledger(ledger_path(workbook), create=False)
    remarks = settle(ledger, workbook.parent) if ledger else []
    seen = ledger.count() if ledger else 0
    refuse_open(workbook)
    opened = open_book(workbook, settings.limits)
    read = read_stock(opened, settings, today)
    digest = opened.digests[0][1]
    return StockDesk(
        workbook, settings, read, digest, ledger, seen, today, who or logged_in(), tuple(remarks)
    )


def ledger_of(desk: StockDesk) -> Ledger:
    """The desk's ledger. Raises Unusable (file-missing) where it was taken away meanwhile."""
    if desk.ledger is None:
        name = ledger_path(desk.workbook).name
        raise Unusable(problem("file-missing", Place(name), f"There is no ledger yet ({name})."))
    return desk.ledger


def logged_in() -> str:
    """The name that the computer knows the person by; "unknown" where it knows none."""
    try:
        return getpass.getuser()
    except (KeyError, OSError, ImportError):  # no such user, or a system without a list of users
        return "unknown"


def refuse_old(desk: StockDesk) -> None:
    """Raises Unusable (stock-before-closing) where the last closing's workbook was never put in place."""
    last = desk.ledger.last() if desk.ledger else None
    if last is not None and is_outdated(desk.sha256, last):
        says = f"{desk.workbook.name} is the workbook from before the closing {last.name}."
        do = (
            f"Put {last.target} in its place under the name {desk.workbook.name}, or write the closing back "
            f'with reconcile ledger --undo "{last.name}".'
        )
        raise Unusable(problem("stock-before-closing", Place(desk.workbook.name), says, do=do))


def difference_problems(desk: StockDesk, *, noticed: bool) -> list[Problem]:
    """Part by part, what the sheet says otherwise than the ledger."""
    return [difference_problem(difference, noticed=noticed) for difference in found_differences(desk)]


def found_differences(desk: StockDesk) -> list[Difference]:
    """Every part of which the sheet says another figure than the ledger; none without a ledger."""
    if desk.ledger is None:
        return []
    return differences(desk.read.stock, desk.ledger.balances(), desk.ledger.units(), desk.workbook.name)


def post(desk: StockDesk, posting: Posting, *, in_place: bool, take_differences: bool = False) -> Posted:
    """Books it and writes the changed workbook: a new file, or ``in_place``, where the old one is kept.

    ``take_differences``: differences between sheet and ledger are booked first, as counted. Raises
    Unusable, with nothing changed: ledger-differs without it; and as ``stock_changes``,
    ``change_workbook`` and ``book`` do.
    """
    before = _before(desk, posting, take_differences)
    changes, remarks = stock_changes(desk.read, posting.change, desk.settings, desk.workbook.name)
    data = desk.workbook.read_bytes()
    changed = change_workbook(data, desk.workbook.name, changes, desk.settings.limits)
    target, kept = _names(desk.workbook, posting.closing.name, in_place)
    if not changes:
        target, kept = desk.workbook, None
    booking = Booking(
        posting.closing, posting.movements, desk.workbook, desk.sha256, desk.seen, target, kept,
        lambda _data: changed.data if changes else data, posting.uses, posting.reverses, posting.beside,
        before,
    )  # fmt: skip
    ledger = desk.ledger or new_ledger(desk.workbook)
    try:
        path, settled = book(ledger, booking)
    finally:
        if desk.ledger is None:
            ledger.close()
    taken = sum(each.kind == COUNTED for each in before[1])
    return Posted(path, bool(changes), kept, (*remarks, *changed.remarks, *settled), taken)


def new_ledger(workbook: Path) -> Ledger:
    """The ledger of a workbook, opened for the first time. Raises Unusable as ``open_ledger`` does."""
    path = ledger_path(workbook)
    if (ledger := open_ledger(path)) is None:
        raise Unusable(problem("file-missing", Place(path.name), f"{path.name} could not be made."))
    return ledger


def _before(desk: StockDesk, posting: Posting, take_differences: bool) -> tuple[Closing, list[Movement]]:
    """Openings of parts that are new to the ledger, and differences, if they may be taken over."""
    found = [] if posting.sheet_is_old else found_differences(desk)
    if found and not take_differences:
        raise Unusable(*(difference_problem(each, noticed=False) for each in found))
    lost = [each for each in found if not each.source.cell]
    if lost and _set_aside(desk):
        do = "Mend the stock sheet first: some of its rows cannot be read."
        raise Unusable(*(replace(difference_problem(each, noticed=False), do=do) for each in lost))
    balances = desk.ledger.balances() if desk.ledger else {}
    movements = [
        *openings(desk.read.stock, balances, desk.today, desk.who),
        *counted(found, desk.today, desk.who),
    ]
    name = f"sheet before {posting.closing.name}"
    name = desk.ledger.free_name(name) if desk.ledger else name
    return Closing(name, SHEET, desk.today, desk.who, desk.sha256, desk.sha256), movements


def _set_aside(desk: StockDesk) -> bool:
    return any(fault.severity == "error" for fault in desk.read.problems)


def _names(workbook: Path, name: str, in_place: bool) -> tuple[Path, Path | None]:
    """Where the new workbook goes, and the second name of the old one if it is to take its place.

    Old workbooks go into a folder of their own beside the new one, ``stock-kept``.
    """
    plain = name.replace(" ", "-")
    if in_place:
        kept = workbook.with_name(f"{workbook.stem}-kept")
        return workbook, free_path(kept / f"{workbook.stem}-before-{plain}{workbook.suffix}")
    return free_path(workbook.with_name(f"{workbook.stem}-after-{plain}{workbook.suffix}")), None
