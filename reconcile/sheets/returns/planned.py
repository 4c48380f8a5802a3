"""The sheets of a returns workbook that nobody fills in but for the checks: what was planned, by value."""

from fractions import Fraction
from functools import partial

from reconcile.sheets.figures.dates import read_date
from reconcile.sheets.figures.numbers import read_whole
from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.jobs.rows import read_options
from reconcile.sheets.returns.columns import ReturnColumns, ReturnsBasis
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.rows import ColumnReader, Fault, Row, as_text
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


class PlannedColumns(ReturnColumns[JobRow]):
    """The columns of the sheet As planned."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        whole = partial(read_whole, decimal=settings.decimal)
        size = partial(_length, settings=settings)
        nothing: tuple[Fraction | None, str] = (None, "")
        self.job = self.text("job", needed=True)
        self.date = self.needed("date", partial(read_date, date_order=settings.date_order))
        self.frame = self.text("frame")
        self.adjustment = self.text("adjustment")
        self.size_from = self.maybe("from", size, nothing)
        self.size_to = self.maybe("to", size, nothing)
        self.side = self.text("side")
        self.left_now = self.maybe("left now", whole, None)
        self.right_now = self.maybe("right now", whole, None)
        self.steps = {heading: self.maybe(heading, whole, None) for heading in STEPS}
        self.spacers_now = self.text("spacers now")
        self.options: ColumnReader[tuple[str, ...]] = self.maybe("options", read_options, ())
        self.chairs = self.maybe("chairs", partial(whole, least=1), 1)
        self.asset = self.text("asset", matters=True)

    def made(self, row: Row, basis: ReturnsBasis, place: RowPlace) -> tuple[JobRow, list[Fault]]:  # noqa: ARG002
        size_from, unit = self.size_from.of(row)
        size_to, also = self.size_to.of(row)
        steps = tuple(
            SideSteps(side, before, after)
            for side in SIDES
            if (before := self.steps[f"{side} before"].of(row)) is not None
            and (after := self.steps[f"{side} after"].of(row)) is not None
        )
        return JobRow(
            self.job.of(row), self.date.of(row), frame=self.frame.of(row),
            adjustment=self.adjustment.of(row), size_from=size_from, size_to=size_to, unit=unit or also,
            side=self.side.of(row), left_now=self.left_now.of(row), right_now=self.right_now.of(row),
            steps=steps, spacers_now=self.spacers_now.of(row), options=self.options.of(row),
            chairs=self.chairs.of(row), asset=self.asset.of(row),
        ), []  # fmt: skip


class JointColumns(ReturnColumns[JointReturn]):
    """The columns of the sheet Joints. A row is a joint with one kind of its spacers; see ``gathered``."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        whole = partial(read_whole, decimal=settings.decimal, least=1)
        nothing: tuple[Fraction | None, str] = (None, "")
        self.job = self.text("job", needed=True)
        self.joint = self.text("joint", needed=True)
        self.side = self.text("side")
        self.frame_key = self.text("frame key")
        self.stacks = self.maybe("stacks", whole, 1)
        self.bolts = self.maybe("bolts", whole, 1)
        self.stack_known = self.maybe("stack known", yes_or_no, None)
        self.spacer = self.text("spacer")
        self.pieces = self.maybe("pieces", whole, None)
        self.bolt = self.text("bolt")
        self.bolt_length = self.maybe("bolt length", partial(_length, settings=settings), nothing)

    def made(self, row: Row, basis: ReturnsBasis, place: RowPlace) -> tuple[JointReturn, list[Fault]]:  # noqa: ARG002
        spacer, pieces = self.spacer.of(row), self.pieces.of(row)
        stack = {spacer: Fraction(pieces)} if spacer and pieces else {}
        joint = JointFound(
            self.joint.of(row), self.side.of(row), self.frame_key.of(row), self.stacks.of(row),
            self.bolts.of(row), stack if self.stack_known.of(row) else None, self.bolt.of(row),
            self.bolt_length.of(row)[0],
        )  # fmt: skip
        return JointReturn(self.job.of(row), joint), []


def gathered(rows: list[JointReturn]) -> tuple[JointReturn, ...]:
    """One value for each joint and side of a job, with all the spacers of its stack."""
    found: dict[tuple[str, str, str], JointReturn] = {}
    for row in rows:
        key = (row.job, row.joint.name, row.joint.side)
        before = found.get(key)
        if before is None or before.joint.stack is None or row.joint.stack is None:
            found[key] = row
            continue
        joint = row.joint
        whole = {**before.joint.stack, **row.joint.stack}
        found[key] = JointReturn(
            row.job,
            JointFound(
                joint.name, joint.side, joint.frame_key, joint.stacks, joint.bolts, whole, joint.bolt,
                joint.bolt_length,
            ),
        )  # fmt: skip
    return tuple(found.values())


class CheckColumns(ReturnColumns[CheckReturn]):
    """The columns of the sheet Checks."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.job = self.text("job", needed=True)
        self.check = self.text("check", needed=True)
        self.ok = self.maybe("ok", yes_or_no, None)
        self.reading = self.text("reading")
        self.unit = self.text("unit")
        self.second_person = self.text("second person")
        day = partial(read_date, date_order=settings.date_order)
        self.tried_on = self.maybe("tried by the user on", day, None)

    def made(self, row: Row, basis: ReturnsBasis, place: RowPlace) -> tuple[CheckReturn, list[Fault]]:  # noqa: ARG002
        figure, unit = self.reading.of(row), self.unit.of(row)
        reading = f"{figure} {unit}".strip() if figure else ""
        check = CheckDone(
            self.check.of(row), self.ok.of(row), reading, self.second_person.of(row), self.tried_on.of(row)
        )
        return CheckReturn(self.job.of(row), check, place), []


def yes_or_no(cell: CellValue) -> bool:
    word = fold(as_text(cell))
    if word in YES or word in NO:
        return word in YES
    raise Unreadable("number-unreadable", f"{as_text(cell)!r} is neither yes nor no.", "Write yes or no.")


def _length(cell: CellValue, settings: Settings) -> tuple[Fraction, str]:
    return read_length(cell, settings.length_unit, settings.decimal)
