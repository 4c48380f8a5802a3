"""What a bolt is turned by: a hexagon key or a spanner, by the standard of its head and not measured."""

from dataclasses import dataclass
from fractions import Fraction

from reconcile.values.measure import length_text

KEY, SPANNER = "key", "spanner"


@dataclass(frozen=True, slots=True)
class Drive:
    """``width`` across flats in mm, written in ``unit``; ``source``: the standard that gives it."""

    kind: str
    width: Fraction
    unit: str
    source: str

    def __str__(self) -> str:
        return f"{self.kind} {length_text(self.width, self.unit)} ({self.source}, not measured)"
