"""Columns that are not read: which there are, what their cells look like, and options that hide in them.

A bolt is chosen by the options of a job. So a column of jobs whose cells name options that a frame knows
stops the run, until the settings say what it is.
"""

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction

from reconcile.sheets.fasteners.spellings import read_thread
from reconcile.sheets.figures.text import CellValue, Unreadable, clean
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import STOCK
from reconcile.sheets.tables.headings import key_of
from reconcile.sheets.tables.remarks import filled
from reconcile.sheets.tables.rows import SheetTable, as_text
from reconcile.values.frames.frame import Adjustment, Frame
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.settings import Settings
from reconcile.values.unread import BINS, LENGTHS, SIDES, SIZES, THREADS, UnreadColumn
from reconcile.values.words import fold, nearest

LOOKED_AT = 500
"""Different cells of a column whose looks are judged."""
MOST_NAMED = 3
"""Options that are named with their cells."""
MISSPELT = 0.75
"""How like an option a word must be to be taken for it misspelt, as in the column of options (of 1)."""
SIDE_WORDS = frozenset(
    {"both", "left", "right", "l", "r", "lh", "rh", "left side", "right side", "both sides"}
)
NOT_FITTED = frozenset({"no", "n", "none", "0", "false", "-", "--", "not fitted", "without", "off"})
"""What a cell says under the name of an option that is not there."""
MAY_BE = {
    SIZES: ("from", "to"),
    SIDES: ("side",),
    LENGTHS: ("length", "thread length"),
    THREADS: ("thread",),
    BINS: ("bin",),
}
_BETWEEN = re.compile(r"[,;/+&|\n]|\band\b", re.IGNORECASE)
_BIN = re.compile(r"[A-Z]{1,2}[-. ]?\d{1,3}(?:[-./ ][A-Z0-9]{1,3}){0,2}", re.IGNORECASE)
_SIDE = re.compile(r"\W*(.*?)\W*")

Measures = Sequence[Adjustment]


@dataclass(frozen=True, slots=True)
class FreeColumn:
    """An unread column by its index in the grid, with its filled cells by the number of their row."""

    table: SheetTable
    index: int
    cells: Mapping[int, CellValue]

    @property
    def heading(self) -> str:
        """The heading as a person sees it; "" for none."""
        return as_text(self.table.grid.rows[self.table.header.row][self.index])

    @property
    def letters(self) -> str:
        return self.table.grid.letters(self.index)

    @property
    def place(self) -> Place:
        grid = self.table.grid
        return Place(grid.file, grid.sheet, grid.address(self.table.header.row, self.index))


def unread_columns(
    tables: Iterable[SheetTable], frames: Mapping[str, Frame], settings: Settings
) -> tuple[UnreadColumn, ...]:
    """Every column with filled cells that is neither read nor left out by the settings, sheet by sheet."""
    measures = measures_of(frames)
    return tuple(
        seen(column, measures, settings) for table in tables for column in columns_of(table, settings)
    )


def columns_of(table: SheetTable, settings: Settings) -> Iterator[FreeColumn]:
    """The unread columns of a sheet, from left to right."""
    read = {found.column for found in table.header.found.values()}
    ignored = set(map(key_of, settings.ignored))
    rows, top = table.grid.rows, table.header.row
    for index in range(len(rows[top])):
        heading = as_text(rows[top][index])
        if index in read or (heading and key_of(heading) in ignored):
            continue
        first = table.grid.first_row
        cells = {
            first + at: cell
            for at in range(top + 1, len(rows))
            if filled(cell := rows[at][index])
        }  # fmt: skip
        if cells:
            yield FreeColumn(table, index, cells)


def seen(column: FreeColumn, measures: Measures, settings: Settings) -> UnreadColumn:
    kind, found = column.table.sorter.kind, column.table.header.found
    looks = ""
    if kind.name in (JOBS.name, STOCK.name):
        looks = looks_of(list(column.cells.values()), measures if kind.name == JOBS.name else (), settings)
    may_be = [name for name in MAY_BE.get(looks, ()) if name in kind.headings and name not in found]
    return UnreadColumn(column.place, column.letters, column.heading, len(column.cells), looks, tuple(may_be))


# --- what cells look like --------------------------------------------------------------------------------


def measures_of(frames: Mapping[str, Frame]) -> list[Adjustment]:
    """Every measure that a frame can be adjusted in."""
    return [adjustment for frame in frames.values() for adjustment in frame.adjustments]


def looks_of(cells: Sequence[CellValue], measures: Measures, settings: Settings) -> str:
    """What at least half of the different cells look like; "" for nothing that bears on a chair."""
    unlike = list({(cell.__class__, cell): cell for cell in cells}.values())[:LOOKED_AT]
    tests: tuple[tuple[str, Callable[[CellValue], bool]], ...] = (
        (SIDES, is_side),
        (THREADS, is_thread),
        (SIZES, lambda cell: is_size(cell, measures, settings)),
        (LENGTHS, lambda cell: isinstance(cell, str) and bool(lengths_in(cell, (None,)))),
        (BINS, is_bin),
    )
    return next((looks for looks, holds in tests if 2 * sum(map(holds, unlike)) >= len(unlike)), "")


def is_side(cell: CellValue) -> bool:
    said = _SIDE.fullmatch(fold(as_text(cell)))
    return said is not None and said[1] in SIDE_WORDS


def is_thread(cell: CellValue) -> bool:
    if not isinstance(cell, str):
        return False
    try:
        read_thread(clean(cell))
    except Unreadable:
        return False
    return True


def is_size(cell: CellValue, measures: Measures, settings: Settings) -> bool:
    """A length that a frame can be adjusted to; of a bare number, in either unit."""
    units = (settings.length_unit,) if settings.length_unit else ("in", "mm")
    return any(
        measure.minimum <= length <= measure.maximum
        and ((length - measure.minimum) / measure.step).denominator == 1
        for length in lengths_in(cell, units)
        for measure in measures
    )


def lengths_in(cell: CellValue, units: Sequence[str | None]) -> list[Fraction]:
    """What the cell is as a length, with either decimal mark, a bare number in each of the units."""
    found = []
    if isinstance(cell, str | int | float) and not isinstance(cell, bool):
        for unit in units:
            for mark in ".,":
                with suppress(Unreadable):
                    found.append(read_length(cell, unit, mark)[0])
    return found


def is_bin(cell: CellValue) -> bool:
    return isinstance(cell, str) and _BIN.fullmatch(clean(cell)) is not None


# --- problems --------------------------------------------------------------------------------------------


def look_remarks(columns: Iterable[UnreadColumn]) -> Iterator[Problem]:
    """A notice for each column whose cells look like something that a chair is built by."""
    for column in columns:
        if column.looks:
            named = f'The column "{column.heading}"' if column.heading else f"Column {column.letters}"
            says = f"{named} is not read, and its cells look like {column.looks}."
            yield problem("column-unread", column.place, says, do=cure(column), found=column.heading)


def cure(column: UnreadColumn) -> str:
    """The lines for the settings that have it read, or leave it out on purpose."""
    if not column.heading:
        return "Give it a heading, or clear it."
    reads = " or ".join(heading_line(name, column.heading) for name in column.may_be)
    out = f"To leave it out: {heading_line('ignore', column.heading)}"
    told = f"To have it read, write into reconcile.toml, under [headings]: {reads}. " if reads else ""
    return f"{told}{out}{'.' if told else ', under [headings] of reconcile.toml.'}"


def heading_line(ours: str, theirs: str) -> str:
    """``"on hand" = ["shelf count"]``, as the settings have it."""
    key = ours if ours.isidentifier() else json.dumps(ours)
    return f"{key} = [{json.dumps(theirs, ensure_ascii=False)}]"


def options_unread(table: SheetTable, frames: Mapping[str, Frame], settings: Settings) -> list[Problem]:
    """An error for each unread column of the jobs sheet that tells options of a frame."""
    known = frozenset().union(*(frame.options for frame in frames.values()))
    if not known:
        return []
    return [
        option_problem(column, found)
        for column in columns_of(table, settings)
        if (found := options_in(column, known))
    ]


def options_in(column: FreeColumn, known: frozenset[str]) -> dict[str, int]:
    """Options that the column tells, each with the first row that does: by its cells, or by its heading."""
    found: dict[str, int] = {}
    if headed := option_meant(column.heading.rstrip("? "), known):
        rows = [row for row, cell in column.cells.items() if fold(as_text(cell)) not in NOT_FITTED]
        return dict.fromkeys((headed,), rows[0]) if rows else {}
    meant: dict[str, list[str]] = {}
    for row, cell in column.cells.items():
        if not isinstance(cell, str):
            continue
        if cell not in meant:
            items = _BETWEEN.split(clean(cell))
            meant[cell] = [option for item in items if (option := option_told(item, known))]
        for option in meant[cell]:
            found.setdefault(option, row)
    return found


def option_told(text: str, known: frozenset[str]) -> str:
    """The option that a text names, nearly names, or has among its words; "" for none."""
    words = f" {fold(text)} "
    return option_meant(text, known) or next((option for option in known if f" {option} " in words), "")


def option_meant(text: str, known: frozenset[str]) -> str:
    """The option that a text names, or nearly; "" for none."""
    name = fold(text)
    if name in known:
        return name
    like = nearest(name, known, 1, MISSPELT) if name else []
    return like[0] if like else ""


def option_problem(column: FreeColumn, found: Mapping[str, int]) -> Problem:
    heading = column.heading
    named = ", ".join(f"{option} ({column.letters}{row})" for option, row in list(found.items())[:MOST_NAMED])
    more = f" and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
    headed = bool(option_meant(heading.rstrip("? "), frozenset(found)))
    what = "it names an option of a frame" if headed else "its cells name options of a frame"
    column_named = f'The column "{heading}"' if heading else f"Column {column.letters}"
    says = f"{column_named} is not read, and {what}: {named}{more}."
    place, do = column.place, option_cure(column, headed)
    return problem("options-unread", place, says, do=do, found=heading)


def option_cure(column: FreeColumn, headed: bool) -> str:
    heading = column.heading
    if not heading:
        return "Give it the heading options, or clear it."
    out = f"To leave it out on purpose: {heading_line('ignore', heading)}"
    if headed or "options" in column.table.header.found:
        return f"Write them into the column options. {out}, under [headings] of reconcile.toml."
    read = heading_line("options", heading)
    return f"To have it read, write into reconcile.toml, under [headings]: {read}. {out}."
