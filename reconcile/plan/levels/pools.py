"""What parts of the same kind show together, for parts that show too little by themselves.

The chance of a week with use differs from part to part of a kind. How much, and about which mean, is told by
moments: Kleinman, J. American Statistical Association 68 (1973), 46-54 (from memory): if a part's share p of
n weeks has a chance of its own behind it, with mean m and variance t over the parts, the mean of n (p - m)²
is m (1 - m) + (n - 1) t. That is the empirical Bayes estimate of Efron and Morris (1975) for chances.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from reconcile.plan.levels.record import NOTHING_KNOWN, Prior, Record
from reconcile.values.stock.parts import Part

LEAST_PARTS = 8
"""Parts of which a kind can tell anything: common practice, no source."""

MOST_WEIGHT = 13.0
"""Weeks: what others show never counts for more than a quarter's own weeks. Common practice, no source."""

LEAST_WEIGHT = 0.5

SHOWN = (0.1, 0.3, 0.5, 0.7, 0.9)
"""The quantiles by which sizes of a kind stand for all of them."""


@dataclass(frozen=True, slots=True)
class Member:
    """A part of a stock with its record; one that is listed and was never used counts too."""

    part: Part
    record: Record


def priors(members: Sequence[Member]) -> dict[str, Prior]:
    """By part number, what its kin show: those of its kind and head, else of its kind, else all parts.

    Too few of a circle, and the next wider one is asked; too few in all, and nothing is known.
    """
    circles = [_circle(members, name) for name in (_kind_and_head, _kind, _everyone)]
    found = {}
    for member in members:
        names = (_kind_and_head(member.part), _kind(member.part), _everyone(member.part))
        known = (circle.get(name) for circle, name in zip(circles, names, strict=True))
        found[member.part.number] = next((each for each in known if each is not None), NOTHING_KNOWN)
    return found


def _kind_and_head(part: Part) -> str:
    return f"{_kind(part)}, {part.bolt.head}" if part.bolt and part.bolt.head and _kind(part) else ""


def _kind(part: Part) -> str:
    return part.kind or ("bolt" if part.bolt else "")


def _everyone(_: Part) -> str:
    return "any kind"


def _circle(members: Iterable[Member], name_of: Callable[[Part], str]) -> dict[str, Prior]:
    groups: dict[str, list[Record]] = {}
    for member in members:
        if name := name_of(member.part):
            groups.setdefault(name, []).append(member.record)
    return {name: pooled(records, name) for name, records in groups.items() if _enough(records)}


def _enough(records: Sequence[Record]) -> bool:
    return len(records) >= LEAST_PARTS and sum(1 for record in records if record.uses) >= LEAST_PARTS // 2


def pooled(records: Sequence[Record], name: str = "") -> Prior:
    """The prior that these records make together."""
    return Prior(pooled_chance(records), pooled_ratios(records), name, len(records))


def pooled_chance(records: Sequence[Record]) -> tuple[float, float]:
    """A and b of the beta law of the parts' chances, by moments."""
    own = [record for record in records if record.weeks > 1]
    weeks = sum(record.weeks for record in own)
    if not weeks:
        return NOTHING_KNOWN.chance
    mean = min(max(sum(record.hits for record in own) / weeks, 0.5 / weeks), 1 - 0.5 / weeks)
    by_chance, others = mean * (1 - mean), len(own) - 1
    seen = sum(record.weeks * (record.hits / record.weeks - mean) ** 2 for record in own)
    free = weeks - sum(record.weeks**2 for record in own) / weeks - others
    between = (seen - others * by_chance) / free if free > 0 else by_chance
    weight = MOST_WEIGHT if between <= 0 else by_chance / between - 1
    weight = min(max(weight, LEAST_WEIGHT), MOST_WEIGHT)
    return weight * mean, weight * (1 - mean)


def pooled_ratios(records: Sequence[Record]) -> tuple[float, ...]:
    """Quantiles of size over mean size, every part with two uses or more counting once."""
    weighed: dict[float, float] = {}
    for record in records:
        if record.uses >= 2:
            mean = sum(size * worth for size, worth in record.sizes.items()) / record.hits
            for size, worth in record.sizes.items():
                ratio = round(size / mean, 6)
                weighed[ratio] = weighed.get(ratio, 0.0) + worth / record.hits
    return quantiles(weighed)


def quantiles(weighed: Mapping[float, float]) -> tuple[float, ...]:
    """The figures at each share of ``SHOWN``, by their weights."""
    if not weighed:
        return ()
    total, passed, found = sum(weighed.values()), 0.0, []
    rows = sorted(weighed.items())
    place = 0
    for share in SHOWN:
        while passed + rows[place][1] < share * total and place < len(rows) - 1:
            passed += rows[place][1]
            place += 1
        found.append(rows[place][0])
    return tuple(found)
