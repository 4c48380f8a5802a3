"""How far a sheet of an xlsx workbook reaches, seen before the fast reader lays it out.

The fast reader makes a table that spans every filled cell of a sheet. Two cells far apart in a file of a
few hundred bytes would make it ask for more memory than there is, so the spans are looked at first. What a
sheet states as its own size is not believed, either way.
"""

import re
import zipfile
from dataclasses import dataclass

from reconcile.sheets.files.archive import chunks, column_number, sheet_parts
from reconcile.sheets.files.package import part_of_kind
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import DEFAULT_LIMITS, MEGABYTE, Limits

LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
NEAR_ROWS, NEAR_COLUMNS = 99_999, 26
"""Cells with one letter and five digits need no look: a whole sheet of them is small enough."""
WORTH_A_LOOK = 4_000_000
"""Cells spanned, by a generous estimate, from which on every filled cell of the sheet is looked at."""
LOOKED_AT = 1 << 12
SEAM = 64
"""Bytes on each side of a cut in which a formula and the end of its cell may lie apart."""
SHORTEST_CELL = len(b'<c t="s"><v>0</v></c>')

_FAR = re.compile(rb' r="(?:([A-Za-z]{2,})(\d+)|[A-Za-z]?(\d{6,}))')
_ODD = re.compile(rb'<c(?! r="[A-Z])[\s/>]')
"""A cell that does not begin with its place, as every common program writes it."""
_PREFIXED = re.compile(rb"<\w+:(?:worksheet|sheetData)\b")
_FILLED = re.compile(
    rb"<(?:\w+:)?c\b[^<>]*?\sr\s*=\s*[\"']([A-Za-z]+)(\d+)[\"'][^<>]*(?<!/)>(?!</)"
    rb"|<(?:\w+:)?row\b[^<>]*?\sr\s*=\s*[\"'](\d+)[\"'][^<>]*(?<!/)>\s*<(?:\w+:)?c(?![^<>]*\sr\s*=)"
)
_FILLED_COMMON = re.compile(rb'<c r="([A-Z]+)(\d+)"[^<>]*(?<!/)>(?!</)()')
"""The same in a sheet that is written as every common program writes one; several times as fast."""
_BARE = re.compile(rb"<(?:\w+:)?c(?![^<>]*\sr\s*=)[\s/>]")
_UNCACHED = re.compile(rb"(?:/f|<f[^<>]*/)>\s*(?:<v\s*/>|<v>\s*</v>)?\s*</c>")
_SHARED = re.compile(rb't="s"[^<>]*>\s*<v>(\d+)<')


@dataclass(frozen=True, slots=True)
class SheetScan:
    """What a look over a sheet's XML says."""

    hides: bool
    """Some cells seem empty to the fast reader but are not."""
    marked: bool
    """Some rows or columns may be hidden, or some cells merged."""
    common: bool
    """It is written as every common program writes one, so that nothing about its span was missed."""


@dataclass(slots=True)
class _Span:
    """Rows and columns from the first to the last filled cell."""

    first_row: int = LAST_ROW + 1
    last_row: int = 0
    first_column: int = LAST_COLUMN + 1
    last_column: int = 0

    def take(self, row: int, column: int) -> None:
        self.first_row, self.last_row = min(self.first_row, row), max(self.last_row, row)
        self.first_column, self.last_column = min(self.first_column, column), max(self.last_column, column)

    @property
    def rows(self) -> int:
        return max(self.last_row - self.first_row + 1, 0)

    @property
    def columns(self) -> int:
        return max(self.last_column - self.first_column + 1, 0)

    @property
    def cells(self) -> int:
        return self.rows * self.columns


def scan_sheet(
    packed: zipfile.ZipFile, file: str, sheet: str, limits: Limits = DEFAULT_LIMITS, longest_text: int = 0
) -> SheetScan:
    """Looks over the XML of a sheet before the fast reader does.

    ``longest_text``: bytes of the longest shared text, which any number of cells may repeat. Raises
    Unusable: file-too-large for a sheet whose filled cells span or repeat too much, file-suspect for a
    document type declaration, file-broken for a part that does not expand.
    """
    hides, marked, common = False, False, True
    parts, told = _parts_of(packed, sheet)
    for part in parts:
        # So many cells at most can a sheet of this size hold that show a shared text.
        texts_matter = longest_text * (packed.getinfo(part).file_size // SHORTEST_CELL) > limits.expanded
        look = _look(packed, part, file, texts_matter)
        if look.at_most > WORTH_A_LOOK:
            span = _true_span(packed, part, file, look.common, limits.cells)
            if span.cells > limits.cells:
                raise Unusable(too_many_cells(file, sheet, (span.rows, span.columns), limits))
        if look.shared * longest_text > limits.expanded:
            _refuse_repeated_texts(packed, part, (file, sheet), limits)
        hides, marked, common = hides or look.hides, marked or look.marked, common and look.common
    return SheetScan(hides, marked, common and told)


def longest_shared_text(packed: zipfile.ZipFile, file: str) -> int:
    """Bytes of the longest text that the cells of an xlsx workbook share, its tags counted in."""
    return max(_shared_lengths(packed, file), default=0)


def too_many_cells(file: str, sheet: str, span: tuple[int, int], limits: Limits, last: str = "") -> Problem:
    """The problem of a sheet that spans more cells than the limit; ``last``: its last filled cell."""
    rows, columns = span
    return problem(
        "file-too-large",
        Place(file, sheet, last),
        f"The sheet spans at least {rows} rows and {columns} columns; the limit is {limits.cells} cells.",
        do="Delete the cells that lie far from the table, split the sheet, or raise cells under [limits] in "
        "the settings.",
    )


def _parts_of(packed: zipfile.ZipFile, sheet: str) -> tuple[list[str], bool]:
    """The sheet's part, and true; every worksheet, and false, where the sheet's own cannot be told."""
    part = sheet_parts(packed).get(sheet)
    names = packed.namelist()
    if part in names:
        return [str(part)], True
    return [name for name in names if "worksheets/" in name and name.endswith(".xml")], False


@dataclass(slots=True)
class _Look:
    """A cheap look over a sheet: ``at_most`` cells that it surely does not span more than."""

    at_most: int = NEAR_ROWS * NEAR_COLUMNS
    hides: bool = False
    marked: bool = False
    common: bool = True
    shared: int = 0
    """Cells that show a shared text."""


def _look(packed: zipfile.ZipFile, part: str, file: str, texts_matter: bool) -> _Look:
    """Looks only for far cells, which costs a tenth of looking at every cell.

    A sheet written in an uncommon way gets the greatest span there is, so that every cell is looked at.
    """
    look, rows, columns = _Look(), NEAR_ROWS, NEAR_COLUMNS
    end = b""
    for chunk in chunks(packed, part, file):
        look.hides = look.hides or _hides(chunk) or _UNCACHED.search(end + chunk[:SEAM]) is not None
        end = chunk[-SEAM:]
        look.marked = look.marked or b"hidden" in chunk or b"mergeCell" in chunk
        look.common = look.common and not (_ODD.search(chunk) or _PREFIXED.search(chunk, 0, LOOKED_AT))
        if rows * columns <= WORTH_A_LOOK:
            for letters, row, lone_row in _FAR.findall(chunk):
                rows = max(rows, _row_number(row or lone_row))
                columns = max(columns, _far_column(letters))
        look.shared += chunk.count(b't="s"') if texts_matter else 0
    if not look.common:
        return _Look(LAST_ROW * LAST_COLUMN, True, True, False, look.shared)
    look.at_most = rows * columns
    return look


def _hides(chunk: bytes) -> bool:
    """Whether a cell may state an error, its kind quoted in either way, or a formula without a result."""
    if b'"e"' in chunk or (b"'" in chunk and b"'e'" in chunk):
        return True
    return b"<f" in chunk and _UNCACHED.search(chunk) is not None


def _row_number(digits: bytes) -> int:
    """A row's number; just past the last row for one with more digits than any row has."""
    return int(digits) if len(digits) < 8 else LAST_ROW + 1


def _far_column(letters: bytes) -> int:
    """A column's number; just past the last column for one with more letters than any column has."""
    return column_number(letters.decode()) if len(letters) < 4 else LAST_COLUMN + 1


def _true_span(packed: zipfile.ZipFile, part: str, file: str, common: bool, most: int) -> _Span:
    """From the first to the last filled cell; formatted blank ones count for nothing.

    Ends early once there are more than ``most`` cells.
    """
    span, bare = _Span(), 0
    filled = _FILLED_COMMON if common else _FILLED
    for chunk in chunks(packed, part, file):
        if common and b"</c>" not in chunk:
            continue
        for letters, digits, bare_row in filled.findall(chunk):
            span.take(_row_number(digits or bare_row), _far_column(letters) if letters else 1)
        if span.cells > most:
            return span
        bare += 0 if common else sum(1 for _ in _BARE.finditer(chunk))
    if bare:
        # Cells without a place stand one right of the other, so the row may reach as far as there are any.
        span.take(max(span.last_row, 1), min(max(span.last_column, bare), LAST_COLUMN))
        span.first_column = 1
    return span


def _shared_lengths(packed: zipfile.ZipFile, file: str) -> list[int]:
    texts = part_of_kind(packed, "sharedStrings")
    if not texts:
        return []
    lengths, rest = [], 0
    for chunk in chunks(packed, texts, file):
        first, *more = chunk.split(b"</si>")
        lengths.append(rest + len(first))
        lengths += map(len, more)
        rest = lengths.pop()
    return [*lengths, rest]


def _refuse_repeated_texts(
    packed: zipfile.ZipFile, part: str, place: tuple[str, str], limits: Limits
) -> None:
    """Adds up the shared texts as often as cells show them: one long text in many cells is a bomb too."""
    file, sheet = place
    lengths = _shared_lengths(packed, file)
    total = 0
    for chunk in chunks(packed, part, file):
        for number in _SHARED.findall(chunk):
            if len(number) < 8 and int(number) < len(lengths):
                total += lengths[int(number)]
        if total > limits.expanded:
            says = f"The texts of the sheet come to more than the limit of {limits.expanded // MEGABYTE} MB."
            raise Unusable(problem("file-too-large", Place(file, sheet), says))
