"""A chair's record, from the ledger beside the stock workbook."""

import os
from dataclasses import replace
from pathlib import Path

from reconcile.sheets.finding import Asking, Located, call_fault, stock_path
from reconcile.sheets.request import Request
from reconcile.values.chairs import ChairRecord
from reconcile.values.ledger.mark import FOREIGN
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.week.jobs import SaidJob
from reconcile.values.week.results import Inputs
from reconcile.values.words import fold, nearest
from reconcile.work.marks import is_foreign, ledger_beside, mark_on, problem_apart


def chair_of(asset: str, request: Request) -> tuple[ChairRecord, ...]:
    """Every measure of a chair that was ever adjusted, in the order of its first job.

    Only reads. Raises Unusable: file-missing where there is no ledger; call-unusable for a chair that it does
    not know, with those most like it; and as ``open_ledger`` does.
    """
    records = _records(stock_path(request))
    own = tuple(record for record in records if fold(record.asset) == fold(asset))
    if own:
        return own
    near = nearest(asset, dict.fromkeys(record.asset for record in records))
    like = f" Nearest: {', '.join(near)}." if near else ""
    raise Unusable(call_fault("the chair's number", f"The ledger has no chair {asset!r}.{like}"))


def with_chairs(inputs: Inputs, places: Located, guest: SaidJob | None = None) -> Inputs:
    """The inputs with the records of the chairs, where a job or ``guest`` names one and there is a ledger.

    Only reads. Raises Unusable as ``open_ledger`` does: a plan without a record that is there would be wrong.
    """
    if not any(job.record_asset for job in (*inputs.jobs, *((guest,) if guest else ()))):
        return inputs
    return replace(inputs, chairs=chairs_on_record(places))


def chairs_on_record(places: Asking) -> tuple[ChairRecord, ...]:
    """Every record of the ledger; none, and nothing loaded, where there is no ledger. Raises as above."""
    workbook = stock_path(places)
    return _records(workbook, needed=False) if os.path.lexists(ledger_beside(workbook)) else ()


def _records(workbook: Path, *, needed: bool = True) -> tuple[ChairRecord, ...]:
    """``needed``: a ledger that is not there, or another workbook's, is refused, not passed over."""
    from reconcile.ledger.book import open_ledger
    from reconcile.plan.chairs.record import chair_records

    path = ledger_beside(workbook)
    ledger = open_ledger(path, create=False)
    if ledger is None and not needed:
        return ()
    if ledger is None:
        says = f"There is no ledger yet ({path.name})."
        do = "Close a week; that opens it."
        raise Unusable(problem("file-missing", Place(path.name), says, do=do))
    with ledger:
        if is_foreign(workbook, ledger):
            if needed:
                raise Unusable(problem_apart(workbook, FOREIGN, mark_on(workbook)))
            return ()
        return tuple(chair_records(ledger.booked_jobs()).values())
