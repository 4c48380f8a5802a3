"""What changes in the stock workbook, as cells: on hand by bin, rows of usage, orders received.

A cell keeps the way in which it was written: packs where the row counts packs, ``25 mL`` where the unit
stood beside the number. Every new cell is read again by the reader that will read it next week, and must say
what it was meant to say.
"""

from collections.abc import Iterable
from fractions import Fraction

from reconcile.sheets.edits.cells import Edits, add_row, as_written, bare, part_unknown, raw_of
from reconcile.sheets.edits.on_order import put_new_parts, put_on_order
from reconcile.sheets.edits.workbook import SheetChange
from reconcile.sheets.stock.headings import STOCK, USAGE
from reconcile.sheets.stock.workbook import StockRead
from reconcile.sheets.tables.rows import SheetTable
from reconcile.values.problem import Place, Problem, RowPlace, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.movements import StockChange
from reconcile.values.stock.parts import Bin, Usage

ZERO = Fraction(0)


def stock_changes(
    read: StockRead, change: StockChange, settings: Settings, file: str
) -> tuple[list[SheetChange], list[Problem]]:
    """The cells that a change of the stock comes to, and remarks.

    Raises Unusable (movement-part-unknown) with every fault.
    """
    edits = Edits(read, settings)
    for (part, name), delta in change.on_hand.items():
        if delta:
            _put_on_hand(edits, part, name, delta)
    put_new_parts(edits, change.new_parts)
    put_on_order(edits, change.on_order, change.new_parts)
    _lengthen_usage(edits, change.used, file)
    _shorten_usage(edits, change.unused)
    return edits.changes(), edits.remarks


# --- on hand --------------------------------------------------------------------------------------


def _put_on_hand(edits: Edits, number: str, name: str, delta: Fraction) -> None:
    part = edits.read.stock.parts.get(number)
    bins = [each for each in part.bins if each.name == name] if part else []
    if part is None or not bins:
        says = f"The stock sheet has no row for {number} in bin {name!r}."
        edits.faults.append(problem("movement-part-unknown", Place("ledger", "", number), says, found=number))
        return
    for each, new in _shared(bins, delta):
        address = each.place.cell("on hand").cell
        edits.put(STOCK, address, as_written(edits, part, each.place, "on hand", new, STOCK))


def _shared(bins: list[Bin], delta: Fraction) -> Iterable[tuple[Bin, Fraction]]:
    """The rows of one bin with their new quantities: taken off the first that have it, put onto the first."""
    for at, each in enumerate(bins):
        last = at == len(bins) - 1
        off = max(delta, -max(each.on_hand, ZERO)) if delta < 0 and not last else delta
        if off:
            yield each, each.on_hand + off
        delta -= off


# --- usage ----------------------------------------------------------------------------------------


def _lengthen_usage(edits: Edits, used: Iterable[Usage], file: str) -> None:
    used = list(used)
    if edits.table(USAGE) is None:
        if used:
            says = f"{file} has no sheet {USAGE.name} that can be used."
            edits.remarks.append(problem("usage-sheet-missing", Place(file, USAGE.name), says))
        return
    for each in used:
        part = edits.read.stock.parts.get(each.part)
        if part is None:
            part_unknown(edits, each.part)
            continue
        quantity = bare(edits, USAGE, part, each.quantity)
        add_row(edits, USAGE, {"date": each.day, "part": each.part, "quantity": quantity, "job": each.job})


def _shorten_usage(edits: Edits, unused: Iterable[Usage]) -> None:
    """Empties the last row of usage that says the same, for each that is written back."""
    table = edits.table(USAGE)
    rows: dict[tuple[object, ...], list[RowPlace]] = {}
    for row in edits.read.stock.usage:
        rows.setdefault(_key(row, table), []).append(row.place)
    for each in unused:
        found = rows.get(_key(each, table))
        if table is None or not found:
            continue
        place = found.pop()
        for heading in table.header.letters:
            if raw_of(table, place, heading) is not None:
                edits.put(USAGE, place.cell(heading).cell, None)


def _key(each: Usage, table: SheetTable | None) -> tuple[object, ...]:
    job = each.job if table is not None and "job" in table.header.letters else ""
    return (each.day, each.part, each.quantity, job)
