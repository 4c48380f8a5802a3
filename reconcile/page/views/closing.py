"""Close: what became of each job, saved into the returns workbook as one types; then the week is closed."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from starlette.responses import Response

from reconcile.page.asked import Asked, call_unusable, see_other
from reconcile.page.shown import link, page, short_day
from reconcile.page.views.booked import BookedShown, booked_page, posted_text, takes
from reconcile.page.views.spoken import bold_first
from reconcile.page.views.today import JobTick
from reconcile.reports.closing.ledger_screen import used_screen
from reconcile.reports.writing.style import MARKS
from reconcile.reports.writing.wording import count_text
from reconcile.values.problem import Unusable
from reconcile.values.stock.filled import DONE_SHEET, TO_FILL, RowShown, RowTyped
from reconcile.values.words import fold
from reconcile.work.entries.closing import ClosingToBook, book_closing, prepare_closing
from reconcile.work.entries.returning import (
    CHECKS,
    DELIVERIES,
    LINES,
    ReturnsToFill,
    returns_to_fill,
    save_returns,
    weeks_to_close,
)
from reconcile.work.filling import MEANWHILE

SAID = {"yes": "done", "part": "part done", "no": "left over"}
"""What the cell *done* says, and its mark."""
ADDED = ("do", "part", "used", "returned", "scrapped", "bin", "reason")
"""What is said of a part that was not planned."""
DELIVERED = ("received", "received on", "bin", "finished", "note")
DONE_CELLS = ("done", "done on", "done by")


@dataclass(frozen=True, slots=True)
class LineToFill:
    """A row with the fields that are filled in, each with what stands there or was typed."""

    row: RowShown
    fields: tuple[tuple[str, str, str], ...]
    """Heading, the field's name, its text."""


# --- the jobs of a week -------------------------------------------------------------------------------


def close(asked: Asked) -> Response:
    """The jobs of the week that is to be closed, and one of them to be said."""
    weeks = weeks_to_close(asked.desk.asking)
    if not weeks:
        return page(asked, "close_none.html", "close", {})
    week = asked.typed("week") or weeks[0]
    there = returns_to_fill(asked.one_of("week", weeks, "week") if asked.typed("week") else week,
                            asked.desk.asking)  # fmt: skip
    return close_page(asked, there, weeks)


def close_page(asked: Asked, there: ReturnsToFill, weeks: list[str]) -> Response:
    done = there.rows(DONE_SHEET)
    number = asked.typed("n") or next((row.of("job") for row in done if not row.of("done")), "")
    row = next((row for row in done if fold(row.of("job")) == fold(number)), None)
    said = sum(bool(row.of("done")) for row in done)
    return page(asked, "close.html", "close", {
        "there": there, "weeks": weeks, "days": list(days_of(there, number)), "job": row,
        "verdict": bold_first(verdict_of(there, row, said)), "left": len(done) - said,
        "done": cell_of(asked, row, "done", "done") if row else "",
        "done_on": cell_of(asked, row, "done on", "done on") if row else "",
        "done_by": cell_of(asked, row, "done by", "done by") if row else "",
        "lines": lines_of(asked, there, LINES, number) if row else [],
        "checks": lines_of(asked, there, CHECKS, number) if row else [],
        "added": [(heading, f"new:{heading}", asked.typed(f"new:{heading}")) for heading in ADDED],
        "mark": there.mark(number) if row else "", "saved": asked.query.get("saved", ""),
        "deliveries": len(there.rows(DELIVERIES)), "changed_now": standing_now(asked, there, number),
    })  # fmt: skip


def verdict_of(there: ReturnsToFill, row: RowShown | None, said: int) -> str:
    count = len(there.rows(DONE_SHEET))
    told = f"{said} of {count_text(count, 'job')} said."
    if row is None:
        return f"{told} {'Every job is said: close the week.' if count else 'No job is in these returns.'}"
    return f"{told} Now {row.of('job')}: was it done?"


@dataclass(frozen=True, slots=True)
class DayHead:
    """A planned day as the sheet has it: ``Wed 25`` and ``2026-11``; its text where it is no day."""

    words: str
    month: str


def head_of_day(text: str) -> DayHead:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return DayHead(text, "")
    return DayHead(short_day(day), f"{day:%Y-%m}")


def standing_now(asked: Asked, there: ReturnsToFill, number: str) -> list[str]:
    """What stands in the rows of a job that somebody else changed; nothing where nobody did."""
    if not any(fault.code == MEANWHILE for fault in asked.refused):
        return []
    rows = [(sheet, row) for sheet in (DONE_SHEET, LINES, CHECKS) for row in there.rows(sheet, number)]
    told = []
    for sheet, row in rows:
        cells = [f"{heading} {row.of(heading)}" for heading in TO_FILL[sheet] if row.of(heading)]
        what = " ".join(filter(None, (row.of("do"), row.of("part"), row.of("check"))))
        told += [f"{what or 'the job'}: {', '.join(cells)}"] if cells else []
    return told


def days_of(there: ReturnsToFill, number: str) -> Iterator[tuple[DayHead, list[JobTick]]]:
    """By planned day every job with its mark."""
    days: dict[str, list[JobTick]] = {}
    for row in there.rows(DONE_SHEET):
        mark = SAID.get(fold(row.of("done")), row.of("kit"))
        tick = JobTick(row.of("job"), mark if mark in MARKS else "complete", 1, "/close",
                       fold(row.of("job")) == fold(number))  # fmt: skip
        days.setdefault(row.of("planned day"), []).append(tick)
    yield from ((head_of_day(day), jobs) for day, jobs in days.items())


def cell_of(asked: Asked, row: RowShown | None, name: str, heading: str) -> str:
    """What was typed, where it was refused; else what stands there."""
    if asked.has(name):
        return asked.typed(name)
    return row.of(heading) if row else ""


def lines_of(asked: Asked, there: ReturnsToFill, sheet: str, job: str = "") -> list[LineToFill]:
    found = []
    for row in there.rows(sheet, job):
        headings = DELIVERED if sheet == DELIVERIES else tuple(fields_of(sheet, row))
        names = [(heading, f"{sheet}:{row.number}:{heading}") for heading in headings]
        fields = tuple((heading, name, cell_of(asked, row, name, heading)) for heading, name in names)
        found.append(LineToFill(row, fields))
    return found


def fields_of(sheet: str, row: RowShown) -> Iterator[str]:
    """Of a line only what can be said of it: what goes in is used, what comes off goes back."""
    for heading in TO_FILL[sheet]:
        if sheet == LINES and heading == "used" and row.of("do") == "remove":
            continue
        if sheet == LINES and heading == "came off" and not (row.of("steps") and row.of("do") == "remove"):
            continue
        yield heading


# --- saving -------------------------------------------------------------------------------------------


def save_job(asked: Asked) -> Response:
    """Saves what became of a job. Refused, the form stands as it was typed."""
    weeks = weeks_to_close(asked.desk.asking)
    week = asked.one_of("week", weeks, "week")
    there = returns_to_fill(week, asked.desk.asking)
    number = asked.one_of("n", [row.of("job") for row in there.rows(DONE_SHEET)], "job")
    try:
        typed = list(typed_of(asked, there, number))
        save_returns(week, typed, asked.typed("mark"), asked.desk.asking, number)
    except Unusable as unusable:
        return close_page(replace(asked, refused=unusable.problems), there, weeks)
    return see_other(link("/close", week=week, saved=number, n=next_job(there, number)))


def next_job(there: ReturnsToFill, number: str) -> str:
    """The first job after this one of which nothing is said; before it, if there is none."""
    numbers = [row.of("job") for row in there.rows(DONE_SHEET)]
    at = numbers.index(number)
    open_jobs = {row.of("job") for row in there.rows(DONE_SHEET) if not row.of("done")} - {number}
    return next((name for name in (*numbers[at + 1 :], *numbers[:at]) if name in open_jobs), number)


def typed_of(asked: Asked, there: ReturnsToFill, number: str) -> Iterator[RowTyped]:
    """Row by row what was typed. Raises Unusable where nothing says whether the job was done."""
    done = "yes" if asked.typed("then") == "as planned" else asked.typed("done")
    if done not in SAID:
        raise Unusable(call_unusable("done", "Say whether it was done: done, part done, or not done."))
    for row in there.rows(DONE_SHEET, number):
        told = {heading: asked.typed(heading) for heading in DONE_CELLS if asked.has(heading)}
        yield RowTyped(DONE_SHEET, row.number, {**told, "done": done})
    for sheet in (LINES, CHECKS):
        for row in there.rows(sheet, number):
            prefix = f"{sheet}:{row.number}:"
            cells = {key.removeprefix(prefix): text for key, text in asked.form if key.startswith(prefix)}
            if cells:
                yield RowTyped(sheet, row.number, cells)
    new = {heading: asked.typed(f"new:{heading}") for heading in ADDED if asked.typed(f"new:{heading}")}
    if set(new) - {"do"}:
        yield RowTyped(LINES, 0, {"job": number, **new})


# --- deliveries ---------------------------------------------------------------------------------------


def deliveries(asked: Asked) -> Response:
    """What came in during the week, line by line."""
    weeks = weeks_to_close(asked.desk.asking)
    there = returns_to_fill(asked.one_of("week", weeks, "week"), asked.desk.asking)
    return deliveries_page(asked, there)


def deliveries_page(asked: Asked, there: ReturnsToFill) -> Response:
    return page(asked, "deliveries.html", "close", {
        "there": there, "lines": lines_of(asked, there, DELIVERIES), "mark": there.mark(),
        "saved": asked.query.get("saved", ""),
    })  # fmt: skip


def save_deliveries(asked: Asked) -> Response:
    week = asked.one_of("week", weeks_to_close(asked.desk.asking), "week")
    there = returns_to_fill(week, asked.desk.asking)
    typed = []
    for row in there.rows(DELIVERIES):
        prefix = f"{DELIVERIES}:{row.number}:"
        cells = {key.removeprefix(prefix): text for key, text in asked.form if key.startswith(prefix)}
        typed += [RowTyped(DELIVERIES, row.number, cells)] if cells else []
    try:
        save_returns(week, typed, asked.typed("mark"), asked.desk.asking)
    except Unusable as unusable:
        return deliveries_page(replace(asked, refused=unusable.problems), there)
    return see_other(link("/close/deliveries", week=week, saved="yes"))


# --- the closing --------------------------------------------------------------------------------------


def week(asked: Asked) -> Response:
    """What closing the week would book, or all that stands in its way."""
    name = asked.one_of("week", weeks_to_close(asked.desk.asking), "week")
    prepared = None
    try:
        if not asked.refused:
            prepared = prepare_closing(asked.desk.asking, name, None, asked.who, dry_run=True)
    except Unusable as unusable:
        asked = replace(asked, refused=unusable.problems)
    return week_page(asked, name, prepared)


def week_page(asked: Asked, name: str, prepared: ClosingToBook | None) -> Response:
    return page(asked, "close_week.html", "close", {
        "week": name, "prepared": prepared,
        "movements": list(prepared.posting.movements) if prepared else [],
    })  # fmt: skip


def book(asked: Asked) -> Response:
    """Closes the week."""
    name = asked.typed("week")
    try:
        asked.one_of("week", weeks_to_close(asked.desk.asking), "week")
        prepared = prepare_closing(asked.desk.asking, name, None, asked.who)
        closed = book_closing(prepared, in_place=True, take_differences=takes(asked))
    except Unusable as unusable:
        return week_page(replace(asked, refused=unusable.problems), name, None)
    posting = closed.posting
    told = [posted_text(posting.closing, tuple(posting.movements), closed.posted),
            used_screen(closed.used_more)]  # fmt: skip
    remarks = (*prepared.remarks, *closed.posted.remarks)
    then = [("/today", "Today"), (link("/undo", n=name), "Undo it")]
    return booked_page(asked, "close", BookedShown(f"{name} is closed.", told, remarks, then))
