"""A stock workbook with everything that a library would lose: made for tests of ``workbook_edit``."""

import base64
import io
import zipfile
from datetime import date
from pathlib import Path

PIXEL = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)
EXTENSION = (
    b'<extLst><ext xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" '
    b'uri="{05C60535-1F16-4fd2-B633-F4F36F0B64E0}"><x14:sparklineGroups '
    b'xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"><x14:sparklineGroup><x14:sparklines>'
    b"<x14:sparkline><xm:f>Stock!D4:D6</xm:f><xm:sqref>I4</xm:sqref></x14:sparkline></x14:sparklines>"
    b"</x14:sparklineGroup></x14:sparklineGroups></ext></extLst>"
)
CHAIN = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    b'<calcChain xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    b'<c r="G4" i="1"/></calcChain>'
)
MACROS = b"\xd0\xcf\x11\xe0 not really macros"
STOCK = [
    ("Stock of the shop", None, None, None, None, None, None),
    (None,) * 7,
    ("part", "bin", "description", "on hand", "allocated", "unit", "worth"),
    ("CLIP", "A1", "spring clip", 40, 5, "each", "=D4*2"),
    ("GLUE", "B2", "thread locker", "25 mL", None, "mL", "=E5+1"),
    ("CLIP", "A2", "spring clip", 12, None, "each", "=D6*2"),
    ("TIE", "C1", "cable tie", 3, None, "pack", None),
]
ON_ORDER = [
    ("order", "part", "quantity", "due", "remark"),
    ("PO-1", "CLIP", 20, date(2026, 12, 1), "ring first"),
    ("PO-2", "TIE", 2, date(2026, 12, 2), None),
]
USAGE = [("date", "part", "quantity", "job"), (date(2026, 11, 20), "CLIP", 4, "J-1")]


def rich_book(path: Path, *, formulas_done: bool = True) -> Path:
    """The workbook at ``path``; an xlsm has macros. Every formula has a result, if ``formulas_done``."""
    from openpyxl import Workbook
    from openpyxl.chart import BarChart, Reference
    from openpyxl.comments import Comment
    from openpyxl.drawing.image import Image
    from openpyxl.formatting.rule import CellIsRule
    from openpyxl.styles import Font, PatternFill
    from openpyxl.worksheet.datavalidation import DataValidation
    from openpyxl.worksheet.table import Table

    book = Workbook()
    sheet = book.active
    sheet.title = "Stock"
    for row in STOCK:
        sheet.append(row)
    for cell in sheet["D"][3:]:
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="FFEEDD")
    sheet.column_dimensions["C"].width = 31.5
    sheet.conditional_formatting.add("D4:D9", CellIsRule(operator="lessThan", formula=["5"]))
    check = DataValidation(type="list", formula1='"each,mL,pack"')
    check.add("F4:F99")
    sheet.add_data_validation(check)
    sheet["A4"].comment = Comment("counted twice", "clerk")
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=4, min_row=4, max_row=7))
    sheet.add_chart(chart, "J4")
    sheet.add_image(Image(io.BytesIO(PIXEL)), "J20")
    sheet.freeze_panes = "A4"
    for name, rows in (
        ("On order", ON_ORDER),
        ("Usage", USAGE),
        ("Notes of our own", [("=SUM(Stock!D4:D9)",)]),
    ):
        page = book.create_sheet(name)
        for row in rows:
            page.append(row)
        for cell in page["A"] if name == "Usage" else page["D"] if name == "On order" else ():
            cell.number_format = "yyyy-mm-dd"
    book["Usage"].add_table(Table(displayName="Used", ref="A1:D2"))
    held = io.BytesIO()
    book.save(held)
    _add_what_is_lost(held, path, formulas_done)
    return path


def _add_what_is_lost(held: io.BytesIO, path: Path, formulas_done: bool) -> None:
    with zipfile.ZipFile(held) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            data = old.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                data = data.replace(b"</worksheet>", EXTENSION + b"</worksheet>")
            if formulas_done:
                data = data.replace(b"</f><v></v>", b"</f><v>7</v>").replace(b"</f><v/>", b"</f><v>7</v>")
            if part.filename == "xl/workbook.xml":
                data = data.replace(b' fullCalcOnLoad="1"', b"")
            if part.filename == "[Content_Types].xml" and path.suffix == ".xlsm":
                data = data.replace(
                    b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
                    b"application/vnd.ms-excel.sheet.macroEnabled.main+xml",
                )
            new.writestr(part, data)
        new.writestr("xl/calcChain.xml", CHAIN)
        new.writestr("xl/threadedComments/threadedComment1.xml", b"<ThreadedComments/>")
        if path.suffix == ".xlsm":
            new.writestr("xl/vbaProject.bin", MACROS)
