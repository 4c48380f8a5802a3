"""Count: bin by bin, blind, saved into the count sheet as one types; then judged, and booked."""

from dataclasses import replace

from starlette.responses import Response

from reconcile.page.asked import Asked, call_unusable, note_sent, see_other
from reconcile.page.shown import link, page, planned
from reconcile.page.views.booked import BookedShown, booked_page, posted_text, takes
from reconcile.reports.counts.screen import next_steps, result_screen
from reconcile.reports.writing.text import written_lines
from reconcile.values.days import week_text
from reconcile.values.problem import Unusable
from reconcile.values.stock.filled import RowShown, RowTyped
from reconcile.work.entries.count import (
    CountBooked,
    CountJudged,
    CountRequest,
    book_count,
    judge_sheets,
    open_table,
    write_again,
    write_sheet,
)
from reconcile.work.entries.tallying import (
    COUNT,
    CountToFill,
    count_sheets,
    count_to_fill,
    found_in,
    is_counted,
    mark_of,
    save_count,
)
from reconcile.work.planning import REPORTS

CELLS = ("counted", "in kits", "empty bin seen", "remark")
NEXT_SHOWN = 5


def week_of(asked: Asked) -> str:
    """The week that is counted: that of the plan."""
    return week_text(planned(asked).period.first)


def count(asked: Asked) -> Response:
    """The next bin that is not counted, or the one that is asked for; before all, the sheet to be written."""
    week = week_of(asked)
    there = count_to_fill(week, asked.desk.asking)
    if there is None:
        return page(asked, "count_none.html", "count", {"week": week})
    return count_page(asked, there)


def count_page(asked: Asked, there: CountToFill) -> Response:
    words = asked.typed("q")
    found = found_in(there.sheet, words) if words else []
    row = chosen(asked, there, found)
    left = there.left
    return page(asked, "count.html", "count", {
        "there": there, "row": row, "words": words, "found": found[:20], "left": len(left),
        "counted": len(there.sheet.rows) - len(left), "total": len(there.sheet.rows),
        "number": there.sheet.rows.index(row) + 1 if row else 0,
        "next": [found for found in left if found is not row][:NEXT_SHOWN],
        "mark": mark_of(row) if row else "",
        "cells": {heading: typed_or(asked, heading, row) for heading in CELLS},
        "asks_kits": bool(row and "in kits" in there.sheet.letters and row.of("for kits")),
        "saved": there.row(int(asked.query["saved"])) if asked.query.get("saved", "").isdecimal() else None,
        "by": asked.typed("counted by") if asked.has("counted by") else asked.desk.who,
    })  # fmt: skip


def typed_or(asked: Asked, heading: str, row: RowShown | None) -> str:
    if asked.has(heading):
        return asked.typed(heading)
    return row.of(heading) if row else ""


def chosen(asked: Asked, there: CountToFill, found: list[RowShown]) -> RowShown | None:
    number = asked.typed("row")
    if number.isdecimal() and (row := there.row(int(number[:9]))) is not None:
        return row
    if found:
        return found[0]
    after = asked.query.get("after", "")
    left = there.left
    if after.isdecimal():
        left = [*(row for row in left if row.number > int(after[:9])), *left]
    return left[0] if left else None


def write(asked: Asked) -> Response:
    """Writes the week's count sheet, as ``reconcile count`` does."""
    made = write_sheet(wanted(asked, week_of(asked)))
    note_sent(asked)
    if made.file is None:
        says = "No bin is to be counted this week."
        raise Unusable(call_unusable("count", says))
    return see_other("/count")


def wanted(asked: Asked, week: str, *, books: bool = False) -> CountRequest:
    request = replace(asked.desk.asking, week=week)
    read = tuple(count_sheets(week, request))
    return CountRequest(
        request, asked.desk.folder / REPORTS, read, who=asked.who, post=books, in_place=True,
        trust=asked.typed("trust") == "yes", take_differences=takes(asked),
    )  # fmt: skip


def save(asked: Asked) -> Response:
    """Saves one bin, and shows the next. Refused, the form stands as it was typed."""
    week = week_of(asked)
    there = count_to_fill(week, asked.desk.asking)
    number = asked.typed("row")
    if there is None or not number.isdecimal():
        raise Unusable(call_unusable("count", "There is no such bin on the count sheet."))
    asked.desk.who = asked.typed("counted by") or asked.desk.who
    typed = RowTyped(COUNT, int(number[:9]), cells_typed(asked))
    try:
        if not is_counted(RowShown(0, typed.cells)) and not typed.cells.get("remark"):
            raise Unusable(call_unusable("counted", "Say how many lie there, or tick that the bin is empty."))
        save_count(week, typed, asked.typed("mark"), asked.desk.asking)
    except Unusable as unusable:
        return count_page(replace(asked, refused=unusable.problems), there)
    return see_other(link("/count", saved=number, after=number))


def cells_typed(asked: Asked) -> dict[str, str]:
    typed = {heading: asked.typed(heading) for heading in (*CELLS, "counted by") if asked.has(heading)}
    return {**typed, "empty bin seen": "yes" if asked.typed("empty bin seen") == "yes" else ""}


# --- judged and booked --------------------------------------------------------------------------------


def judge(asked: Asked) -> Response:
    """What every count comes to. Now the book is shown; nothing is booked yet."""
    week = week_of(asked)
    judged = None
    try:
        if not asked.refused:
            asking = wanted(asked, week)
            judged = judge_sheets(asking, open_table(asking))
    except Unusable as unusable:
        asked = replace(asked, refused=unusable.problems)
    return judged_page(asked, week, judged)


def judged_page(asked: Asked, week: str, judged: CountJudged | None) -> Response:
    result = judged.result if judged else None
    return page(asked, "count_judged.html", "count", {
        "week": week, "judged": judged, "lines": list(result.lines) if result else [],
        "missing": len(result.not_counted) if result else 0,
        "problems": list(result.problems) if result else [],
    })  # fmt: skip


def book(asked: Asked) -> Response:
    """Books what is settled, and writes the sheet of what is to be counted again."""
    week = week_of(asked)
    asking = wanted(asked, week, books=True)
    try:
        table = open_table(asking)
        judged = judge_sheets(asking, table)
        booked = book_count(judged, table, asking)
        again = write_again(judged.result, asking, table.shelves, booked)
    except Unusable as unusable:
        return judged_page(replace(asked, refused=unusable.problems), week, None)
    told = [result_screen(judged.result, judged.accuracy, posted=booked is not None), booked_text(booked)]
    told += [written_lines([again])] if again else []
    told.append(next_steps(judged.result, posted=booked is not None, written=again is not None))
    remarks = (*table.remarks, *(booked.posted.remarks if booked else ()))
    verdict = "The count is booked." if booked else "Nothing was left to book."
    then = [("/count", "Count again what is open" if again else "To the count"), ("/today", "Today")]
    return booked_page(asked, "count", BookedShown(verdict, told, remarks, then))


def booked_text(booked: CountBooked | None) -> str:
    if booked is None:
        return "No line is settled that was not booked before."
    return posted_text(booked.closing, booked.movements, booked.posted)
