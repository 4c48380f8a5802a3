"""A job added to a copy of the jobs workbook; the workbook itself is never written to."""

import csv
import io
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path
from xml.sax.saxutils import escape

from reconcile.reports.writing.csv_files import safe_file_name
from reconcile.reports.writing.files import write_whole
from reconcile.values.guard import guarded
from reconcile.values.measure import length_text
from reconcile.values.problem import Place, RowPlace, Unusable, problem
from reconcile.values.week.jobs import Job

XLSX = (".xlsx", ".xlsm")
END_OF_ROWS = "</sheetData>"


def held_path(jobs: Path, job: Job) -> Path:
    """``jobs-with-J-200.xlsx``, beside the jobs workbook."""
    return jobs.with_name(f"{jobs.stem}-with-{safe_file_name(job.number)}{jobs.suffix}")


def hold(job: Job, unit: str, jobs: Path, header: RowPlace) -> Path:
    """Writes the copy and says where. ``header`` names the sheet and its columns; ``unit`` prints the sizes.

    Raises Unusable where the copy is there already, the sheet lacks a column that the job fills, or the
    workbook is of a kind that cannot be added to.
    """
    cells = {heading: value for heading, value in values_of(job, unit).items() if value != ""}
    if lacking := [heading for heading in cells if heading not in header.columns]:
        says = f"The jobs sheet has no column for {', '.join(lacking)}."
        raise Unusable(problem("heading-missing", Place(jobs.name, header.sheet), says))
    by_letters = {header.columns[heading]: value for heading, value in cells.items()}
    path = held_path(jobs, job)
    if jobs.suffix.lower() in XLSX:
        write_whole(path, lambda target: copy_workbook(jobs, target, header.sheet, by_letters))
    elif jobs.suffix.lower() == ".csv":
        write_whole(path, lambda target: copy_csv(jobs, target, by_letters))
    else:
        says = f"A job cannot be added to a {jobs.suffix} file."
        raise Unusable(problem("file-kind", Place(jobs.name), says))
    return path


def values_of(job: Job, unit: str) -> dict[str, str | int]:
    """What the row holds, by heading; defaults are left blank."""
    return {
        "job": job.number,
        "date": job.day.isoformat(),
        "frame": job.frame,
        "from": length_text(job.size_from, unit),
        "to": length_text(job.size_to, unit),
        "adjustment": job.adjustment,
        "options": ", ".join(job.options),
        "side": "" if job.side == "both" else job.side,
        "left now": "" if job.left_now is None else job.left_now,
        "right now": "" if job.right_now is None else job.right_now,
        "chairs": "" if job.chairs == 1 else job.chairs,
        "priority": "" if job.priority == 3 else job.priority,
    }


# --- xlsx: one row more in the sheet's own XML, every other part byte for byte -------------------------


def copy_workbook(source: Path, target: Path, sheet: str, cells: Mapping[str, str | int]) -> None:
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        changed = part_of_sheet(old, sheet)
        for part in old.infolist():
            content = old.read(part)
            new.writestr(
                part,
                with_row(content.decode("utf-8"), cells).encode() if part.filename == changed else content,
            )


def part_of_sheet(book: zipfile.ZipFile, sheet: str) -> str:
    """The archive's part that holds the sheet's rows."""
    from xml.etree import ElementTree

    def tags(part: str, name: str) -> list[dict[str, str]]:
        return [
            each.attrib
            for each in ElementTree.fromstring(book.read(part)).iter()
            if each.tag.endswith(f"}}{name}")
        ]

    (attributes,) = [tag for tag in tags("xl/workbook.xml", "sheet") if tag["name"] == sheet]
    relation = next(value for key, value in attributes.items() if key.endswith("}id"))
    (target,) = [
        tag["Target"] for tag in tags("xl/_rels/workbook.xml.rels", "Relationship") if tag["Id"] == relation
    ]
    return target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def with_row(xml: str, cells: Mapping[str, str | int]) -> str:
    """The sheet's XML with one more row below its last."""
    number = max((int(each) for each in re.findall(r'<row\b[^>]*?\br="(\d+)"', xml)), default=0) + 1
    in_order = sorted(cells.items(), key=lambda cell: (len(cell[0]), cell[0]))
    row = "".join(cell_xml(f"{letters}{number}", value) for letters, value in in_order)
    row = f'<row r="{number}">{row}</row>'
    if END_OF_ROWS not in xml:
        return re.sub(r"<sheetData\s*/>", lambda _: f"<sheetData>{row}{END_OF_ROWS}", xml, count=1)
    before, end, after = xml.rpartition(END_OF_ROWS)
    return widened(before, number) + row + end + after


def widened(xml: str, row: int) -> str:
    """The declared extent, if any, down to the new row."""
    return re.sub(r'(<dimension ref="[A-Z]+\d+:[A-Z]+)\d+"', lambda found: f'{found[1]}{row}"', xml, count=1)


def cell_xml(address: str, value: str | int) -> str:
    if isinstance(value, int):
        return f'<c r="{address}"><v>{value}</v></c>'
    return f'<c r="{address}" t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'


# --- csv: one line more, in the file's own encoding and delimiter ---------------------------------------


def copy_csv(source: Path, target: Path, cells: Mapping[str, str | int]) -> None:
    content = source.read_bytes()
    encoding = encoding_of(content)
    text = content.decode(encoding)
    header = next(line for line in text.splitlines() if line.strip())
    delimiter = max(",;\t", key=header.count)
    row = [""] * (max(map(column_number, cells)) + 1)
    for letters, value in cells.items():
        row[column_number(letters)] = guarded(str(value))
    line = io.StringIO()
    csv.writer(line, delimiter=delimiter, lineterminator="\r\n" if "\r\n" in text else "\n").writerow(row)
    ending = "" if text.endswith("\n") else "\n"
    target.write_bytes(content + f"{ending}{line.getvalue()}".encode(encoding.replace("-sig", "")))


def encoding_of(content: bytes) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16-le" if content.startswith(b"\xff\xfe") else "utf-16-be"
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def column_number(letters: str) -> int:
    """``A`` is 0, ``AA`` is 26."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1
