"""Counting the shelf: the rules, what is on a count sheet, what was counted, and what became of it.

Quantities are ``Fraction`` in the part's unit. A line is a part in one bin: rows of the stock sheet that
name the same bin for the same part are one line.
"""

from datetime import date
from fractions import Fraction

from reconcile.values.problem import Problem, RowPlace
from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Part

ZERO = Fraction(0)

USAGE_DAYS = 365

SHORT_JOB, NEGATIVE, OVER_ALLOCATED, UNLIKELY = "short job", "negative", "allocated above on hand", "unlikely"
OVERDUE, TURN, AGAIN = "overdue", "turn", "count again"
FIRST = (SHORT_JOB, NEGATIVE, OVER_ALLOCATED, UNLIKELY)
"""Reasons for which a part is counted before all others, whatever its turn."""

AGREES = "agrees"
WITHIN = "within tolerance"
SECOND = "second count agrees"
ACCEPTED = "accepted as counted"
RECOUNT = "count again"
MOVED = "moved meanwhile"
VERDICTS = {
    AGREES: "The count is what the book says; there is nothing to post.",
    WITHIN: "The difference is within tolerance; the count is taken and the difference posted.",
    SECOND: "A second count bears the first out; the difference is posted.",
    ACCEPTED: "The difference is beyond tolerance and was accepted with --trust-count; it is posted.",
    RECOUNT: "The difference is beyond tolerance; nothing is posted until a second count agrees.",
    MOVED: "The book changed after the sheet was written; nothing is posted, count it again.",
}
"""What becomes of a counted line, in words."""
POSTED = (WITHIN, SECOND, ACCEPTED)
OPEN = (RECOUNT, MOVED)
"""Verdicts of lines that go onto the sheet for the next count."""


@dataclass(frozen=True, slots=True)
class PartClass:
    """A part's class, with its working."""

    part: str
    name: str
    """A, B or C."""
    used: Fraction
    """In the last 365 days."""
    value: Fraction
    """Used times price; nothing where there is no usage or no price."""
    currency: str
    before: Fraction = ZERO
    """Share of the currency's whole value that parts of higher value make up."""
    remark: str = ""
    """Why nothing can be said of its value: no usage, or no price; "" where something can."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a part is counted: one of SHORT_JOB … AGAIN, and the words."""

    kind: str
    says: str


@dataclass(frozen=True, slots=True)
class Pick:
    """A part that is counted this week, and why."""

    part: Part
    name: str
    """Its class."""
    reasons: tuple[Reason, ...]

    @property
    def first(self) -> bool:
        return any(reason.kind in FIRST for reason in self.reasons)


LineKey = tuple[str, str]
"""A part's number and its bin as the stock sheet spells it: one line of a count sheet."""


@dataclass(frozen=True, slots=True)
class CountLine:
    """A line of a count sheet."""

    part: Part
    bin: str
    book: Fraction
    name: str
    """The part's class."""
    reasons: tuple[Reason, ...] = ()
    check: str = ""
    """Stands on the sheet for the book quantity, which it hides."""
    kits: Fraction = ZERO
    """What the kits of jobs that are not closed yet take from this bin: it may lie in them by now."""

    @property
    def key(self) -> LineKey:
        return self.part.number, self.bin

    @property
    def first(self) -> bool:
        return any(reason.kind in FIRST for reason in self.reasons)


@dataclass(frozen=True, slots=True)
class SheetMark:
    """What a sheet says of itself, so that reading it back knows what it was made from."""

    week: str
    """``2026-W49``"""
    identity: str
    """``2026-W49-5f3a9c01``; the same inputs give the same."""
    stock: str
    """SHA-256 of the stock workbook."""


@dataclass(frozen=True, slots=True)
class CountSheet:
    """All lines to count in a week, those that come first at the top, each part by bin."""

    mark: SheetMark
    lines: tuple[CountLine, ...]
    blind: bool = True
    again: int = 0
    """How many counts of these lines came before; 1: it is the sheet for a second count."""


@dataclass(frozen=True, slots=True)
class CountRow:
    """A row as it was read back. ``counted`` is None where nothing was counted, which is not zero."""

    part: str
    bin: str
    """Spelt as the stock sheet does."""
    counted: Fraction | None
    """On the shelf and in kits together."""
    by: str
    remark: str
    check: str
    """The line's check code as printed; "" where somebody took it away."""
    place: RowPlace
    kits: Fraction = ZERO
    """What the sheet says that kits take from this bin."""

    @property
    def key(self) -> LineKey:
        return self.part, self.bin


@dataclass(frozen=True, slots=True)
class SheetBack:
    """A sheet read back."""

    mark: SheetMark
    rows: tuple[CountRow, ...]


@dataclass(frozen=True, slots=True)
class Counted:
    """What became of a line. ``value`` of the difference is in the part's currency, None without a price."""

    part: Part
    bin: str
    book: Fraction
    counts: tuple[Fraction, ...]
    """First to last."""
    name: str
    """The part's class."""
    tolerance: Fraction
    """The quantity by which the count may differ."""
    verdict: str
    by: str
    place: RowPlace
    remark: str = ""
    kits: Fraction = ZERO
    """As on its row."""

    @property
    def key(self) -> LineKey:
        return self.part.number, self.bin

    @property
    def counted(self) -> Fraction:
        return self.counts[-1]

    @property
    def difference(self) -> Fraction:
        return self.counted - self.book

    @property
    def value(self) -> Fraction | None:
        return None if self.part.price is None else self.difference * Fraction(self.part.price)

    @property
    def accurate(self) -> bool:
        """Whether the book was right, within the tolerance of the class."""
        return abs(self.difference) <= self.tolerance

    @property
    def posted(self) -> bool:
        return self.verdict in POSTED and self.difference != 0


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Lines of a class that were counted, and of those the ones whose book was right."""

    name: str
    counted: int
    right: int

    @property
    def share(self) -> Fraction | None:
        """Inventory record accuracy: accurate records over records counted. None where none was counted."""
        return Fraction(self.right, self.counted) if self.counted else None


@dataclass(frozen=True, slots=True)
class CountResult:
    """A count, judged. ``not_counted`` are lines of the sheet without a count."""

    mark: SheetMark
    lines: tuple[Counted, ...]
    not_counted: tuple[CountRow, ...] = ()
    problems: tuple[Problem, ...] = ()
    day: date | None = None

    @property
    def to_post(self) -> tuple[Counted, ...]:
        return tuple(line for line in self.lines if line.posted)

    @property
    def again(self) -> tuple[Counted, ...]:
        return tuple(line for line in self.lines if line.verdict in OPEN)
