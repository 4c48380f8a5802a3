"""What is to be said of bolts whose grade or finish is accepted, but not the first that the joint lists."""

from collections.abc import Iterable, Iterator

from reconcile.values.frames.frame import Joint, torque_for
from reconcile.values.problem import Problem, problem
from reconcile.values.week.jobs import Choice
from reconcile.values.week.results import JobResult, ServedLine


def grades_told(lines: Iterable[ServedLine]) -> tuple[str, ...]:
    """A sentence for each joint and grade that differs, its sides together, with the torque of the grade."""
    found: dict[str, None] = {}
    for served in lines:
        joint = served.line.joint
        if joint is not None and (served.line.do, served.line.what) == ("fit", "bolt"):
            found.update((told(joint, choice), None) for choice, _ in served.served if choice.differs)
    return tuple(found)


def told(joint: Joint, choice: Choice) -> str:
    """``upper front: SAE 5, zinc is fitted, not SAE 8, black oxide; torque 7 N*m``."""
    first = (listed[0] for listed in (joint.grades, joint.finishes) if listed)
    own = (name for name, listed in ((choice.grade, joint.grades), (choice.finish, joint.finishes)) if listed)
    torque = torque_for(joint, choice.grade)
    tightened = f"torque {torque}" if torque else "no torque is given for it: ask before you tighten"
    numbers = ", ".join(number for number, _ in choice.parts)
    return f"{joint.name}: {numbers} is {', '.join(own)}, not {', '.join(first)}; {tightened}."


def differing(results: Iterable[JobResult]) -> Iterator[Problem]:
    """The same as notices of the jobs, each at the frame that its row names."""
    for result in results:
        place = result.job.place.cell("frame")
        for says in grades_told(result.lines):
            yield problem("grade-differs", place, says, found=result.job.frame)
