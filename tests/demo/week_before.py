"""The week before: planned on Friday 20 November, closed a week later, and a job held for the second week."""

import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from demo.tables import TODAY
from reconcile.cli import app

WEEK, PLANNED_ON = "2026-W48", "2026-11-20"
DONE = ("J-4091", "J-4092", "J-4093")
HALF_DONE, HALF_DONE_SIDE = "J-4094", "left"
"""The fifth job of that week, J-4095, was not begun."""
HELD = (
    "J-4170", "--frame", "BD-A4", "--adjustment", "back height", "--from", "14 in", "--to", "16 in",
    "--date", "2026-12-09",
)  # fmt: skip
WHO = ("--who", "stores desk")

Row = dict[str, object]


def books_after(books: dict[str, bytes], demo: Path) -> dict[str, bytes]:
    """The stock workbook and the ledger after that week; from the workbooks before it, by file name."""
    with TemporaryDirectory() as made:
        folder = Path(made)
        for name, content in {**books, "reconcile.toml": (demo / "reconcile.toml").read_bytes()}.items():
            (folder / name).write_bytes(content)
        (folder / "frames").symlink_to(demo / "frames")
        run("week", folder, "--week", WEEK, "--today", PLANNED_ON)
        fill_in(folder / "reports" / f"returns-{WEEK}.xlsx")
        run("close", folder, "--week", WEEK, "--replace", *WHO, "--today", TODAY)
        run("check", *HELD, "--hold", "--in", folder, *WHO, "--today", TODAY)
        return {name: (folder / name).read_bytes() for name in ("stock.xlsx", "stock-ledger.sqlite")}


def run(*words: object) -> None:
    """A command by its words; its output goes to standard error, so that two runs can be compared."""
    from typer.testing import CliRunner

    answer = CliRunner().invoke(app, [str(word) for word in words])
    if answer.exit_code not in (0, 1):
        print(answer.output, file=sys.stderr)
        raise SystemExit(answer.exit_code)


def fill_in(path: Path) -> None:
    """As the technicians gave it back: three jobs done, one side of a fourth, none of the fifth."""
    import openpyxl

    book = openpyxl.load_workbook(path)
    fill(book["Done"], lambda row: {"done": said_of(str(row["job"]))})
    fill(book["Lines"], half_done)
    book.save(path)


def said_of(job: str) -> str:
    if job == HALF_DONE:
        return "part"
    return "yes" if job in DONE else "no"


def half_done(row: Row) -> Row:
    if row["job"] != HALF_DONE or row["side"] != HALF_DONE_SIDE:
        return {}
    filled = "used" if row["do"] == "fit" else "returned"
    return {filled: row["planned"]}


def fill(page: "object", change: Callable[[Row], Row]) -> None:
    headings = [cell.value for cell in page[1]]
    for cells in page.iter_rows(min_row=2):
        row = dict(zip(headings, (cell.value for cell in cells), strict=True))
        for heading, value in change(row).items():
            cells[headings.index(heading)].value = value
