"""Propose shelf levels: stock read, the shelf surveyed, the workbook written. Nothing is applied."""

from collections.abc import Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from reconcile.plan.levels.studies import with_lead_times
from reconcile.plan.levels.survey import survey
from reconcile.reports.levels.book import level_outputs
from reconcile.reports.levels.trade import write_trade_picture
from reconcile.reports.outputs import same_file
from reconcile.reports.writing.files import write_all
from reconcile.sheets.files.books import open_book
from reconcile.sheets.finding import Located, call_fault, find_settings, stock_path
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.week.levels import PartLevels, ReplayResult, Survey
from reconcile.values.week.results import Inputs
from reconcile.work.naming import part_called
from reconcile.work.stages import READING, SURVEYING, WRITING, Stage, unwatched

HELD_OUT = 13
"""Weeks that a replay holds out and draws from: a quarter."""


def survey_shelf(places: Located, stage: Stage = unwatched) -> Survey:
    """Jobs and frames are not looked at. Raises Unusable as reading stock does."""
    stage(READING)
    settings, path = places.settings, stock_path(places)
    book = open_book(path, settings.limits, settings.csv_form)
    read = read_stock(book, settings, places.today)
    stage(SURVEYING)
    problems = (*book.problems, *read.problems)
    stock = with_lead_times(read.stock, settings.lead_time_days)
    return survey(stock, places.today, settings.days, settings.levels, path.name, problems)


def replay_shelf(places: Located, stage: Stage = unwatched) -> ReplayResult:
    """The last quarter of recorded use held out, and drawn again many times. Raises Unusable, as above, or
    where no part has levels to replay (call-unusable).
    """
    from reconcile.plan.levels.replay import Plan, replay  # few ask

    stage(READING)
    settings, path = places.settings, stock_path(places)
    read = read_stock(open_book(path, settings.limits, settings.csv_form), settings, places.today)
    stage(SURVEYING)
    plan = Plan(weeks=HELD_OUT, held_back=HELD_OUT)
    try:
        stock = with_lead_times(read.stock, settings.lead_time_days)
        return replay(stock, places.today, settings.days, settings.levels, plan)
    except ValueError:
        says = (
            f"No part has levels to replay: it takes use in at least 13 weeks before the last {HELD_OUT},"
            " which are held out."
        )
        raise Unusable(call_fault("--replay", says)) from None


def survey_of(inputs: Inputs) -> Survey:
    """The same of inputs that were read."""
    settings = inputs.settings
    stock = with_lead_times(inputs.stock, settings.lead_time_days)
    return survey(stock, inputs.today, settings.days, settings.levels)


def part_named(found: Survey, number: str) -> PartLevels:
    """A part of the survey. Raises Unusable (call-unusable) for one that is not there."""
    levels = {level.part.number: level for level in found.levels}
    return levels[part_called(number, levels, "--part")]


def write_asked(
    found: Survey,
    places: Located,
    out_picture: tuple[Path | None, Path | None],
    stage: Stage = unwatched,
    *,
    force: bool = False,
) -> list[Path]:
    """Writes the workbook and the drawing that were asked for. Raises Unusable as either does."""
    out, picture = out_picture
    written: list[Path] = []
    if out is not None or picture is not None:
        stage(WRITING)
    if out is not None:
        written += write_survey(found, out, places, force)
    if picture is not None:
        written += write_picture(found, picture, places, force)
    return written


def write_survey(found: Survey, out: Path, places: Located, force: bool) -> list[Path]:
    """Writes the workbook. Raises Unusable: no xlsx, one of the inputs, or as ``write_all`` does."""
    if out.suffix.lower() != ".xlsx":
        raise Unusable(call_fault("--out", f"{out} is no name for a workbook: end it in .xlsx."))
    if any(same_file(out, read_file) for read_file in files_read(places)):
        raise Unusable(problem("output-is-input", Place(out.name), f"{out} is one of the inputs."))
    settings = places.settings
    foot = found.foot(settings.days, datetime.now(), settings.country)
    write_all(level_outputs(found, foot, out), force)
    return [out]


def write_picture(found: Survey, out: Path, places: Located, force: bool) -> list[Path]:
    """Writes the curve of service against money. Raises Unusable: no svg, nothing with a price, an input."""
    if out.suffix.lower() != ".svg":
        raise Unusable(call_fault("--picture", f"{out} is no name for a drawing: end it in .svg."))
    if any(same_file(out, read_file) for read_file in files_read(places)):
        raise Unusable(problem("output-is-input", Place(out.name), f"{out} is one of the inputs."))
    if found.trade is None:
        says = "Nothing with a price has a proposal, so there is no curve of money and service."
        raise Unusable(call_fault("--picture", says))
    write_all([(out, partial(write_trade_picture, found.trade))], force)
    return [out]


def files_read(places: Located) -> Sequence[Path]:
    """What must not be written over: settings, stock with every file of its folder, and jobs."""
    stock, request = stock_path(places), places.request
    near = [path for path in (request.jobs, find_settings(request)) if path is not None]
    near += sorted(request.folder.glob("jobs.*"))
    return [*near, *(sorted(stock.iterdir()) if stock.is_dir() else [stock])]
