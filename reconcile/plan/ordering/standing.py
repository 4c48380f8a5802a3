"""All that was booked of orders, folded to lines; and the sheet of what is on order against them. Pure."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from reconcile.values.ledger.orders import (
    ANSWERED,
    CANCELLED,
    CLOSED_SHORT,
    CREDIT,
    CREDITED,
    OPENED,
    PLACED,
    RECEIVED,
    REPLACEMENT,
    SENT_BACK,
    UNASKED,
    WRITTEN,
    WRITTEN_OFF,
    OrderEntry,
    OrderEvent,
)
from reconcile.values.measure import quantity_text
from reconcile.values.orders.lines import ZERO, Arrived, OnOrder, OrderKey, OrderLine, key_of
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.stock.parts import Due, Part, Stock
from reconcile.values.week.results import Inputs

Lines = Mapping[OrderKey, OrderLine]
Step = Callable[[OrderLine, OrderEvent, Fraction], OrderLine]


def lines_of(entries: Iterable[OrderEntry]) -> dict[OrderKey, OrderLine]:
    """Every line that anything was booked of, in the order of booking."""
    return with_events({}, (entry.event for entry in entries))


def with_events(lines: Lines, events: Iterable[OrderEvent]) -> dict[OrderKey, OrderLine]:
    """The lines once these events have happened as well."""
    found = dict(lines)
    for event in events:
        key = key_of(event.order, event.line, event.part)
        line = found.get(key) or OrderLine(event.order, event.line, event.part, event.unit)
        found[key] = _STEPS[event.event](_named(line, event), event, event.quantity or ZERO)
    return found


def _named(line: OrderLine, event: OrderEvent) -> OrderLine:
    """What any event may say of a line, the last word counts."""
    if not (event.supplier or event.currency or event.reason) and event.price is None:
        return line
    return replace(
        line,
        supplier=event.supplier or line.supplier,
        price=line.price if event.price is None else event.price,
        currency=event.currency or line.currency,
        note=event.reason or line.note,
    )


def _written(line: OrderLine, event: OrderEvent, _: Fraction) -> OrderLine:
    return replace(line, wanted=event.due)


def _placed(line: OrderLine, event: OrderEvent, quantity: Fraction) -> OrderLine:
    return replace(
        line,
        ordered=line.ordered + quantity,
        placed=event.day,
        due=event.due,
        wanted=line.wanted or event.due,
    )


def _opened(line: OrderLine, event: OrderEvent, quantity: Fraction) -> OrderLine:
    """So much more is to come than was known; less than nothing where the sheet has less."""
    return replace(line, ordered=line.ordered + quantity, due=event.due or line.due)


def _answered(line: OrderLine, event: OrderEvent, quantity: Fraction) -> OrderLine:
    """So much in all, beside what was cancelled before."""
    ordered = line.ordered if event.quantity is None else quantity + line.cancelled
    return replace(line, ordered=ordered, due=event.due or line.due, answered=event.day)


def _cancelled(line: OrderLine, _: OrderEvent, quantity: Fraction) -> OrderLine:
    return replace(line, cancelled=line.cancelled + quantity)


def _received(line: OrderLine, event: OrderEvent, quantity: Fraction) -> OrderLine:
    arrived = (*line.arrived, Arrived(event.day, quantity))
    return replace(line, received=line.received + quantity, arrived=arrived)


def _unasked(line: OrderLine, _: OrderEvent, quantity: Fraction) -> OrderLine:
    return replace(line, unasked=line.unasked + quantity)


def _sent_back(line: OrderLine, event: OrderEvent, quantity: Fraction) -> OrderLine:
    return replace(
        line,
        returned=line.returned + quantity,
        replaced=line.replaced + (quantity if event.expected == REPLACEMENT else ZERO),
        credit=line.credit + (quantity if event.expected == CREDIT else ZERO),
        due=event.due or line.due,
    )


def _credited(line: OrderLine, _: OrderEvent, quantity: Fraction) -> OrderLine:
    return replace(line, credit=line.credit - quantity)


_STEPS: dict[str, Step] = {
    WRITTEN: _written, PLACED: _placed, OPENED: _opened, ANSWERED: _answered, CANCELLED: _cancelled,
    CLOSED_SHORT: _cancelled, RECEIVED: _received, UNASKED: _unasked, SENT_BACK: _sent_back,
    CREDITED: _credited, WRITTEN_OFF: _credited,
}  # fmt: skip


# --- the sheet against the ledger -----------------------------------------------------------------


class Matcher:
    """To which line of the ledger a row of the sheet belongs."""

    def __init__(self, lines: Lines) -> None:
        self._lines = lines
        self._by_part: dict[tuple[str, str], list[OrderKey]] = {}
        for key in lines:
            self._by_part.setdefault((key.order, key.part), []).append(key)

    def key(self, order: str, line: str, part: str) -> OrderKey:
        """A row without a line's number belongs to the one line that order and part name, if it is one.

        Where the ledger has several of which one alone has something to come, it is that one.
        """
        own = key_of(order, line, part)
        if own in self._lines:
            return own
        alike = [key for key in self._by_part.get((own.order, own.part), ()) if not (own.line and key.line)]
        if len(alike) > 1:
            alike = [key for key in alike if self._lines[key].to_come]
        return alike[0] if len(alike) == 1 else own

    def of(self, due: Due) -> OrderKey:
        return self.key(due.order, due.line, due.part)


def placed_rows(inputs: Inputs) -> Iterator[Due]:
    """Rows of what is on order that were ordered through the book, or that say when they were placed."""
    lines = {line.key: line for line in inputs.order_lines}
    matcher = Matcher(lines)
    for row in inputs.stock.due:
        line = lines.get(matcher.of(row))
        if row.placed is not None or (line is not None and line.placed is not None):
            yield row


def rows_by_line(due: Iterable[Due], lines: Lines) -> dict[OrderKey, list[Due]]:
    """The rows of the sheet by the line that they belong to; rows of one line add up."""
    matcher, found = Matcher(lines), dict[OrderKey, list[Due]]()
    for row in due:
        found.setdefault(matcher.of(row), []).append(row)
    return found


@dataclass(frozen=True, slots=True)
class OrderDifference:
    """What the sheet says is to come of a line against what the ledger has. Quantities in the part's unit."""

    line: OrderLine
    sheet: Fraction
    source: Place
    """The cell of the sheet; the workbook alone where the sheet has no such row any more."""
    due: date | None = None


def order_differences(stock: Stock, lines: Lines, file: str) -> list[OrderDifference]:
    """Every line of which the sheet says another quantity to come than the ledger, in the sheet's order."""
    rows = rows_by_line(stock.due, lines)
    found = [
        OrderDifference(lines[key], total, own[0].place.cell("quantity"), own[0].stated)
        for key, own in rows.items()
        if key in lines and (total := _sum(own)) != lines[key].to_come
    ]
    gone = [
        OrderDifference(line, ZERO, Place(file))
        for key, line in lines.items()
        if line.to_come and key not in rows
    ]
    return found + gone


def order_difference_problem(each: OrderDifference, *, noticed: bool) -> Problem:
    """An error where something is to be booked on top of it."""
    line = each.line
    named = " ".join(filter(None, (line.order, f"line {line.line}" if line.line else "")))
    says = (
        f"The sheet has {quantity_text(each.sheet)} {line.unit} of {line.part} to come on"
        f" {named or 'no order'}; "
        f"the ledger has {quantity_text(line.to_come)}."
    )
    code = "order-differs-noticed" if noticed else "order-differs"
    return problem(code, each.source, says, found=quantity_text(each.sheet))


def opened(stock: Stock, lines: Lines, day: date, who: str) -> Iterator[OrderEvent]:
    """Lines first met in the sheet, and lines whose day was changed there by hand."""
    for key, own in rows_by_line(stock.due, lines).items():
        line, total = lines.get(key), _sum(own)
        first = min(row.stated for row in own)
        if line is None:
            yield _opening(own[0], total, first, stock.parts[own[0].part], day, who)
        elif line.due != first and total == line.to_come:
            yield replace(
                _opening(own[0], total, first, stock.parts[own[0].part], day, who),
                order=line.order, line=line.line, quantity=None,
            )  # fmt: skip


def taken_over(found: Iterable[OrderDifference], day: date, who: str) -> list[OrderEvent]:
    """Differences taken over: so much more is to come, or less, as the sheet says."""
    return [
        OrderEvent(
            each.line.order, each.line.line, OPENED, day, who, each.line.part, each.line.unit,
            each.sheet - each.line.to_come,
            each.due, reason="as on the sheet", source=str(each.source),
        )
        for each in found
    ]  # fmt: skip


def row_changes(
    stock: Stock, before: Lines, lines: Lines, changed: Iterable[OrderKey], redated: Set[OrderKey]
) -> Iterator[OnOrder]:
    """The rows of these lines as they are to be; ``before``: by what the sheet was written."""
    rows = rows_by_line(stock.due, {**lines, **before})
    for key in dict.fromkeys(changed):
        line = lines.get(key)
        yield OnOrder(
            line or OrderLine(key.order, key.line, key.part, ""), tuple(rows.get(key, ())), key in redated
        )


def overdrawn(lines: Iterable[OrderLine]) -> Iterator[OrderLine]:
    """Lines of which more came, was given up or sent back than there ever was."""
    return (
        line for line in lines if min(line.to_come, line.credit, line.kept, line.received - line.replaced) < 0
    )


def _opening(  # noqa: PLR0913, PLR0917  (one row, and who books it when)
    row: Due, total: Fraction, due: date, part: Part, day: date, who: str
) -> OrderEvent:
    return OrderEvent(
        row.order, row.line, OPENED, day, who, row.part, part.unit, total, due, row.price,
        part.currency if row.price is not None else "", row.supplier or part.supplier,
        source=str(row.place.cell("quantity")),
    )  # fmt: skip


def _sum(rows: Iterable[Due]) -> Fraction:
    return sum((row.quantity for row in rows), ZERO)
