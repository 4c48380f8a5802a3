"""The sheets of a returns workbook that nobody fills in but for the checks: what was planned, by value."""

from fractions import Fraction
from functools import partial

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.jobs.rows import read_options
from reconcile.sheets.tables.cells_read import CellsRead
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.rows import Column, Fault, Row, Table, as_text
from reconcile.values.ledger.jobs import SIDES, CheckDone, JobRow, JointFound, SideSteps
from reconcile.values.problem import RowPlace
from reconcile.values.settings import Settings
from reconcile.values.stock.returns import CheckReturn, JointReturn
from reconcile.values.words import fold

STEPS = tuple(f"{side} {when}" for side in SIDES for when in ("before", "after"))
AS_PLANNED = SheetKind(
    "As planned",
    dict.fromkeys(
        ("job", "date", "frame", "adjustment", "from", "to", "side", "left now", "right now", *STEPS,
         "spacers now", "options", "chairs", "asset"), (),
    ),
    ("job", "date"),
    key="job",
)  # fmt: skip
JOINTS = SheetKind(
    "Joints",
    dict.fromkeys(
        ("job", "joint", "side", "frame key", "stacks", "bolts", "stack known", "spacer", "pieces", "bolt",
         "bolt length"), (),
    ),
    ("job", "joint"),
    key="job",
)  # fmt: skip
CHECKS = SheetKind(
    "Checks",
    {
        "job": ("job no", "job number"),
        "check": (),
        "ok": (),
        "reading": (),
        "unit": (),
        "second person": (),
        "tried by the user on": ("tried on",),
    },
    ("job", "check", "ok"),
    key="job",
)
YES, NO = ("yes", "y", "x", "true", "1", "ok"), ("no", "n", "false", "0")


def planned_columns(settings: Settings) -> list[Column]:
    whole = partial(read_whole, decimal=settings.decimal)
    size = partial(_length, settings=settings)
    return [
        Column("job", needed=True),
        Column("date", partial(read_date, date_order=settings.date_order), needed=True),
        Column("frame"),
        Column("adjustment"),
        Column("from", size, (None, "")),
        Column("to", size, (None, "")),
        Column("side"),
        *(Column(heading, whole, None) for heading in ("left now", "right now", *STEPS)),
        Column("spacers now"),
        Column("options", read_options, ()),
        Column("chairs", partial(whole, least=1), 1),
        Column("asset"),
    ]


def planned_row(values: CellsRead, _row: Row, _table: Table) -> tuple[JobRow, list[Fault]]:
    size_from, unit = values.length("from")
    size_to, also = values.length("to")
    steps = tuple(
        SideSteps(side, before, after)
        for side in SIDES
        if (before := values.whole(f"{side} before")) is not None
        and (after := values.whole(f"{side} after")) is not None
    )
    return JobRow(
        values.text("job"), values.date("date"), frame=values.text("frame"),
        adjustment=values.text("adjustment"), size_from=size_from, size_to=size_to, unit=unit or also,
        side=values.text("side"), left_now=values.whole("left now"), right_now=values.whole("right now"),
        steps=steps, spacers_now=values.text("spacers now"), options=values.texts("options"),
        chairs=values.whole("chairs") or 1, asset=values.text("asset"),
    ), []  # fmt: skip


def joint_columns(settings: Settings) -> list[Column]:
    whole = partial(read_whole, decimal=settings.decimal, least=1)
    return [
        Column("job", needed=True),
        Column("joint", needed=True),
        Column("side"),
        Column("frame key"),
        Column("stacks", whole, 1),
        Column("bolts", whole, 1),
        Column("stack known", yes_or_no, None),
        Column("spacer"),
        Column("pieces", whole, None),
        Column("bolt"),
        Column("bolt length", partial(_length, settings=settings), (None, "")),
    ]


def joint_row(values: CellsRead, _row: Row, _table: Table) -> tuple[JointReturn, list[Fault]]:
    """One row: a joint with one kind of its spacers; ``gathered`` puts the rows of a joint together."""
    spacer, pieces = values.text("spacer"), values.whole("pieces")
    known = values.truth("stack known")
    stack = {spacer: Fraction(pieces)} if spacer and pieces else {}
    joint = JointFound(
        values.text("joint"), values.text("side"), values.text("frame key"), values.whole("stacks") or 1,
        values.whole("bolts") or 1, stack if known else None, values.text("bolt"),
        values.length("bolt length")[0],
    )  # fmt: skip
    return JointReturn(values.text("job"), joint), []


def gathered(rows: list[JointReturn]) -> tuple[JointReturn, ...]:
    """One value for each joint and side of a job, with all the spacers of its stack."""
    found: dict[tuple[str, str, str], JointReturn] = {}
    for each in rows:
        key = (each.job, each.joint.name, each.joint.side)
        before = found.get(key)
        if before is None or before.joint.stack is None or each.joint.stack is None:
            found[key] = each
            continue
        joint = each.joint
        whole = {**before.joint.stack, **each.joint.stack}
        found[key] = JointReturn(
            each.job,
            JointFound(
                joint.name, joint.side, joint.frame_key, joint.stacks, joint.bolts, whole, joint.bolt,
                joint.bolt_length,
            ),
        )  # fmt: skip
    return tuple(found.values())


def check_columns(settings: Settings) -> list[Column]:
    return [
        Column("job", needed=True),
        Column("check", needed=True),
        Column("ok", yes_or_no, None),
        Column("reading"),
        Column("unit"),
        Column("second person"),
        Column("tried by the user on", partial(read_date, date_order=settings.date_order), None),
    ]


def check_row(values: CellsRead, row: Row, table: Table) -> tuple[CheckReturn, list[Fault]]:
    figure, unit = values.text("reading"), values.text("unit")
    reading = f"{figure} {unit}".strip() if figure else ""
    check = CheckDone(
        values.text("check"), values.truth("ok"), reading, values.text("second person"),
        values.optional_date("tried by the user on"),
    )  # fmt: skip
    place: RowPlace = table.place(row.number)
    return CheckReturn(values.text("job"), check, place), []


def yes_or_no(cell: CellValue) -> bool:
    word = fold(as_text(cell))
    if word in YES or word in NO:
        return word in YES
    raise Unreadable("number-unreadable", f"{as_text(cell)!r} is neither yes nor no.", "Write yes or no.")


def _length(cell: CellValue, settings: Settings) -> tuple[Fraction, str]:
    return read_length(cell, settings.length_unit, settings.decimal)
