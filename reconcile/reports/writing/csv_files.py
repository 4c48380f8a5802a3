"""Tables as csv files: UTF-8 with a byte-order mark, ISO dates, exact numbers, no formulas.

A text that a spreadsheet program would work out gets an apostrophe in front; see ``values.guard``.
"""

import csv
import unicodedata
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache, partial
from pathlib import Path

from reconcile.reports.writing.files import Writer
from reconcile.reports.writing.grid import Cell, Table
from reconcile.reports.writing.rows_xml import clean
from reconcile.values.guard import guarded
from reconcile.values.measure import quantity_text

LONGEST_NAME = 180
"""Bytes of a file's name that a name from the sheets may fill; common disks take 255 in all."""

DEVICES = frozenset(
    ["con", "prn", "aux", "nul", "conin$", "conout$"]
    + [f"{port}{number}" for port in ("com", "lpt") for number in "0123456789¹²³"]
)
"""Names that Windows keeps for devices, whatever ending follows (Microsoft, "Naming Files, Paths, and
Namespaces", from memory)."""


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
    for table in tables:
        name = stem = safe_file_name(table.name)
        again = 2
        while name.casefold() in outputs:
            name, again = f"{stem} ({again})", again + 1
        outputs[name.casefold()] = (folder / f"{name}.csv", partial(write_csv, table, delimiter=delimiter))
    return list(outputs.values())


def safe_file_name(name: str) -> str:
    """A name from the sheets as a file's, without its ending: ``../x`` never leads out of the folder.

    Letters, digits, blanks, ``-`` and ``_`` stay. So no separator, drive, dot or control character is left.
    """
    composed = unicodedata.normalize("NFC", name)
    safe = "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in composed)
    safe = safe.encode("utf-8", "ignore")[:LONGEST_NAME].decode("utf-8", "ignore").strip()
    return f"{safe}_" if safe.casefold() in DEVICES else safe or "table"


def cell_text(cell: Cell) -> str:
    """A cell in a csv file. Only a text is ever guarded: a number may begin with a minus."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return _harmless(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    return quantity_text(cell) if isinstance(cell, Fraction) else str(cell)


@lru_cache(maxsize=50_000)
def _harmless(text: str) -> str:
    """Most texts of a long table stand in many of its rows."""
    return guarded(clean(text))
