"""Undo a closing, and release a hold: what it will do is shown first."""

from dataclasses import replace

from starlette.responses import Response

from reconcile.page.asked import Asked
from reconcile.page.shown import page
from reconcile.page.views.booked import BookedShown, booked_page, posted_text, takes
from reconcile.reports.orders.screen import event_text
from reconcile.reports.week.hold_screen import held_text, released_screen
from reconcile.values.problem import Unusable
from reconcile.work.booking import Posting
from reconcile.work.entries.standing import book_standing, release_named, undo_named, undo_shown


def undo(asked: Asked) -> Response:
    """All that can be written back; of one that is chosen, what that would book."""
    name = asked.typed("n")
    posting = None
    if name and not asked.refused:
        posting = undo_shown(name, asked.desk.asking)
    return undo_page(asked, name, posting)


def undo_page(asked: Asked, name: str, posting: Posting | None) -> Response:
    return page(asked, "undo.html", "close", {
        "closings": book_standing(asked.desk.asking).closings, "name": name, "posting": posting,
        "events": [event_text(event) for event in posting.beside.orders] if posting else [],
    })  # fmt: skip


def book_undo(asked: Asked) -> Response:
    """Writes it back."""
    name = asked.typed("n")
    try:
        undone = undo_named(name, asked.desk.asking, asked.who, take_differences=takes(asked))
    except Unusable as unusable:
        return undo_page(replace(asked, refused=unusable.problems), name, None)
    posting = undone.posting
    told = [posted_text(posting.closing, tuple(posting.movements), undone.posted)]
    then = [("/today", "Today"), ("/close", "Close")]
    return booked_page(asked, "close", BookedShown(f"{name} is written back.", told, undone.remarks, then))


def release(asked: Asked) -> Response:
    """Every hold that stands; one that is chosen, to be released."""
    number = asked.typed("n")
    holds = book_standing(asked.desk.asking).holds
    return page(asked, "release.html", "jobs", {
        "holds": [(hold.row.job, held_text(hold)) for hold in holds], "number": number,
    })  # fmt: skip


def book_release(asked: Asked) -> Response:
    """Gives a hold up."""
    try:
        hold = release_named(asked.typed("n"), asked.desk.asking, asked.who)
    except Unusable as unusable:
        return release(replace(asked, refused=unusable.problems))
    then = [("/today", "Today"), ("/ask", "Ask")]
    told = [released_screen(hold)]
    return booked_page(asked, "jobs", BookedShown(f"{hold.row.job} is released.", told, (), then))
