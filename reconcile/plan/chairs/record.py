"""Jobs as booked to the record of each chair. Pure: the same bookings give the same record.

A job that is done counts whole. Of each of its joints: what was taken to be there, less what came off, with
what was fitted; unknown if any of these is. What was taken to be there is what the planned week said; where
it said nothing, the record, if the steps of that side are the recorded ones; and no spacers at no steps. A
joint that the job did not touch keeps what it had.

A job of which only part is booked leaves size, steps and options alone. The joints that it touched are known
if all that was planned there is booked, else unknown. When it is done, its bookings count together, from the
chair as it was before the first of them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import field, replace
from fractions import Fraction

from reconcile.values.chairs import ChairJob, ChairRecord, FittedBolt, JointState
from reconcile.values.ledger.jobs import (
    DONE,
    JobBooked,
    JobEntry,
    JobLine,
    JobRow,
    Pieces,
    SideSteps,
    of_joint,
)
from reconcile.values.records import dataclass
from reconcile.values.stock.lines import BOLT, SPACER
from reconcile.values.words import fold

RecordKey = tuple[str, str, str]
"""Asset, frame and adjustment, folded."""
JointKey = tuple[str, str]
"""Joint and side."""
UNKNOWN = JointState()


@dataclass(frozen=True, slots=True)
class Begun:
    """A job that is part done: what the chair was before it, and what is booked of it."""

    row: JobRow
    joints: Mapping[JointKey, JointState]
    bookings: tuple[JobBooked, ...]


@dataclass(slots=True)
class Chair:
    """A record while its jobs are gone through."""

    record: ChairRecord
    begun: Begun | None = None

    def take(self, entry: JobEntry) -> None:
        """The next booking, in the order of the work."""
        booked = entry.booked
        going_on = self.begun is not None and self.begun.row.says_as(booked.row)
        begun = self.begun if going_on and self.begun else Begun(booked.row, self.record.joints, ())
        begun = replace(begun, bookings=(*begun.bookings, booked))
        joints = {**self.record.joints, **_left(begun, self.record, done=booked.row.standing == DONE)}
        self.record = replace(self.record, joints=joints, history=(*self.record.history, _told(entry)))
        self.begun = begun
        if booked.row.standing == DONE:
            self.record = _resized(self.record, booked.row)
            self.begun = None
        number, before = (booked.row.job, begun.joints) if self.begun else ("", {})
        self.record = replace(self.record, begun=number, before=before)


def chair_records(entries: Iterable[JobEntry]) -> dict[RecordKey, ChairRecord]:
    """A record for each asset, frame and adjustment. ``entries``: those of the closings that stand.

    Jobs without an asset, and those of several chairs, leave nothing.
    """
    chairs: dict[RecordKey, Chair] = {}
    for entry in sorted(entries, key=lambda entry: (entry.booked.row.day, entry.number)):
        row = entry.booked.row
        if row.asset and row.chairs == 1:
            first = ChairRecord(row.asset, row.frame, row.adjustment, unit=row.unit)
            chairs.setdefault(record_key(row.asset, row.frame, row.adjustment), Chair(first)).take(entry)
    return {key: chair.record for key, chair in chairs.items()}


def record_key(asset: str, frame: str, adjustment: str) -> RecordKey:
    return (fold(asset), fold(frame), fold(adjustment))


# --- one job --------------------------------------------------------------------------------------


def _left(begun: Begun, record: ChairRecord, *, done: bool) -> dict[JointKey, JointState]:
    """What a job, as far as it is booked, leaves at the joints that it touched or that its plan told of."""
    told = {(joint.name, joint.side): joint for booked in begun.bookings for joint in booked.joints}
    touched = _touched(begun.bookings)
    left: dict[JointKey, JointState] = {}
    for key in dict.fromkeys((*told, *touched)):
        before = _before(key, begun, record)
        found = touched.get(key)
        if found is None:
            if done:
                left[key] = before
        elif done or found.whole:
            left[key] = _after(before, found, begun.row.on(key[1]), told[key].stacks if key in told else None)
        elif found.told:
            left[key] = UNKNOWN
    return left


@dataclass(slots=True)
class Touched:
    """All lines of a joint's side: over all bookings, and those of the last one that had any."""

    lines: list[JobLine] = field(default_factory=list)
    last: list[JobLine] = field(default_factory=list)

    @property
    def told(self) -> bool:
        return any(line.told for line in self.lines)

    @property
    def whole(self) -> bool:
        """The last booking had what was still to do; a joint that it left out was whole before."""
        return all(line.whole for line in self.last)


def _touched(bookings: Iterable[JobBooked]) -> dict[JointKey, Touched]:
    found: dict[JointKey, Touched] = {}
    for booked in bookings:
        own: dict[JointKey, list[JobLine]] = {}
        for line in filter(of_joint, booked.lines):
            own.setdefault((line.key.name, line.key.side), []).append(line)
        for key, lines in own.items():
            joint = found.setdefault(key, Touched())
            joint.lines += lines
            joint.last = lines
    return found


def _before(key: JointKey, begun: Begun, record: ChairRecord) -> JointState:
    """What was taken to be there before the job: by its plan, else by the record; nothing at no steps."""
    recorded = begun.joints.get(key, UNKNOWN)
    steps = begun.row.on(key[1])
    if steps is not None and record.steps and steps.before != record.steps.get(steps.side):
        recorded = UNKNOWN
    if recorded.stack is None and steps is not None and steps.before == 0:
        recorded = replace(recorded, stack={})
    for booked in begun.bookings[:1]:
        for joint in booked.joints:
            if (joint.name, joint.side) == key:
                bolt = FittedBolt(joint.bolt, joint.bolt_length) if joint.bolt else recorded.bolt
                return JointState(recorded.stack if joint.stack is None else joint.stack, bolt)
    return recorded


def _after(before: JointState, joint: Touched, steps: SideSteps | None, stacks: int | None) -> JointState:
    stack, bolt = before.stack, before.bolt
    spacers = [line for line in joint.lines if line.key.what == SPACER]
    bolts = [line for line in joint.lines if line.key.what == BOLT]
    if spacers:
        stack = {} if steps is not None and steps.after == 0 else _stack(before.stack, spacers, stacks)
    if bolts:
        bolt = _bolt(bolts)
    return JointState(stack, bolt)


def _stack(before: Pieces | None, lines: list[JobLine], stacks: int | None) -> Pieces | None:
    """One of the stacks after the work; None where any of it is unknown, or more came off than was there.

    None too where it is not said how many stacks the pieces went into.
    """
    if before is None or stacks is None or any(not line.part for line in lines):
        return None
    pieces = {part: count * stacks for part, count in before.items()}
    for line in lines:
        sign = 1 if line.key.fits else -1
        pieces[line.part] = pieces.get(line.part, Fraction(0)) + sign * line.booked
    share = {part: count / stacks for part, count in pieces.items() if count}
    sound = all(count > 0 and count.denominator == 1 for count in share.values())
    return share if sound else None


def _bolt(lines: Iterable[JobLine]) -> FittedBolt | None:
    """The bolt that went in; None where none did, or two kinds."""
    fitted = {FittedBolt(line.part, line.length) for line in lines if line.key.fits and line.booked}
    parts = {bolt.part for bolt in fitted}
    if len(parts) != 1:
        return None
    lengths = {bolt.length for bolt in fitted if bolt.length is not None}
    return FittedBolt(parts.pop(), lengths.pop() if len(lengths) == 1 else None)


def _resized(record: ChairRecord, row: JobRow) -> ChairRecord:
    """Size, steps and options as a done job left them; what the closing did not say is not known."""
    steps = {each.side: each.after for each in row.steps}
    return replace(record, size=row.size_to, unit=row.unit or record.unit, steps=steps, options=row.options)


def _told(entry: JobEntry) -> ChairJob:
    row = entry.booked.row
    return ChairJob(
        row.job, row.day, row.standing, row.size_from, row.size_to, row.unit, entry.closing, entry.closed,
        entry.who, row.technician, entry.booked.checks,
    )  # fmt: skip
