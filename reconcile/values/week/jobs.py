"""Frames and their joints, planned jobs, and the lines that a job needs."""

from dataclasses import field, fields
from datetime import date
from fractions import Fraction

from reconcile.values.frames.frame import Joint
from reconcile.values.frames.stacks import KnownJoint, SpacersNow
from reconcile.values.measure import length_text
from reconcile.values.problem import RowPlace
from reconcile.values.records import dataclass
from reconcile.values.words import fold

OPEN, PART_DONE, DONE_ALREADY = "open", "part done", "done"
"""How a job stands in the book."""
LEFT_OVER, NOT_CLOSED, BEFORE, AFTER = "left over", "not closed", "before the period", "after the period"
WHY_BESIDE = (LEFT_OVER, NOT_CLOSED, BEFORE, AFTER)


@dataclass(frozen=True, slots=True)
class SaidJob:
    """A planned adjustment, as its row gives it. Sizes in mm."""

    number: str
    day: date
    frame: str
    size_from: Fraction | None
    """None where the row leaves it out: then the chair's record has to tell it."""
    size_to: Fraction
    adjustment: str = ""
    """"" for the frame's first."""
    options: tuple[str, ...] = ()
    """As written; compared folded."""
    side: str = "both"
    left_now: int | None = None
    right_now: int | None = None
    chairs: int = 1
    priority: int = 3
    technician: str = ""
    asset: str = ""
    notes: str = ""
    place: RowPlace = field(default=RowPlace("", "", 0), compare=False)
    beside: str = ""
    """Why it counts though it is none of the period: one of ``WHY_BESIDE``; "" for one of the period."""
    standing: str = OPEN
    """OPEN, PART_DONE or DONE, by the book."""
    held: bool = False
    """It was asked for and is held; the jobs sheet has no such row."""
    spacers_now: SpacersNow | None = None
    """What each stack consists of now, where the row says so."""
    known: tuple[KnownJoint, ...] = ()
    """What the chair's record tells of its joints."""
    no_options: bool = False
    """The row says that there are none, which is more than saying nothing."""

    @property
    def order(self) -> tuple[date, int, int]:
        """Day, then priority, then row: the order in which kits are taken from the shelf."""
        return (self.day, self.priority, self.place.row)

    @property
    def record_asset(self) -> str:
        """The chair whose record it reads and writes, folded; "" for none, or where it is for several."""
        return fold(self.asset) if self.chairs == 1 else ""

    def shown(self, heading: str, unit: str = "mm") -> str:
        """What stands under a heading of the jobs sheet; sizes, whose spelling is not kept, in ``unit``."""
        texts = {
            "job": self.number,
            "date": self.day.isoformat(),
            "frame": self.frame,
            "from": "" if self.size_from is None else length_text(self.size_from, unit),
            "to": length_text(self.size_to, unit),
            "adjustment": self.adjustment,
            "options": "none" if self.no_options else ", ".join(self.options),
            "side": self.side,
            "left now": "" if self.left_now is None else str(self.left_now),
            "right now": "" if self.right_now is None else str(self.right_now),
            "spacers now": "" if self.spacers_now is None else self.spacers_now.text,
            "asset": self.asset,
        }
        return texts.get(heading, "")


@dataclass(frozen=True, slots=True)
class Job(SaidJob):
    """A planned adjustment of which the size now is known: by its row, or by the chair's record."""

    size_from: Fraction
    by_record: bool = False
    """The row leaves the size now out; it is that of the chair's record."""


def completed(said: SaidJob, size_from: Fraction) -> Job:
    """The job of a row, from that size."""
    told = {field.name: getattr(said, field.name) for field in fields(said)}
    return Job(**{**told, "size_from": size_from, "by_record": said.size_from is None})


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps now and wanted on each side: ``(("left", 2, 3), ("right", 2, 3))`` or ``(("single", 0, 1),)``."""

    sides: tuple[tuple[str, int, int], ...]

    @property
    def changed(self) -> tuple[tuple[str, int, int], ...]:
        return tuple(side for side in self.sides if side[1] != side[2])


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to serve a unit of a line: parts for each unit, and what must be said about it."""

    parts: tuple[tuple[str, Fraction], ...]
    substitute: bool = False
    length: Fraction | None = None
    """The length offered, for a bolt (mm)."""
    engagement: Fraction | None = None
    """What this bolt reaches past the grip (mm), where that is known: thread in the tapped member or nut."""
    cautions: tuple[str, ...] = ()
    grade: str = ""
    """Of the bolt offered, as stock has it."""
    finish: str = ""
    differs: bool = False
    """Its grade or its finish is accepted, but not the first that the joint lists."""


@dataclass(frozen=True, slots=True)
class Line:
    """What one chair of a job needs or gives back, with the choices that may serve it, best first.

    A line to remove has no choices; ``pieces`` says what comes off, where that is known.
    """

    do: str
    """"fit" or "remove"."""
    what: str
    """"bolt", "spacer", "cover", "sized", "extra" or "disturbed"."""
    name: str
    side: str
    """"left", "right", or "" for a single stack or the whole chair."""
    quantity: Fraction
    unit: str
    length: Fraction | None
    """The length asked for (mm): of the bolt, or of one stack of spacers."""
    choices: tuple[Choice, ...]
    joint: Joint | None = field(default=None, compare=False)
    steps: int = 0
    """The steps on this side that the line is for."""
    reuse: bool = False
    """Of a line to remove: it goes back to stock after inspection."""
    pieces: tuple[tuple[str, Fraction], ...] = ()
    """Of a line to remove: the parts that come off one chair, where they are known; else nothing."""
    look_first: bool = False
    """Of a line to remove: nobody can say what comes off before it is looked at."""
    chair: int = 0
    """Of a job that is part done: which of its chairs the line is for; 0 where the line is every chair's."""

    @property
    def named(self) -> tuple[str, ...]:
        """Every part that may serve it, best first, or that comes off by it."""
        serving = [number for choice in self.choices for number, _ in choice.parts]
        return tuple(dict.fromkeys([*serving, *(number for number, _ in self.pieces)]))
