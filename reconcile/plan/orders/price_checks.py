"""What is odd about prices, price breaks and recorded use: each check gives its problems. All are notices."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from itertools import pairwise

from reconcile.plan.levels.usage_checks import unlisted_use, use_to_come
from reconcile.values.measure import quantity_text
from reconcile.values.problem import Problem, problem
from reconcile.values.stock.parts import Part, PriceBreak, Stock, Supplier
from reconcile.values.week.results import PartResult
from reconcile.values.words import fold


def price_problems(stock: Stock, today: date) -> Iterator[Problem]:
    """Every check over the stock workbook, in the order of its sheets."""
    yield from free_parts(stock.parts.values())
    yield from mixed_currencies(stock)
    for number, own in breaks_by_part(stock).items():
        yield from break_problems(number, stock.parts.get(number), own)
    yield from use_to_come(stock, today)
    yield from unlisted_use(stock)


def breaks_by_part(stock: Stock) -> dict[str, list[PriceBreak]]:
    found: dict[str, list[PriceBreak]] = defaultdict(list)
    for price_break in stock.breaks:
        found[price_break.part].append(price_break)
    return found


def break_problems(number: str, part: Part | None, breaks: list[PriceBreak]) -> Iterator[Problem]:
    """The breaks of one part, in the order of the sheet."""
    if part is None:
        says = f"Stock does not list {number}, which has a price break."
        yield problem("break-part-unknown", breaks[0].place.cell("part"), says, found=number)
        return
    yield from out_of_order(breaks)
    yield from free_breaks(breaks)
    yield from doubled_or_dearer(part, breaks)


def out_of_order(breaks: list[PriceBreak]) -> Iterator[Problem]:
    for before, after in pairwise(breaks):
        if after.from_quantity < before.from_quantity:
            low, high = quantity_text(after.from_quantity), quantity_text(before.from_quantity)
            says = f"The break of {after.part} from {low} stands below the one from {high}."
            yield problem("break-order", after.place.cell("from quantity"), says, found=low)


def free_breaks(breaks: list[PriceBreak]) -> Iterator[Problem]:
    for price_break in breaks:
        if not price_break.price:
            says = f"{price_break.part} costs nothing from {quantity_text(price_break.from_quantity)} on."
            yield problem("price-zero", price_break.place.cell("price"), says, found=str(price_break.price))


def doubled_or_dearer(part: Part, breaks: list[PriceBreak]) -> Iterator[Problem]:
    """From the lowest break up; a break from nothing stands for the price itself."""
    rising = sorted(breaks, key=lambda each: each.from_quantity)
    last, price = None, part.price
    for each in rising:
        start = quantity_text(each.from_quantity)
        if last is not None and last.from_quantity == each.from_quantity:
            says = f"{part.number} has two breaks from {start}: {last.price} and {each.price}."
            yield problem("break-doubled", each.place.cell("from quantity"), says, found=start)
            continue
        if price is not None and each.price > price and each.from_quantity:
            says = f"From {start} on {part.number} costs {each.price}, which is more than the {price} below."
            yield problem("break-dearer", each.place.cell("price"), says, found=str(each.price))
        last, price = each, each.price


def free_parts(parts: Iterable[Part]) -> Iterator[Problem]:
    for part in parts:
        if part.price is not None and not part.price and part.bins:
            says = f"The price of {part.number} is {part.price}."
            yield problem("price-zero", part.bins[0].place.cell("price"), says, found=str(part.price))


def mixed_currencies(stock: Stock) -> Iterator[Problem]:
    """A supplier with terms, which are in one currency, and parts that are priced in two."""
    first: dict[str, Part] = {}
    told: set[str] = set()
    for part in stock.parts.values():
        supplier = fold(part.supplier)
        if part.price is None or not part.currency or not supplier:
            continue
        known = first.setdefault(supplier, part)
        if known.currency != part.currency and supplier not in told and has_terms(stock, supplier):
            told.add(supplier)
            says = (
                f"{part.supplier} prices {known.number} in {known.currency} and {part.number} in"
                f" {part.currency}; its terms are in one of them."
            )
            place = part.bins[0].place.cell("currency")
            yield problem("supplier-currencies", place, says, found=part.currency)


def has_terms(stock: Stock, supplier: str) -> bool:
    own = (each for each in stock.suppliers.values() if fold(each.code) == supplier)
    return any(asks(each) for each in own)


def asks(supplier: Supplier) -> bool:
    return bool(supplier.minimum_order_value or supplier.delivery_charge or supplier.free_delivery_from)


def unpriced(parts: Iterable[PartResult]) -> Iterator[Problem]:
    """Parts to be ordered whose cheapest order was asked for, and cannot be told."""
    for part in parts:
        if part.order and part.part.price is None and part.part.bins:
            says = f"{part.part.number} has no price, so its cheapest order cannot be told."
            yield problem("price-missing", part.part.bins[0].place.cell("price"), says)
