"""Mend: every faulty cell with what to do, and what a choice can mend: lengths, headings, sheets."""

from dataclasses import replace

from starlette.responses import Response

from reconcile.page.asked import Asked, see_other
from reconcile.page.shown import faults_of, link, page
from reconcile.page.views.spoken import bold_first
from reconcile.reports.writing.wording import count_text
from reconcile.values.catalogue import ERROR
from reconcile.values.problem import Problem
from reconcile.values.settings import Settings
from reconcile.work.workshop.mending import (
    TurnedLength,
    accept_length,
    accept_path,
    columns_to_name,
    name_heading,
    name_sheet,
    plain_sheets,
    turned_lengths,
)

MOST = 500
KINDS = ("Jobs", "Stock", "On order", "Suppliers", "Price breaks", "Usage")
SHEET_FAULTS = ("sheet-missing", "sheet-unclear", "sheet-taken")


def mend(asked: Asked) -> Response:
    """What is wrong, what could put a wrong part on a chair first."""
    made = asked.shown.made
    week = made.week if made else None
    faults = faults_of(asked)
    notices = [fault for fault in week.problems if fault.severity != ERROR] if week else []
    turned = turned_lengths(faults)
    chosen = {str(length.fault.place) for length in turned}
    rest = [fault for fault in faults if str(fault.place) not in chosen]
    settings = week.settings if week else Settings()
    return page(asked, "mend.html", "mend", {
        "turned": turned, "faults": rest[:MOST], "more": len(rest) - MOST, "notices": notices[:MOST],
        "notices_more": len(notices) - MOST, "verdict": bold_first(verdict_of(faults, turned)),
        "columns": columns_to_name(asked.desk.asking, settings) if asked.typed("columns") else None,
        "accept": accept_path(asked.desk.request).name,
        "sheet_faults": [fault for fault in faults if fault.code in SHEET_FAULTS], "kinds": KINDS,
        "sheets": plain_sheets(asked.desk.asking) if unclear(faults) else {},
        "said": asked.query.get("said", ""), "has_plan": week is not None,
    })  # fmt: skip


def unclear(faults: list[Problem]) -> bool:
    return any(fault.code in SHEET_FAULTS for fault in faults)


def verdict_of(faults: list[Problem], turned: list[TurnedLength]) -> str:
    if not faults:
        return "Nothing is to be mended."
    many = count_text(len({str(fault.place) for fault in faults}), "place")
    here = f" {count_text(len(turned), 'length')} can be mended here." if turned else ""
    return f"{many} to mend: what is faulty is not in the plan.{here}"


def accept(asked: Asked) -> Response:
    """Writes into the accept file what a length was."""
    turned = turned_lengths(faults_of(asked))
    where = asked.one_of("where", [str(length.fault.place) for length in turned], "cell")
    length = next(length for length in turned if str(length.fault.place) == where)
    accept_length(length, asked.typed("use"), asked.desk.request)
    return see_other(link("/mend", said=f"{where} is read as {asked.typed('use')}."))


def heading(asked: Asked) -> Response:
    """Writes into the settings what a column of theirs is."""
    made = asked.shown.made
    settings = made.week.settings if made and made.week else Settings()
    known = [column.column.theirs for column in columns_to_name(asked.desk.asking, settings)]
    theirs = asked.one_of("theirs", known, "column")
    if not asked.typed("ours"):
        return mend(replace(asked, form=()))
    path = name_heading(theirs, asked.typed("ours"), asked.desk.asking)
    return see_other(link("/mend", said=f"{path.name} says now that {theirs} is our {asked.typed('ours')}."))


def sheet(asked: Asked) -> Response:
    """Writes into the settings which sheet is which of ours."""
    there = [name for names in plain_sheets(asked.desk.asking).values() for name in names]
    theirs = asked.one_of("theirs", there, "sheet")
    kind = asked.one_of("kind", KINDS, "kind of sheet")
    path = name_sheet(theirs, kind, asked.desk.asking)
    return see_other(
        link("/mend", said=f"{path.name} says now that the sheet {theirs} holds {kind.lower()}.")
    )
