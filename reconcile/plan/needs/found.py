"""What is taken to be at a chair's joints before the work, and what is checked after it."""

from collections.abc import Iterator
from fractions import Fraction

from reconcile.plan.chairs.stacks import Counts
from reconcile.plan.needs.choices import Racks
from reconcile.plan.needs.lines import Kind, Opened, label_of
from reconcile.values.frames.frame import Adjustment, Joint
from reconcile.values.ledger.jobs import CheckAsked, JointFound, Pieces
from reconcile.values.week.jobs import Steps


def joints_found(kind: Kind, adjustment: Adjustment, steps: Steps, racks: Racks) -> Iterator[JointFound]:
    """Each joint of each side of which the stack or the bolt is known: by row, record or rule."""
    for side, before, after in steps.sides:
        opened = Opened(
            label_of(side), before, after, adjustment.step, kind.options, racks, kind.spacers_now, kind.known
        )
        for joint in adjustment.joints:
            found = joint_found(joint, opened)
            if found.stack is not None or found.bolt:
                yield found


def joint_found(joint: Joint, opened: Opened) -> JointFound:
    built_up = joint.per_step and joint.stacks
    stack = opened.stack(joint) if built_up else None
    known = opened.on_record(joint)
    bolt, length = known.bolt if known is not None and known.bolt is not None else ("", None)
    pieces = None if stack is None else pieces_of_stack(joint, stack)
    return JointFound(
        joint.name, opened.side, joint.key, joint.stacks or 1, joint.bolts, pieces, bolt, length
    )


def pieces_of_stack(joint: Joint, stack: Counts) -> Pieces:
    return {spacer.part: Fraction(count) for spacer, count in zip(joint.spacers, stack, strict=True) if count}


def checks_after(kind: Kind, adjustment: Adjustment, steps: Steps) -> Iterator[CheckAsked]:
    """Every check of the frame file whose option is fitted; none where nothing is changed."""
    for after in adjustment.after if steps.changed else ():
        if not after.when or after.when in kind.options:
            yield CheckAsked(after.check, after.reading)
