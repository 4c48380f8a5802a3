"""What every booking does for orders: the sheet held against the ledger, and rows that follow the events."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from reconcile.ledger.book import Ledger
from reconcile.plan.ordering.standing import (
    Lines,
    OrderDifference,
    lines_of,
    opened,
    order_differences,
    overdrawn,
    row_changes,
    taken_over,
    with_events,
)
from reconcile.values.ledger.orders import ANSWERED, PLACED, OrderEntry, OrderEvent
from reconcile.values.measure import quantity_text
from reconcile.values.orders.lines import OnOrder, key_of
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.stock.parts import Stock

REDATING = (PLACED, ANSWERED)


@dataclass(frozen=True, slots=True)
class OrdersThere:
    """All that was booked of orders, and what the sheet says otherwise."""

    entries: tuple[OrderEntry, ...]
    lines: Lines
    differences: list[OrderDifference]

    def events(self, stock: Stock, day: date, who: str) -> list[OrderEvent]:
        """What is booked first: lines first met in the sheet, and differences taken over."""
        return [*opened(stock, self.lines, day, who), *taken_over(self.differences, day, who)]

    def now(self, stock: Stock, day: date, who: str) -> Lines:
        """The lines as they are once that is booked."""
        return with_events(self.lines, self.events(stock, day, who))


def orders_there(ledger: Ledger | None, stock: Stock, file: str) -> OrdersThere:
    """Raises Unusable as reading the ledger does."""
    entries = ledger.order_entries() if ledger else ()
    lines = lines_of(entries)
    return OrdersThere(entries, lines, order_differences(stock, lines, file))


def order_rows(
    there: OrdersThere,
    events: Sequence[OrderEvent],
    own: Sequence[OrderEvent],
    undone: str,
    stock: Stock,
) -> tuple[OnOrder, ...]:
    """The rows of all lines that ``own`` events, or those of a closing that is ``undone``, say something of.

    ``events``: all that are booked now, in their order. Raises Unusable (order-overdrawn) where more would
    have come, or been given up, than there ever was.
    """
    back = [entry.event for entry in there.entries if undone and entry.closing == undone]
    kept = there.lines
    if back:
        kept = lines_of(entry for entry in there.entries if entry.closing != undone)
    after = with_events(kept, events)
    keys = [key_of(event.order, event.line, event.part) for event in (*own, *back)]
    refuse_overdrawn(after, keys, undone)
    redated = {key_of(each.order, each.line, each.part) for each in (*own, *back) if each.event in REDATING}
    return tuple(row_changes(stock, there.lines, after, keys, redated))


def refuse_overdrawn(after: Lines, keys: Iterable[object], undone: str) -> None:
    wanted = set(keys)
    faults = [
        problem(
            "order-overdrawn", Place(line.order or "no order", "", line.part),
            f"{line.order} line {line.line or '-'}, {line.part}: more would have come or been given up than"
            f" was ordered ({quantity_text(line.ordered)} ordered, {quantity_text(line.to_come)} to come).",
            do="Write back first what was booked of it later." if undone else "",
        )
        for line in overdrawn(line for key, line in after.items() if key in wanted)
    ]  # fmt: skip
    if faults:
        raise Unusable(*faults)
