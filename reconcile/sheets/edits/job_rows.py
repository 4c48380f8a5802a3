"""A job added to a copy of the jobs workbook, or of a jobs file in csv; the file itself is never changed."""

import csv
import io
import re
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

from reconcile.sheets.edits.workbook import Changed, NewValue, SheetChange, change_workbook
from reconcile.sheets.files.archive import XLSX, column_number, open_archive
from reconcile.values.guard import guarded
from reconcile.values.measure import length_text, quantity_text
from reconcile.values.problem import Place, RowPlace, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.week.jobs import SaidJob

PLAIN = Settings()
WORKBOOKS = (".xlsx", ".xlsm")
CSV = ".csv"


def with_job(
    job: SaidJob,
    unit: str,
    jobs: Path,
    like: RowPlace,
    settings: Settings = PLAIN,
) -> Changed:
    """The jobs file with a row for the job below its last, and what must be said of it.

    ``unit`` prints the sizes, with the decimal mark of the settings; ``like`` names the sheet, its columns
    and the row whose formats it takes (0: none). Raises Unusable: heading-missing where the sheet lacks a
    column that the job fills; file-kind for a file that cannot be added to; and as ``change_workbook`` does.
    """
    cells = {
        heading: value
        for heading, value in row_of_job(job, unit, settings.decimal).items()
        if value not in ("", None)
    }
    if lacking := [heading for heading in cells if heading not in like.columns]:
        says = f"The jobs sheet has no column for {', '.join(lacking)}."
        raise Unusable(problem("heading-missing", Place(jobs.name, like.sheet), says))
    by_letters = {like.columns[heading]: value for heading, value in cells.items()}
    suffix = jobs.suffix.lower()
    if suffix == CSV:
        return Changed(with_line(jobs.read_bytes(), by_letters), ())
    data = jobs.read_bytes() if suffix in WORKBOOKS else b""
    if not data or open_archive(data, jobs.name, settings.limits).kind != XLSX:
        says = f"A job cannot be added to a {jobs.suffix} file."
        raise Unusable(problem("file-kind", Place(jobs.name), says))
    return change_workbook(
        data, jobs.name, [SheetChange(like.sheet, rows=[by_letters], like=like.row)], settings.limits
    )


def row_of_job(job: SaidJob, unit: str, decimal: str | None = None) -> dict[str, NewValue]:
    """What the row holds, by heading; defaults are left blank."""
    return {
        "job": job.number,
        "date": job.day,
        "frame": job.frame,
        "from": as_read(job.shown("from", unit), decimal),
        "to": as_read(length_text(job.size_to, unit), decimal),
        "adjustment": job.adjustment,
        "options": job.shown("options"),
        "side": "" if job.side == "both" else job.side,
        "left now": None if job.left_now is None else Fraction(job.left_now),
        "right now": None if job.right_now is None else Fraction(job.right_now),
        "spacers now": as_read(job.shown("spacers now"), decimal),
        "asset": job.asset,
        "chairs": None if job.chairs == 1 else Fraction(job.chairs),
        "priority": None if job.priority == 3 else Fraction(job.priority),
    }


def as_read(text: str, decimal: str | None) -> str:
    """Decimals in a text with the mark that the sheet is read by."""
    return re.sub(r"(?<=[0-9])\.(?=[0-9])", ",", text) if decimal == "," else text


# --- csv: one line more, in the file's own encoding and delimiter ---------------------------------------


def with_line(content: bytes, cells: Mapping[str, NewValue]) -> bytes:
    """The file with one line more, whose cells stand in these columns."""
    encoding = encoding_of(content)
    text = content.decode(encoding)
    header = next(line for line in text.splitlines() if line.strip())
    delimiter = max(",;\t", key=header.count)
    row = [""] * max(map(column_number, cells))
    for letters, value in cells.items():
        row[column_number(letters) - 1] = guarded(as_typed(value))
    line = io.StringIO()
    csv.writer(line, delimiter=delimiter, lineterminator="\r\n" if "\r\n" in text else "\n").writerow(row)
    ending = "" if text.endswith("\n") else "\n"
    return content + f"{ending}{line.getvalue()}".encode(encoding)


def as_typed(value: NewValue) -> str:
    """A value as somebody types it into a csv file: a day in ISO, a number as it is read."""
    if isinstance(value, Fraction):
        return quantity_text(value)
    return "" if value is None else str(value)


def encoding_of(content: bytes) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16-le" if content.startswith(b"\xff\xfe") else "utf-16-be"
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"
