"""What lacks and is on no order, for its rows of stock were set aside: to mend before anybody orders."""

from reconcile.reports.writing.grid import DATE, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import mend_text, period_text, some_of
from reconcile.values.week.results import Week

TO_MEND = "To mend first"
COLUMNS = (
    Column("part", TEXT, 24),
    Column("designation", TEXT, 40),
    Column("wanted", QUANTITY),
    Column("unit", TEXT, 8),
    Column("first short", DATE),
    Column("what to do", TEXT, 50),
    Column("for jobs", TEXT, 34),
)


def to_mend_table(week: Week) -> Table:
    """A row for each part that is wanted, and of which every row was set aside."""
    rows: list[Row] = [
        (
            line.part.number, line.part.designation, line.want, line.part.unit, line.first_short,
            mend_text(line.part), some_of(line.jobs),
        )
        for line in week.parts
        if line.part.to_mend and line.want
    ]  # fmt: skip
    return table(TO_MEND, f"Not ordered: to mend first, {period_text(week)}", COLUMNS, rows)
