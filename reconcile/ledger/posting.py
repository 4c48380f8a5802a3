"""What is posted in one piece: refused as a whole, or written as rows."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from reconcile.ledger.asking import Asker, Value
from reconcile.ledger.schema import GREATEST
from reconcile.values.ledger.jobs import JobBooked
from reconcile.values.ledger.orders import OrderEvent
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import Closing, Movement, PlannedUse


@dataclass(frozen=True, slots=True)
class Beside:
    """What a closing keeps beside its movements."""

    uses: Sequence[PlannedUse] = ()
    jobs: Sequence[JobBooked] = ()
    orders: Sequence[OrderEvent] = ()


def refuse_movements(movements: Iterable[Movement], units: Mapping[str, str]) -> None:
    """Raises Unusable: ledger-unit, movement-too-fine."""
    known = dict(units)
    faults: list[Problem] = []
    for movement in movements:
        before = known.setdefault(movement.part, movement.unit)
        if before != movement.unit:
            says = f"{movement.part} is counted in {movement.unit} here and in {before} in the ledger."
            faults.append(problem("ledger-unit", _source(movement), says, found=movement.unit))
        if too_fine(movement.quantity):
            amount = f"{movement.quantity} {movement.unit} of {movement.part}"
            says = f"{amount} is too great or too fine to be kept."
            found = str(movement.quantity)
            faults.append(problem("movement-too-fine", _source(movement), says, found=found))
    if faults:
        raise Unusable(*faults)


def refuse_jobs(jobs: Iterable[JobBooked]) -> None:
    """Raises Unusable: movement-too-fine."""
    faults = [
        problem(
            "movement-too-fine", Place("ledger", "", job.row.job),
            f"{number} in {job.row.job} is too great or too fine to be kept.", found=str(number),
        )
        for job in jobs
        for number in _numbers(job)
        if too_fine(number)
    ]  # fmt: skip
    if faults:
        raise Unusable(*faults)


def too_fine(number: Fraction) -> bool:
    return max(abs(number.numerator), number.denominator) > GREATEST


def _numbers(job: JobBooked) -> Iterator[Fraction]:
    maybe = [job.row.size_from, job.row.size_to]
    for line in job.lines:
        maybe += [line.planned, line.used, line.returned, line.scrapped, line.length]
    for joint in job.joints:
        maybe += [joint.bolt_length, *(joint.stack or {}).values()]
    return (number for number in maybe if number is not None)


def add_closing(ask: Asker, closing: Closing, undoes: int | None) -> int:
    """Its number."""
    return ask.add("closings", {
        "name": closing.name, "kind": closing.kind, "day": closing.day.isoformat(), "who": closing.who,
        "old_workbook": closing.old_workbook, "new_workbook": closing.new_workbook,
        "target": closing.target, "aside": closing.aside, "kept": closing.kept,
        "details": json.dumps(dict(closing.details), sort_keys=True),
        "posted": datetime.now().astimezone().isoformat(timespec="seconds"), "undoes": undoes,
    })  # fmt: skip


def add_movements(ask: Asker, closing: int, movements: Sequence[Movement], reverses: Sequence[int]) -> None:
    """``reverses``: the numbers that they write back, one each, or nothing."""
    written: Sequence[int | None] = reverses or [None] * len(movements)
    ask.add_all(
        "movements",
        (
            {"closing": closing, **_movement_columns(movement), "reverses": back}
            for movement, back in zip(movements, written, strict=True)
        ),
    )


def add_uses(ask: Asker, closing: int, uses: Iterable[PlannedUse]) -> None:
    ask.add_all("uses", (
        {
            "closing": closing, "job": use.job, "day": use.day.isoformat(), "frame": use.frame,
            "key": use.key, "name": use.name, "part": use.part, "unit": use.unit,
            "planned": str(use.planned), "used": str(use.used), "reason": use.reason,
        }
        for use in uses
    ))  # fmt: skip


def _movement_columns(movement: Movement) -> dict[str, Value]:
    line = movement.line
    return {
        "part": movement.part, "bin": movement.bin, "amount": movement.quantity.numerator,
        "per": movement.quantity.denominator, "unit": movement.unit, "kind": movement.kind,
        "day": movement.day.isoformat(), "who": movement.who, "job": movement.job,
        "source": "" if movement.source is None else str(movement.source), "note": movement.note,
        "do": line.do, "what": line.what, "name": line.name, "side": line.side,
    }  # fmt: skip


def _source(movement: Movement) -> Place:
    return movement.source or Place("ledger", "", movement.part)
