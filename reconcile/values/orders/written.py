"""An order as its workbook has it now, beside what was written there, and what the buyer changed."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.values.problem import Place, RowPlace

NO_ROW = RowPlace("", "", 0)
QUANTITY, PRICE, WANTED, STRUCK, ADDED = "quantity", "price", "wanted by", "struck out", "added"
"""What a buyer may change of a line."""


@dataclass(frozen=True, slots=True)
class WrittenLine:
    """A line of an order workbook. Quantity in ``unit``; price for one unit."""

    line: str
    part: str
    quantity: Fraction
    unit: str
    price: Decimal | None = None
    wanted: date | None = None
    supplier_part: str = ""
    designation: str = ""
    place: RowPlace = field(default=NO_ROW, compare=False)


@dataclass(frozen=True, slots=True)
class Change:
    """What the buyer changed of a line: before and after, as exact values."""

    line: str
    part: str
    what: str
    """QUANTITY, PRICE, WANTED, STRUCK or ADDED."""
    before: Fraction | Decimal | date | None
    after: Fraction | Decimal | date | None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class WrittenOrder:
    """An order of an order workbook: as it was written, and as it stands there now."""

    reference: str
    supplier: str
    """The supplier's code."""
    currency: str
    written: date
    """The day of the run that wrote it."""
    period: str
    """The name of the period it was written for."""
    lines: tuple[WrittenLine, ...]
    """As they stand there now; those struck out are not among them."""
    at_first: tuple[WrittenLine, ...]
    """As they were written."""
    place: Place
    edited: bool = False
    """Whether anything on its sheet is not as it was written."""

    @property
    def changes(self) -> tuple[Change, ...]:
        """What a buyer changed, line by line."""
        before = {line.part: line for line in self.at_first}
        after = {line.part: line for line in self.lines}
        found = [change for part, line in before.items() for change in _changes(line, after.get(part))]
        added = (line for part, line in after.items() if part not in before)
        return (
            *found,
            *(Change(line.line, line.part, ADDED, None, line.quantity, line.unit) for line in added),
        )


def _changes(old: WrittenLine, new: WrittenLine | None) -> list[Change]:
    if new is None:
        return [Change(old.line, old.part, STRUCK, old.quantity, None, old.unit)]
    pairs = ((QUANTITY, old.quantity, new.quantity), (PRICE, old.price, new.price),
             (WANTED, old.wanted, new.wanted))  # fmt: skip
    return [
        Change(old.line, old.part, what, before, after, old.unit)
        for what, before, after in pairs
        if before != after
    ]


@dataclass(frozen=True, slots=True)
class OrderBook:
    """An order workbook that was read."""

    name: str
    orders: tuple[WrittenOrder, ...]

    @property
    def edited(self) -> bool:
        return any(order.edited for order in self.orders)
