"""What the record of a part says of its use: how often a week has a use, how surely, and of which size.

One law, whose mean and variance move together: the chance of a week with use and the sizes of uses are two
things. When use ends, the chance falls and the sizes stay; so does what may be asked in a lead time.

The chance is a beta law. Each week of the record adds to it what it showed, and counts the less the longer it
is past, by discounting: West and Harrison, *Bayesian Forecasting and Dynamic Models*, 2nd ed., 1997 (from
memory). What stands before the first week is Jeffreys' half a week with use and half a week without (Brown,
Cai and DasGupta, *Statistical Science* 16 (2001), 101-133, from memory), or what parts of the same kind show
(``pools.py``). That is the floor: it is worth little beside a year of weeks, and never nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

MEMORY = 39
"""Weeks: a use of so long ago counts 1 / e of a fresh one, and no record counts for more than so many weeks.
None of 8 to 208 foretells all best: steady use asks for the longest, use that breaks off for a short one. 26
and 39 are behind the best by 0.04 or less on every shop and series of ``tests/bench/memory.py`` (minus the
logarithm of the chance of five weeks, for each part); the steadier of the two is taken."""

KEPT = 1 - 1 / MEMORY
"""What a week's evidence is worth a week later, against what it was."""

JEFFREYS = (0.5, 0.5)


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known of a part before its own record."""

    chance: tuple[float, float] = JEFFREYS
    ratios: tuple[float, ...] = ()
    """Sizes of uses over a part's own mean, all alike likely; () where no other parts tell."""
    kin: str = ""
    """Whose record this is, as ``8 bolts``; "" for nobody's."""
    parts: int = 0


NOTHING_KNOWN = Prior()


@dataclass(frozen=True, slots=True)
class Record:
    """What a part's own weeks are worth today. Sizes in lots."""

    hits: float
    """Weeks with use, each at what it counts."""
    weeks: float
    """All weeks, each at what it counts."""
    uses: int
    sizes: dict[int, float] = field(default_factory=dict)
    """By size, what its uses count; adds up to ``hits``."""


def record_of(lots: Sequence[int]) -> Record:
    """The record of a part's weeks, the last one the freshest."""
    sizes: dict[int, float] = {}
    uses, length = 0, len(lots)
    for week, lot in enumerate(lots):
        if lot:
            uses += 1
            sizes[lot] = sizes.get(lot, 0.0) + KEPT ** (length - 1 - week)
    weeks = (1 - KEPT**length) / (1 - KEPT)
    return Record(sum(sizes.values()), weeks, uses, sizes)


def chance_of(record: Record, prior: Prior = NOTHING_KNOWN) -> tuple[float, float]:
    """The beta law of the chance of a week with use: a, b, with a mean of a / (a + b)."""
    return prior.chance[0] + record.hits, prior.chance[1] + record.weeks - record.hits


def sizes_of(record: Record, prior: Prior = NOTHING_KNOWN) -> dict[int, float]:
    """By size, the chance that a use has it. Shares add up to 1; a record without a use has none.

    Own sizes stand for themselves, fresher ones for more. Beside them, with the weight of one use, stand the
    part's mean size times what the sizes of its kin are of their means: the more of its own a part has, the
    less it borrows. Nothing is ever below the lot.
    """
    if not record.hits:
        return {}
    borrowed = 1 / (record.uses + 1) if prior.ratios else 0.0
    shares = {size: (1 - borrowed) * worth / record.hits for size, worth in sorted(record.sizes.items())}
    mean = sum(size * worth for size, worth in record.sizes.items()) / record.hits
    for ratio in prior.ratios if borrowed else ():
        size = max(round(mean * ratio), 1)
        shares[size] = shares.get(size, 0.0) + borrowed / len(prior.ratios)
    return shares
