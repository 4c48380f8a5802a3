"""A joint cut along its bolt: what is clamped, how far the bolt reaches, what that says. Lengths in mm."""

from dataclasses import dataclass
from fractions import Fraction

from reconcile.values.frames.frame import Joint
from reconcile.values.stock.parts import Thread

FRAME_PARTS, OPTION, KEPT, COMES_OUT, GOES_IN = "frame parts", "option", "kept", "comes out", "goes in"
"""What a slice is: clamped frame parts, what a fitted option adds, and spacers that stay, leave or come."""

HOLDS, BARELY, BOTTOMS = "holds", "holds barely", "reaches the bottom"
TOO_SHORT, TOO_LONG, SHANK, UNKNOWN = "too short", "too long", "shank too long", "not judged"

VERDICTS = {
    HOLDS: "The bolt holds, and stays clear of the bottom.",
    BARELY: "The bolt holds barely: its thread engages by the least and no more.",
    BOTTOMS: "The bolt just reaches the bottom of the thread.",
    TOO_SHORT: "The bolt is too short: less thread engages than the least.",
    TOO_LONG: "The bolt is too long: it reaches the bottom before it clamps.",
    SHANK: "The plain shank is longer than the grip: it stops the bolt before it clamps.",
    UNKNOWN: "The frame file does not say how much thread must engage.",
}
"""What a section says, in words. Every drawing and every sheet puts it this way."""


@dataclass(frozen=True, slots=True)
class Slice:
    """One layer under the head. ``name`` is an option or a part, "" where nothing tells it."""

    kind: str
    thickness: Fraction
    name: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """One bolt in its joint. Slices run from the head inwards and add up to the grip."""

    slices: tuple[Slice, ...]
    length: Fraction
    """Of the bolt, under the head; of a flat head, over all."""
    thread: Thread
    head: str
    threaded: Fraction | None
    """Threaded length; None where neither the stock sheet nor a standard gives it."""
    least: Fraction | None
    """Least engagement, by the frame file or by the tapped member."""
    most: Fraction | None
    """Greatest engagement, which is the depth of the thread."""
    rule_of_thumb: bool = False
    """The least engagement is common practice, not the frame maker's figure."""
    part: str = ""
    """The stock part or designation; "" for the bolt that is in the chair."""
    asked: Fraction | None = None
    """The length asked for, of a bolt that goes in."""

    @property
    def grip(self) -> Fraction:
        return sum((layer.thickness for layer in self.slices), Fraction(0))

    @property
    def engagement(self) -> Fraction:
        """Length less grip; nothing or less where the bolt does not reach the tapped member."""
        return self.length - self.grip

    @property
    def diameters(self) -> Fraction:
        """The engagement in bolt diameters."""
        return self.engagement / self.thread.diameter

    @property
    def spacers(self) -> Fraction:
        """Thickness of all spacers in the section."""
        layers = (layer for layer in self.slices if layer.kind in (KEPT, COMES_OUT, GOES_IN))
        return sum((layer.thickness for layer in layers), Fraction(0))

    @property
    def plain(self) -> Fraction:
        """Length of the plain shank; nothing where the threaded length is not known."""
        return self.length - self.threaded if self.threaded is not None else Fraction(0)

    @property
    def verdict(self) -> str:
        """One of the keys of ``VERDICTS``; the worst that is true."""
        engaged = self.engagement
        if engaged <= 0 or (self.least is not None and engaged < self.least):
            return TOO_SHORT
        if self.plain > self.grip:
            return SHANK
        if self.most is not None and engaged >= self.most:
            return BOTTOMS if engaged == self.most else TOO_LONG
        if self.least is None or self.most is None:
            return UNKNOWN
        return BARELY if engaged == self.least else HOLDS


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
    why_none: str = ""
