"""Cuts through the joints that a job opens: what each bolt clamps and how far it reaches, before and after.

A frame file gives the clamped thickness of a joint as one figure, the grip. It does not tell side frame,
washers and brackets apart, so they stay one slice here. Spacers that stay are one slice too. What comes off
and what goes in is told apart by the parts, where these are known.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from reconcile.plan.joints.cautions import cautioned
from reconcile.plan.kits.bundles import Serving
from reconcile.plan.needs.choices import threaded_length
from reconcile.plan.needs.demands import Planned, Planner
from reconcile.plan.needs.lines import find_adjustment, kind_of
from reconcile.plan.needs.mixed import stacks_told
from reconcile.standards import drive_of
from reconcile.values.frames.frame import Adjustment, Joint
from reconcile.values.frames.sections import (
    COMES_OUT,
    FRAME_PARTS,
    GOES_IN,
    KEPT,
    OPTION,
    SUNK_HEADS,
    WASHER,
    JointCut,
    Section,
    Slice,
)
from reconcile.values.stock.parts import Bolt, Part
from reconcile.values.week.jobs import Steps
from reconcile.values.week.results import ServedLine

NO_GRIP = "No drawing: the frame file gives no grip for this joint."

PartOf = Callable[[str], Part]
"""A part by its number."""


@dataclass(frozen=True, slots=True)
class Opening:
    """One side that is opened: its label, its steps before and after, and the fitted options (folded)."""

    side: str
    now: int
    then: int
    options: frozenset[str] = frozenset()


def cuts_of(
    adjustment: Adjustment,
    steps: Steps,
    options: frozenset[str],
    lines: Iterable[ServedLine],
    part_of: PartOf,
) -> tuple[JointCut, ...]:
    """Every joint of every side that changes, in working order: side by side, as the frame file lists them.

    ``options`` are folded. ``lines`` are those of the job, with the parts that serve them.
    """
    served = list(lines)
    cuts = []
    for side, before, after in steps.changed:
        opening = Opening("" if side == "single" else side, before, after, options)
        for joint in adjustment.joints:
            own = [
                served_line
                for served_line in served
                if served_line.line.joint is joint and served_line.line.side == opening.side
            ]
            made = cut(joint, opening, own, part_of)
            cuts.append(replace(made, drive=drive_of(joint.thread, joint.head)))
    return tuple(cuts)


def cut(joint: Joint, opening: Opening, own: list[ServedLine], part_of: PartOf) -> JointCut:
    """One joint of one side; ``own`` are its lines."""
    now, then, options = opening.now, opening.then, opening.options
    if joint.grip is None:
        return JointCut(joint, opening.side, None, (), why_none=NO_GRIP)
    leaving = tuple(coming_out(joint, now - then, own))
    stays = now * joint.per_step - sum((piece.thickness for piece in leaving), Fraction(0))
    staying = (*layers_of_frame(joint, options), *kept(stays))
    old = Bolt(joint.thread, joint.length_at(now, options), joint.head)
    before = section(joint, (*staying, *leaving), old)
    clamped = (*staying, *entering(joint, then * joint.per_step - stays, own))
    asked = joint.length_at(then, options)
    fitted = bolts_in(own, part_of)
    if fitted:
        after = tuple(section(joint, clamped, bolt, number, asked) for number, bolt in fitted)
        return JointCut(joint, opening.side, before, after)
    put_back = Bolt(joint.thread, asked, joint.head)
    return JointCut(joint, opening.side, before, (section(joint, clamped, put_back),), own_bolt=True)


def section(
    joint: Joint,
    slices: tuple[Slice, ...],
    bolt: Bolt,
    part: str = "",
    asked: Fraction | None = None,
) -> Section:
    """One bolt through frame parts and spacers, the joint's washers put where they are drawn."""
    least, assumed = joint.least_past_grip
    return Section(
        washed(joint, slices),
        bolt.length,
        joint.thread,
        joint.head,
        threaded_length(bolt),
        least,
        joint.most_past_grip,
        assumed,
        part,
        asked,
        joint.engagement.depth if joint.engagement else None,
        joint.nut.height if joint.nut else None,
    )


def washed(joint: Joint, slices: tuple[Slice, ...]) -> tuple[Slice, ...]:
    """Frame files do not say where washers lie: the last is drawn at the far end, any other under the head.

    A head that is sunk has none under it.
    """
    washers = [
        Slice(WASHER, washer.thickness, washer.part) for washer in joint.washers for _ in range(washer.count)
    ]
    far = len(washers) if joint.head in SUNK_HEADS else min(1, len(washers))
    split = len(washers) - far
    return (*washers[:split], *slices, *washers[split:])


def layers_of_frame(joint: Joint, options: frozenset[str]) -> tuple[Slice, ...]:
    """The frame parts as one slice, then one for each fitted option that adds to the grip."""
    added = (Slice(OPTION, by, option) for option, by in joint.lengthen if option in options and by)
    frame = (Slice(FRAME_PARTS, joint.grip),) if joint.grip else ()
    return (*frame, *added)


def kept(thickness: Fraction) -> tuple[Slice, ...]:
    """The spacers that stay, as one slice."""
    return (Slice(KEPT, thickness),) if thickness else ()


def spacer_line(do: str, own: list[ServedLine]) -> ServedLine | None:
    return next((served for served in own if (served.line.do, served.line.what) == (do, "spacer")), None)


def coming_out(joint: Joint, steps: int, own: list[ServedLine]) -> Iterator[Slice]:
    """The spacers that come off one stack: by their parts where they are known, else step by step."""
    line = spacer_line("remove", own)
    if line is None or not line.line.pieces:
        yield from [Slice(COMES_OUT, joint.per_step)] * (max(steps, 0) if joint.per_step else 0)
        return
    thickness = {spacer.part: spacer.thickness for spacer in joint.spacers}
    for number, count in line.line.pieces:
        yield from [Slice(COMES_OUT, thickness[number], number)] * int(count / joint.stacks)


def entering(joint: Joint, height: Fraction, own: list[ServedLine]) -> Iterator[Slice]:
    """The spacers that go in, piece by piece where one choice alone serves the line; else as one slice."""
    if height <= 0:
        return
    line = spacer_line("fit", own)
    thickness = {spacer.part: spacer.thickness for spacer in joint.spacers}
    if line is None or len(line.served) != 1:
        yield Slice(GOES_IN, height)
        return
    ((choice, _),) = line.served
    for number, pieces in choice.parts:
        yield from [Slice(GOES_IN, thickness[number], number)] * int(pieces)


def bolts_in(own: list[ServedLine], part_of: PartOf) -> list[tuple[str, Bolt]]:
    """Each kind of bolt that goes in, by its part."""
    numbers = dict.fromkeys(
        number
        for served in own
        if (served.line.do, served.line.what) == ("fit", "bolt")
        for number, _ in served.parts
    )
    bolts = ((number, part_of(number).bolt) for number in numbers)
    return [(number, bolt) for number, bolt in bolts if bolt is not None]


@dataclass(frozen=True, slots=True)
class JointsSeen:
    """What is found of a job's joints: its cuts, its lines with cautions, sentences on unlike stacks."""

    cuts: tuple[JointCut, ...]
    lines: tuple[ServedLine, ...]
    unlike: tuple[str, ...]


class Cuts:
    """What is found of the joints of jobs; jobs of one kind that are served alike share it."""

    def __init__(self, planner: Planner) -> None:
        self._planner = planner
        self._made: dict[int, JointsSeen] = {}

    def of(self, planned: Planned, serving: Serving) -> JointsSeen:
        """No cuts for a job that changes nothing."""
        found = self._made.get(serving.number)
        if found is None:
            cuts = self._make(planned, serving.lines)
            unlike = stacks_told(serving.lines, planned.explosion.found)
            found = self._made[serving.number] = JointsSeen(cuts, cautioned(serving.lines, cuts), unlike)
        return found

    def _make(self, planned: Planned, lines: tuple[ServedLine, ...]) -> tuple[JointCut, ...]:
        kind, steps = kind_of(planned.job), planned.explosion.steps
        adjustment = find_adjustment(kind, self._planner.inputs.frames[kind.frame])
        if adjustment is None or steps is None:
            return ()
        return cuts_of(adjustment, steps, kind.options, lines, self._planner.part)
