"""What everybody who books into the ledger does alike: read, check, book, all or nothing."""

import getpass
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from reconcile.ledger.book import Beside, Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import (
    Before,
    Booking,
    book,
    refuse_booked_since,
    refuse_open,
    refuse_other_files,
    settle,
)
from reconcile.ledger.files import digest, free_path
from reconcile.ledger.trust import compared
from reconcile.plan.closing.movements import counted, difference_problem, differences, openings
from reconcile.plan.closing.renamed import renamed
from reconcile.plan.ordering.standing import order_difference_problem
from reconcile.sheets.edits.read_back import refuse_otherwise
from reconcile.sheets.edits.stock import stock_changes
from reconcile.sheets.edits.workbook import change_workbook
from reconcile.sheets.files.books import open_book, open_bytes
from reconcile.sheets.finding import Located, stock_path
from reconcile.sheets.stock.workbook import StockRead, read_stock
from reconcile.values.ledger.mark import BEFORE, Mark
from reconcile.values.ledger.orders import OrderEvent
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.movements import (
    SHEET,
    Closing,
    Difference,
    Movement,
    PlannedUse,
    StockChange,
)
from reconcile.values.stock.parts import Stock
from reconcile.work.marks import BOOKABLE, PROPERTY, mark_on, refuse_apart
from reconcile.work.ordering.beside import OrdersThere, order_rows, orders_there

CLOSABLE = BOOKABLE


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
    mark: Mark | None = None
    """What the workbook bears."""

    @property
    def standing(self) -> str:
        """How the workbook stands to the ledger: one of those in ``values.ledger.mark``."""
        return compared(self.mark, self.sha256, self.ledger)


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
    marks: bool = False
    """The workbook gets the closing's mark even where no cell of it changes."""
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

    finished: bool = True
    """False where it is booked and its workbook is put in place by the next run."""

    @property
    def written(self) -> Path | None:
        """The workbook that was written; None where no cell had to change."""
        return self.workbook if self.changed else None


def open_desk(places: Located, who: str = "", *, finishes: bool = True) -> StockDesk:
    """Reads the stock workbook beside its ledger; an earlier run that was stopped is finished first.

    ``finishes``: False for a dry run, which writes nothing: what would be finished is refused. Raises
    Unusable: stock-not-closable, workbook-open, closing-unfinished; ledger-lost, ledger-older,
    ledger-foreign; ledger-broken; and as ``read_stock`` and ``open_ledger`` do.
    """
    workbook = stock_path(places)
    if workbook.is_dir() or workbook.suffix.lower() not in CLOSABLE:
        says = f"{workbook.name} is no xlsx or xlsm workbook."
        raise Unusable(problem("stock-not-closable", Place(workbook.name), says))
    ledger = open_ledger(ledger_path(workbook), create=False)
    refuse_unsound(workbook, ledger)
    remarks = finish(ledger, workbook, finishes=finishes) if ledger else []
    return read_desk(places, ledger, who, tuple(remarks))


def refuse_unsound(workbook: Path, ledger: Ledger | None) -> None:
    """Raises Unusable where nothing may be booked: ledger-lost, -older, -foreign; ledger-broken.

    Before anything is finished: a ledger that is not this workbook's own has nothing to finish here.
    """
    borne = mark_on(workbook)
    refuse_apart(workbook, compared(borne, digest(workbook), ledger), borne)
    if ledger is not None:
        ledger.refuse_broken()


def finish(ledger: Ledger, workbook: Path, *, finishes: bool) -> list[Problem]:
    """``settle``, or for a dry run a refusal (closing-unfinished) where there is something to finish."""
    if finishes:
        return settle(ledger, workbook.parent)
    closing = ledger.unfinished()
    if closing is not None:
        refuse_other_files(ledger.path, closing)
        says = f"The closing {closing.name} was stopped before its workbook was in place."
        raise Unusable(problem("closing-unfinished", Place(workbook.name), says, found=closing.name))
    return []


def read_desk(
    places: Located, ledger: Ledger | None, who: str, remarks: tuple[Problem, ...] = ()
) -> StockDesk:
    """The stock workbook as it lies there, beside a ledger. Raises Unusable as ``open_desk``."""
    workbook, settings, today = stock_path(places), places.settings, places.today
    seen = ledger.count() if ledger else 0
    refuse_open(workbook)
    opened = open_book(workbook, settings.limits)
    read = read_stock(opened, settings, today)
    return StockDesk(
        workbook, settings, read, opened.digests[0][1], ledger, seen, today, who or logged_in(), remarks,
        mark_on(workbook),
    )  # fmt: skip


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


@contextmanager
def as_read(desk: StockDesk) -> Iterator[None]:
    """What is refused within is refused of what the desk has read.

    Raises Unusable: stock-changed-meanwhile in place of whatever is refused where another run has booked
    since, for that may be the whole reason, and what there is to do is to run again.
    """
    try:
        yield
    except Unusable:
        if desk.ledger is not None:
            refuse_booked_since(desk.ledger, desk.workbook, desk.seen)
        raise


def refuse_old(desk: StockDesk) -> None:
    """Raises Unusable where the last closing's workbook was never put in place: stock-before-closing."""
    last = desk.ledger.last() if desk.ledger else None
    if last is None or desk.standing != BEFORE:
        return
    says = f"{desk.workbook.name} is the workbook from before the closing {last.name}."
    do = (
        f"Put {last.target} in its place under the name {desk.workbook.name}, or write the closing back "
        f'with reconcile ledger --undo "{last.name}".'
    )
    with as_read(desk):
        raise Unusable(problem("stock-before-closing", Place(desk.workbook.name), says, do=do))


def difference_problems(desk: StockDesk, *, noticed: bool) -> list[Problem]:
    """Part by part and line by line, what the sheet says otherwise than the ledger."""
    orders = orders_there(desk.ledger, desk.read.stock, desk.workbook.name)
    return [
        *renamed_of(desk),
        *(difference_problem(difference, noticed=noticed) for difference in found_differences(desk)),
        *(order_difference_problem(difference, noticed=noticed) for difference in orders.differences),
    ]


def renamed_of(desk: StockDesk) -> list[Problem]:
    """Parts that seem to have got another number since the ledger was written."""
    return [] if desk.ledger is None else list(renamed(desk.read.stock, desk.ledger.balances()))


def found_differences(desk: StockDesk) -> list[Difference]:
    """Every part of which the sheet says another figure than the ledger; none without a ledger."""
    if desk.ledger is None:
        return []
    return differences(desk.read.stock, desk.ledger.balances(), desk.ledger.units(), desk.workbook.name)


def post(desk: StockDesk, posting: Posting, *, in_place: bool, take_differences: bool = False) -> Posted:
    """Books it and writes the changed workbook: a new file, or ``in_place``, where the old one is kept.

    ``take_differences``: differences between sheet and ledger are booked first, as counted. Raises
    Unusable, with nothing changed: ledger-differs without it; and as ``stock_changes``,
    ``change_workbook``, ``refuse_otherwise`` and ``book`` do.
    """
    with as_read(desk):
        refuse_apart(desk.workbook, desk.standing, desk.mark)
        orders = orders_there(desk.ledger, desk.read.stock, desk.workbook.name)
        before = _before(desk, posting, orders, take_differences)
        posting = replace(posting, change=with_order_rows(posting, orders, before.orders, desk.read.stock))
        writing = Writing(desk, posting)
        if desk.ledger is None:
            writing.try_out()  # so that what is refused leaves no ledger behind
    ledger = desk.ledger or new_ledger(desk.workbook)
    booking = booking_of(desk, posting, writing, before, in_place=in_place)
    try:
        path, settled = book(ledger, booking)
    finally:
        if desk.ledger is None:
            ledger.close()
    kept = booking.kept if booking.kept and booking.kept.exists() else None
    taken = before.taken + len(orders.differences)
    done = all(each.code != "booked-unfinished" for each in settled)
    return Posted(path, writing.writes, kept, (*writing.remarks, *settled), taken, done)


class Writing:
    """The new workbook of a posting: how it is made of the old one, and how it is checked."""

    def __init__(self, desk: StockDesk, posting: Posting) -> None:
        self._desk, self._posting = desk, posting
        self._changes, remarks = stock_changes(desk.read, posting.change, desk.settings, desk.workbook.name)
        self.remarks: list[Problem] = list(remarks)
        self.writes = bool(self._changes) or posting.marks
        """A week's closing always leaves its mark; another one that changes no cell leaves the workbook."""

    def try_out(self) -> None:
        """Raises Unusable as ``changed`` would."""
        if self.writes:
            change_workbook(
                self._desk.workbook.read_bytes(), self._desk.workbook.name, self._changes,
                self._desk.settings.limits,
            )  # fmt: skip

    def changed(self, data: bytes, mark: Mark) -> bytes:
        """The bytes of the new workbook; the old ones where nothing is written."""
        if not self.writes:
            return data
        desk = self._desk
        made = change_workbook(
            data, desk.workbook.name, self._changes, desk.settings.limits, {PROPERTY: str(mark)}
        )
        self.remarks += made.remarks
        return made.data

    def check(self, data: bytes) -> None:
        """Raises Unusable where the next run would not read the bytes as they were meant."""
        if not self.writes:
            return
        desk = self._desk
        book = open_bytes(desk.workbook, data, desk.settings.limits)
        after = read_stock(book, desk.settings, desk.today)
        refuse_otherwise(desk.read, self._posting.change, after, desk.workbook.name)


def booking_of(
    desk: StockDesk, posting: Posting, writing: Writing, before: Before, *,
    in_place: bool,
) -> Booking:  # fmt: skip
    """What the ledger's room is to do, with the names of files."""
    target, kept = _names(desk.workbook, posting.closing.name, in_place)
    if not writing.writes:
        target, kept = desk.workbook, None
    return Booking(
        posting.closing, posting.movements, desk.workbook, desk.sha256, desk.seen, target, kept,
        writing.changed, posting.uses, posting.reverses, posting.beside, before, desk.mark, writing.check,
    )  # fmt: skip


def with_order_rows(
    posting: Posting, orders: OrdersThere, before: Sequence[OrderEvent], stock: Stock
) -> StockChange:
    """What the posting changes in the sheet, with the rows of the lines that it says something of."""
    own = posting.beside.orders
    rows = order_rows(orders, (*before, *own), own, posting.closing.undoes, stock)
    return replace(posting.change, on_order=rows)


def new_ledger(workbook: Path) -> Ledger:
    """The ledger of a workbook, opened for the first time. Raises Unusable as ``open_ledger`` does."""
    path = ledger_path(workbook)
    if (ledger := open_ledger(path)) is None:
        raise Unusable(problem("file-missing", Place(path.name), f"{path.name} could not be made."))
    return ledger


def _before(desk: StockDesk, posting: Posting, orders: OrdersThere, take_differences: bool) -> Before:
    """Openings of parts and lines that are new to the ledger, and differences, if they may be taken over."""
    found = [] if posting.sheet_is_old else found_differences(desk)
    apart = [] if posting.sheet_is_old else orders.differences
    told = [difference_problem(each, noticed=False) for each in found]
    told += [order_difference_problem(each, noticed=False) for each in apart]
    if told and not take_differences:
        raise Unusable(*renamed_of(desk), *told)
    lost = [says for says in told if not says.place.cell]
    if lost and _set_aside(desk):
        do = "Mend the stock sheet first: some of its rows cannot be read."
        raise Unusable(*(replace(each, do=do) for each in lost))
    balances = desk.ledger.balances() if desk.ledger else {}
    movements = [
        *openings(desk.read.stock, balances, desk.today, desk.who),
        *counted(found, desk.today, desk.who),
    ]
    name = f"sheet before {posting.closing.name}"
    name = desk.ledger.free_name(name) if desk.ledger else name
    closing = Closing(name, SHEET, desk.today, desk.who, desk.sha256, desk.sha256)
    events = [] if posting.sheet_is_old else orders.events(desk.read.stock, desk.today, desk.who)
    return Before(closing, movements, events)


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
