"""A closing on the disk: new workbook and movements in the ledger, both or neither, whenever it is stopped.

The steps of ``book``, in an order that leaves no gap:

1. The ledger is held: nobody else can book from here on. It is looked over as a whole.
2. The new workbook is written beside its place, under a name of its own, and the disk is waited for. It is
   read back from there, and must say what was meant.
3. Movements and closing are posted, with the digests of the old and the new workbook, and the transaction
   ends. *This is the moment at which the week is closed.* Stopped before it, the ledger knows nothing of
   the closing, and the file beside is litter, which the next run removes.
4. ``settle`` puts the workbook in its place: the old one gets its second name, the new one is renamed, and
   that this was done is noted in the ledger. Stopped within, every later run of a command that looks into
   the ledger does the same step again and comes out at the same end: whichever digest lies there says how
   far it had come.

Whatever fails from 3 on is told as a remark, never as a refusal: the week is booked, and what is left is
finished by the next run.

So a closing is only ever finished, never half taken back. If somebody changes or moves the workbook between
a stop and the next run, nothing of theirs is written over: the new workbook gets a free name beside it.
"""

import hashlib
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from reconcile.ledger.book import Beside, Ledger
from reconcile.ledger.faults import broken
from reconcile.ledger.files import (
    aside_name,
    digest,
    disk,
    free_path,
    keep_copy,
    litter,
    sync_folder,
    write_aside,
)
from reconcile.ledger.trust import DETAIL, belongs_beside, next_mark
from reconcile.values.ledger.mark import Mark
from reconcile.values.ledger.orders import OrderEvent
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import COUNTED, Closing, Movement, PlannedUse

Change = Callable[[bytes, Mark], bytes]
"""The bytes of a workbook to those of the changed one, which bears the mark. Raises Unusable before anything
is written. What it gives back as it got it is not written, and bears the mark that it bore."""
Check = Callable[[bytes], None]
"""Reads a new workbook as the next run will. Raises Unusable where it does not say what was meant."""


NOBODY_KNOWS = "Whether it is booked cannot be told now; the next run says, and finishes it."


def nothing_to_check(_data: bytes) -> None:
    """For a workbook that nobody reads."""


@dataclass(frozen=True, slots=True)
class Before:
    """Openings, and differences taken over from the sheet: of bins, and of lines of orders."""

    closing: Closing
    movements: Sequence[Movement]
    orders: Sequence[OrderEvent] = ()

    @property
    def says(self) -> bool:
        """Whether there is anything to post."""
        return bool(self.movements or self.orders)

    @property
    def taken(self) -> int:
        """How many differences of bins were taken over."""
        return sum(each.kind == COUNTED for each in self.movements)


@dataclass(frozen=True, slots=True)
class Booking:
    """All that is booked in one piece."""

    closing: Closing
    """Without digests and names of files; ``book`` fills them in."""
    movements: Sequence[Movement]
    workbook: Path
    """The stock workbook that it is made from."""
    read: str
    """Its SHA-256 when it was read."""
    seen: int
    """How many closings the ledger had then."""
    target: Path
    """Where the new workbook goes: a new file, or ``workbook`` itself, which is then kept as ``kept``."""
    kept: Path | None
    """The second name of the old workbook; None where the target is a new file."""
    change: Change
    uses: Sequence[PlannedUse] = ()
    reverses: Sequence[int] = ()
    """See ``Ledger.post``."""
    beside: Beside = field(default_factory=Beside)
    before: Before | None = None
    """What is posted first, in the same transaction."""
    bears: Mark | None = None
    """The mark of the workbook that it is made from."""
    check: Check = nothing_to_check


def book(ledger: Ledger, booking: Booking) -> tuple[Path, list[Problem]]:
    """Does it all, as the module says; returns the path of the new workbook, and remarks.

    Raises Unusable, with nothing changed: workbook-open; stock-changed-meanwhile; output-exists;
    output-locked; ledger-broken; and as ``Ledger.post``, ``change`` and ``check`` do. After that nothing is
    raised but what stops the program.
    """
    folder = booking.target.parent
    commit(ledger, booking)
    return booking.target, finished_or_told(ledger, folder, booking.closing.name)


def commit(ledger: Ledger, booking: Booking) -> None:
    """All but what ``settle`` does. Raises as ``book``."""
    aside = booking.target.parent / aside_name("new")
    posted = False
    try:
        with ledger.held():
            _write_and_post(ledger, booking, aside)
            posted = True
    except Unusable as unusable:
        # From the end of the transaction on the ledger alone can say whether it is booked.
        booked = ledger.has(booking.closing, aside.name) if posted else False
        if booked is None:
            raise Unusable(*(replace(fault, did=NOBODY_KNOWS) for fault in unusable.problems)) from unusable
        if not booked:
            _clear(aside)
            raise


def _write_and_post(ledger: Ledger, booking: Booking, aside: Path) -> None:
    """Within ``held``: what is refused, the new workbook aside, and the rows of the ledger."""
    _refuse(ledger, booking)
    ledger.bring_up()
    mark = next_mark(ledger, booking.closing, int(booking.before is not None and booking.before.says))
    data = _unchanged(booking)
    new = booking.change(data, mark)
    borne = booking.bears if new == data else mark
    try:
        with disk(booking.target):
            write_aside(aside, new, like=booking.workbook)
            written = aside.read_bytes()
        if written != new:
            says = f"{booking.target.name} was not written as it was meant."
            raise Unusable(problem("workbook-reads-otherwise", Place(booking.target.name), says))
        booking.check(written)
        _post(ledger, replace(booking, closing=_complete(booking, new, aside, borne)))
    except BaseException:  # only here: once the transaction may have ended, the file may be wanted
        _clear(aside)
        raise


def refuse_booked_since(ledger: Ledger, workbook: Path, seen: int) -> None:
    """Raises Unusable (stock-changed-meanwhile) where there are not ``seen`` closings."""
    if ledger.count() != seen:
        says = f"{workbook.name} was read before another run booked into the ledger."
        raise Unusable(problem("stock-changed-meanwhile", Place(workbook.name), says))


def _refuse(ledger: Ledger, booking: Booking) -> None:
    refuse_open(booking.workbook, booking.target)
    refuse_booked_since(ledger, booking.workbook, booking.seen)
    if booking.kept is None and booking.target != booking.workbook and booking.target.exists():
        raise Unusable(problem("output-exists", Place(booking.target.name), _there(booking.target)))
    ledger.refuse_broken()


def _clear(aside: Path) -> None:
    with suppress(OSError):
        aside.unlink(missing_ok=True)


def finished_or_told(ledger: Ledger, folder: Path, name: str) -> list[Problem]:
    """``settle`` for a closing that is booked: what keeps it from being finished is a remark."""
    try:
        return settle(ledger, folder, late=False)
    except Unusable as unusable:
        return [unfinished(ledger.path, name, why.says) for why in unusable.problems]


def unfinished(path: Path, name: str, why: str) -> Problem:
    """The remark that a closing is booked and not all of what follows is done."""
    return problem("booked-unfinished", Place(path.name), f"{name} is booked. {why}", found=name)


def settle(ledger: Ledger, folder: Path, *, late: bool = True) -> list[Problem]:
    """Finishes a closing that was stopped after it was posted, and clears what an earlier stop left.

    ``late``: it is another run that finishes it, which is worth a remark. Does nothing, and waits for
    nobody, where all is in order. Raises Unusable: output-locked where the workbook cannot be put in its
    place (the ledger has the closing, and the next run tries again); ledger-broken where the ledger is not
    sound, or names files that are not its own workbook's.
    """
    if ledger.unfinished() is None and not litter(folder):
        return []
    remarks: list[Problem] = []
    with ledger.held():
        closing = ledger.unfinished()
        if closing is not None:
            ledger.refuse_broken()
            refuse_other_files(ledger.path, closing)
            did = "The closing is booked; the next run puts its workbook in place."
            with disk(folder / closing.target, did):
                how = _put_in_place(folder, closing)
            ledger.finish(closing.name, how)
            remarks = _remarks(closing, how, late)
        # Held, so that no file of another run's that is still being written is taken for litter.
        for each in litter(folder):
            with suppress(OSError):
                each.unlink()
    return remarks


def refuse_other_files(path: Path, closing: Closing) -> None:
    """Raises Unusable (ledger-broken) where an unfinished closing would move what is not of its workbook."""
    if closing.target and not belongs_beside(path, closing):
        says = (
            f"{closing.name} is to put {closing.target} in place, which is not the workbook of {path.name}."
        )
        raise Unusable(broken(path, says))


def refuse_open(*workbooks: Path) -> None:
    """Raises Unusable (workbook-open) where a spreadsheet program's lock file lies beside one of them."""
    found = [
        lock
        for path in dict.fromkeys(workbooks)
        for lock in (path.with_name(f"~${path.name}"), path.with_name(f".~lock.{path.name}#"))
        if lock.exists()
    ]
    if found:
        raise Unusable(*(problem("workbook-open", Place(each.name), _open_says(each)) for each in found))


# --- the steps ------------------------------------------------------------------------------------


def _unchanged(booking: Booking) -> bytes:
    with disk(booking.workbook):
        data = booking.workbook.read_bytes()
    if hashlib.sha256(data).hexdigest() != booking.read:
        says = f"{booking.workbook.name} was changed after it was read."
        raise Unusable(problem("stock-changed-meanwhile", Place(booking.workbook.name), says))
    return data


def _complete(booking: Booking, new: bytes, aside: Path, borne: Mark | None) -> Closing:
    return replace(
        booking.closing,
        details={**booking.closing.details, DETAIL: str(borne or "")},
        old_workbook=booking.read,
        new_workbook=hashlib.sha256(new).hexdigest(),
        target=booking.target.name,
        aside=aside.name,
        kept=booking.kept.relative_to(booking.target.parent).as_posix() if booking.kept else "",
    )


def _post(ledger: Ledger, booking: Booking) -> None:
    before = booking.before
    if before is not None and before.says:
        ledger.post(before.movements, before.closing, beside=Beside(orders=before.orders))
        ledger.finish(before.closing.name, "no workbook")
    ledger.post(booking.movements, booking.closing, booking.uses, booking.reverses, booking.beside)


def _put_in_place(folder: Path, closing: Closing) -> str:
    """Brings the new workbook to its place; its name there, "" where it is lost."""
    target, aside = folder / closing.target, folder / closing.aside
    there = digest(target)
    if there == closing.new_workbook:
        return closing.target
    if aside.is_symlink() or digest(aside) != closing.new_workbook:
        return ""
    if closing.kept and there == closing.old_workbook:
        keep_copy(target, folder / closing.kept)
    elif there:  # somebody put another file there: theirs stays
        after = f"{target.stem}-after-{closing.name.replace(' ', '-')}{target.suffix}"
        target = free_path(target.with_name(after) if closing.kept else target)
    aside.replace(target)
    sync_folder(folder)
    return target.name


# --- what is said ---------------------------------------------------------------------------------


def _remarks(closing: Closing, how: str, late: bool) -> list[Problem]:
    place = Place(closing.target)
    if not how:
        says = f"The workbook of the closing {closing.name} is not to be found."
        return [problem("closing-workbook-lost", place, says, found=closing.name)]
    if how != closing.target:
        says = f"{closing.target} was changed while {closing.name} was being closed."
        did = f"It was left as it is; the workbook of the closing is {how}."
        do = "Put the changes into that workbook as well, then put it in place."
        return [problem("closing-finished-late", place, says, did=did, do=do, found=closing.name)]
    if not late:
        return []
    says = f"The closing {closing.name} was stopped before its workbook was in place."
    return [problem("closing-finished-late", place, says, found=closing.name)]


def _there(path: Path) -> str:
    return f"{path.name} is already there."


def _open_says(lock: Path) -> str:
    return f"{lock.name} says that the workbook is open in a spreadsheet program."
