"""A stock workbook beside its ledger: whether the two belong together, and what is said where they do not.

A workbook that was closed into a ledger which is lost, emptied, older or another one stops every booking,
and every plan says so: what was booked then could be booked again.
"""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.sheets.finding import located, stock_path
from reconcile.sheets.request import Request
from reconcile.values.catalogue import NOTICE
from reconcile.values.ledger.mark import APART, EMPTY, FOREIGN, LOST, OLDER, Mark, mark_of
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import LEDGER_ENDING

if TYPE_CHECKING:
    from reconcile.ledger.book import Ledger

PROPERTY = "reconcile ledger"
"""What the workbook's custom property is called: its name is seen in a spreadsheet program."""
BOOKABLE = (".xlsx", ".xlsm")
CODES = {LOST: "ledger-lost", EMPTY: "ledger-lost", OLDER: "ledger-older", FOREIGN: "ledger-foreign"}
PLANNED = {
    LOST: "It was planned without a ledger.",
    EMPTY: "It was planned without a ledger.",
    OLDER: "It was planned by what that ledger says.",
    FOREIGN: "It was planned without that ledger.",
}


def mark_on(workbook: Path) -> Mark | None:
    """The mark that a workbook bears; None where it bears none, or is of a kind that is never closed."""
    if workbook.suffix.lower() not in BOOKABLE or not workbook.is_file():
        return None
    from reconcile.sheets.edits.properties import property_in

    return mark_of(property_in(workbook, PROPERTY))


def ledger_beside(workbook: Path) -> Path:
    """Where the ledger of a stock workbook lies."""
    return workbook.with_name(f"{workbook.stem}{LEDGER_ENDING}")


def refuse_apart(workbook: Path, standing: str, borne: Mark | None) -> None:
    """Raises Unusable (ledger-lost, ledger-older, ledger-foreign) where the two do not belong together."""
    if standing in APART:
        raise Unusable(problem_apart(workbook, standing, borne))


def problem_apart(workbook: Path, standing: str, borne: Mark | None) -> Problem:
    """What is wrong between a workbook and what lies in its ledger's place."""
    beside = ledger_beside(workbook).name
    what = {
        LOST: f"{beside} is not there",
        EMPTY: f"{beside} is empty",
        OLDER: f"{beside} is older than that",
        FOREIGN: f"{beside} is another ledger, or went on without it",
    }[standing]
    says = f"{workbook.name} was closed into a ledger{_last(borne)}, and {what}."
    return problem(CODES[standing], Place(beside), says, found=borne.week if borne else "")


def noticed(workbook: Path, standing: str, borne: Mark | None) -> Problem:
    """The same for a run that plans: it goes on, and says by what."""
    return replace(problem_apart(workbook, standing, borne), severity=NOTICE, did=PLANNED[standing])


def standing_of(workbook: Path, digest: str, ledger: "Ledger | None") -> str:
    """How a workbook stands to the ledger beside it, by its mark."""
    from reconcile.ledger.trust import compared

    return compared(mark_on(workbook), digest, ledger)


def is_foreign(workbook: Path, ledger: "Ledger") -> bool:
    """Whether the ledger beside a workbook is another's: nothing of it says anything of this workbook."""
    borne = mark_on(workbook)
    if borne is None:
        return False
    from reconcile.ledger.files import digest
    from reconcile.ledger.trust import compared

    return compared(borne, digest(workbook), ledger) == FOREIGN


def _last(borne: Mark | None) -> str:
    if borne is None:
        return ""
    week = f", up to {borne.week}" if borne.week else ""
    return f" ({borne.counter} closings{week})" if borne.counter != 1 else f" (1 closing{week})"


def told_apart(request: Request) -> list[Problem]:
    """For an answer that shows no problems of its own: that workbook and ledger do not belong together.

    Nothing, and nothing loaded, where the workbook bears no mark.
    """
    workbook = stock_path(located(request))
    borne = mark_on(workbook)
    if borne is None:
        return []
    from reconcile.ledger.book import open_ledger
    from reconcile.ledger.files import digest
    from reconcile.ledger.trust import compared

    ledger = open_ledger(ledger_beside(workbook), create=False)
    try:
        standing = compared(borne, digest(workbook), ledger)
    finally:
        if ledger is not None:
            ledger.close()
    return [noticed(workbook, standing, borne)] if standing in APART else []
