"""From rows to sheets, noting where each planted fault has come to stand."""

import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from demo.faults import JOB_FAULTS, ORDER_FAULTS, SECOND_BIN_FAULTS, STOCK_FAULTS
from demo.jobs import SPACERS_NOW, SPACERS_NOW_IS_READ, headings, job_rows
from demo.stock import PRICE_BREAKS, STOCK_HEADINGS, SUPPLIERS, order_rows, stock_rows
from demo.tables import MADE, WORKSHOP, number, table


@dataclass(frozen=True)
class Planted:
    """A fault that was put in on purpose."""

    kind: str
    file: str
    sheet: str
    cell: str
    code: str
    what: str
    times: int = 1

    @property
    def where(self) -> str:
        return f"{self.file}!{self.sheet}!{self.cell}"


Fault = tuple[str, str, str] | tuple[str, str, str, int]
"""The heading of the cell, the code, what is wrong, and how often it is said."""


@dataclass
class Sheet:
    """A sheet being written: title above, headings, then rows from ``first`` on."""

    file: str
    tab: Worksheet
    headings: list[str]
    planted: list[Planted] = field(default_factory=list)
    row: int = 0

    def head(self, title: str) -> None:
        if title:
            self.tab.append([title])
            self.tab["A1"].font = Font(bold=True, size=13)
            self.tab.append([])
        self.tab.append(self.headings)
        self.row = self.tab.max_row
        for cell in self.tab[self.row]:
            cell.font = Font(bold=True)
            cell.fill = PatternFill("solid", fgColor="E7E6E0")
            cell.border = Border(bottom=Side(style="thin"))
            cell.alignment = Alignment(wrap_text=True, vertical="top")
        self.tab.freeze_panes = f"A{self.row + 1}"

    def add(self, cells: Iterable[Any]) -> None:
        self.row += 1
        for column, value in enumerate(cells, 1):
            if value is None:
                continue
            cell = self.tab.cell(self.row, column, value)
            if isinstance(value, date):
                cell.number_format = "ddd dd mmm yyyy" if column < 5 else "d mmm"
            elif isinstance(value, str) and not value.startswith(("=", "#")):
                # A part number such as 00417 or 1E5 stays what was typed.
                cell.number_format = "@"

    def plant(self, fault: Fault) -> None:
        """Notes that the row just written holds a fault, under the heading named."""
        heading, code, what, times = (*fault, 1)[:4]
        column = get_column_letter(self.headings.index(heading) + 1)
        where = f"{column}{self.row}"
        self.planted.append(Planted(severity(code), self.file, self.tab.title, where, code, what, times))

    def widen(self) -> None:
        for at in range(1, len(self.headings) + 1):
            texts = [str(self.tab.cell(row, at).value or "") for row in range(3, self.tab.max_row + 1)]
            widest = max((len(text) for text in texts), default=8)
            self.tab.column_dimensions[get_column_letter(at)].width = min(max(widest + 2, 8), 42)


def severity(code: str) -> str:
    from reconcile.values.catalogue import CODES

    return CODES[code].severity


def job_faults(job: str) -> Iterator[Fault]:
    """What is planted in a job's rows; a stack that its row tells is not unknown."""
    told = SPACERS_NOW if SPACERS_NOW_IS_READ else {}
    for row, heading, code, what, *times in table(JOB_FAULTS):
        if row == job and not (code == "stack-unknown" and job in told):
            yield heading, code, what, int(times[0]) if times else 1


def jobs_book() -> tuple[Workbook, list[Planted]]:
    book = new_book()
    sheet = Sheet("jobs.xlsx", book.create_sheet("Jobs"), headings())
    sheet.head(f"{WORKSHOP} – planned refits, weeks 48 to 50")
    for cells in job_rows():
        sheet.add(cells)
        for fault in job_faults(cells[0]):
            sheet.plant(fault)
    sheet.widen()
    return book, sheet.planted


def stock_book(usage: Iterable[list[Any]]) -> tuple[Workbook, list[Planted]]:
    """The stock workbook with these rows of usage, and what is planted in it."""
    book = new_book()
    sheet = Sheet("stock.xlsx", book.create_sheet("Stock"), list(STOCK_HEADINGS.values()))
    sheet.head(f"{WORKSHOP} – count of Friday 27 November 2026")
    seen: set[str] = set()
    for row in stock_rows():
        if row is None:
            sheet.row += 1
            continue
        sheet.add(row.get(heading) for heading in STOCK_HEADINGS)
        plant_stock(sheet, row["part"].strip(), seen)
    sheet.widen()
    orders = orders_sheet(book)
    plain_sheet(book, "Suppliers", SUPPLIER_HEADINGS, table(SUPPLIERS))
    plain_sheet(book, "Price breaks", ("Part no", "From quantity", "Price"), table(PRICE_BREAKS))
    plain_sheet(book, "Usage", ("Date", "Part no", "Quantity", "Job"), usage)
    return book, sheet.planted + orders.planted


SUPPLIER_HEADINGS = (
    "Supplier", "Name", "Minimum order value", "Delivery charge", "Free delivery from", "Email",
)  # fmt: skip


def plant_stock(sheet: Sheet, part: str, seen: set[str]) -> None:
    """A fault of two rows stands in the second of them."""
    faults = SECOND_BIN_FAULTS if part in seen else STOCK_FAULTS
    if part in faults:
        heading, code, what = faults[part]
        sheet.plant((STOCK_HEADINGS[heading], code, what))
    seen.add(part)


def orders_sheet(book: Workbook) -> Sheet:
    sheet = Sheet("stock.xlsx", book.create_sheet("On order"), ["Order", "Part no", "Quantity", "Due"])
    sheet.head("Open orders")
    for cells in order_rows():
        sheet.add(cells)
        if cells[1] in ORDER_FAULTS:
            sheet.plant(ORDER_FAULTS[cells[1]])
    sheet.widen()
    return sheet


def plain_sheet(book: Workbook, name: str, headings: Iterable[str], rows: Iterable[list[Any]]) -> None:
    sheet = Sheet("stock.xlsx", book.create_sheet(name), list(headings))
    sheet.head("")
    texts = {0, *(at for at, heading in enumerate(sheet.headings) if heading == "Part no")}
    for cells in rows:
        # Codes and part numbers stay text: 00417 as a number would be another part.
        read = (
            number(cell) if isinstance(cell, str) and at not in texts else cell
            for at, cell in enumerate(cells)
        )
        sheet.add(read)
    sheet.widen()


def new_book() -> Workbook:
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = WORKSHOP
    book.properties.created = MADE
    return book


def saved(book: Workbook) -> bytes:
    """The workbook's bytes with every time in it fixed, so that equal tables give equal files."""
    buffer, fixed = BytesIO(), BytesIO()
    book.save(buffer)
    stamp = MADE.strftime("%Y-%m-%dT%H:%M:%SZ")
    with zipfile.ZipFile(buffer) as made, zipfile.ZipFile(fixed, "w", zipfile.ZIP_DEFLATED) as out:
        for name in made.namelist():
            content = made.read(name)
            if name == "docProps/core.xml":
                pattern = rb"(<dcterms:modified[^>]*>)[^<]*"
                content = re.sub(pattern, rb"\g<1>" + stamp.encode(), content)
            entry = zipfile.ZipInfo(name, MADE.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            out.writestr(entry, content)
    return fixed.getvalue()
