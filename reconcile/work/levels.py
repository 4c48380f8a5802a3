"""What ``reconcile levels`` does: stock read, the shelf surveyed, and told."""

from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path

from reconcile.plan.levels.survey import survey
from reconcile.plan.levels.usage import monday
from reconcile.reports.levels.book import level_outputs
from reconcile.reports.levels.json import levels_json, part_json
from reconcile.reports.levels.screen import levels_screen, part_screen
from reconcile.reports.outputs import same_file
from reconcile.reports.writing.files import write_all
from reconcile.sheets.files.books import open_book
from reconcile.sheets.finding import call_fault, find_settings, settings_and_base, stock_path
from reconcile.sheets.request import Request
from reconcile.sheets.stock.workbook import StockRead, read_stock
from reconcile.values.days import week_of
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.week.levels import PartLevels, Survey
from reconcile.values.week.results import Solution, Week
from reconcile.values.words import nearest
from reconcile.work.planning import READING
from reconcile.work.stages import Stage

SURVEYING = "Working out shelf levels"


def surveyed(request: Request, stage: Stage) -> tuple[Survey, Week]:
    """The survey, and the page that its workbook is printed on.

    Jobs and frames are not looked at. Raises Unusable as reading settings and stock does.
    """
    stage(READING)
    settings, _ = settings_and_base(request)
    today = request.today or date.today()
    path = stock_path(request)
    book = open_book(path, settings.limits, settings.csv_form)
    read = read_stock(book, settings, today)
    stage(SURVEYING)
    problems = (*book.problems, *read.problems)
    found = survey(read.stock, today, settings.days, settings.levels, path.name, problems)
    return found, page_of(read, settings, today)


def page_of(read: StockRead, settings: Settings, today: date) -> Week:
    """The week of today without any job: what a page's foot and its paper are made from."""
    return Week(
        period=week_of(monday(today), settings.days, []), today=today, as_of=datetime.now(),
        jobs=(), parts=(), solution=Solution(), problems=(), rows=dict(read.tallies),
        settings=settings, stock=read.stock, frames={},
    )  # fmt: skip


def answer(found: Survey, part: str, json: bool) -> str:
    """The text or the object, for one part or for all."""
    if not part:
        return levels_json(found) if json else levels_screen(found)
    levels = part_named(found, part)
    return part_json(levels) if json else part_screen(levels)


def part_named(found: Survey, number: str) -> PartLevels:
    for level in found.levels:
        if level.part.number == number:
            return level
    like = nearest(number, [level.part.number for level in found.levels])
    says = f"There is no part {number!r}." + (f" Nearest: {', '.join(like)}." if like else "")
    raise Unusable(call_fault("--part", says))


def write_book(found: Survey, page: Week, out: Path, request: Request, force: bool) -> list[Path]:
    """Writes the workbook. Raises Unusable: no xlsx, one of the inputs, or as ``write_all`` does."""
    if out.suffix.lower() != ".xlsx":
        raise Unusable(call_fault("--out", f"{out} is no name for a workbook: end it in .xlsx."))
    if any(same_file(out, read_file) for read_file in read_files(request)):
        raise Unusable(problem("output-is-input", Place(out.name), f"{out} is one of the inputs."))
    write_all(level_outputs(found, page, out), force)
    return [out]


def read_files(request: Request) -> Sequence[Path]:
    """What must not be written over: settings, stock with every file of its folder, and jobs."""
    stock = stock_path(request)
    near = [path for path in (request.jobs, find_settings(request)) if path is not None]
    near += sorted(request.folder.glob("jobs.*"))
    return [*near, *(sorted(stock.iterdir()) if stock.is_dir() else [stock])]
