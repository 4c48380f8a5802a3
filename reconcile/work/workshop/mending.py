"""Mend what a sheet leaves unclear, outside the sheet: lengths that became dates, headings, sheets.

What was typed goes into the accept file, what a column or a sheet is into the settings. The workbooks stay as
they are; of settings that are changed the old file is kept.
"""

import csv
import io
import json
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from reconcile.ledger.files import digest, free_path, put_in_place
from reconcile.reports.writing.files import write_all, write_text
from reconcile.sheets.beginning.looking import look
from reconcile.sheets.beginning.words import OURS
from reconcile.sheets.edits.typed import sheet_shown
from reconcile.sheets.figures.turned_dates import fractions_behind_cell
from reconcile.sheets.files.books import open_book
from reconcile.sheets.finding import SETTINGS_NAME, call_fault, find_settings
from reconcile.sheets.request import Request
from reconcile.sheets.settings.file import read_settings
from reconcile.values.beginning import ColumnSeen, SheetSeen
from reconcile.values.measure import fraction_text
from reconcile.values.problem import Problem, Unusable
from reconcile.values.settings import Settings
from reconcile.values.words import fold

ACCEPT = "accept.csv"
HEADINGS = ("where", "found", "use")
TURNED = "length-is-date"
CHANGED = "rows-changed-meanwhile"


@dataclass(frozen=True, slots=True)
class TurnedLength:
    """A length that became a date, and all that it can have been."""

    fault: Problem
    choices: tuple[str, ...]
    """``3/8 in``: each that a spreadsheet program may have turned into that date."""


@dataclass(frozen=True, slots=True)
class ColumnToName:
    """A column of a sheet of ours that nothing reads, and the headings of ours that are still free."""

    sheet: SheetSeen
    column: ColumnSeen
    free: tuple[str, ...]


def turned_lengths(faults: Iterable[Problem]) -> list[TurnedLength]:
    """Of all faults those that a choice mends."""
    found = []
    for fault in faults:
        if fault.code == TURNED:
            behind = fractions_behind_cell(fault.found) or ()
            found.append(TurnedLength(fault, tuple(f"{fraction_text(fraction)} in" for fraction in behind)))
    return found


def accept_path(request: Request) -> Path:
    """The accept file of a workshop: as asked for, else ``accept.csv`` in its folder."""
    return request.accept or request.folder / ACCEPT


def accept_length(turned: TurnedLength, use: str, request: Request) -> Path:
    """Writes into the accept file what one cell is to be read as. Every other line of it stays.

    Raises Unusable: call-unusable for what the cell cannot have been; and as reading and writing it does.
    """
    if use not in turned.choices:
        raise Unusable(call_fault("use", f"{turned.fault.place} cannot have been {use!r}."))
    path = accept_path(request)
    if path.suffix.lower() != ".csv":
        raise Unusable(call_fault("accept", f"{path.name} is no csv file: write the line yourself."))
    lines = [*_lines_there(path), (str(turned.fault.place), turned.fault.found, use)]
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerows([HEADINGS, *({line[0]: line for line in lines}.values())])
    write_all([(path, partial(write_text, text.getvalue()))], force=True)
    return path


def _lines_there(path: Path) -> list[tuple[str, ...]]:
    if not path.is_file():
        return []
    book = open_book(path)
    shown = sheet_shown(book, book.sheet_names[0], HEADINGS)
    return [tuple(row.of(heading) for heading in HEADINGS) for row in shown.rows]


# --- headings and sheets ----------------------------------------------------------------------------


def columns_to_name(request: Request, settings: Settings) -> list[ColumnToName]:
    """Every named column that nothing reads, of sheets that look like ours."""
    named = {fold(word) for words in settings.headings.values() for word in words}
    found = []
    for sheet in look(request.folder).sheets:
        if not sheet.kind:
            continue
        taken = {match.ours for match in sheet.matches}
        free = tuple(heading for heading in OURS[sheet.kind].headings if heading not in taken)
        found += [
            ColumnToName(sheet, column, free)
            for column in sheet.unmatched
            if column.theirs and fold(column.theirs) not in named and free
        ]
    return found


def name_heading(theirs: str, ours: str, request: Request) -> Path:
    """Writes into the settings that a word of theirs stands for a heading of ours. Raises Unusable."""
    if ours not in {heading for kind in OURS.values() for heading in kind.headings}:
        raise Unusable(call_fault("heading", f"{ours!r} is none of our headings."))
    return _settings_with("headings", ours, theirs, request, listed=True)


def name_sheet(theirs: str, kind: str, request: Request) -> Path:
    """Writes into the settings which sheet is ours of that kind (``Stock``). Raises Unusable."""
    if kind not in OURS:
        raise Unusable(call_fault("sheet", f"{kind!r} is none of our sheets."))
    return _settings_with("sheets", fold(kind), theirs, request, listed=False)


def _settings_with(table: str, key: str, word: str, request: Request, *, listed: bool) -> Path:
    """The settings file with one more word, all else as it was; the old one is kept beside it.

    Raises Unusable: call-unusable where the word cannot be put in by itself; jobs-changed-meanwhile where
    somebody else changed the file; and as ``read_settings`` does of what would come of it.
    """
    path = find_settings(request) or request.folder / SETTINGS_NAME
    seen = digest(path)
    old = path.read_text("utf-8") if seen else ""
    new = with_word(old, table, key, word, listed=listed)
    if new is None:
        where = f"[{table}] {key}"
        raise Unusable(
            call_fault("settings", f"{where} of {path.name} cannot be changed here: write it there.")
        )
    if not seen:
        write_all([(path, partial(write_text, new))])
        return path
    aside = path.with_name(f".reconcile-try-{digest(path)[:16]}.toml")
    try:
        aside.write_text(new, "utf-8", newline="")
        read_settings(aside, request.today)
    finally:
        aside.unlink(missing_ok=True)
    kept = free_path(path.with_name(f"{path.stem}-before{path.suffix}"))
    put_in_place(path, new.encode("utf-8"), seen, kept, CHANGED)
    return path


def with_word(text: str, table: str, key: str, word: str, *, listed: bool) -> str | None:
    """The text of settings with a word more under a key of a table; None where that is not sure.

    Nothing else of the text changes: what comes of it is read as TOML, and must be the old with that word.
    """
    try:
        meant = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None
    own = meant.setdefault(table, {})
    if not isinstance(own, dict) or (not listed and key in own):
        return None
    there = own.get(key, [])
    if listed and (not isinstance(there, list) or word in there):
        return None
    own[key] = [*there, word] if listed else word
    made = _spliced(text, table, key, word, listed=listed, there=bool(there))
    try:
        return made if made is not None and tomllib.loads(made) == meant else None
    except tomllib.TOMLDecodeError:
        return None


def _spliced(text: str, table: str, key: str, word: str, *, listed: bool, there: bool) -> str | None:
    quoted = json.dumps(word, ensure_ascii=False).replace("\x7f", "\\u007f")
    name = key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else json.dumps(key, ensure_ascii=False)
    lines = text.splitlines(keepends=True)
    head = next((at for at, line in enumerate(lines) if re.match(rf"\s*\[{table}\]\s*(#.*)?$", line)), None)
    if there and head is not None:
        for at in range(head + 1, len(lines)):
            found = re.match(
                rf'(\s*(?:"{re.escape(key)}"|{re.escape(key)})\s*=\s*\[[^\[\]]*?)(,?\s*\].*)', lines[at]
            )
            if found:
                lines[at] = f"{found[1]}, {quoted}{found[2].lstrip(',')}" + _end_of(lines[at])
                return "".join(lines)
        return None
    entry = f"{name} = {f'[{quoted}]' if listed else quoted}\n"
    if head is None:
        gap = "" if not text or text.endswith("\n\n") else "\n" if text.endswith("\n") else "\n\n"
        return f"{text}{gap}[{table}]\n{entry}"
    lines[head] = lines[head] if lines[head].endswith("\n") else f"{lines[head]}\n"
    lines.insert(head + 1, entry)
    return "".join(lines)


def _end_of(line: str) -> str:
    return "\n" if line.endswith("\n") else ""


def plain_sheets(request: Request) -> Mapping[str, tuple[str, ...]]:
    """By file the names of its sheets that look like none of ours, for whoever has to say which is which."""
    found: dict[str, tuple[str, ...]] = {}
    for sheet in look(request.folder).sheets:
        if not sheet.single_csv:
            found[sheet.file] = (*found.get(sheet.file, ()), sheet.sheet)
    return found
