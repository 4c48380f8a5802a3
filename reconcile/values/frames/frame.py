"""Frames, their adjustments and joints: a build sheet as values. Lengths in mm."""

from collections.abc import Set
from fractions import Fraction

from reconcile.values.measure import Amount
from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Thread
from reconcile.values.words import fold

ENGAGEMENT_IN_DIAMETERS = {
    "steel": Fraction(1),
    "aluminium": Fraction(3, 2),
    "plastic": Fraction(2),
}
"""Least thread engagement by tapped member, in bolt diameters: common practice, no source. Guides
differ for aluminium (1.5 to 2); always printed with a caution."""

ONE_PIECE = Amount(Fraction(1), "each")


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
    """The most that may go in, by the frame maker's word."""
    depth: Fraction | None = None
    """Usable thread in the tapped member; a pitch of it stays clear. Never beside ``maximum``."""


@dataclass(frozen=True, slots=True)
class Nut:
    """The nut that a through bolt ends in, new each time. Lengths in mm."""

    part: str
    height: Fraction
    protrusion: Fraction
    """The least that the bolt stands past the nut."""
    most: Fraction | None = None
    """What it may stand out beyond that; None: no further than the bolt asked for does."""


@dataclass(frozen=True, slots=True)
class Washer:
    """A washer in the grip of each bolt; ``count`` of them, each so thick (mm)."""

    part: str
    thickness: Fraction
    count: int = 1
    renew: bool = False
    """New each time a bolt goes in; else it stays with the joint."""


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
    """Without washers."""
    engagement: Engagement | None = None
    into: str = ""
    spacers: tuple[SpacerKind, ...] = ()
    reuse: bool = False
    """Bolts taken out go back to stock after inspection."""
    spacer_reuse: bool = False
    most_pieces: int | None = None
    """Of spacers in one stack; None where the frame maker names no limit."""
    torque: str = ""
    """One torque, which holds for the first grade listed; "" where none or one by grade is given."""
    extras: tuple[Extra, ...] = ()
    key: str = ""
    """Its key in the frame file: ``adjustment[1].joint[2]``."""
    finishes: tuple[str, ...] = ()
    """Accepted finishes, best first; empty for any."""
    nut: Nut | None = None
    washers: tuple[Washer, ...] = ()
    torques: tuple[tuple[str, str], ...] = ()
    """Grade and its torque, where the frame file gives them by grade."""
    note: str = ""
    """What is printed with the joint: ``clean the tapped end``."""

    @property
    def ident(self) -> tuple[str, str]:
        """Key and name: no two joints of one frame have the same."""
        return (self.key, self.name)

    def added(self, steps: int, options: Set[str]) -> Fraction:
        """What ``steps`` and the fitted options (folded) add to length and to grip."""
        fitted = sum((by for option, by in self.lengthen if option in options), Fraction(0))
        return fitted + steps * self.per_step

    def length_at(self, steps: int, options: Set[str]) -> Fraction:
        return self.length + self.added(steps, options)

    @property
    def washed(self) -> Fraction:
        """Thickness of all washers of one bolt."""
        return sum((washer.count * washer.thickness for washer in self.washers), Fraction(0))

    @property
    def full_grip(self) -> Fraction | None:
        """The grip at minimum size with no options, washers counted."""
        return None if self.grip is None else self.grip + self.washed

    def grip_at(self, steps: int, options: Set[str]) -> Fraction | None:
        """What the bolt clamps, washers counted."""
        clamped = self.full_grip
        return None if clamped is None else clamped + self.added(steps, options)

    @property
    def least_past_grip(self) -> tuple[Fraction | None, bool]:
        """The least that a bolt reaches past the grip, None where unknown; whether it is a rule of thumb.

        Through a nut: its height and what must stand past it. Else the least engagement; one that is
        missing is taken from the tapped member (``ENGAGEMENT_IN_DIAMETERS``).
        """
        if self.nut is not None:
            return self.nut.height + self.nut.protrusion, False
        if self.engagement is not None and self.engagement.minimum is not None:
            return self.engagement.minimum, False
        if self.into:
            return ENGAGEMENT_IN_DIAMETERS[self.into] * self.thread.diameter, True
        return None, False

    @property
    def most_past_grip(self) -> Fraction | None:
        """The most that a bolt reaches past the grip; None where the frame file bounds it nowhere.

        A greatest engagement is never assumed, for nothing but the frame maker's figure says where a bolt
        bottoms out. Of a depth one pitch stays clear: common practice, no source.
        """
        if (nut := self.nut) is not None:
            if nut.most is not None:
                return nut.height + nut.protrusion + nut.most
            return None if self.full_grip is None else self.length - self.full_grip
        if (held := self.engagement) is None:
            return None
        return held.maximum if held.depth is None else held.depth - self.thread.pitch

    @property
    def shank_spare(self) -> Fraction:
        """By how much the plain shank must be shorter than the grip: a pitch where a nut clamps, else 0.

        The nut runs down to the joint, so its thread must begin within the grip.
        """
        return Fraction(0) if self.nut is None else self.thread.pitch

    def window_at(self, steps: int, options: Set[str]) -> Window | None:
        """Grip plus the least and the most past it, or None where the frame file does not bound both.

        With no window only the exact length serves.
        """
        grip, most = self.grip_at(steps, options), self.most_past_grip
        least, assumed = self.least_past_grip
        if grip is None or least is None or most is None:
            return None
        return Window(grip + least, grip + most, assumed)

    @property
    def used_with_bolt(self) -> tuple[Extra, ...]:
        """All that is used up for each bolt that goes in: extras, the nut, and washers that are renewed."""
        nut = () if self.nut is None else (Extra(self.nut.part, ONE_PIECE),)
        renewed = (washer for washer in self.washers if washer.renew)
        washers = (Extra(washer.part, Amount(Fraction(washer.count), "each")) for washer in renewed)
        return (*self.extras, *nut, *washers)


def torque_for(joint: Joint, grade: str) -> str:
    """The frame maker's torque for a bolt of this grade; "" where the frame file gives none for it.

    A plain torque holds for the first grade listed, and where none is listed for any.
    """
    if joint.torques:
        return next((torque for listed, torque in joint.torques if fold(listed) == fold(grade)), "")
    holds = not joint.grades or fold(grade) == fold(joint.grades[0])
    return joint.torque if holds else ""


@dataclass(frozen=True, slots=True)
class Handed:
    """A part that is made for one side: the one for the left and the one for the right."""

    left: str
    right: str

    def __str__(self) -> str:
        return f"{self.left} left, {self.right} right"


@dataclass(frozen=True, slots=True)
class CoverRange:
    """The cover for a side with ``first`` to ``last`` steps."""

    first: int
    last: int
    part: str | Handed

    def part_on(self, side: str) -> str:
        """The part for a side, "left" or "right"; a part that is not handed serves either."""
        if isinstance(self.part, str):
            return self.part
        return self.part.left if side == "left" else self.part.right


@dataclass(frozen=True, slots=True)
class Cover:
    """One a side, chosen by the steps on that side."""

    name: str
    ranges: tuple[CoverRange, ...]
    reuse: bool = False

    def part_for(self, steps: int, side: str) -> str | None:
        return next((span.part_on(side) for span in self.ranges if span.first <= steps <= span.last), None)


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
class After:
    """What is checked before the chair goes back; only with the option ``when`` (folded)."""

    check: str
    when: str = ""
    reading: str = ""
    """The unit of a figure that is written down; "" where there is nothing to read."""


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
    after: tuple[After, ...] = ()

    @property
    def options(self) -> frozenset[str]:
        """Every option (folded) that this adjustment asks about."""
        joints = {option for joint in self.joints for option, _ in joint.lengthen}
        parts = {named.when for named in self.sized} | {named.when for named in self.disturbed}
        return frozenset(joints | parts | {named.when for named in self.after}) - {""}

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
