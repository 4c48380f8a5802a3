"""Jobs that are held: they count like rows below the last, until the sheet has a row of their number."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from reconcile.sheets.jobs.window import counts
from reconcile.values.ledger.holds import HeldRow
from reconcile.values.ledger.standing import BookSays
from reconcile.values.problem import RowPlace
from reconcile.values.week.jobs import Job
from reconcile.values.words import fold

if TYPE_CHECKING:
    from reconcile.sheets.jobs.rows import JobsRead

HOLDS = "holds"


def held_jobs(says: BookSays, read: "JobsRead") -> Iterator[Job]:
    """Held jobs that the sheet has no row of and whose day counts, in the order of holding."""
    for place, row in enumerate(says.held, 1):
        why = read.window.why(row.day)
        if fold(row.job) not in read.numbers and counts(why):
            yield held_job(row, why, RowPlace(says.file, HOLDS, read.last_row + place))


def held_job(row: HeldRow, why: str, place: RowPlace) -> Job:
    """The job of a hold. Its sizes are those it was asked with."""
    return Job(
        number=row.job,
        day=row.day,
        frame=row.frame,
        size_from=row.size_to if row.size_from is None else row.size_from,
        size_to=row.size_to,
        adjustment=row.adjustment,
        options=row.options or (),
        side=row.side,
        left_now=row.left_now,
        right_now=row.right_now,
        chairs=row.chairs,
        priority=row.priority,
        technician=row.technician,
        asset=row.asset,
        notes=row.notes,
        place=place,
        beside=why,
        held=True,
    )
