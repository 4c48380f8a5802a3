"""A count sheet read back: what was counted in each bin, what was not, and what nobody can use.

A blank is no zero. A row that is set aside keeps the book of its bin as it is.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import canonical_unit, read_quantity, result_unit
from reconcile.sheets.files.books import Book
from reconcile.sheets.stock.headings import PART_WORDS
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.part_numbers import read_part_number
from reconcile.sheets.tables.rows import Columns, Fault, Row, SheetTable, as_text, fault_of, open_table
from reconcile.values.measure import quantity_text
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.counting import CountRow, LineKey, SheetBack, SheetMark
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.week.results import Tally
from reconcile.values.words import fold, nearest

COUNT = SheetKind(
    "Count",
    {
        "bin": ("location", "bin location", "shelf", "bin no"),
        "part": PART_WORDS,
        "unit": ("units", "uom"),
        "counted": ("count", "qty counted", "quantity counted"),
        "for kits": (),
        "in kits": ("in a kit", "in the kits"),
        "empty bin seen": ("empty", "bin empty"),
        "counted by": ("by", "counter", "name"),
        "remark": ("remarks", "note", "notes", "comment"),
        "check": (),
    },
    ("bin", "part", "counted"),
    key="part",
)

ZERO = Fraction(0)
YES = frozenset(("yes", "y", "x", "1", "true", "✓", "✔", "☑"))
NO = frozenset(("no", "n", "0", "false", "-", "–", "☐"))
MARKS = ("week", "sheet", "stock")
"""What stands before the figures by which a sheet is known, above its headings."""


@dataclass(frozen=True, slots=True)
class CountRead:
    """A sheet read back, and what became of its rows."""

    back: SheetBack
    tally: Tally
    problems: tuple[Problem, ...]


class CountColumns(Columns):
    """The columns of a count sheet."""

    def __init__(self) -> None:
        super().__init__()
        self.bin = self.text("bin")
        self.part = self.needed("part", read_part_number)
        self.unit = self.text("unit")
        self.counted = self.maybe("counted", _raw, None)
        self.for_kits = self.maybe("for kits", _raw, None)
        self.in_kits = self.maybe("in kits", _raw, None)
        self.empty_bin_seen = self.maybe("empty bin seen", _tick, False)
        self.counted_by = self.text("counted by")
        self.remark = self.text("remark")
        self.check = self.text("check")


@dataclass(slots=True)
class Read:
    """A row while it is read, and what was found out of it."""

    row: Row
    columns: CountColumns
    faults: list[Fault]
    notices: list[Fault]
    bin: str
    """As the sheet has it; once it is known, as the stock sheet spells it."""
    counted: Fraction | None = None
    """On the shelf, and what lies in kits."""
    kits: Fraction = ZERO
    """What kits take from this bin, as the sheet says."""

    @property
    def part(self) -> str | Fault:
        return self.columns.part.said(self.row)

    @property
    def key(self) -> LineKey | None:
        """Which line of the sheet it is; None where the part cannot be read."""
        return None if isinstance(self.part, Fault) else (self.part, self.bin)


def read_count(book: Book, stock: Stock, settings: Settings, week: str) -> CountRead:
    """Reads the sheet Count of a workbook (or a csv) that was written for ``week`` (``2026-W49``).

    Counts are in the part's unit where they name no other. Raises Unusable: count-mark-missing,
    count-other-week, and as ``open_table`` does (sheet-missing, heading-missing, heading-doubled ...).
    """
    table, faults = open_table(book, COUNT, settings, needed=True)
    if table is None:
        raise Unusable(*faults)
    mark = read_mark(table, book)
    if mark.week != week:
        place = Place(book.file, table.grid.sheet)
        says = f"{book.file} is the count sheet of week {mark.week}; the week asked for is {week}."
        do = f"Give the sheet of {week}, or --week {mark.week} if this one is meant."
        raise Unusable(problem("count-other-week", place, says, do=do, found=mark.week))
    columns = CountColumns()
    read = [read_row(row, columns, stock, settings) for row in table.rows(columns)]
    set_doubled_aside(read)
    good = [row_read for row_read in read if not row_read.faults]
    table.in_error = frozenset(row_read.row.number for row_read in read if row_read.faults)
    rows = tuple(_count_row(row_read, table) for row_read in good)
    problems = [
        table.problem(fault, row_read.row)
        for row_read in read
        for fault in (*row_read.faults, *row_read.notices)
    ]
    total = len(read) + table.set_apart
    tally = Tally(total, len(good), total - len(good))
    return CountRead(SheetBack(mark, rows), tally, (*book.problems, *problems, *table.problems_apart()))


def read_mark(table: SheetTable, book: Book) -> SheetMark:
    """By what the sheet is known, from the rows above its headings. Raises Unusable: count-mark-missing."""
    found: dict[str, str] = {}
    for row in table.grid.rows[: table.header.row]:
        texts = [text for cell in row if (text := as_text(cell))]
        for label, value in pairwise(texts):
            if (name := fold(label).rstrip(":")) in MARKS:
                found.setdefault(name, value)
    missing = [name for name in MARKS if name not in found]
    if missing:
        says = f"Above the headings of {book.file} there is no {' and no '.join(missing)}."
        raise Unusable(problem("count-mark-missing", Place(book.file, table.grid.sheet), says))
    return SheetMark(found["week"], found["sheet"], found["stock"])


def _raw(value: CellValue) -> CellValue:
    return as_text(value) if isinstance(value, bool) else value


def _tick(value: CellValue) -> bool:
    """Whether a bin was seen empty. Raises ``Unreadable`` (count-tick-unread)."""
    text = fold(as_text(value))
    if text in YES or text in NO:
        return text in YES
    raise Unreadable("count-tick-unread", f"{as_text(value)!r} is neither yes nor no.")


def read_row(row: Row, columns: CountColumns, stock: Stock, settings: Settings) -> Read:
    """A row with its count, or with every fault it has."""
    read = Read(row, columns, list(row.faults), [], columns.bin.of(row))
    part = read.part
    if isinstance(part, Fault):
        return read
    found = known_bin(part, read.bin, stock)
    if isinstance(found, Fault):
        read.faults.append(found)
        return read
    read.bin = found
    if (other := other_unit(columns.unit.of(row), stock.parts[part])) is not None:
        read.faults.append(other)
    if not read.faults:
        take_count(read, stock.parts[part], settings)
    if not read.faults:
        add_kits(read, stock.parts[part], settings)
    return read


def known_bin(part: str, name: str, stock: Stock) -> str | Fault:
    """A bin of the part as the stock sheet spells it, or that it does not list the part or the bin."""
    if part not in stock.parts:
        like = nearest(part, stock.parts, 1)
        hint = f"; there is {like[0]}" if like else ""
        return Fault("part", "count-line-unknown", f"Stock does not list the part {part}{hint}.")
    bins = list(dict.fromkeys(bin_.name for bin_ in stock.parts[part].bins))
    same = [bin_ for bin_ in bins if bin_ == name] or [bin_ for bin_ in bins if fold(bin_) == fold(name)]
    if len(same) == 1:
        return same[0]
    there = ", ".join(bin_ or "no bin" for bin_ in bins) or "none"
    asked = f"in {name}" if name else "without a bin"
    return Fault("bin", "count-line-unknown", f"Stock does not list {part} {asked}; its bins: {there}.")


def other_unit(unit: str, part: Part) -> Fault | None:
    """The sheet was written when the part was counted in another unit."""
    if not unit:
        return None
    try:
        known = result_unit(canonical_unit(unit))
    except Unreadable as why:
        return fault_of("unit", why)
    if known == part.unit:
        return None
    says = f"The sheet counts {part.number} in {unit}, stock in {part.unit}."
    return Fault("unit", "unit-mismatch", says)


def take_count(read: Read, part: Part, settings: Settings) -> None:
    """The count of a row; nothing where the cell is blank and the bin was not seen empty."""
    raw, empty = read.columns.counted.of(read.row), read.columns.empty_bin_seen.of(read.row)
    if raw is None:
        if empty:
            read.counted = Fraction(0)
            return
        where = f" in {read.bin}" if read.bin else ""
        says = f"{part.number}{where} has no count."
        read.notices.append(Fault("counted", "count-blank", says))
        return
    try:
        read.counted = read_quantity(raw, part.unit, part.pack, settings.decimal)
    except Unreadable as why:
        read.faults.append(fault_of("counted", why))
        return
    if empty and read.counted:
        says = f"{as_text(raw)} was counted of {part.number} in a bin that is ticked as empty."
        read.faults.append(Fault("counted", "count-contradicted", says))


def add_kits(read: Read, part: Part, settings: Settings) -> None:
    """What lies in kits to what was counted on the shelf. Where kits take from the bin it must be told."""
    row, columns = read.row, read.columns
    found: dict[str, Fraction] = {}
    for heading, raw in (("for kits", columns.for_kits.of(row)), ("in kits", columns.in_kits.of(row))):
        if raw is None:
            continue
        try:
            found[heading] = read_quantity(raw, part.unit, part.pack, settings.decimal)
        except Unreadable as why:
            read.faults.append(fault_of(heading, why))
            return
    read.kits = found.get("for kits", ZERO)
    if read.counted is None:
        return
    if read.kits and "in kits" not in found:
        says = f"Kits take {quantity_text(read.kits)} {part.unit} of {part.number}; in kits is blank."
        read.faults.append(Fault("in kits", "count-kits-blank", says))
        return
    read.counted += found.get("in kits", ZERO)


def set_doubled_aside(read: Iterable[Read]) -> None:
    """All rows of a part in a bin that has more than one: nobody can tell whether they add up."""
    groups: dict[LineKey, list[Read]] = {}
    for row_read in read:
        if (key := row_read.key) is not None:
            groups.setdefault(key, []).append(row_read)
    for rows in groups.values():
        for row_read in rows if len(rows) > 1 else ():
            others = [str(other.row.number) for other in rows if other is not row_read]
            says = f"{row_read.part} in {row_read.bin or 'no bin'} stands in row {' and '.join(others)} too."
            row_read.notices = []
            row_read.faults.append(Fault("part", "count-doubled", says))


def _count_row(read: Read, table: SheetTable) -> CountRow:
    row, columns = read.row, read.columns
    return CountRow(
        columns.part.of(row), read.bin, read.counted, columns.counted_by.of(row), columns.remark.of(row),
        fold(columns.check.of(row)), table.place(row.number), read.kits,
    )  # fmt: skip
