"""What is to be cautioned of the bolts of a job: how they sit in their joints, and that no torque is known.

This is the one place where it is found out; every output that names a bolt says it from the lines.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from reconcile.values.frames.frame import torque_for
from reconcile.values.frames.sections import NO_TORQUE, JointCut
from reconcile.values.week.results import ServedLine


def cautioned(lines: Iterable[ServedLine], cuts: Iterable[JointCut]) -> tuple[ServedLine, ...]:
    """The lines of a job, those of bolts with what their joints caution; ``cuts``: of the same job."""
    by_joint = {(id(cut.joint), cut.side): cut for cut in cuts}
    return tuple(
        replace(served, at_joint=told) if (told := tuple(joint_cautions(served, by_joint))) else served
        for served in lines
    )


def joint_cautions(served: ServedLine, cuts: dict[tuple[int, str], JointCut]) -> Iterator[str]:
    """Of a line of bolts; nothing of any other."""
    line = served.line
    if line.what != "bolt" or line.joint is None:
        return
    cut = cuts.get((id(line.joint), line.side))
    if line.do != "fit":
        if cut is not None and cut.before is not None and cut.before.doubt:
            yield f"As it is now: {cut.before.doubt}"
        return
    numbers = {number for number, _ in served.parts}
    sections = [section for section in (cut.after if cut else ()) if section.part in numbers]
    yield from dict.fromkeys(section.doubt for section in sections if section.doubt)
    grades = {choice.grade for choice, _ in served.served} or {*line.joint.grades[:1]} or {""}
    if not all(torque_for(line.joint, grade) for grade in grades):
        yield NO_TORQUE
