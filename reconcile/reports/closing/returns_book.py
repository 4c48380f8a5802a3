"""The job close-out of a week: what was planned, with columns for what became of it, to be filled in.

It alone tells a closing what was planned, so it holds all that a closing needs: the week, each line with its
part, and the key of the frame file that asks for it.
"""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.closing.planned_sheets import (
    checks_sheet,
    checks_table,
    in_order,
    joints_table,
    planned_table,
)
from reconcile.reports.closing.refilled import refilled
from reconcile.reports.paper.pages import SCREEN, Paper
from reconcile.reports.writing.grid import DATE, NUMBER, QUANTITY, TEXT, Cell, Column, Row, Table, table
from reconcile.reports.writing.wording import (
    CLOSE_OUT,
    differing_bolts,
    period_name,
    period_text,
    split_texts,
)
from reconcile.reports.writing.workbook import Sheet, printed_sheet, write_workbook
from reconcile.values.frames.frame import Frame
from reconcile.values.measure import decimal_text, length_text, quantity_text
from reconcile.values.stock.filled import FilledReturns
from reconcile.values.stock.lines import BOLT, FIT, REMOVE, SPACER, TRADE_WORDS
from reconcile.values.week.jobs import Job, Line
from reconcile.values.week.results import JobResult, ServedLine, Week
from reconcile.values.words import fold

if TYPE_CHECKING:
    from fractions import Fraction

    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

MOST_DIGITS = 15
"""A spreadsheet program keeps so many of a number."""

DONE = (
    Column("week", TEXT, 24), Column("job", TEXT, 14), Column("planned day", DATE), Column("frame", TEXT, 12),
    Column("kit", TEXT, 10), Column("done", TEXT, 8), Column("done on", DATE), Column("done by", TEXT, 20),
)  # fmt: skip
LINES = (
    Column("job", TEXT, 14, bare=True),
    Column("do", TEXT, 8, bare=True),
    Column("what", TEXT, 20, bare=True),
    Column("name", TEXT, 24, bare=True),
    Column("side", TEXT, 8, bare=True),
    Column("part", TEXT, 24, bare=True),
    Column("unit", TEXT, 8),
    Column("planned", QUANTITY, bare=True),
    Column("used", QUANTITY, bare=True),
    Column("returned", QUANTITY, bare=True),
    Column("scrapped", QUANTITY, bare=True),
    Column("bin", TEXT, 12, bare=True),
    Column("reason", TEXT, 34, bare=True),
    Column("frame key", TEXT, 34),
    Column("length", TEXT, 12),
    Column("steps", NUMBER),
    Column("came off", TEXT, 30, bare=True),
)
DELIVERIES = (
    Column("order", TEXT, 14), Column("part", TEXT, 24), Column("unit", TEXT, 8), Column("due", DATE),
    Column("on order", QUANTITY), Column("received", QUANTITY), Column("received on", DATE),
    Column("bin", TEXT, 12), Column("line", TEXT, 8), Column("finished", TEXT, 10), Column("note", TEXT, 34),
)  # fmt: skip
HOW_TO = (
    ("Done", "Write yes in the column done for each job that is done. The day only if it was another one. "
     "Write part for a job that is begun, and fill in its lines: what is left blank is still to do."),
    ("Lines", "Leave a line of a job that is done blank if it went as planned."),
    ("Lines, fit", "used: what is in the chair now. returned: what was picked and put back unused. "
     "scrapped: what was spoilt beside that."),
    ("Lines, remove", "returned: what came off, passed inspection and went to the shelf. scrapped: what came "
     "off and did not pass."),
    ("Lines, bin", "Only where a part was taken from, or put into, another bin than the first."),
    ("Lines, reason", "Why another quantity than planned, in a few words. More used than planned, or more "
     "given back than comes off, is booked only with a reason."),
    ("Lines, came off", "Of a stack that nobody knows: what it was made of. A row of its own for each part "
     "that goes back to the shelf."),
    ("A part not planned", "Add a row: job, fit or remove, the part, and the figure."),
    ("Checks", "ok: yes or no. reading: the figure. second person: who looked as well. tried by the user on: "
     "the day."),
    ("Deliveries", "received: what came in. Leave it blank if it did not come. finished: yes if nothing more "
     "will come of it. For what came beyond it, instead of it, or without an order: say why in note, and add "
     "a row where there is none."),
    ("As planned, Joints", "Leave them as they are: by them the chair's record is kept."),
    ("Then", "Save this workbook and close the week."),
)  # fmt: skip
PRINTED_LINES = (
    "job", "do", "what", "name", "side", "part", "planned", "used", "returned", "scrapped", "bin", "reason",
    "came off",
)  # fmt: skip
"""What is filled in by hand, with what tells a line; the other columns are for the closing."""
UPRIGHT = Paper(landscape=False)
JOINT_KEYS = {"bolt": "bolts", "spacer": "spacers", "extra": "extras"}


def returns_name(week: Week) -> str:
    """``returns-2026-W49.xlsx``."""
    return f"returns-{period_name(week)}.xlsx"


def write_returns_book(week: Week, path: Path, kept: FilledReturns | None = None) -> None:
    """Writes the workbook to ``path``: jobs, lines, deliveries to fill in, and how.

    ``kept``: what was filled in of an earlier one, which stays.
    """
    how = table("How to", "How to fill this in", (Column("where", TEXT, 20), Column("what", TEXT, 90)),
                [*HOW_TO, *_notes(week)])  # fmt: skip
    done, lines, deliveries = done_table(week), lines_table(week), deliveries_table(week)
    checks, planned, joints = checks_table(week), planned_table(week), joints_table(week)
    if kept is not None:
        jobs = {fold(each.job.number) for each in in_order(week)}
        done, lines, deliveries, checks, planned, joints = (
            refilled(each, kept, jobs) for each in (done, lines, deliveries, checks, planned, joints)
        )
    sheets = [
        Sheet(done, "Done", UPRIGHT, dress=partial(_offer_yes, last=done.count + 1)),
        printed_sheet(lines, PRINTED_LINES, Paper(landscape=False, together=0)),
        *([checks_sheet(checks)] if checks.count else []),
        Sheet(deliveries, "Deliveries"),
        Sheet(how, "How to", UPRIGHT),
        Sheet(planned, "As planned", SCREEN),
        *([Sheet(joints, "Joints", SCREEN)] if joints.count else []),
    ]
    write_workbook(week.foot, path, f"{CLOSE_OUT}, {period_text(week)}", sheets)


def _notes(week: Week) -> Iterator[Row]:
    """Where a job is looked at first, and its bolts that are not the first choice."""
    for result in in_order(week):
        looks = (served.line for served in result.lines if served.line.look_first)
        places = dict.fromkeys(", ".join(filter(None, (line.name, line.side))) for line in looks)
        if places:
            yield f"{result.job.number}, look first", f"Write down what came off: {'; '.join(places)}."
        for told in split_texts(result):
            yield (
                f"{result.job.number}, if a piece was split",
                f"Add a row for what went in: {told} for each stack.",
            )
        for number, told in differing_bolts(result).items():
            yield f"{result.job.number}, {number}", f"Not the first choice. {told}."


def headings_of(week: Week) -> dict[str, tuple[str, ...]]:
    """The headings of each sheet that a new returns workbook has."""
    tables = (
        done_table(week), lines_table(week), checks_table(week), deliveries_table(week),
        planned_table(week), joints_table(week),
    )  # fmt: skip
    return {each.name: each.headings for each in tables}


def done_table(week: Week) -> Table:
    """Every job that is not done, in the order of its work."""
    name = period_name(week)
    rows: list[Row] = [
        (name, each.job.number, each.job.day, each.job.frame, each.kit, "", None, each.job.technician)
        for each in in_order(week)
    ]
    return table("Done", f"Jobs done, {period_text(week)}", DONE, rows)


def lines_table(week: Week) -> Table:
    """Every part that a job takes, or gives back after inspection."""
    rows = [row for each in in_order(week) for row in _lines(each, week)]
    return table("Lines", f"What became of it, {period_text(week)}", LINES, rows)


def deliveries_table(week: Week) -> Table:
    """Every order due by the end of the period, and those due later: a delivery may come early."""
    rows: list[Row] = [
        (
            each.order,
            each.part,
            _unit(each.part, week),
            each.day,
            _shown(each.quantity),
            None,
            None,
            "",
            each.line,
            "",
            "",
        )
        for each in sorted(week.stock.due, key=lambda each: (each.day, each.place.row))
    ]
    return table("Deliveries", f"Orders received, {period_text(week)}", DELIVERIES, rows)


def frame_key(line: Line, job: JobResult, frame: Frame) -> str:
    """The key of the frame file that asks for a line: ``adjustment[1].joint[2].bolts``."""
    if line.joint is not None:
        return f"{line.joint.key}.{JOINT_KEYS.get(line.what, line.what)}"
    named = fold(job.job.adjustment)
    number, adjustment = next(
        ((n, each) for n, each in enumerate(frame.adjustments, 1) if fold(each.name) == named or not named),
        (1, frame.adjustments[0]),
    )
    kinds = {
        "cover": [cover.name for cover in adjustment.covers],
        "sized": [sized_part.name for sized_part in adjustment.sized],
        "disturbed": [disturbed_part.part for disturbed_part in adjustment.disturbed],
    }
    names = kinds.get(line.what, [])
    at = f"[{names.index(line.name) + 1}]" if line.name in names else ""
    return f"adjustment[{number}].{line.what}{at}"


def _lines(result: JobResult, week: Week) -> Iterator[Row]:
    frame = week.frames[fold(result.job.frame)]
    for served in result.lines:
        # Of what nobody knows somebody writes down what it was, whether it may be used again or not.
        unknown = served.line.look_first and served.line.what == SPACER
        if served.line.do == FIT or served.line.reuse or unknown:
            yield from _parts(result.job, served, frame_key(served.line, result, frame), week)


def _parts(job: Job, served: ServedLine, key: str, week: Week) -> Iterator[Row]:
    line, unit = served.line, week.frames[fold(job.frame)].unit
    head = (job.number, line.do, TRADE_WORDS[line.what], line.name, line.side)
    lengths = {part: choice.length for choice, _ in served.served for part, _ in choice.parts}
    for part, quantity in served.parts:
        length = lengths.get(part) or line.length if line.what == BOLT else None
        yield (
            *head, part, _unit(part, week), _shown(quantity),
            None, None, None, "", "", key, length_text(length, unit) if length else "", None, "",
        )  # fmt: skip
    if not served.parts and line.do == REMOVE and line.what == SPACER:
        yield (
            *head, "", "", None,
            None, None, None, "", "", key, "", line.steps, "",
        )  # fmt: skip


def _unit(part: str, week: Week) -> str:
    if (known := week.stock.parts.get(part)) is not None:
        return known.unit
    return next((each.part.unit for each in week.parts if each.part.number == part), "")


def _shown(quantity: "Fraction") -> Cell:
    """A number, or the fraction in words where a spreadsheet program would round it."""
    text = decimal_text(quantity)
    return quantity if text is not None and len(text) <= MOST_DIGITS else quantity_text(quantity)


def _offer_yes(page: "WriteOnlyWorksheet", last: int) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    offered = DataValidation(type="list", formula1='"yes,no,part"', allow_blank=True, showErrorMessage=True)
    offered.add(f"F2:F{max(last, 2)}")
    page.data_validations.append(offered)
