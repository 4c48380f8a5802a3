"""The sheets of a returns workbook that say what was planned, for a closing reads neither jobs nor frames."""

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from reconcile.reports.paper.pages import Paper
from reconcile.reports.writing.grid import DATE, NUMBER, TEXT, Cell, Column, Row, Table, table
from reconcile.reports.writing.wording import period_text
from reconcile.reports.writing.workbook import Sheet
from reconcile.values.frames.frame import Frame
from reconcile.values.ledger.jobs import SIDES, JointFound
from reconcile.values.measure import length_text
from reconcile.values.week.jobs import LEFT_OVER, NOT_CLOSED, Job
from reconcile.values.week.results import DONE, JobResult, Week
from reconcile.values.words import fold

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

AS_PLANNED = (
    Column("job", TEXT, 14), Column("date", DATE), Column("frame", TEXT, 12), Column("adjustment", TEXT, 20),
    Column("from", TEXT, 12), Column("to", TEXT, 12), Column("side", TEXT, 8), Column("left now", NUMBER),
    Column("right now", NUMBER),
    *(Column(f"{side} {when}", NUMBER) for side in SIDES for when in ("before", "after")),
    Column("spacers now", TEXT, 24), Column("options", TEXT, 24), Column("chairs", NUMBER),
    Column("asset", TEXT, 14),
)  # fmt: skip
JOINTS = (
    Column("job", TEXT, 14), Column("joint", TEXT, 24), Column("side", TEXT, 8),
    Column("frame key", TEXT, 34),
    Column("stacks", NUMBER), Column("bolts", NUMBER), Column("stack known", TEXT, 8),
    Column("spacer", TEXT, 24), Column("pieces", NUMBER), Column("bolt", TEXT, 24),
    Column("bolt length", TEXT, 12),
)  # fmt: skip
CHECKS = (
    Column("job", TEXT, 14), Column("asset", TEXT, 14), Column("check", TEXT, 44), Column("ok", TEXT, 8),
    Column("reading", TEXT, 14), Column("unit", TEXT, 8),
    Column("second person", TEXT, 20), Column("tried by the user on", DATE),
)  # fmt: skip


def in_order(week: Week) -> list[JobResult]:
    """The jobs of the period that are not done, and those left over or not closed; in the order of work."""
    old = (job for job in week.others if job.job.beside in (LEFT_OVER, NOT_CLOSED))
    found = [*(job for job in week.jobs if job.kit != DONE), *old]
    return sorted(found, key=lambda result: result.job.order)


def planned_table(week: Week) -> Table:
    """What each job's row said."""
    rows: list[Row] = [_planned(result, week.frames[fold(result.job.frame)]) for result in in_order(week)]
    return table("As planned", f"As planned, {period_text(week)}", AS_PLANNED, rows)


def joints_table(week: Week) -> Table:
    """The joints of each job, with what was taken to be there before the work."""
    found = [
        row for result in in_order(week) for row in _joints(result, week.frames[fold(result.job.frame)].unit)
    ]
    return table("Joints", f"Joints before the work, {period_text(week)}", JOINTS, found)


def checks_table(week: Week) -> Table:
    """Every check of every job, to be ticked."""
    rows: list[Row] = [
        (result.job.number, result.job.asset, asked.check, "", "", asked.reading, "", None)
        for result in in_order(week)
        for asked in result.after
    ]
    return table("Checks", f"Before the chair goes back, {period_text(week)}", CHECKS, rows)


def checks_sheet(checks: Table) -> Sheet:
    paper = Paper(landscape=False, together=0)
    return Sheet(checks, "Checks", paper, dress=partial(_offer_yes_or_no, last=checks.count + 1))


def _planned(result: JobResult, frame: Frame) -> Row:
    job = result.job
    taken = {side: (before, after) for side, before, after in result.steps.sides}
    steps: list[Cell] = [number for side in SIDES for number in taken.get(side, (None, None))]
    return (
        job.number, job.day, job.frame, _adjustment(job, frame), length_text(job.size_from, frame.unit),
        length_text(job.size_to, frame.unit), job.side, job.left_now, job.right_now, *steps,
        job.shown("spacers now"), job.shown("options"), job.chairs, job.asset,
    )  # fmt: skip


def _adjustment(job: Job, frame: Frame) -> str:
    """Its name in the frame file, which a row may leave out."""
    named = fold(job.adjustment)
    names = (
        adjustment.name for adjustment in frame.adjustments if fold(adjustment.name) == named or not named
    )
    return next(names, job.adjustment)


def _joints(result: JobResult, unit: str) -> Iterator[Row]:
    """A row for each kind of spacer in a stack; one for a stack that has none or is not known."""
    there = {(joint.name, joint.side): joint for joint in result.found}
    for served in result.lines:
        side, opened = served.line.side, served.line.joint
        if opened is not None:
            unknown = JointFound(opened.name, side, opened.key, opened.stacks, opened.bolts)
            there.setdefault((opened.name, side), unknown)
    for joint in there.values():
        pieces: list[tuple[str, Cell]] = list((joint.stack or {}).items()) or [("", None)]
        yield from (_joint(result.job.number, joint, part, count, unit) for part, count in pieces)


def _joint(job: str, joint: JointFound, part: str, count: Cell, unit: str) -> Row:
    length = length_text(joint.bolt_length, unit) if joint.bolt_length is not None else ""
    return (
        job, joint.name, joint.side, joint.frame_key, joint.stacks, joint.bolts,
        "no" if joint.stack is None else "yes", part, count, joint.bolt, length,
    )  # fmt: skip


def _offer_yes_or_no(page: "WriteOnlyWorksheet", last: int) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    offered = DataValidation(type="list", formula1='"yes,no"', allow_blank=True, showErrorMessage=True)
    offered.add(f"D2:D{last}")
    page.data_validations.append(offered)
