"""Rows of one part in one bin: pasted twice, or counted apart. Either way somebody is asked."""

from typing import TYPE_CHECKING

from reconcile.sheets.tables.rows import Fault
from reconcile.values.catalogue import NOTICE
from reconcile.values.words import fold

if TYPE_CHECKING:
    from reconcile.sheets.stock.part_rows import BinRow


def tell_doubled(rows: "list[BinRow]") -> None:
    """Adds a fault to each row that repeats an earlier one of its part cell by cell, which would double what
    lies there, and a notice to each of the same bin that says something else, which adds up.
    """
    seen: dict[str, list[BinRow]] = {}
    for row in rows:
        if row.faults:
            continue
        name = row.filled(row.columns.bin) or ""
        earlier = seen.setdefault(fold(name), [])
        heading = "bin" if name else "part"
        same = next((each for each in earlier if each.row.raw == row.row.raw), None)
        where = f" in bin {name}" if name else ""
        if same is not None:
            says = f"{row.part}{where} stands in row {same.row.number} already, every cell alike."
            row.faults.append(Fault(heading, "bin-doubled", says))
            continue
        if earlier and name:
            says = f"{row.part}{where} stands in row {earlier[0].row.number} too."
            did = "What both rows say was added up."
            row.notices.append(Fault(heading, "bin-doubled", says, did=did, severity=NOTICE))
        earlier.append(row)
