"""Orders: what is to chase, to place and on its way; an order written, changed, placed or given up."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from starlette.responses import Response

from reconcile.page.asked import Asked, see_other
from reconcile.page.shown import link, page, planned
from reconcile.page.views.booked import BookedShown, booked_page, posted_text, takes
from reconcile.page.views.spoken import bold_first
from reconcile.reports.orders.chase import sentence, to_chase
from reconcile.reports.orders.screen import change_text, events_screen
from reconcile.reports.writing.text import written_lines
from reconcile.reports.writing.wording import count_text
from reconcile.values.orders.lines import UNPLACED
from reconcile.values.orders.listed import OpenLine
from reconcile.values.orders.written import WrittenOrder
from reconcile.values.problem import Problem, Unusable
from reconcile.values.stock.filled import RowTyped
from reconcile.values.week.results import Week
from reconcile.values.words import fold
from reconcile.work.booking import post
from reconcile.work.ordering.arriving import Typed, prepare_cancelling
from reconcile.work.ordering.books import order_books, unplaced_of
from reconcile.work.ordering.changing import CHANGEABLE, NOTHING, change_order, order_to_change
from reconcile.work.ordering.listing import listed_of
from reconcile.work.ordering.placing import book_placing, prepare_placing
from reconcile.work.planning import REPORTS, plan, write_week

MOST_LINES = 300


@dataclass(frozen=True, slots=True)
class ToChase:
    """A line to write about, and what to send."""

    line: OpenLine
    sentence: str


@dataclass(frozen=True, slots=True)
class OrderLineShown:
    """A line of a written order with its cells, as they are typed."""

    part: str
    designation: str
    unit: str
    row: int
    cells: dict[str, str]


def orders(asked: Asked) -> Response:
    """All that is open; what is at stake first."""
    week = planned(asked)
    listed = listed_of(week, asked.desk.asking)
    lines = listed.orders.lines
    chase = [ToChase(line, sentence(line)) for line in lines if to_chase(line) and line.standing != UNPLACED]
    written, faults = written_orders(asked, week)
    return page(asked, "orders.html", "orders", {
        "week": week, "chase": chase, "written": written, "to_write": to_write(week, written),
        "open": [line for line in lines if line.standing != UNPLACED][:MOST_LINES],
        "verdict": bold_first(orders_verdict(lines, written)), "faults": [*faults, *listed.problems],
        "credits": listed.orders.credits,
    })  # fmt: skip


def written_orders(asked: Asked, week: Week) -> tuple[list[WrittenOrder], list[Problem]]:
    """Orders that are written and not placed."""
    books = order_books(asked.desk.folder / REPORTS)
    return unplaced_of(books, week.placed_orders, week.settings, week.stock)


def to_write(week: Week, written: Iterable[WrittenOrder]) -> list[str]:
    """Suppliers of which this week asks something, and no order is written."""
    there = {fold(order.supplier) for order in written if order.period == week.period.name}
    return [
        order.name
        for order in week.orders
        if order.supplier is None or fold(order.supplier.code) not in there
    ]


def orders_verdict(lines: Iterable[OpenLine], written: list[WrittenOrder]) -> str:
    late = {hanging.job: hanging.chairs for line in lines for hanging in line.late}
    chairs = sum(late.values())
    hang = (
        f"{count_text(chairs, 'chair')} hang on what comes too late"
        if chairs
        else "No chair waits for an order"
    )
    place = f" Place {count_text(len(written), 'order')}." if written else " Nothing waits to be placed."
    return f"{hang}.{place}"


def write(asked: Asked) -> Response:
    """Writes the week's workbooks, orders among them, as ``reconcile week --force`` does."""
    request = replace(asked.desk.asking, count_cells=True)
    week = plan(request)
    written = write_week(week, request, force=True)
    told = [written_lines(written.files)]
    if written.orders_left:
        told.append(f"{written.orders_left} was left as it is, for it was changed and is not placed yet.")
    if written.returns_left:
        told.append(
            f"{written.returns_left} was left as it is: it is open, or holds what a new one has no place for."
        )
    if written.returns_kept:
        told.append(f"{written.returns_kept} was written anew, and what was filled in was kept.")
    told += written.told
    then = [("/orders", "To the orders"), ("/close", "Close"), ("/today", "Today")]
    return booked_page(asked, "orders", BookedShown("The week’s workbooks are written.", told, (), then))


# --- one order ----------------------------------------------------------------------------------------


def order(asked: Asked) -> Response:
    """A written order: its lines to change, and the button that places it."""
    found = order_to_change(asked.typed("n"), asked.desk.asking)
    lines = [
        OrderLineShown(
            line.part, line.designation, line.unit, line.place.row,
            {heading: cell(asked, line.place.row, heading, found.sheet.row(line.place.row))
             for heading in CHANGEABLE if heading in found.sheet.letters},
        )
        for line in found.order.lines
    ]  # fmt: skip
    return page(asked, "order.html", "orders", {
        "order": found.order, "lines": lines, "mark": asked.typed("mark") or found.mark,
        "fresh_mark": found.mark, "file": found.path.name,
        "changes": [change_text(made) for made in found.order.changes],
        "headings": [heading for heading in CHANGEABLE if heading in found.sheet.letters],
        "said": asked.query.get("said", ""),
    })  # fmt: skip


def cell(asked: Asked, row: int, heading: str, shown: object) -> str:
    """What was typed; else what stands there."""
    there = shown.of(heading) if hasattr(shown, "of") else ""
    return asked.typed(f"{heading}-{row}", there) if asked.has(f"{heading}-{row}") else there


def change(asked: Asked) -> Response:
    """Saves what was changed of an order; refused, it is shown with all that was typed."""
    reference = asked.typed("n")
    try:
        found = order_to_change(reference, asked.desk.asking)
        typed = [
            RowTyped(found.sheet.sheet, line.place.row, typed_of(asked, line.place.row))
            for line in found.order.lines
        ]
        change_order(reference, typed, asked.typed("mark"), asked.desk.asking)
    except Unusable as unusable:
        return order(replace(asked, refused=unusable.problems))
    return see_other(link("/order", n=reference, said="saved"))


def typed_of(asked: Asked, row: int) -> dict[str, str]:
    typed = {
        heading: asked.typed(f"{heading}-{row}") for heading in CHANGEABLE if asked.has(f"{heading}-{row}")
    }
    return {**typed, "quantity": NOTHING} if asked.typed(f"strike-{row}") == "yes" else typed


def place(asked: Asked) -> Response:
    """Places one order that is written: its file for the supplier, the ledger, the sheet On order."""
    week = planned(asked)
    try:
        known = [written.reference for written in written_orders(asked, week)[0]]
        reference = asked.one_of("n", known, "order")
        prepared = prepare_placing(asked.desk.asking, reference, asked.who)
        placed = book_placing(prepared, in_place=True, take_differences=takes(asked))
    except Unusable as unusable:
        return order(replace(asked, refused=unusable.problems))
    told = [
        written_lines(placed.files), posted_text(prepared.posting.closing, (), placed.posted),
        "Send the workbook, or the file beside it, to the supplier.",
    ]  # fmt: skip
    remarks = (*prepared.remarks, *placed.posted.remarks)
    then = [("/orders", "To the orders"), ("/orders/answer", "Read an answer")]
    return booked_page(asked, "orders", BookedShown(f"{reference} is placed.", told, remarks, then))


def give_up(asked: Asked) -> Response:
    """An order that is written is given up: nothing of it is wanted any more."""
    week = planned(asked)
    try:
        known = [written.reference for written in written_orders(asked, week)[0]]
        reference = asked.one_of("n", known, "order")
        prepared = prepare_cancelling(
            asked.desk.asking, reference, Typed(reason=asked.typed("reason")), asked.who
        )
        posted = post(prepared.desk, prepared.posting, in_place=True, take_differences=takes(asked))
    except Unusable as unusable:
        return order(replace(asked, refused=unusable.problems))
    told = [events_screen(prepared.posting.beside.orders), posted_text(prepared.posting.closing, (), posted)]
    remarks = (*prepared.remarks, *posted.remarks)
    return booked_page(
        asked,
        "orders",
        BookedShown(f"{reference} is given up.", told, remarks, [("/orders", "To the orders")]),
    )


def days(value: date | None) -> str:
    return value.isoformat() if value else ""
