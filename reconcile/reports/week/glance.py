"""The week at a glance: the verdict in words first, then what it rests on."""

from collections import Counter
from collections.abc import Iterator
from datetime import date

from reconcile.reports.week.cells_text import account_text
from reconcile.reports.writing.grid import TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import (
    BACK_TO_STOCK,
    CAUTIONS,
    PROGRAM,
    amount_of,
    choice_text,
    count_text,
    day_text,
    money_text,
    period_text,
    proposed_text,
    some_of,
    verdict,
)
from reconcile.values.catalogue import ERROR
from reconcile.values.days import DAY_NAMES
from reconcile.values.settings import Settings
from reconcile.values.week.results import (
    COMPLETE,
    DONE,
    SHORT,
    TO_ORDER,
    WAITS,
    InputFile,
    PartResult,
    Tally,
    Week,
)

MOST_SHORT, MOST_FIRST = 15, 8
"""Rows shown of what is short, and of late orders and errors each; the other sheets have them all."""

COLUMNS = (Column("about", TEXT, 16), Column("what", TEXT, 30), Column("answer", TEXT, 96))

Fact = tuple[str, str]
"""What it is, and the answer."""


def glance(week: Week) -> Table:
    """Sections of facts: verdict, jobs, shortages, orders, what to do first, rows, inputs, cells and more."""
    sections = (
        ("verdict", _verdict_facts(week)),
        ("jobs", _job_facts(week)),
        ("short, by day", _short_facts(week)),
        ("order value", _order_facts(week)),
        ("do first", _first_facts(week)),
        ("rows", _row_facts(week)),
        ("inputs", map(_input_fact, week.files)),
        ("cells", ((f"{cell.sheet} ({cell.file})", account_text(cell)) for cell in week.cells)),
        ("this run", _run_facts(week)),
        ("settings", _setting_facts(week.settings)),
        ("cautions", (("before and after the work", caution) for caution in CAUTIONS)),
    )
    rows: list[Row] = [(about, *fact) for about, facts in sections for fact in facts]
    return table("At a glance", f"At a glance, {period_text(week)}", COLUMNS, rows)


def _verdict_facts(week: Week) -> Iterator[Fact]:
    yield period_text(week), verdict(week)
    if proposed := proposed_text(week):
        yield "shelf levels", proposed
    if bought := [part for part in week.parts if part.shortfall > 0]:
        yield (
            "to do every job on its day",
            f"{count_text(len(bought), 'part')} must be bought: see Shortfalls.",
        )
    if week.jobs:
        yield "choice of kits", choice_text(week)
    if set_aside := sum(tally.set_aside for tally in week.rows.values()):
        yield "not in this answer", f"{count_text(set_aside, 'row')} set aside: see Problems."


def _job_facts(week: Week) -> Iterator[Fact]:
    kits = Counter(job.kit for job in week.jobs)
    yield COMPLETE, f"{count_text(kits[COMPLETE], 'job')}, served from the shelf alone"
    yield (
        WAITS,
        f"{count_text(kits[WAITS], 'job')} relying on something on order, or {BACK_TO_STOCK}, by its day",
    )
    if kits[TO_ORDER]:
        yield (
            TO_ORDER,
            f"{count_text(kits[TO_ORDER], 'job')} that can be done if what lacks is ordered in time",
        )
    yield SHORT, f"{count_text(kits[SHORT], 'job')} without a complete kit on its day"
    if kits[DONE]:
        yield DONE, f"{count_text(kits[DONE], 'job')} that a closing says are done"
    if week.others:
        short = sum(result.kit == SHORT for result in week.others)
        beside = f"{count_text(len(week.others), 'job')} of other days that take parts too, {short} short"
        yield "beside", f"{beside}: see Other jobs that count."


def _short_facts(week: Week) -> Iterator[Fact]:
    short = sorted((part for part in week.parts if part.shortfall > 0), key=_first_short)
    if not short:
        yield "nothing", "Nothing is short."
    for part in short[:MOST_SHORT]:
        jobs = some_of([peg.job for peg in part.at_risk])
        risk = f", for {jobs}" if jobs else ""
        yield _day(part.first_short), f"{amount_of(part.shortfall, part.part)}{risk}"
    if len(short) > MOST_SHORT:
        yield "and more", f"{count_text(len(short) - MOST_SHORT, 'part')} more: see Shortfalls."


def _first_short(part: PartResult) -> tuple[date, str]:
    return (part.first_short or date.max, part.part.number)


def _day(day: date | None) -> str:
    return "day not known" if day is None else day_text(day)


def _order_facts(week: Week) -> Iterator[Fact]:
    orders = week.orders
    if not orders:
        yield "nothing", "Nothing needs to be ordered."
    for order in orders:
        late = f", {order.late} late" if order.late else ""
        unpriced = f", {order.unpriced} without a price" if order.unpriced else ""
        values = [f"{money_text(total)} {currency}" for currency, total in order.totals.items()]
        value = " and ".join(values) or "value not known"
        yield order.name, f"{value} ({count_text(len(order.lines), 'line')}{late}{unpriced})"


def _first_facts(week: Week) -> Iterator[Fact]:
    late = [(order.name, line) for order in week.orders for line in order.lines if line.late and line.at_risk]
    errors = [problem for problem in week.problems if problem.severity == ERROR]
    for supplier, line in late[:MOST_FIRST]:
        yield "late order", _late_text(supplier, line)
    if len(late) > MOST_FIRST:
        yield "late orders", f"{len(late) - MOST_FIRST} more: see Shortfalls."
    for problem in errors[:MOST_FIRST]:
        yield str(problem.place), f"{problem.says} {problem.do}"
    if len(errors) > MOST_FIRST:
        yield "errors", f"{len(errors) - MOST_FIRST} more: see Problems."
    if not late and not errors:
        yield "nothing", "No order is late, and no input has an error."


def _late_text(supplier: str, line: PartResult) -> str:
    jobs = some_of([peg.job for peg in line.at_risk])
    risk = f" At risk: {jobs}." if jobs else ""
    wanted = f"{amount_of(line.order, line.part)} ({supplier})"
    return f"Order {wanted}: should have been ordered by {_day(line.order_by)}.{risk}"


def _row_facts(week: Week) -> Iterator[Fact]:
    for sheet, tally in week.rows.items():
        yield sheet, _tally_text(tally)


def _tally_text(tally: Tally) -> str:
    outside = f", {tally.outside_period} outside the period" if tally.outside_period else ""
    return f"{tally.read} read: {tally.used} used, {tally.set_aside} set aside{outside}"


def _input_fact(file: InputFile) -> Fact:
    read_as = f"; read as {file.read_as}" if file.read_as else ""
    return f"{file.name} ({file.role})", f"SHA-256 {file.sha256}{read_as}"


def _run_facts(week: Week) -> Iterator[Fact]:
    yield "program", PROGRAM
    yield "as of", week.as_of.isoformat(" ", "seconds")
    yield "today", _day(week.today)
    yield "period", f"{_day(week.period.first)} to {_day(week.period.last)}"


def _setting_facts(settings: Settings) -> Iterator[Fact]:
    days = settings.days
    yield "working days", ", ".join(DAY_NAMES[day] for day in sorted(days.weekdays))
    yield "holidays", count_text(len(days.holidays), "day")
    yield (
        "inspection",
        f"{count_text(settings.inspection_days, 'working day')} before a part that came off may be used",
    )
    yield f"parts {BACK_TO_STOCK}", "used" if settings.use_recovered else "not used"
    optional = (
        ("length unit", settings.length_unit),
        ("date order", settings.date_order),
        ("decimal mark", settings.decimal),
        ("currency", settings.currency),
        ("country of holidays", " ".join(filter(None, (settings.country, settings.subdivision)))),
    )
    yield from ((what, value) for what, value in optional if value)
