"""Where a job starts: the chair as its record has it, or as an earlier job of the plan leaves it. Pure.

A row may leave out what the chair's record tells, field by field. Where the row's size now is another one,
the row counts alone. Frame files may change after a chair was closed: its size counts, the steps are worked
out anew, and what is gone from the file is unknown.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from reconcile.plan.chairs.record import JointKey
from reconcile.plan.chairs.stacks import Counts, height, stack_of_pieces, stack_of_single
from reconcile.values.chairs import ChairJob, ChairRecord, JointState
from reconcile.values.frames.frame import Adjustment, Joint
from reconcile.values.frames.stacks import KnownJoint, SaidPieces, SpacersNow
from reconcile.values.ledger.jobs import DONE, LEFT, RIGHT, SINGLE
from reconcile.values.measure import length_text, quantity_text
from reconcile.values.problem import Finding
from reconcile.values.records import dataclass
from reconcile.values.week.jobs import Job, SaidJob, Steps, completed
from reconcile.values.words import fold


@dataclass(frozen=True, slots=True)
class Start:
    """A chair before a job. Size in mm."""

    size: Fraction
    steps: Mapping[str, int]
    """By side: left and right, or single; nothing where they are not known."""
    options: tuple[str, ...] | None = None
    """None where nobody tells."""
    known: tuple[KnownJoint, ...] = ()
    after: str = ""
    """The earlier job of the plan that leaves it so; "" for the record."""


# --- by the record --------------------------------------------------------------------------------


def start_of(record: ChairRecord, adjustment: Adjustment, job: str) -> tuple[Start | None, bool]:
    """The recorded chair by the figures of the frame as they are now, and whether they fit what it has.

    A job that is booked as done already starts where it started then; one that is part done, from the record
    as it was before its own bookings. None where the record tells no size.
    """
    own = done_before(record, job)
    if own is not None:
        return (None if own.size_from is None else Start(own.size_from, {})), True
    if record.size is None:
        return None, True
    total = (record.size - adjustment.minimum) / adjustment.step
    steps = steps_anew(record.steps, total, adjustment)
    as_recorded = all(record.steps.get(side) == count for side, count in steps.items()) and bool(steps)
    states = record.before if fold(record.begun) == fold(job) else untouched(record)
    known = tuple(known_joints(states, adjustment, steps))
    whole = as_recorded and len(known) == len(states) and all(map(kept, known, states.values()))
    return Start(record.size, steps, record.options, known), whole


def done_before(record: ChairRecord, job: str) -> ChairJob | None:
    """The booking that has this very job as done."""
    done = (told for told in record.history if fold(told.job) == fold(job) and told.standing == DONE)
    return next(done, None)


def untouched(record: ChairRecord) -> dict[JointKey, JointState]:
    """The joints, without those that a job which is part done has changed: they are of other steps."""
    if not record.begun:
        return dict(record.joints)
    return {key: state for key, state in record.joints.items() if record.before.get(key) == state}


def steps_anew(recorded: Mapping[str, int], total: Fraction, adjustment: Adjustment) -> dict[str, int]:
    """The recorded sides in the steps that the frame has now; nothing where they cannot be told."""
    sides = (SINGLE,) if adjustment.sides == 1 else (LEFT, RIGHT)
    if not all(side in recorded for side in sides):
        return {}
    there = sum(recorded[side] for side in sides)
    if there == total:
        return {side: recorded[side] for side in sides}
    scaled = {side: recorded[side] * total / there for side in sides} if there else {}
    whole = all(count.denominator == 1 for count in scaled.values())
    return {side: count.numerator for side, count in scaled.items()} if whole else {}


def known_joints(
    states: Mapping[JointKey, JointState], adjustment: Adjustment, steps: Mapping[str, int]
) -> Iterator[KnownJoint]:
    """What is recorded at each joint that the frame still has."""
    joints = {fold(joint.name): joint for joint in adjustment.joints}
    for (name, side), state in states.items():
        joint, count = joints.get(fold(name)), steps.get(side or SINGLE)
        if joint is not None and count is not None:
            bolt = state.bolt
            fitted = None if bolt is None or bolt.length is None else (bolt.part, bolt.length)
            pieces = pieces_on_record(joint, state, count * adjustment.step)
            yield KnownJoint(fold(name), side, count, pieces, fitted)


def pieces_on_record(
    joint: Joint, state: JointState, thickness: Fraction
) -> tuple[tuple[str, int], ...] | None:
    """The recorded stack, if the joint still lists its pieces and they are as thick as the steps."""
    if state.stack is None:
        return None
    pieces = tuple((part, int(count)) for part, count in state.stack.items())
    counts = stack_of_pieces(joint, (SaidPieces(count, part) for part, count in pieces))
    return pieces if counts is not None and height(joint, counts) == thickness else None


def kept(known: KnownJoint, state: JointState) -> bool:
    """Whether the stack is still the recorded one."""
    return state.stack is None or known.pieces is not None


# --- by an earlier job ----------------------------------------------------------------------------


def left_by(job: Job, steps: Steps) -> Start:
    """The chair as a planned job leaves it: stacks and bolts are known by the rule alone."""
    after = {side: count for side, _, count in steps.sides}
    return Start(job.size_to, after, job.options, after=job.number)


def in_turn(jobs: Sequence[SaidJob]) -> list[int]:
    """The places of the jobs, each after those of the same chair that come before it: by day, then row."""
    places = list(range(len(jobs)))
    chairs: dict[str, list[int]] = {}
    for place, job in enumerate(jobs):
        if job.record_asset:
            chairs.setdefault(job.record_asset, []).append(place)
    for own in chairs.values():
        if len(own) > 1:
            turns = sorted(own, key=lambda place: (jobs[place].day, jobs[place].place.row))
            for place, turn in zip(own, turns, strict=True):
                places[place] = turn
    return places


# --- a row and where it starts --------------------------------------------------------------------


def complete(
    said: SaidJob, start: Start | None, adjustment: Adjustment | None, unit: str
) -> tuple[Job | None, tuple[Finding, ...]]:
    """The job with what its row leaves out, and where the row says otherwise; None without a size now."""
    size = said.size_from
    if start is None or adjustment is None or (size is not None and size != start.size):
        differs = () if start is None or adjustment is None else (differing(start, "from", unit),)
        if size is None:
            return None, (from_missing(said),)
        return completed(said, size), differs
    sides = (start.steps.get(LEFT), start.steps.get(RIGHT))
    given = (said.left_now, said.right_now)
    findings = list(unlike(said, start, adjustment, unit))
    job = completed(said, start.size)
    return replace(
        job,
        left_now=sides[0] if given == (None, None) else given[0],
        right_now=sides[1] if given == (None, None) else given[1],
        options=job.options if job.options or job.no_options else start.options or (),
        known=start.known,
    ), tuple(findings)


def from_missing(said: SaidJob) -> Finding:
    if not said.asset:
        says = "From is blank, and no asset is named whose record could tell it."
    elif not said.record_asset:
        says = f"From is blank, and {said.chairs} chairs have no record."
    else:
        says = f"From is blank, and there is no record of {said.asset} that tells this size."
    return Finding("from-missing", "from", says)


def unlike(said: SaidJob, start: Start, adjustment: Adjustment, unit: str) -> Iterator[Finding]:
    """Every field of the row that is filled in and says something else."""
    for heading, side, given in (("left now", LEFT, said.left_now), ("right now", RIGHT, said.right_now)):
        if given is not None and start.steps and given != start.steps.get(side):
            yield differing(start, heading, unit)
            break
    given_options = frozenset(map(fold, said.options))
    if start.options is not None and (said.options or said.no_options):
        recorded = frozenset(map(fold, start.options))
        if recorded != given_options:
            there = ", ".join(start.options) or "no options"
            yield Finding("chair-differs", "options", f"{told_by(start)} {there}: look first")
    if said.spacers_now is not None:
        yield from other_stacks(said.spacers_now, start, adjustment)


def other_stacks(said: SpacersNow, start: Start, adjustment: Adjustment) -> Iterator[Finding]:
    joints = {fold(joint.name): joint for joint in adjustment.joints}
    for known in start.known:
        joint = joints[known.joint]
        given = stack_said(said, known, joint, adjustment.step)
        pieces = known.pieces
        if pieces is None or given is None:
            continue
        if stack_of_pieces(joint, (SaidPieces(count, part) for part, count in pieces)) != given:
            where = f"{joint.name}, {known.side}" if known.side else joint.name
            there = " + ".join(f"{quantity_text(Fraction(count))} x {part}" for part, count in pieces)
            says = f"{told_by(start)} {there or 'no spacers'} at {where}: look first"
            yield Finding("chair-differs", "spacers now", says)


def stack_said(said: SpacersNow, known: KnownJoint, joint: Joint, step: Fraction) -> Counts | None:
    if said.single:
        return stack_of_single(joint, known.steps, step)
    pieces = said.of(known.side)
    return None if pieces is None else stack_of_pieces(joint, pieces)


def differing(start: Start, heading: str, unit: str) -> Finding:
    """``the record says 16 in, left 2, right 2: measure first``."""
    sides = (f"{side} {count}" for side, count in start.steps.items() if side != SINGLE)
    there = ", ".join((length_text(start.size, unit), *sides))
    return Finding("chair-differs", heading, f"{told_by(start)} {there}: measure first")


def told_by(start: Start) -> str:
    return f"after {start.after} it has" if start.after else "the record says"
