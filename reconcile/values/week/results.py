"""What a planned week says: jobs with their kits, parts with their shelf, problems and counts."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from reconcile.values.chairs import ChairRecord
from reconcile.values.days import Period
from reconcile.values.frames.frame import Frame
from reconcile.values.ledger.jobs import CheckAsked, JobBooked, JointFound
from reconcile.values.orders.listed import NOTHING_OPEN, OrderList
from reconcile.values.problem import Problem, RowPlace
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.trade_codes import rounded
from reconcile.values.unread import UnreadColumn
from reconcile.values.week.jobs import LEFT_OVER, Choice, Job, Line, SaidJob, Steps
from reconcile.values.week.page_foot import PageFoot

if TYPE_CHECKING:  # large values that few commands work out: none but those load them
    from reconcile.values.frames.sections import JointCut
    from reconcile.values.orders.lines import OrderLine
    from reconcile.values.orders.written import WrittenOrder
    from reconcile.values.week.buying import LotChoice, NextBreak, SupplierRounds
    from reconcile.values.week.levels import PartLevels
    from reconcile.values.week.picks import PartPick
    from reconcile.values.week.purchase import SupplierOrder

COMPLETE, WAITS, TO_ORDER, SHORT, DONE = "complete", "waits", "order", "short", "done"
"""What a job's kit is: on the shelf; there by its day; there if what lacks is ordered in time; not there."""
ORDER, JOB = "order", "job"


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of a sheet's rows: read = used + beside + done + set aside + outside the period, always."""

    read: int = 0
    used: int = 0
    """Of jobs: those of the period."""
    set_aside: int = 0
    outside_period: int = 0
    """Rows of jobs that do not count."""
    beside: int = 0
    """Rows of jobs that count though they are none of the period."""
    done: int = 0
    """Rows of jobs of the period that the book says are done."""


@dataclass(frozen=True, slots=True)
class Ignored:
    """Filled cells of a sheet that nothing was made of, and why."""

    reason: str
    """``the heading is not one of ours``"""
    where: str
    """``column M "remarks"``, ``rows 1 and 2``; "" for all of the sheet."""
    cells: int
    looks_like_data: bool = False
    """Somebody may have meant it to be read: figures under a heading, or a sheet named much like ours."""


@dataclass(frozen=True, slots=True)
class SheetAccount:
    """What became of every filled cell of a sheet: filled = used + ignored + in error, always."""

    file: str
    sheet: str
    filled: int = 0
    used: int = 0
    ignored: tuple[Ignored, ...] = ()
    in_error: int = 0
    """Under our headings, in rows that were set aside for a fault."""
    by_row: Mapping[int, int] = field(default_factory=dict, compare=False, repr=False)
    """Used cells by the number of their row, for jobs, which may yet be set aside."""
    uncounted: str = ""
    """Why its cells could not be counted; "" where they were."""

    def setting_aside(self, rows: Iterable[int]) -> "SheetAccount":
        """The account once these rows of it, used so far, are set aside."""
        cells = sum(self.by_row.get(row, 0) for row in rows)
        return replace(self, used=self.used - cells, in_error=self.in_error + cells)


@dataclass(frozen=True, slots=True)
class InputFile:
    """A file that was read, with the SHA-256 of its bytes."""

    role: str
    name: str
    sha256: str
    read_as: str = ""
    """How a csv file was read: its encoding, its delimiter, its quotes; "" for other files."""


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything that planning a week needs, as values."""

    jobs: tuple[SaidJob, ...]
    """As their rows have them; planning completes them by the chairs' records."""
    frames: dict[str, Frame]
    """By folded code; a faulty frame file gives none."""
    stock: Stock
    settings: Settings
    period: Period
    today: date
    problems: tuple[Problem, ...] = ()
    rows: dict[str, Tally] = field(default_factory=dict)
    """By sheet: "jobs", "stock", "on order" and so on."""
    files: tuple[InputFile, ...] = ()
    faulty: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Folded code of a frame whose file has faults, to the file's name; several files may claim one code."""
    unread_jobs: dict[str, tuple[int, ...]] = field(default_factory=dict)
    """Number of a job whose row was set aside when it was read, to its rows."""
    jobs_header: RowPlace = field(default=RowPlace("", "", 0))
    """Where the headings of the jobs sheet stand."""
    cells: tuple[SheetAccount, ...] = ()
    """Of every sheet of jobs and stock, read or not; nothing where it was not asked for."""
    look_ahead: date = date.max
    """The last day whose jobs count."""
    done: tuple[Job, ...] = ()
    """Jobs of the period that a standing closing marked as done: they ask for nothing."""
    taken_as_done: int = 0
    """Rows of jobs whose day has passed and of which the book knows nothing: taken as done."""
    later: int = 0
    """Rows of jobs that lie beyond the look-ahead and do not count yet."""
    looked_back: bool = False
    """The period ends before today: its first day is taken as today, and nothing after it counts."""
    booked: Mapping[str, tuple[JobBooked, ...]] = field(default_factory=dict)
    """By folded number what the closings that stand booked of jobs that are part done."""
    job_rows: Mapping[str, int] = field(default_factory=dict)
    """By folded number the last row of it in the jobs sheet, whether it counts or not."""
    proposals: tuple["PartLevels", ...] | None = None
    """Shelf levels proposed from use that stand in ``stock`` for those of the sheet; None: not asked for."""
    chairs: tuple[ChairRecord, ...] = ()
    """The chairs as the closed weeks left them."""
    order_lines: tuple["OrderLine", ...] = ()
    """Lines of orders by all that was booked of them."""
    unplaced: tuple["WrittenOrder", ...] = ()
    """Orders that were written in earlier weeks and not placed."""
    unread_columns: tuple[UnreadColumn, ...] = ()
    """Columns of the sheets that are not read, and that the settings do not leave out."""


@dataclass(frozen=True, slots=True)
class ServedLine:
    """A line of a job, for all its chairs, with the parts that serve it (in each part's unit)."""

    line: Line
    quantity: Fraction
    parts: tuple[tuple[str, Fraction], ...]
    substitute: bool = False
    cautions: tuple[str, ...] = ()
    served: tuple[tuple[Choice, Fraction], ...] = ()
    """The choices that serve it, and how much of the line each serves."""
    at_joint: tuple[str, ...] = ()
    """What its joint cautions: how the bolt sits in it, and that no torque is given."""

    @property
    def all_cautions(self) -> tuple[str, ...]:
        """What every output says that names the part."""
        return (*self.cautions, *self.at_joint)


@dataclass(frozen=True, slots=True)
class Source:
    """Where a part that has yet to come is from: what is on order, or a job that gives it back."""

    kind: str
    """ORDER, or JOB: it comes off that job, and is inspected."""
    number: str

    @property
    def turn(self) -> tuple[str, str]:
        """Among what comes in on one day: any order of them will do, as long as it is always the same."""
        return (self.kind, self.number)


@dataclass(frozen=True, slots=True)
class Taker:
    """A job that has a kit, with what it takes of a part on its day."""

    job: str
    day: date
    priority: int
    quantity: Fraction
    held: bool = False


@dataclass(frozen=True, slots=True)
class DueIn:
    """What comes in of a part: a delivery, or what a job with a kit gives back."""

    day: date
    quantity: Fraction
    source: Source


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Why a part lacks: what lies there, who takes it on which day, what comes in, from when more can.

    Quantities in the part's unit. Takers and what comes in stand in order of day.
    """

    part: Part
    takers: tuple[Taker, ...] = ()
    due: tuple[DueIn, ...] = ()
    ordered_today: date | None = None
    """The first day for which it is there if it is ordered today; None where it has no lead time."""


@dataclass(frozen=True, slots=True)
class Missing:
    """What lacks of a part.

    Of a short job the least number to buy so that it could be done on its day; of one that hangs on an order,
    what it finds neither on the shelf nor come in.
    """

    part: str
    quantity: Fraction
    in_time: bool = False
    """It can still be ordered for the job's day."""
    order_by: date | None = field(default=None, compare=False)
    """By when it has to be ordered for that day, where it can."""
    whereabouts: Whereabouts | None = field(default=None, compare=False, repr=False)
    """Where all of the part is and goes."""


@dataclass(frozen=True, slots=True)
class Awaited:
    """What a waiting job relies on: a quantity of a part, the day it is there, and where from."""

    part: str
    quantity: Fraction
    day: date
    source: Source


@dataclass(frozen=True, slots=True)
class JobResult:
    """What was found of a job: its kit, what it takes and misses, and when it could be done."""

    job: Job
    kit: str
    """COMPLETE, WAITS, TO_ORDER, SHORT or DONE."""
    steps: Steps
    lines: tuple[ServedLine, ...] = ()
    missing: tuple[Missing, ...] = ()
    awaited: tuple[Awaited, ...] = ()
    earliest: date | None = None
    """Of a short job: the first day on which it could be done."""
    order_by: date | None = None
    """Of one that hangs on an order: by when what it lacks must be ordered."""
    look_first: bool = False
    """Spacers come off of which nobody can name the pieces."""
    notices: tuple[str, ...] = ()
    gives_way: str = ""
    """Of a short job that only asks: the less urgent job whose kit would have to be taken for it."""
    cuts: tuple["JointCut", ...] = ()
    """Its joints before and after, in working order, for the drawings."""
    found: tuple[JointFound, ...] = ()
    """What is taken to be at its joints before the work; joints of which nothing is known are left out."""
    unlike: tuple[str, ...] = ()
    """Sentences on stacks of one joint that are as thick and of other pieces; they are among the notices."""
    after: tuple[CheckAsked, ...] = ()
    """What is checked before the chair goes back."""
    planned_for: date | None = None
    """The day it is judged for: its own; of one that has passed, the first working day from today on."""
    done_with: str = ""
    """Of a done job that is asked about: the closing that marked it; "" where it is taken as done."""

    @property
    def takes(self) -> dict[str, Fraction]:
        """All it takes of each part; of a short job, by the first choice."""
        found: dict[str, Fraction] = {}
        for served in self.lines:
            for number, quantity in served.parts if served.line.do == "fit" else ():
                found[number] = found.get(number, Fraction(0)) + quantity
        return found


@dataclass(frozen=True, slots=True)
class AsIf:
    """What a job is asked about as if its row said it: a heading, what the row says, and what is asked."""

    heading: str
    row: str
    asked: str


@dataclass(frozen=True, slots=True)
class Answer:
    """A job's kit, judged beside all other jobs that count, and the period with that job alone in it."""

    result: JobResult
    week: "Week"
    as_if: tuple[AsIf, ...] = ()
    """Nothing where the job is as planned, or only described."""


@dataclass(frozen=True, slots=True)
class AtRisk:
    """A short unit pegged to the job that goes without it."""

    job: str
    day: date
    quantity: Fraction


@dataclass(frozen=True, slots=True)
class Taking:
    """What a job takes of a part on its day, if every job is done."""

    job: str
    day: date
    quantity: Fraction


@dataclass(frozen=True, slots=True)
class ToCome:
    """What lacks in a later week, and is left to a later run: the week's Monday, and the jobs in turn."""

    monday: date
    quantity: Fraction
    jobs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShelfDay:
    """One day of a part: what comes in (in the morning), what is taken, what is left at its end."""

    day: date
    received: Fraction
    recovered: Fraction
    taken: Fraction
    left: Fraction
    sources: tuple[Source, ...] = ()
    """Where what comes in is from."""


@dataclass(frozen=True, slots=True)
class PartResult:
    """A part's numbers over all jobs of the period. Quantities in the part's unit."""

    part: Part
    on_order: Fraction
    needed: Fraction
    recovered: Fraction
    shortfall: Fraction
    first_short: date | None
    end: Fraction
    """Left at the end of the period's last day, before buying; negative where short."""
    position: Fraction
    """``end``, less what jobs take after the period up to ``reach``, and all that is still to come."""
    reach: date
    """An order placed in this period must last until then."""
    needed_later: Fraction
    """What jobs take after the period up to ``reach``."""
    beyond: Fraction
    """What lacks after ``reach``, and is left to a later run."""
    want: Fraction
    order: Fraction
    packs: int
    required_by: date | None
    order_by: date | None
    late: bool
    jobs: tuple[str, ...]
    """Every job that needs it, in order of day, priority and row."""
    at_risk: tuple[AtRisk, ...] = ()
    days: tuple[ShelfDay, ...] = ()
    """Every day of the period on which something comes or goes, and its last."""
    later: tuple[ShelfDay, ...] = ()
    """Every later day on which something comes or goes."""
    to_come: tuple[ToCome, ...] = ()
    """What lacks after ``reach``, by week; together that is ``beyond``."""
    unit_price: Decimal | None = None
    """What one unit costs at this order's quantity, in the part's currency; None where unknown."""
    goods: Fraction | None = None
    """What the order's goods cost, where the unit price is only a rounded average of it."""
    lot: "LotChoice | None" = None
    """How the size of the order was chosen, where the settings ask for the cheapest one."""
    next_break: "NextBreak | None" = None
    """What the next price break above the order would bring."""

    @property
    def line_total(self) -> Decimal | None:
        """Order times unit price to the currency's smallest unit, half up; None where no price is known."""
        if self.unit_price is None:
            return None
        if self.goods is not None:
            return rounded(self.goods, self.part.currency)
        return rounded(self.order * Fraction(self.unit_price), self.part.currency)


@dataclass(frozen=True, slots=True)
class Solution:
    """Whether the choice of kits is proven best, and by how many kits it may miss if not."""

    proven: bool = True
    gap: float = 0
    by_hand_jobs: int = 0
    """Jobs that would get a kit first come, first served: by priority, then day, then row."""
    by_hand_chairs: int = 0


LEDGER_REMARKS = (
    "closing-finished-late", "closing-workbook-lost", "closing-unfinished", "output-locked", "stock-outdated",
    "ledger-lost", "ledger-older", "ledger-foreign", "part-renamed", "ledger-differs-noticed",
    "order-differs-noticed",
)  # fmt: skip
"""Codes of what is said of the ledger and the stock sheet beside it."""


@dataclass(frozen=True, slots=True)
class Week:
    """The whole answer; every report is made from this and computes nothing."""

    period: Period
    today: date
    as_of: datetime
    jobs: tuple[JobResult, ...]
    """Those of the period, in the order of the jobs sheet."""
    parts: tuple[PartResult, ...]
    """All that are needed or to be ordered: stock parts in the order of the sheet, then new ones."""
    solution: Solution
    problems: tuple[Problem, ...]
    rows: dict[str, Tally]
    settings: Settings
    stock: Stock
    frames: dict[str, Frame]
    files: tuple[InputFile, ...] = ()
    taken_as_done: int = 0
    """As in ``Inputs``, and so is the next."""
    later: int = 0
    look_ahead: date = date.max
    others: tuple[JobResult, ...] = ()
    """Jobs that count beside those of the period, in the order of their work."""
    rounds: tuple["SupplierRounds", ...] = ()
    """What to order in which weekly round, where the settings ask for the cheapest orders."""
    cells: tuple[SheetAccount, ...] = ()
    """What became of the cells of every sheet of jobs and stock, where that was asked for."""
    proposals: tuple["PartLevels", ...] | None = None
    """As in ``Inputs``: where they stand, the orders follow them."""
    orders: tuple["SupplierOrder", ...] = ()
    """What is ordered from whom, by supplier in order of name; nothing in an answer about one job."""
    picks: tuple["PartPick", ...] = ()
    """What is taken from which bin for the jobs that have a kit; nothing in an answer about one job."""
    open_orders: OrderList = NOTHING_OPEN
    """All that is on its way, and what hangs on it; nothing in an answer about one job."""
    order_lines: tuple["OrderLine", ...] = ()
    """As in ``Inputs``."""
    unread_columns: tuple[UnreadColumn, ...] = ()
    """As in ``Inputs``."""
    unlisted: Mapping[str, Part] = field(default_factory=dict)
    """By number the parts that are wanted, and that no row of stock can be used for."""
    placed_orders: frozenset[str] = frozenset()
    """Folded numbers of all orders that were placed or given up, or stand in the sheet."""

    @property
    def foot(self) -> PageFoot:
        """What stands at the foot of its workbooks' pages."""
        return PageFoot(self.period, self.as_of, self.settings.country or "")

    @property
    def left_over(self) -> tuple[JobResult, ...]:
        """Jobs that were not done when their week was closed."""
        return tuple(result for result in self.others if result.job.beside == LEFT_OVER)

    @property
    def ledger_remarks(self) -> tuple[Problem, ...]:
        """What the ledger has to say of the stock sheet, part by part; nothing where they agree."""
        return tuple(fault for fault in self.problems if fault.code in LEDGER_REMARKS)

    def on_proposal(self, part: str) -> bool:
        """Whether a part's levels are those proposed from use, not those of the sheet."""
        return any(
            proposal.part.number == part and proposal.proposed is not None
            for proposal in self.proposals or ()
        )
