"""Count sheets as workbooks: a line for each bin of each part, with room to write and a tick for empty.

Above the headings stands by what the sheet is known when it comes back. The columns to be filled in are
formatted as text, so that ``1/2`` does not become a date.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.paper.pages import MOST_BREAKS, fitted, page_ends
from reconcile.reports.paper.sizes import END_MARGIN, HEAD_MARGIN, SIDE_MARGIN, paper_code, room_of
from reconcile.reports.writing.rows_xml import clean
from reconcile.reports.writing.styles import FONT, HEADING_FILL, INK, POINTS
from reconcile.reports.writing.widths import LINE, row_height, text_width
from reconcile.reports.writing.wording import PROGRAM
from reconcile.values.measure import plain_number
from reconcile.values.stock.counting import CountLine, CountSheet

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell
    from openpyxl.styles import Border
    from openpyxl.worksheet.worksheet import Worksheet

SHEET = "Count"
"""The name of the sheet, by which it is found when it is read back."""

INSTRUCTION = "Count what is there, not what should be."
HOW = (
    "Write the count with its unit if it is another one (2 packs, 1 1/2 ft). Empty bin: tick it, or write 0.",
    "A line left blank is not counted.",
)
IN_KITS_HOW = (
    "For kits: what jobs that are not closed take from this bin. In kits: how much of it lies in kits by "
    "now, not on the shelf; 0 if none does. What is counted is the shelf alone."
)
AGAIN = "Counted again: by another person than before, if there is one."
HEADING_ROW = 8
FIRST_ROW = HEADING_ROW + 1

TALLEST = 31.5
"""Points of a line to write in: some 9 mm on paper at the least scale."""

HEAD_HEIGHT = 100.0
"""Points of the rows above the headings (title, marks, blank rows) but for that which tells how to count."""

TICK = '"yes"'


@dataclass(frozen=True, slots=True)
class Shape:
    """A column: its heading, and the least and the most characters it is wide."""

    heading: str
    least: int
    most: int


BIN, PART, WHAT = Shape("bin", 7, 16), Shape("part", 9, 60), Shape("what it is", 16, 32)
UNIT, BOOK, CLASS = Shape("unit", 6, 9), Shape("book", 8, 14), Shape("class", 6, 6)
ORDER, WHY = Shape("first", 6, 6), Shape("why", 18, 34)
COUNT, EMPTY = Shape("counted", 12, 16), Shape("empty bin seen", 9, 10)
KITS, IN_KITS = Shape("for kits", 8, 14), Shape("in kits", 10, 10)
BY, REMARK, CHECK = Shape("counted by", 9, 12), Shape("remark", 14, 20), Shape("check", 10, 10)

BLIND_COLUMNS = (ORDER, BIN, PART, WHAT, UNIT, COUNT, EMPTY, BY, REMARK, CHECK)
OPEN_COLUMNS = (ORDER, BIN, PART, WHAT, UNIT, CLASS, BOOK, WHY, COUNT, EMPTY, BY, REMARK, CHECK)
"""A blind sheet says neither what the book holds nor why a part is counted: both say what to find."""


def count_name(week: str, again: int = 0) -> str:
    """``count-2026-W49.xlsx``; ``recount-2026-W49.xlsx`` for a second count, ``recount-2026-W49-3`` then."""
    if again <= 1:
        return f"{'recount' if again else 'count'}-{week}.xlsx"
    return f"recount-{week}-{again + 1}.xlsx"


def write_count_book(sheet: CountSheet, country: str, path: Path) -> None:
    """Write a count sheet to ``path``; ``country`` (ISO 3166, or "") decides on A4 or Letter."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    book._named_styles["Normal"].font = Font(name=FONT, size=POINTS)
    book.properties.title, book.properties.creator = _title(sheet), PROGRAM
    page = book.active
    page.title = SHEET
    columns = columns_of(sheet)
    widths = _widths(columns, sheet)
    _add_head(page, sheet, widths)
    _add_headings(page, columns, widths)
    for row, line in enumerate(sheet.lines, FIRST_ROW):
        _add_line(page, row, line, columns, widths)
    _add_ticks(page, columns, len(sheet.lines))
    _set_page(page, sheet, country, widths)
    book.save(path)


def columns_of(sheet: CountSheet) -> tuple[Shape, ...]:
    """Those of the sheet; where kits take from a bin, what they take, and room for what lies in them."""
    columns = BLIND_COLUMNS if sheet.blind else OPEN_COLUMNS
    if not _asks_for_kits(sheet):
        return columns
    return tuple(
        column for shape in columns for column in ((KITS, COUNT, IN_KITS) if shape is COUNT else (shape,))
    )


def _asks_for_kits(sheet: CountSheet) -> bool:
    return any(line.kits for line in sheet.lines)


def _title(sheet: CountSheet) -> str:
    kind = f"Count sheet, count {sheet.again + 1}" if sheet.again else "Count sheet"
    return f"{kind}, week {sheet.mark.week}"


def _add_head(page: "Worksheet", sheet: CountSheet, widths: list[int]) -> None:
    """Title, what to do, and the block by which the sheet is known."""
    from openpyxl.styles import Alignment
    from openpyxl.utils import get_column_letter

    lines = len(sheet.lines)
    first = sum(line.first for line in sheet.lines)
    title = f"{_title(sheet)}: {lines} {'line' if lines == 1 else 'lines'}"
    _say(page["A1"], f"{title}, {first} of them to be counted first" if first else title, bold=True, size=14)
    _say(page["A2"], f"{AGAIN} {INSTRUCTION}" if sheet.again else INSTRUCTION, bold=True)
    how = " ".join((*HOW, IN_KITS_HOW) if _asks_for_kits(sheet) else HOW)
    _say(page["A3"], how)
    page.merge_cells(f"A3:{get_column_letter(len(widths))}3")
    page["A3"].alignment = Alignment(horizontal="left", vertical="top", wrap_text=True)
    page.row_dimensions[3].height = row_height((how,), (sum(widths),)) or LINE
    marks = (("week", sheet.mark.week), ("sheet", sheet.mark.identity), ("stock", sheet.mark.stock))
    for row, (label, value) in enumerate(marks, 4):
        _say(page[f"A{row}"], label)
        _say(page[f"B{row}"], value)


def _say(cell: "Cell", text: str, *, bold: bool = False, size: int = POINTS) -> None:
    from openpyxl.styles import Alignment, Font

    cell.value, cell.data_type, cell.number_format = clean(text), "s", "@"
    cell.font = Font(name=FONT, size=size, bold=bold, color=INK)
    cell.alignment = Alignment(horizontal="left", vertical="center")


def _widths(columns: tuple[Shape, ...], sheet: CountSheet) -> list[int]:
    """What each column holds, within its bounds and those of a page; a part number is never shortened."""
    widths = [_width(shape, sheet) for shape in columns]
    least = [width if shape is PART else shape.least for shape, width in zip(columns, widths, strict=True)]
    return fitted(widths, least, room_of(landscape=True).characters())


def _width(shape: Shape, sheet: CountSheet) -> int:
    """Columns to write in are as wide as they may be."""
    if shape not in VALUES or shape is CHECK:
        return shape.most
    texts = (str(_value(shape, line)) for line in sheet.lines)
    return max(shape.least, min(max(map(text_width, texts), default=0) + 2, shape.most))


def _value(shape: Shape, line: CountLine) -> str | int | float:
    """What stands in a line before anybody writes in it."""
    return VALUES[shape](line) if shape in VALUES else ""


VALUES: dict[Shape, Callable[[CountLine], str | int | float]] = {
    ORDER: lambda line: "first" if line.first else "",
    BIN: lambda line: line.bin,
    PART: lambda line: line.part.number,
    WHAT: lambda line: line.part.designation,
    UNIT: lambda line: line.part.unit,
    CLASS: lambda line: line.name,
    KITS: lambda line: plain_number(line.kits) if line.kits else "",
    BOOK: lambda line: plain_number(line.book),
    WHY: lambda line: "; ".join(reason.says for reason in line.reasons),
    CHECK: lambda line: line.check,
}


def _add_headings(page: "Worksheet", columns: tuple[Shape, ...], widths: list[int]) -> None:
    from openpyxl.styles import Alignment, PatternFill
    from openpyxl.utils import get_column_letter

    for number, (shape, width) in enumerate(zip(columns, widths, strict=True), 1):
        letter = get_column_letter(number)
        page.column_dimensions[letter].width = width
        cell = page[f"{letter}{HEADING_ROW}"]
        _say(cell, shape.heading, bold=True)
        cell.alignment = Alignment(horizontal="left", vertical="top", wrap_text=True)
        cell.fill, cell.border = PatternFill("solid", fgColor=HEADING_FILL), _border()
    page.row_dimensions[HEADING_ROW].height = 2 * LINE + 4


def _add_line(
    page: "Worksheet", row: int, line: CountLine, columns: tuple[Shape, ...], widths: list[int]
) -> None:
    from openpyxl.styles import Alignment
    from openpyxl.utils import get_column_letter

    tallest = TALLEST
    for number, (shape, width) in enumerate(zip(columns, widths, strict=True), 1):
        cell, value = page[f"{get_column_letter(number)}{row}"], _value(shape, line)
        if isinstance(value, str):
            _say(cell, value, bold=shape in (ORDER, PART))
            if not value:
                cell.value = None
            tallest = max(tallest, LINE * (1 + text_width(value) // max(width - 1, 1)) + 2)
        else:
            _say(cell, "")
            cell.value, cell.number_format = value, "General"
        cell.alignment = Alignment(horizontal="left", vertical="center", wrap_text=True)
        cell.border = _border()
    page.row_dimensions[row].height = tallest


def _border() -> "Border":
    from openpyxl.styles import Border, Side

    side = Side(style="thin", color="606060")
    return Border(left=side, right=side, top=side, bottom=side)


def _add_ticks(page: "Worksheet", columns: tuple[Shape, ...], lines: int) -> None:
    """A drop-down with one word where an empty bin is ticked; by hand any mark will do."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    check = DataValidation("list", formula1=TICK, allow_blank=True)
    check.showErrorMessage = False
    letter = get_column_letter(columns.index(EMPTY) + 1)
    check.add(f"{letter}{FIRST_ROW}:{letter}{FIRST_ROW + max(lines, 1) - 1}")
    page.add_data_validation(check)


def _set_page(page: "Worksheet", sheet: CountSheet, country: str, widths: list[int]) -> None:
    """One page wide on A4 and on Letter, the headings on every page, and no page with a line or two."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.pagebreak import Break

    last, letters = FIRST_ROW + len(sheet.lines) - 1, get_column_letter(len(widths))
    page.freeze_panes = f"A{FIRST_ROW}"
    page.auto_filter.ref = f"A{HEADING_ROW}:{letters}{max(last, HEADING_ROW)}"
    room = room_of(landscape=True)
    page.page_setup.paperSize, page.page_setup.orientation = paper_code(country), "landscape"
    page.page_setup.scale = room.scale(sum(widths))
    page.print_title_rows = f"{HEADING_ROW}:{HEADING_ROW}"
    page.print_area = f"A1:{letters}{max(last, HEADING_ROW)}"
    heights = [page.row_dimensions[row].height for row in range(FIRST_ROW, last + 1)]
    if heights:
        heights[0] += HEAD_HEIGHT + page.row_dimensions[3].height
        high = room.points(page.page_setup.scale) - page.row_dimensions[HEADING_ROW].height
        for end in page_ends(heights, range(len(heights)), high, page_each=False)[:-1][:MOST_BREAKS]:
            page.row_breaks.append(Break(id=HEADING_ROW + end))
    margins = page.page_margins
    margins.left = margins.right = SIDE_MARGIN
    margins.top = margins.bottom = END_MARGIN
    margins.header = margins.footer = HEAD_MARGIN
    page.oddFooter.left.text = f"sheet {sheet.mark.identity}"
    page.oddFooter.center.text = "counted on ______________   signed ______________"
    page.oddFooter.right.text = "page &P of &N"
    for part in (page.oddFooter.left, page.oddFooter.center, page.oddFooter.right):
        part.size = POINTS
    page.HeaderFooter.scaleWithDoc = False
