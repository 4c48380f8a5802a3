"""csv bytes to rows of text: encoding, delimiter and quotes, and what is no csv at all."""

import codecs
import csv
import io
import re
from datetime import date, time, timedelta

from reconcile.sheets.archive import CELL_LIMIT
from reconcile.values.problem import Place, Problem, Unusable, problem

DELIMITERS = "\t;,"
LINES_LOOKED_AT = 30
"""How far down the line of headings is looked for."""

Cell = str | float | bool | date | time | timedelta | None


def looks_like(data: bytes) -> str:
    """In words, what bytes that are no workbook seem to be."""
    start = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if not data:
        return "is empty"
    if start.startswith((b"<!doctype html", b"<html", b"<table", b"<?xml", b"<")):
        return "looks like a web page or other marked-up text"
    if b"\0" not in start and any(mark.encode() in start for mark in DELIMITERS):
        return "looks like csv"
    return "is of no kind that can be read"


def refuse_other_kinds(data: bytes, file: str) -> None:
    """Raises Unusable (file-kind) for bytes that are no text: nothing at all, a workbook, a picture."""
    why = ""
    if not data.strip():
        why = "is empty"
    elif data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        why = "is a workbook or an archive, not csv; its name should end in .xlsx"
    elif b"\0" in data and not data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        why = "is not text"
    if why:
        raise Unusable(problem("file-kind", Place(file), f"{file} {why}."))


def read_csv(data: bytes, file: str) -> tuple[list[list[Cell]], tuple[Problem, ...]]:
    """Rows of equal width, every cell text or None, and the remark on the encoding if there is one.

    A row is a record: a line break inside quotes does not begin another. Raises Unusable: csv-quote with
    the line that the faulty row begins on; file-kind where the bytes are no text.
    """
    text, problems = _decode(data, file)
    rows: list[list[Cell]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    line = 1
    try:
        for record in reader:
            rows.append([cell if cell else None for cell in record])
            line = reader.line_num + 1
    except csv.Error as why:
        raise Unusable(_quote_problem(file, line, why)) from why
    return _rectangular(rows, file), problems


def _decode(data: bytes, file: str) -> tuple[str, tuple[Problem, ...]]:
    try:
        if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return data.decode("utf-16"), ()
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as why:
        raise Unusable(problem("file-kind", Place(file), f"{file} is not text.")) from why
    return text, (problem("text-encoding", Place(file), f"{file} is not in UTF-8."),)


def _delimiter(text: str) -> str:
    """The mark that parts the headings: counted on the first line that has two of one, quoted text aside."""
    lines = [re.sub(r'"[^"]*"', "", line) for line in text.splitlines()[:LINES_LOOKED_AT]]
    for least in (2, 1):
        for line in lines:
            best = max(DELIMITERS, key=line.count)
            if line.count(best) >= least:
                return best
    return ","


def _quote_problem(file: str, line: int, why: csv.Error) -> Problem:
    if "field larger" in str(why) or "unexpected end" in str(why):
        says = f"The row that begins on line {line} has a quote mark that is not closed."
    else:
        says = f"The row that begins on line {line} has a quote mark inside a quoted field."
    return problem("csv-quote", Place(file, "", f"line {line}"), says)


def _rectangular(rows: list[list[Cell]], file: str) -> list[list[Cell]]:
    """Pads every row to the width of the widest, blank cells at its end not counted."""
    for row in rows:
        while row and row[-1] is None:
            row.pop()
    width = max(map(len, rows), default=0)
    if width * len(rows) > CELL_LIMIT:
        says = f"{file} spans {len(rows)} rows and {width} columns; the limit is {CELL_LIMIT} cells."
        raise Unusable(problem("file-too-large", Place(file), says))
    for row in rows:
        row.extend([None] * (width - len(row)))
    return rows
