"""What happened to orders: rows of a table to values and back."""

from collections.abc import Iterable

from reconcile.ledger.asking import Asker, Value
from reconcile.ledger.jobs import STANDING, text_of
from reconcile.ledger.rows import LedgerRow
from reconcile.values.ledger.orders import EVENTS, EXPECTED, OrderEntry, OrderEvent

_STANDING_EVENTS = f"""
SELECT o.*, coalesce(c.name, '') AS closed_as
FROM order_events o LEFT JOIN closings c ON c.id = o.closing
WHERE o.closing IS NULL OR o.closing IN (SELECT id FROM closings WHERE {STANDING}) ORDER BY o.id
"""


def add_events(ask: Asker, events: Iterable[OrderEvent], closing: int | None = None) -> None:
    ask.add_all("order_events", ({"closing": closing, **_columns(event)} for event in events))


def order_entries(ask: Asker) -> tuple[OrderEntry, ...]:
    """All that was not written back with its closing, in the order of booking."""
    return tuple(
        OrderEntry(row.number, _event(row), row.text("closed_as"))
        for row in ask.rows("order_events", _STANDING_EVENTS)
    )


def _columns(event: OrderEvent) -> dict[str, Value]:
    return {
        "order_number": event.order, "line": event.line, "event": event.event, "day": event.day.isoformat(),
        "who": event.who, "part": event.part, "unit": event.unit, "quantity": text_of(event.quantity),
        "due": event.due.isoformat() if event.due else None,
        "price": None if event.price is None else str(event.price), "currency": event.currency,
        "supplier": event.supplier, "reason": event.reason, "expected": event.expected,
        "source": event.source,
    }  # fmt: skip


def _event(row: LedgerRow) -> OrderEvent:
    return OrderEvent(
        row.text("order_number"), row.text("line"), row.choice("event", EVENTS), row.day("day"),
        row.text("who"), row.text("part"), row.text("unit"), row.optional_exact("quantity"),
        row.optional_day("due"), row.optional_price("price"), row.text("currency"), row.text("supplier"),
        row.text("reason"), row.choice("expected", EXPECTED), row.text("source"),
    )  # fmt: skip
