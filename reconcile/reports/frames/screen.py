"""Frames as text for a terminal 80 columns wide: the list, tables of bolt lengths, and what is at fault."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from reconcile.reports.writing.text import NO_BREAK, problem_lines, width, wrapped
from reconcile.reports.writing.wording import CAUTIONS, amount_text, count_text
from reconcile.values.frames.bolt_tables import AdjustmentTables, BoltRow, BoltTable
from reconcile.values.frames.checked import CheckedFile, KeyLine
from reconcile.values.frames.frame import Adjustment, Frame, Joint, Window
from reconcile.values.measure import length_text, near_text
from reconcile.values.problem import Problem

PREFERRED_BY = {"M": "ISO 888, from memory", "": "ASME B18.3, from memory"}
"""Which list says what lengths are preferred, for metric threads and for inch ones."""

LEAST_TAIL = 16
"""Columns that the last cell of a row needs beside the others; with fewer it goes on a line of its own."""

INDENT = "  "


def fitted(text: str) -> str:
    """Text of which only lines too long for the screen are wrapped; the others are laid out already."""
    lines = text.split("\n")
    return "\n".join(
        line
        if len(line) <= width()
        else wrapped(line.strip(), INDENT if line.startswith(INDENT) else "", INDENT)
        for line in lines
    )


# --- the list -------------------------------------------------------------------------------------------


def frames_list(frames: Iterable[Frame], faulty: Mapping[str, int]) -> str:
    """Every frame with its adjustments; ``faulty`` are files that are not used, with their faults counted."""
    lines = [line for frame in frames for line in _listed(frame)]
    for file, count in faulty.items():
        lines.append(wrapped(f"{file}: {count_text(count, 'fault')}; it is not used.", "", INDENT))
    if faulty:
        lines.append(wrapped("reconcile frames --check FILE explains them."))
    return "\n".join(lines)


def _listed(frame: Frame) -> Iterator[str]:
    yield wrapped(f"{_title(frame)}  ({frame.file})", "", INDENT)
    for adjustment in frame.adjustments:
        yield wrapped(adjustment_text(adjustment, frame.unit), INDENT, INDENT * 2)


def _title(frame: Frame) -> str:
    return f"{frame.code}: {frame.name}" if frame.name else frame.code


def adjustment_text(adjustment: Adjustment, unit: str) -> str:
    """``seat width: 14 in to 20 in by 1/2 in, 0 to 6 steps a side; 2 joints: upper front, upper rear``."""
    low, high, step = (
        length_text(each, unit) for each in (adjustment.minimum, adjustment.maximum, adjustment.step)
    )
    side = " a side" if adjustment.sides == 2 else ", a single stack"
    steps = f"0 to {count_text(adjustment.most_steps_a_side, 'step')}{side}"
    names = ", ".join(joint.name for joint in adjustment.joints)
    joints = f"{count_text(len(adjustment.joints), 'joint')}: {names}" if names else "no joint"
    return f"{adjustment.name}: {low} to {high} by {step}, {steps}; {joints}"


# --- one frame ------------------------------------------------------------------------------------------


def frame_screen(frame: Frame, tables: Iterable[AdjustmentTables], notices: Iterable[Problem] = ()) -> str:
    """The tables of a frame, and the cautions."""
    shown = list(tables)
    lines = [wrapped(_title(frame), "", INDENT), wrapped(_source(frame), "", INDENT)]
    for each in shown:
        lines += ["", *_adjustment(each, frame)]
    for notice in notices:
        lines += ["", *problem_lines(notice)]
    return "\n".join([*lines, "", wrapped(" ".join(CAUTIONS)), *_cautions(shown)])


def _source(frame: Frame) -> str:
    return f"Source: {frame.source or 'not given'}. File: {frame.file}."


def _adjustment(shown: AdjustmentTables, frame: Frame) -> Iterator[str]:
    adjustment = shown.adjustment
    yield wrapped(adjustment_text(adjustment, frame.unit), "", INDENT)
    if adjustment.sides == 2 and adjustment.most_steps > 1:
        yield wrapped(
            "Size: with the same steps on both sides; between these, one side has one more.", INDENT
        )
    for _, tables in groupby(shown.tables, key=lambda shown_table: shown_table.joint.ident):
        yield ""
        yield from _joint_tables(list(tables), adjustment.sides, frame)
    if also := list(_also(adjustment, frame.unit)):
        yield ""
        yield from also


def _joint_tables(tables: Sequence[BoltTable], sides: int, frame: Frame) -> Iterator[str]:
    joint = tables[0].joint
    yield wrapped(f"{joint.name}: {joint_text(joint, sides)}", "", INDENT)
    yield wrapped(torque_text(joint, frame), INDENT, INDENT * 2)
    if joint.note:
        yield wrapped(f"note: {joint.note}", INDENT, INDENT * 2)
    for table in tables:
        if len(tables) > 1 or table.options:
            options = ", ".join(table.options)
            yield wrapped(f"With {options}" if options else "Without options that lengthen it", INDENT)
        yield from table_lines(table, frame.unit)


def joint_text(joint: Joint, sides: int) -> str:
    """Bolts, stacks, thread, head, grades, finishes, and what the bolt ends in, in a few words."""
    stacks = f" and {count_text(joint.stacks, 'stack')}" if joint.per_step else ""
    counts = f"{count_text(joint.bolts, 'bolt')}{stacks}{' a side' if sides == 2 else ''}"
    grades = f", {' or '.join(joint.grades)}" if joint.grades else ", any grade"
    finishes = f", {' or '.join(joint.finishes)}" if joint.finishes else ""
    into = f", into {joint.into}" if joint.into else ""
    built = f"; at most {count_text(joint.most_pieces, 'piece')} in a stack" if joint.most_pieces else ""
    ends = "".join(f"; {text}" for text in (nut_text(joint), washers_text(joint)) if text)
    return f"{counts}, {joint.thread}, {joint.head}{grades}{finishes}{into}{ends}{built}"


def nut_text(joint: Joint) -> str:
    """``ends in a nut NUT-LK-14, 0.22 in high, new each time``."""
    if (nut := joint.nut) is None:
        return ""
    return f"ends in a nut {nut.part}, {length_text(nut.height, joint.thread.unit)} high, new each time"


def washers_text(joint: Joint) -> str:
    """``washers of each bolt, counted in the grip: 2 WSH-14 of 1.5 mm``."""
    washers = (
        f"{washer.count} {washer.part} of {length_text(washer.thickness, joint.thread.unit)}"
        f"{', new each time' if washer.renew else ''}"
        for washer in joint.washers
    )
    return f"washers of each bolt, counted in the grip: {', '.join(washers)}" if joint.washers else ""


def torque_text(joint: Joint, frame: Frame) -> str:
    """The torque with its source; with its grade where the joint accepts another one too."""
    source = f"(source: {frame.source or 'not given'})"
    if joint.torques:
        figures = ", ".join(f"{torque} for {grade}" for grade, torque in joint.torques)
        return f"torque {figures} {source}"
    if not joint.torque:
        return "torque: not given"
    grade = f" for {joint.grades[0]}" if len(joint.grades) > 1 else ""
    return f"torque {joint.torque}{grade} {source}"


def _also(adjustment: Adjustment, unit: str) -> Iterator[str]:
    """What else the adjustment changes, in a line each."""
    for cover in adjustment.covers:
        ranges = ", ".join(f"{span.first} to {span.last}: {span.part}" for span in cover.ranges)
        yield wrapped(f"{cover.name}, by steps: {ranges}", INDENT, INDENT * 2)
    for sized in adjustment.sized:
        sizes = ", ".join(
            f"{length_text(span.first, unit)} to {length_text(span.last, unit)}: {span.part}"
            for span in sized.ranges
        )
        when = f" (with {sized.when})" if sized.when else ""
        yield wrapped(f"{sized.name}{when}, by size: {sizes}", INDENT, INDENT * 2)
    for disturbed in adjustment.disturbed:
        when = f", with {disturbed.when}" if disturbed.when else ""
        quantity = amount_text(disturbed.quantity.value, disturbed.quantity.unit)
        yield wrapped(f"used up: {quantity} of {disturbed.part}{when}", INDENT, INDENT * 2)
    for after in adjustment.after:
        when = f" (with {after.when})" if after.when else ""
        reading = f"; write down: {after.reading}" if after.reading else ""
        yield wrapped(f"checked after: {after.check}{when}{reading}", INDENT, INDENT * 2)


def _cautions(shown: Iterable[AdjustmentTables]) -> Iterator[str]:
    rows = [row for each in shown for table in each.tables for row in table.rows]
    if any(row.window and row.window.rule_of_thumb for row in rows):
        yield wrapped(
            "Least engagement is common practice for the material where the build sheet gives none; "
            "it is not the frame maker's figure."
        )


# --- one table ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Merged:
    """Rows one after another that ask for the same."""

    first: BoltRow
    last: BoltRow


Cells = Callable[[_Merged, str], str]


def table_lines(table: BoltTable, unit: str) -> Iterator[str]:
    """The table of a joint, its last column folded where it does not fit, then what must be said of it."""
    if engaged := engaged_text(table, unit):
        yield wrapped(engaged, INDENT, INDENT * 2)
    yield from laid_out(*table_cells(table, unit))
    for note in table_notes(table):
        yield wrapped(note, INDENT, INDENT * 2)


def table_cells(table: BoltTable, unit: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows as text; steps that ask for the same share a row."""
    merged = [_merge(list(rows)) for _, rows in groupby(table.rows, key=lambda row: row.asked)]
    columns = _columns(table)
    return [name for name, _ in columns], [[cell(each, unit) for _, cell in columns] for each in merged]


def engaged_text(table: BoltTable, unit: str) -> str:
    """What engages with the bolt asked for, or stands past its nut: one figure, for steps add the same to
    bolt and to grip.
    """
    row, joint = table.rows[0], table.joint
    if row.engagement is None:
        return ""
    nut = joint.nut.height if joint.nut else Fraction(0)
    bounds = {"at least": joint.least_past_grip[0], "at most": joint.most_past_grip}
    said = [f"{word} {near_text(mm - nut, unit)}" for word, mm in bounds.items() if mm is not None]
    if joint.engagement and joint.engagement.depth is not None:
        said.append(f"depth {length_text(joint.engagement.depth, unit)}, of which a pitch stays clear")
    figure = near_text(row.engagement - nut, unit)
    first = f"stands {figure} past the nut" if joint.nut else f"engages {figure}"
    return "; ".join([f"{first} at every step", *said])


def _merge(rows: list[BoltRow]) -> _Merged:
    return _Merged(rows[0], rows[-1])


def _columns(table: BoltTable) -> list[tuple[str, Cells]]:
    """Only columns that have something to say."""
    rows = table.rows
    columns: list[tuple[str, Cells]] = [("step", _step), ("size", _size), ("bolt", _bolt)]
    if any(row.to_buy != row.length for row in rows):
        columns.append(("to buy", lambda each, unit: _to_buy(each.first, unit)))
    if rows[0].grip is not None:
        columns.append(("grip", lambda each, unit: _grip(each.first.grip, unit)))
    if rows[0].window is not None:
        columns.append(("window", lambda each, unit: window_text(each.first.window, unit)))
    if table.joint.spacers:
        columns.append(("spacers a stack", lambda each, _: stack_text(each.first.stack)))
    return columns


def _step(each: _Merged, _: str) -> str:
    first, last = each.first.steps, each.last.steps
    return str(first) if first == last else f"{first} to {last}"


def _size(each: _Merged, unit: str) -> str:
    sizes = [_length(row.size, unit) for row in (each.first, each.last)]
    return " to ".join(dict.fromkeys(sizes))


def _bolt(each: _Merged, unit: str) -> str:
    """The length asked for; marked where it is no preferred one, or may stop on its shank."""
    row = each.first
    mark = "*" if row.preferred is False else ""
    return f"{length_text(row.length, unit)}{mark}{'!' if row.shank_bottoms else ''}"


def _to_buy(row: BoltRow, unit: str) -> str:
    return length_text(row.to_buy, unit) if row.to_buy != row.length else ""


def _length(mm: Fraction | None, unit: str) -> str:
    return "-" if mm is None else length_text(mm, unit)


def _grip(mm: Fraction | None, unit: str) -> str:
    return "-" if mm is None else near_text(mm, unit)


def window_text(window: Window | None, unit: str) -> str:
    """``7/8 to 1 1/8 in``: the unit once, where it is the same."""
    if window is None:
        return "-"
    short, long = near_text(window.shortest, unit), near_text(window.longest, unit)
    number, _, own = short.rpartition(" ")
    return f"{number} to {long}" if long.endswith(f" {own}") else f"{short} to {long}"


def stack_text(stack: tuple[tuple[str, int], ...] | None) -> str:
    """``SP-050 + 2 SP-100``."""
    if stack is None:
        return "do not add up"
    return " + ".join(part if count == 1 else f"{count}{NO_BREAK}{part}" for part, count in stack) or "none"


def table_notes(table: BoltTable) -> Iterator[str]:
    """What must be said of a table: its marks explained, what is not known, what is left out."""
    rows, joint = table.rows, table.joint
    told = {
        f"* no preferred length ({PREFERRED_BY['M' if joint.thread.series == 'M' else '']}).": any(
            row.preferred is False for row in rows
        ),
        "A length to buy is a substitute: a qualified technician must agree to it.": any(
            row.to_buy != row.length for row in rows
        ),
        f"No list of preferred lengths is carried for {joint.thread} {joint.head}.": rows[0].preferred
        is None,
        f"! by its standard, the plain shank is {_too_long(joint)}: no such bolt serves.": any(
            row.shank_bottoms for row in rows
        ),
        window_note(rows[0]): True,
        "The spacers listed do not add up to every step.": any(row.stack is None for row in rows),
        "- at the largest size one side has a step less.": rows[-1].size is None,
        f"{count_text(table.left_out, 'further step')} not listed here.": table.left_out > 0,
    }
    return (note for note, true in told.items() if note and true)


def _too_long(joint: Joint) -> str:
    return "longer than the grip" if joint.nut is None else "not a pitch shorter than the grip"


def window_note(row: BoltRow) -> str:
    """Why there is no window, or on what it rests."""
    if row.grip is None:
        return "No grip is given: only the exact length serves."
    if row.window is None:
        return "Engagement is not bounded on both sides: only the exact length serves."
    thumb = "The least engagement is common practice, not the frame maker's figure."
    return thumb if row.window.rule_of_thumb else ""


def laid_out(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """A table of text within the width: the last column wraps, or goes below where it has too little room."""
    widths = [max(map(len, column)) for column in zip(head, *rows, strict=True)]
    lead = sum(width + 2 for width in widths[:-1]) + len(INDENT)
    room = width() - lead
    below = room < min(LEAST_TAIL, widths[-1])
    for row in (head, *rows):
        cells = "  ".join(cell.ljust(width) for cell, width in zip(row[:-1], widths[:-1], strict=True))
        if below:
            yield f"{INDENT}{cells}".rstrip()
            yield wrapped(row[-1], " " * 10)
        else:
            yield wrapped_tail(f"{INDENT}{cells}  ", row[-1])


def wrapped_tail(lead: str, text: str) -> str:
    """The last cell after the others, its further lines below it."""
    first, *others = wrapped(text or "-", " " * len(lead)).splitlines()
    return "\n".join([(lead + first[len(lead) :]).rstrip(), *others])


# --- faults ---------------------------------------------------------------------------------------------


def checked_screen(files: Iterable[CheckedFile]) -> str:
    """Each file: fine and what it holds, or every fault with its line, its key and what to write."""
    return "\n\n".join("\n".join(_checked(file)) for file in files)


def _checked(file: CheckedFile) -> Iterator[str]:
    if file.faults:
        yield wrapped(f"{file.name}: {count_text(len(file.faults), 'fault')}; it cannot be used.", "", INDENT)
    elif file.frame is not None:
        yield wrapped(f"{file.name}: fine. It holds {_title(file.frame)}", "", INDENT)
        for adjustment in file.frame.adjustments:
            yield wrapped(adjustment_text(adjustment, file.frame.unit), INDENT, INDENT * 2)
    placed = [(file.lines.get(fault.place.cell), fault) for fault in file.problems]
    for at, found in sorted(placed, key=_by_line):
        yield from _explained(found, at)


def _by_line(found: tuple[KeyLine | None, Problem]) -> int:
    return found[0].line if found[0] else 0


def _explained(found: Problem, at: KeyLine | None) -> Iterator[str]:
    line = f"line {at.line}, " if at else ""
    names = f"  ({', '.join(at.names)})" if at and at.names else ""
    yield wrapped(f"{line}{found.place.cell or 'the file'}: {found.code}{names}", INDENT, INDENT * 3)
    if at and at.text:
        yield wrapped(f"> {at.text}", INDENT * 2, INDENT * 3)
    yield wrapped(f"{found.says} {found.do}", INDENT * 2)
