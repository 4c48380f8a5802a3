"""A small hand-made week for the tests of reports: four jobs, eight parts, three problems."""

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from reconcile.plan.flows.picks import pick_list
from reconcile.plan.orders.supplier_orders import supplier_orders
from reconcile.values.days import Period, WorkDays
from reconcile.values.frames.frame import Adjustment, Frame, Joint, SpacerKind
from reconcile.values.measure import inches
from reconcile.values.problem import Place, RowPlace, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Bin, Bolt, Part, Stock, Supplier, Thread
from reconcile.values.week.jobs import Choice, Job, Line, Steps
from reconcile.values.week.results import (
    COMPLETE,
    ORDER,
    SHORT,
    WAITS,
    AtRisk,
    Awaited,
    InputFile,
    JobResult,
    Missing,
    PartResult,
    ServedLine,
    ShelfDay,
    Solution,
    Source,
    Tally,
    Week,
)

MON, TUE, WED, THU, FRI = (date(2026, 11, 30), *(date(2026, 12, day) for day in range(1, 5)))
TODAY = date(2026, 11, 27)
HALF = inches("1/2")
QUARTER_UNC = Thread(inches("1/4"), inches("1/20"), "UNC", "1/4-20 UNC")

JOINT = Joint(
    name="upper front",
    bolts=1,
    stacks=1,
    thread=QUARTER_UNC,
    head="socket cap",
    length=inches("3/2"),
    per_step=HALF,
    grades=("SAE 8",),
    spacers=(SpacerKind("SP-050", HALF),),
    reuse=True,
    spacer_reuse=True,
    torque="9 N*m",
)
SEAT_WIDTH = Adjustment("seat width", inches(14), inches(20), HALF, 2, joints=(JOINT,))
FRAME = Frame("NQ-T1", "Tilt frame, bolted crossbars", "build sheet 12 rev C", "in", (SEAT_WIDTH,))


def bin_of(name: str, on_hand: int, row: int, allocated: int = 0) -> Bin:
    return Bin(name, Fraction(on_hand), Fraction(allocated), RowPlace("stock.xlsx", "Stock", row))


def bolt_of(length: str) -> Bolt:
    return Bolt(QUARTER_UNC, inches(Fraction(length)), "socket cap", "SAE 8")


B250 = Part("B-14-250", bins=(bin_of("A1", 20, 2), bin_of("A2", 6, 3)), bolt=bolt_of("5/2"), row=2)
B300 = Part(
    "B-14-300",
    bins=(bin_of("A3", 4, 4),),
    bolt=bolt_of("3"),
    pack=Fraction(50),
    lead_time=5,
    supplier="NORTH",
    supplier_part="00417",
    price=Decimal("0.45"),
    currency="EUR",
    row=4,
)
B325 = Part("B-14-325", bins=(bin_of("A4", 9, 5),), bolt=bolt_of("13/4"), row=5)
SP050 = Part(
    "SP-050",
    description="Spacer 1/2 in, aluminium",
    bins=(bin_of("C1", 12, 6, allocated=2),),
    safety_stock=Fraction(8),
    pack=Fraction(10),
    lead_time=2,
    supplier="north",
    supplier_part="=SP050",
    price=Decimal("1.2"),
    currency="EUR",
    row=6,
)
CP6 = Part("CP-6", description="Cover plate, 3 to 6 steps", lead_time=10, supplier="HARBOUR", row=7)
LOCK = Part("TL-MED", unit="mL", description="Thread locker, medium", bins=(bin_of("F2", 25, 8),), row=8)
PAN = Part(
    "PAN-18",
    description="Seat pan, 18 in",
    bins=(bin_of("H4", 1, 9),),
    supplier="HARBOUR",
    supplier_part="1E5",
    price=Decimal("64.5"),
    currency="EUR",
    reorder_point=Fraction(1),
    order_up_to=Fraction(3),
    row=9,
)
NEW = Part(bolt_of("7/2").designation, bolt=bolt_of("7/2"), new=True)

SUPPLIERS = {
    "NORTH": Supplier(
        "NORTH", "Northquay Fixings", Decimal("50"), Decimal("6.5"), None, "orders@north.example"
    ),
    "HARBOUR": Supplier("HARBOUR", "Harbour: frames/parts", None, Decimal("9"), Decimal("60")),
}


def week(**changes: object) -> Week:
    """The week; any field of it can be given anew."""
    fields: dict[str, object] = {
        "period": Period(MON, FRI),
        "today": TODAY,
        "as_of": datetime(2026, 11, 27, 9, 15),
        "jobs": (complete_job(), waiting_job(), short_job(), unchanged_job()),
        "parts": part_results(),
        "solution": Solution(),
        "problems": problems(),
        "rows": {"jobs": Tally(6, 4, 1, 1), "stock": Tally(9, 9)},
        "settings": Settings(currency="EUR", days=WorkDays(holidays=frozenset({date(2026, 12, 25)}))),
        "stock": Stock(
            {part.number: part for part in (B250, B300, B325, SP050, CP6, LOCK, PAN)}, suppliers=SUPPLIERS
        ),
        "frames": {"nq-t1": FRAME},
        "files": (InputFile("jobs", "jobs.xlsx", "a1" * 32), InputFile("stock", "stock.xlsx", "b2" * 32)),
    }
    return answered(Week(**{**fields, **changes}))  # type: ignore[arg-type]


def answered(week: Week) -> Week:
    """The week with the orders and the pick list that follow from its jobs, its parts and its stock."""
    parts = {**week.stock.parts, **{each.part.number: each.part for each in week.parts}}
    orders = supplier_orders(week.parts, week.stock, week.settings.currency, week.period)
    return replace(week, orders=orders, picks=pick_list(week.jobs, parts))


def job(number: str, day: date, row: int, **more: object) -> Job:
    fields: dict[str, object] = {"size_from": inches(16), "size_to": inches(17), "frame": "nq-t1"}
    place = RowPlace("jobs.xlsx", "Jobs", row)
    return Job(number, day, **{**fields, **more}, place=place)  # type: ignore[arg-type]


def fit_bolt(side: str, part: Part, *, substitute: bool = False, asked: str = "3") -> ServedLine:
    choice = Choice(((part.number, Fraction(1)),), substitute)
    line = Line("fit", "bolt", "upper front", side, Fraction(1), "each", inches(asked), (choice,), JOINT, 3)
    cautions = ("Engagement by common practice: 1.5 diameters in aluminium",) if substitute else ()
    return ServedLine(line, Fraction(1), ((part.number, Fraction(1)),), substitute, cautions)


def remove_bolt(side: str, *, reuse: bool = True) -> ServedLine:
    serving = ((B250.number, Fraction(1)),) if reuse else ()
    line = Line(
        "remove", "bolt", "upper front", side, Fraction(1), "each", inches("5/2"), (), JOINT, 2, reuse=reuse
    )
    return ServedLine(line, Fraction(1), serving)


def fit_spacer(side: str) -> ServedLine:
    choice = Choice(((SP050.number, Fraction(1)),))
    line = Line("fit", "spacer", "upper front", side, Fraction(1), "each", HALF, (choice,), JOINT, 3)
    return ServedLine(line, Fraction(1), choice.parts)


def fit_extra(side: str) -> ServedLine:
    dose = Fraction(1, 10)
    line = Line(
        "fit", "extra", "upper front", side, dose, "mL", None, (Choice(((LOCK.number, dose),)),), JOINT, 3
    )
    return ServedLine(line, dose, ((LOCK.number, dose),))


def side_lines(side: str, part: Part, *, substitute: bool = False) -> tuple[ServedLine, ...]:
    bolt = fit_bolt(side, part, substitute=substitute)
    return (bolt, remove_bolt(side, reuse=not substitute), fit_spacer(side), fit_extra(side))


BOTH = Steps((("left", 2, 3), ("right", 2, 3)))


def complete_job() -> JobResult:
    planned = job("J-101", TUE, 2, priority=1, technician="bench 2", asset="W-0417", notes="=collect at noon")
    return JobResult(planned, COMPLETE, BOTH, (*side_lines("left", B300), *side_lines("right", B300)))


def waiting_job() -> JobResult:
    planned = job("J-102", WED, 3, options=("front rigging", "anti-tippers"), asset="00417")
    awaited = (Awaited("B-14-300", Fraction(2), WED, Source(ORDER, "PO-12")),)
    lines = (*side_lines("left", B325, substitute=True), *side_lines("right", B300))
    return JobResult(planned, WAITS, BOTH, lines, awaited=awaited)


def short_job() -> JobResult:
    planned = job("J-103", THU, 4, size_to=inches("16.5"))
    lines = (fit_bolt("right", NEW, asked="7/2"), fit_spacer("right"))
    return JobResult(
        planned,
        SHORT,
        Steps((("left", 2, 2), ("right", 2, 3))),
        lines,
        missing=(Missing(NEW.number, Fraction(1)), Missing("SP-050", Fraction(2))),
        earliest=date(2026, 12, 8),
        notices=("The sides will differ by one step", "Assumed split: check the chair."),
    )


def unchanged_job() -> JobResult:
    planned = job("J-104", MON, 5, size_to=inches(16), chairs=2)
    return JobResult(planned, COMPLETE, Steps((("left", 2, 2), ("right", 2, 2))), notices=("No change",))


def part_result(part: Part, **more: object) -> PartResult:
    fields: dict[str, object] = {
        "on_order": Fraction(0),
        "needed": Fraction(0),
        "recovered": Fraction(0),
        "shortfall": Fraction(0),
        "first_short": None,
        "end": part.on_hand - part.allocated,
        "position": more.get("end", part.on_hand - part.allocated),
        "reach": FRI,
        "needed_later": Fraction(0),
        "beyond": Fraction(0),
        "want": Fraction(0),
        "order": Fraction(0),
        "packs": 0,
        "required_by": None,
        "order_by": None,
        "late": False,
        "jobs": (),
        "unit_price": part.price,
    }
    return PartResult(part, **{**fields, **more})  # type: ignore[arg-type]


def shelf_days(*days: tuple[date, int, int, int, int]) -> tuple[ShelfDay, ...]:
    return tuple(ShelfDay(day, *map(Fraction, numbers)) for day, *numbers in days)


def part_results() -> tuple[PartResult, ...]:
    two = Fraction(2)
    return (
        part_result(B250, recovered=two, days=shelf_days((WED, 0, 2, 0, 28), (FRI, 0, 0, 0, 28))),
        part_result(
            B300,
            on_order=two,
            needed=Fraction(8),
            shortfall=two,
            first_short=WED,
            end=-two,
            want=two,
            order=Fraction(50),
            packs=1,
            required_by=WED,
            order_by=date(2026, 11, 25),
            late=True,
            jobs=("J-101", "J-102"),
            at_risk=(AtRisk("J-102", WED, two),),
            days=shelf_days((TUE, 0, 0, 4, 0), (WED, 2, 0, 4, -2), (FRI, 0, 0, 0, -2)),
        ),
        part_result(
            B325, needed=Fraction(1), jobs=("J-102",), days=shelf_days((WED, 0, 0, 1, 8), (FRI, 0, 0, 0, 8))
        ),
        part_result(
            SP050,
            needed=Fraction(5),
            end=Fraction(5),
            want=Fraction(3),
            order=Fraction(10),
            packs=1,
            required_by=FRI,
            order_by=WED,
            jobs=("J-101", "J-102", "J-103"),
            days=shelf_days((TUE, 0, 0, 2, 8), (WED, 0, 0, 2, 6), (THU, 0, 0, 1, 5), (FRI, 0, 0, 0, 5)),
        ),
        part_result(
            CP6,
            needed=two,
            shortfall=two,
            first_short=TUE,
            end=-two,
            want=two,
            order=two,
            packs=2,
            required_by=TUE,
            order_by=date(2026, 11, 17),
            late=True,
            jobs=("J-101",),
            at_risk=(AtRisk("J-101", TUE, two),),
            days=shelf_days((TUE, 0, 0, 2, -2), (FRI, 0, 0, 0, -2)),
        ),
        part_result(LOCK, needed=Fraction(2, 5), end=Fraction(123, 5), jobs=("J-101", "J-102")),
        part_result(PAN, want=two, order=two, packs=2, required_by=FRI, days=shelf_days((FRI, 0, 0, 0, 1))),
        part_result(
            NEW,
            needed=Fraction(1),
            shortfall=Fraction(1),
            first_short=THU,
            end=Fraction(-1),
            want=Fraction(1),
            order=Fraction(1),
            packs=1,
            required_by=THU,
            jobs=("J-103",),
            at_risk=(AtRisk("J-103", THU, Fraction(1)),),
            days=shelf_days((THU, 0, 0, 1, -1), (FRI, 0, 0, 0, -1)),
        ),
    )


def problems() -> tuple:
    return (
        problem(
            "part-not-listed", Place("NQ-T1.toml", "", "adjustment[1].cover[1]"), "Stock does not list CP-2."
        ),
        problem("date-ambiguous", Place("jobs.xlsx", "Jobs", "B7"), "3/12/2026 is 3 December or 12 March."),
        problem("cell-blank", Place("stock.xlsx", "Stock", "K11"), "The cell on hand of B-38-200 is blank."),
    )
