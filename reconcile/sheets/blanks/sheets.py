"""The sheets of blank workbooks: every heading that is read, with what it means and one example row.

Which headings there are, and which are needed, is taken from the same tables by which sheets are read.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from reconcile.sheets.fasteners.spellings import HEADS
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.jobs.rows import SIDES
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.sheets.tables.headings import SheetKind
from reconcile.standards import threads
from reconcile.values.blank import DATE, MONEY, NUMBER, ONLY, WARN, WHOLE, BlankColumn, BlankSheet, Cell
from reconcile.values.days import WorkDays
from reconcile.values.frames.frame import Adjustment, Frame, Joint
from reconcile.values.measure import length_text
from reconcile.values.trade_codes import UNIT_CODES

UNITS = (*UNIT_CODES, "pack")
"""Every unit that a part may be counted in, in our spelling."""

MARK = "Example: write over this row, or delete it."
JOB, PART, SUPPLIER, ORDER = "EXAMPLE-1", "EXAMPLE-BOLT", "EXAMPLE", "EXAMPLE-PO"


@dataclass(frozen=True, slots=True)
class Note:
    """What a heading means; ``like`` is an example of what may stand below it."""

    words: str
    kind: str = "text"
    like: str = ""
    least: int = 0


NOTES: Mapping[str, Mapping[str, Note]] = {
    JOBS.name: {
        "job": Note("The job's own number. Rows that share one are all set aside."),
        "date": Note("The planned day.", DATE, "2026-12-03"),
        "frame": Note("The code of a frame file."),
        "from": Note(
            "The size now, with its unit. Blank: by the record of the asset.", like="16 in or 400 mm"
        ),
        "to": Note("The size wanted, with its unit.", like="15 1/2 in"),
        "adjustment": Note("Which measure is changed. Blank: the first of the frame file."),
        "options": Note("What is fitted to the chair. Several are separated by commas; none: no option."),
        "side": Note("Seen from the seated user. Blank: both."),
        "left now": Note("Spacers on the left now, counted in steps. Fill in both sides or neither.", WHOLE),
        "right now": Note("Spacers on the right now, counted in steps.", WHOLE),
        "spacers now": Note(
            "The pieces of one stack now; single: pieces of one step. Blank: by the record of the asset.",
            like="1 in + 1/2 in",
        ),
        "chairs": Note("How many identical chairs. Blank: 1.", WHOLE, least=1),
        "priority": Note("1 is most urgent. Blank: 3.", WHOLE, least=1),
        "technician": Note("Who does the work. Carried along to every sheet."),
        "asset": Note("The chair's own number. Its record tells what is left blank."),
        "notes": Note("Anything that the bench should know."),
    },
    STOCK.name: {
        "part": Note("The part number, kept as it is written. Several rows of one part are several bins."),
        "description": Note("Words for people. A bolt is read from here if its own columns are blank."),
        "kind": Note("Bolt, spacer, nut, washer or what you will."),
        "thread": Note("Of a bolt.", like="1/4-20 UNC or M6"),
        "length": Note("Of a bolt, with its unit.", like="2 1/2 in or 40 mm"),
        "thread length": Note("How far a bolt is threaded. Blank: by its standard.", like="1 in"),
        "head": Note("Of a bolt."),
        "grade": Note("Of a bolt.", like="SAE 8 or 8.8"),
        "finish": Note("Words for people.", like="zinc plated"),
        "bin": Note("Where it lies.", like="B-32"),
        "on hand": Note("What lies there, in the part's unit. Bins of one part add up.", NUMBER),
        "allocated": Note("What is promised elsewhere. Kits cannot have it.", NUMBER),
        "unit": Note("What the part is counted in. With pack, on hand and allocated count packs."),
        "pack": Note("Pieces in a pack. Blank: 1.", NUMBER),
        "minimum order": Note("The least that can be ordered, in pieces.", NUMBER),
        "lead time days": Note("Working days from order to delivery.", WHOLE),
        "supplier": Note("The code of whom to order from."),
        "supplier part": Note("The number there."),
        "price": Note("For one piece.", MONEY),
        "currency": Note("Three capitals, as ISO 4217 lists them. Blank: that of the settings.", like="EUR"),
        "safety stock": Note("What should always be left. Jobs may use it; an order restores it.", NUMBER),
        "reorder point": Note("At or below this, order up to the level beside it.", NUMBER),
        "order up to": Note("The level that an order fills up to.", NUMBER),
    },
    ON_ORDER.name: {
        "order": Note("The order's own number."),
        "part": Note("A part number of the stock sheet."),
        "quantity": Note("How much is still to come, in the part's unit.", NUMBER),
        "due": Note("The day it is due. Without one, the row is set aside.", DATE, "2026-12-03"),
        "supplier": Note("The code of whom it comes from."),
        "placed": Note("The day it was ordered.", DATE, "2026-11-27"),
        "answered": Note("The day the supplier answered.", DATE, "2026-11-30"),
        "price": Note("For one piece.", MONEY),
        "line": Note("The number of the line on the order."),
        "note": Note("Anything."),
    },
    SUPPLIERS.name: {
        "supplier": Note("The code that the stock sheet uses."),
        "name": Note("The full name."),
        "minimum order value": Note("An order must come to so much.", MONEY),
        "delivery charge": Note("What delivery costs.", MONEY),
        "free delivery from": Note("From this order value on, delivery is free.", MONEY),
        "email": Note("Where orders go."),
    },
    PRICE_BREAKS.name: {
        "part": Note("A part number of the stock sheet."),
        "from quantity": Note("From so many pieces on.", NUMBER),
        "price": Note("One piece costs this.", MONEY),
    },
    USAGE.name: {
        "date": Note("The day it was used.", DATE, "2026-12-03"),
        "part": Note("A part number of the stock sheet."),
        "quantity": Note("How much was used, in the part's unit.", NUMBER),
        "job": Note("The job that used it, where that is known."),
    },
}
"""Every heading that is read, sheet by sheet. A test compares it with the tables of headings."""


def jobs_sheets(frames: Sequence[Frame], today: date) -> list[BlankSheet]:
    """The sheet of the jobs workbook; ``frames`` fill its drop-downs, the first of them its example."""
    adjustments = names(adjustment.name for frame in frames for adjustment in frame.adjustments)
    options = names(option for frame in frames for option in sorted(frame.options))
    offered = {
        "frame": (names(frame.code for frame in frames), WARN),
        "adjustment": (adjustments, WARN),
        "options": (options, "free"),
        "side": (SIDES, ONLY),
    }
    return [blank_sheet(JOBS, example_job(frames[0], today), offered)]


def stock_sheets(frames: Sequence[Frame], today: date) -> list[BlankSheet]:
    """The sheets of the stock workbook, the optional ones too."""
    grades = names(
        grade
        for frame in frames
        for adjustment in frame.adjustments
        for joint in adjustment.joints
        for grade in joint.grades
    )
    offered = {
        "thread": (tuple(thread.designation for thread in threads()), "free"),
        "head": (HEADS, "free"),
        "grade": (grades, "free"),
        "unit": (UNITS, WARN),
    }
    later, earlier = next_monday(today) + timedelta(days=7), today - timedelta(days=7)
    return [
        blank_sheet(STOCK, example_part(frames[0]), offered),
        blank_sheet(ON_ORDER, {"order": ORDER, "part": PART, "quantity": 50, "due": later}),
        blank_sheet(SUPPLIERS, {"supplier": SUPPLIER, "name": MARK}),
        blank_sheet(PRICE_BREAKS, {"part": PART, "from quantity": 200, "price": 1}),
        blank_sheet(USAGE, {"date": earlier, "part": PART, "quantity": 2, "job": JOB}),
    ]


def names(found: Iterable[str]) -> tuple[str, ...]:
    """Each name once, in the order met."""
    return tuple(dict.fromkeys(found))


def blank_sheet(
    kind: SheetKind,
    example: Mapping[str, Cell],
    offered: Mapping[str, tuple[tuple[str, ...], str]] | None = None,
) -> BlankSheet:
    """A sheet with every heading that is read, in the order in which they are listed."""
    lists, columns = offered or {}, []
    for heading in kind.headings:
        note = NOTES[kind.name][heading]
        entries, others = lists.get(heading, ((), "free"))
        columns.append(
            BlankColumn(
                heading, heading in kind.needed, note.words, note.kind, example.get(heading), note.like,
                note.least, entries, others,
            )
        )  # fmt: skip
    return BlankSheet(kind.name, tuple(columns))


# --- the example rows -----------------------------------------------------------------------------------


def next_monday(today: date) -> date:
    """The first Monday after today: a day that is worked by the settings' defaults."""
    day = WorkDays().after(today, 1)
    return day + timedelta(days=(7 - day.weekday()) % 7)


def example_steps(adjustment: Adjustment) -> tuple[int, int]:
    """Steps before and after, all sides counted: as many on each side, one less on each side."""
    before = min(2 * adjustment.sides, adjustment.most_steps - adjustment.most_steps % adjustment.sides)
    return (before, before - adjustment.sides) if before else (adjustment.most_steps, 0)


def example_job(frame: Frame, today: date) -> dict[str, Cell]:
    """A chair made one step narrower on each side: of all jobs it asks for the fewest parts."""
    adjustment = frame.adjustments[0]
    sizes = [
        length_text(adjustment.minimum + steps * adjustment.step, frame.unit)
        for steps in example_steps(adjustment)
    ]
    return {
        "job": JOB,
        "date": next_monday(today),
        "frame": frame.code,
        "from": sizes[0],
        "to": sizes[1],
        "adjustment": adjustment.name,
        "side": "both" if adjustment.sides == 2 else None,
        "chairs": 1,
        "priority": 3,
        "notes": MARK,
    }


def example_part(frame: Frame) -> dict[str, Cell]:
    """The bolt that the example job asks for at the frame's first joint."""
    adjustment = frame.adjustments[0]
    plain: dict[str, Cell] = {
        "part": PART, "description": MARK, "bin": "A-01", "on hand": 20, "allocated": 0, "unit": "each",
        "pack": 50, "lead time days": 5, "supplier": SUPPLIER, "safety stock": 4,
    }  # fmt: skip
    if not adjustment.joints:
        return plain
    joint: Joint = adjustment.joints[0]
    steps = Fraction(example_steps(adjustment)[1], adjustment.sides)
    return plain | {
        "kind": "bolt",
        "thread": joint.thread.designation,
        "length": length_text(joint.length_at(int(steps), frozenset()), joint.thread.unit),
        "head": joint.head,
        "grade": joint.grades[0] if joint.grades else None,
    }
