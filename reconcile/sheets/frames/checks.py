"""Checks across the keys of a frame file, one function each; what they find is reported at its key.

They run on tables as the walker left them, so any value may be None: a check whose figures are missing
says nothing, for the missing or faulty figure has its own problem already.
"""

import math
import re
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any, NamedTuple

from reconcile.sheets.figures.toml import KeyTable, Spot
from reconcile.values.frames.frame import ENGAGEMENT_IN_DIAMETERS, Handed
from reconcile.values.measure import length_text, near_text
from reconcile.values.stock.parts import Thread
from reconcile.values.words import fold

TWO_SIDES = 2


class Measured(NamedTuple):
    """A length (mm) and the unit it was written in, "in" or "mm"."""

    mm: Fraction
    unit: str


class Pitches(NamedTuple):
    """So many pitches of the joint's thread."""

    number: int


def protrusion_mm(given: Pitches | Fraction, thread: Thread) -> Fraction:
    """What a bolt stands past its nut, in mm."""
    return given.number * thread.pitch if isinstance(given, Pitches) else given


def check_frame(frame: KeyTable) -> None:
    """Report whatever is wrong between the keys of a whole frame."""
    adjustments = _tables(frame, "adjustment")
    _names_differ(adjustments)
    for adjustment in adjustments:
        for check in ADJUSTMENT_CHECKS:
            check(adjustment)
        for joint in _tables(adjustment, "joint"):
            for check_joint in JOINT_CHECKS:
                check_joint(joint, adjustment)


def _tables(parent: KeyTable, key: str) -> tuple[KeyTable, ...]:
    return parent[key] or ()


def _length(mm: Fraction, adjustment: KeyTable) -> str:
    """A length in the unit of the adjustment's own sizes."""
    return length_text(mm, _unit(adjustment))


def _worked_out(mm: Fraction, adjustment: KeyTable) -> str:
    """What is left, or is the least: no figure of the file, and rounded where it has no short text."""
    return near_text(mm, _unit(adjustment))


def _unit(adjustment: KeyTable) -> str:
    minimum: Measured | None = adjustment["minimum"]
    return minimum.unit if minimum else "mm"


def _most_steps(adjustment: KeyTable) -> int | None:
    """Steps at the maximum size; None where the figures give no whole number of them."""
    minimum, maximum, step = adjustment["minimum"], adjustment["maximum"], adjustment["step"]
    if minimum is None or maximum is None or step is None or step <= 0:
        return None
    steps = (maximum - minimum.mm) / step
    return int(steps) if steps >= 0 and steps.denominator == 1 else None


# Adjustments.


def _sizes_make_steps(adjustment: KeyTable) -> None:
    minimum, maximum, step = adjustment["minimum"], adjustment["maximum"], adjustment["step"]
    if step is not None and step <= 0:
        says = f"The step {_length(step, adjustment)} is not more than nothing."
        adjustment.at("step").report("frame-step", says)
    if minimum is None or maximum is None:
        return
    low, high = _length(minimum.mm, adjustment), _length(maximum, adjustment)
    if maximum < minimum.mm:
        adjustment.at("maximum").report("frame-step", f"The maximum {high} is less than the minimum {low}.")
    elif step is not None and step > 0 and _most_steps(adjustment) is None:
        says = f"The step {_length(step, adjustment)} does not divide {low} to {high} into whole steps."
        adjustment.at("step").report("frame-step", says)


ALIKE_ON_BOTH = re.compile(
    r"depth|height|tiefe|höhe|profondeur|hauteur|profundidad|altura|profondità|altezza|diepte|hoogte",
    re.IGNORECASE,
)
"""Measures that are changed by as much on both rails, so once for the chair; the words from dictionaries."""


def doubtful_sides(name: object, sides: object) -> str:
    """What is to be asked of a measure with two sides whose name says depth or height; "" for any other."""
    if sides != TWO_SIDES or not isinstance(name, str) or not ALIKE_ON_BOTH.search(name):
        return ""
    return (
        f'"{name}" has two sides: each rail gets half of the change. A depth or a height is changed by as'
        " much on both rails, so once for the chair."
    )


def _sides_fit_the_name(adjustment: KeyTable) -> None:
    if says := doubtful_sides(adjustment["name"], adjustment["sides"]):
        adjustment.at("sides").report("frame-sides-doubtful", says)


def _joint_names_differ(adjustment: KeyTable) -> None:
    _names_differ(_tables(adjustment, "joint"))


def _names_differ(tables: Sequence[KeyTable]) -> None:
    taken: dict[str, str] = {}
    for table in tables:
        if (name := table["name"]) is None:
            continue
        if first := taken.get(fold(name)):
            says = f'The name "{name}" is already that of {first}.'
            table.at("name").report("frame-value", says, "Give each a name of its own.")
        taken.setdefault(fold(name), table.spot.key)


def _covers_meet(adjustment: KeyTable) -> None:
    """Every number of steps a side can have needs exactly one cover."""
    most = _most_steps(adjustment)
    sides = adjustment["sides"]
    for cover in _tables(adjustment, "cover"):
        _ranges_ordered(cover, "steps", str)
        if most is None or sides is None or not cover.at("steps").sound:
            continue
        spans = [(each["from"], each["to"]) for each in cover["steps"] or ()]
        _report_coverage(cover, "steps", _coverage(spans, -(-most // sides)), _steps_text)


def _steps_text(first: int, last: int) -> str:
    if first == last:
        return f"{first} step" if first == 1 else f"{first} steps"
    return f"{first} to {last} steps"


def _hands_have_sides(adjustment: KeyTable) -> None:
    """A single stack has no left and right for a handed part to belong to."""
    for cover in _tables(adjustment, "cover"):
        for span in cover["steps"] or ():
            if adjustment["sides"] == 1 and isinstance(span["part"], Handed):
                says = f"The part is given for left and right ({span['part']}), but sides = 1 knows neither."
                span.at("part").report("frame-value", says, "Give one part, or correct sides.")


def _sizes_meet(adjustment: KeyTable) -> None:
    """Every size the adjustment can be set to needs exactly one part; sizes between steps need none."""
    most = _most_steps(adjustment)
    for sized in _tables(adjustment, "sized"):
        _ranges_ordered(sized, "sizes", lambda size: _length(size, adjustment))
        if most is None or not sized.at("sizes").sound:
            continue
        low, step = adjustment["minimum"].mm, adjustment["step"]
        spans = [
            (math.ceil((sized_part["from"] - low) / step), math.floor((sized_part["to"] - low) / step))
            for sized_part in sized["sizes"] or ()
        ]

        def text(first: int, last: int, low: Fraction = low, step: Fraction = step) -> str:
            ends = [_length(low + steps * step, adjustment) for steps in (first, last)]
            return " to ".join(dict.fromkeys(ends))

        _report_coverage(sized, "sizes", _coverage(spans, most), text)


def _ranges_ordered(parent: KeyTable, key: str, text: Callable[[Any], str]) -> None:
    for table in _tables(parent, key):
        first, last = table["from"], table["to"]
        if first is not None and last is not None and last < first:
            table.at("to").report(
                "frame-value", f"The range ends at {text(last)}, before it begins at {text(first)}."
            )


class Coverage(NamedTuple):
    """Runs of steps without a part, and those with a second one beside the number of its range."""

    gaps: list[tuple[int, int]]
    overlaps: list[tuple[int, int, int]]


def _coverage(spans: Sequence[tuple[int, int]], last: int) -> Coverage:
    """Which of 0 to ``last`` no span holds, and which a span (counted from 1) holds a second time.

    Works on the ends of spans only: a mistyped step can make millions of sizes.
    """
    found, reached = Coverage([], []), -1
    for number, (first, end) in sorted(enumerate(spans, 1), key=lambda each: each[1]):
        first, end = max(first, 0), min(end, last)  # noqa: PLW2901
        if first > end:
            continue
        if first > reached + 1:
            found.gaps.append((reached + 1, first - 1))
        if first <= reached:
            found.overlaps.append((number, first, min(end, reached)))
        reached = max(reached, end)
    if reached < last:
        found.gaps.append((reached + 1, last))
    return found


def _report_coverage(parent: KeyTable, key: str, found: Coverage, text: Callable[[int, int], str]) -> None:
    name = parent["name"] or key
    spot = parent.at(key)
    for first, last in found.gaps:
        spot.report("frame-gap", f'"{name}" has no part for {text(first, last)}.')
    for number, first, last in found.overlaps:
        spot.item(number).report("frame-overlap", f'"{name}" has two parts for {text(first, last)}.')


ADJUSTMENT_CHECKS: tuple[Callable[[KeyTable], None], ...] = (
    _sides_fit_the_name,
    _sizes_make_steps,
    _joint_names_differ,
    _covers_meet,
    _hands_have_sides,
    _sizes_meet,
)


# Joints.


def _per_step_is_step(joint: KeyTable, adjustment: KeyTable) -> None:
    per_step, step = joint["per_step"], adjustment["step"]
    if per_step is None or step is None or per_step in (0, step):
        return
    own, one = _length(per_step, adjustment), _length(step, adjustment)
    says = f"A step adds {own} here, but {one} to the size; a side would not stay square."
    joint.at("per_step").report(
        "frame-value", says, f'Write "{one}", or "0 in" for a joint that is not built up.'
    )


def _spacers_can_be_fitted(joint: KeyTable, _: KeyTable) -> None:
    """A joint that is not built up takes no spacers; one that is built up should name them."""
    built_up = joint["per_step"] != 0
    if joint["spacers"] and not built_up:
        first = joint["spacers"][0]["part"]
        says = f"Spacers ({first}, …) are listed for a joint that a step adds nothing to."
        joint.at("spacers").report("frame-value", says, "Remove the spacers, or state what a step adds.")
    if not joint["spacers"] and built_up and joint["stacks"] != 0 and joint.spot.sound:
        says = f'The joint "{joint["name"]}" is built up by each step but lists no spacers.'
        joint.at("spacers").report("frame-no-spacers", says)


def _listed_once(joint: KeyTable, _: KeyTable) -> None:
    """An option or a spacer that is listed twice would be counted twice."""
    for key, named in (("lengthen", "option"), ("spacers", "part")):
        seen: set[str] = set()
        for table in _tables(joint, key):
            if table[named] is not None and table[named] in seen:
                table.at(named).report(
                    "frame-value", f'"{table[named]}" is listed twice.', "Remove one of them."
                )
            seen.add(table[named])


def _pieces_suffice(joint: KeyTable, adjustment: KeyTable) -> None:
    """Every number of steps that a side can have must be built of no more pieces than the most."""
    most, per_step, steps = joint["most_pieces"], _per_step(joint, adjustment), _most_steps(adjustment)
    if most is None or not joint.at("most_pieces").sound or not joint.at("spacers").sound:
        return
    if not joint["spacers"]:
        says = "The most pieces of a stack are given, but no spacers."
        joint.at("most_pieces").report("frame-value", says, "List the spacers, or remove the key.")
    elif per_step and steps is not None and adjustment["sides"] is not None:
        a_side = min(-(-steps // adjustment["sides"]), MOST_STEPS_BUILT)
        built = _sums_of([spacer["thickness"] for spacer in joint["spacers"]], most, a_side * per_step)
        lacking = next((step for step in range(a_side + 1) if step * per_step not in built), None)
        if lacking is not None:
            pieces = "1 piece" if most == 1 else f"{most} pieces"
            says = f"{_steps_text(lacking, lacking)} cannot be built of at most {pieces} of the spacers."
            do = "Correct the most, or list the spacer that is used there."
            joint.at("most_pieces").report("frame-value", says, do)


MOST_STEPS_BUILT = 200
"""Steps for which stacks are tried; a mistyped step can make millions."""


def _per_step(joint: KeyTable, adjustment: KeyTable) -> Fraction | None:
    """What a step adds to the joint; None where neither it nor the adjustment gives a figure to use."""
    per_step = adjustment["step"] if joint["per_step"] is None else joint["per_step"]
    return per_step if joint.at("per_step").sound and per_step is not None and per_step > 0 else None


def _sums_of(thicknesses: Sequence[Fraction], pieces: int, most: Fraction) -> set[Fraction]:
    """Every thickness up to ``most`` that so many pieces, or fewer, make."""
    made = last = {Fraction(0)}
    for _ in range(pieces):
        last = {before + one for before in last for one in thicknesses if before + one <= most} - made
        if not last:
            break
        made = made | last
    return made


# What holds the bolt: a tapped member, or a nut.


def _nut_stands_alone(joint: KeyTable, _: KeyTable) -> None:
    """A bolt ends in the frame or in a nut, never in both."""
    if joint["nut"] is None:
        return
    for key in ("engagement", "into"):
        if joint[key]:
            says = f'The bolt ends in a nut, and "{key}" says that it ends in a tapped member.'
            joint.at("nut").report("frame-value", says, f'Remove "nut", or remove "{key}".')


def _engagement_ordered(joint: KeyTable, adjustment: KeyTable) -> None:
    held: KeyTable | None = joint["engagement"]
    if held is None:
        return
    spot, least, most, depth = held.spot, held["minimum"], held["maximum"], held["depth"]
    if most is not None and depth is not None:
        says = "Both the most engagement and the depth of the thread are given."
        spot.at("depth").report("frame-value", says, "Keep the one that the build sheet gives.")
        return
    if least is not None and most is not None and most < least:
        low, high = _length(least, adjustment), _length(most, adjustment)
        says = f"The most engagement {high} is less than the least {low}."
        spot.at("maximum").report("frame-value", says)
    if depth is not None and joint["thread"] is not None:
        _depth_suffices(joint, adjustment, depth, spot)


def _depth_suffices(joint: KeyTable, adjustment: KeyTable, depth: Fraction, spot: Spot) -> None:
    """What a pitch leaves of the depth must be no less than the least engagement."""
    least, _, rule = _bounds(joint)
    clear = depth - joint["thread"].pitch
    if clear < least or clear <= 0:
        left, low = (_worked_out(each, adjustment) for each in (clear, least))
        deep = _length(depth, adjustment)
        says = f"The depth {deep} less a pitch leaves {left}, less than the least engagement {low}{rule}."
        spot.at("depth").report("frame-value", says, "Compare depth and minimum with the build sheet.")


def _washers_listed_once(joint: KeyTable, _: KeyTable) -> None:
    seen: set[str] = set()
    for washer in joint["washers"] or ():
        if washer["part"] in seen:
            says = f'"{washer["part"]}" is listed twice.'
            washer.at("part").report("frame-value", says, "List it once, with its count.")
        seen.add(washer["part"])


def _torque_for_listed_grades(joint: KeyTable, _: KeyTable) -> None:
    """A torque by grade is for a grade that the joint accepts."""
    torque, grades = joint["torque"], joint["grades"]
    if not isinstance(torque, dict) or not grades:
        return
    accepted = {fold(grade) for grade in grades}
    for grade in torque:
        if fold(grade) not in accepted:
            says = (
                f'A torque is given for "{grade}", which is none of the accepted grades {", ".join(grades)}.'
            )
            joint.at("torque").at(grade).report("frame-value", says, "Correct the grade, or remove it.")


def _bolt_fits(joint: KeyTable, adjustment: KeyTable) -> None:
    """The joint's own bolt must clamp and hold.

    Steps and options add the same to length and to grip, so what is left past the grip is one figure
    for every size and every set of options: comparing it once is exact for all of them.
    """
    length, grip = joint["length"], joint["grip"]
    keys = ("engagement", "nut", "washers", "thread")
    if length is None or grip is None or not all(joint.at(key).sound for key in keys):
        return
    grip += sum(washer["count"] * washer["thickness"] for washer in joint["washers"] or ())
    held = length - grip
    least, most, rule = _bounds(joint)
    left, clamped = (_worked_out(each, adjustment) for each in (held, grip))
    bolt = _length(length, adjustment)
    if held < 0:
        fault = "is shorter than"
    elif held < least:
        fault = f"leaves {left} of thread, less than {_worked_out(least, adjustment)}{rule}, past"
    elif most is not None and held > most:
        fault = f"leaves {left} of thread, more than {_worked_out(most, adjustment)}, past"
    else:
        return
    washers = ", washers counted" if joint["washers"] else ""
    says = f"The bolt of {bolt} {fault} the grip of {clamped}{washers}, at every size."
    joint.at("length").report("frame-bolt-outside", says)


def _bounds(joint: KeyTable) -> tuple[Fraction, Fraction | None, str]:
    """Least and most thread past the grip, and the words for where the least one comes from."""
    nut: KeyTable | None = joint["nut"]
    if nut is not None:
        least = nut["height"] + protrusion_mm(nut["protrusion"], joint["thread"])
        words = " (the nut and what stands past it)"
        return least, None if nut["most"] is None else least + nut["most"], words
    held: KeyTable | None = joint["engagement"]
    minimum, maximum, depth = (held[key] if held else None for key in ("minimum", "maximum", "depth"))
    most = maximum if depth is None or joint["thread"] is None else depth - joint["thread"].pitch
    if minimum is None and most is not None and joint["into"] and joint["thread"]:
        diameters = ENGAGEMENT_IN_DIAMETERS[joint["into"]]
        words = f" (common practice in {joint['into']}: {float(diameters):g} diameters)"
        return diameters * joint["thread"].diameter, most, words
    return minimum or Fraction(0), most, ""


JOINT_CHECKS: tuple[Callable[[KeyTable, KeyTable], None], ...] = (
    _per_step_is_step,
    _spacers_can_be_fitted,
    _listed_once,
    _pieces_suffice,
    _nut_stands_alone,
    _engagement_ordered,
    _washers_listed_once,
    _torque_for_listed_grades,
    _bolt_fits,
)
