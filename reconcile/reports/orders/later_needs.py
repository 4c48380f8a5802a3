"""What later weeks will ask for that no order of this period need bring: to see it come, not to order it."""

from reconcile.reports.writing.grid import DATE, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import period_text
from reconcile.values.week.results import Week

TO_COME = "To come"
COLUMNS = (
    Column("supplier", TEXT, 14),
    Column("part", TEXT, 24),
    Column("designation", TEXT, 40),
    Column("week from", DATE),
    Column("will lack", QUANTITY),
    Column("unit", TEXT, 8),
    Column("ordered now", QUANTITY),
)


def later_needs(week: Week) -> Table:
    """A row for each part and later week in which it will lack, by supplier and part.

    What is ordered now stands beside it: of a whole pack some may be left for then.
    """
    rows: list[Row] = [
        (
            line.part.supplier, line.part.number, line.part.designation, need.monday, need.quantity,
            line.part.unit, line.order or None,
        )
        for line in sorted(week.parts, key=lambda line: (line.part.supplier, line.part.number))
        for need in line.to_come
    ]  # fmt: skip
    return table(TO_COME, f"To come after this order, {period_text(week)}", COLUMNS, rows)
