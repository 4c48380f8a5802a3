"""Small values of the trade for tests: a joint, a frame, a job, a stock part, a planned week.

Every builder has plain defaults, so that a case states only what it is about. Inch lengths are given as
text the way a build sheet has them: ``inch("1 1/2")``.
"""

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from reconcile.plan.needs.choices import Racks
from reconcile.plan.needs.lines import explode, kind_of
from reconcile.standards import inch_thread, metric_thread
from reconcile.values.days import Period, WorkDays
from reconcile.values.frames.frame import (
    Adjustment,
    Disturbed,
    Engagement,
    Frame,
    Joint,
    Sized,
    SizeRange,
    SpacerKind,
)
from reconcile.values.measure import Amount, inches
from reconcile.values.problem import RowPlace
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Bin, Bolt, Due, Part, Stock
from reconcile.values.week.jobs import AFTER, BEFORE, LEFT_OVER, Job
from reconcile.values.week.results import Inputs, JobResult, PartResult, Tally, Week
from reconcile.values.words import fold
from reconcile.week import plan_week

FRIDAY_BEFORE = date(2026, 11, 27)
MON, TUE, WED, THU, FRI = (date(2026, 11, 30), *(date(2026, 12, n) for n in (1, 2, 3, 4)))
"""Week 49 of 2026; the tests' today is the Friday before it."""
WEEK_49 = Period(MON, FRI)
AS_OF = datetime(2026, 11, 27, 8, 0)
QUARTER_UNC, QUARTER_UNF = inch_thread("1/4", 20), inch_thread("1/4", 28)
M6 = metric_thread(Fraction(6))


def inch(text: str) -> Fraction:
    """``1 1/2`` inches in millimetres."""
    return inches(sum(map(Fraction, text.split()), Fraction(0)))


def spacer_kinds(**thickness: str) -> tuple[SpacerKind, ...]:
    """``spacer_kinds(SP_050="1/2")``: SP-050, half an inch thick."""
    return tuple(SpacerKind(name.replace("_", "-"), inch(each)) for name, each in thickness.items())


HALF_AND_WHOLE = spacer_kinds(SP_050="1/2", SP_100="1")


def joint(**given) -> Joint:
    """One 1/4-20 bolt a side, 1 1/2 in at minimum size, half an inch more for each step."""
    plain = {
        "name": "upper front",
        "bolts": 1,
        "stacks": given.get("bolts", 1),
        "thread": QUARTER_UNC,
        "head": "socket cap",
        "length": inch("1 1/2"),
        "per_step": inch("1/2"),
        "spacers": HALF_AND_WHOLE,
    }
    return Joint(**(plain | given))


def window(least: str | None, most: str | None, grip: str = "1", **given) -> dict:
    """The keys of a joint that accepts bolts of grip + least to grip + most."""
    held = Engagement(*(None if each is None else inch(each) for each in (least, most)))
    return {"grip": inch(grip), "engagement": held, **given}


def seat_width(*joints: Joint, **given) -> Adjustment:
    """14 to 20 in by half inches, two sides: twelve steps, six a side."""
    plain = {
        "name": "seat width",
        "minimum": inch("14"),
        "maximum": inch("20"),
        "step": inch("1/2"),
        "sides": 2,
        "joints": joints,
    }
    return Adjustment(**(plain | given))


def frame(*adjustments: Adjustment, code: str = "NQ-T1", unit: str = "in") -> Frame:
    return Frame(code, "test frame", "build sheet 1", unit, adjustments, f"{code}.toml")


def kit_frame(code: str, takes: dict[str, object], gives: tuple[str, ...] = ()) -> Frame:
    """A frame whose only job, 0 to 1 mm, takes these quantities and gives one of each of those parts."""
    low = Fraction(0)
    return frame(
        Adjustment(
            "latch", low, Fraction(1), Fraction(1), 1,
            sized=tuple(Sized(f"old {part}", (SizeRange(low, low, part),), reuse=True) for part in gives),
            disturbed=tuple(Disturbed(part, Amount(Fraction(n), "each")) for part, n in takes.items()),
        ),
        code=code, unit="mm",
    )  # fmt: skip


COLUMNS = {"job": "A", "date": "B", "frame": "C", "from": "E", "to": "F", "side": "H"}


def job(number: str, day: date, *sizes: str, row: int = 0, **given) -> Job:
    """A job of NQ-T1 from one size to another (inches); its row is the digits of its number."""
    row = row or int("".join(filter(str.isdigit, number)) or 1)
    size_from, size_to = map(inch, sizes or ("14", "14 1/2"))
    plain = {"frame": "NQ-T1", "size_from": size_from, "size_to": size_to}
    return Job(number, day, place=RowPlace("jobs.xlsx", "Jobs", row, COLUMNS), **(plain | given))


def kit_job(number: str, day: date, frame_code: str, **given) -> Job:
    """A job of a ``kit_frame``."""
    return job(number, day, frame=frame_code, size_from=Fraction(0), size_to=Fraction(1), **given)


def bins(*counts: tuple[object, object]) -> tuple[Bin, ...]:
    """Bins of (on hand, allocated)."""
    place = RowPlace("stock.xlsx", "Stock", 2)
    return tuple(Bin(f"bin {n}", Fraction(h), Fraction(a), place) for n, (h, a) in enumerate(counts, 1))


def part(number: str, on_hand: object = 0, allocated: object = 0, **given) -> Part:
    for money in ("price",):
        if money in given:
            given[money] = Decimal(given[money])
    for quantity in ("pack", "minimum_order", "safety_stock", "reorder_point", "order_up_to"):
        if quantity in given:
            given[quantity] = Fraction(given[quantity])
    return Part(number, bins=bins((on_hand, allocated)), **given)


def bolt(length: str, grade: str = "", threaded: str | None = "full", **given) -> Bolt:
    """A 1/4-20 socket cap screw; threaded to the head unless ``threaded`` says otherwise (None: unsaid)."""
    size = inch(length)
    stated = {"full": size, None: None}[threaded] if threaded in ("full", None) else inch(threaded)
    plain = {"thread": QUARTER_UNC, "head": "socket cap"}
    return Bolt(length=size, grade=grade, thread_length=stated, **(plain | given))


def screw(number: str, length: str, on_hand: object = 0, grade: str = "", **given) -> Part:
    """A stock part that is a 1/4-20 socket cap screw, threaded to the head."""
    return part(number, on_hand, bolt=bolt(length, grade), **given)


def stock(*parts: Part, due: tuple[Due, ...] = ()) -> Stock:
    """Parts in the order of the sheet, from row 2 on."""
    rows = (replace(each, row=each.row or row) for row, each in enumerate(parts, 2))
    return Stock({each.number: each for each in rows}, due)


def due(number: str, quantity: object, day: date, order: str = "PO-1") -> Due:
    return Due(order, number, Fraction(quantity), day, RowPlace("stock.xlsx", "On order", 2))


def counting(jobs, period: Period = WEEK_49, today: date = FRIDAY_BEFORE) -> tuple[Job, ...]:
    """The jobs with why those count that are none of the period."""

    def beside(day: date) -> str:
        if day in period:
            return ""
        return AFTER if day > period.last else LEFT_OVER if day < today else BEFORE

    return tuple(replace(each, beside=beside(each.day)) for each in jobs)


def inputs_of(
    jobs,
    frames,
    shelf: Stock,
    *,
    today: date = FRIDAY_BEFORE,
    period: Period = WEEK_49,
    look_ahead: date | None = None,
    **settings,
):
    """``look_ahead``: its last day; without it nothing is looked ahead."""
    jobs = tuple(jobs)
    return Inputs(
        jobs=jobs,
        frames={fold(each.code): each for each in frames},
        stock=shelf,
        settings=Settings(**settings),
        period=period,
        today=today,
        look_ahead=look_ahead or period.last,
        rows={"jobs": Tally(len(jobs), len(jobs)), "stock": Tally(len(shelf.parts), len(shelf.parts))},
    )


def planned(jobs, frames, shelf: Stock, **asked) -> Week:
    """The week that these jobs make."""
    return plan_week(inputs_of(jobs, frames, shelf, **asked), AS_OF)


def days_off(*days: date) -> WorkDays:
    return WorkDays(holidays=frozenset(days))


def kits(week: Week) -> dict[str, str]:
    return {each.job.number: each.kit for each in week.jobs}


def all_kits(week: Week) -> dict[str, str]:
    """Those of the period, and of the jobs that count beside them."""
    return {each.job.number: each.kit for each in (*week.jobs, *week.others)}


def job_of(week: Week, number: str) -> JobResult:
    return next(each for each in (*week.jobs, *week.others) if each.job.number == number)


def part_of(week: Week, number: str) -> PartResult:
    return next(each for each in week.parts if each.part.number == number)


def exploded(one_frame: Frame, one_job: Job, *parts: Part):
    """What one chair of a job needs, with these parts in stock."""
    return explode(kind_of(one_job), one_frame, Racks(stock(*parts)))


def line_rows(explosion) -> list[tuple]:
    """Lines as flat (do, what, side, quantity) rows."""
    return [(each.do, each.what, each.side, each.quantity) for each in explosion.lines]


def offered(line) -> list[dict[str, Fraction]]:
    """The parts of each choice of a line, best first."""
    return [dict(choice.parts) for choice in line.choices]
