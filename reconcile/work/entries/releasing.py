"""How a hold ends: released by somebody, or overtaken by a row of the jobs sheet."""

from contextlib import suppress
from datetime import datetime

from reconcile.ledger.book import Ledger, ledger_path, open_ledger
from reconcile.sheets.finding import Located, stock_path
from reconcile.sheets.inputs import read_all_jobs
from reconcile.sheets.jobs.rows import JobsRead
from reconcile.values.ledger.holds import OVERTAKEN, RELEASED, Hold, HoldEnd
from reconcile.values.problem import Place, RowPlace, Unusable, problem
from reconcile.values.words import fold, nearest
from reconcile.work.booking import logged_in


def release(number: str, places: Located, who: str = "") -> Hold:
    """Gives a held job up. Raises Unusable: hold-unknown; file-missing; ledger-busy."""
    path = ledger_path(stock_path(places))
    ledger = open_ledger(path, create=False)
    if ledger is None:
        says = f"There is no ledger yet ({path.name}), so nothing is held."
        raise Unusable(problem("hold-unknown", Place(path.name), says, found=number))
    with ledger, ledger.held():
        hold = standing_hold(number, ledger)
        ledger.end_hold(hold, HoldEnd(RELEASED, now_here(), who or logged_in()))
    return hold


def standing_hold(number: str, ledger: Ledger) -> Hold:
    """The hold of that number. Raises Unusable (hold-unknown), with the nearest."""
    standing = {fold(hold.row.job): hold for hold in ledger.holds() if hold.stands}
    if (found := standing.get(fold(number))) is not None:
        return found
    like = nearest(number, (hold.row.job for hold in standing.values()))
    says = f"No job {number} is held." + (f" Nearest: {', '.join(like)}." if like else "")
    raise Unusable(problem("hold-unknown", Place(ledger.path.name), says, found=number))


def end_overtaken(ledger: Ledger, sheet: JobsRead, who: str) -> list[Hold]:
    """Notes, within ``Ledger.held``, which holds a row of the jobs sheet has overtaken."""
    ended = [hold for hold in ledger.holds() if hold.stands and fold(hold.row.job) in sheet.numbers]
    for hold in ended:
        head = sheet.header
        row = RowPlace(head.file, head.sheet, sheet.numbers[fold(hold.row.job)], head.columns)
        ledger.end_hold(hold, HoldEnd(OVERTAKEN, now_here(), who, str(row.cell("job"))))
    return ended


def note_overtaken(places: Located, who: str = "") -> None:
    """The same by a run that books something else; plans see an overtaken hold without this note too."""
    with suppress(Unusable):
        ledger = open_ledger(ledger_path(stock_path(places)), create=False)
        if ledger is None:
            return
        with ledger:
            if any(hold.stands for hold in ledger.holds()):
                sheet = read_all_jobs(places)
                with ledger.held():
                    end_overtaken(ledger, sheet, who or logged_in())


def now_here() -> datetime:
    return datetime.now().astimezone()
