"""What becomes of counts: compared with the book, held to the tolerance of the class, or counted again.

The count is the truth: whatever is accepted is posted in full, also a difference within tolerance. The
tolerance only says how big a difference may be without a second look at the shelf.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from reconcile.plan.counting.sheets import bins_of, check_code
from reconcile.values.measure import quantity_text
from reconcile.values.problem import Problem, problem
from reconcile.values.rules import CLASSES, Counting
from reconcile.values.stock.counting import (
    ACCEPTED,
    AGREES,
    MOVED,
    RECOUNT,
    SECOND,
    WITHIN,
    ZERO,
    Accuracy,
    Counted,
    CountResult,
    CountRow,
    LineKey,
    PartClass,
    SheetBack,
)
from reconcile.values.stock.parts import Part, Stock


@dataclass(frozen=True, slots=True)
class Shelf:
    """What counts are held against. ``steps`` are the movements of a line, oldest first, as the ledger has
    them; a line that is not there has none.
    """

    stock: Stock
    by_class: Mapping[str, PartClass]
    rules: Counting
    steps: Mapping[LineKey, Sequence[Fraction]]
    digest: str = ""
    """SHA-256 of the stock workbook; a sheet made from this very one needs no check codes."""


def judged(sheets: Sequence[SheetBack], shelf: Shelf, *, accept: bool = False) -> CountResult:
    """The verdict on every line that was counted; sheets are given in the order of the counts.

    Every row's part and bin is in the stock. With ``accept``, a difference beyond tolerance is taken
    without a second count. The order of rows within a sheet does not matter, but for that of the result.
    """
    rows: dict[LineKey, list[CountRow]] = {}
    for sheet in sheets:
        for row in sheet.rows:
            known = as_of_now(row, shelf.stock) if sheet.mark.stock == shelf.digest else row
            rows.setdefault(row.key, []).append(known)
    lines: list[Counted] = []
    problems: list[Problem] = []
    blank = []
    for counts in rows.values():
        filled = [count for count in counts if count.counted is not None]
        if not filled:
            blank.append(counts[-1])
            continue
        line, found = judge(filled, shelf, accept=accept)
        lines.append(line)
        problems += found
    return CountResult(sheets[0].mark, tuple(lines), tuple(blank), tuple(problems))


def judge(rows: Sequence[CountRow], shelf: Shelf, *, accept: bool) -> tuple[Counted, list[Problem]]:
    """One line by all its counts, first to last. A count that fits no book for certain bears out no other."""
    last = rows[-1]
    part = shelf.stock.parts[last.part]
    book = bins_of(part)[last.bin]
    sure = [(row, taken_as(row, book, shelf)) for row in rows]
    counts = tuple(count for _, count in sure if count is not None)
    allowed = tolerance_of(part, book, shelf)
    moved = sure[-1][1] is None
    line = Counted(
        part, last.bin, book, (*counts, counted(last)) if moved else counts,
        shelf.by_class[part.number].name, allowed,
        MOVED if moved else verdict_of(counts, book, allowed, accept=accept),
        last.by, last.place, last.remark, last.kits,
    )  # fmt: skip
    return line, [moved_problem(line)] if moved else []


def as_of_now(row: CountRow, stock: Stock) -> CountRow:
    """A row whose book is known to be as it was when its sheet was written."""
    book = bins_of(stock.parts[row.part])[row.bin]
    return replace(row, check=check_code(row.part, row.bin, book))


def counted(row: CountRow) -> Fraction:
    """What was counted in a row that has a count."""
    assert row.counted is not None
    return row.counted


def taken_as(row: CountRow, book: Fraction, shelf: Shelf) -> Fraction | None:
    """A row's count as if it were made today; None where nobody can tell.

    The row's check code says whether the book is as it was when the sheet was written. If not, the ledger's
    movements are taken back one by one until it is. What was counted then fits the book before or the book
    now, and the book is right either way; or it fits neither, and may have been counted on either side of
    the movement.
    """
    count = counted(row)
    if row.check == check_code(row.part, row.bin, book) or count == book:
        return count
    before = book
    for step in reversed(shelf.steps.get(row.key, ())):
        before -= step
        if row.check == check_code(row.part, row.bin, before):
            return book if count == before else None
    return None


def tolerance_of(part: Part, book: Fraction, shelf: Shelf) -> Fraction:
    """The quantity by which a count may differ from the book; none where the book is below nothing."""
    return shelf.rules.tolerance[shelf.by_class[part.number].name] * max(book, ZERO)


def verdict_of(counts: Sequence[Fraction], book: Fraction, allowed: Fraction, *, accept: bool) -> str:
    """The verdict on a line whose book is known; ``counts`` first to last, ``allowed`` a quantity.

    A second count agrees with the one before it if the two differ by no more than ``allowed``.
    """
    last = counts[-1]
    if last == book:
        return AGREES
    if abs(last - book) <= allowed:
        return WITHIN
    if len(counts) > 1 and abs(last - counts[-2]) <= allowed:
        return SECOND
    return ACCEPTED if accept else RECOUNT


def moved_problem(line: Counted) -> Problem:
    where, unit = f" in {line.bin}" if line.bin else "", line.part.unit
    count, book = quantity_text(line.counted), quantity_text(line.book)
    says = (
        f"{count} {unit} of {line.part.number}{where} was counted; the book says {book} {unit} now,"
        f" which is not what it said when the sheet was written."
    )
    return problem("count-moved", line.place.cell("counted"), says, found=count)


def accuracy(lines: Iterable[Counted]) -> tuple[Accuracy, ...]:
    """Inventory record accuracy by class: lines whose book was right within tolerance over lines counted.

    Accurate records over records counted is the usual measure (common practice, from memory). A line that
    moved while it was counted tells nothing of the book and is left out.
    """
    known = [line for line in lines if line.verdict != MOVED]
    return tuple(
        Accuracy(
            name,
            sum(each.name == name for each in known),
            sum(each.name == name and each.accurate for each in known),
        )
        for name in CLASSES
    )
