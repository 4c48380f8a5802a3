"""Job cards by the batch: one for a week that a browser opens at once, else by day, and by part of a day."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from reconcile.reports.writing.large import MOST_CARDS, WHOLE_PAGE
from reconcile.values.week.results import JobResult, Week


@dataclass(frozen=True, slots=True)
class Batch:
    """Jobs whose cards go into one file."""

    jobs: Sequence[JobResult]
    ending: str = ""
    """What the file's name has behind the period: ``-2026-12-01-2``; "" where there is one file."""
    first: bool = True
    """It has what there is once for the whole week: pictures, and the list of what to pick."""
    alone: bool = False
    """It is one job's card and nothing else: no list of jobs, nothing to pick for others."""

    @property
    def several(self) -> bool:
        """Whether it is one of several of a week."""
        return bool(self.ending)


def batches(week: Week, most: int) -> list[Batch]:
    """All jobs in the order of their work; none beyond MOST_CARDS. ``most``: cards in a file of several."""
    in_order = sorted(week.jobs, key=lambda result: result.job.order)
    if len(in_order) > MOST_CARDS:
        return []
    if len(in_order) <= WHOLE_PAGE:
        return [Batch(in_order)]
    return list(_by_day(in_order, most))


def _by_day(in_order: Sequence[JobResult], most: int) -> Iterator[Batch]:
    first = True
    for day, group in groupby(in_order, key=lambda result: result.job.day):
        jobs = list(group)
        for number, start in enumerate(range(0, len(jobs), most), 1):
            part = f"-{number}" if len(jobs) > most else ""
            yield Batch(jobs[start : start + most], f"-{day.isoformat()}{part}", first)
            first = False
