"""Undo: a closing written back, in the ledger and in the stock workbook."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from reconcile.ledger.book import Beside, reversed_movements
from reconcile.ledger.details import dues, usages
from reconcile.plan.closing.movements import shelf_changes
from reconcile.plan.ordering.standing import Matcher
from reconcile.sheets.finding import Located
from reconcile.values.ledger.orders import OPENED, OrderEvent
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.movements import SHEET, UNDO, Closing, Movement, StockChange
from reconcile.work.booking import Posted, Posting, StockDesk, ledger_of, open_desk, post, refuse_old
from reconcile.work.ordering.beside import orders_there


@dataclass(frozen=True, slots=True)
class Undone:
    """What was booked against a closing, and what became of it."""

    posting: Posting
    posted: Posted
    remarks: tuple[Problem, ...]


def undo(
    name: str, places: Located, who: str = "", *, in_place: bool, take_differences: bool = False
) -> Undone:
    """Writes a closing back. Raises Unusable, with nothing changed, as ``undoing`` and ``post`` do."""
    desk = open_desk(places, who)
    posting = undoing(name, desk)
    posted = post(desk, posting, in_place=in_place, take_differences=take_differences)
    return Undone(posting, posted, (*desk.remarks, *posted.remarks))


def undoing(name: str, desk: StockDesk) -> Posting:
    """The reverse of a closing, for ``post``. Raises Unusable: closing-unknown, stock-before-closing."""
    ledger = ledger_of(desk)
    closing = ledger.standing(name)
    if closing is None:
        there = ", ".join(standing.name for standing in ledger.standing_closings()) or "none"
        says = f"No closing {name!r} stands; there is: {there}."
        raise Unusable(problem("closing-unknown", Place(ledger.path.name), says, found=name))
    if closing.kind == SHEET:
        says = f"{name} took over what the sheet said; there is no earlier figure to go back to."
        do = "Count the parts, or correct the sheet and take the difference over."
        raise Unusable(problem("closing-unknown", Place(ledger.path.name), says, do=do, found=name))
    entries = ledger.movements_of(name)
    movements = reversed_movements(entries, desk.today, desk.who)
    back = Closing(f"undo of {name}", UNDO, desk.today, desk.who, undoes=name)
    last = ledger.last()
    is_old = last is not None and last.name == name and desk.sha256 == closing.old_workbook
    if not is_old:
        refuse_old(desk)
    change = StockChange() if is_old else change_back(closing, movements, ledger.path)
    beside = Beside(orders=() if is_old else tuple(unreceived(closing, desk, ledger.path)))
    numbers = [entry.number for entry in entries]
    return Posting(back, movements, change, reverses=numbers, beside=beside, sheet_is_old=is_old)


def change_back(closing: Closing, movements: list[Movement], path: Path) -> StockChange:
    """What the sheet gets back: on hand, and the rows of usage out again.

    Raises Unusable (ledger-broken) where the ledger at ``path`` cannot say.
    """
    return StockChange(shelf_changes(movements), unused=usages(path, closing))


def unreceived(closing: Closing, desk: StockDesk, path: Path) -> Iterator[OrderEvent]:
    """What is to come again, of a closing from before orders were booked line by line; of others nothing.

    What a closing booked of orders is left out of their lines as soon as it is written back.
    """
    stock = desk.read.stock
    lines = orders_there(desk.ledger, stock, desk.workbook.name).now(stock, desk.today, desk.who)
    matcher = Matcher(lines)
    for due in dues(path, closing):
        if due.part not in stock.parts:
            says = f"The stock sheet has no row for {due.part}."
            place = Place(path.name, "", due.part)
            raise Unusable(problem("movement-part-unknown", place, says, found=due.part))
        line = lines.get(matcher.of(due))
        order, number = (line.order, line.line) if line else (due.order, "")
        yield OrderEvent(
            order, number, OPENED, desk.today, desk.who, due.part, stock.parts[due.part].unit, due.quantity,
            None if line and line.to_come else due.day, reason=f"{closing.name} was written back",
        )  # fmt: skip
