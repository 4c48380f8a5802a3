"""Tables to a workbook: a sheet each, with heading, filter, widths, and a page setup that prints."""

import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, islice, repeat
from math import floor
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.paper.pages import MOST_BREAKS, ON_PAPER, Paper, fitted, page_ends
from reconcile.reports.paper.sizes import (
    END_MARGIN,
    FULL_SCALE,
    HEAD_MARGIN,
    LEAST_SCALE,
    SIDE_MARGIN,
    paper_code,
    room_of,
)
from reconcile.reports.writing.file_links import FileLink
from reconcile.reports.writing.grid import TEXT, Cell, Row, RuledForm, Table, arranged
from reconcile.reports.writing.large import SIZED_ROWS
from reconcile.reports.writing.rows_xml import Poured, SheetRow, Styled, clean, pour
from reconcile.reports.writing.styles import FONT, LONGEST_AS_TEXT, POINTS, Styles
from reconcile.reports.writing.widths import (
    LINE,
    TIGHT,
    TIGHT_LINE,
    column_widths,
    heading_height,
    least_width,
    row_height,
)
from reconcile.reports.writing.wording import PROGRAM, period_text
from reconcile.values.week.page_foot import PageFoot

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet
    from openpyxl.worksheet.header_footer import _HeaderFooterPart

SHEET_ROWS = 1_048_576
"""Rows that common spreadsheet programs keep on a sheet."""

MOST_LINKS = 65_530
"""Links that common spreadsheet programs keep on a sheet (from memory)."""

MOST_KEPT = 20_000
"""Rows kept between measuring and writing; those of a longer table are made twice to save memory."""

HEAD_POINTS = 10
"""Of a page's head and foot, which shrink with the sheet in some programs."""

NOTHING = "A1048576"
"""The print area of a sheet for the screen: an empty cell, of which no page comes out. Common programs leave
blank pages out (Microsoft's note on them: KB 288968)."""

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
    paper: Paper = ON_PAPER
    sections: bool = False
    """Rows that stay together, or have the same first cell, make a section; the first of each stands out."""
    runs_on: int | None = None
    """The column (A is 0) whose texts run on over the printed cells to their right where those are empty."""
    filtered: bool = True
    tight: bool = False
    """Rows are as low as their letters allow."""
    known_as: str = ""
    """A name for the whole table, for formulas elsewhere."""
    page_head: str = ""
    """Printed at the head of every page."""
    head: Sequence[HeadRow] = ()
    """Rows above the headings, with a blank one between; no part of the table."""
    form: RuledForm | None = None
    """Drawn in place of the table, which is then that of the csv file."""
    dress: Callable[["WriteOnlyWorksheet"], None] | None = None
    linked: int = 0
    """The column (A is 0) whose cells may be links."""
    links: Mapping[int, FileLink] = field(default_factory=dict)
    """Where those cells lead, by row of the table from 0."""
    folded: frozenset[int] = frozenset()
    """Rows (of the table, from 0) that are folded under the one above them, and not printed."""

    @property
    def heading_row(self) -> int:
        """The row of the headings, from 1."""
        return len(self.head) + 2 if self.head else 1


def printed_sheet(shown: Table, columns: Sequence[str], paper: Paper = ON_PAPER, known_as: str = "") -> Sheet:
    """A sheet of which these columns come first and are printed; the others lie beside the print area."""
    first = arranged(shown, tuple(columns))
    return Sheet(first, shown.name, replace(paper, columns=len(columns)), known_as=known_as)


@dataclass(frozen=True, slots=True)
class LaidSheet:
    """A sheet with what the paper asks of it."""

    sheet: Sheet
    widths: list[int]
    """Of its columns, in characters."""
    scale: int
    """Per cent at which it is printed."""
    kept_heights: Sequence[float | None] | None = None
    """Of its rows, where they are kept; None where each is worked out when it is asked for."""

    @property
    def printed(self) -> int:
        """Columns that are printed."""
        return self.sheet.paper.columns or len(self.widths)

    @property
    def sized(self) -> bool:
        """Whether each row gets a height of its own; else whoever opens the sheet sizes them."""
        return self.sheet.table.count <= SIZED_ROWS or self.sheet.paper.page_each

    def runs_over(self, row: Row) -> bool:
        """Whether a text of the row has nothing beside it, so that it may run on."""
        first = self.sheet.runs_on
        return (
            first is not None
            and isinstance(row[first], str)
            and all(cell is None for cell in row[first + 1 : self.printed])
        )

    def height(self, row: Row) -> float | None:
        """Of a row of the table; None where it is one line."""
        line, one = (TIGHT_LINE, TIGHT) if self.sheet.tight else (LINE, None)
        if not self.runs_over(row):
            return row_height(row[: self.printed], self.widths[: self.printed], line) or one
        first = self.sheet.runs_on or 0
        widths = [*self.widths[:first], sum(self.widths[first : self.printed])]
        return row_height(row[: first + 1], widths, line) or one

    def heights(self) -> Iterable[float | None]:
        """Of its rows."""
        return (
            self.kept_heights if self.kept_heights is not None else map(self.height, self.sheet.table.rows())
        )

    def note_height(self, note: str) -> float | None:
        """Of a note that goes over the printed columns; None where it is one line."""
        return row_height((note,), (sum(self.widths[: self.printed]),))


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
    poured: dict[str, Poured] = {}
    styles: Styles | None = None
    for number, sheet in enumerate(map(_kept, sheets), 1):
        page = book.create_sheet(sheet.name)
        styles = styles or Styles(page)
        member = f"xl/worksheets/sheet{number}.xml"
        if sheet.form is not None:
            _lay_out_form(page, sheet, sheet.form, foot)
            # Looks are kept with the book, which is laid out before the rows are poured in.
            poured[member] = Poured(list(_form_rows(sheet.form, styles)))
            continue
        laid = _laid(sheet)
        joined = _lay_out(page, laid)
        _set_page(page, laid, foot)
        _add_links(page, sheet)
        poured[member] = Poured(_sheet_rows(laid, styles), joined)
    laid_out = io.BytesIO()
    book.save(laid_out)
    pour(laid_out, path, poured)


def printed_widths(shown: Table) -> list[int]:
    """How wide the columns of a table will be that is printed whole, in characters."""
    return _laid(Sheet(shown, shown.name)).widths


def _laid(sheet: Sheet) -> LaidSheet:
    """Widths that a page holds in letters that can be read, and how much smaller than on the screen."""
    widths = column_widths(sheet.table, sheet.paper.columns)
    if not sheet.paper.printed:
        return LaidSheet(sheet, widths, LEAST_SCALE)
    room, printed = room_of(landscape=sheet.paper.landscape), sheet.paper.columns or len(widths)
    least = [least_width(column, width) for column, width in zip(sheet.table.columns, widths, strict=True)]
    fits = fitted(widths[:printed], least, room.characters())
    laid = LaidSheet(sheet, [*fits, *widths[printed:]], room.scale(sum(fits)))
    if sheet.table.count > MOST_KEPT:
        return laid
    return replace(laid, kept_heights=list(map(laid.height, sheet.table.rows())))


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


def _lay_out(page: "WriteOnlyWorksheet", laid: LaidSheet) -> list[str]:
    """All but the rows, and how they are printed; returns the cells that are still to be joined."""
    from openpyxl.utils import get_column_letter, quote_sheetname
    from openpyxl.workbook.defined_name import DefinedName

    sheet, last = laid.sheet, get_column_letter(len(laid.widths))
    for number, width in enumerate(laid.widths, 1):
        page.column_dimensions[get_column_letter(number)].width = width
    # Rows of one line are as high in every program as pages are counted by.
    page.sheet_format.defaultRowHeight, page.sheet_format.customHeight = LINE, laid.sized
    top = sheet.heading_row
    if top <= MOST_FROZEN:
        page.freeze_panes = f"A{top + 1}"
    if sheet.filtered:
        page.auto_filter.ref = f"A{top}:{last}{top + sheet.table.count}"
    if sheet.known_as:
        area = f"{quote_sheetname(page.title)}!$A${top}:${last}${top + sheet.table.count}"
        page.parent.defined_names[sheet.known_as] = DefinedName(sheet.known_as, attr_text=area)
    joined = list(_joined(laid))
    for first, row in joined[:1]:
        _join(page, row, first, laid.printed - 1)
    if sheet.folded:
        page.sheet_properties.outlinePr.summaryBelow = False
        page.sheet_format.outlineLevelRow = 1
    if sheet.dress is not None:
        sheet.dress(page)
    end = get_column_letter(laid.printed)
    return [f"{get_column_letter(first + 1)}{row}:{end}{row}" for first, row in joined[1:]]


def _join(page: "WriteOnlyWorksheet", row: int, first: int, last: int) -> None:
    """Cells of a row as one. No two overlap, so each is not held against all others, as openpyxl would."""
    from openpyxl.worksheet.cell_range import CellRange

    page.merged_cells.ranges.add(CellRange(min_col=first + 1, max_col=last + 1, min_row=row, max_row=row))


def _joined(laid: LaidSheet) -> Iterator[tuple[int, int]]:
    """Where a text takes all columns to the last printed one: its first column (A is 0), and its row."""
    table, top = laid.sheet.table, laid.sheet.heading_row
    if laid.sheet.runs_on is not None:
        rows = enumerate(table.rows(), top + 1)
        yield from ((laid.sheet.runs_on, number) for number, row in rows if laid.runs_over(row))
    notes = enumerate(table.notes, top + table.count + len(table.totals) + 2)
    yield from ((0, number) for number, note in notes if laid.note_height(note) is not None)


def _lay_out_form(page: "WriteOnlyWorksheet", sheet: Sheet, form: RuledForm, foot: PageFoot) -> None:
    """A form is printed on one page, as large as the page holds it."""
    from openpyxl.utils import get_column_letter

    for number, width in enumerate(form.widths, 1):
        page.column_dimensions[get_column_letter(number)].width = width
    for row, (fields, _) in enumerate(form.rows, 1):
        for each in fields:
            if each.last > each.first:
                _join(page, row, each.first, each.last)
    page.sheet_view.showGridLines = False
    page.print_area = f"A1:{get_column_letter(len(form.widths))}{len(form.rows)}"
    room = room_of(landscape=sheet.paper.landscape)
    high = floor(room.points(FULL_SCALE) * FULL_SCALE / form.height)
    scale = max(min(room.scale(sum(form.widths)), high), LEAST_SCALE)
    _set_margins(page, sheet.paper, scale, foot)
    _say_page(page, sheet, "", foot)


def _form_rows(form: RuledForm, styles: Styles) -> Iterator[SheetRow]:
    from openpyxl.utils import get_column_letter

    for fields, height in form.rows:
        cells = [
            (
                get_column_letter(place + 1),
                each.value if place == each.first else None,
                styles.of(each.look, first=place == each.first, last=place == each.last),
            )
            for each in fields
            for place in range(each.first, each.last + 1)
        ]
        yield SheetRow(cells, height)


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


def _set_page(page: "WriteOnlyWorksheet", laid: LaidSheet, foot: PageFoot) -> None:
    """A page as wide as the paper, at a scale of its own: fitted to the width, it would have no breaks."""
    sheet = laid.sheet
    _set_margins(page, sheet.paper, laid.scale, foot)
    if not sheet.paper.printed:
        page.print_area = NOTHING
        return
    page.print_title_rows = f"{sheet.heading_row}:{sheet.heading_row}"
    _say_page(page, sheet, _break_pages(page, laid), foot)


def _set_margins(page: "WriteOnlyWorksheet", paper: Paper, scale: int, foot: PageFoot) -> None:
    page.page_setup.paperSize = paper_code(foot.country)
    page.page_setup.orientation = "landscape" if paper.landscape else "portrait"
    page.page_setup.scale = scale
    margins = page.page_margins
    margins.left = margins.right = SIDE_MARGIN
    margins.top = margins.bottom = END_MARGIN
    margins.header = margins.footer = HEAD_MARGIN


def _say_page(page: "WriteOnlyWorksheet", sheet: Sheet, told: str, foot: PageFoot) -> None:
    """Head and foot. Some programs make them smaller with the sheet, whatever is said here."""
    page.HeaderFooter.scaleWithDoc = False
    _say(page.oddHeader.left, sheet.table.title, bold=True)
    _say(page.oddHeader.right, told or sheet.page_head)
    _say(page.oddFooter.left, period_text(foot))
    _say(page.oddFooter.right, "page &P of &N", code=True)


def _break_pages(page: "WriteOnlyWorksheet", laid: LaidSheet) -> str:
    """The print area, and breaks in it that keep rows together; says what of the rows is not printed."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.pagebreak import Break

    sheet, last = laid.sheet, get_column_letter(laid.printed)
    top, count = sheet.heading_row, sheet.table.count
    if count > MOST_KEPT and not sheet.paper.page_each:
        page.print_area = f"A1:{last}{top + count}"
        return ""
    ends = _page_ends(laid)
    most = sheet.paper.most_pages or len(ends)
    for end in ends[: min(most, len(ends)) - 1][:MOST_BREAKS]:
        page.row_breaks.append(Break(id=top + end))
    shown = ends[:most][-1]
    page.print_area = f"A1:{last}{top + max(shown, 1) + sheet.paper.below}"
    if shown >= count:
        return ""
    hidden = len(sheet.folded), sum(place < shown for place in sheet.folded)
    return f"the first {shown - hidden[1]} of {count - hidden[0]} lines: the others are on the screen"


def _page_ends(laid: LaidSheet) -> list[int]:
    """Rows below the headings down to the end of each page; what stands at the foot counts as rows."""
    sheet, paper = laid.sheet, laid.sheet.paper
    heights: list[float] = []
    starts: list[int] = []
    before: Cell = None
    for place, (row, height) in enumerate(zip(sheet.table.rows(), laid.heights(), strict=True)):
        if not starts or paper.together is None or row[paper.together] != before:
            starts.append(place)
        before = None if paper.together is None else row[paper.together]
        heights.append(0 if place in sheet.folded else height or LINE)
    heights += [height or LINE for _, height in _foot_heights(laid)]
    if not heights:
        return [0]
    heights[0] += LINE * (sheet.heading_row - 1)
    room = room_of(landscape=paper.landscape).points(laid.scale) - heading_height(sheet.table, laid.widths)
    return page_ends(heights, starts or [0], room, page_each=paper.page_each)


def _foot_heights(laid: LaidSheet) -> Iterator[tuple[Row, float | None]]:
    """Totals, a blank row and notes, each with its height."""
    table = laid.sheet.table
    yield from ((row, None) for row in table.totals)
    if table.notes:
        yield (), None
    yield from (((note,), laid.note_height(note)) for note in table.notes)


def _say(region: "_HeaderFooterPart", text: str, *, bold: bool = False, code: bool = False) -> None:
    """Put text into a page's head or foot, where an ampersand begins a code."""
    if text:
        region.text = text if code else clean(text).replace("&", "&&")
        region.size = HEAD_POINTS
        region.font = "Arial,Bold" if bold else "Arial,Regular"


def _sheet_rows(laid: LaidSheet, styles: Styles) -> Iterator[SheetRow]:
    """Heading, rows, totals, and the notes after a blank line."""
    sheet, widths = laid.sheet, laid.widths
    yield from _head_rows(sheet, styles)
    yield SheetRow(_heading_cells(sheet.table, 1, styles), heading_height(sheet.table, widths))
    yield from _body_rows(laid, styles)
    yield from _foot_rows(laid, styles)


def _head_rows(sheet: Sheet, styles: Styles) -> Iterator[SheetRow]:
    letters = _letters(sheet.table, 1)
    looks = {True: styles.head, False: styles.note}
    for row in sheet.head:
        yield SheetRow([(letters[place], text, looks[strong]) for place, text, strong in row])
    if sheet.head:
        yield SheetRow(())


def _heading_cells(table: Table, first: int, styles: Styles) -> list[Styled]:
    looks = [styles.heading[column.kind] for column in table.columns]
    return list(zip(_letters(table, first), table.headings, looks, strict=True))


def _letters(table: Table, first: int) -> list[str]:
    from openpyxl.utils import get_column_letter

    return [get_column_letter(number) for number in range(first, first + len(table.columns))]


def _body_rows(laid: LaidSheet, styles: Styles) -> Iterator[SheetRow]:
    sheet, table = laid.sheet, laid.sheet.table
    leading = sheet.paper.together or 0
    letters = _letters(table, 1)
    looks = [
        styles.body[column.kind] if place < laid.printed or column.kind != TEXT else styles.beside
        for place, column in enumerate(table.columns)
    ]
    section: Cell = None
    heights = laid.heights() if laid.sized else repeat(None)
    for number, (row, height) in enumerate(zip(table.rows(), heights, strict=False)):
        cells = _styled(row, letters, looks, styles)
        if number in sheet.links:
            cells[sheet.linked] = (*cells[sheet.linked][:2], styles.link)
        if sheet.sections and row[leading] != section:
            # The very first section is the verdict: all of its first row stands out.
            strong = slice(0, None if section is None else 1)
            cells[strong] = [(letter, value, styles.strong) for letter, value, _ in cells[strong]]
            section = row[leading]
        folded = number in sheet.folded
        yield SheetRow(cells, height, folded, not folded and number + 1 in sheet.folded)


def _foot_rows(laid: LaidSheet, styles: Styles) -> Iterator[SheetRow]:
    table = laid.sheet.table
    letters = _letters(table, 1)
    totals = [styles.total[column.kind] for column in table.columns]
    for row in table.totals:
        yield SheetRow(list(zip(letters, row, totals, strict=True)))
    if table.notes:
        yield SheetRow(())
    for note in table.notes:
        height = laid.note_height(note)
        yield SheetRow([(letters[0], note, styles.note if height is None else styles.long_note)], height)


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


def written_beside(table: Table, file: str) -> Table:
    """What the sheet of a table that is too long says instead of its rows."""
    says = f"{table.count} rows are more than a sheet is good for. They are in {file}, beside this workbook."
    return Table(table.name, table.title, table.columns, lambda: iter(()), 0, notes=(says, *table.notes))
