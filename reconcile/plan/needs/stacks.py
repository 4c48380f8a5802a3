"""What a stack of spacers consists of, and what of it stays, comes off and is fitted. Lengths in mm."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from reconcile.plan.needs.choices import Racks
from reconcile.values.frames.frame import Joint
from reconcile.values.frames.stacks import KnownJoint, SaidPieces
from reconcile.values.week.jobs import Choice
from reconcile.values.words import fold

Counts = tuple[int, ...]
"""Pieces of each of the joint's spacers, in the order in which the frame file lists them."""


@dataclass(frozen=True, slots=True)
class StackChange:
    """What is done at each stack of a joint on one side of a chair."""

    off: Counts | None
    """What comes off; None where nobody can name the pieces."""
    thickness: Fraction
    """What is fitted, 0 for nothing."""
    choices: tuple[Choice, ...] = ()
    """The stacks that may be fitted; none, with a thickness, where no spacers add up to it."""


# --- what a stack is known to be ------------------------------------------------------------------


def stack_of_pieces(joint: Joint, said: Iterable[SaidPieces]) -> Counts | None:
    """The stack that a row names, in this joint's spacers; None where it does not list every piece.

    A thickness is a spacer of the joint only where one alone is as thick.
    """
    counts = [0] * len(joint.spacers)
    for pieces in said:
        found = spacers_said(joint, pieces)
        if len(found) != 1:
            return None
        counts[found[0]] += pieces.count
    return tuple(counts)


def spacers_said(joint: Joint, pieces: SaidPieces) -> list[int]:
    """Which of the joint's spacers may be meant."""
    if pieces.part:
        return [n for n, spacer in enumerate(joint.spacers) if fold(spacer.part) == fold(pieces.part)]
    return [n for n, spacer in enumerate(joint.spacers) if spacer.thickness == pieces.thickness]


def stack_of_single(joint: Joint, steps: int, step: Fraction) -> Counts | None:
    """So many pieces of one step; None where the joint lists no spacer, or several, of one step."""
    return stack_of_pieces(joint, (SaidPieces(steps, thickness=step),))


def stack_by_rule(joint: Joint, steps: int, step: Fraction) -> Counts | None:
    """What needs no telling: an empty stack, and that of a joint with one spacer alone."""
    if steps == 0:
        return (0,) * len(joint.spacers)
    if len(joint.spacers) != 1:
        return None
    pieces = steps * step / joint.spacers[0].thickness
    return (pieces.numerator,) if pieces.denominator == 1 else None


def stack_on_record(joint: Joint, steps: int, known: KnownJoint | None) -> Counts | None:
    """The recorded pieces, where the record is of a chair with as many steps on that side."""
    if known is None or known.pieces is None or known.steps != steps:
        return None
    return stack_of_pieces(joint, (SaidPieces(count, part) for part, count in known.pieces))


def height(joint: Joint, counts: Sequence[int]) -> Fraction:
    """How thick the pieces are together."""
    return sum(
        (count * spacer.thickness for count, spacer in zip(counts, joint.spacers, strict=True)), Fraction(0)
    )


# --- what is done to it ---------------------------------------------------------------------------


def change_stack(
    joint: Joint, stack: Counts | None, now: Fraction, then: Fraction, racks: Racks
) -> StackChange:
    """From a stack ``now`` thick to one ``then`` thick; as many steps stay as can.

    With ``most_pieces``, pieces that stay, where they are known, and those fitted are no more than that;
    where no choice keeps to it the whole stack comes off and is built anew.
    """
    if stack is None:
        fitted = max(then - now, Fraction(0))
        return StackChange(None, fitted, choices_within(joint, fitted, joint.most_pieces, racks))
    off = comes_off(joint, stack, then)
    staying = [count - gone for count, gone in zip(stack, off, strict=True)]
    lack = then - height(joint, staying)
    room = None if joint.most_pieces is None else joint.most_pieces - sum(staying)
    choices = choices_within(joint, lack, room, racks)
    if (lack and not choices) or (room is not None and room < 0):
        return StackChange(stack, then, choices_within(joint, then, joint.most_pieces, racks))
    return StackChange(off, lack, choices)


def comes_off(joint: Joint, stack: Counts, keep: Fraction) -> Counts:
    """What comes off so that as much as can stays, at most ``keep``.

    Among equals the fewest pieces, then more of the spacer listed first.
    """

    def left_over(off: Counts) -> Fraction:
        return height(joint, stack) - height(joint, off)

    ways = product(*(range(count + 1) for count in stack))
    possible = (off for off in ways if left_over(off) <= keep)
    return min(possible, key=lambda off: (-left_over(off), sum(off), *(-count for count in off)))


def choices_within(joint: Joint, thickness: Fraction, room: int | None, racks: Racks) -> tuple[Choice, ...]:
    """The stacks of that thickness of at most ``room`` pieces, best first; none for no thickness."""
    if not thickness:
        return ()
    found = racks.spacer_choices(joint, thickness)
    return found if room is None else tuple(choice for choice in found if pieces_of(choice) <= room)


def pieces_of(choice: Choice) -> Fraction:
    return sum((count for _, count in choice.parts), Fraction(0))


def parts_of(joint: Joint, counts: Counts, stacks: int) -> Iterator[tuple[str, Fraction]]:
    """The pieces of so many equal stacks, by part."""
    for spacer, count in zip(joint.spacers, counts, strict=True):
        if count:
            yield spacer.part, Fraction(count * stacks)
