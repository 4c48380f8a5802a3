"""Tables for notebooks beside those of the report: parts, ordered lines, bolt lengths, faults and counts."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from reconcile.reports.orders.tables import LINE_COLUMNS, order_table
from reconcile.reports.writing.grid import DATE, MONEY, NUMBER, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import period_text
from reconcile.values.frames.bolt_tables import AdjustmentTables, BoltRow, BoltTable
from reconcile.values.frames.frame import Frame
from reconcile.values.measure import length_text
from reconcile.values.problem import Problem
from reconcile.values.week.results import PartResult, Tally, Week

PART_COLUMNS = (
    Column("part", TEXT),
    Column("designation", TEXT),
    Column("unit", TEXT),
    Column("on hand", QUANTITY),
    Column("allocated", QUANTITY),
    Column("on order", QUANTITY),
    Column("needed", QUANTITY),
    Column("recovered", QUANTITY),
    Column("shortfall", QUANTITY),
    Column("first short", DATE),
    Column("end", QUANTITY),
    Column("still to come", QUANTITY),
    Column("safety stock", QUANTITY),
    Column("reorder point", QUANTITY),
    Column("order up to", QUANTITY),
    Column("want", QUANTITY),
    Column("minimum order", QUANTITY),
    Column("pack", QUANTITY),
    Column("packs", NUMBER),
    Column("order", QUANTITY),
    Column("required by", DATE),
    Column("lead time days", NUMBER),
    Column("order by", DATE),
    Column("late", TEXT),
    Column("unit price", MONEY),
    Column("line total", MONEY),
    Column("currency", TEXT),
    Column("supplier", TEXT),
)

ORDER_COLUMNS = (Column("supplier", TEXT), Column("reference", TEXT), *LINE_COLUMNS)

BOLT_COLUMNS = (
    Column("adjustment", TEXT),
    Column("joint", TEXT),
    Column("thread", TEXT),
    Column("options", TEXT),
    Column("steps", NUMBER),
    Column("size", TEXT),
    Column("bolt", TEXT),
    Column("grip", TEXT),
    Column("shortest", TEXT),
    Column("longest", TEXT),
    Column("rule of thumb", TEXT),
    Column("bolt mm", QUANTITY),
    Column("grip mm", QUANTITY),
    Column("shortest mm", QUANTITY),
    Column("longest mm", QUANTITY),
    Column("spacers", TEXT),
    Column("made", TEXT),
    Column("to buy", TEXT),
)


PROBLEM_COLUMNS = tuple(
    map(
        Column,
        ("severity", "code", "place", "value found", "what is wrong", "what was done", "what to do"),
    )
)

TALLY_COLUMNS = (
    Column("sheet", TEXT),
    *(Column(heading, NUMBER) for heading in ("read", "used", "set aside", "outside period")),
)


def parts_table(week: Week) -> Table:
    """A row for each part that is needed or to be ordered: shelf, shortfall, and what makes the order."""
    rows = [_part_row(part) for part in week.parts]
    return table("Parts", f"Parts, {period_text(week)}", PART_COLUMNS, rows)


def ordered_table(week: Week) -> Table:
    """A row for each line of each order."""
    rows: list[Row] = [
        (order.name, order.reference, *row)
        for order in week.orders
        for row in order_table(week, order).rows()
    ]
    return table("Orders", f"Order lines, {period_text(week)}", ORDER_COLUMNS, rows)


def bolts_table(frame: Frame, shown: Iterable[AdjustmentTables]) -> Table:
    """A row for each joint and number of steps on its side; lengths as text in its unit, and in mm."""
    rows = [
        _bolt_row(adjusted.adjustment.name, own, row, frame.unit)
        for adjusted in shown
        for own in adjusted.tables
        for row in own.rows
    ]
    return table("Bolts", f"Bolt lengths of {frame.code} by step; {frame.source}", BOLT_COLUMNS, rows)


def problem_table(problems: Iterable[Problem]) -> Table:
    """A row for each fault or notice, in the order in which they were found."""
    rows: list[Row] = [
        (fault.severity, fault.code, str(fault.place), fault.found, fault.says, fault.did, fault.do)
        for fault in problems
    ]
    return table("Problems", "Problems", PROBLEM_COLUMNS, rows)


def rows_table(tallies: Mapping[str, Tally]) -> Table:
    """A row for each sheet, with what became of its rows."""
    rows: list[Row] = [
        (sheet, tally.read, tally.used, tally.set_aside, tally.outside_period)
        for sheet, tally in tallies.items()
    ]
    return table("Rows", "Rows of each sheet", TALLY_COLUMNS, rows)


def _part_row(line: PartResult) -> Row:
    part = line.part
    return (
        part.number, part.designation, part.unit, part.on_hand, part.allocated, line.on_order, line.needed,
        line.recovered, line.shortfall, line.first_short, line.end, line.position, part.safety_stock,
        part.reorder_point, part.order_up_to, line.want, part.minimum_order, part.pack, line.packs,
        line.order, line.required_by, part.lead_time, line.order_by, "late" if line.late else "",
        line.unit_price, line.line_total, part.currency if line.unit_price is not None else "", part.supplier,
    )  # fmt: skip


def _bolt_row(adjustment: str, own: BoltTable, row: BoltRow, unit: str) -> Row:
    window = row.window
    ends = (None, None) if window is None else (window.shortest, window.longest)
    lengths = (row.length, row.grip, *ends)
    return (
        adjustment, own.joint.name, str(own.joint.thread), ", ".join(own.options), row.steps,
        _text(row.size, unit), *(_text(length, unit) for length in lengths),
        "engagement: common practice" if window is not None and window.rule_of_thumb else "", *lengths,
        _stack(row), {True: "yes", False: "no", None: "no list"}[row.preferred], _text(row.to_buy, unit),
    )  # fmt: skip


def _stack(row: BoltRow) -> str:
    if row.stack is None:
        return "the listed ones do not add up"
    return " + ".join(f"{count} x {part}" for part, count in row.stack)


def _text(length: Fraction | None, unit: str) -> str:
    return "" if length is None else length_text(length, unit)
