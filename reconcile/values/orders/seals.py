"""The seal of a sheet: a digest of all that its cells say, wherever they stand and however they look.

It is worked out from what is written, and again from what is read; a workbook that a spreadsheet program
merely opened and saved has the same.
"""

import hashlib
from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

DIGITS = 16


def seal_of(cells: Iterable[object]) -> str:
    """The seal of the filled cells of a sheet, row by row from left to right."""
    said = "\x1f".join(filter(None, map(told, cells)))
    return hashlib.sha256(said.encode("utf-8", "surrogatepass")).hexdigest()[:DIGITS]


def told(cell: object) -> str:
    """A cell as the same text, whether it comes from our values or from a spreadsheet program's."""
    if cell is None or cell == "":
        return ""
    if isinstance(cell, datetime):
        return cell.date().isoformat() if (cell.hour, cell.minute, cell.second) == (0, 0, 0) else str(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, int | float | Decimal | Fraction):
        return f"{float(cell):.12g}"
    return " ".join(str(cell).split())
