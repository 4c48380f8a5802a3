"""A week's returns to what the ledger keeps of each job: its row, its lines, what was there, checks. Pure."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from reconcile.plan.closing.settled import Settled
from reconcile.values.ledger.jobs import DONE, PART_DONE, JobBooked, JobLine, JobRow
from reconcile.values.problem import Problem, problem
from reconcile.values.stock.parts import Stock
from reconcile.values.stock.returns import CheckReturn, JobReturn, Returns

T = TypeVar("T")


def booked_jobs(returns: Returns, settled: Sequence[Settled], stock: Stock, who: str) -> list[JobBooked]:
    """Every job that is done, or of which something is filled in; in the order of the sheet of jobs done."""
    rows = {row.job: row for row in returns.planned}
    lines = _by_job(settled, lambda row: row.line.job)
    joints = _by_job(returns.joints, lambda each: each.job)
    checks = _by_job(returns.checks, lambda each: each.job)
    return [
        JobBooked(
            _row(job, rows.get(job.number), who),
            tuple(_line(row, stock) for row in lines.get(job.number, ())),
            tuple(each.joint for each in joints.get(job.number, ())),
            tuple(each.check for each in checks.get(job.number, ())),
        )
        for job in returns.jobs
        if job.done or _told(lines.get(job.number, ()))
    ]


def check_problems(returns: Returns) -> Iterator[Problem]:
    """Checks of no job; of jobs done that were not passed; of jobs of which nothing is booked.

    Problems: returns-line-unclear, and the notices returns-check-open, returns-check-unkept.
    """
    jobs = {job.number: job for job in returns.jobs}
    booked = {line.job for line in returns.lines if line.filled or line.came_off}
    not_passed: dict[str, list[CheckReturn]] = {}
    for each in returns.checks:
        job = jobs.get(each.job)
        if job is None:
            says = f"The sheet of jobs done has no job {each.job}."
            yield problem("returns-line-unclear", each.place.cell("job"), says, found=each.job)
        elif job.done and not each.check.passed:
            not_passed.setdefault(each.job, []).append(each)
        elif not job.done and each.filled and each.job not in booked:
            says = f"Nothing of {each.job} is booked, yet {each.check.check!r} is filled in."
            yield problem("returns-check-unkept", each.place.cell("ok"), says, found=each.check.check)
    for number, found in not_passed.items():
        told = "; ".join(each.check.check for each in found)
        says = f"{number} is done, but not ticked, or not passed: {told}."
        yield problem("returns-check-open", found[0].place.cell("ok"), says, found=found[0].check.check)


def _by_job(rows: Iterable[T], job_of: Callable[[T], str]) -> Mapping[str, list[T]]:
    found: dict[str, list[T]] = {}
    for row in rows:
        found.setdefault(job_of(row), []).append(row)
    return found


def _told(rows: Iterable[Settled]) -> bool:
    return any(row.line.filled or row.line.came_off for row in rows)


def _row(job: JobReturn, planned: JobRow | None, who: str) -> JobRow:
    """What the row said; of a returns workbook that does not tell it, the number and the frame."""
    row = planned or JobRow(job.number, job.day, frame=job.frame)
    standing = DONE if job.done else PART_DONE
    return replace(row, day=job.day, standing=standing, technician=job.who or who)


def _line(row: Settled, stock: Stock) -> JobLine:
    line = row.line
    known = stock.parts.get(line.part)
    used, returned, scrapped = line.used, line.returned, line.scrapped
    if row.counts:  # what was left blank is as planned
        used = row.used if line.line.fits else None
        returned = line.returned if line.line.fits else row.returned
    return JobLine(
        line.line, line.part, known.unit if known else line.unit, line.planned, used, returned, scrapped,
        line.reason, line.key, line.length, line.steps, line.came_off,
    )  # fmt: skip
