"""The job cards as a workbook: printed page by job, and the pick list. Drawings are on the HTML page."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from reconcile.reports.bench.batches import Batch
from reconcile.reports.bench.cards import (
    BEFORE_USE,
    CAME_OFF,
    DO_NOT_OPEN,
    IN_BIN,
    SIGNED,
    WAIT_FIRST,
    BenchCard,
    Check,
    Item,
    JointCard,
    Tick,
)
from reconcile.reports.bench.desk import BenchDesk
from reconcile.reports.bench.pick_list import pick_table
from reconcile.reports.bench.shown_joints import by_text, described_below, turned_by
from reconcile.reports.paper.pages import Paper
from reconcile.reports.writing.grid import TEXT, Column, Row, table
from reconcile.reports.writing.wording import CARDS, period_name, period_text
from reconcile.reports.writing.workbook import Sheet, printed_sheet, write_workbook
from reconcile.values.week.results import SHORT, Week

COLUMNS = (
    Column("at", TEXT, 14, bare=True),
    Column("do", TEXT, 11, bare=True),
    Column("what", TEXT, 60, bare=True),
    Column("left, whole", TEXT, 8, bare=True),
    Column("done", TEXT, 5, bare=True),
    Column("right", TEXT, 8, bare=True),
    Column("done right", TEXT, 6, bare=True),
    Column("bin", TEXT, 11, bare=True),
    Column("job", TEXT, 16),
)
"""A quantity for each side, and beside it an empty cell with a border to tick. The job stands in the first of
its rows too, so the last column need not be printed."""

WHAT, JOB = 2, 8
"""The column from which a text runs on where there is nothing to tick, and that of the job's number."""

PICKED = (
    "bin", "part", "take this week", "unit", "from bins", "day", "job", "take", "done",
    "must stay for later days", "still to come", "note well",
)  # fmt: skip
"""The columns of the pick list on paper."""

RIGHT = "right"
WHOLE_CHAIR = "whole"
NOT_HERE = "\N{EN DASH}"
"""In a box that is not to be ticked."""

SIGN = "agreed by (qualified technician), date:"
BOX, ROOM, WIDE_ROOM = "\N{WHITE SQUARE}", "_" * 8, "_" * 14
"""To tick, and to write on."""
APART = "   "
OTHER_PARTS = "other parts"
"""Where what belongs to no joint is said to be."""


def book_name(week: Week, ending: str = "") -> str:
    """``bench-2026-W49.xlsx``."""
    return f"bench-{period_name(week)}{ending}.xlsx"


def write_bench(week: Week, path: Path, batch: Batch | None = None, desk: BenchDesk | None = None) -> None:
    """Write the workbook to ``path``: the sheets Bench and Pick list, of all jobs or of a ``batch``.

    ``desk``: that of the week.
    """
    cards = (desk or BenchDesk(week)).cards(batch)
    runs = [list(card_rows(card)) for card in cards]
    rows = [row for run in runs for row in run]
    notes = () if rows else ("No job of the period could be planned.",)
    bench = table("Bench", f"{CARDS}, {period_text(week)}", COLUMNS, rows, *notes)
    paper = Paper(columns=JOB, landscape=False, together=JOB, page_each=True)
    sheets = [
        Sheet(
            bench, "Bench", paper, sections=True, runs_on=WHAT, filtered=False, tight=True, known_as="bench"
        ),
        *([pick_sheet(week)] if batch is None or batch.first else ()),
    ]
    write_workbook(week.foot, path, f"{CARDS}, {period_text(week)}", sheets)


def pick_sheet(week: Week) -> Sheet:
    """The rows of a part stay on one page."""
    return printed_sheet(pick_table(week), PICKED, Paper(together=PICKED.index("part")), "pick_list")


def card_rows(card: BenchCard) -> Iterator[Row]:
    """A job's rows: what it is, what stops it, then joint by joint, then what is to be signed."""
    described = described_below(card)
    yield from head_rows(card)
    for joint in (*card.joints, *((card.rest,) if card.rest else ())):
        yield from joint_rows(card, joint, described)
    alike = [f"{', '.join(parts)}: {text}" for text, parts in by_text(described)]
    if told := "; ".join((*alike, *(f"turned by {turned}" for turned in turned_by(card)))):
        yield row_of(card, "parts", told)
    for agreement in card.agreements:
        told = (
            f"asked {agreement.asked}, offered {agreement.offered} ({agreement.part});"
            f" engagement {agreement.engaged}; {agreement.bounds}".removesuffix("; ")
        )
        yield row_of(card, "substitute", told, f"{agreement.joint} {agreement.sides}".strip())
        yield row_of(card, "sign", f"{SIGN} {WIDE_ROOM} {ROOM}")
    if card.checks:
        yield row_of(card, "check", APART.join(map(check_text, card.checks)), BEFORE_USE)
    yield row_of(card, "sign", APART.join(f"{text} {WIDE_ROOM}" for text in SIGNED))
    yield row_of(card, "cautions", " ".join(card.cautions))


def check_text(check: Check) -> str:
    """A box to tick, what is looked at, and room for what is read: ``tyres hard: ________ psi``."""
    reading = f": {ROOM} {check.unit}" if check.unit else ""
    return f"{BOX} {check.words}{reading}"


def head_rows(card: BenchCard) -> Iterator[Row]:
    said = card.answer or card.kit_words
    yield row_of(card, card.kit, f"{card.number}, {card.day_words}: {card.change}. {said}")
    yield from (row_of(card, "look first", word) for word in card.look_first)
    if card.kit == SHORT:
        stopped = DO_NOT_OPEN if said != DO_NOT_OPEN else card.kit_words
        lacks = f"Missing: {'; '.join(card.missing)}." if card.missing else ""
        yield row_of(card, "stop", " ".join(filter(None, (f"{stopped.rstrip('.')}.", lacks, card.earliest))))
    elif card.waits:
        yield row_of(card, "wait", f"{WAIT_FIRST} {'; '.join(card.waits)}.")
    steps = ", ".join(f"{side} now {now}, wanted {wanted}".strip() for side, now, wanted in card.sides)
    facts = (f"steps {steps.replace('single ', '')}", *(f"{name} {text}" for name, text in card.facts))
    yield row_of(card, "job", "; ".join(facts))
    if card.notes:
        yield row_of(card, "notes", card.notes)
    if card.remarks:
        yield row_of(card, "note well", " ".join(f"{remark.rstrip('.')}." for remark in card.remarks))


def joint_rows(card: BenchCard, joint: JointCard, described: Mapping[str, str]) -> Iterator[Row]:
    """``described``: parts of which it stands below the joints what to look for."""
    name = f"{joint.number}. {joint.name}" if joint.number else OTHER_PARTS
    torque = "" if joint.tighten else joint.torque
    if told := "; ".join(filter(None, (joint.bolt, joint.sides, torque, joint.note))):
        yield row_of(card, "joint", told, name)
    for item in joint.comes_out:
        yield item_row(card, name, item, described)
    if joint.measured:
        yield row_of(card, "came off", came_off_text(joint.measured), name)
    for item in joint.goes_in:
        yield item_row(card, name, item, described)
    if joint.tighten:
        torque = joint.tighten[0].quantity
        yield (name, "tighten", f"torque {torque}", *ticked(joint.tighten), "", card.number)
    for view in joint.views:
        sides = f"{view.sides}: " if view.sides else ""
        yield from (row_of(card, "note well", f"{sides}{remark}", name) for remark in view.remarks)


def came_off_text(sides: tuple[str, ...]) -> str:
    """``left: length ________ state ________   right: length ...``: to be written by hand."""
    rooms = " ".join(f"{asked} {ROOM}" for asked in CAME_OFF)
    return APART.join(f"{side}: {rooms}" if side else rooms for side in sides)


def item_row(card: BenchCard, name: str, item: Item, described: Mapping[str, str]) -> Row:
    look_for = "" if item.part in described else item.designation
    told = " ".join(filter(None, (item.what, item.part, look_for)))
    remarks = ["substitute: agree it"] if item.substitute else []
    remarks += ["to come"] if item.relies_on else []
    goes_to, _, home = item.goes_to.partition(IN_BIN)
    remarks += [goes_to] if goes_to else []
    return (
        name,
        item.way,
        "; ".join((told, *remarks)),
        *boxes_of(item.ticks),
        item.bins or home,
        card.number,
    )


def ticked(ticks: tuple[Tick, ...]) -> list[str]:
    """Boxes alone, for what has no quantity: how tight stands beside it."""
    return boxes_of(tuple(replace(tick, quantity="1") for tick in ticks))


def boxes_of(ticks: tuple[Tick, ...]) -> list[str]:
    """Quantity and box for left, or the whole chair, and for right."""
    here = [tick for tick in ticks if tick.side != RIGHT]
    told = (
        here[0].quantity
        if len(here) == 1
        else ", ".join(f"{tick.side or WHOLE_CHAIR} {tick.quantity}" for tick in here)
    )
    right = next((tick.quantity for tick in ticks if tick.side == RIGHT), "")
    return [*box(told), *box(right)]


def box(quantity: str) -> tuple[str, str]:
    """How much, and the cell to tick; a dash in both where there is nothing to do on that side."""
    return (quantity, "") if quantity else (NOT_HERE, NOT_HERE)


def row_of(card: BenchCard, do: str, what: str, at: str = "") -> Row:
    """A row without boxes, whose text runs on."""
    return (at, do, what, *(None,) * (JOB - WHAT - 1), card.number)
