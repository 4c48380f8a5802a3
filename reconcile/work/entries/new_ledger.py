"""Begin a ledger anew, from what the sheet says, where the old one is lost, emptied, older or another's.

What is lost is said and kept in the new ledger. The last week that the workbook's mark names stays closed,
and jobs that the sheet Usage names count as done, so that nothing is booked a second time.

The order of steps leaves no gap. The new ledger is made whole under a name aside, with the new workbook
beside it; what lay in the ledger's place is kept under a second name; then the new one is renamed into it.
*This is the moment at which it is begun.* Stopped before it, all is as it was but for files aside; after it,
every later run finishes the workbook as that of any closing.
"""

import os
import shutil
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.ledger.booking import Before, Booking, commit, finished_or_told
from reconcile.ledger.files import aside_name, digest, disk, free_path, sync_folder
from reconcile.ledger.trust import compared
from reconcile.plan.closing.movements import openings
from reconcile.sheets.finding import Located, call_fault, stock_path
from reconcile.values.days import period_named
from reconcile.values.ledger.lost import Lost
from reconcile.values.ledger.mark import APART, Mark
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import SHEET, WEEK, Closing, StockChange
from reconcile.work.booking import CLOSABLE, Posting, StockDesk, Writing, booking_of, read_desk
from reconcile.work.marks import mark_on
from reconcile.work.ordering.beside import orders_there


@dataclass(frozen=True, slots=True)
class LedgerBegun:
    """What came of it."""

    lost: Lost
    workbook: Path | None
    """The new workbook, which bears the new ledger's mark; None for a dry run."""
    kept: Path | None
    """The old workbook's second name, where the new one took its place."""
    old: Path | None
    """Where the ledger that lay there is kept; None where there was none."""
    remarks: tuple[Problem, ...] = ()


def begin_ledger(places: Located, who: str = "", *, in_place: bool, dry_run: bool = False) -> LedgerBegun:
    """Begins a ledger anew.

    Raises Unusable, with nothing changed: call-unusable where workbook and ledger belong together;
    stock-not-closable; ledger-busy; and as ``read_desk`` and ``commit`` do.
    """
    workbook = stock_path(places)
    if workbook.suffix.lower() not in CLOSABLE or workbook.is_dir():
        says = f"{workbook.name} is no xlsx or xlsm workbook."
        raise Unusable(problem("stock-not-closable", Place(workbook.name), says))
    refuse_sound(workbook)
    desk = read_desk(places, None, who)
    lost = lost_of(desk)
    if dry_run:
        return LedgerBegun(lost, None, None, None)
    return _begun(desk, lost, in_place=in_place)


def refuse_sound(workbook: Path) -> None:
    """Raises Unusable (call-unusable) where there is nothing to begin anew; ledger-busy."""
    try:
        ledger = open_ledger(ledger_path(workbook), create=False)
        standing = compared(mark_on(workbook), digest(workbook), ledger)
        broken = ledger.audit() if ledger else []
        if ledger is not None:
            ledger.close()
    except Unusable as unusable:
        if all(fault.code == "ledger-broken" for fault in unusable.problems):
            return
        raise
    if standing not in APART and not broken:
        says = f"{workbook.name} and {ledger_path(workbook).name} belong together; there is nothing to begin."
        raise Unusable(call_fault("--in", says))


def lost_of(desk: StockDesk) -> Lost:
    """What is lost, as far as the workbook can tell."""
    mark = desk.mark or Mark("", 0)
    jobs = tuple(dict.fromkeys(each.job for each in desk.read.stock.usage if each.job))
    bins = sum(len(part.bins) for part in desk.read.stock.parts.values())
    return Lost(mark.identity, mark.counter, mark.week, jobs, bins)


def posting_to_begin(desk: StockDesk, lost: Lost) -> Posting:
    """The closing that begins: the last week stays closed, and the jobs that Usage names are done."""
    period = period_named(lost.week) if lost.week else None
    details: dict[str, object] = {"begun": asdict(lost), "done": list(lost.jobs), "usage": [], "received": []}
    if period is not None:
        details |= {"from": period.first.isoformat(), "to": period.last.isoformat()}
        closing = Closing(lost.week, WEEK, desk.today, desk.who, details=details)
    else:
        name = f"begun {desk.today.isoformat()}"
        closing = Closing(name, SHEET, desk.today, desk.who, details=details)
    return Posting(closing, [], StockChange(), marks=True)


def _begun(desk: StockDesk, lost: Lost, *, in_place: bool) -> LedgerBegun:
    folder, path = desk.workbook.parent, ledger_path(desk.workbook)
    posting = posting_to_begin(desk, lost)
    writing = Writing(desk, posting)
    opened = openings(desk.read.stock, {}, desk.today, desk.who)
    orders = orders_there(None, desk.read.stock, desk.workbook.name)
    listed = orders.events(desk.read.stock, desk.today, desk.who)
    sheet = Closing("sheet at the beginning", SHEET, desk.today, desk.who, desk.sha256, desk.sha256)
    booking = booking_of(desk, posting, writing, Before(sheet, opened, listed), in_place=in_place)
    aside = folder / aside_name("ledger")
    try:
        with disk(path):
            _made(aside, booking)
            old = _kept(path, desk)
            aside.replace(path)
            sync_folder(folder)
    except BaseException:
        for each in (aside, aside.with_name(f"{aside.name}-journal")):
            with suppress(OSError):
                each.unlink(missing_ok=True)
        raise
    remarks = _finished(path, posting.closing.name)
    kept = booking.kept if booking.kept and booking.kept.exists() else None
    return LedgerBegun(lost, booking.target, kept, old, (*writing.remarks, *remarks))


def _made(aside: Path, booking: Booking) -> None:
    """A whole ledger under a name aside, with the closing that begins it."""
    ledger = open_ledger(aside)
    if ledger is not None:
        with ledger:
            commit(ledger, replace(booking, seen=0))


def _kept(path: Path, desk: StockDesk) -> Path | None:
    """A second name for what lies in the ledger's place; its journal goes with it, which is of no other."""
    journal = path.with_name(f"{path.name}-journal")
    kept = free_path(path.with_name(f"{path.stem}-before-{desk.today.isoformat()}{path.suffix}"))
    if os.path.lexists(journal):
        journal.replace(kept.with_name(f"{kept.name}-journal"))
    if not path.is_file():
        return None
    try:
        kept.hardlink_to(path)
    except OSError:
        shutil.copy2(path, kept)
    return kept


def _finished(path: Path, name: str) -> list[Problem]:
    ledger: Ledger | None = None
    try:
        ledger = open_ledger(path, create=False)
        return finished_or_told(ledger, path.parent, name) if ledger else []
    except Unusable as unusable:
        return list(unusable.problems)
    finally:
        if ledger is not None:
            ledger.close()
