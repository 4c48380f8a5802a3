"""Frames, their adjustments and joints: a build sheet as values. Lengths in mm."""

from collections.abc import Set
from dataclasses import dataclass
from fractions import Fraction

from reconcile.values.measure import Amount
from reconcile.values.stock.parts import Thread

ENGAGEMENT_IN_DIAMETERS = {
    "steel": Fraction(1),
    "aluminium": Fraction(3, 2),
    "plastic": Fraction(2),
}
"""Least thread engagement by tapped member, in bolt diameters: common practice, no source. Guides
differ for aluminium (1.5 to 2); always printed with a caution."""


@dataclass(frozen=True, slots=True)
class SpacerKind:
    """A spacer that a joint takes: its part number and thickness (mm)."""

    part: str
    thickness: Fraction


@dataclass(frozen=True, slots=True)
class Extra:
    """Used up for each bolt that goes in: a nut, a dose of thread locker."""

    part: str
    quantity: Amount


@dataclass(frozen=True, slots=True)
class Engagement:
    """Thread in the tapped member, least and most (mm); None where the frame file gives none."""

    minimum: Fraction | None = None
    maximum: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Window:
    """The bolt lengths that clamp and hold: shortest and longest, in mm."""

    shortest: Fraction
    longest: Fraction
    rule_of_thumb: bool = False
    """The least engagement is common practice for the material, not the frame maker's figure."""

    def __contains__(self, length: Fraction) -> bool:
        return self.shortest <= length <= self.longest


@dataclass(frozen=True, slots=True)
class Joint:
    """A fastening point, present on each side. Lengths in mm; ``bolts`` and ``stacks`` a side."""

    name: str
    bolts: int
    stacks: int
    thread: Thread
    head: str
    length: Fraction
    """The bolt at minimum size with no options fitted."""
    per_step: Fraction
    """What one step adds to bolt and grip; 0 for a joint that is opened but not built up."""
    grades: tuple[str, ...] = ()
    lengthen: tuple[tuple[str, Fraction], ...] = ()
    """Option (folded) and what it adds to length and to grip."""
    grip: Fraction | None = None
    engagement: Engagement | None = None
    into: str = ""
    spacers: tuple[SpacerKind, ...] = ()
    reuse: bool = False
    """Bolts taken out go back to stock after inspection."""
    spacer_reuse: bool = False
    most_pieces: int | None = None
    """Of spacers in one stack; None where the frame maker names no limit."""
    torque: str = ""
    extras: tuple[Extra, ...] = ()
    key: str = ""
    """Its key in the frame file: ``adjustment[1].joint[2]``."""

    def added(self, steps: int, options: Set[str]) -> Fraction:
        """What ``steps`` and the fitted options (folded) add to length and to grip."""
        fitted = sum((by for option, by in self.lengthen if option in options), Fraction(0))
        return fitted + steps * self.per_step

    def length_at(self, steps: int, options: Set[str]) -> Fraction:
        return self.length + self.added(steps, options)

    def grip_at(self, steps: int, options: Set[str]) -> Fraction | None:
        return None if self.grip is None else self.grip + self.added(steps, options)

    def window_at(self, steps: int, options: Set[str]) -> Window | None:
        """Grip plus least and most engagement, or None where the frame file does not bound both.

        With no window only the exact length serves. A least engagement that is missing is taken from
        the tapped member (``ENGAGEMENT_IN_DIAMETERS``); a greatest one never is, for nothing but the
        frame maker's figure says where a bolt bottoms out.
        """
        grip, held = self.grip_at(steps, options), self.engagement
        if grip is None or held is None or held.maximum is None:
            return None
        least, assumed = held.minimum, False
        if least is None and self.into:
            least, assumed = ENGAGEMENT_IN_DIAMETERS[self.into] * self.thread.diameter, True
        if least is None:
            return None
        return Window(grip + least, grip + held.maximum, assumed)


@dataclass(frozen=True, slots=True)
class CoverRange:
    """The cover for a side with ``first`` to ``last`` steps."""

    first: int
    last: int
    part: str


@dataclass(frozen=True, slots=True)
class Cover:
    """One a side, chosen by the steps on that side."""

    name: str
    ranges: tuple[CoverRange, ...]
    reuse: bool = False

    def part_for(self, steps: int) -> str | None:
        return next((span.part for span in self.ranges if span.first <= steps <= span.last), None)


@dataclass(frozen=True, slots=True)
class SizeRange:
    """The part for sizes from ``first`` to ``last`` (mm)."""

    first: Fraction
    last: Fraction
    part: str


@dataclass(frozen=True, slots=True)
class Sized:
    """One a chair, chosen by the size; only with the option ``when`` (folded), "" for always."""

    name: str
    ranges: tuple[SizeRange, ...]
    when: str = ""
    reuse: bool = False

    def part_for(self, size: Fraction) -> str | None:
        return next((span.part for span in self.ranges if span.first <= size <= span.last), None)


@dataclass(frozen=True, slots=True)
class Disturbed:
    """Used up whenever the adjustment is done; only with the option ``when`` (folded)."""

    part: str
    quantity: Amount
    when: str = ""


@dataclass(frozen=True, slots=True)
class Adjustment:
    """One measure of a frame that is changed in steps. Sizes and step in mm."""

    name: str
    minimum: Fraction
    maximum: Fraction
    step: Fraction
    sides: int
    joints: tuple[Joint, ...] = ()
    covers: tuple[Cover, ...] = ()
    sized: tuple[Sized, ...] = ()
    disturbed: tuple[Disturbed, ...] = ()

    @property
    def options(self) -> frozenset[str]:
        """Every option (folded) that this adjustment asks about."""
        joints = {option for joint in self.joints for option, _ in joint.lengthen}
        parts = {sized_part.when for sized_part in self.sized} | {
            disturbed_part.when for disturbed_part in self.disturbed
        }
        return frozenset(joints | parts) - {""}

    @property
    def most_steps(self) -> int:
        """Steps at the maximum size, all sides counted."""
        return int((self.maximum - self.minimum) / self.step)

    @property
    def most_steps_a_side(self) -> int:
        return -(-self.most_steps // self.sides)


@dataclass(frozen=True, slots=True)
class Frame:
    """A family of chairs built to one build sheet."""

    code: str
    name: str
    source: str
    unit: str
    """The unit its lengths are printed in: that of the first adjustment's minimum, "in" or "mm"."""
    adjustments: tuple[Adjustment, ...]
    file: str = ""

    @property
    def options(self) -> frozenset[str]:
        return frozenset().union(*(adjustment.options for adjustment in self.adjustments))
