"""A frame's tables and drawings as one page that needs nothing else: no script, no other file, no address."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.bench.shown_joints import key_of
from reconcile.reports.drawings.bodies import Bodies
from reconcile.reports.drawings.joint import drawing_defs, drawing_style, scale_text
from reconcile.reports.frames.screen import (
    adjustment_text,
    engaged_text,
    joint_text,
    table_cells,
    table_notes,
    torque_text,
)
from reconcile.reports.writing.style import page_style
from reconcile.reports.writing.wording import CAUTIONS, PROGRAM, count_text
from reconcile.values.frames.bolt_tables import AdjustmentTables, BoltTable
from reconcile.values.frames.frame import Adjustment, Frame
from reconcile.values.frames.sections import JointCut

if TYPE_CHECKING:
    from markupsafe import Markup

TEMPLATE = "page.html"

Cuts = Sequence[JointCut]
"""The cuts of one table, from no step on."""


@dataclass(frozen=True, slots=True)
class ShownCut:
    steps: str
    svg: "Markup | str"
    scale: str = ""


@dataclass(frozen=True, slots=True)
class ShownTable:
    """A joint with one set of options, as the template asks for it."""

    name: str
    options: str
    words: str
    torque: str
    note: str
    engaged: str
    head: list[str]
    rows: list[list[str]]
    notes: tuple[str, ...]
    drawings: tuple[ShownCut, ...]


@dataclass(frozen=True, slots=True)
class ShownAdjustment:
    name: str
    words: str
    joints: tuple[ShownTable, ...]


def write_frame_page(
    frame: Frame, tables: Iterable[tuple[AdjustmentTables, Sequence[Cuts]]], path: Path
) -> None:
    """Write the page to ``path``, in UTF-8. Beside each adjustment's tables stand their cuts."""
    path.write_text(frame_page(frame, tables), "utf-8", errors="replace", newline="\n")


def frame_page(frame: Frame, tables: Iterable[tuple[AdjustmentTables, Sequence[Cuts]]]) -> str:
    """The page as HTML. Every text from the frame file is escaped."""
    from importlib.resources import files

    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    source = files("reconcile.reports.frames").joinpath(TEMPLATE).read_text("utf-8")
    page = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    bodies = Bodies()
    adjustments = [_adjustment(shown, cuts, frame, bodies) for shown, cuts in tables]
    return page.from_string(source).render(
        title=f"{frame.code}: {frame.name}" if frame.name else frame.code,
        source=f"Source: {frame.source or 'not given'}.",
        program=PROGRAM,
        cautions=CAUTIONS,
        key=list(key_of()),
        style=Markup(page_style()),
        drawing_style=Markup(drawing_style()),
        drawing_defs=Markup(drawing_defs() + bodies.defs()),
        adjustments=adjustments,
    )


def _adjustment(
    shown: AdjustmentTables, cuts: Sequence[Cuts], frame: Frame, bodies: Bodies
) -> ShownAdjustment:
    joints = tuple(
        _table(
            table,
            tuple(_cut(cut, steps, shown.adjustment, frame.unit, bodies) for steps, cut in enumerate(own)),
            shown.adjustment,
            frame,
        )
        for table, own in zip(shown.tables, cuts, strict=True)
    )
    return ShownAdjustment(shown.adjustment.name, adjustment_text(shown.adjustment, frame.unit), joints)


def _table(
    table: BoltTable, drawings: tuple[ShownCut, ...], adjustment: Adjustment, frame: Frame
) -> ShownTable:
    joint = table.joint
    head, rows = table_cells(table, frame.unit)
    return ShownTable(
        joint.name,
        ", ".join(table.options),
        joint_text(joint, adjustment.sides),
        _sentence(torque_text(joint, frame)),
        joint.note,
        _sentence(engaged_text(table, frame.unit)),
        head,
        rows,
        tuple(table_notes(table)),
        drawings,
    )


def _sentence(text: str) -> str:
    """The first letter raised; the others as they are, for a torque is in N*m."""
    return text[:1].upper() + text[1:]


def _cut(cut: JointCut, steps: int, adjustment: Adjustment, unit: str, bodies: Bodies) -> ShownCut:
    """A drawing with the steps it shows; in words alone where there is nothing to draw."""
    from markupsafe import Markup

    words = _steps_text(cut, steps, adjustment)
    drawing = bodies.drawing(cut, unit, words)
    if drawing is None:
        return ShownCut(cut.why_none, "")
    return ShownCut(words, Markup(bodies.svg(drawing)), scale_text(int(drawing.frame.get("data-scale", "1"))))


def _steps_text(cut: JointCut, steps: int, adjustment: Adjustment) -> str:
    if not cut.joint.per_step:
        return "at every step: opened, and closed again"
    side = " a side" if adjustment.sides == 2 else ""
    return f"{steps} to {count_text(steps + 1, 'step')}{side}"
