"""What was booked, in the words of the commands: one page for all that books."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from starlette.responses import Response

from reconcile.page.asked import Asked, note_sent
from reconcile.page.shown import page
from reconcile.reports.closing.ledger_screen import posted_screen
from reconcile.values.problem import Problem
from reconcile.values.stock.movements import Closing, Movement
from reconcile.work.booking import Posted

Link = tuple[str, str]
"""Where to, and its words."""


@dataclass(frozen=True, slots=True)
class BookedShown:
    """What is said once something is booked."""

    verdict: str
    told: Sequence[str]
    remarks: Iterable[Problem]
    then: Sequence[Link]


def booked_page(asked: Asked, current: str, what: BookedShown) -> Response:
    """The page that says so; the form that asked for it is not taken a second time."""
    note_sent(asked)
    return page(asked, "booked.html", current, {
        "verdict": what.verdict, "told": list(filter(None, what.told)), "remarks": list(what.remarks),
        "then": what.then,
    })  # fmt: skip


def posted_text(closing: Closing, movements: Sequence[Movement], posted: Posted) -> str:
    """What the commands say of a posting."""
    return posted_screen(
        closing, movements, posted.written, posted.kept, posted.taken, finished=posted.finished
    )


def takes(asked: Asked) -> bool:
    """Differences between sheet and ledger are taken over: only where somebody was asked, and ticked it."""
    return asked.typed("take") == "yes"
