"""A job that was only asked about is held: added to a copy of the jobs workbook, if it can be done."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.values.problem import Problem, RowPlace, Unusable
from reconcile.values.words import fold

if TYPE_CHECKING:
    from reconcile.sheets.jobs.rows import JobsRead
    from reconcile.sheets.request import Request
    from reconcile.values.frames.frame import Frame
    from reconcile.values.week.jobs import Job
    from reconcile.values.week.results import JobResult


@dataclass(frozen=True, slots=True)
class Held:
    """Where the copy is, and what must be said of it."""

    path: Path
    remarks: tuple[Problem, ...] = ()


def held_path(jobs: Path, job: "Job") -> Path:
    """``jobs-with-J-200.xlsx``, beside the jobs workbook."""
    from reconcile.reports.writing.csv_files import safe_file_name

    return jobs.with_name(f"{jobs.stem}-with-{safe_file_name(job.number)}{jobs.suffix}")


def hold(
    result: "JobResult", frames: "Mapping[str, Frame]", request: "Request", *, is_planned: bool
) -> Held | None:
    """Adds the job to a copy of the jobs workbook; None where its kit is not there on that day.

    Raises Unusable: call-unusable for a job that is planned already or has no number; output-exists where the
    copy is there already; and as ``with_job`` does.
    """
    from reconcile.reports.writing.files import write_whole
    from reconcile.sheets.edits.job_rows import with_job
    from reconcile.sheets.finding import call_fault, located
    from reconcile.sheets.inputs import read_all_jobs
    from reconcile.sheets.jobs.question import ASKED

    job = result.job
    if is_planned:
        says = "The job is on the jobs sheet already; there is nothing to hold."
        raise Unusable(call_fault("--hold", says))
    if job.number == ASKED:
        says = "Give the job a number: reconcile check J-200 --frame ... --hold."
        raise Unusable(call_fault("--hold", says))
    if result.kit == "short":
        return None
    found = located(request)
    sheet = read_all_jobs(found)
    if job.number in sheet.unread or any(planned.number == job.number for planned in sheet.jobs):
        raise Unusable(call_fault("--hold", f"The jobs sheet has a job {job.number} already."))
    unit = frames[fold(job.frame)].unit
    jobs = found.jobs
    copy = with_job(job, unit, jobs, like(sheet), found.settings.limits)
    path = held_path(jobs, job)
    write_whole(path, partial(_write, copy.data))
    return Held(path, copy.remarks)


def _write(data: bytes, path: Path) -> None:
    path.write_bytes(data)


def like(sheet: "JobsRead") -> RowPlace:
    """The last job whose day stands in the sheet as a date, not as text; the headings where none does."""
    (table,) = sheet.tables
    column, first = table.header.found["date"].column, table.grid.first_row
    rows = table.grid.rows
    dated = (job.place for job in sheet.jobs if isinstance(rows[job.place.row - first][column], date))
    return max(dated, key=lambda place: place.row, default=sheet.header)
