"""A chair's record, from the ledger beside the stock workbook."""

from pathlib import Path

from reconcile.ledger.book import ledger_path, open_ledger
from reconcile.plan.chairs.record import chair_records
from reconcile.sheets.finding import call_fault, stock_path
from reconcile.sheets.request import Request
from reconcile.values.chairs import ChairRecord
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.words import fold, nearest


def chair_of(asset: str, request: Request) -> tuple[ChairRecord, ...]:
    """Every measure of a chair that was ever adjusted, in the order of its first job.

    Only reads. Raises Unusable: file-missing where there is no ledger; call-unusable for a chair that it does
    not know, with those most like it; and as ``open_ledger`` does.
    """
    records = _records(ledger_path(stock_path(request)))
    own = tuple(record for record in records if fold(record.asset) == fold(asset))
    if own:
        return own
    near = nearest(asset, dict.fromkeys(record.asset for record in records))
    like = f" Nearest: {', '.join(near)}." if near else ""
    raise Unusable(call_fault("ASSET", f"The ledger has no chair {asset!r}.{like}"))


def _records(path: Path) -> tuple[ChairRecord, ...]:
    ledger = open_ledger(path, create=False)
    if ledger is None:
        says = f"There is no ledger yet ({path.name})."
        do = "Close a week; that opens it."
        raise Unusable(problem("file-missing", Place(path.name), says, do=do))
    with ledger:
        return tuple(chair_records(ledger.booked_jobs()).values())
