"""Which bin a part comes from: one rule for what a week is to take and for what a closing says was taken.

The first bin of the sheet comes first. What is allocated is told by bin, not by job, so it stays in the bin
in whose row it stands; what that bin cannot bear stays in the last bins.
"""

from fractions import Fraction

from reconcile.plan.flows.timeline import ZERO
from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Part


@dataclass(slots=True)
class ShelfPlace:
    """A bin as it empties and fills. Quantities in the part's unit."""

    name: str
    on_hand: Fraction
    allocated: Fraction


def bins_of(part: Part) -> list[ShelfPlace]:
    """The part's bins in the sheet's order; rows of one bin add up."""
    found: dict[str, ShelfPlace] = {}
    for row in part.bins:
        there = found.setdefault(row.name, ShelfPlace(row.name, ZERO, ZERO))
        there.on_hand += row.on_hand
        there.allocated += row.allocated
    return list(found.values())


def free_in(places: list[ShelfPlace]) -> list[Fraction]:
    """What each bin has for kits: on hand less allocated, never less than nothing.

    What a bin has allocated above what is there comes off the last bins, so that the sum is the part's.
    """
    free = [max(place.on_hand - place.allocated, ZERO) for place in places]
    over = sum((max(place.allocated - place.on_hand, ZERO) for place in places), ZERO)
    for at in reversed(range(len(free))):
        off = min(over, free[at])
        free[at], over = free[at] - off, over - off
    return free


class ShelfBins:
    """The bins of one part, from which is taken in turn."""

    def __init__(self, part: Part) -> None:
        self.places = bins_of(part)
        self._free = free_in(self.places)

    def put(self, at: ShelfPlace, quantity: Fraction) -> None:
        """Puts a quantity into a bin, or takes it out below what is there."""
        at.on_hand += quantity
        self._free = free_in(self.places)

    def take_free(self, wanted: Fraction, only: str = "") -> tuple[dict[str, Fraction], Fraction]:
        """What each bin gives of what is free in it, and what none of them has. ``only``: this bin alone."""
        shares: dict[str, Fraction] = {}
        for at, place in enumerate(self.places):
            share = min(self._free[at], wanted)
            if share > 0 and (not only or place.name == only):
                self._free[at] -= share
                place.on_hand -= share
                shares[place.name], wanted = share, wanted - share
        return shares, wanted

    def take(self, wanted: Fraction, only: str = "") -> tuple[dict[str, Fraction], Fraction]:
        """As ``take_free``; then what is allocated, since it is gone from the shelf whatever was promised."""
        shares, wanted = self.take_free(wanted, only)
        for place in self.places:
            share = min(max(place.on_hand, ZERO), wanted)
            if share > 0 and (not only or place.name == only):
                place.on_hand -= share
                shares[place.name], wanted = shares.get(place.name, ZERO) + share, wanted - share
        self._free = free_in(self.places)
        return shares, wanted
