"""Look a part up: by its number, words of its description, its bin, or a code that somebody scanned."""

from reconcile.ledger.book import ledger_path, open_ledger
from reconcile.sheets.finding import located, stock_path
from reconcile.sheets.request import Request
from reconcile.values.stock.movements import Entry
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.words import fold
from reconcile.work.marks import is_foreign


def parts_found(words: str, stock: Stock) -> list[Part]:
    """Parts of which number, supplier's number, description or a bin hold every word; in the sheet's order.

    One whose number, supplier's number or bin is just that stands first.
    """
    wanted = fold(words)
    if not wanted.split():
        return []
    found = [part for part in stock.parts.values() if _holds(part, wanted.split())]
    return sorted(found, key=lambda part: not _is_named(part, wanted))


def _holds(part: Part, words: list[str]) -> bool:
    text = fold(" ".join((*_names(part), part.designation, part.description, part.kind)))
    return all(word in text for word in words)


def _is_named(part: Part, wanted: str) -> bool:
    return any(fold(name) == wanted for name in _names(part))


def _names(part: Part) -> tuple[str, ...]:
    return (part.number, part.supplier_part, *(bin_.name for bin_ in part.bins))


def card_there(part: str, request: Request) -> list[Entry]:
    """A part's movements by the ledger, oldest first; nothing is finished or written.

    Nothing where there is no ledger, or another workbook's, or no movement of it. Raises Unusable as
    ``open_ledger`` does.
    """
    workbook = stock_path(located(request))
    ledger = open_ledger(ledger_path(workbook), create=False)
    if ledger is None:
        return []
    with ledger:
        return [] if is_foreign(workbook, ledger) else list(ledger.card(part))
