"""What is ordered from whom: an order for each supplier and currency, with its totals and its faults."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from itertools import chain, count

from reconcile.values.measure import decimal_text, quantity_text
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.stock.parts import Part, Supplier
from reconcile.values.trade_codes import UNIT_CODES, rounded
from reconcile.values.week.results import PartResult, Week
from reconcile.values.words import fold

NO_SUPPLIER = "No supplier named"


@dataclass(frozen=True)
class SupplierOrder:
    """The lines for one supplier in one currency: late first, then by the day they are required.

    Each line's amount is rounded to the currency's smallest unit, half up, and the total is the sum of
    the rounded amounts and the charge. So a column that is added up by hand gives the total printed.
    """

    supplier: Supplier | None
    lines: tuple[PartResult, ...]
    reference: str = ""
    """See ``_referenced``; "" where no supplier is named, for then there is nobody to send it to."""
    currency: str = ""
    """ISO 4217; "" where no line has a price and the settings name none."""
    split: bool = False
    """The supplier has another order, in another currency."""

    @property
    def name(self) -> str:
        return NO_SUPPLIER if self.supplier is None else self.supplier.name or self.supplier.code

    @property
    def terms(self) -> Supplier:
        """The supplier with minimum, charge and address; one without any where none is named."""
        return self.supplier or Supplier("")

    @property
    def late(self) -> int:
        return sum(line.late for line in self.lines)

    @cached_property
    def unpriced(self) -> int:
        return sum(line.line_total is None for line in self.lines)

    @property
    def delivery_by(self) -> date | None:
        """The first day on which a line is required."""
        return min((line.required_by for line in self.lines if line.required_by), default=None)

    @cached_property
    def goods(self) -> Decimal | None:
        """The sum of the lines that have a price; None where none has."""
        amounts = [line.line_total for line in self.lines if line.line_total is not None]
        return rounded(sum(map(Fraction, amounts), Fraction(0)), self.currency) if amounts else None

    @property
    def totals(self) -> dict[str, Decimal]:
        """The goods by currency: at most one entry."""
        return {} if self.goods is None else {self.currency: self.goods}

    @property
    def comparable(self) -> Decimal | None:
        """The goods, where they can be set against the supplier's terms: those are in one currency."""
        return None if self.split else self.goods

    @property
    def minimum_reached(self) -> bool | None:
        """Whether the supplier's minimum order value is reached; None where that is not known."""
        return self._reaches(self.terms.minimum_order_value or Decimal(0))

    @property
    def charged(self) -> bool | None:
        """Whether the supplier charges for delivery; None where that is not known."""
        if not self.terms.delivery_charge:
            return False
        if self.terms.free_delivery_from is None:
            return None if self.split else True
        free = self._reaches(self.terms.free_delivery_from)
        return None if free is None else not free

    @property
    def charge(self) -> Decimal | None:
        """The delivery charge where it is known to be charged, and in which currency."""
        charge = self.terms.delivery_charge
        return rounded(charge, self.currency) if charge and self.charged and self.currency else None

    @property
    def total(self) -> Decimal | None:
        """Goods and delivery charge; None where no line has a price."""
        if self.goods is None:
            return None
        return rounded(Fraction(self.goods) + Fraction(self.charge or 0), self.currency)

    def _reaches(self, value: Decimal) -> bool | None:
        """None where a missing price could yet make the difference."""
        if self.comparable is None:
            return None
        if self.comparable >= value:
            return True
        return None if self.unpriced else False


def supplier_orders(week: Week) -> list[SupplierOrder]:
    """Everything to be ordered, by supplier in order of name; what no supplier is named for comes last.

    An order has one currency, so a supplier with prices in two gets two orders.
    """
    known = {fold(supplier.code): supplier for supplier in week.stock.suppliers.values()}
    groups: dict[str, list[PartResult]] = {}
    for part in week.parts:
        if part.order > 0:
            groups.setdefault(fold(part.part.supplier), []).append(part)
    orders = [
        order
        for key, lines in groups.items()
        for order in _by_currency(
            known.get(key) or (Supplier(lines[0].part.supplier) if key else None), lines, week
        )
    ]
    orders.sort(
        key=lambda order: (order.supplier is None, fold(order.name), order.terms.code, order.currency)
    )
    return list(_referenced(orders, week))


def item_name(part: Part) -> str:
    """What a part is ordered by: its designation word for word, else its description, else its number."""
    return part.designation or part.number


def order_faults(order: SupplierOrder) -> list[Problem]:
    """Why the order cannot go out as a file: every line that a reader could not tell or count."""
    if order.supplier is None:
        return []
    lines = (fault for line in order.lines for fault in _line_faults(order, line))
    return [*_currency_faults(order), *lines]


def order_problems(week: Week) -> tuple[Problem, ...]:
    """The faults of all orders."""
    return tuple(chain.from_iterable(map(order_faults, supplier_orders(week))))


def _by_currency(supplier: Supplier | None, lines: list[PartResult], week: Week) -> Iterator[SupplierOrder]:
    """An order for each currency of the prices."""
    priced = sorted({line.part.currency for line in lines if line.unit_price is not None})
    usual = week.settings.currency
    known = priced or [usual or min({line.part.currency for line in lines} - {""}, default="")]
    groups: dict[str, list[PartResult]] = {}
    for line in lines:
        groups.setdefault(_currency(line, known, usual), []).append(line)
    for currency, own in groups.items():
        yield SupplierOrder(
            supplier, tuple(sorted(own, key=_urgency)), currency=currency, split=len(groups) > 1
        )


def _currency(line: PartResult, known: list[str], usual: str) -> str:
    """A line without a price goes with those of its part's currency, else the settings', else the first."""
    if line.unit_price is not None:
        return line.part.currency
    return next((each for each in (line.part.currency, usual) if each in known), known[0])


def _urgency(line: PartResult) -> tuple[bool, date, str]:
    return (not line.late, line.required_by or date.max, line.part.number)


def _referenced(orders: Iterable[SupplierOrder], week: Week) -> Iterator[SupplierOrder]:
    """Each order with its reference: period and supplier, ``2026-W49-NORTH``; a split one its currency too.

    It is made of nothing else, so the same week gives the same reference: whoever gets a repeated run's
    order sees that it is the order known already, not a second one.
    """
    taken: set[str] = set()
    for order in orders:
        if order.supplier is None:
            yield order
            continue
        tail = f"-{order.currency}" if order.split else ""
        stem = f"{week.period.name}-{order.supplier.code}{tail}"
        names = chain([stem], (f"{stem} ({number})" for number in count(2)))
        reference = next(name for name in names if fold(name) not in taken)
        taken.add(fold(reference))
        yield replace(order, reference=reference)


def _currency_faults(order: SupplierOrder) -> Iterator[Problem]:
    if order.currency and not re.fullmatch("[A-Z]{3}", order.currency):
        part = next((line.part for line in order.lines if line.part.currency), order.lines[0].part)
        says = (
            f"The prices of the order {order.reference} are in {order.currency!r}, which is no currency code."
        )
        place = _place(order, part, "currency")
        yield problem("order-currency-code", place, says, did=_kept_back(order), found=order.currency)


def _kept_back(order: SupplierOrder) -> str:
    return f"No order file was written for {order.reference}; the order workbook has the order."


def _line_faults(order: SupplierOrder, line: PartResult) -> Iterator[Problem]:
    """UBL allows an item without a name and a quantity without a unit; nobody can order by them."""
    part, did = line.part, _kept_back(order)
    if not (_printable(part.number) and _printable(item_name(part))):
        says = f"The order {order.reference} has an item without a number or a name: {part.number!r}."
        yield problem("order-item-empty", _place(order, part, "part"), says, did=did)
    if part.unit not in UNIT_CODES:
        says = f"{part.number} is counted in {part.unit!r}, a unit without a code that traders share."
        yield problem("order-unit-code", _place(order, part, "unit"), says, did=did, found=part.unit)
    if decimal_text(line.order) is None:
        says = f"{quantity_text(line.order)} {part.unit} of {part.number} has no exact decimals."
        yield problem("order-quantity-endless", _place(order, part, "pack"), says, did=did)


def _printable(text: str) -> str:
    return "".join(filter(str.isprintable, text)).strip()


def _place(order: SupplierOrder, part: Part, heading: str) -> Place:
    """The cell of the part's first bin; the order itself for a part that has none."""
    return part.bins[0].place.cell(heading) if part.bins else Place(order.reference, "", part.number)
