"""What stands in a returns workbook that is there already, row by row, so that a new one can keep it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from reconcile.values.stock.lines import what_of
from reconcile.values.words import fold

FilledCell = str | int | Fraction | date | None
DONE_SHEET = "Done"
REMARK = "remark"
"""The heading under which a row says that it is no longer planned."""

KEYS = {
    DONE_SHEET: ("job",),
    "Lines": ("job", "do", "what", "name", "side", "part"),
    "Checks": ("job", "check"),
    "Deliveries": ("order", "part", "due"),
}
"""What names a row of each sheet that is filled in."""
LOOSE_KEYS = {"Deliveries": ("order", "part")}
"""What names it well enough where no row has its full name: the day an overdue order is due moves on."""
TO_FILL = {
    DONE_SHEET: ("done", "done on"),
    "Lines": ("used", "returned", "scrapped", "bin", "reason", "came off"),
    "Checks": ("ok", "reading", "second person", "tried by the user on"),
    "Deliveries": ("received", "received on", "bin", "finished", "note"),
}
"""Cells that are blank until somebody fills them in."""
ALSO_KEPT = {DONE_SHEET: ("done by",)}
"""Cells that are filled in beforehand and may be changed."""


@dataclass(frozen=True, slots=True)
class FilledRow:
    """A row as it stands, by heading."""

    sheet: str
    cells: Mapping[str, FilledCell]

    @property
    def job(self) -> str:
        """Folded; "" on a sheet without jobs."""
        return fold(text_of(self.cells.get("job")))

    @property
    def key(self) -> tuple[str, ...]:
        return key_of(self.sheet, self.cells)

    @property
    def loose_key(self) -> tuple[str, ...]:
        """() on a sheet of which only the full name names a row."""
        return loose_key_of(self.sheet, self.cells)

    @property
    def filled(self) -> bool:
        return any(not blank(self.cells.get(heading)) for heading in TO_FILL.get(self.sheet, ()))

    @property
    def kept(self) -> dict[str, FilledCell]:
        """The cells that a new row of the same name keeps."""
        headings = (*TO_FILL.get(self.sheet, ()), *ALSO_KEPT.get(self.sheet, ()))
        return {heading: self.cells[heading] for heading in headings if not blank(self.cells.get(heading))}


@dataclass(frozen=True, slots=True)
class FilledReturns:
    """All rows of a returns workbook, by sheet, in their order."""

    rows: Mapping[str, tuple[FilledRow, ...]] = field(default_factory=dict)

    def of(self, sheet: str) -> tuple[FilledRow, ...]:
        return self.rows.get(sheet, ())

    @property
    def filled(self) -> bool:
        return any(row.filled for rows in self.rows.values() for row in rows)

    def done(self) -> set[str]:
        """Jobs whose cell *done* says yes, or part: what their lines say belongs to the kit they had."""
        said = {row.job: fold(text_of(row.cells.get("done"))) for row in self.of(DONE_SHEET)}
        return {job for job, word in said.items() if word not in ("", "no", "n", "false", "0")}

    def told(self) -> set[str]:
        """Jobs of which anything at all is filled in."""
        return {row.job for rows in self.rows.values() for row in rows if row.filled and row.job}


def key_of(sheet: str, cells: Mapping[str, FilledCell]) -> tuple[str, ...]:
    told = {heading: text_of(cells.get(heading)) for heading in KEYS.get(sheet, ())}
    if "what" in told:
        told["what"] = what_of(told["what"])
    return tuple(map(fold, told.values()))


def loose_key_of(sheet: str, cells: Mapping[str, FilledCell]) -> tuple[str, ...]:
    return tuple(fold(text_of(cells.get(heading))) for heading in LOOSE_KEYS.get(sheet, ()))


def blank(cell: FilledCell) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def text_of(cell: FilledCell) -> str:
    return "" if cell is None else cell.isoformat() if isinstance(cell, date) else str(cell)


def each_job(rows: Iterable[FilledRow], job: str) -> list[FilledRow]:
    return [row for row in rows if row.job == job]


@dataclass(frozen=True, slots=True)
class RowShown:
    """A row of a sheet as somebody sees it: its number, and its cells by folded heading."""

    number: int
    cells: Mapping[str, str]

    def of(self, heading: str) -> str:
        return self.cells.get(heading, "")


@dataclass(frozen=True, slots=True)
class SheetShown:
    """A sheet that is filled in, row by row."""

    file: str
    sheet: str
    letters: Mapping[str, str]
    """By folded heading the letters of its column."""
    rows: tuple[RowShown, ...]

    def row(self, number: int) -> RowShown | None:
        return next((row for row in self.rows if row.number == number), None)


@dataclass(frozen=True, slots=True)
class RowTyped:
    """What somebody typed into a row: by folded heading; row 0 for one that is added."""

    sheet: str
    number: int
    cells: Mapping[str, str]
