"""A job or a part of a planned week, with what an explanation of its figures needs."""

from reconcile.values.records import dataclass
from reconcile.values.week.results import JobResult, PartResult, Taking, Week


@dataclass(frozen=True, slots=True)
class Explained:
    """Either the job or the part is there; the other is None."""

    week: Week
    job: JobResult | None = None
    part: PartResult | None = None
    takings: tuple[Taking, ...] = ()
    """Who takes the part on which day, if every job is done."""
