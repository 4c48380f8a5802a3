"""About this run: what the answer rests on, and how good the choice of kits is known to be."""

from collections.abc import Iterator

from reconcile.reports.glance.cells_text import account_text
from reconcile.reports.writing.grid import TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import (
    BACK_TO_STOCK,
    CAUTIONS,
    PROGRAM,
    choice_text,
    count_text,
    day_text,
    period_text,
    proposed_text,
)
from reconcile.values.days import DAY_NAMES
from reconcile.values.settings import Settings
from reconcile.values.week.results import SHORT, InputFile, Tally, Week

COLUMNS = (Column("about", TEXT, 16), Column("what", TEXT, 30), Column("answer", TEXT, 96))

Fact = tuple[str, str]
"""What it is, and the answer."""


def about_run(week: Week) -> Table:
    """Sections of facts: the choice of kits, rows, cells, files with their digests, settings, the run."""
    sections = (
        ("choice of kits", _choice_facts(week)),
        ("rows", _row_facts(week)),
        ("inputs", map(_input_fact, week.files)),
        ("cells", ((f"{cell.sheet} ({cell.file})", account_text(cell)) for cell in week.cells)),
        ("this run", _run_facts(week)),
        ("settings", _setting_facts(week.settings)),
        ("cautions", (("before and after the work", caution) for caution in CAUTIONS)),
    )
    rows: list[Row] = [(about, *fact) for about, facts in sections for fact in facts]
    return table("About this run", f"About this run, {period_text(week)}", COLUMNS, rows)


def _choice_facts(week: Week) -> Iterator[Fact]:
    if week.jobs:
        yield "how good it is", choice_text(week)
    if week.others:
        short = sum(result.kit == SHORT for result in week.others)
        beside = f"{count_text(len(week.others), 'job')} of other days that take parts too, {short} short"
        yield "beside", f"{beside}: see Other jobs that count."
    if proposed := proposed_text(week):
        yield "shelf levels", proposed


def _row_facts(week: Week) -> Iterator[Fact]:
    for sheet, tally in week.rows.items():
        yield sheet, _tally_text(tally)


def _tally_text(tally: Tally) -> str:
    others = (
        (tally.beside, "of other days that count"),
        (tally.done, "done"),
        (tally.outside_period, "that do not count"),
    )
    outside = "".join(f", {count} {what}" for count, what in others if count)
    return f"{tally.read} read: {tally.used} used, {tally.set_aside} set aside{outside}"


def _input_fact(file: InputFile) -> Fact:
    read_as = f"; read as {file.read_as}" if file.read_as else ""
    return f"{file.name} ({file.role})", f"SHA-256 {file.sha256}{read_as}"


def _run_facts(week: Week) -> Iterator[Fact]:
    yield "program", PROGRAM
    yield "as of", week.as_of.isoformat(" ", "seconds")
    yield "today", day_text(week.today)
    yield "period", f"{day_text(week.period.first)} to {day_text(week.period.last)}"


def _setting_facts(settings: Settings) -> Iterator[Fact]:
    days = settings.days
    yield "working days", ", ".join(DAY_NAMES[day] for day in sorted(days.weekdays))
    yield "holidays", count_text(len(days.holidays), "day")
    yield (
        "inspection",
        f"{count_text(settings.inspection_days, 'working day')} before a part that came off may be used",
    )
    yield f"parts {BACK_TO_STOCK}", "used" if settings.use_recovered else "not used"
    yield "weeks looked ahead", count_text(settings.look_ahead_weeks, "week")
    yield "weeks are closed", "yes" if settings.closing else "no: days before today are taken as done"
    yield "bolts of another length", "none is offered" if settings.exact_only else "offered, to be agreed"
    yield "patience", f"{settings.patience:g} seconds for the choice of kits"
    if settings.lead_time_days is not None:
        days_told = count_text(settings.lead_time_days, "working day")
        yield "parts without a lead time", f"{days_told} from order to delivery"
    optional = (
        ("length unit", settings.length_unit),
        ("date order", settings.date_order),
        ("decimal mark", settings.decimal),
        ("currency", settings.currency),
        ("country of holidays", " ".join(filter(None, (settings.country, settings.subdivision)))),
    )
    yield from ((what, value) for what, value in optional if value)
