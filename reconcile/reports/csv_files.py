"""Tables as csv files: UTF-8 with a byte-order mark, ISO dates, exact numbers, no formulas."""

import csv
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import partial
from pathlib import Path

from reconcile.reports.files import Writer
from reconcile.reports.grid import Cell, Table
from reconcile.reports.rows_xml import clean
from reconcile.values.measure import quantity_text

STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What makes a spreadsheet program take a text for a formula (OWASP, CSV Injection)."""


def write_csv(table: Table, path: Path, delimiter: str = ",") -> None:
    """Write a table's headings and rows to ``path``, row by row."""
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file, delimiter=delimiter)
        writer.writerow(map(cell_text, table.headings))
        for row in table.rows():
            writer.writerow(map(cell_text, row))


def csv_outputs(tables: Iterable[Table], folder: Path, delimiter: str = ",") -> list[tuple[Path, Writer]]:
    """A file for each table, named after it, with what writes it: for ``files.write_all``."""
    outputs: dict[str, tuple[Path, Writer]] = {}
    for each in tables:
        name = stem = safe_file_name(each.name)
        again = 2
        while name.casefold() in outputs:
            name, again = f"{stem} ({again})", again + 1
        outputs[name.casefold()] = (folder / f"{name}.csv", partial(write_csv, each, delimiter=delimiter))
    return list(outputs.values())


def safe_file_name(name: str) -> str:
    """A table's name as a file's: a supplier called ``../x`` never leads out of the folder."""
    safe = "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in name).strip()
    return safe or "table"


def cell_text(cell: Cell) -> str:
    """A cell in a csv file. Only a text is ever guarded: a number may begin with a minus."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        text = clean(cell)
        return f"'{text}" if text.startswith(STARTS_A_FORMULA) else text
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    return quantity_text(Fraction(cell))
