"""Shelf levels as plain tables: for the workbook and for notebooks. Estimates are rounded, levels exact."""

from collections.abc import Iterator
from decimal import Decimal

from reconcile.reports.levels.screen import NOT_APPLIED, aim_text, change_of
from reconcile.reports.levels.trade import trade_table
from reconcile.reports.week.tables import PROBLEM_COLUMNS, problem_row
from reconcile.reports.writing.grid import (
    DATE,
    MONEY,
    NUMBER,
    QUANTITY,
    TEXT,
    Cell,
    Column,
    Row,
    Table,
    table,
)
from reconcile.reports.writing.wording import count_text, day_text
from reconcile.values.week.levels import PartLevels, ServicePoint, Survey, about

LEVEL_COLUMNS = (
    Column("part", TEXT, 24),
    Column("designation", TEXT, 30),
    Column("unit", TEXT, 8),
    Column("on hand", QUANTITY),
    Column("against the sheet", TEXT, 14),
    Column("order at now", QUANTITY),
    Column("up to now", QUANTITY),
    Column("order at", QUANTITY),
    Column("order up to", QUANTITY),
    Column("mean shelf value now", MONEY),
    Column("mean shelf value", MONEY),
    Column("currency", TEXT, 8),
    Column("% of cycles now", NUMBER),
    Column("% of cycles", NUMBER),
    Column("% of use", NUMBER),
    Column("mean shelf", NUMBER),
    Column("orders a year", NUMBER),
    Column("kind of use", TEXT, 12),
    Column("use a week", NUMBER),
    Column("forecast by", TEXT, 22),
    Column("miss, % of mean", NUMBER),
    Column("lead time weeks", NUMBER),
    Column("most in a lead time", QUANTITY),
    Column("look at this", TEXT, 8),
    Column("one more, % of use", NUMBER),
    Column("one more costs", MONEY),
    Column("one less, % of use", NUMBER),
    Column("one less saves", MONEY),
    Column("why", TEXT, 80),
)

SERVICE_COLUMNS = (
    Column("part", TEXT, 24),
    Column("unit", TEXT, 8),
    Column("service %", NUMBER),
    Column("order at", QUANTITY),
    Column("order up to", QUANTITY),
    Column("% of cycles", NUMBER),
    Column("% of use", NUMBER),
    Column("mean shelf", NUMBER),
    Column("orders a year", NUMBER),
    Column("mean shelf value", MONEY),
    Column("one more % costs", MONEY),
    Column("currency", TEXT, 8),
)

DEAD_COLUMNS = (
    Column("what", TEXT, 26),
    Column("part", TEXT, 24),
    Column("designation", TEXT, 36),
    Column("quantity", QUANTITY),
    Column("unit", TEXT, 8),
    Column("value", MONEY),
    Column("currency", TEXT, 8),
    Column("last used", DATE),
    Column("remark", TEXT, 40),
)


def level_tables(found: Survey) -> list[Table]:
    """The tables of the workbook, in the order of its sheets."""
    return [
        levels_table(found),
        trade_table(found.trade),
        services_table(found),
        dead_table(found),
        faults_table(found),
    ]


def levels_table(found: Survey) -> Table:
    """A row for every part; one without a proposal says why. Quantities in the part's unit."""
    rows = [_level_row(level) for level in found.levels]
    aim = aim_text(found.rules)
    return table(
        "Shelf levels", f"Shelf levels, {day_text(found.today)}", LEVEL_COLUMNS, rows, aim, NOT_APPLIED
    )


def services_table(found: Survey) -> Table:
    """A row for each service of each part with a proposal, from low to high."""
    rows = [_service_row(level, point) for level in found.levels for point in level.table]
    return table("Services", f"What service costs, {day_text(found.today)}", SERVICE_COLUMNS, rows)


def dead_table(found: Survey) -> Table:
    """Stock that does not move, stock above its levels, and parts that nearly every job hangs on."""
    dead = found.dead
    if dead.covered_from is None:
        note = "No use is recorded, so nothing can be said of what does not move."
    else:
        first = day_text(dead.covered_from)
        note = f"Unused: not since {day_text(dead.since)}; the usage sheet begins on {first}."
    title = f"Dead and dear, {day_text(found.today)}"
    return table("Dead and dear", title, DEAD_COLUMNS, list(_dead_rows(found)), note)


def faults_table(found: Survey) -> Table:
    """A row for each problem of the stock workbook."""
    rows = [problem_row(fault) for fault in found.problems]
    return table("Problems", f"Problems, {day_text(found.today)}", PROBLEM_COLUMNS, rows)


def _level_row(levels: PartLevels) -> Row:
    part, point, now = levels.part, levels.proposed, levels.current
    known = (part.number, part.designation, part.unit, part.on_hand, change_of(levels) or "none proposed")
    sheet = (part.reorder_point, part.order_up_to)
    if point is None or levels.forecast is None or levels.pattern is None:
        blank: Row = (None,) * (len(LEVEL_COLUMNS) - len(known) - len(sheet) - 1)
        return (*known, *sheet, *blank, levels.why_none)
    return (
        *known,
        *sheet,
        point.reorder_point,
        point.order_up_to,
        None if now is None else now.value,
        point.value,
        part.currency,
        None if now is None else hundredths(now.cycle),
        hundredths(point.cycle),
        hundredths(point.fill),
        figure(point.shelf),
        figure(point.orders_a_year),
        levels.pattern.kind,
        figure(levels.forecast.per_week),
        levels.forecast.method,
        hundredths(levels.forecast.error),
        levels.lead_weeks,
        levels.greatest_need,
        "yes" if levels.look else "",
        *_step_cells(levels),
        " ".join(levels.reasons),
    )


def _step_cells(levels: PartLevels) -> Row:
    """One more and one less to order at: share of use, and money."""
    own, cells = levels.proposed, list[Cell]()
    for other in (levels.more, levels.fewer):
        if other is None or own is None:
            cells += [None, None]
            continue
        priced = other.value is not None and own.value is not None
        cells += [hundredths(other.fill), abs(other.value - own.value) if priced else None]  # type: ignore[operator]
    return tuple(cells)


def _service_row(levels: PartLevels, point: ServicePoint) -> Row:
    part = levels.part
    wanted: Cell = None if point.wanted is None else 100 * point.wanted
    return (
        part.number, part.unit, wanted, point.reorder_point, point.order_up_to,
        hundredths(point.cycle), hundredths(point.fill), figure(point.shelf), figure(point.orders_a_year),
        point.value, point.per_point, part.currency,
    )  # fmt: skip


def _dead_rows(found: Survey) -> Iterator[Row]:
    dead = found.dead
    for idle in dead.idle if dead.covered_from is not None else ():
        part = idle.part
        remark = "" if idle.last_used else "no use recorded"
        yield (
            "unused", part.number, part.designation, part.on_hand, part.unit, idle.value, part.currency,
            idle.last_used, remark,
        )  # fmt: skip
    for above in dead.above:
        part = above.part
        remark = "free stock above it, by a pack or more"
        yield (
            "above order up to", part.number, part.designation, above.excess, part.unit, above.value,
            part.currency, None, remark,
        )  # fmt: skip
    for single in dead.single_points:
        part = single.part
        lead = count_text(part.lead_time or 0, "working day")
        remark = f"in {single.jobs} of {count_text(single.of_jobs, 'job')}; {part.supplier}, {lead}"
        yield (
            "must not run out", part.number, part.designation, part.on_hand, part.unit, None, "", None, remark
        )  # fmt: skip


def figure(estimate: float) -> Decimal:
    """An estimate to three figures that count."""
    return Decimal(f"{Decimal(about(estimate)):f}")


def hundredths(share: float) -> Decimal:
    """A share as percent, to one decimal."""
    return Decimal(f"{100 * share:.1f}")
