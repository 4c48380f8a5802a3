"""What is to be said of a job whose stacks of one joint are as thick, but not of the same pieces."""

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from reconcile.values.frames.frame import Joint
from reconcile.values.ledger.jobs import JointFound
from reconcile.values.measure import length_text, quantity_text
from reconcile.values.problem import Problem, problem
from reconcile.values.week.results import JobResult, ServedLine

Pieces = tuple[tuple[str, Fraction], ...]
"""The parts of one stack with how many of each, by part."""


def stacks_told(lines: Iterable[ServedLine], found: Iterable[JointFound]) -> tuple[str, ...]:
    """A sentence for joints that have unlike stacks of one thickness, on their sides or between chairs.

    Stacks of which nobody knows what they consist of are compared by what goes in alone.
    """
    there = {(known.name, known.side): known.stack for known in found if known.stack is not None}
    alike: dict[tuple[str, bool, Fraction], dict[Pieces, list[str]]] = {}
    joints: dict[str, Joint] = {}
    for (name, side), own in by_stack(lines).items():
        joint = joints.setdefault(name, own[0])
        known = there.get((name, side))
        for pieces in stacks_after(own[1], joint, known):
            key = (name, known is not None, thickness_of(pieces, joint))
            alike.setdefault(key, {}).setdefault(pieces, []).append(side)
    names: dict[str, list[str]] = {}
    for (name, _, thick), stacks in alike.items():
        if len(stacks) > 1:
            names.setdefault(told(joints[name], thick, stacks), []).append(name)
    return tuple(f"{', '.join(own)}: {says}" for says, own in names.items())


def by_stack(lines: Iterable[ServedLine]) -> dict[tuple[str, str], tuple[Joint, list[ServedLine]]]:
    """The lines of spacers by the name of their joint and their side."""
    own: dict[tuple[str, str], tuple[Joint, list[ServedLine]]] = {}
    for served in lines:
        joint = served.line.joint
        if joint is not None and served.line.what == "spacer":
            own.setdefault((joint.name, served.line.side), (joint, []))[1].append(served)
    return own


def stacks_after(
    own: Iterable[ServedLine], joint: Joint, known: Mapping[str, Fraction] | None
) -> Iterator[Pieces]:
    """Every kind of stack that there is after the work on one side; nothing where that cannot be told."""
    lines = list(own)
    left = dict(known or {})
    for served in lines:
        for part, count in served.line.pieces if served.line.do != "fit" else ():
            left[part] = left.get(part, Fraction(0)) - count / (joint.stacks or 1)
    fitted = [choice for served in lines if served.line.do == "fit" for choice, _ in served.served]
    if fitted:
        yield from (together(left if known else {}, dict(choice.parts)) for choice in fitted)
    elif known is not None:
        yield together(left, {})


def together(there: Mapping[str, Fraction], change: Mapping[str, Fraction]) -> Pieces:
    parts = {part: there.get(part, Fraction(0)) + change.get(part, Fraction(0)) for part in {*there, *change}}
    return tuple(sorted((part, count) for part, count in parts.items() if count))


def thickness_of(pieces: Pieces, joint: Joint) -> Fraction:
    thickness = {spacer.part: spacer.thickness for spacer in joint.spacers}
    return sum((count * thickness.get(part, Fraction(0)) for part, count in pieces), Fraction(0))


def told(joint: Joint, thick: Fraction, stacks: Mapping[Pieces, list[str]]) -> str:
    """``stacks of 1 in are not alike: left SP-100, right 2 x SP-050; check ...``"""
    kinds = ", ".join(
        " ".join(filter(None, (" and ".join(filter(None, dict.fromkeys(sides))), pieces_text(pieces))))
        for pieces, sides in stacks.items()
    )
    length = length_text(thick, joint.thread.unit)
    return f"stacks of {length} are not alike: {kinds}; check that they are as thick."


def pieces_text(pieces: Pieces) -> str:
    return " + ".join(part if count == 1 else f"{quantity_text(count)} x {part}" for part, count in pieces)


def unlike_stacks(results: Iterable[JobResult]) -> Iterator[Problem]:
    """The same as notices of the jobs, each at the frame that its row names."""
    for result in results:
        place = result.job.place.cell("frame")
        for says in result.unlike:
            yield problem("stacks-differ", place, says, found=result.job.frame)
