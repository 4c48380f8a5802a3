"""What no plan of lots costs less than, where there are too many states to look at every one.

Packs bought so far are put into cells. From cell to cell an order may have any size that leads from one into
the other, and the cheapest of these is taken; what is kept is counted at the cell's lower end. So every plan
has a way through the cells that costs no more. What every unit costs at the least, at the lowest price, is
counted once at the end and exactly; only what a size costs beyond that is looked up cell by cell, so cells
may be wide. The idea is that of any relaxation of dynamic programming by states put together (state space
relaxation: Christofides, Mingozzi and Toth, *Networks* 11 (1981), 145-164, from memory).
"""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from reconcile.values.rules import ALL_UNITS
from reconcile.values.week.buying import ZERO, Holding, Offer

CELLS = 160
"""Some tenths of a second for a year of weeks."""


def cell_bound(
    required: Sequence[Fraction], offers: Sequence[Offer], holding: Holding, most: int
) -> Fraction:
    """``most``: packs that no best plan exceeds. Exact fractions throughout; 0 where nothing is required."""
    pack = offers[0].pack
    needed = [ceil(quantity / pack) for quantity in required]
    if not needed or not needed[-1]:
        return ZERO
    width = max(-(-(most + 1) // CELLS), 1)
    cells = range(most // width + 1)
    price = min(offer.lowest_price for offer in offers)
    held = holding.of(price)
    extra = {offer: _extras(offer, price, width, len(cells)) for offer in offers}
    later: list[Fraction | None] = [price * pack * max(cell * width, needed[-1]) for cell in cells]
    for period in reversed(range(len(needed))):
        kept = [held * max(cell * width * pack - required[period], ZERO) for cell in cells]
        later = _earlier(later, kept, extra[offers[period]], needed[period] // width)
    first = later[0]
    return ZERO if first is None else first


def _earlier(
    later: Sequence[Fraction | None], kept: Sequence[Fraction], extra: Sequence[Fraction | None], least: int
) -> list[Fraction | None]:
    """For each cell before the period the least cost from there on: no order, or one into any cell above."""
    ends = [
        None if onward is None or cell < least else onward + own
        for cell, (onward, own) in enumerate(zip(later, kept, strict=True))
    ]
    found: list[Fraction | None] = []
    for cell in range(len(later)):
        best = ends[cell]
        for apart, cost in enumerate(extra[: len(later) - cell]):
            onward = ends[cell + apart]
            if cost is not None and onward is not None and (best is None or onward + cost < best):
                best = onward + cost
        found.append(best)
    return found


def _extras(offer: Offer, price: Fraction, width: int, cells: int) -> list[Fraction | None]:
    """By how many cells apart: what an order costs at least beyond ``price`` a unit; None: none fits."""
    found: list[Fraction | None] = []
    for apart in range(cells):
        low, high = max((apart - 1) * width + 1, offer.thresholds[0]), (apart + 1) * width - 1
        sizes = [low, *(size for size in offer.thresholds if low < size <= high)] if low <= high else []
        if offer.kind != ALL_UNITS or not offer.falling:
            sizes += [high] if sizes else []
        costs = [offer.goods(size * offer.pack) - price * size * offer.pack for size in sizes]
        found.append(offer.order_cost + min(costs) if costs else None)
    return found
