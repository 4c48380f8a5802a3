"""From a job to its steps on each side, and from those to the lines that it needs."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from reconcile.plan.chairs.stacks import (
    Counts,
    height,
    spacers_said,
    stack_by_rule,
    stack_of_pieces,
    stack_of_single,
    stack_on_record,
)
from reconcile.plan.needs.choices import Racks, recovered_bolts
from reconcile.plan.needs.stacks import StackChange, change_stack, parts_of
from reconcile.values.frames.frame import Adjustment, Cover, Frame, Joint, Sized
from reconcile.values.frames.stacks import KnownJoint, SpacersNow
from reconcile.values.ledger.jobs import CheckAsked, JointFound
from reconcile.values.measure import length_text, quantity_text
from reconcile.values.problem import Finding
from reconcile.values.week.jobs import Choice, Job, Line, Steps
from reconcile.values.words import fold, nearest

ONE = Fraction(1)
SPACERS_NOW = "spacers now"


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
    spacers_now: SpacersNow | None = None
    known: tuple[KnownJoint, ...] = ()


@dataclass(frozen=True, slots=True)
class Explosion:
    """What one chair of a kind needs; ``steps`` is None where an error sets its jobs aside."""

    steps: Steps | None
    lines: tuple[Line, ...] = ()
    findings: tuple[Finding, ...] = ()
    whole_job: bool = False
    """The lines are those of all chairs together: what is left of a job that is part done."""
    kind: int = 0
    """The number of its kind among those of the period, given when it is made."""
    found: tuple[JointFound, ...] = ()
    """What is taken to be at the joints before the work."""
    after: tuple[CheckAsked, ...] = ()
    """What is checked before the chair goes back."""

    @property
    def look_first(self) -> bool:
        """Spacers must come off of which nobody can tell the pieces: a stack may have to be built anew."""
        return any(line.look_first and line.what == "spacer" for line in self.lines)


def kind_of(job: Job) -> Kind:
    return Kind(
        fold(job.frame), fold(job.adjustment), job.size_from, job.size_to,
        job.side, job.left_now, job.right_now, frozenset(map(fold, job.options)),
        job.spacers_now, job.known,
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
    findings += said_findings(kind, adjustment, steps, frame.unit)
    if any(finding.heading == SPACERS_NOW for finding in findings):
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
            f" to {length_text(high, unit)} of {adjustment.name};"
            f" nearest: {length_text(low if size < low else high, unit)}."
        )
        return None, (Finding("size-outside", heading, says),)
    steps = (size - low) / adjustment.step
    if steps.denominator != 1:
        below = low + (steps.numerator // steps.denominator) * adjustment.step
        around = [near for near in (below, below + adjustment.step) if near <= high]
        says = (
            f"{length_text(size, unit)} is not a whole number of steps of"
            f" {length_text(adjustment.step, unit)} from {length_text(low, unit)};"
            f" nearest: {' and '.join(length_text(near, unit) for near in around)}."
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


# --- what a row says of its stacks ----------------------------------------------------------------


def said_findings(kind: Kind, adjustment: Adjustment, steps: Steps, unit: str) -> tuple[Finding, ...]:
    """Pieces that no joint lists, and stacks that are not as thick as the steps now. All are errors."""
    said = kind.spacers_now
    if said is None or said.single:
        return ()
    built_up = [joint for joint in adjustment.joints if joint.per_step and joint.stacks]
    findings = [*strange_sides(said, adjustment), *strange_pieces(said, built_up, unit)]
    for side, before, _ in steps.sides:
        pieces = said.of(label_of(side))
        for joint in built_up if pieces is not None else ():
            stack = stack_of_pieces(joint, pieces or ())
            if stack is not None and height(joint, stack) != before * adjustment.step:
                there, wanted = (
                    length_text(mm, unit) for mm in (height(joint, stack), before * adjustment.step)
                )
                says = f"The stack of {joint.name} is said to be {there}; {before} steps are {wanted}."
                findings.append(Finding("spacers-now-height", SPACERS_NOW, says))
    return tuple(dict.fromkeys(findings))


def strange_sides(said: SpacersNow, adjustment: Adjustment) -> Iterator[Finding]:
    if adjustment.sides == 1 and any(side for side, _ in said.sides):
        says = f"{adjustment.name} has a single stack, and spacers now names a side."
        yield Finding("side-on-single", SPACERS_NOW, says)


def strange_pieces(said: SpacersNow, joints: Iterable[Joint], unit: str) -> Iterator[Finding]:
    for pieces in dict.fromkeys(pieces for _, stack in said.sides for pieces in stack):
        if not any(spacers_said(joint, pieces) for joint in joints):
            name = pieces.part or length_text(pieces.thickness or Fraction(0), unit)
            says = f"No joint of this adjustment lists a spacer {name}."
            yield Finding("spacers-now-unknown", SPACERS_NOW, says)


# --- lines ----------------------------------------------------------------------------------------


def label_of(side: str) -> str:
    """How lines name a side: a single stack has none."""
    return "" if side == "single" else side


@dataclass(frozen=True, slots=True)
class Opened:
    """One side of a chair that is opened: its label, its steps before and after, and what is fitted."""

    side: str
    before: int
    after: int
    step: Fraction
    options: frozenset[str]
    racks: Racks
    said: SpacersNow | None = None
    known: tuple[KnownJoint, ...] = ()

    def on_record(self, joint: Joint) -> KnownJoint | None:
        """What the chair's record tells of a joint here, if it is of a chair with as many steps."""
        name = fold(joint.name)
        return next(
            (
                known
                for known in self.known
                if (known.joint, known.side, known.steps) == (name, self.side, self.before)
            ),
            None,
        )

    def stack(self, joint: Joint) -> Counts | None:
        """What each of its stacks consists of: as the row says, else the record, else the rule."""
        if self.said is not None and self.said.single:
            return stack_of_single(joint, self.before, self.step)
        if self.said is not None and (pieces := self.said.of(self.side)) is not None:
            return stack_of_pieces(joint, pieces)
        recorded = stack_on_record(joint, self.before, self.on_record(joint))
        return stack_by_rule(joint, self.before, self.step) if recorded is None else recorded

    def change(self, joint: Joint) -> StackChange:
        """What is done at each of its stacks."""
        now, then = self.before * self.step, self.after * self.step
        return change_stack(joint, self.stack(joint), now, then, self.racks)


def lines_of(kind: Kind, adjustment: Adjustment, steps: Steps, racks: Racks) -> Iterator[Line]:
    """The lines of one chair: side by side and joint by joint, then covers, then the whole chair's."""
    if not steps.changed:
        return
    for side, before, after in steps.changed:
        label = label_of(side)
        opened = Opened(
            label, before, after, adjustment.step, kind.options, racks, kind.spacers_now, kind.known
        )
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
    yield old_bolts(joint, opened)
    new = joint.length_at(opened.after, opened.options)
    serving = racks.bolt_choices(joint, opened.after, opened.options)
    yield Line("fit", "bolt", joint.name, side, count, "each", new, serving, joint, opened.after)


def old_bolts(joint: Joint, opened: Opened) -> Line:
    """The bolts that come out: those of the chair's record, else of the length that the steps ask for.

    Several stock parts that may be meant, in different grades or finishes, are none: look first.
    """
    count, racks, known = Fraction(joint.bolts), opened.racks, opened.on_record(joint)
    if known is not None and known.bolt is not None:
        part, length = known.bolt
        meant = [part] if racks.lists(part) else []
        unsure = False
    else:
        length = joint.length_at(opened.before, opened.options)
        meant, unsure = recovered_bolts(joint, length, racks) if joint.reuse else ([], False)
    return Line(
        "remove", "bolt", joint.name, opened.side, count, "each", length, (), joint, opened.before,
        joint.reuse, tuple((part, count) for part in meant), unsure,
    )  # fmt: skip


def spacer_lines(joint: Joint, opened: Opened) -> Iterator[Line]:
    """Pieces that come off, then stacks to fit."""
    if joint.per_step == 0 or not joint.stacks:
        return
    change = opened.change(joint)
    if change.off is None and opened.after < opened.before:
        count = Fraction((opened.before - opened.after) * joint.stacks)
        yield Line(
            "remove", "spacer", joint.name, opened.side, count, "each", opened.step, (), joint,
            opened.before, joint.spacer_reuse, look_first=True, anew=built_anew(joint, opened),
        )  # fmt: skip
    elif change.off is not None and any(change.off):
        pieces = tuple(parts_of(joint, change.off, joint.stacks))
        count = sum((quantity for _, quantity in pieces), Fraction(0))
        yield Line(
            "remove", "spacer", joint.name, opened.side, count, "each", height(joint, change.off), (), joint,
            opened.before, joint.spacer_reuse, pieces,
        )  # fmt: skip
    if change.thickness and joint.spacers:
        yield Line(
            "fit", "spacer", joint.name, opened.side, Fraction(joint.stacks), "each", change.thickness,
            change.choices, joint, opened.after,
        )  # fmt: skip


def built_anew(joint: Joint, opened: Opened) -> tuple[tuple[str, Fraction], ...]:
    """The pieces of one stack as it is to be, by the first way to build it; nothing where it is empty."""
    choices = opened.racks.spacer_choices(joint, opened.after * opened.step) if opened.after else ()
    return choices[0].parts if choices else ()


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
        back = ((old, ONE),) if swapped.reuse and racks.lists(old) else ()
        reuse = swapped.reuse
        yield Line("remove", what, swapped.name, side, ONE, "each", None, (), reuse=reuse, pieces=back)
    if new is not None:
        yield Line("fit", what, swapped.name, side, ONE, "each", None, only(new))


# --- what is to be said about the lines -----------------------------------------------------------


def line_findings(adjustment: Adjustment, steps: Steps, lines: tuple[Line, ...]) -> tuple[Finding, ...]:
    findings = [
        *(spacers_unfit(line) for line in lines if line.what == "spacer" and is_unserved(line)),
        *stacks_unknown(steps, lines),
        *(bolt_unknown(line) for line in lines if line.look_first and line.what == "bolt"),
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


def stacks_unknown(steps: Steps, lines: tuple[Line, ...]) -> Iterator[Finding]:
    """Nobody can say what comes off; what a stack takes if one of its pieces has to be split. Sides that are
    to be alike are told together.
    """
    left = {label_of(side): after for side, _, after in steps.sides}
    alike: dict[tuple[str, int, tuple[tuple[str, Fraction], ...]], list[str]] = {}
    for line in lines:
        if line.look_first and line.what == "spacer":
            alike.setdefault((line.name, left[line.side], line.anew), []).append(line.side)
    for (name, after, anew), sides in alike.items():
        where = ", ".join(filter(None, (name, " and ".join(dict.fromkeys(sides)))))
        says = f"look first: what the stack at {where} consists of is not known"
        if anew:
            pieces = " + ".join(f"{quantity_text(count)} x {part}" for part, count in anew)
            steps_left = f"{after} {'step' if after == 1 else 'steps'}"
            says += f"; if a piece has to be split, a stack of {steps_left} anew takes {pieces}"
        yield Finding("stack-unknown", "from", f"{says}.")


def bolt_unknown(line: Line) -> Finding:
    says = (
        f"look first: bolts of several grades or finishes may come out of {line.name};"
        " none of them is counted on."
    )
    return Finding("bolt-unknown", "from", says)


def spacers_unfit(line: Line) -> Finding:
    thickness = length_text(line.length or Fraction(0), "mm")
    return Finding("spacers-do-not-fit", "to", f"No spacers of {line.name} add up to {thickness}.")
