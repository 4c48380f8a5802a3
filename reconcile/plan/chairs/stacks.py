"""What a stack of spacers is known to consist of: by a row, a record, or where nothing else can be. In mm."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from reconcile.values.frames.frame import Joint
from reconcile.values.frames.stacks import KnownJoint, SaidPieces
from reconcile.values.words import fold

Counts = tuple[int, ...]
"""Pieces of each of the joint's spacers, in the order in which the frame file lists them."""


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
