"""Table rows as SpreadsheetML, streamed into the sheets of a workbook that openpyxl has laid out.

openpyxl spends some ten microseconds on a cell, which is seconds for a long week; a row of text joined
here costs a twentieth of that, and a sheet of a million rows never stands in memory. Everything but the
rows (styles, widths, filters, charts, page setup) stays with openpyxl.

Element names and cell types: ECMA-376, part 1, 18.3.1.4 (c), 18.3.1.73 (row), 18.18.11 (ST_CellType).
"""

import re
import shutil
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache, partial
from pathlib import Path
from typing import IO, NamedTuple
from xml.sax.saxutils import escape

from reconcile.reports.writing.grid import Cell
from reconcile.values.measure import decimal_text, plain_number

LONGEST_TEXT = 32_767
"""Characters that a cell can hold."""

CUT = " ... (cut: a cell holds no more)"

Styled = tuple[str, Cell, int]
"""Column letters, value, number of the style."""


class SheetRow(NamedTuple):
    """The cells of a row, and its height in points where it must not be left to the reader's program."""

    cells: Iterable[Styled]
    height: float | None = None
    folded: bool = False
    """Out of sight until somebody opens the row above it."""
    closed: bool = False
    """Rows are folded under it."""


class Poured(NamedTuple):
    """What is put into an empty sheet."""

    rows: Iterable[SheetRow]
    joined: Sequence[str] = ()
    """Cells that are one, ``C5:H5``, beside those that the sheet has joined already: at least one."""


_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_DAY_ZERO = date(1899, 12, 30).toordinal()
_ROWS_AT_ONCE = 500
_EMPTY_ROWS = re.compile(rb"<sheetData\s*/>|<sheetData>\s*</sheetData>")
_JOINED = re.compile(rb'<mergeCells count="(\d+)">((?:<mergeCell [^>]*/>)+)</mergeCells>')
_REPEATED = 50_000
"""Texts that are kept as they are written: most of a long table stand in many of its rows."""


def clean(text: str) -> str:
    """The text without characters that no XML file may hold, and no longer than a cell can be."""
    kept = _NOT_IN_XML.sub("", text)
    return kept if len(kept) <= LONGEST_TEXT else kept[: LONGEST_TEXT - len(CUT)] + CUT


def pour(laid_out: IO[bytes], path: Path, sheets: Mapping[str, Poured]) -> None:
    """Write the workbook to ``path`` with rows put into its empty sheets; ``sheets`` is by member name."""
    with (
        zipfile.ZipFile(laid_out) as source,
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as target,
    ):
        for member in source.infolist():
            if member.filename in sheets:
                _pour_sheet(source.read(member), target, member.filename, sheets[member.filename])
            else:
                with source.open(member) as old, target.open(member.filename, "w") as new:
                    shutil.copyfileobj(old, new)


def _pour_sheet(empty: bytes, target: zipfile.ZipFile, name: str, poured: Poured) -> None:
    before, after = _EMPTY_ROWS.split(empty)
    if poured.joined:
        after = _JOINED.sub(partial(_join_more, poured.joined), after)
    with target.open(name, "w", force_zip64=True) as sheet:
        sheet.write(before + b"<sheetData>")
        waiting: list[str] = []
        for text in _row_texts(poured.rows):
            waiting.append(text)
            if len(waiting) == _ROWS_AT_ONCE:
                sheet.write("".join(waiting).encode())
                waiting.clear()
        sheet.write("".join(waiting).encode() + b"</sheetData>" + after)


def _row_texts(rows: Iterable[SheetRow]) -> Iterator[str]:
    for number, (cells, height, folded, closed) in enumerate(rows, 1):
        tall = "" if height is None else f' ht="{height:g}" customHeight="1"'
        tall += ' outlineLevel="1" hidden="1"' if folded else ' collapsed="1"' if closed else ""
        inner = [f'<c r="{at}{number}{_behind_place(value, style)}' for at, value, style in cells]
        yield f'<row r="{number}"{tall}>{"".join(inner)}</row>'


def _behind_place(value: Cell, style: int) -> str:
    """A cell, but for where it stands."""
    if value is None or isinstance(value, str):
        return _text_cell(value, style)
    return f'" s="{style}"><v>{number_text(value)}</v></c>'


@lru_cache(maxsize=_REPEATED)
def _text_cell(value: str | None, style: int) -> str:
    """A text is written as a text whatever it begins with, so it can never be a formula."""
    if not value:
        return f'" s="{style}"/>'
    text = escape(clean(value))
    return f'" s="{style}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def _join_more(joined: Sequence[str], found: re.Match[bytes]) -> bytes:
    """Joined cells behind those that openpyxl has written where they belong; it takes long over many."""
    more = "".join([f'<mergeCell ref="{cells}" />' for cells in joined])
    return b'<mergeCells count="%d">%b%b</mergeCells>' % (
        int(found[1]) + len(joined),
        found[2],
        more.encode(),
    )


def number_text(value: int | Fraction | Decimal | date) -> str:
    """The exact decimal where there is one; a third can only be the nearest float."""
    if isinstance(value, int):
        return str(value)
    if isinstance(value, date):
        return str(value.toordinal() - _DAY_ZERO)
    if isinstance(value, Decimal):
        return f"{value:f}"
    return decimal_text(value) or repr(float(plain_number(value)))
