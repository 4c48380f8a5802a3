"""A planned week as plain tables: the one source of workbook, csv and notebooks."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from reconcile.reports.glance.about import about_run
from reconcile.reports.glance.table import glance
from reconcile.reports.orders.tables import order_tables
from reconcile.reports.week.folded import ranked
from reconcile.reports.writing.grid import DATE, NUMBER, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import (
    BACK_TO_STOCK,
    CAUTIONS,
    CHECK_WHAT_COMES_OFF,
    PUT_ASIDE,
    TIMES,
    amount_of,
    amount_text,
    late_word,
    period_text,
    sentences,
    some_of,
    source_text,
    substitute_text,
    torque_words,
)
from reconcile.values.frames.frame import Frame
from reconcile.values.measure import length_text, quantity_text
from reconcile.values.problem import Problem
from reconcile.values.stock.lines import TRADE_WORDS
from reconcile.values.stock.parts import Bolt, Part
from reconcile.values.week.jobs import Line, Steps
from reconcile.values.week.results import Awaited, JobResult, PartResult, ServedLine, ShelfDay, Week
from reconcile.values.words import fold

__all__ = [
    "about_run",
    "glance",
    "jobs",
    "kit_lines",
    "order_tables",
    "other_jobs",
    "problems",
    "report_tables",
    "runs_low",
    "shelf",
    "shortfalls",
]

JOB_COLUMNS = (
    Column("job", TEXT, 14),
    Column("date", DATE),
    Column("frame", TEXT, 14),
    Column("adjustment", TEXT, 12),
    Column("from", TEXT, 10),
    Column("to", TEXT, 10),
    Column("sides now to wanted", TEXT, 15),
    Column("options", TEXT, 14),
    Column("chairs", NUMBER),
    Column("priority", NUMBER),
    Column("technician", TEXT, 12),
    Column("asset", TEXT, 12),
    Column("kit", TEXT, 10),
    Column("waits for", TEXT, 34),
    Column("missing", TEXT, 22),
    Column("order by", DATE),
    Column("earliest", DATE),
    Column("notices", TEXT, 24),
    Column("notes", TEXT, 18),
    Column("figures from", TEXT, 30),
)

OTHER_COLUMNS = (
    Column("job", TEXT, 14),
    Column("date", DATE),
    Column("why it counts", TEXT, 18),
    Column("frame", TEXT, 14),
    Column("chairs", NUMBER),
    Column("priority", NUMBER),
    Column("asset", TEXT, 12),
    Column("kit", TEXT, 10),
    Column("takes", TEXT, 34),
    Column("waits for", TEXT, 34),
    Column("missing", TEXT, 22),
    Column("order by", DATE),
    Column("earliest", DATE),
    Column("notices", TEXT, 24),
)

KIT_COLUMNS = (
    Column("job", TEXT, 12),
    Column("date", DATE),
    Column("kit", TEXT, 10),
    Column("side", TEXT, 8),
    Column("joint or name", TEXT, 12),
    Column("do", TEXT, 8),
    Column("what", TEXT, 11),
    Column("quantity", QUANTITY),
    Column("unit", TEXT, 6),
    Column("length asked", TEXT, 9),
    Column("parts", TEXT, 16),
    Column("bins", TEXT, 12),
    Column("designation", TEXT, 22),
    Column("substitute", TEXT, 12),
    Column("relies on", TEXT, 16),
    Column("torque", TEXT, 10),
    Column("figures from", TEXT, 22),
    Column("goes to", TEXT, 15),
    Column("cautions", TEXT, 20),
    Column("technician", TEXT, 11),
    Column("asset", TEXT, 9),
    Column("notes", TEXT, 14),
)

SHORTFALL_COLUMNS = (
    Column("part", TEXT, 24),
    Column("designation", TEXT, 36),
    Column("short", QUANTITY),
    Column("unit", TEXT, 8),
    Column("first short day", DATE),
    Column("needed", QUANTITY),
    Column("on hand", QUANTITY),
    Column("allocated", QUANTITY),
    Column("on order", QUANTITY),
    Column(BACK_TO_STOCK, QUANTITY),
    Column("jobs at risk", TEXT, 30),
    Column("order", QUANTITY),
    Column("order by", DATE),
    Column("late", TEXT, 14),
)

SHELF_COLUMNS = (
    Column("part", TEXT, 24),
    Column("designation", TEXT, 38),
    Column("unit", TEXT, 8),
    Column("day", DATE),
    Column("received", QUANTITY),
    Column(BACK_TO_STOCK, QUANTITY),
    Column("taken", QUANTITY),
    Column("left", QUANTITY),
    Column("state", TEXT, 10),
    Column("comes from", TEXT, 34),
)

PROBLEM_COLUMNS = (
    Column("severity", TEXT, 10),
    Column("code", TEXT, 24),
    Column("place", TEXT, 30),
    Column("value found", TEXT, 24),
    Column("what is wrong", TEXT, 44),
    Column("what was done", TEXT, 28),
    Column("what to do", TEXT, 36),
    Column("remark", TEXT, 20),
)

SUBSTITUTE = "substitute: agree it"
AGREE = "a qualified technician must agree"
TORQUE_UNKNOWN = "not given"
ENOUGH, LOW, OUT = "enough", "low", "short"


def report_tables(week: Week) -> list[Table]:
    """The tables of the report, in the order of its sheets."""
    beside = [other_jobs(week)] if week.others else []
    return [
        glance(week), jobs(week), *beside, kit_lines(week), shortfalls(week), shelf(week), problems(week),
        about_run(week),
    ]  # fmt: skip


def jobs(week: Week) -> Table:
    """A row for each job, in the order in which kits are taken from the shelf."""
    parts = known_parts(week)
    rows = [_job_row(result, week.frames[fold(result.job.frame)], parts) for result in _by_day(week)]
    notes = () if rows else ("No job of the period could be planned.",)
    return table("Jobs", f"Jobs, {period_text(week)}", JOB_COLUMNS, rows, *notes)


def other_jobs(week: Week) -> Table:
    """A row for each job that counts beside those of the period, in the order of their work."""
    parts = known_parts(week)
    rows = [_other_row(result, parts) for result in week.others]
    return table("Other jobs that count", f"Other jobs that count, {period_text(week)}", OTHER_COLUMNS, rows)


def kit_lines(week: Week) -> Table:
    """A row for each line of each job's kit: what goes in, what comes off, and where it goes."""
    count = sum(len(result.lines) for result in week.jobs)
    title = f"Kit lines, {period_text(week)}"
    return Table("Kit lines", title, KIT_COLUMNS, lambda: _kit_rows(week), count, notes=CAUTIONS)


def shortfalls(week: Week) -> Table:
    """A row for each part that runs short if every job is done on its day, the first to run short first."""
    short = sorted(
        (part for part in week.parts if part.shortfall > 0),
        key=lambda part: (part.first_short or date.max, part.part.number),
    )
    notes = () if short else ("Nothing is short.",)
    rows = [_shortfall_row(part) for part in short]
    return table("Shortfalls", f"Shortfalls, {period_text(week)}", SHORTFALL_COLUMNS, rows, *notes)


def shelf(week: Week) -> Table:
    """A row for each day of each part that runs short or low."""
    watched = [part for part in week.parts if runs_low(part)]
    notes = () if watched else ("No part runs short or low.",)
    count = sum(len(part.days) for part in watched)
    return Table(
        "Shelf by day",
        f"The shelf day by day, {period_text(week)}",
        SHELF_COLUMNS,
        lambda: (_shelf_row(part, day) for part in watched for day in part.days),
        count,
        notes=notes,
    )


def problems(week: Week) -> Table:
    """A row for each problem, what makes a chair wrong first, with room for a remark."""
    rows = [problem_row(ranked_problem) for ranked_problem in ranked(week.problems)]
    notes = () if rows else ("Nothing is wrong with the inputs.",)
    return table("Problems", f"Problems, {period_text(week)}", PROBLEM_COLUMNS, rows, *notes)


def problem_row(problem: Problem) -> Row:
    """A row of ``PROBLEM_COLUMNS``; the remark is for a pen."""
    return (
        problem.severity,
        problem.code,
        str(problem.place),
        problem.found,
        problem.says,
        problem.did,
        problem.do,
        None,
    )


def runs_low(part: PartResult) -> bool:
    """Whether a part is short, or at or under its safety marks, on any day of the period."""
    return part.shortfall > 0 or any(_state(part.part, day.left) != ENOUGH for day in part.days)


def known_parts(week: Week) -> dict[str, Part]:
    """Every part by number: those of stock, and those that are only wanted."""
    return {**week.stock.parts, **{result.part.number: result.part for result in week.parts}}


def _by_day(week: Week) -> list[JobResult]:
    return sorted(week.jobs, key=lambda result: result.job.order)


def _job_row(result: JobResult, frame: Frame, parts: dict[str, Part]) -> Row:
    job = result.job
    return (
        job.number,
        job.day,
        job.frame,
        job.adjustment or frame.adjustments[0].name,
        length_text(job.size_from, frame.unit),
        length_text(job.size_to, frame.unit),
        _sides_text(result.steps),
        ", ".join(job.options),
        job.chairs,
        job.priority,
        job.technician,
        job.asset,
        result.kit,
        "; ".join(_awaited_text(arrival, parts) for arrival in result.awaited),
        "; ".join(amount_of(lack.quantity, _part(lack.part, parts)) for lack in result.missing),
        result.order_by,
        result.earliest,
        sentences(result.notices),
        job.notes,
        frame.source,
    )


def _other_row(result: JobResult, parts: dict[str, Part]) -> Row:
    job = result.job
    return (
        job.number,
        job.day,
        job.beside,
        job.frame,
        job.chairs,
        job.priority,
        job.asset,
        result.kit,
        "; ".join(amount_of(count, _part(number, parts)) for number, count in result.takes.items()),
        "; ".join(_awaited_text(arrival, parts) for arrival in result.awaited),
        "; ".join(amount_of(lack.quantity, _part(lack.part, parts)) for lack in result.missing),
        result.order_by,
        result.earliest,
        sentences(result.notices),
    )


def _part(number: str, parts: dict[str, Part]) -> Part:
    return parts.get(number) or Part(number)


def _sides_text(steps: Steps) -> str:
    """``left 2 to 3, right 2 to 3``; a single stack has no name worth saying."""
    return ", ".join(
        f"{'' if side == 'single' else side} {now} to {then}".strip() for side, now, then in steps.sides
    )


def _awaited_text(awaited: Awaited, parts: dict[str, Part]) -> str:
    amount = amount_of(awaited.quantity, _part(awaited.part, parts))
    return f"{amount} ({source_text(awaited.source)}, {awaited.day.isoformat()})"


MOST_KINDS = 2_000
"""Kinds of jobs whose kit lines are kept: a week of jobs that are all unlike has no use for them."""


def _kit_rows(week: Week) -> Iterator[Row]:
    parts = known_parts(week)
    kinds: dict[tuple[int, int], list[KitLine]] = {}
    for result in _by_day(week):
        frame = week.frames[fold(result.job.frame)]
        # Jobs of a kind have the same lines, not only equal ones, and the week keeps them.
        kind = id(result.lines), id(frame)
        lines = kinds.get(kind)
        if lines is None:
            if len(kinds) >= MOST_KINDS:
                kinds.clear()
            lines = kinds[kind] = [_kit_line(result, frame, served, parts) for served in result.lines]
        job = result.job
        for served, line in zip(result.lines, lines, strict=True):
            awaited = (each for each in result.awaited if _is_served_by(each, served))
            coming = "; ".join(_awaited_text(each, parts) for each in awaited) if result.awaited else ""
            yield (
                *(job.number, job.day, result.kit),
                *line.before,
                coming,
                *line.after,
                *(job.technician, job.asset, job.notes),
            )


@dataclass(frozen=True, slots=True)
class KitLine:
    """What a kit line has in common in all jobs of a kind: the cells before what it waits for, and after."""

    before: Row
    after: Row


def _kit_line(result: JobResult, frame: Frame, served: ServedLine, parts: dict[str, Part]) -> KitLine:
    line = served.line
    shares = (f"{number}: {amount_text(count, _part(number, parts).unit)}" for number, count in served.parts)
    return KitLine(
        (
            line.side,
            line.name,
            line.do,
            TRADE_WORDS[line.what],
            served.quantity,
            line.unit,
            "" if line.length is None else length_text(line.length, frame.unit),
            "; ".join(shares),
            _bins_text(served, parts),
            _designation_text(served, parts),
            SUBSTITUTE if served.substitute else "",
        ),
        (_torque_text(line, result), frame.source, _goes_to(served), _caution_text(served, frame.unit)),
    )


def _is_served_by(awaited: Awaited, served: ServedLine) -> bool:
    return served.line.do == "fit" and any(number == awaited.part for number, _ in served.parts)


def _bins_text(served: ServedLine, parts: dict[str, Part]) -> str:
    """The bins of each serving part; the part is named where there are several."""
    found = []
    for number, _ in served.parts:
        names = ", ".join(bin_.name for bin_ in _part(number, parts).bins if bin_.name)
        if names:
            found.append(names if len(served.parts) == 1 else f"{number}: {names}")
    return "; ".join(found)


def _designation_text(served: ServedLine, parts: dict[str, Part]) -> str:
    """What to look for: the serving parts' designations, else that of the bolt the line asks for."""
    if served.parts:
        named = (_part(number, parts) for number, _ in served.parts)
        return "; ".join(part.designation or part.number for part in named)
    line = served.line
    if line.what == "bolt" and line.joint is not None and line.length is not None:
        return Bolt(line.joint.thread, line.length, line.joint.head).designation
    return ""


def _torque_text(line: Line, result: JobResult) -> str:
    """The frame maker's torque for bolts that go in; an extra is used where a bolt goes in as well."""
    if line.do != "fit" or line.joint is None or line.what not in ("bolt", "extra"):
        return ""
    side = (served for served in result.lines if served.line.side == line.side)
    return torque_words(line.joint, side) or TORQUE_UNKNOWN


def _goes_to(served: ServedLine) -> str:
    if served.line.do == "fit":
        return "the chair"
    if served.line.look_first:
        return "look first: write down what comes off"
    if not served.line.reuse:
        return "do not use again"
    return BACK_TO_STOCK if served.parts else PUT_ASIDE


def joint_note(served: ServedLine) -> Iterator[str]:
    """What the frame file notes of a joint, with the bolts that go into it."""
    line = served.line
    if line.joint is not None and line.joint.note and (line.do, line.what) == ("fit", "bolt"):
        yield f"Note: {line.joint.note}"


def _caution_text(served: ServedLine, unit: str) -> str:
    offered = [f"{text}: {AGREE}" for text in substitute_text(served, unit, TIMES)]
    cautions = [*offered, *served.all_cautions, *joint_note(served)]
    if (
        served.line.do == "remove"
        and CHECK_WHAT_COMES_OFF.rstrip(".").lower() not in " ".join(cautions).lower()
    ):
        cautions.append(CHECK_WHAT_COMES_OFF)
    return sentences(cautions)


def _shortfall_row(part: PartResult) -> Row:
    return (
        part.part.number,
        part.part.designation,
        part.shortfall,
        part.part.unit,
        part.first_short,
        part.needed,
        part.part.on_hand,
        part.part.allocated,
        part.on_order,
        part.recovered,
        some_of([f"{risk.job} ({quantity_text(risk.quantity)})" for risk in part.at_risk]),
        part.order,
        part.order_by,
        late_word(part),
    )


def _state(part: Part, left: Fraction) -> str:
    """A part at its reorder point is low; one at its safety stock still has enough."""
    if left < 0:
        return OUT
    at_reorder_point = part.reorder_point is not None and left <= part.reorder_point
    return LOW if at_reorder_point or left < part.safety_stock else ENOUGH


def _shelf_row(part: PartResult, day: ShelfDay) -> Row:
    return (
        part.part.number,
        part.part.designation,
        part.part.unit,
        day.day,
        day.received,
        day.recovered,
        day.taken,
        day.left,
        _state(part.part, day.left),
        some_of([source_text(source) for source in day.sources]),
    )
