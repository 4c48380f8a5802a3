"""Writes small workbooks and csv files for tests."""

import io
import zipfile
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

Rows = Iterable[Sequence[Any]]
SHEET = "xl/worksheets/sheet1.xml"


def workbook(path: Path, **sheets: Rows) -> Path:
    """An xlsx file; a sheet's name is its keyword with _ for a blank: ``On_order=[...]``."""
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name.replace("_", " "))
        for row in rows:
            sheet.append(list(row))
    book.save(path)
    return path


def csv_file(path: Path, text: str, encoding: str = "utf-8") -> Path:
    """A csv file of exactly this text."""
    path.write_bytes(text.encode(encoding))
    return path


def altered(path: Path, change: Callable[[bytes], bytes], part: str = SHEET) -> Path:
    """The same xlsx file with one of its parts changed."""
    with zipfile.ZipFile(path) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    parts[part] = change(parts[part])
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in parts.items():
            new.writestr(name, data)
    path.write_bytes(packed.getvalue())
    return path


def flat(problems: Iterable[Any]) -> list[tuple[str, str]]:
    """Problems as (cell, code) pairs in their order; the sheet's name where no cell is named."""
    return [(each.place.cell or each.place.sheet, each.code) for each in problems]
