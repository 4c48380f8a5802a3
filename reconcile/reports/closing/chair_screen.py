"""A chair's record as text for a terminal 80 columns wide, and as JSON."""

import json
from collections.abc import Iterator, Sequence
from fractions import Fraction

from reconcile.reports.writing.text import wrapped
from reconcile.values.chairs import ChairJob, ChairRecord, FittedBolt, JointState
from reconcile.values.ledger.jobs import DONE, CheckDone
from reconcile.values.measure import length_text, plain_number, quantity_text

STANDINGS = {DONE: "done", "part": "part done"}
TICKED = {True: "ok", False: "NOT OK", None: "not ticked"}
LOOK = "not known: look first"


def chair_screen(records: Sequence[ChairRecord]) -> str:
    """Every measure of the chair: as it is, joint by joint, then its jobs."""
    return "\n\n".join("\n".join(_lines(record)) for record in records)


def _lines(record: ChairRecord) -> Iterator[str]:
    frame, measure = record.frame or "not known", record.adjustment or "measure not known"
    yield wrapped(f"Chair {record.asset}, frame {frame}, {measure}")
    steps = ", ".join(f"{side} {count}" for side, count in record.steps.items())
    yield wrapped(f"size {_size(record.size, record.unit)}" + (f"; steps: {steps}" if steps else ""), "  ")
    yield wrapped(f"options: {', '.join(record.options) or 'none'}", "  ")
    for (name, side), joint in record.joints.items():
        place = f"{name}, {side}" if side else name
        yield wrapped(
            f"{place}: bolt {_bolt(joint.bolt, record.unit)}; spacers {_stack(joint)}", "  ", "    "
        )
    for job in record.history:
        yield wrapped(_job(job), "  ", "    ")
        for check in job.checks:
            yield wrapped(_check(check), "    ", "      ")


def _size(size: Fraction | None, unit: str) -> str:
    return length_text(size, unit or "mm") if size is not None else "not known"


def _bolt(bolt: FittedBolt | None, unit: str) -> str:
    if bolt is None:
        return LOOK
    return f"{bolt.part}, {length_text(bolt.length, unit or 'mm')}" if bolt.length is not None else bolt.part


def _stack(joint: JointState) -> str:
    if joint.stack is None:
        return LOOK
    return " + ".join(f"{quantity_text(count)} {part}" for part, count in joint.stack.items()) or "none"


def _job(job: ChairJob) -> str:
    sizes = f"{_size(job.size_from, job.unit)} to {_size(job.size_to, job.unit)}"
    by = f", by {job.technician}" if job.technician else ""
    return (
        f"{job.day} {job.job}, {sizes}, {STANDINGS[job.standing]}{by}; "
        f"closed with {job.closing} on {job.closed} by {job.who}"
    )


def _check(check: CheckDone) -> str:
    told = [f"{check.check}: {TICKED[check.passed]}", check.reading]
    told.append(f"second person {check.second_person}" if check.second_person else "")
    told.append(f"tried by the user on {check.tried}" if check.tried else "")
    return ", ".join(filter(None, told))


# --- JSON -------------------------------------------------------------------------------------------


def chair_json(records: Sequence[ChairRecord]) -> str:
    """The same as one JSON object; sizes and lengths are strings in the frame's unit, dates ISO."""
    found = {"asset": records[0].asset, "records": [_record(record) for record in records]}
    return json.dumps(found, ensure_ascii=False, indent=1)


def _record(record: ChairRecord) -> dict[str, object]:
    return {
        "frame": record.frame, "adjustment": record.adjustment, "size": _length(record.size, record.unit),
        "steps": dict(record.steps), "options": list(record.options),
        "joints": [
            {
                "joint": name, "side": side,
                "bolt": None if joint.bolt is None else {
                    "part": joint.bolt.part, "length": _length(joint.bolt.length, record.unit),
                },
                "spacers": None if joint.stack is None else {
                    part: plain_number(count) for part, count in joint.stack.items()
                },
            }
            for (name, side), joint in record.joints.items()
        ],
        "jobs": [_job_told(job) for job in record.history],
    }  # fmt: skip


def _job_told(job: ChairJob) -> dict[str, object]:
    return {
        "job": job.job, "date": job.day.isoformat(), "standing": STANDINGS[job.standing],
        "from": _length(job.size_from, job.unit), "to": _length(job.size_to, job.unit),
        "technician": job.technician, "closing": job.closing, "closed": job.closed.isoformat(),
        "who": job.who,
        "checks": [
            {
                "check": check.check, "ok": check.passed, "reading": check.reading,
                "second_person": check.second_person,
                "tried": check.tried.isoformat() if check.tried else None,
            }
            for check in job.checks
        ],
    }  # fmt: skip


def _length(length: Fraction | None, unit: str) -> str | None:
    return None if length is None else length_text(length, unit or "mm")
