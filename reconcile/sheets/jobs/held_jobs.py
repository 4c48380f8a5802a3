"""Jobs that are held: they count like rows below the last, until the sheet has a row of their number."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.jobs.spacers import NONE, SINGLE, read_spacers_now
from reconcile.sheets.jobs.window import counts
from reconcile.values.days import monday_of, week_text
from reconcile.values.frames.stacks import SaidPieces, SpacersNow
from reconcile.values.ledger.holds import HeldRow
from reconcile.values.ledger.standing import BookSays
from reconcile.values.measure import length_text
from reconcile.values.problem import Place, Problem, RowPlace, Unusable, problem
from reconcile.values.week.jobs import (
    DONE_ALREADY,
    LEFT_OVER,
    NOT_CLOSED,
    OPEN,
    PART_DONE,
    Job,
    SaidJob,
    completed,
)
from reconcile.values.words import fold

if TYPE_CHECKING:
    from reconcile.sheets.jobs.rows import JobsRead

HOLDS = "holds"


def held_jobs(says: BookSays, read: "JobsRead") -> Iterator[SaidJob]:
    """Held jobs that the sheet has no row of and whose day counts, in the order of holding."""
    for row, place in _without_row(says, read):
        why = read.window.why(row.day)
        if counts(why) and not _done(row, says):
            standing = OPEN if says.of(row.job) is None else PART_DONE
            yield replace(held_job(row, place), beside=why, standing=standing)


def held_and_done(says: BookSays, read: "JobsRead") -> Iterator[Job]:
    """Held jobs of the period that a closing marked as done."""
    for row, place in _without_row(says, read):
        if _done(row, says) and row.day in read.period:
            held = completed(held_job(row, place), row.size_to if row.size_from is None else row.size_from)
            yield replace(held, standing=DONE_ALREADY)


def hold_remarks(says: BookSays, read: "JobsRead") -> Iterator[Problem]:
    """Holds for a day that does not count, that are left over, or whose week nobody closed."""
    weeks = set(read.not_closed)
    for row, place in _without_row(says, read):
        why, cell, day = read.window.why(row.day), place.cell("date"), f"{row.day:%a %Y-%m-%d}"
        if _done(row, says):
            continue
        if not counts(why):
            told = f"{row.job} is held for {day}, which does not count."
            yield problem("hold-not-counted", cell, told, found=row.day.isoformat())
        elif why == LEFT_OVER:
            told = f"The week of {day} is closed, and {row.job}, which is held, is not done: it is left over."
            yield problem("job-left-over", cell, told, found=row.day.isoformat())
        elif why == NOT_CLOSED and monday_of(row.day) not in weeks:
            weeks.add(monday_of(row.day))
            told = f"Week {week_text(row.day)} is not closed: its jobs count as still to do."
            yield problem("week-not-closed", cell, told, found=week_text(row.day))


def _without_row(says: BookSays, read: "JobsRead") -> Iterator[tuple[HeldRow, RowPlace]]:
    """Holds that no row of the sheet has overtaken, each as if it stood below the last row."""
    for number, row in enumerate(says.held, 1):
        if fold(row.job) not in read.numbers:
            yield row, RowPlace(says.file, HOLDS, read.last_row + number)


def _done(row: HeldRow, says: BookSays) -> bool:
    standing = says.of(row.job)
    return standing is not None and standing.done


def held_job(row: HeldRow, place: RowPlace) -> SaidJob:
    """The job of a hold. Raises Unusable (ledger-broken) for spacers that cannot be read."""
    said = SaidJob(
        number=row.job,
        day=row.day,
        frame=row.frame,
        size_from=row.size_from,
        size_to=row.size_to,
        adjustment=row.adjustment,
        options=row.options or (),
        no_options=row.options == (),
        side=row.side,
        left_now=row.left_now,
        right_now=row.right_now,
        spacers_now=spacers_held(row, place),
        chairs=row.chairs,
        priority=row.priority,
        technician=row.technician,
        asset=row.asset,
        notes=row.notes,
        place=place,
        held=True,
    )
    return said if said.size_from is None else completed(said, said.size_from)


def spacers_held(row: HeldRow, place: RowPlace) -> SpacersNow | None:
    """Read as they were held: a thickness with its unit, and a point before decimals."""
    if not row.spacers_now:
        return None
    try:
        return read_spacers_now(row.spacers_now, row.unit or None, ".")
    except Unreadable as fault:
        says = f"The spacers of {row.job}, which is held, cannot be read: {fault.says}"
        raise Unusable(problem("ledger-broken", Place(place.file), says)) from None


def spacers_to_hold(spacers: SpacersNow | None, unit: str) -> str:
    """Spacers in words that are read the same whatever the settings: ``left: SP-100 + 2 x 1/2 in``."""
    if spacers is None:
        return ""
    if spacers.single:
        return SINGLE
    return "; ".join(stack_to_hold(side, pieces, unit) for side, pieces in spacers.sides)


def stack_to_hold(side: str, pieces: Sequence[SaidPieces], unit: str) -> str:
    named = (
        (each.count, each.part if each.thickness is None else length_text(each.thickness, unit))
        for each in pieces
    )
    stack = " + ".join(f"{count} x {name}" for count, name in named) or NONE
    return f"{side}: {stack}" if side else stack
