"""A small shop for tests of closings: one frame, jobs of four weeks, and a stock workbook."""

import shutil
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

from books import workbook
from typer.testing import CliRunner

from reconcile.cli import app

MONDAY = date(2026, 11, 30)
WEEKS = tuple(f"2026-W{number}" for number in (49, 50, 51, 52))
FRAME = """
code = "ZB-1"
source = "build sheet Z"
[[adjustment]]
name = "back height"
minimum = "10 in"
maximum = "14 in"
step = "1/2 in"
sides = 1
[[adjustment.sized]]
name = "back panel"
sizes = [
    { from = "10 in", to = "10 in", part = "PAN-10" },
    { from = "10 1/2 in", to = "14 in", part = "PAN-14" },
]
reuse = "after inspection"
[[adjustment.disturbed]]
part = "CLIP"
quantity = "4 each"
[[adjustment.disturbed]]
part = "GLUE"
quantity = "0.1 mL"
"""
STOCK = [
    ("part", "bin", "on hand", "allocated", "unit", "pack"),
    ("CLIP", "A1", 30, 2, "each", None),
    ("GLUE", "B1", "25 mL", None, "mL", None),
    ("CLIP", "A2", 40, None, "each", None),
    ("PAN-14", "C1", 9, None, "each", None),
    ("PAN-10", "C2", 1, None, "each", None),
    ("TIE", "D1", 3, None, "pack", 100),
]
ON_ORDER = [
    ("order", "part", "quantity", "due"),
    ("PO-1", "CLIP", 20, date(2026, 12, 2)),
    ("PO-2", "TIE", 2, date(2026, 12, 9)),
]
USAGE = [("date", "part", "quantity", "job"), (date(2026, 11, 20), "CLIP", 4, "J-1")]


def jobs_of(weeks: int = 4, each: int = 2) -> list[tuple]:
    rows: list[tuple] = [("job", "date", "frame", "from", "to")]
    for week in range(weeks):
        for number in range(each):
            day = MONDAY + timedelta(days=7 * week + number)
            rows.append((f"J-{week + 1}{number:02}", day, "ZB-1", "10 in", "11 in"))
    return rows


def shop(folder: Path) -> Path:
    """The shop's folder, with a job on the first two days of each of four weeks."""
    (folder / "frames").mkdir(parents=True)
    (folder / "frames" / "ZB-1.toml").write_text(FRAME, "utf-8")
    (folder / "reconcile.toml").write_text('currency = "EUR"\n', "utf-8")
    workbook(folder / "jobs.xlsx", Jobs=jobs_of())
    workbook(folder / "stock.xlsx", Stock=STOCK, On_order=ON_ORDER, Usage=USAGE)
    return folder


def call(*words: object):
    """A command, by its words, as a person on Friday 27 November 2026 types it."""
    return CliRunner().invoke(app, [*(str(word) for word in words), "--today", "2026-11-27"])


def fine(*words: object) -> str:
    """The command's answer; fails unless it went well, or only told that something is short."""
    answer = call(*words)
    assert answer.exit_code in (0, 1), answer.output
    return answer.stdout


def refused(*words: object) -> str:
    """What standard error says of a command that is refused, on one line."""
    answer = call(*words)
    assert answer.exit_code == 2, answer.output
    return " ".join(answer.stderr.split())


def returns_of(folder: Path, week: str) -> Path:
    """The returns workbook that the weekly run writes."""
    fine("week", folder, "--week", week, "--force")
    return folder / "reports" / f"returns-{week}.xlsx"


Row = dict[str, object]


def fill(path: Path, sheet: str, change: Callable[[Row], Row | None]) -> Path:
    """Each row of a sheet through ``change``, which gives what to fill in, by heading."""
    import openpyxl

    book = openpyxl.load_workbook(path)
    page = book[sheet]
    headings = [cell.value for cell in page[1]]
    for row in page.iter_rows(min_row=2):
        values = dict(zip(headings, (cell.value for cell in row), strict=True))
        for heading, value in (change(values) or {}).items():
            row[headings.index(heading)].value = value
    book.save(path)
    return path


def add(path: Path, sheet: str, **values: object) -> Path:
    """A row below the others."""
    import openpyxl

    book = openpyxl.load_workbook(path)
    page = book[sheet]
    page.append([values.get(str(cell.value).replace(" ", "_")) for cell in page[1]])
    book.save(path)
    return path


def all_done(path: Path) -> Path:
    return fill(path, "Done", lambda row: {"done": "yes"})


def on_hand(path: Path) -> dict[tuple[str, str], Fraction]:
    """What the stock workbook says, by part and bin, read as the weekly run reads it."""
    from reconcile.plan.closing.movements import on_shelves
    from reconcile.sheets.files.books import open_book
    from reconcile.sheets.settings.file import read_settings
    from reconcile.sheets.stock.workbook import read_stock

    beside = path.with_name("reconcile.toml")
    settings = read_settings(beside if beside.exists() else None, MONDAY)
    read = read_stock(open_book(path), settings, MONDAY)
    return {key: quantity for key, (quantity, _, _) in on_shelves(read.stock).items()}


def copied(folder: Path, to: Path) -> Path:
    shutil.rmtree(to, ignore_errors=True)
    return shutil.copytree(folder, to)
