"""From a job to its steps on each side, and from those to the lines that it needs."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from reconcile.plan.needs.choices import Racks, recovered_bolt, recovered_spacer
from reconcile.values.frames.frame import Adjustment, Cover, Frame, Joint, Sized
from reconcile.values.measure import length_text
from reconcile.values.week.jobs import Choice, Job, Line, Steps
from reconcile.values.words import fold, nearest

ONE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Finding:
    """A problem of a kind of job, without a place: each job of the kind names its own cell."""

    code: str
    heading: str
    says: str


@dataclass(frozen=True, slots=True)
class Kind:
    """All that decides what one chair of a job needs; jobs of one kind are exploded once."""

    frame: str
    adjustment: str
    size_from: Fraction
    size_to: Fraction
    side: str
    left_now: int | None
    right_now: int | None
    options: frozenset[str]


@dataclass(frozen=True, slots=True)
class Explosion:
    """What one chair of a kind needs; ``steps`` is None where an error sets its jobs aside."""

    steps: Steps | None
    lines: tuple[Line, ...] = ()
    findings: tuple[Finding, ...] = ()
    kind: int = 0
    """The number of its kind among those of the period, given when it is made."""


def kind_of(job: Job) -> Kind:
    return Kind(
        fold(job.frame), fold(job.adjustment), job.size_from, job.size_to,
        job.side, job.left_now, job.right_now, frozenset(map(fold, job.options)),
    )  # fmt: skip


def explode(kind: Kind, frame: Frame, racks: Racks) -> Explosion:
    """Steps, then lines for one chair, with everything that is to be said about them."""
    adjustment = find_adjustment(kind, frame)
    if adjustment is None:
        return Explosion(None, findings=(unknown_adjustment(kind, frame),))
    steps, findings = settle_steps(kind, adjustment, frame.unit)
    findings += option_findings(kind, frame)
    if steps is None or any(finding.code == "option-misspelt" for finding in findings):
        return Explosion(None, findings=findings)
    lines = tuple(lines_of(kind, adjustment, steps, racks))
    findings += line_findings(adjustment, steps, lines)
    if any(finding.code == "spacers-do-not-fit" for finding in findings):
        return Explosion(None, findings=findings)
    return Explosion(steps, lines, findings)


def find_adjustment(kind: Kind, frame: Frame) -> Adjustment | None:
    if not kind.adjustment:
        return frame.adjustments[0]
    return next(
        (adjustment for adjustment in frame.adjustments if fold(adjustment.name) == kind.adjustment), None
    )


def unknown_adjustment(kind: Kind, frame: Frame) -> Finding:
    names = [adjustment.name for adjustment in frame.adjustments]
    like = ", ".join(nearest(kind.adjustment, names, likeness=0)) or "none"
    return Finding(
        "adjustment-unknown", "adjustment",
        f"Frame {frame.code} has no adjustment {kind.adjustment!r}; it has: {like}.",
    )  # fmt: skip


def option_findings(kind: Kind, frame: Frame) -> tuple[Finding, ...]:
    """An option that the frame does not know is an error if it looks like a known one misspelt."""
    findings = []
    for option in sorted(kind.options - frame.options):
        close = nearest(option, frame.options, 1, likeness=0.75)
        like = nearest(option, frame.options, likeness=0 if close else 0.5)
        says = f"Frame {frame.code} knows no option {option!r}."
        if like:
            says += f" Nearest: {', '.join(like)}."
        findings.append(Finding("option-misspelt" if close else "option-unused", "options", says))
    return tuple(findings)


# --- steps and sides ------------------------------------------------------------------------------


def settle_steps(kind: Kind, adjustment: Adjustment, unit: str) -> tuple[Steps | None, tuple[Finding, ...]]:
    """Steps now and wanted on each side, or None with the errors that forbid them."""
    before, faults = total_steps(kind.size_from, "from", adjustment, unit)
    after, more = total_steps(kind.size_to, "to", adjustment, unit)
    if before is None or after is None:
        return None, faults + more
    if adjustment.sides == 1:
        return single_stack(kind, before, after, unit)
    now, findings = sides_now(kind, before)
    if now is None:
        return None, findings
    if before == after:
        return paired(now, now), (*findings, no_change(kind, unit))
    wanted: tuple[int, int] | None
    if kind.side == "both":
        wanted, remarks = share_evenly(now, after)
    else:
        wanted, remarks = move_one_side(kind.side, now, after - before)
    return (None if wanted is None else paired(now, wanted)), findings + remarks


def total_steps(
    size: Fraction, heading: str, adjustment: Adjustment, unit: str
) -> tuple[int | None, tuple[Finding, ...]]:
    """(size − minimum) / step, which must be whole and within the frame's range."""
    low, high = adjustment.minimum, adjustment.maximum
    if not low <= size <= high:
        says = (
            f"{length_text(size, unit)} lies outside {length_text(low, unit)}"
            f" to {length_text(high, unit)} of {adjustment.name}."
        )
        return None, (Finding("size-outside", heading, says),)
    steps = (size - low) / adjustment.step
    if steps.denominator != 1:
        says = (
            f"{length_text(size, unit)} is not a whole number of steps of"
            f" {length_text(adjustment.step, unit)} from {length_text(low, unit)}."
        )
        return None, (Finding("size-between-steps", heading, says),)
    return steps.numerator, ()


def single_stack(kind: Kind, before: int, after: int, unit: str) -> tuple[Steps | None, tuple[Finding, ...]]:
    given = [
        heading
        for heading, value in (
            ("side", None if kind.side == "both" else kind.side),
            ("left now", kind.left_now),
            ("right now", kind.right_now),
        )
        if value is not None
    ]
    if given:
        says = f"This adjustment has a single stack, and {' and '.join(given)} is filled in."
        return None, (Finding("side-on-single", given[0], says),)
    remark = () if before != after else (no_change(kind, unit),)
    return Steps((("single", before, after),)), remark


def no_change(kind: Kind, unit: str) -> Finding:
    return Finding("no-change", "to", f"The size wanted, {length_text(kind.size_to, unit)}, is the size now.")


def sides_now(kind: Kind, total: int) -> tuple[tuple[int, int] | None, tuple[Finding, ...]]:
    """Steps now, left and right: as counted on the chair, else split with the odd one right."""
    left, right = kind.left_now, kind.right_now
    if left is None and right is None:
        now = (total // 2, total - total // 2)
        says = f"assumed split: check the chair ({total} steps now: {now[0]} left, {now[1]} right)"
        return now, ((Finding("split-assumed", "from", says),) if total % 2 else ())
    if left is None or right is None:
        given = "left now" if right is None else "right now"
        return None, (Finding("sides-half-given", given, f"Only {given} is filled in."),)
    if left + right != total:
        says = f"{left} left and {right} right make {left + right}, but the size now has {total} steps."
        return None, (Finding("sides-do-not-add-up", "left now", says),)
    says = f"The sides now differ by {abs(left - right)} steps."
    far = (Finding("sides-far-apart", "left now", says),) if abs(left - right) > 1 else ()
    return (left, right), far


def share_evenly(now: tuple[int, int], total: int) -> tuple[tuple[int, int], tuple[Finding, ...]]:
    """Both sides alike; an odd total goes where it changes fewer sides, then moves fewer steps."""
    half = total // 2
    if total % 2 == 0:
        return (half, half), ()

    def disturbance(split: tuple[int, int]) -> tuple[int, int, int]:
        moves = [abs(wanted - was) for wanted, was in zip(split, now, strict=True)]
        return (sum(move > 0 for move in moves), sum(moves), split[0])

    wanted = min([(half, half + 1), (half + 1, half)], key=disturbance)
    return wanted, (one_apart(wanted),)


def one_apart(sides: tuple[int, int]) -> Finding:
    return Finding(
        "sides-differ", "to", f"The sides will differ by one step: {sides[0]} left, {sides[1]} right."
    )


def move_one_side(
    side: str, now: tuple[int, int], change: int
) -> tuple[tuple[int, int] | None, tuple[Finding, ...]]:
    left, right = now
    wanted = (left + change, right) if side == "left" else (left, right + change)
    if min(wanted) < 0 or abs(wanted[0] - wanted[1]) > 1:
        says = f"All on the {side} side would give {wanted[0]} left and {wanted[1]} right."
        return None, (Finding("sides-uneven", "side", says),)
    return wanted, ((one_apart(wanted),) if wanted[0] != wanted[1] else ())


def paired(now: tuple[int, int], wanted: tuple[int, int]) -> Steps:
    return Steps((("left", now[0], wanted[0]), ("right", now[1], wanted[1])))


# --- lines ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Opened:
    """One side of a chair that is opened: its label, its steps before and after, and what is fitted."""

    side: str
    before: int
    after: int
    step: Fraction
    options: frozenset[str]
    racks: Racks


def lines_of(kind: Kind, adjustment: Adjustment, steps: Steps, racks: Racks) -> Iterator[Line]:
    """The lines of one chair: side by side and joint by joint, then covers, then the whole chair's."""
    if not steps.changed:
        return
    for side, before, after in steps.changed:
        label = "" if side == "single" else side
        opened = Opened(label, before, after, adjustment.step, kind.options, racks)
        for joint in adjustment.joints:
            yield from bolt_lines(joint, opened)
            yield from spacer_lines(joint, opened)
            yield from extra_lines(joint, opened)
        for cover in adjustment.covers:
            parts = (cover.part_for(before, label), cover.part_for(after, label))
            yield from swap("cover", cover, label, parts, racks)
    for sized in adjustment.sized:
        if not sized.when or sized.when in kind.options:
            yield from swap(
                "sized", sized, "", (sized.part_for(kind.size_from), sized.part_for(kind.size_to)), racks
            )
    for disturbed_part in adjustment.disturbed:
        if not disturbed_part.when or disturbed_part.when in kind.options:
            amount = disturbed_part.quantity
            yield Line(
                "fit",
                "disturbed",
                disturbed_part.part,
                "",
                amount.value,
                amount.unit,
                None,
                only(disturbed_part.part),
            )


def only(part: str) -> tuple[Choice, ...]:
    return (Choice(((part, ONE),)),)


def bolt_lines(joint: Joint, opened: Opened) -> Iterator[Line]:
    """Bolts out and in; a joint that is not built up keeps its bolts unless they are single-use."""
    if joint.per_step == 0 and joint.reuse:
        return
    side, count, racks = opened.side, Fraction(joint.bolts), opened.racks
    old = joint.length_at(opened.before, opened.options)
    back = recovered_bolt(joint, old, racks) if joint.reuse else ()
    yield Line(
        "remove", "bolt", joint.name, side, count, "each", old, back, joint, opened.before, joint.reuse
    )
    new = joint.length_at(opened.after, opened.options)
    serving = racks.bolt_choices(joint, opened.after, opened.options)
    yield Line("fit", "bolt", joint.name, side, count, "each", new, serving, joint, opened.after)


def spacer_lines(joint: Joint, opened: Opened) -> Iterator[Line]:
    """Stacks to fit, or pieces of one step to remove."""
    if joint.per_step == 0 or not joint.stacks:
        return
    side, steps = opened.side, opened.after - opened.before
    if steps > 0 and joint.spacers:
        thickness, stacks = steps * opened.step, Fraction(joint.stacks)
        choices = opened.racks.spacer_choices(joint, thickness)
        yield Line("fit", "spacer", joint.name, side, stacks, "each", thickness, choices, joint, opened.after)
    elif steps < 0:
        pieces, reuse = Fraction(-steps * joint.stacks), joint.spacer_reuse
        back = recovered_spacer(joint, opened.step, opened.racks) if reuse else ()
        yield Line(
            "remove",
            "spacer",
            joint.name,
            side,
            pieces,
            "each",
            opened.step,
            back,
            joint,
            opened.before,
            reuse,
        )


def extra_lines(joint: Joint, opened: Opened) -> Iterator[Line]:
    """Used up for each bolt that goes in, new or put back."""
    for extra in joint.used_with_bolt:
        quantity, unit = joint.bolts * extra.quantity.value, extra.quantity.unit
        choices = only(extra.part)
        yield Line(
            "fit", "extra", joint.name, opened.side, quantity, unit, None, choices, joint, opened.after
        )


def swap(
    what: str, swapped: Cover | Sized, side: str, parts: tuple[str | None, str | None], racks: Racks
) -> Iterator[Line]:
    """The part before off and the part after on, where they differ."""
    old, new = parts
    if old == new:
        return
    if old is not None:
        back = only(old) if swapped.reuse and racks.lists(old) else ()
        yield Line("remove", what, swapped.name, side, ONE, "each", None, back, reuse=swapped.reuse)
    if new is not None:
        yield Line("fit", what, swapped.name, side, ONE, "each", None, only(new))


# --- what is to be said about the lines -----------------------------------------------------------


def line_findings(adjustment: Adjustment, steps: Steps, lines: tuple[Line, ...]) -> tuple[Finding, ...]:
    findings = [
        *(spacers_unfit(line) for line in lines if line.what == "spacer" and is_unserved(line)),
        *(spacers_lost(line) for line in lines if loses_spacers(line)),
        *(
            Finding(
                "cover-unknown", "from", f"No {cover.name} is listed for {before} steps on the {side} side."
            )
            for side, before, _ in steps.changed
            for cover in adjustment.covers
            if cover.part_for(before, side) is None
        ),
        *(
            Finding("frame-no-spacers", "frame", f"{joint.name} lists no spacers; none are planned for it.")
            for joint in adjustment.joints
            if steps.changed and joint.per_step and joint.stacks and not joint.spacers
        ),
    ]
    return tuple(dict.fromkeys(findings))


def is_unserved(line: Line) -> bool:
    return line.do == "fit" and not line.choices


def loses_spacers(line: Line) -> bool:
    """Pieces of one step come off, but the joint lists no spacer of one step for them to become."""
    return (
        line.do == "remove" and line.what == "spacer"
        and line.joint is not None
        and all(spacer.thickness != line.length for spacer in line.joint.spacers)
    )  # fmt: skip


def spacers_unfit(line: Line) -> Finding:
    thickness = length_text(line.length or Fraction(0), "mm")
    return Finding("spacers-do-not-fit", "to", f"No spacers of {line.name} add up to {thickness}.")


def spacers_lost(line: Line) -> Finding:
    says = f"No spacer of {line.name} is one step thick, so what comes off is not counted."
    return Finding("spacers-not-recovered", "from", says)
