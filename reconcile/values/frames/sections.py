"""A joint cut along its bolt: what is clamped, how far the bolt reaches, what that says. Lengths in mm."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from reconcile.values.frames.drive import Drive
from reconcile.values.frames.frame import Joint
from reconcile.values.stock.parts import Thread

FRAME_PARTS, OPTION, KEPT, COMES_OUT, GOES_IN = "frame parts", "option", "kept", "comes out", "goes in"
WASHER = "washer"
"""What a slice is: clamped frame parts, what an option adds, spacers that stay, leave or come, washers."""

HOLDS, BARELY, FILLED = "holds", "holds barely", "in as far as it may"
TOO_SHORT, TOO_LONG, SHANK, UNKNOWN = "too short", "too long", "shank too long", "not judged"
NEAR, BOTTOMS, PAST_BOTTOM = "too near the bottom", "reaches the bottom", "past the bottom"
STANDS_PAST, IN_NUT, TOO_FAR_OUT = "stands past the nut", "too short past the nut", "too far past the nut"

VERDICTS = {
    HOLDS: "The bolt holds, and stays clear of the bottom.",
    BARELY: "The bolt holds barely: its thread engages by the least and no more.",
    FILLED: "The bolt holds, and goes in as far as the frame maker allows.",
    TOO_SHORT: "The bolt is too short: less thread engages than the least.",
    TOO_LONG: "The bolt is too long: more thread goes in than the most.",
    NEAR: "The bolt ends too near the bottom of the thread: less than a pitch stays clear.",
    BOTTOMS: "The bolt reaches the bottom of the thread.",
    PAST_BOTTOM: "The bolt is too long: it reaches the bottom before it clamps.",
    SHANK: "The plain shank is too long for the grip: it stops the bolt, or the nut, before it clamps.",
    UNKNOWN: "The frame file does not say how much thread must engage.",
    STANDS_PAST: "The bolt holds: it stands past the nut as it must.",
    IN_NUT: "The bolt is too short: it does not stand past the nut as it must.",
    TOO_FAR_OUT: "The bolt is too long: it stands out further past the nut than it may.",
}
"""What a section says, in words. Every drawing and every sheet puts it this way."""

SUNK_HEADS = ("countersunk", "oval")
"""Heads that lie within the grip: such a bolt is measured over all, and has no washer under its head."""

WELL = (HOLDS, FILLED, STANDS_PAST, UNKNOWN)
"""Verdicts that ask for nothing to be done."""


AT_ITS_MOST = (
    "The bolt goes in as far as the frame maker allows; if that is the depth of the thread, it reaches the"
    " bottom."
)
NO_TORQUE = "torque not given in the frame file: ask before you tighten"


@dataclass(frozen=True, slots=True)
class Slice:
    """One layer under the head. ``name`` is an option or a part, "" where nothing tells it."""

    kind: str
    thickness: Fraction
    name: str = ""


@dataclass(frozen=True)
class Section:
    """One bolt in its joint. Slices run from the head inwards and add up to the grip.

    Without slots, so that what a drawing asks fifty times is worked out once.
    """

    slices: tuple[Slice, ...]
    length: Fraction
    """Of the bolt, under the head; of a sunk head, over all."""
    thread: Thread
    head: str
    threaded: Fraction | None
    """Threaded length; None where neither the stock sheet nor a standard gives it."""
    least: Fraction | None
    """The least that must reach past the grip: by the frame file or by the tapped member; through a nut."""
    most: Fraction | None
    """The most that may reach past the grip; of a depth, what a clear pitch leaves."""
    rule_of_thumb: bool = False
    """The least engagement is common practice, not the frame maker's figure."""
    part: str = ""
    """The stock part or designation; "" for the bolt that is in the chair."""
    asked: Fraction | None = None
    """The length asked for, of a bolt that goes in."""
    depth: Fraction | None = None
    """Usable thread in the tapped member, where the frame file gives it."""
    nut: Fraction | None = None
    """Height of the nut that the bolt ends in; None where it ends in a tapped member."""

    @cached_property
    def grip(self) -> Fraction:
        return sum((layer.thickness for layer in self.slices), Fraction(0))

    @cached_property
    def engagement(self) -> Fraction:
        """Length less grip; nothing or less where the bolt does not reach the tapped member."""
        return self.length - self.grip

    @property
    def diameters(self) -> Fraction:
        """The engagement in bolt diameters."""
        return self.engagement / self.thread.diameter

    @cached_property
    def spacers(self) -> Fraction:
        """Thickness of all spacers in the section."""
        layers = (layer for layer in self.slices if layer.kind in (KEPT, COMES_OUT, GOES_IN))
        return sum((layer.thickness for layer in layers), Fraction(0))

    @property
    def plain(self) -> Fraction:
        """Length of the plain shank; nothing where the threaded length is not known."""
        return self.length - self.threaded if self.threaded is not None else Fraction(0)

    @property
    def shank_room(self) -> Fraction:
        """How long the plain shank may be: the grip, and through a nut a pitch less."""
        return self.grip if self.nut is None or not self.plain else self.grip - self.thread.pitch

    @property
    def past_nut(self) -> Fraction:
        """What stands past the nut; less than nothing where the bolt ends within it."""
        return self.engagement - (self.nut or Fraction(0))

    @cached_property
    def verdict(self) -> str:
        """One of the keys of ``VERDICTS``; the worst that is true."""
        if self.engagement <= 0 or (self.least is not None and self.engagement < self.least):
            return TOO_SHORT if self.nut is None else IN_NUT
        if self.plain > self.shank_room:
            return SHANK
        if self.most is not None and self.engagement > self.most:
            return self._too_far
        return self._held

    @property
    def doubt(self) -> str:
        """What is to be cautioned of it, in words; "" where the bolt sits well."""
        verdict = self.verdict
        if verdict == FILLED:
            return AT_ITS_MOST
        return "" if verdict in WELL else VERDICTS[verdict]

    @property
    def _too_far(self) -> str:
        """What is wrong with a bolt that goes in further than it may."""
        if self.nut is not None:
            return TOO_FAR_OUT
        if self.depth is None:
            return TOO_LONG
        if self.engagement == self.depth:
            return BOTTOMS
        return PAST_BOTTOM if self.engagement > self.depth else NEAR

    @property
    def _held(self) -> str:
        """How well a bolt holds that is neither too short nor too long."""
        if self.nut is not None:
            return STANDS_PAST
        if self.least is None or self.most is None:
            return UNKNOWN
        if self.engagement == self.least:
            return BARELY
        return FILLED if self.engagement == self.most and self.depth is None else HOLDS


@dataclass(frozen=True, slots=True)
class JointCut:
    """A joint of one side before and after the work.

    ``after`` has a section for each kind of bolt that goes in, so mostly one. Both are empty where
    ``why_none`` says why the joint cannot be drawn.
    """

    joint: Joint
    side: str
    """"left", "right", or "" for a single stack."""
    before: Section | None
    after: tuple[Section, ...]
    own_bolt: bool = False
    """The bolt that comes out is put back."""
    drive: Drive | None = None
    """What its bolts are turned by, where the standard of their head tells it."""
    why_none: str = ""
