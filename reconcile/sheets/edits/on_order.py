"""Rows of the sheet On order as its lines are to be, and rows of parts that stock does not list yet."""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from reconcile.sheets.edits.cells import Edits, add_row, as_written, bare, part_unknown, raw_of
from reconcile.sheets.edits.workbook import NewValue
from reconcile.sheets.stock.headings import ON_ORDER, STOCK
from reconcile.sheets.tables.rows import SheetTable
from reconcile.values.orders.lines import OnOrder, OrderLine
from reconcile.values.problem import Place, problem
from reconcile.values.stock.parts import Due, Part

ZERO = Fraction(0)
LONGEST_WHOLE = 15
"""Digits of a whole number that a cell keeps exactly."""


def put_new_parts(edits: Edits, parts: Iterable[Part]) -> None:
    """A row below the last for each part, with nothing on hand."""
    for part in parts if edits.table(STOCK) else ():
        values: dict[str, NewValue] = {
            "part": part.number, "description": part.designation, "kind": part.kind, "on hand": ZERO,
            "unit": part.unit, "supplier": part.supplier, "supplier part": part.supplier_part,
        }  # fmt: skip
        add_row(edits, STOCK, values)


def put_on_order(edits: Edits, changes: Iterable[OnOrder], new_parts: Iterable[Part]) -> None:
    """Each line's rows: those that are there, a new one where none is, emptied where nothing is to come.

    Adds the fault order-sheet-missing where the workbook has no sheet for a line that is to be added.
    """
    new = {part.number: part for part in new_parts}
    for change in changes:
        line = change.line
        if change.rows:
            _change_rows(edits, change)
        elif line.to_come > 0 and edits.table(ON_ORDER) is not None:
            part = edits.read.stock.parts.get(line.part) or new.get(line.part)
            if part is None:
                part_unknown(edits, line.part)
            else:
                _add_row(edits, line, part)
        elif line.to_come > 0:
            says = f"The stock workbook has no sheet {ON_ORDER.name}."
            edits.faults.append(problem("order-sheet-missing", Place("stock", ON_ORDER.name), says))
            return


def _change_rows(edits: Edits, change: OnOrder) -> None:
    line, table = change.line, edits.table(ON_ORDER)
    letters = table.header.letters if table else {}
    for row, left in _shared(change.rows, line.to_come):
        if left <= 0:
            _empty(edits, table, row)
            continue
        if left != row.quantity:
            part = edits.read.stock.parts[row.part]
            value = as_written(edits, part, row.place, "quantity", left, ON_ORDER)
            edits.put(ON_ORDER, row.place.cell("quantity").cell, value)
        for heading, value in _beside(line, row, change).items():
            if heading in letters:
                edits.put(ON_ORDER, row.place.cell(heading).cell, value)


def _shared(rows: tuple[Due, ...], to_come: Fraction) -> Iterator[tuple[Due, Fraction]]:
    """The rows with what is to come of each: taken off the first, put onto the last."""
    off = sum((row.quantity for row in rows), ZERO) - to_come
    for number, row in enumerate(rows, 1):
        last = number == len(rows)
        taken = off if last else min(row.quantity, max(off, ZERO))
        off -= taken
        yield row, row.quantity - taken


def _empty(edits: Edits, table: SheetTable | None, row: Due) -> None:
    for heading in table.header.letters if table else ():
        if raw_of(table, row.place, heading) is not None:
            edits.put(ON_ORDER, row.place.cell(heading).cell, None)


def _beside(line: OrderLine, row: Due, change: OnOrder) -> dict[str, NewValue]:
    """The other cells of a row that are to say something new."""
    values: dict[str, NewValue] = {}
    if line.due is not None and line.due != row.stated and (change.redated or len(change.rows) == 1):
        values["due"] = line.due
    if line.answered is not None and line.answered != row.answered:
        values["answered"] = line.answered
    if line.price is not None and line.price != row.price:
        values["price"] = Fraction(line.price)
    if line.note and line.note != row.note:
        values["note"] = line.note
    return values


def _add_row(edits: Edits, line: OrderLine, part: Part) -> None:
    add_row(edits, ON_ORDER, {
        "order": line.order, "part": line.part, "due": line.due, "supplier": line.supplier,
        "quantity": bare(edits, ON_ORDER, part, line.to_come), "placed": line.placed,
        "answered": line.answered, "price": None if line.price is None else Fraction(line.price),
        "line": Fraction(line.line) if _is_number(line.line) else line.line, "note": line.note,
    })  # fmt: skip


def _is_number(line: str) -> bool:
    """Whether a line's number is read as it was from a cell that holds a number: ``3``, but not ``007``."""
    return line.isascii() and line.isdigit() and str(int(line)) == line and len(line) <= LONGEST_WHOLE
