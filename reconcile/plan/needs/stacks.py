"""What a stack of spacers consists of, and what of it stays, comes off and is fitted. Lengths in mm."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import product

from reconcile.plan.chairs.stacks import Counts, height
from reconcile.plan.needs.choices import Racks
from reconcile.values.frames.frame import Joint
from reconcile.values.records import dataclass
from reconcile.values.week.jobs import Choice


@dataclass(frozen=True, slots=True)
class StackChange:
    """What is done at each stack of a joint on one side of a chair."""

    off: Counts | None
    """What comes off; None where nobody can name the pieces."""
    thickness: Fraction
    """What is fitted, 0 for nothing."""
    choices: tuple[Choice, ...] = ()
    """The stacks that may be fitted; none, with a thickness, where no spacers add up to it."""


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
    whole = height(joint, stack)
    ways = product(*(range(count + 1) for count in stack))
    possible = ((whole - height(joint, off), off) for off in ways)
    _, off = min(
        ((left, off) for left, off in possible if left <= keep),
        key=lambda way: (-way[0], sum(way[1]), *(-count for count in way[1])),
    )
    return off


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
