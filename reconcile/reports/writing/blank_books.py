"""Blank workbooks: headings with notes, drop-downs, number formats, and an example row to write over.

The columns of text are formatted as text, so that a spreadsheet program leaves ``1/2 in`` and ``00417``
alone. Formats are those of whole columns: a row that is added further down has them too.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.paper.pages import column_ends
from reconcile.reports.paper.sizes import END_MARGIN, HEAD_MARGIN, LEAST_SCALE, SIDE_MARGIN, room_of
from reconcile.reports.writing.styles import FONT, HEADING_FILL, INK, POINTS
from reconcile.reports.writing.widths import FILTER_ARROW, LINE, text_width
from reconcile.reports.writing.wording import PROGRAM
from reconcile.values.blank import DATE, MONEY, ONLY, TEXT, WARN, WHOLE, BlankColumn, BlankSheet, Cell

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell as BookCell
    from openpyxl.comments import Comment
    from openpyxl.styles import Alignment
    from openpyxl.workbook import Workbook
    from openpyxl.worksheet.datavalidation import DataValidation
    from openpyxl.worksheet.worksheet import Worksheet

LAST_ROW = 5000
"""Drop-downs and checks of entries reach so far down."""

LONGEST_LIST = 250
"""Characters of a drop-down that is kept in the check itself; common programs allow 255."""

NARROWEST, WIDEST = 8, 24
"""Characters that a column is wide at least, and at most for the sake of its example."""

MOST_LINES = 3

PRINTED_ROWS = 31
"""Rows on paper: headings, the example, and rows to write in by hand."""

EXAMPLE_INK = "595959"
"""Grey that still has a contrast of 7 to 1 on white (WCAG 2.2, 1.4.6)."""

FORMATS = {TEXT: "@", DATE: "yyyy-mm-dd", MONEY: "#0.00##", WHOLE: "0"}

LISTS = "Lists"


@dataclass(slots=True)
class Lists:
    """Long drop-downs, each in a column of a sheet of their own that everyone can see."""

    columns: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def formula(self, heading: str, entries: tuple[str, ...]) -> str:
        """Where a drop-down's entries are found."""
        from openpyxl.utils import get_column_letter

        if len(",".join(entries)) <= LONGEST_LIST and not any(set(entry) & set(',"') for entry in entries):
            return f'"{",".join(entries)}"'
        self.columns[heading] = entries
        letter = get_column_letter(len(self.columns))
        return f"{LISTS}!${letter}$2:${letter}${len(entries) + 1}"


def write_blank_book(sheets: Sequence[BlankSheet], title: str, path: Path) -> None:
    """Write one blank workbook to ``path``."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    # A column's width is counted in digits of this font.
    book._named_styles["Normal"].font = Font(name=FONT, size=POINTS)
    book.properties.title, book.properties.creator = title, PROGRAM
    lists = Lists()
    for number, sheet in enumerate(sheets):
        page = book.active if number == 0 else book.create_sheet()
        page.title = sheet.name
        _fill(page, sheet, lists)
    _add_lists(book, lists)
    book.save(path)


def _fill(page: "Worksheet", sheet: BlankSheet, lists: Lists) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    for number, column in enumerate(sheet.columns, 1):
        letter = get_column_letter(number)
        shape = page.column_dimensions[letter]
        shape.width, shape.number_format = _width(column), FORMATS.get(column.kind, "General")
        shape.font, shape.alignment = Font(name=FONT, size=POINTS, color=INK), _alignment()
        _heading(page[f"{letter}1"], column)
        _example(page[f"{letter}2"], column)
        if check := _check(column, lists):
            check.add(f"{letter}2:{letter}{LAST_ROW}")
            page.add_data_validation(check)
    page["A2"].comment = _comment("An example: write over this row, or delete it.")
    last = get_column_letter(len(sheet.columns))
    page.row_dimensions[1].height = _height(column.heading for column in sheet.columns)
    page.row_dimensions[2].height = _height(_text(column.example) for column in sheet.columns)
    page.freeze_panes = "B2"
    page.auto_filter.ref = f"A1:{last}{LAST_ROW}"
    _set_page(page, sheet.name, [ceil(_width(column)) for column in sheet.columns], PRINTED_ROWS)


def _width(column: BlankColumn) -> float:
    """Room for the longest word of the heading with its filter arrow, and for the example up to a limit."""
    words = max(map(text_width, column.heading.split())) + FILTER_ARROW
    return max(words, min(text_width(_text(column.example)) + 2, WIDEST), NARROWEST)


def _height(texts: Iterable[str]) -> float:
    """Points for a row whose texts wrap: never more lines than a text has words or widths."""
    lines = max(min(len(text.split()), 1 + text_width(text) // NARROWEST) if text else 1 for text in texts)
    return LINE * min(lines, MOST_LINES) + 3


def _text(cell: Cell) -> str:
    return "" if cell is None else str(cell)


def _alignment() -> "Alignment":
    """All to the left: numbers and text are typed side by side."""
    from openpyxl.styles import Alignment

    return Alignment(horizontal="left", vertical="top", wrap_text=True)


def _heading(cell: "BookCell", column: BlankColumn) -> None:
    """A needed heading is bold and says so in its note."""
    from openpyxl.styles import Font, PatternFill

    cell.value = column.heading
    cell.font = Font(name=FONT, size=POINTS, bold=column.needed, color=INK)
    cell.fill = PatternFill("solid", fgColor=HEADING_FILL)
    cell.alignment = _alignment()
    cell.comment = _comment(note_text(column))


def note_text(column: BlankColumn) -> str:
    """What the column means, whether it is needed, and an example."""
    example = column.like or (column.offered[0] if column.offered else "") or _shown(column)
    parts = [column.note, "Needed." if column.needed else "May be left blank."]
    return " ".join([*parts, *([f"Example: {example}."] if example else [])])


def _shown(column: BlankColumn) -> str:
    return "" if column.example is None or column.kind == DATE else str(column.example).rstrip(".")


def _comment(text: str) -> "Comment":
    from openpyxl.comments import Comment

    return Comment(text, PROGRAM, height=30 + 18 * (1 + len(text) // 34), width=260)


def _example(cell: "BookCell", column: BlankColumn) -> None:
    from openpyxl.styles import Font

    cell.value = column.example
    cell.number_format = FORMATS.get(column.kind, "General")
    cell.font = Font(name=FONT, size=POINTS, italic=True, color=EXAMPLE_INK)
    cell.alignment = _alignment()


# --- checks of entries ----------------------------------------------------------------------------------


def _check(column: BlankColumn, lists: Lists) -> "DataValidation | None":
    """The drop-down or the check of a column; None where anything may be entered."""
    from openpyxl.worksheet.datavalidation import DataValidation

    if column.offered:
        entries = lists.formula(column.heading, column.offered)
        check = DataValidation("list", formula1=entries, allow_blank=True)
        return _refusing(check, column.others, _not_offered(column))
    if column.kind == DATE:
        return _refusing(_at_least("date", "DATE(2000,1,1)"), ONLY, "Write a date, like 2026-12-03.")
    if column.kind == WHOLE:
        says = f"Write a whole number, {column.least} or more."
        return _refusing(_at_least("whole", str(column.least)), ONLY, says)
    if column.kind == MONEY:
        says = "Write a sum of money as a number, without a currency."
        return _refusing(_at_least("decimal", "0"), ONLY, says)
    return None


def _at_least(kind: str, least: str) -> "DataValidation":
    from openpyxl.worksheet.datavalidation import DataValidation

    return DataValidation(kind, operator="greaterThanOrEqual", formula1=least, allow_blank=True)


def _not_offered(column: BlankColumn) -> str:
    if column.others == ONLY:
        return f"Write {', '.join(column.offered[:-1])} or {column.offered[-1]}, or leave it blank."
    return f"This {column.heading} is not in the list. Keep it only if it is meant."


def _refusing(check: "DataValidation", others: str, says: str) -> "DataValidation":
    check.showErrorMessage = others in (ONLY, WARN)
    check.errorStyle = "warning" if others == WARN else "stop"
    check.errorTitle, check.error = "Please check", says
    return check


def _add_lists(book: "Workbook", lists: Lists) -> None:
    """The entries of long drop-downs; adding to them there does not lengthen the drop-down."""
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter

    if not lists.columns:
        return
    page = book.create_sheet(LISTS)
    for number, (heading, entries) in enumerate(lists.columns.items(), 1):
        letter = get_column_letter(number)
        page.column_dimensions[letter].width = max(map(len, (heading, *entries))) + 4
        page.column_dimensions[letter].number_format = "@"
        page[f"{letter}1"].value = heading
        page[f"{letter}1"].font = Font(name=FONT, size=POINTS, bold=True, color=INK)
        page[f"{letter}1"].fill = PatternFill("solid", fgColor=HEADING_FILL)
        for row, entry in enumerate(entries, 2):
            cell = page[f"{letter}{row}"]
            cell.value, cell.data_type, cell.number_format = entry, "s", "@"
    page.freeze_panes = "A2"
    widths = [max(map(len, (heading, *entries))) + 4 for heading, entries in lists.columns.items()]
    _set_page(page, LISTS, widths, 1 + max(map(len, lists.columns.values())))


def _set_page(page: "Worksheet", name: str, widths: Sequence[int], rows: int) -> None:
    """Letters that can be read: as many pages side by side as that takes, each with the first column."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.pagebreak import Break, ColBreak

    room = room_of(landscape=True)
    ends = column_ends(widths, 1, room.characters())
    if ends[1:]:
        page.print_title_cols = "A:A"
        page.col_breaks = ColBreak()
        for end in ends[:-1]:
            page.col_breaks.append(Break(id=end))
    page.page_setup.orientation = "landscape"
    page.page_setup.scale = LEAST_SCALE if ends[1:] else room.scale(sum(widths))
    page.page_setup.pageOrder = "overThenDown"
    page.print_title_rows = "1:1"
    page.print_area = f"A1:{get_column_letter(len(widths))}{rows}"
    page.print_options.gridLines = True
    margins = page.page_margins
    margins.left = margins.right = SIDE_MARGIN
    margins.top = margins.bottom = END_MARGIN
    margins.header = margins.footer = HEAD_MARGIN
    page.oddHeader.left.text, page.oddFooter.right.text = name, "page &P of &N"
    page.oddHeader.left.size = page.oddFooter.right.size = POINTS
    page.HeaderFooter.scaleWithDoc = False
