"""Marginal analysis: of all parts the next step that gives most for its money, until enough is reached.

Exact on the corners of the upper hull of each part's gain against its value, where gains add up over parts:
B. Fox, *Operations Research* 14 (1966), 210-216; C. C. Sherbrooke, *Optimal Inventory Modeling of Systems*,
1992 (both from memory). Between two corners of the whole curve a single part's further steps are tried.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush


@dataclass(frozen=True, slots=True)
class Options:
    """What a part may be set to, cheapest first: mean shelf in money, and gain (any measure that adds up)."""

    values: Sequence[float]
    gains: Sequence[float]


@dataclass(frozen=True, slots=True)
class Step:
    """After it part ``part`` stands at ``place``; ``value`` and ``gain`` are those of all parts then."""

    part: int
    place: int
    value: float
    gain: float


def corners(options: Options) -> list[int]:
    """The places on the upper hull of gain against value, cheapest first; of equally dear ones the best.

    It ends where nothing more is gained.
    """
    hull: list[int] = []
    values, gains = options.values, options.gains
    for place, value in enumerate(values):
        if hull and gains[place] <= gains[hull[-1]]:
            continue
        if hull and value <= values[hull[-1]]:
            hull.pop()
        while len(hull) >= 2 and _flatter(options, hull[-2], hull[-1], place):
            hull.pop()
        hull.append(place)
    return hull


def _flatter(options: Options, first: int, second: int, third: int) -> bool:
    """Whether the way from first to second gives no more for its money than that from second to third."""
    values, gains = options.values, options.gains
    return (gains[second] - gains[first]) * (values[third] - values[second]) <= (
        gains[third] - gains[second]
    ) * (values[second] - values[first])


def steps(parts: Sequence[Options]) -> Iterator[Step]:
    """The steps of all parts, the best for its money first; of equals that of the part listed first."""
    hulls = [corners(part) for part in parts]
    value = sum(part.values[hull[0]] for part, hull in zip(parts, hulls, strict=True))
    gain = sum(part.gains[hull[0]] for part, hull in zip(parts, hulls, strict=True))
    heap = [
        (-_slope(parts[number], hull, 1), number, 1) for number, hull in enumerate(hulls) if len(hull) > 1
    ]
    heapify(heap)
    while heap:
        _, number, at = heappop(heap)
        part, hull = parts[number], hulls[number]
        value += part.values[hull[at]] - part.values[hull[at - 1]]
        gain += part.gains[hull[at]] - part.gains[hull[at - 1]]
        yield Step(number, hull[at], value, gain)
        if at + 1 < len(hull):
            heappush(heap, (-_slope(part, hull, at + 1), number, at + 1))


def _slope(part: Options, hull: Sequence[int], at: int) -> float:
    before, after = hull[at - 1], hull[at]
    apart = part.values[after] - part.values[before]
    return (part.gains[after] - part.gains[before]) / apart if apart > 0 else float("inf")


def for_gain(parts: Sequence[Options], wanted: float) -> list[int]:
    """The place of each part at which all together gain ``wanted`` for the least money that steps find.

    The last place of every hull where even that is not enough. The step that reaches it is made no longer
    than it has to be.
    """
    places = [corners(part)[0] for part in parts]
    gain = sum(part.gains[place] for part, place in zip(parts, places, strict=True))
    if gain >= wanted:
        return places
    for step in steps(parts):
        part, before = parts[step.part], places[step.part]
        if step.gain < wanted:
            places[step.part], gain = step.place, step.gain
            continue
        lacking = wanted - gain + part.gains[before]
        between = range(before + 1, step.place + 1)
        places[step.part] = next((at for at in between if part.gains[at] >= lacking), step.place)
        break
    return places


def for_money(parts: Sequence[Options], budget: float) -> list[int]:
    """The place of each part for a sum: steps are taken while they fit, the one too long as far as it fits.

    Where even the cheapest places cost more, those.
    """
    places = [corners(part)[0] for part in parts]
    left = budget - sum(part.values[place] for part, place in zip(parts, places, strict=True))
    closed = set()
    for step in steps(parts):
        if step.part in closed:
            continue
        part, before = parts[step.part], places[step.part]
        cost = part.values[step.place] - part.values[before]
        if cost <= left:
            places[step.part] = step.place
            left -= cost
            continue
        closed.add(step.part)
        fits = [at for at in range(before + 1, step.place) if part.values[at] - part.values[before] <= left]
        better = [at for at in fits if part.gains[at] > part.gains[before]]
        if better:
            best = max(better, key=lambda at: part.gains[at])
            left -= part.values[best] - part.values[before]
            places[step.part] = best
    return places
