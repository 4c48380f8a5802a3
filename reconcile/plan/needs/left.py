"""What is left of a job that is part done: line by line, less what the book shows as used or taken off.

What was used counts whichever part it was; what was spoilt is still to be fitted; spacers count by whole
stacks. Several closings add up. A job of several chairs is begun chair by chair: what is left lies on the
last ones.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from reconcile.values.frames.frame import Frame
from reconcile.values.ledger.jobs import JobBooked, JobLine, JobRow, SideSteps
from reconcile.values.measure import quantity_text
from reconcile.values.stock.lines import BOLT, SPACER
from reconcile.values.week.jobs import Job, Line, Steps
from reconcile.values.week.results import ServedLine

ZERO = Fraction(0)
Key = tuple[str, str, str, str, str]
"""Do, what, name, side; of an extra its part too."""
ONE_FOR_ONE = ("bolt", "cover", "sized")
"""What is fitted in the place of as many that come off."""


@dataclass(frozen=True, slots=True)
class Left:
    """The lines still to do for all chairs together, and rows of the book that belong to no line."""

    lines: tuple[Line, ...]
    strange: tuple[JobLine, ...]

    @property
    def nothing(self) -> bool:
        return not self.lines


def says_the_same(job: Job, frame: Frame, steps: Steps, booked: Sequence[JobBooked]) -> bool:
    """Whether the job's row still says what it said when something of it was booked last.

    A closing of a returns workbook that did not tell sizes cannot be held against it.
    """
    last = booked[-1].row
    return last.size_to is None or last.says_as(row_of(job, frame, steps))


def row_of(job: Job, frame: Frame, steps: Steps) -> JobRow:
    """What the book keeps of a row, by value; an adjustment that it leaves out is the frame's first."""
    adjustment = job.adjustment or frame.adjustments[0].name
    return JobRow(
        job.number, job.day, frame=job.frame, adjustment=adjustment, size_from=job.size_from,
        size_to=job.size_to, side=job.side, left_now=job.left_now, right_now=job.right_now,
        steps=tuple(SideSteps(*side) for side in steps.sides),
        spacers_now=job.spacers_now.text if job.spacers_now else "", options=job.options,
        chairs=job.chairs, asset=job.asset,
    )  # fmt: skip


def lines_left(lines: Sequence[Line], chairs: int, booked: Iterable[JobBooked]) -> Left:
    """What is still to do of so many chairs' lines, each line for its own chair where there are several."""
    rows = [line for job in booked for line in job.lines if line.told]
    known = {key_of(line) for line in lines}
    strange = tuple(row for row in rows if key_of_row(row) not in known)
    by_key: dict[Key, list[JobLine]] = {}
    for row in rows:
        by_key.setdefault(key_of_row(row), []).append(row)
    left = [
        part
        for line in lines
        for part in left_of(line, chairs, by_key.get(key_of(line), []), replaced(line, by_key))
    ]
    return Left(tuple(left), strange)


def replaced(line: Line, by_key: Mapping[Key, Sequence[JobLine]]) -> Fraction:
    """How many of what comes off are out of the chairs because the new one is in its place.

    A returns workbook asks nothing about bolts that are not used again, and no hole holds two.
    """
    if line.do == "fit" or line.what not in ONE_FOR_ONE:
        return ZERO
    return sum((row.used or ZERO for row in by_key.get(("fit", *key_of(line)[1:]), ())), ZERO)


def key_of(line: Line) -> Key:
    part = line.choices[0].parts[0][0] if line.what == "extra" and line.choices else ""
    return (line.do, line.what, line.name, line.side, part)


def key_of_row(row: JobLine) -> Key:
    key = row.key
    return (key.do, key.what, key.name, key.side, row.part if key.what == "extra" else "")


def left_of(line: Line, chairs: int, rows: Sequence[JobLine], out: Fraction) -> Iterator[Line]:
    """The parts of one line that are still to do, chair by chair, the last chairs first.

    ``out``: how many of those to take off are out for certain, whatever was booked of them.
    """
    if line.do != "fit":
        yield from still_to_remove(line, chairs, rows, out)
        return
    left = max(line.quantity * chairs - done_of(line, rows), ZERO)
    for chair in range(chairs, 0, -1):
        share = min(left, line.quantity)
        if share <= 0:
            return
        left -= share
        yield replace(line, quantity=share, chair=chair)


def done_of(line: Line, rows: Sequence[JobLine]) -> Fraction:
    """How much of a line to fit is in the chairs; of spacers whole stacks."""
    if line.what != "spacer" or line.joint is None or not line.length:
        return sum((row.used or ZERO for row in rows), ZERO)
    thickness = {spacer.part: spacer.thickness for spacer in line.joint.spacers}
    height = sum(((row.used or ZERO) * thickness.get(row.part, ZERO) for row in rows), ZERO)
    return Fraction(height // line.length)


def still_to_remove(line: Line, chairs: int, rows: Sequence[JobLine], out: Fraction) -> Iterator[Line]:
    """One line for what has not come off yet: by piece where the parts are known, else as it is counted."""
    off = sum((row.booked for row in rows), ZERO) + sum(
        (steps_off(line, chairs, row) for row in rows if row.came_off and not row.booked), ZERO
    )
    quantity = line.quantity * chairs - max(off, out)
    if quantity <= 0:
        return
    gone: dict[str, Fraction] = {}
    for row in rows:
        gone[row.part] = gone.get(row.part, ZERO) + row.booked
    pieces = tuple(
        (number, count * chairs - gone.get(number, ZERO))
        for number, count in line.pieces
        if count * chairs > gone.get(number, ZERO)
    )
    yield replace(line, quantity=quantity, pieces=pieces)


def steps_off(line: Line, chairs: int, row: JobLine) -> Fraction:
    """What came off of stacks that nobody knew, counted as the line is, a step of a stack each.

    The close-out prints the steps that are on that side; where they were left as printed, all came off.
    """
    if row.steps is None or row.steps >= line.steps:
        return line.quantity * chairs
    return Fraction(row.steps)


def together(lines: Iterable[ServedLine]) -> tuple[ServedLine, ...]:
    """Served lines of single chairs as lines of the job: those of one joint, side and part in one."""
    found: dict[Key, ServedLine] = {}
    for served in lines:
        key = key_of(served.line)
        before = found.get(key)
        found[key] = served if before is None else added(before, served)
    return tuple(found.values())


def added(one: ServedLine, other: ServedLine) -> ServedLine:
    parts = dict(one.parts)
    for number, quantity in other.parts:
        parts[number] = parts.get(number, ZERO) + quantity
    return replace(
        one,
        quantity=one.quantity + other.quantity,
        parts=tuple(parts.items()),
        substitute=one.substitute or other.substitute,
        cautions=tuple(dict.fromkeys((*one.cautions, *other.cautions))),
        at_joint=tuple(dict.fromkeys((*one.at_joint, *other.at_joint))),
        served=(*one.served, *other.served),
    )


def begun(
    lines: Iterable[Line], left: Iterable[Line], booked: Iterable[JobBooked]
) -> Iterator[tuple[str, str]]:
    """Joints of which some is in and some still to be fitted: the name, and the parts that are in by side.

    One choice serves a joint, alike on both sides. What is left is chosen anew, so whoever fits it has to
    know what it goes beside.
    """
    open_still = {(each.what, each.name) for each in left if each.do == "fit"}
    rows = [row for each in booked for row in each.lines if row.told and row.used]
    found: dict[tuple[str, str], dict[str, dict[str, Fraction]]] = {}
    for line in lines:
        named = (line.what, line.name)
        if line.do != "fit" or line.what not in (BOLT, SPACER) or named not in open_still:
            continue
        for row in rows:
            if key_of_row(row) == key_of(line):
                parts = found.setdefault(named, {}).setdefault(line.side, {})
                parts[row.part] = parts.get(row.part, ZERO) + (row.used or ZERO)
    for (_, name), sides in found.items():
        told = (
            " ".join(
                filter(None, (side, " + ".join(f"{quantity_text(n)} x {part}" for part, n in parts.items())))
            )
            for side, parts in sides.items()
        )
        yield name, ", ".join(told)
