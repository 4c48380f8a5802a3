"""csv bytes to rows of text: encoding, delimiter and quotes, and what is no csv at all."""

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time, timedelta
from itertools import islice
from typing import TYPE_CHECKING

from reconcile.values.guard import unguarded
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import DEFAULT_LIMITS, NOTHING_DECLARED, CsvForm, Limits

if TYPE_CHECKING:
    from _csv import Reader

DELIMITERS = "\t;,|"
DELIMITER_NAMES = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "bar"}
LINES_LOOKED_AT = 30
"""Filled lines from which the delimiter is told."""
LOOKED_AT = 1 << 16

_QUOTED_CELL = re.compile(r'(^|[\t;,|\r\n])"(?:[^"]|"")*"(?=[\t;,|\r\n]|\Z)')
"""A cell in quotes as a whole, line breaks and all; an inch mark within a cell begins none."""

UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
UTF_32 = (codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)

Cell = str | float | bool | date | time | timedelta | None


@dataclass(frozen=True, slots=True)
class CsvRead:
    """A csv file as read: its rows, all of one width, each cell text or None."""

    rows: list[list[Cell]]
    lengths: list[int]
    """How many cells each row was written with, blank ones at its end included."""
    lines: list[int]
    """The line of the file on which each row begins: a cell may hold line breaks."""
    read_as: str
    """``UTF-8, delimiter semicolon, quote "``"""
    problems: tuple[Problem, ...]


def looks_like(data: bytes) -> str:
    """In words, what bytes that are no workbook seem to be."""
    if not data:
        return "is empty"
    start = data[:4096]
    if start.startswith(UTF_16):
        start = start[: len(start) & ~1].decode("utf-16", "replace").encode()
    start = start.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if start.startswith(b"<"):
        return "looks like a web page or other marked-up text"
    if b"\0" not in start and any(mark.encode() in start for mark in DELIMITERS):
        return "looks like csv"
    return "is of no kind that can be read"


def refuse_other_kinds(data: bytes, file: str) -> None:
    """Raises Unusable (file-kind) for bytes that are no text: nothing at all, a workbook, a web page."""
    why = ""
    if not data.strip():
        why = "is empty"
    elif data.startswith(b"PK\x03\x04"):
        why = "is a workbook or an archive, not csv; its name should end in .xlsx or .ods"
    elif data.startswith(b"\xd0\xcf\x11\xe0"):
        why = "is an old or a protected workbook, not csv; its name should end in .xls"
    elif re.match(rb"(?:\xef\xbb\xbf)?\s*<(?:!doctype|html|table|\?xml)", data[:200], re.IGNORECASE):
        why = "is a web page or other marked-up text, not csv"
    elif padded := _padded(data):
        why = (
            f"ends in {padded} bytes of nought, as a file does whose saving was broken off: rows may be lost"
        )
    elif b"\0" in data and not data.startswith(UTF_32) and utf_16_of(data) is None:
        why = "is not text"
    if why:
        raise Unusable(problem("file-kind", Place(file), f"{file} {why}."))


def _padded(data: bytes) -> int:
    """How many bytes of nought follow the text; 0 where its letters may have them, or some stand within."""
    text = data.rstrip(b"\0")
    wide = data.startswith((*UTF_16, *UTF_32)) or b"\0" in text
    return 0 if wide else len(data) - len(text)


def utf_16_of(data: bytes) -> str | None:
    """How the bytes are UTF-16, by their mark or because every second byte of plain letters is nought."""
    if data.startswith(UTF_16):
        return "utf-16"
    start = data[:LOOKED_AT]
    pairs = len(start) // 2
    even, odd = start[::2].count(0), start[1::2].count(0)
    if len(data) % 2 or not pairs:
        return None
    # Beyond plain letters a few marks, such as dashes and curled quotes, have a second byte of their own.
    if even == 0 and odd >= 0.9 * pairs:
        return "utf-16-le"
    return "utf-16-be" if odd == 0 and even >= 0.9 * pairs else None


def read_csv(
    data: bytes, file: str, form: CsvForm = NOTHING_DECLARED, limits: Limits = DEFAULT_LIMITS
) -> CsvRead:
    """Rows of equal width, every cell text or None; how the file was read; a remark on its encoding.

    The apostrophe that keeps a text like ``-10`` from being worked out is no part of it (``values.guard``).

    A row is a record: a line break inside quotes does not begin another. Raises Unusable: csv-quote with
    the line that the faulty row begins on; file-kind and text-undecodable where the bytes are no text;
    file-too-large.
    """
    text, encoding, problems = _decode(data, file, form.encoding)
    delimiter = form.delimiter or _declared_inside(text) or _delimiter(text)
    quoted = '"' in text
    read = _Reading(file, limits, guarded="'" in text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    again = _Again(text)
    line = 1
    try:
        # A field is as long as its quotes say, and the whole text is bounded already.
        for record in _records(reader, len(text)):
            following = reader.line_num + 1
            if following > line + 1:
                _refuse_two_readings(record, again.lines(line, following), line, delimiter, file)
            read.add(record, line)
            line = following
    except csv.Error as why:
        raise Unusable(_quote_problem(file, line, why)) from why
    quote = 'quote "' if quoted else "no quotes"
    read_as = f"{encoding}, delimiter {DELIMITER_NAMES.get(delimiter, delimiter)}, {quote}"
    return CsvRead(read.rectangular(), read.lengths, read.lines, read_as, problems)


def _records(reader: "Reader", longest: int) -> Iterator[list[str]]:
    """The records, with fields up to that length; the limit of the module is put back after each record."""
    while True:
        limit = csv.field_size_limit(max(longest, csv.field_size_limit()))
        try:
            record = next(reader, None)
        finally:
            csv.field_size_limit(limit)
        if record is None:
            return
        yield record


class _Reading:
    """The rows read so far, never more than the limit; blank rows count once a filled one follows them."""

    def __init__(self, file: str, limits: Limits, *, guarded: bool) -> None:
        self.rows: list[list[Cell]] = []
        self.lengths: list[int] = []
        self.lines: list[int] = []
        self._file, self._limits, self._guarded = file, limits, guarded
        self._blank: list[tuple[int, int]] = []
        self._width = 0

    def add(self, record: list[str], line: int) -> None:
        row: list[Cell] = [cell or None for cell in record]
        if self._guarded:
            row = [unguarded(cell) if cell and cell[:1] == "'" else cell or None for cell in record]
        while row and row[-1] is None:
            row.pop()
        if not row:
            # No more blank rows are kept than could be used: a sheet may be saved with a million of them.
            if len(self._blank) + len(self.rows) <= self._limits.cells:
                self._blank.append((len(record), line))
            return
        for length, blank_line in self._blank:
            self._keep([], length, blank_line)
        self._blank.clear()
        self._keep(row, len(record), line)

    def _keep(self, row: list[Cell], length: int, line: int) -> None:
        self._width = max(self._width, len(row))
        self.rows.append(row)
        self.lengths.append(length)
        self.lines.append(line)
        if self._width * len(self.rows) > self._limits.cells:
            says = (
                f"{self._file} spans {self._width} columns and, up to line {line}, {len(self.rows)} rows; "
                f"the limit is {self._limits.cells} cells."
            )
            raise Unusable(problem("file-too-large", Place(self._file, "", f"line {line}"), says))

    def rectangular(self) -> list[list[Cell]]:
        """Pads every row to the width of the widest."""
        for row in self.rows:
            row.extend([None] * (self._width - len(row)))
        return self.rows


# encoding

_ENCODING_NAMES = {"utf-8": "UTF-8", "utf-16": "UTF-16", "utf-16-le": "UTF-16", "utf-16-be": "UTF-16"}


def _decode(data: bytes, file: str, declared: str | None) -> tuple[str, str, tuple[Problem, ...]]:
    """The text, its encoding in words, and the remark where the encoding was only guessed."""
    if declared is not None:
        text = _decoded(data, file, "utf-8-sig" if declared == "utf-8" else declared)
        return text.removeprefix("\ufeff"), f"{_ENCODING_NAMES.get(declared, declared)} as declared", ()
    if data.startswith(UTF_32):
        return _decoded(data, file, "utf-32"), "UTF-32 with a mark", ()
    if (wide := utf_16_of(data)) is not None:
        mark = "with" if wide == "utf-16" else "without"
        return _decoded(data, file, wide), f"UTF-16 {mark} a mark", ()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        remark = problem("text-encoding", Place(file), f"{file} is not in UTF-8.")
        return _decoded(data, file, "cp1252"), "cp1252 as a guess", (remark,)
    return text, "UTF-8 with a mark" if data.startswith(codecs.BOM_UTF8) else "UTF-8", ()


def _decoded(data: bytes, file: str, encoding: str) -> str:
    try:
        text = data.decode(encoding)
    except (UnicodeDecodeError, UnicodeError) as why:
        at = getattr(why, "start", 0)
        line = data.count(b"\n", 0, at) + 1
        says = f"{file} cannot be read as {encoding}: line {line} holds the byte {data[at : at + 1].hex()}."
        raise Unusable(problem("text-undecodable", Place(file, "", f"line {line}"), says)) from why
    if "\0" in text:
        raise Unusable(problem("file-kind", Place(file), f"{file} is not text."))
    return text


# delimiter and quotes


class _Again:
    """The lines of a text a second time, for the few rows that need a second look; only ever further down."""

    def __init__(self, text: str) -> None:
        self._lines = io.StringIO(text, newline="")
        self._next = 1

    def lines(self, first: int, following: int) -> list[str]:
        """The lines from one to before another, counted from 1."""
        wanted = islice(self._lines, first - self._next, following - self._next)
        self._next = following
        return list(wanted)


def _declared_inside(text: str) -> str | None:
    """The delimiter that some spreadsheet programs declare on a first line of its own: ``sep=;``."""
    found = re.match(r"sep=([^\w\s\"]|\t)[ \t]*\r?\n", text, re.IGNORECASE)
    return found[1] if found else None


def _delimiter(text: str) -> str:
    """The mark that parts most of the first lines into equally many cells, quoted text aside.

    The headings come first, so that among marks that do equally well the one that parts them more wins.
    """
    bare = _QUOTED_CELL.sub(r"\1q", text[:LOOKED_AT])
    lines = [re.sub(r'"[^"]*"', "q", line) for line in re.split(r"\r\n|\n|\r", bare)]
    lines = [line for line in lines if line.strip(DELIMITERS + " ")][:LINES_LOOKED_AT]

    def fit(mark: str) -> tuple[int, int, int]:
        counts = Counter(count for line in lines if (count := line.count(mark)))
        if not counts:
            return (0, 0, 0)
        cells, agreeing = max(counts.items(), key=lambda each: (each[1], each[0]))
        return agreeing, sum(counts.values()), cells

    best = max(DELIMITERS, key=fit)
    return best if fit(best)[0] else ","


def _refuse_two_readings(record: list[str], lines: list[str], first: int, delimiter: str, file: str) -> None:
    """Refuses a row of several lines that would make as many whole rows if its quotes were inch marks.

    Two rows with one stray quote each, ``8" castor``, else become one, and a part is lost without a word.
    """
    marks = [re.sub(r'"[^"]*"', "", line).count(delimiter) for line in lines]
    if len(record) > 1 and all(count == len(record) - 1 for count in marks):
        last = first + len(lines) - 1
        says = f"A quote mark on line {first} runs on to line {last}, over what look like rows of their own."
        raise Unusable(problem("csv-quote", Place(file, "", f"line {first}"), says))


def _quote_problem(file: str, line: int, why: csv.Error) -> Problem:
    if "unexpected end" in str(why):
        says = f"The row that begins on line {line} has a quote mark that is not closed."
    else:
        says = f"The row that begins on line {line} has a quote mark inside a quoted field."
    return problem("csv-quote", Place(file, "", f"line {line}"), says)
