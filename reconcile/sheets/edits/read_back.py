"""A changed stock workbook, read back by the reader that will read it next, against what was meant.

Nothing of it is taken on trust: not how a cell was written, not which rows were added, not that the rest
stayed as it was.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction

from reconcile.sheets.jobs.rows import JobsRead
from reconcile.sheets.stock.headings import ON_ORDER, USAGE
from reconcile.sheets.stock.workbook import StockRead
from reconcile.values.catalogue import ERROR
from reconcile.values.measure import quantity_text
from reconcile.values.orders.lines import OnOrder
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import StockChange
from reconcile.values.stock.parts import Due, Part, Stock, Usage
from reconcile.values.week.jobs import SaidJob
from reconcile.values.words import fold

ZERO = Fraction(0)
Sums = dict[tuple[str, str], Fraction]


def refuse_otherwise(before: StockRead, change: StockChange, after: StockRead, file: str) -> None:
    """Raises Unusable (workbook-reads-otherwise) with all that does not read as it was meant."""
    found = list(_otherwise(before, change, after))
    if found:
        raise Unusable(*(_fault(file, sheet, says) for sheet, says in found[:20]))


def refuse_job_otherwise(job: SaidJob, before: JobsRead, after: JobsRead) -> None:
    """The same for a jobs file that a row was added to: the row is that job, and no other changed."""
    found = [each for each in after.jobs if fold(each.number) == fold(job.number)]
    others = [each for each in after.jobs if fold(each.number) != fold(job.number)]
    if len(found) != 1 or _described(found[0]) != _described(job):
        says = f"The row of {job.number} does not read as the job that is held."
    elif list(map(_described, others)) != list(map(_described, before.jobs)):
        says = "A row of another job does not read as it did."
    else:
        return
    place = Place(after.header.file, after.header.sheet)
    raise Unusable(problem("workbook-reads-otherwise", place, says, do="Write the row yourself."))


def _described(job: SaidJob) -> tuple[object, ...]:
    return (
        fold(job.number), job.day, fold(job.frame), fold(job.adjustment), job.size_from, job.size_to,
        frozenset(map(fold, job.options)), job.side, job.left_now, job.right_now, job.chairs, job.priority,
        fold(job.asset), job.spacers_now is None,
    )  # fmt: skip


def _fault(file: str, sheet: str, says: str) -> Problem:
    return problem("workbook-reads-otherwise", Place(file, sheet), says)


def _otherwise(before: StockRead, change: StockChange, after: StockRead) -> Iterator[tuple[str, str]]:
    old, new = before.stock, after.stock
    meant = _on_hand(old)
    for key, delta in change.on_hand.items():
        meant[key] = meant.get(key, ZERO) + delta
    for (part, name), there in _differ(meant, _on_hand(new)):
        yield "Stock", f"{part} in {name or 'no bin'} reads {_told(there[1])}, not {_told(there[0])}."
    added = {part.number: part for part in change.new_parts if part.number not in old.parts}
    kept = [part for number, part in new.parts.items() if number not in added]
    if _bare(old.parts.values()) != _bare(kept):
        yield "Stock", "Something else than what is on hand has changed."
    for each in added.values():
        if each.number not in new.parts or new.parts[each.number].unit != each.unit:
            yield "Stock", f"The new row of {each.number} does not read as it was meant."
    if _has(before, ON_ORDER.name):
        yield from _orders_otherwise(old, change, new)
    if _has(before, USAGE.name):
        yield from _usage_otherwise(before, change, after)
    if (old.suppliers, old.breaks) != (new.suppliers, new.breaks):
        yield "", "Suppliers or price breaks have changed."
    more = _errors(after) - _errors(before)
    for code in more:
        yield "", f"A row cannot be read that could before ({code})."


def _usage_otherwise(before: StockRead, change: StockChange, after: StockRead) -> Iterator[tuple[str, str]]:
    with_job = any(table.sorter.kind is USAGE and "job" in table.header.letters for table in before.tables)
    there, taken = _rows(before.stock.usage, with_job), _rows(change.unused, with_job)
    meant = there - taken + _rows(change.used, with_job)
    read = _rows(after.stock.usage, with_job)
    for day, part, quantity, job in (*(meant - read), *(read - meant)):
        shown = f"{day}, {quantity_text(quantity)} {part}{f', {job}' if job else ''}"
        yield "Usage", f"The row {shown} does not read as it was meant."


def _rows(usage: Iterable[Usage], with_job: bool) -> Counter[tuple[object, str, Fraction, str]]:
    return Counter((each.day, each.part, each.quantity, each.job if with_job else "") for each in usage)


def _on_hand(stock: Stock) -> Sums:
    found: Sums = {}
    for part in stock.parts.values():
        for each in part.bins:
            key = part.number, each.name
            found[key] = found.get(key, ZERO) + each.on_hand
    return found


def _bare(parts: Iterable[Part]) -> list[Part]:
    """Parts without what is on hand: all that must be as it was."""
    return [replace(part, bins=tuple(replace(each, on_hand=ZERO) for each in part.bins)) for part in parts]


def _orders(stock: Stock) -> Sums:
    found: Sums = {}
    for each in stock.due:
        key = fold(each.order), each.part
        found[key] = found.get(key, ZERO) + each.quantity
    return found


def _orders_otherwise(old: Stock, change: StockChange, new: Stock) -> Iterator[tuple[str, str]]:
    """Quantities of each order and part; rows that nobody meant; and days that were said anew."""
    for (order, part), there in _differ(_orders_meant(old, change), _orders(new)):
        yield "On order", f"{part} of {order} reads {_told(there[1])}, not {_told(there[0])}."
    touched = {row.place.row for each in change.on_order for row in each.rows}
    others = Counter(_due_row(row) for row in old.due if row.place.row not in touched)
    for row in others - Counter(map(_due_row, new.due)):
        yield "On order", f"The row of {row[1]} on {row[0]} does not read as it did."
    days = {(fold(row.order), row.part, row.stated) for row in new.due}
    for each in change.on_order:
        line = each.line
        if line.to_come <= 0 or line.due is None or not (each.redated or len(each.rows) <= 1):
            continue
        if (fold(_order_of(each)), line.part, line.due) not in days:
            yield "On order", f"{line.part} of {line.order} does not read as due on {line.due}."


def _due_row(row: Due) -> tuple[str, str, object]:
    """All that a row of what is on order says, but for where it stands."""
    return (
        row.order, row.part,
        (row.line, row.quantity, row.stated, row.supplier, row.placed, row.answered, row.price, row.note),
    )  # fmt: skip


def _orders_meant(stock: Stock, change: StockChange) -> Sums:
    meant = _orders(stock)
    for each in change.on_order:
        key = fold(_order_of(each)), each.line.part
        there = sum((row.quantity for row in each.rows), ZERO)
        meant[key] = meant.get(key, ZERO) - there + max(each.line.to_come, ZERO)
    return meant


def _order_of(each: OnOrder) -> str:
    """The order's number as the sheet has it; where it has no row of it yet, as the line has it."""
    return each.rows[0].order if each.rows else each.line.order


def _differ(meant: Sums, read: Sums) -> Iterator[tuple[tuple[str, str], tuple[Fraction, Fraction]]]:
    for key in dict.fromkeys((*meant, *read)):
        there = meant.get(key, ZERO), read.get(key, ZERO)
        if there[0] != there[1]:
            yield key, there


def _errors(read: StockRead) -> Counter[str]:
    return Counter(each.code for each in read.problems if each.severity == ERROR)


def _has(read: StockRead, name: str) -> bool:
    return any(table.sorter.kind.name == name for table in read.tables)


def _told(quantity: Fraction) -> str:
    return quantity_text(quantity)
