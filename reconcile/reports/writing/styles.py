"""How cells look: a few shared styles, and fills that only underline what a word already says.

Colours are those of Okabe and Ito (Color Universal Design, 2008), told apart by readers with any kind
of colour vision. Text on every fill is black: the contrast is at least 4.5 to 1 (WCAG 2.2, 1.4.3).
"""

from typing import TYPE_CHECKING

from reconcile.reports.writing.grid import DATE, MONEY, NUMBER, QUANTITY, TEXT, Look

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell
    from openpyxl.styles import Alignment, Border
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

INK = "000000"
HEADING_FILL = "E8E8E8"
SKY, ORANGE, VERMILION, GREEN, YELLOW = "56B4E9", "E69F00", "D55E00", "009E73", "F0E442"

WORD_FILLS = {
    "complete": GREEN,
    "waits": SKY,
    "order": YELLOW,
    "short": ORANGE,
    "late": VERMILION,
    "low": YELLOW,
    "below safety stock": YELLOW,
    "error": VERMILION,
    "notice": YELLOW,
    "substitute: agree it": YELLOW,
    "do not reuse": ORANGE,
}
"""The words that get a fill. The word is always there too: colour alone says nothing."""

BESIDE = "beside"
NUMBER_FORMATS = {
    TEXT: "@",
    BESIDE: "@",
    NUMBER: "General",
    DATE: "yyyy-mm-dd",
    MONEY: "#0.00##",
    QUANTITY: "General",
}
LONGEST_AS_TEXT = 255
"""A longer text under the format "@" shows as #### in some spreadsheet programs."""

FONT, POINTS = "Arial", 10
SERIF = "Times New Roman"
"""For a verdict alone."""


class Styles:
    """The style numbers of one workbook: each look is registered once, on ``sheet``'s book, and shared."""

    def __init__(self, sheet: "WriteOnlyWorksheet") -> None:
        self.heading = {kind: _register(sheet, kind, HEADING_FILL, bold=True) for kind in NUMBER_FORMATS}
        self.strong = _register(sheet, TEXT, bold=True)
        self.note = _register(sheet, "note")
        self.long_note = _register(sheet, "long note")
        """A note of more than a line, over several columns."""
        self.head = _register(sheet, "note", bold=True)
        self.prose = _register(sheet, "prose")
        """For a text too long for the format "@"."""
        self.body = {kind: _register(sheet, kind) for kind in NUMBER_FORMATS}
        self.beside = _register(sheet, BESIDE)
        """A text beside the printed columns, on one line: it makes no row of the print taller."""
        self.total = {kind: _register(sheet, kind, bold=True) for kind in NUMBER_FORMATS}
        self.link = _register(sheet, TEXT, underline=True)
        self.word = {word: _register(sheet, TEXT, fill) for word, fill in WORD_FILLS.items()}
        self._sheet = sheet
        self._looks: dict[tuple[Look, bool, bool], int] = {}

    def of(self, look: Look, *, first: bool, last: bool) -> int:
        """The look of a form's cell; the ``first`` and the ``last`` of a field close its box."""
        key = (look, first, last)
        if key not in self._looks:
            self._looks[key] = _register_look(self._sheet, *key)
        return self._looks[key]


def _register(
    sheet: "WriteOnlyWorksheet", kind: str, fill: str = "", *, bold: bool = False, underline: bool = False
) -> int:
    """The number under which the workbook keeps a look."""
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font, PatternFill

    cell: Cell = WriteOnlyCell(sheet)
    cell.font = Font(name=FONT, size=POINTS, bold=bold, color=INK, underline="single" if underline else None)
    cell.number_format = NUMBER_FORMATS.get(kind, "General")
    cell.alignment = _alignment(kind, wrap=fill == HEADING_FILL)
    if kind not in ("note", "long note"):
        cell.border = _border(heavy=bold)
    if fill:
        cell.fill = PatternFill("solid", fgColor=fill)
    return int(cell.style_id)


def _register_look(sheet: "WriteOnlyWorksheet", look: Look, first: bool, last: bool) -> int:
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

    cell: Cell = WriteOnlyCell(sheet)
    cell.font = Font(name=SERIF if look.serif else FONT, size=look.size, bold=look.bold, color=INK)
    cell.alignment = Alignment(
        horizontal=look.align, vertical="center" if look.box else "top", wrap_text=True
    )
    over = Side(style=look.over or look.box or None, color=INK)
    box = Side(style=look.box or None, color=INK)
    cell.border = Border(
        top=over, bottom=box, left=box if first else Side(style=None), right=box if last else Side(style=None)
    )
    if look.fill:
        cell.fill = PatternFill("solid", fgColor=look.fill)
    return int(cell.style_id)


def _alignment(kind: str, *, wrap: bool) -> "Alignment":
    """Numbers stand to the right, indented so that the filter arrow leaves their heading to be read."""
    from openpyxl.styles import Alignment

    if kind in (NUMBER, MONEY, QUANTITY):
        return Alignment(horizontal="right", vertical="top", wrap_text=wrap, indent=2)
    return Alignment(horizontal="left", vertical="top", wrap_text=kind not in ("note", BESIDE))


def _border(*, heavy: bool) -> "Border":
    from openpyxl.styles import Border, Side

    hair = Side(style="hair", color="808080")
    return Border(left=hair, right=hair, bottom=Side(style="thin", color="808080") if heavy else hair)
