"""Holds as text: what became of one, and the list of them all."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import day_text
from reconcile.values.ledger.holds import RELEASED, Hold
from reconcile.values.week.results import Answer


def held_screen(
    answer: Answer, hold: Hold | None, *, meanwhile: bool, workbook: Path | None, kept: Path | None
) -> str:
    """That a job is held from now on, or why not."""
    number = answer.result.job.number
    if hold is None:
        told = "Not held: the kit is not there on that day."
        if meanwhile:
            told = "Not held: it could be had a moment ago, and somebody else has held or booked meanwhile."
        return wrapped(told)
    if workbook is not None:
        return "\n".join(
            [
                wrapped(f"Held: {number} has a row in the jobs workbook now, and keeps its parts by that."),
                f"Written: {workbook}",
                f"The old workbook is kept: {kept}",
            ]
        )
    return wrapped(
        f"Held: {number} for {day_text(hold.row.day)}, until the jobs sheet has a row of it or it is released"
        f" (reconcile ledger --release {number})."
    )


def released_screen(hold: Hold) -> str:
    return wrapped(f"Released: {held_text(hold)}. Nothing is kept back for it any more.")


def holds_screen(holds: Sequence[Hold]) -> str:
    """Every hold in the order of holding, with how it ended; "" where there is none."""
    return "\n".join(_hold_lines(holds))


def _hold_lines(holds: Sequence[Hold]) -> Iterator[str]:
    if holds:
        yield "held"
    for hold in holds:
        yield wrapped(f"{held_text(hold)}{end_text(hold)}", "  ", "    ")


def held_text(hold: Hold) -> str:
    """``J-4200 for Wed 2026-12-02, held on Fri 2026-11-27 by Ada``."""
    return f"{hold.row.job} for {day_text(hold.row.day)}, held on {day_text(hold.at.date())} by {hold.who}"


def end_text(hold: Hold) -> str:
    if hold.end is None:
        return ""
    when = day_text(hold.end.at.date())
    if hold.end.how == RELEASED:
        return f"; released on {when} by {hold.end.who}"
    return f"; overtaken by {hold.end.row}"
