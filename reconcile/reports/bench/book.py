"""The job cards as a workbook: printed page by job, and the pick list. Drawings are on the HTML page."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.bench.cards import (
    BEFORE_USE,
    DO_NOT_OPEN,
    SIGNED,
    WAIT_FIRST,
    BenchCard,
    Item,
    JointCard,
    Tick,
    bench_cards,
)
from reconcile.reports.bench.pick_list import pick_table
from reconcile.reports.writing.grid import TEXT, Column, Row, table
from reconcile.reports.writing.wording import CARDS, CAUTIONS, period_name, period_text
from reconcile.reports.writing.workbook import Sheet, write_workbook
from reconcile.values.week.results import SHORT, WAITS, Week

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

COLUMNS = (
    Column("job", TEXT, 16),
    Column("at", TEXT, 17),
    Column("do", TEXT, 11),
    Column("what", TEXT, 30),
    Column("left", TEXT, 8),
    Column("done left", TEXT, 6),
    Column("right", TEXT, 8),
    Column("done right", TEXT, 6),
    Column("whole", TEXT, 8),
    Column("done whole", TEXT, 6),
    Column("bin, or where it goes", TEXT, 18),
    Column("remark", TEXT, 28),
)
"""A quantity for each side, and beside it an empty cell with a border to tick."""

SIDES = ("left", "right", "")
NOT_HERE = "\N{EN DASH}"
"""In a box that is not to be ticked."""

SIGN = "agreed by (qualified technician), date:"
DRAWINGS = "Drawings to scale are on the bench page, the file that ends in .html."


def book_name(week: Week) -> str:
    """``bench-2026-W49.xlsx``."""
    return f"bench-{period_name(week)}.xlsx"


def write_bench(week: Week, path: Path) -> None:
    """Write the workbook to ``path``: the sheets Bench and Pick list."""
    runs = [list(card_rows(card)) for card in bench_cards(week)]
    rows = [row for run in runs for row in run]
    notes = () if rows else ("No job of the period could be planned.",)
    bench = table("Bench", f"{CARDS}, {period_text(week)}", COLUMNS, rows, *notes)
    sheets = [
        Sheet(
            bench,
            "Bench",
            sections=True,
            known_as="bench",
            page_head=" ".join(CAUTIONS),
            dress=partial(break_pages, ends=ends_of(runs)),
        ),
        Sheet(pick_table(week), "Pick list", known_as="pick_list"),
    ]
    write_workbook(week.foot, path, f"{CARDS}, {period_text(week)}", sheets)


def ends_of(runs: list[list[Row]]) -> list[int]:
    """The sheet row after which each job's page ends; the last job needs none."""
    ends, row = [], 1
    for run in runs[:-1]:
        row += len(run)
        ends.append(row)
    return ends


def break_pages(page: "WriteOnlyWorksheet", ends: list[int]) -> None:
    """A page break after each job."""
    from openpyxl.worksheet.pagebreak import Break

    for row in ends:
        page.row_breaks.append(Break(id=row))


def card_rows(card: BenchCard) -> Iterator[Row]:
    """A job's rows: what it is, what stops it, then joint by joint, then what is to be signed."""
    yield from head_rows(card)
    for joint in (*card.joints, *((card.rest,) if card.rest else ())):
        yield from joint_rows(card, joint)
    for agreement in card.agreements:
        told = (
            f"asked {agreement.asked}, offered {agreement.offered} ({agreement.part});"
            f" engagement {agreement.engaged}"
        )
        yield row_of(
            card, "substitute", told, f"{agreement.joint} {agreement.sides}".strip(), ("", agreement.bounds)
        )
        yield row_of(card, "sign", SIGN)
    for check in card.checks:
        reading = f"reading: ________ {check.unit}" if check.unit else ""
        boxes = (*(NOT_HERE,) * 4, "1", "")
        yield (card.number, BEFORE_USE, "check", check.words, *boxes, "", reading)
    yield from (row_of(card, "sign", f"{text}:") for text in SIGNED)
    yield row_of(card, "drawings", DRAWINGS)


def head_rows(card: BenchCard) -> Iterator[Row]:
    yield row_of(card, card.kit, card.change, card.day_words, ("", card.kit_words))
    yield from (row_of(card, "look first", word) for word in card.look_first)
    if card.kit == SHORT:
        yield row_of(card, "stop", DO_NOT_OPEN, aside=("", card.earliest))
        yield from (row_of(card, "missing", lack) for lack in card.missing)
    if card.kit == WAITS:
        yield row_of(card, "wait", WAIT_FIRST)
    yield from (row_of(card, "wait for", wait) for wait in card.waits)
    for side, now, wanted in card.sides:
        yield row_of(card, "steps", f"now {now}, wanted {wanted}", side)
    for name, text in (*card.facts, *((("notes", card.notes),) if card.notes else ())):
        yield row_of(card, name, text)
    yield from (row_of(card, "note well", remark) for remark in card.remarks)


def joint_rows(card: BenchCard, joint: JointCard) -> Iterator[Row]:
    name = f"{joint.number}. {joint.name}" if joint.number else joint.name
    yield row_of(card, "", joint.bolt, name, (joint.sides, joint.torque))
    if joint.note:
        yield row_of(card, "joint note", joint.note, name)
    for item in joint.items:
        yield item_row(card, name, item)
    if joint.tighten:
        yield (card.number, name, "tighten", joint.torque, *boxes_of(joint.tighten), "", "")
    for view in joint.views:
        yield from (row_of(card, "note well", remark, name, (view.sides, "")) for remark in view.remarks)


def item_row(card: BenchCard, name: str, item: Item) -> Row:
    told = " ".join(filter(None, (item.what, item.part, item.designation)))
    remarks = ["substitute: agree it"] if item.substitute else []
    remarks += [f"to come: {item.relies_on}"] if item.relies_on else []
    where = item.bins or item.goes_to
    return (card.number, name, item.way, told, *boxes_of(item.ticks), where, "; ".join(remarks))


def boxes_of(ticks: tuple[Tick, ...]) -> list[str]:
    """Quantity and box for left, right and the whole chair."""
    quantities = {tick.side: tick.quantity for tick in ticks}
    return [cell for side in SIDES for cell in box(quantities.get(side))]


def box(quantity: str | None) -> tuple[str, str]:
    """How much, and the cell to tick; a dash in both where there is nothing to do on that side."""
    return (NOT_HERE, NOT_HERE) if quantity is None else (quantity, "")


def row_of(card: BenchCard, do: str, what: str, at: str = "", aside: tuple[str, str] = ("", "")) -> Row:
    """A row without boxes; ``aside`` are its last two cells."""
    return (card.number, at, do, what, *(NOT_HERE,) * 6, *aside)
