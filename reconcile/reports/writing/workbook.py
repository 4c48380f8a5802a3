"""Tables to a workbook: a sheet each, with heading, filter, widths, and a page setup that prints."""

import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, islice
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.writing.file_links import Link
from reconcile.reports.writing.grid import Cell, Row, Table
from reconcile.reports.writing.rows_xml import SheetRow, Styled, clean, pour
from reconcile.reports.writing.styles import FONT, LONGEST_AS_TEXT, POINTS, Styles
from reconcile.reports.writing.widths import column_widths, heading_height, row_height
from reconcile.reports.writing.wording import PROGRAM, period_text
from reconcile.values.week.page_foot import PageFoot

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet
    from openpyxl.worksheet.header_footer import _HeaderFooterPart

SHEET_ROWS = 1_048_576
"""Rows that common spreadsheet programs keep on a sheet."""

MOST_LINKS = 65_530
"""Links that common spreadsheet programs keep on a sheet (from memory)."""

A4, LETTER = 9, 1
"""Paper codes: ECMA-376, part 1, 18.3.1.63 (paperSize)."""

LETTER_COUNTRIES = frozenset(
    ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
)
"""Countries that print on Letter (Unicode CLDR, supplemental data, paperSize; from memory); others on A4."""

MOST_KEPT = 20_000
"""Rows kept between measuring and writing; those of a longer table are made twice to save memory."""

MOST_FROZEN = 25
"""Rows that may stand still on a screen; below more of them nothing would be left to scroll."""

FORBIDDEN_IN_NAME = str.maketrans("", "", "[]:*?/\\")
LONGEST_NAME = 31


HeadRow = Sequence[tuple[int, str, bool]]
"""Texts above a table: each with its column (A is 0), and whether it stands out."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table on a sheet of its own; ``dress`` adds what is particular to it (a chart, a drop-down)."""

    table: Table
    name: str
    landscape: bool = True
    one_page: bool = False
    """Printed on one page, however small; else one page wide and as many as it takes."""
    sections: bool = False
    """Rows with the same first cell make a section, and the first of each stands out."""
    known_as: str = ""
    """A name for the whole table, for formulas elsewhere."""
    page_head: str = ""
    """Printed at the head of every page."""
    head: Sequence[HeadRow] = ()
    """Rows above the headings, with a blank one between; no part of the table."""
    dress: Callable[["WriteOnlyWorksheet"], None] | None = None
    linked: int = 0
    """The column (A is 0) whose cells may be links."""
    links: Mapping[int, Link] = field(default_factory=dict)
    """Where those cells lead, by row of the table from 0."""

    @property
    def heading_row(self) -> int:
        """The row of the headings, from 1."""
        return len(self.head) + 2 if self.head else 1


def write_workbook(foot: PageFoot, path: Path, title: str, sheets: Sequence[Sheet]) -> None:
    """Write one workbook to ``path``. Every cell is a value; nothing is left to be calculated."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook(write_only=True)
    # A column's width is counted in digits of this font.
    book._named_styles["Normal"].font = Font(name=FONT, size=POINTS)
    book.properties.title = title
    book.properties.creator = PROGRAM
    book.properties.created = foot.as_of.replace(tzinfo=None)
    rows: dict[str, Iterable[SheetRow]] = {}
    styles: Styles | None = None
    for number, sheet in enumerate(map(_kept, sheets), 1):
        page = book.create_sheet(sheet.name)
        styles = styles or Styles(page)
        widths = column_widths(sheet.table)
        _lay_out(page, sheet, widths)
        _set_page(page, sheet, foot)
        _add_links(page, sheet)
        rows[f"xl/worksheets/sheet{number}.xml"] = _sheet_rows(sheet, widths, styles)
    laid_out = io.BytesIO()
    book.save(laid_out)
    pour(laid_out, path, rows)


def _kept(sheet: Sheet) -> Sheet:
    """The sheet with its rows made once for all, where they are not too many."""
    table = sheet.table
    if table.count > MOST_KEPT:
        return sheet
    rows = list(table.rows())
    return replace(sheet, table=replace(table, rows=lambda: iter(rows)))


def safe_sheet_name(wanted: str, taken: Iterable[str]) -> str:
    """A name that a sheet may have: no forbidden characters, at most 31, unlike those taken but for case."""
    used = {name.casefold() for name in taken}
    plain = " ".join(clean(wanted).translate(FORBIDDEN_IN_NAME).split()).strip("' ")
    base = plain or "Supplier"
    # One spreadsheet program keeps "History" for itself.
    tails = chain([" orders"] if base.casefold() == "history" else [""], (f" ({n})" for n in range(2, 10**6)))
    names = (_cut(base, LONGEST_NAME - len(tail)).rstrip("' ") + tail for tail in tails)
    return next(name for name in names if name.casefold() not in used)


def _cut(text: str, most: int) -> str:
    """At most so many UTF-16 units, which is how a sheet's name is counted, and no half character."""
    return text.encode("utf-16-le")[: 2 * most].decode("utf-16-le", "ignore")


def _lay_out(page: "WriteOnlyWorksheet", sheet: Sheet, widths: list[int]) -> None:
    from openpyxl.utils import get_column_letter, quote_sheetname
    from openpyxl.workbook.defined_name import DefinedName

    last = get_column_letter(len(widths))
    for number, width in enumerate(widths, 1):
        page.column_dimensions[get_column_letter(number)].width = width
    top = sheet.heading_row
    if top <= MOST_FROZEN:
        page.freeze_panes = f"A{top + 1}"
    page.auto_filter.ref = f"A{top}:{last}{top + sheet.table.count}"
    if sheet.known_as:
        area = f"{quote_sheetname(page.title)}!$A${top}:${last}${top + sheet.table.count}"
        page.parent.defined_names[sheet.known_as] = DefinedName(sheet.known_as, attr_text=area)
    page.print_title_rows = f"{top}:{top}"
    if sheet.dress is not None:
        sheet.dress(page)


def _add_links(page: "WriteOnlyWorksheet", sheet: Sheet) -> None:
    """Makes cells lead elsewhere. Comes last, for the page's writer, which has the links, writes the rest."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.hyperlink import Hyperlink

    if not sheet.links:
        return
    page._get_writer()
    letters, first = get_column_letter(sheet.linked + 1), sheet.heading_row + 1
    for row, link in islice(sheet.links.items(), MOST_LINKS):
        page._hyperlinks.append(
            Hyperlink(ref=f"{letters}{first + row}", target=link.target, location=link.location)
        )


def _set_page(page: "WriteOnlyWorksheet", sheet: Sheet, foot: PageFoot) -> None:
    """A page that prints whole: fit-to-width works only with the sheet's own fit-to-page switched on."""
    from openpyxl.worksheet.properties import PageSetupProperties

    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_setup.paperSize = LETTER if foot.country.upper() in LETTER_COUNTRIES else A4
    page.page_setup.orientation = "landscape" if sheet.landscape else "portrait"
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, int(sheet.one_page)
    margins = page.page_margins
    margins.left = margins.right = 0.4
    margins.top, margins.bottom, margins.header, margins.footer = 0.7, 0.7, 0.3, 0.3
    _say(page.oddHeader.left, sheet.table.title, bold=True)
    _say(page.oddHeader.right, sheet.page_head)
    _say(page.oddFooter.left, period_text(foot))
    _say(page.oddFooter.right, "page &P of &N", code=True)


def _say(region: "_HeaderFooterPart", text: str, *, bold: bool = False, code: bool = False) -> None:
    """Put text into a page's head or foot, where an ampersand begins a code."""
    if text:
        region.text = text if code else clean(text).replace("&", "&&")
        region.size = 10 if bold else 8
        region.font = "Arial,Bold" if bold else "Arial,Regular"


def _sheet_rows(sheet: Sheet, widths: list[int], styles: Styles) -> Iterator[SheetRow]:
    """Heading, rows, totals, and the notes after a blank line."""
    yield from _head_rows(sheet, styles)
    yield _heading_cells(sheet.table, 1, styles), heading_height(sheet.table, widths)
    yield from _body_rows(sheet, widths, styles)
    yield from _foot_rows(sheet.table, styles)


def _head_rows(sheet: Sheet, styles: Styles) -> Iterator[SheetRow]:
    letters = _letters(sheet.table, 1)
    looks = {True: styles.head, False: styles.note}
    for row in sheet.head:
        yield [(letters[place], text, looks[strong]) for place, text, strong in row], None
    if sheet.head:
        yield (), None


def _heading_cells(table: Table, first: int, styles: Styles) -> list[Styled]:
    looks = [styles.heading[column.kind] for column in table.columns]
    return list(zip(_letters(table, first), table.headings, looks, strict=True))


def _letters(table: Table, first: int) -> list[str]:
    from openpyxl.utils import get_column_letter

    return [get_column_letter(number) for number in range(first, first + len(table.columns))]


def _body_rows(sheet: Sheet, widths: list[int], styles: Styles) -> Iterator[SheetRow]:
    table = sheet.table
    letters = _letters(table, 1)
    looks = [styles.body[column.kind] for column in table.columns]
    section: Cell = None
    for number, row in enumerate(table.rows()):
        cells = _styled(row, letters, looks, styles)
        if number in sheet.links:
            cells[sheet.linked] = (*cells[sheet.linked][:2], styles.link)
        if sheet.sections and row[0] != section:
            # The very first section is the verdict: all of its first row stands out.
            strong = slice(0, None if section is None else 1)
            cells[strong] = [(letter, value, styles.strong) for letter, value, _ in cells[strong]]
            section = row[0]
        yield cells, row_height(row, widths)


def _foot_rows(table: Table, styles: Styles) -> Iterator[SheetRow]:
    letters = _letters(table, 1)
    totals = [styles.total[column.kind] for column in table.columns]
    for row in table.totals:
        yield list(zip(letters, row, totals, strict=True)), None
    if table.notes:
        yield (), None
    for note in table.notes:
        yield [(letters[0], note, styles.note)], None


def _styled(row: Row, letters: list[str], looks: list[int], styles: Styles) -> list[Styled]:
    """A word with a fill gets it; a text too long for the text format gets the general one."""
    cells = []
    for letter, value, style in zip(letters, row, looks, strict=True):
        look = style
        if isinstance(value, str):
            look = styles.prose if len(value) > LONGEST_AS_TEXT else styles.word.get(value, style)
        cells.append((letter, value, look))
    return cells


def too_long(table: Table, limit: int = SHEET_ROWS) -> bool:
    """Whether the table, its heading and its foot are more rows than a sheet can hold."""
    foot = len(table.totals) + (len(table.notes) + 1 if table.notes else 0)
    return 1 + table.count + foot > limit


def moved_to_file(table: Table, file: str) -> Table:
    """What the sheet of a table that is too long says instead of its rows."""
    says = f"{table.count} rows are more than a sheet can hold. They are in {file}, beside this workbook."
    return Table(table.name, table.title, table.columns, lambda: iter(()), 0, notes=(says, *table.notes))
