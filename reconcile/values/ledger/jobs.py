"""What a closing books of a job: what its row said, its lines, what was there, what was checked."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from reconcile.values.records import dataclass
from reconcile.values.stock.lines import BOLT, SPACER, LineKey
from reconcile.values.words import fold

DONE, PART_DONE = "done", "part"
STANDINGS = (DONE, PART_DONE)

LEFT, RIGHT, SINGLE = "left", "right", "single"
SIDES = (LEFT, RIGHT, SINGLE)

Pieces = Mapping[str, Fraction]
"""The spacers of one stack: how many of each part."""


@dataclass(frozen=True, slots=True)
class SideSteps:
    """Steps on one side before the work and after it."""

    side: str
    """LEFT, RIGHT or SINGLE."""
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class JobRow:
    """What the job's row said when it was booked, by value. Sizes in mm; None where it is not known."""

    job: str
    day: date
    """When it was done."""
    standing: str = DONE
    """DONE or PART_DONE."""
    frame: str = ""
    adjustment: str = ""
    size_from: Fraction | None = None
    size_to: Fraction | None = None
    unit: str = ""
    """In which sizes are printed: "in" or "mm"; "" where it is not known."""
    side: str = ""
    """As the row had it: ``both``, ``left``, ``right``."""
    left_now: int | None = None
    """As the row had it; None where it left it out."""
    right_now: int | None = None
    steps: tuple[SideSteps, ...] = ()
    """As they were taken, whether the row said so or not."""
    spacers_now: str = ""
    """As the row had it."""
    options: tuple[str, ...] = ()
    chairs: int = 1
    asset: str = ""
    technician: str = ""

    def on(self, side: str) -> SideSteps | None:
        """The steps of a side; a line names the single stack ""."""
        return next((step for step in self.steps if step.side == (side or SINGLE)), None)

    def says_as(self, other: "JobRow") -> bool:
        """Whether two rows describe the same work; days, people and standing are no part of that."""
        return self._described == other._described

    @property
    def _described(self) -> tuple[object, ...]:
        return (
            self.job, fold(self.frame), fold(self.adjustment), self.size_from, self.size_to, fold(self.side),
            self.left_now, self.right_now, self.steps, fold(self.spacers_now),
            frozenset(map(fold, self.options)), self.chairs,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class JobLine:
    """One part of one line of a job, as planned and as booked. Quantities in ``unit``."""

    key: LineKey
    """Blank but for ``do`` where the row was added by hand and says no more."""
    part: str
    """"" for a stack that comes off and of which nobody could say what it is made of."""
    unit: str
    planned: Fraction
    """0 for a row that was added by hand."""
    used: Fraction | None = None
    """None where nothing was said, nor could be taken as planned."""
    returned: Fraction | None = None
    scrapped: Fraction | None = None
    reason: str = ""
    frame_key: str = ""
    """The frame file's key that asks for it: ``adjustment[1].joint[2].bolts``."""
    length: Fraction | None = None
    """Of a bolt (mm); None where it is not known."""
    steps: int | None = None
    """Of a stack that comes off and that nobody knows: how many steps."""
    came_off: str = ""
    """What was written down of such a stack."""

    @property
    def booked(self) -> Fraction:
        """What is in the chair of a line to fit; what came off of one to remove."""
        if self.key.fits:
            return self.used or Fraction(0)
        return (self.returned or Fraction(0)) + (self.scrapped or Fraction(0))

    @property
    def told(self) -> bool:
        """Whether anything is booked of it."""
        return bool(self.came_off) or not (
            self.used is None and self.returned is None and self.scrapped is None
        )

    @property
    def whole(self) -> bool:
        """Whether all that was planned is booked."""
        return bool(self.came_off) if not self.part else self.told and self.booked >= self.planned


@dataclass(frozen=True, slots=True)
class JointFound:
    """What was taken to be at a joint of one side before the work: for one of its stacks, and its bolts."""

    name: str
    side: str
    """LEFT, RIGHT, or "" for a single stack."""
    frame_key: str = ""
    stacks: int = 1
    bolts: int = 1
    stack: Pieces | None = None
    """None where it is not known; nothing in it where there is none."""
    bolt: str = ""
    """The part; "" where it is not known."""
    bolt_length: Fraction | None = None


@dataclass(frozen=True, slots=True)
class CheckAsked:
    """A check that is asked for before the chair goes back."""

    check: str
    reading: str = ""
    """The unit of a figure that is to be written down; "" where none is."""


@dataclass(frozen=True, slots=True)
class CheckDone:
    """A check before the chair went back."""

    check: str
    passed: bool | None
    """None where nobody ticked it."""
    reading: str = ""
    """A figure that was written down, with its unit."""
    second_person: str = ""
    tried: date | None = None
    """The day the user tried the chair."""


@dataclass(frozen=True, slots=True)
class JobBooked:
    """All that a closing books of a job beside the movements."""

    row: JobRow
    lines: tuple[JobLine, ...] = ()
    joints: tuple[JointFound, ...] = ()
    checks: tuple[CheckDone, ...] = ()


@dataclass(frozen=True, slots=True)
class JobEntry:
    """The same as the ledger holds it, with the closing that it was posted with."""

    closing: str
    number: int
    """Of the closing, in the order of posting."""
    closed: date
    who: str
    """Who closed it."""
    booked: JobBooked


def of_joint(line: JobLine) -> bool:
    """Whether a line is one of a joint's bolts or spacers."""
    return line.key.what in (BOLT, SPACER)
