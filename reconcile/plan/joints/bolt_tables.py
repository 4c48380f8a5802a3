"""The table of bolt lengths of every joint by step, and the cuts that show it, from a frame alone."""

from collections.abc import Iterator
from fractions import Fraction

from reconcile.plan.joints.sections import NO_GRIP, kept, layers_of_frame, section
from reconcile.plan.needs.choices import fewest_then_first, length_to_buy, shank_bottoms, stacks
from reconcile.standards import preferred_lengths
from reconcile.values.frames.bolt_tables import AdjustmentTables, BoltRow, BoltTable
from reconcile.values.frames.frame import Adjustment, Frame, Joint
from reconcile.values.frames.sections import GOES_IN, JointCut, Slice
from reconcile.values.stock.parts import Bolt

MOST_ROWS = 60
"""Rows of a table; a step mistyped in a sound file can make thousands."""


def tables_of(frame: Frame, options: frozenset[str] | None = None) -> tuple[AdjustmentTables, ...]:
    """The tables of a frame. ``options`` (folded) are those fitted.

    With None, each joint has a table without options and one for each single option that lengthens it.
    """
    return tuple(
        AdjustmentTables(adjustment, tuple(_tables(adjustment, options))) for adjustment in frame.adjustments
    )


def _tables(adjustment: Adjustment, options: frozenset[str] | None) -> Iterator[BoltTable]:
    for joint in adjustment.joints:
        for fitted in fitted_sets(joint, options):
            yield bolt_table(joint, adjustment, fitted)


def fitted_sets(joint: Joint, options: frozenset[str] | None) -> list[frozenset[str]]:
    """The sets of lengthening options for which a joint is shown."""
    known = [option for option, by in joint.lengthen if by]
    if options is not None:
        return [options & frozenset(known)]
    return [frozenset(), *(frozenset({option}) for option in known)]


def bolt_table(joint: Joint, adjustment: Adjustment, options: frozenset[str]) -> BoltTable:
    """A row for each number of steps that a side can have, the first ``MOST_ROWS`` of them."""
    count = adjustment.most_steps_a_side + 1
    rows = tuple(bolt_row(joint, adjustment, steps, options) for steps in range(min(count, MOST_ROWS)))
    lengthening = tuple(option for option, _ in joint.lengthen if option in options)
    return BoltTable(joint, lengthening, rows, max(count - MOST_ROWS, 0))


def bolt_row(joint: Joint, adjustment: Adjustment, steps: int, options: frozenset[str]) -> BoltRow:
    size = adjustment.minimum + steps * adjustment.sides * adjustment.step
    length, window = joint.length_at(steps, options), joint.window_at(steps, options)
    grip, preferred = joint.grip_at(steps, options), preferred_lengths(joint.thread, joint.head)
    return BoltRow(
        steps,
        size if size <= adjustment.maximum else None,
        length,
        grip,
        window,
        stack_of(joint, steps),
        None if preferred is None else length in preferred,
        length_to_buy(joint, length, window),
        shank_bottoms(Bolt(joint.thread, length, joint.head), grip, joint.shank_spare),
    )


def stack_of(joint: Joint, steps: int) -> tuple[tuple[str, int], ...] | None:
    """The spacers of one stack as a job would take them first: fewest pieces, then the first listed."""
    thickness = steps * joint.per_step
    if not thickness or not joint.stacks or not joint.spacers:
        return ()
    sets = stacks([spacer.thickness for spacer in joint.spacers], thickness)
    best = min(sets, key=fewest_then_first, default=None)
    if best is None:
        return None
    return tuple((kind.part, count) for kind, count in zip(joint.spacers, best, strict=True) if count)


def step_cuts(joint: Joint, adjustment: Adjustment, options: frozenset[str]) -> tuple[JointCut, ...]:
    """A cut for each step from one number to the next; one alone for a joint that is not built up.

    None of them knows stock: every bolt has the length asked for.
    """
    if joint.grip is None:
        return (JointCut(joint, "", None, (), why_none=NO_GRIP),)
    most = min(adjustment.most_steps_a_side, MOST_ROWS) if joint.per_step else 0
    if not most:
        return (cut_between(joint, 0, 0, options),)
    return tuple(cut_between(joint, steps, steps + 1, options) for steps in range(most))


def cut_between(joint: Joint, now: int, then: int, options: frozenset[str]) -> JointCut:
    """A joint before and after it is built up by spacers."""
    base = (*layers_of_frame(joint, options), *kept(now * joint.per_step))
    grade = joint.grades[0] if joint.grades else ""
    before = section(joint, base, Bolt(joint.thread, joint.length_at(now, options), joint.head, grade))
    entering = [Slice(GOES_IN, joint.per_step * (then - now))] if then > now else []
    asked: Fraction = joint.length_at(then, options)
    bolt = Bolt(joint.thread, asked, joint.head, grade)
    after = section(joint, (*base, *entering), bolt, bolt.designation, asked)
    return JointCut(joint, "", before, (after,), own_bolt=then == now and joint.reuse)
