"""What goes on whose order, under which reference, and why an order cannot go out as a file."""

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from datetime import date
from itertools import chain, count

from reconcile.values.days import Period
from reconcile.values.measure import decimal_text, quantity_text
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.settings import Workshop
from reconcile.values.stock.parts import Part, Stock, Supplier
from reconcile.values.trade_codes import UNIT_CODES
from reconcile.values.week.purchase import SupplierOrder, item_name
from reconcile.values.week.results import PartResult
from reconcile.values.words import fold


def supplier_orders(  # noqa: PLR0913, PLR0917  (all that an order is made of)
    parts: Iterable[PartResult],
    stock: Stock,
    currency: str,
    period: Period,
    placed: Collection[str] = (),
    workshop: Workshop | None = None,
) -> tuple[SupplierOrder, ...]:
    """Everything to be ordered, by supplier in order of name; what no supplier is named for comes last.

    An order has one currency, so a supplier with prices in two gets two orders; ``currency`` is that of a
    line without any. ``placed``: folded references that orders placed before have.
    """
    known = {fold(supplier.code): supplier for supplier in stock.suppliers.values()}
    groups: dict[str, list[PartResult]] = {}
    for part in parts:
        if part.order > 0:
            groups.setdefault(fold(part.part.supplier), []).append(part)
    orders = [
        order
        for key, lines in groups.items()
        for order in _by_currency(
            known.get(key) or (Supplier(lines[0].part.supplier) if key else None),
            lines,
            currency,
        )
    ]
    orders.sort(
        key=lambda order: (order.supplier is None, fold(order.name), order.terms.code, order.currency)
    )
    return tuple(
        replace(order, faults=(*buyer_faults(order, workshop), *order_faults(order)))
        for order in _referenced(orders, period, placed)
    )


def buyer_faults(order: SupplierOrder, workshop: Workshop | None) -> list[Problem]:
    """Why nobody could tell whose order it is; the same for every order. ``workshop``: None asks nothing."""
    if order.supplier is None or workshop is None or workshop.complete:
        return []
    says = "The settings do not say who orders, or where to deliver."
    return [problem("buyer-not-named", Place("reconcile.toml", "", "workshop"), says)]


def order_faults(order: SupplierOrder) -> list[Problem]:
    """Why the order cannot go out as a file: every line that a reader could not tell or count."""
    if order.supplier is None:
        return []
    lines = (fault for line in order.lines for fault in _line_faults(order, line))
    return [*_currency_faults(order), *lines]


def _by_currency(supplier: Supplier | None, lines: list[PartResult], usual: str) -> Iterator[SupplierOrder]:
    """An order for each currency of the prices; ``usual`` is that of the settings."""
    priced = sorted({line.part.currency for line in lines if line.unit_price is not None})
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


def _urgency(line: PartResult) -> tuple[bool, bool, date, str]:
    """Lines on which a job hangs come first, late ones before the others."""
    return (not line.at_risk, not line.late, line.required_by or date.max, line.part.number)


def _referenced(
    orders: Iterable[SupplierOrder], period: Period, placed: Collection[str]
) -> Iterator[SupplierOrder]:
    """Each order with its reference: period and supplier, ``2026-W49-NORTH``; a split one its currency too.

    Until it is placed the same week gives the same reference: whoever gets a repeated run's order sees that
    it is the order known already, not a second one. After that the next has a number, ``2026-W49-NORTH-2``.
    """
    taken: set[str] = set()
    for order in orders:
        if order.supplier is None:
            yield order
            continue
        tail = f"-{order.currency}" if order.split else ""
        stem = f"{period.name}-{order.supplier.code}{tail}"
        if fold(stem) in placed:
            stem = next(name for n in count(2) if fold(name := f"{stem}-{n}") not in placed)
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
