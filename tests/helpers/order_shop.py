"""A small shop for tests of orders: jobs of four weeks, two suppliers, and parts that run short at once."""

from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path

import closing_shop
import openpyxl
from books import workbook
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.plan.ordering.standing import lines_of
from reconcile.values.orders.lines import OrderLine

FRIDAY_BEFORE = date(2026, 11, 27)
MON, TUE, WED, THU, FRI = (date(2026, 11, 30), *(date(2026, 12, day) for day in range(1, 5)))
NEXT_MON = date(2026, 12, 7)
REFERENCE = "2026-W49-NORD"
SETTINGS = """currency = "EUR"
[workshop]
name = "Tern Lane Frame Workshop"
address = ["12 Tern Lane"]
city = "Ostwick"
"""
STOCK = [
    ("part", "bin", "description", "on hand", "unit", "pack", "supplier", "supplier part", "price",
     "currency", "lead time days", "minimum order"),
    ("CLIP", "A1", "spring clip", 6, "each", 10, "NORD", "N-77", 0.1, "EUR", 2, 20),
    ("GLUE", "B1", "glue", "25 mL", "mL", None, "OSTW", "O-1", 2, "EUR", 2, None),
    ("PAN-14", "C1", "seat pan 14", 9, "each", None, "NORD", "N-14", 12, "EUR", 3, None),
    ("PAN-10", "C2", "seat pan 10", 1, "each", None, "NORD", "N-10", 11, "EUR", 3, None),
    ("TIE", "D1", "cable tie", 3, "pack", 100, "OSTW", "O-9", 0.02, "EUR", 2, None),
]  # fmt: skip
PLAIN_ORDERS = [
    ("order", "part", "quantity", "due"),
    ("PO-1", "PAN-14", 4, date(2026, 12, 9)),
]
FULL_ORDERS = [
    ("order", "line", "part", "quantity", "due", "supplier", "placed", "answered", "price", "note"),
    ("PO-1", 1, "PAN-14", 4, date(2026, 12, 9), "NORD", date(2026, 11, 20), None, 12, None),
]
USAGE = [("date", "part", "quantity", "job"), (date(2026, 11, 20), "CLIP", 4, "J-1")]
SUPPLIERS = [
    ("supplier", "name", "email"),
    ("NORD", "Nordholm Fittings", "orders@nordholm.example"),
    ("OSTW", "Ostwickle Sundries", "post@ostwickle.example"),
]


def shop(folder: Path, orders: list = FULL_ORDERS, stock: list = STOCK) -> Path:
    """The shop's folder; every job takes 4 CLIP, 0.1 mL GLUE and a PAN-14, and gives back a PAN-10."""
    (folder / "frames").mkdir(parents=True)
    (folder / "frames" / "ZB-1.toml").write_text(closing_shop.FRAME, "utf-8")
    (folder / "reconcile.toml").write_text(SETTINGS, "utf-8")
    workbook(folder / "jobs.xlsx", Jobs=closing_shop.jobs_of())
    sheets = {"Stock": stock, **({"On_order": orders} if orders else {}), "Suppliers": SUPPLIERS}
    workbook(folder / "stock.xlsx", **sheets, Usage=USAGE)
    return folder


def call(day: date, *words: object):
    """A command, by its words, as a person types it on a day."""
    return CliRunner().invoke(app, [*(str(word) for word in words), "--today", day.isoformat()])


def fine(day: date, *words: object) -> str:
    answer = call(day, *words)
    assert answer.exit_code in (0, 1), answer.output + answer.stderr
    return answer.stdout


def flowing(text: str) -> str:
    return " ".join(text.split())


def refused(day: date, *words: object) -> str:
    """What standard error says of a command that is refused, on one line."""
    answer = call(day, *words)
    assert answer.exit_code == 2, answer.output
    return flowing(answer.stderr)


def planned(folder: Path, day: date = FRIDAY_BEFORE, week: str = "2026-W49") -> Path:
    """The order workbook of a week."""
    fine(day, "week", folder, "--week", week, "--force")
    return folder / "reports" / f"order-{week}.xlsx"


def placed(folder: Path, day: date = FRIDAY_BEFORE, which: str = REFERENCE) -> str:
    return fine(day, "orders", folder, "--placed", which, "--replace")


def on_order(folder: Path) -> list[dict[str, object]]:
    """The filled rows of the sheet On order, by heading."""
    page = openpyxl.load_workbook(folder / "stock.xlsx")["On order"]
    headings = [cell.value for cell in page[1]]
    rows = (dict(zip(headings, row, strict=True)) for row in page.iter_rows(min_row=2, values_only=True))
    return [row for row in rows if any(cell is not None for cell in row.values())]


def to_come(folder: Path) -> dict[tuple[str, str], Fraction]:
    """What the sheet says is to come, by order and part."""
    found: dict[tuple[str, str], Fraction] = {}
    for row in on_order(folder):
        key = (str(row["order"]), str(row["part"]))
        found[key] = found.get(key, Fraction(0)) + Fraction(str(row["quantity"]))
    return found


def lines(folder: Path) -> dict[tuple[str, str], OrderLine]:
    """The lines by the ledger, by order and part."""
    ledger = open_ledger(folder / "stock-ledger.sqlite", create=False)
    assert ledger is not None
    with ledger:
        return {(line.order, line.part): line for line in lines_of(ledger.order_entries()).values()}


def order_sheet(book: Path, sheet: str = "Nordholm Fittings"):
    """An open order workbook, the sheet of a supplier, and where its headings and rows are."""
    opened = openpyxl.load_workbook(book)
    page = opened[sheet]
    top = next(row for row in range(1, 60) if page.cell(row, 3).value == "our part")
    columns = {cell.value: cell.column for cell in page[top]}
    rows = {}
    for row in range(top + 1, page.max_row + 1):
        if (part := page.cell(row, columns["our part"]).value) is not None:
            rows[part] = row
    return opened, page, columns, rows


def edited(book: Path, change: Callable, sheet: str = "Nordholm Fittings") -> Path:
    """``change(page, columns, rows)`` as a buyer's hands would do it, and saved."""
    opened, page, columns, rows = order_sheet(book, sheet)
    change(page, columns, rows)
    opened.save(book)
    return book


def quantity(part: str, number: object) -> Callable:
    def change(page, columns, rows) -> None:
        page.cell(rows[part], columns["quantity"]).value = number

    return change
