"""Jobs as booked: rows of four tables to values and back."""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from reconcile.ledger.asking import Asker, Value
from reconcile.ledger.rows import LedgerRow
from reconcile.values.ledger.jobs import (
    SIDES,
    STANDINGS,
    CheckDone,
    JobBooked,
    JobEntry,
    JobLine,
    JobRow,
    JointFound,
    SideSteps,
)
from reconcile.values.stock.lines import LineKey

STANDING = "undoes IS NULL AND id NOT IN (SELECT undoes FROM closings WHERE undoes IS NOT NULL)"
"""Of a closing: it is none that writes back, and none that was written back."""
_STANDING_ROWS = f"""
SELECT r.*, c.name AS closed_as, c.day AS closed, c.who AS closed_by
FROM job_rows r JOIN closings c ON c.id = r.closing
WHERE r.closing IN (SELECT id FROM closings WHERE {STANDING})
"""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class RowsOfJobs:
    """What belongs to each job's row, by the row's number."""

    lines: dict[int, list[JobLine]]
    joints: dict[int, list[JointFound]]
    checks: dict[int, list[CheckDone]]

    def entry(self, row: LedgerRow) -> JobEntry:
        number = row.number
        booked = JobBooked(
            _job_row(row),
            tuple(self.lines.get(number, ())),
            tuple(self.joints.get(number, ())),
            tuple(self.checks.get(number, ())),
        )
        return JobEntry(
            row.text("closed_as"), row.whole("closing"), row.day("closed"), row.text("closed_by"), booked
        )


def add_jobs(ask: Asker, closing: int, jobs: Iterable[JobBooked]) -> None:
    """Within the transaction of the closing of that number."""
    for job in jobs:
        number = ask.add("job_rows", {"closing": closing, **_row_columns(job.row)})
        own: dict[str, Value] = {"job_row": number}
        ask.add_all("job_lines", ({**own, **_line_columns(line)} for line in job.lines))
        ask.add_all("job_joints", ({**own, **_joint_columns(joint)} for joint in job.joints))
        ask.add_all("checks", ({**own, **_check_columns(check)} for check in job.checks))


def booked_jobs(ask: Asker) -> tuple[JobEntry, ...]:
    """Those of the closings that stand, in the order of posting."""
    rows = ask.rows("job_rows", f"{_STANDING_ROWS} ORDER BY r.id")
    if not rows:
        return ()
    apart = RowsOfJobs(
        _by_row(ask, "job_lines", _line), _by_row(ask, "job_joints", _joint), _by_row(ask, "checks", _check)
    )
    return tuple(map(apart.entry, rows))


def _by_row(ask: Asker, table: str, read: Callable[[LedgerRow], T]) -> dict[int, list[T]]:
    found: dict[int, list[T]] = {}
    for row in ask.rows(table, f"SELECT * FROM {table} ORDER BY id"):
        found.setdefault(row.whole("job_row"), []).append(read(row))
    return found


# --- rows -----------------------------------------------------------------------------------------


def _row_columns(row: JobRow) -> dict[str, Value]:
    taken = {each.side: each for each in row.steps}
    steps: dict[str, Value] = {}
    for side in SIDES:
        there = taken.get(side)
        steps[f"{side}_before"] = there.before if there else None
        steps[f"{side}_after"] = there.after if there else None
    return {
        "job": row.job, "day": row.day.isoformat(), "standing": row.standing, "frame": row.frame,
        "adjustment": row.adjustment, "size_from": text_of(row.size_from), "size_to": text_of(row.size_to),
        "unit": row.unit, "side": row.side, "left_now": row.left_now, "right_now": row.right_now, **steps,
        "spacers_now": row.spacers_now, "options": texts_of(row.options), "chairs": row.chairs,
        "asset": row.asset, "technician": row.technician,
    }  # fmt: skip


def _job_row(row: LedgerRow) -> JobRow:
    steps = []
    for side in SIDES:
        before, after = row.optional_whole(f"{side}_before"), row.optional_whole(f"{side}_after")
        if (before is None) != (after is None):
            raise row.fault(f"{side}_after")
        if before is not None and after is not None:
            steps.append(SideSteps(side, before, after))
    return JobRow(
        row.text("job"), row.day("day"), row.choice("standing", STANDINGS), row.text("frame"),
        row.text("adjustment"), row.optional_exact("size_from"), row.optional_exact("size_to"),
        row.text("unit"), row.text("side"), row.optional_whole("left_now"), row.optional_whole("right_now"),
        tuple(steps), row.text("spacers_now"), row.texts("options"), row.whole("chairs", least=1),
        row.text("asset"), row.text("technician"),
    )  # fmt: skip


def _line_columns(line: JobLine) -> dict[str, Value]:
    key = line.key
    return {
        "do": key.do, "what": key.what, "name": key.name, "side": key.side, "part": line.part,
        "unit": line.unit, "planned": text_of(line.planned), "used": text_of(line.used),
        "returned": text_of(line.returned), "scrapped": text_of(line.scrapped), "reason": line.reason,
        "frame_key": line.frame_key, "length": text_of(line.length), "steps": line.steps,
        "came_off": line.came_off,
    }  # fmt: skip


def _line(row: LedgerRow) -> JobLine:
    key = LineKey(row.text("do"), row.text("what"), row.text("name"), row.text("side"))
    return JobLine(
        key, row.text("part"), row.text("unit"), row.exact("planned"), row.optional_exact("used"),
        row.optional_exact("returned"), row.optional_exact("scrapped"), row.text("reason"),
        row.text("frame_key"), row.optional_exact("length"), row.optional_whole("steps"),
        row.text("came_off"),
    )  # fmt: skip


def _joint_columns(joint: JointFound) -> dict[str, Value]:
    return {
        "name": joint.name, "side": joint.side, "frame_key": joint.frame_key, "stacks": joint.stacks,
        "bolts": joint.bolts, "stack": None if joint.stack is None else _pieces_of(joint.stack),
        "bolt": joint.bolt, "bolt_length": text_of(joint.bolt_length),
    }  # fmt: skip


def _joint(row: LedgerRow) -> JointFound:
    return JointFound(
        row.text("name"), row.text("side"), row.text("frame_key"), row.whole("stacks", least=1),
        row.whole("bolts", least=1), row.optional_pieces("stack"), row.text("bolt"),
        row.optional_exact("bolt_length"),
    )  # fmt: skip


def _check_columns(check: CheckDone) -> dict[str, Value]:
    return {
        "said": check.check, "passed": None if check.passed is None else int(check.passed),
        "reading": check.reading, "second_person": check.second_person,
        "tried": check.tried.isoformat() if check.tried else None,
    }  # fmt: skip


def _check(row: LedgerRow) -> CheckDone:
    passed = row.optional_whole("passed")
    return CheckDone(
        row.text("said"), None if passed is None else bool(passed), row.text("reading"),
        row.text("second_person"), row.optional_day("tried"),
    )  # fmt: skip


def text_of(number: Fraction | None) -> str | None:
    """``7/2``, exact; None stays none."""
    return None if number is None else str(number)


def texts_of(words: Iterable[str]) -> str:
    return json.dumps(list(words), ensure_ascii=False)


def _pieces_of(stack: Mapping[str, Fraction]) -> str:
    return json.dumps({part: str(count) for part, count in stack.items()}, ensure_ascii=False)
